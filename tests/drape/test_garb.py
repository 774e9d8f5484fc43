"""Where trousers are kept on the waist: as high as they are drafted, whatever the triangles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.cloth import handle
from pinwright.drape.data import Hung, Rest, Surface
from pinwright.drape.draping import Garb, redraped
from pinwright.drape.garb import KEEP, kept, waist
from pinwright.figure.figure import figure_of
from pinwright.figure.fine import fine
from pinwright.figure.surface import triangles
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from tests.drape.sewn import draft, pieces_of, shell
from tests.fitting.drafts import ORDINARY

OVER = 1.25
"""So much over its draft the garment is worn here, cm."""


def test_the_waist_is_kept_as_high_over_its_draft_as_it_was_put_on() -> None:
    g, coarse, finer = draft("trousers"), shell("trousers", 3.0), shell("trousers", 2.0)
    line, drafted = waist(g, coarse)
    x = np.zeros((coarse.n, 3))
    x[line, 2] = drafted + OVER
    hard, at = kept(g, coarse, x).of(finer)
    on, high = waist(g, finer)
    assert hard.sum() == pytest.approx(KEEP)
    assert set(np.flatnonzero(hard)) == set(on)
    assert at[on] == pytest.approx(high + OVER, abs=1e-9)
    # by the draft itself: the corners of the pieces' own waist lines
    ends = [p.edge("waist").first[1] for p in g.pieces if p.name in ("front", "back")]
    assert min(ends) >= high.min() - 1e-6
    assert max(ends) <= high.max() + 1e-6


def test_a_rise_made_longer_is_kept_higher() -> None:
    g, s = draft("trousers"), shell("trousers", 3.0)
    line, drafted = waist(g, s)
    x = np.zeros((s.n, 3))
    x[line, 2] = drafted
    longer = tuple(
        replace(p, points=p.points + np.array([0.0, 2.0])) if p.piece == "back" else p
        for p in s.panels
    )
    _, at = kept(g, s, x).of(replace(s, panels=longer))
    back = [v for p, n in zip(s.panels, s.vertices, strict=True) if p.piece == "back" for v in n]
    front = [v for p, n in zip(s.panels, s.vertices, strict=True) if p.piece == "front" for v in n]
    rose = at[line] - drafted
    only = np.isin(line, back) & ~np.isin(line, front)
    assert rose[only] == pytest.approx(2.0)
    assert rose[~np.isin(line, back)] == pytest.approx(0.0)


def test_what_hangs_on_the_shoulders_is_kept_nowhere() -> None:
    hard, _ = kept(draft("yoke"), shell("yoke", 3.0), np.zeros((shell("yoke", 3.0).n, 3))).of(
        shell("yoke", 2.0)
    )
    assert not hard.any()


def test_hung_again_it_is_kept_where_it_was_and_not_where_it_sagged_to() -> None:
    g, s = draft("trousers"), shell("trousers", 3.0)
    figure = figure_of(complete(read_record(ORDINARY), ["trousers"]))
    line, drafted = waist(g, s)
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
