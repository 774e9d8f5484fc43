"""Where trousers are kept on the waist: as high as the body has it, whatever was drafted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.cloth import handle
from pinwright.drape.data import Array, Hung, Rest, Shell, Surface, Whole
from pinwright.drape.draping import Garb, redraped
from pinwright.drape.garb import KEEP, kept, waist, worn
from pinwright.figure.figure import figure_of
from pinwright.figure.fine import fine
from pinwright.figure.surface import triangles
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment
from tests.drape.sewn import draft, pieces_of, shell
from tests.fitting.drafts import ORDINARY

MARKS = {
    "front_waist": np.array([0.0, -15.0, 104.0]),
    "back_waist": np.array([0.0, 5.0, 106.0]),
    "side_waist_right": np.array([-14.0, -5.0, 105.5]),
    "side_waist_left": np.array([14.0, -5.0, 105.0]),
}
"""A waist that dips in front and on the left."""


def ring(g: Garment, s: Shell) -> tuple[Whole, Array]:
    """The waist line of trousers laid round in a circle of 12 cm, at any height."""
    line = waist(g, s)
    x = np.zeros((s.n, 3))
    turn = np.linspace(0.0, 2.0 * np.pi, len(line), endpoint=False)
    x[line] = np.stack([12.0 * np.sin(turn), -5.0 - 12.0 * np.cos(turn), 90.0 + turn], axis=1)
    return line, x


def test_the_waist_is_kept_at_the_body_s_waist_less_its_depth() -> None:
    g, s = draft("trousers"), shell("trousers", 3.0)
    depth = g.facts["waist_depth"]
    line, x = ring(g, s)
    hard, at = worn(g, s, x, MARKS).of(s)
    assert hard.sum() == pytest.approx(KEEP)
    assert set(np.flatnonzero(hard)) == set(line)
    for want, way in ((104.0, (0, -1)), (106.0, (0, 1)), (105.5, (-1, 0)), (105.0, (1, 0))):
        there = line[np.argmax((x[line, :2] - np.array([0.0, -5.0])) @ np.array(way))]
        assert at[there] == pytest.approx(want - depth, abs=0.1)


def test_a_rise_made_longer_is_kept_no_higher() -> None:
    g, s = draft("trousers"), shell("trousers", 3.0)
    line, x = ring(g, s)
    longer = tuple(
        replace(p, points=p.points + np.array([0.0, 2.0])) if p.piece == "back" else p
        for p in s.panels
    )
    keep = worn(g, s, x, MARKS)
    _, before = keep.of(s)
    _, at = keep.of(replace(s, panels=longer))
    # by the nearest flat point: a station off at most where the shifted lines fall otherwise
    assert np.abs(at[line] - before[line]).max() < 0.7


def test_finer_triangles_are_kept_as_the_coarse_ones() -> None:
    g, coarse, finer = draft("trousers"), shell("trousers", 3.0), shell("trousers", 2.0)
    _, x = ring(g, coarse)
    hard, at = worn(g, coarse, x, MARKS).of(finer)
    on = waist(g, finer)
    assert set(np.flatnonzero(hard)) == set(on)
    assert at[on].min() >= 104.0 - g.facts["waist_depth"] - 1e-9
    assert at[on].max() <= 106.0 - g.facts["waist_depth"] + 1e-9


def test_what_hangs_on_the_shoulders_is_kept_nowhere() -> None:
    s = shell("yoke", 3.0)
    hard, _ = kept(draft("yoke"), s, np.zeros((s.n, 3)), np.zeros(s.n)).of(shell("yoke", 2.0))
    assert not hard.any()


def test_hung_again_it_is_kept_where_it_was_and_not_where_it_sagged_to() -> None:
    g, s = draft("trousers"), shell("trousers", 3.0)
    figure = figure_of(complete(read_record(ORDINARY), ["trousers"]))
    line = waist(g, s)
    drafted = np.linspace(103.0, 106.0, len(line))
    at = np.zeros(s.n)
    at[line] = drafted
    x = np.random.default_rng(3).uniform(-20.0, 20.0, (s.n, 3))
    x[:, 2] += 60.0
    x[line, 2] = drafted - 0.4
    body = Surface(fine().points(figure.points), triangles(fine().faces))
    before = Hung(s, x, body, "standing", np.zeros(s.n), 0.05, Rest(0.0, 1, 1.0), kept_at=at)
    garb = Garb(g, pieces_of(g), pieces_of(g), handle("wool serge"))
    after = redraped(garb, before, figure, enough=np.inf)
    assert after.kept_at[line] == pytest.approx(drafted, abs=1e-9)
