"""Where a garment is kept: trousers as high as the body has its waist, whatever was drafted, and a
jacket on the middle of the neck."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.cloth import handle
from pinwright.drape.data import Array, Hung, Rest, Shell, Surface, Whole
from pinwright.drape.draping import Garb, draped, redraped
from pinwright.drape.garb import HEAVIER, KEEP, LESS_SUPPLE, STIFFER, put_on, setting, waist, worn
from pinwright.drape.solver.stencils import bending
from pinwright.figure.figure import figure_of
from pinwright.figure.fine import fine
from pinwright.figure.surface import triangles
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment
from tests.drape.sewn import draft, garb_of, net_polygon, pieces_of, shell
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


@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_a_jacket_is_kept_on_the_middle_by_the_top_of_its_centre_back(variant: str) -> None:
    g, coarse, finer = draft(variant), shell(variant, 3.0), shell(variant, 2.0)
    x = np.random.default_rng(2).uniform(-9.0, 9.0, (coarse.n, 3))
    keep = worn(g, coarse, x, {"back_neck_point": np.array([0.3, 2.0, 145.0])})
    for s in (coarse, finer):
        hard, at = keep.of(s)
        on = np.flatnonzero(hard)
        assert hard.sum() == pytest.approx(KEEP)
        assert at[on] == pytest.approx(0.3)
        found = [
            (p.points[v == k] - p.points[p.stations["neck:neck_centre"]])[0]
            for k in on
            for p, v in zip(s.panels, s.vertices, strict=True)
            if "neck:neck_centre" in p.stations and p.home == "back" and (v == k).any()
        ]
        # both halves have the line; it is straight, and runs along the grain
        assert len(found) == 2 * len(on)
        assert np.abs(found)[:, 0].max() < 1e-9
        assert 4.0 < np.abs(found)[:, 1].max() <= 6.0
    made = put_on(setting(coarse, handle("wool suiting, middle weight")), coarse, None, keep)
    assert made.kept_axis == 0


def test_a_jacket_put_on_askew_comes_to_hang_straight() -> None:
    """On a body without a left and right, it hangs as high on either side wherever it was put."""
    g = draft("yoke")
    figure = figure_of(complete(read_record(ORDINARY), ["jacket"]))
    garb = garb_of(g)
    straight = draped(garb, figure, edge=3.0, enough=0.5)
    askew = replace(straight, points=straight.points + np.array([2.0, 0.0, 0.0]))
    for hung in (straight, redraped(garb, askew, figure, enough=0.5)):
        ends = {
            p.side: float(hung.points[v, 2].mean())
            for p, v in zip(hung.shell.panels, hung.shell.vertices, strict=True)
            if p.piece == "sleeve"
        }
        assert ends["right"] == pytest.approx(ends["left"], abs=1.0)


def test_a_band_is_two_layers_of_cloth_with_interfacing_between() -> None:
    """Weighed by hand; and its own triangles as stiff as said, all others as the cloth."""
    g, s = draft("trousers"), shell("trousers", 3.0)
    cloth = handle("wool suiting, middle weight")
    x = np.zeros((s.n, 3))
    made = put_on(setting(s, cloth), s, None, worn(g, s, x, MARKS))
    band = g.piece("band").edge("seam").length * g.facts["band_depth"]
    body = sum(net_polygon(g.piece(k)).area for k in ("front", "back"))
    weight = 2.0 * (body + HEAVIER * band) * cloth.cgs.mass
    assert made.mass.sum() == pytest.approx(weight, rel=1e-3)
    on = np.array([p.band for p in s.panels])[s.panel]
    across, along = cloth.cgs.membrane[1], cloth.cgs.membrane[0]
    assert made.stiff[on][:, [0, 2]] == pytest.approx(
        STIFFER * np.array([across, along] * on.sum()).reshape(-1, 2)
    )
    assert made.stiff[~on][:, 0] == pytest.approx(across)


def test_a_band_is_so_many_times_as_stiff_to_bend() -> None:
    g, s = draft("trousers"), shell("trousers", 1.0)
    cloth = handle("wool suiting, middle weight")
    made = put_on(setting(s, cloth), s, None, worn(g, s, np.zeros((s.n, 3)), MARKS))
    plain, _ = bending(made.stencils, cloth.cgs.bend_along, cloth.cgs.bend_across)
    on = np.array([p.band for p in s.panels])[s.panel]
    x = np.random.default_rng(1).normal(size=(s.n, 3))
    for which, times in ((on, LESS_SUPPLE), (~on, 1.0)):
        # two sides off the seam all triangles that have a say are its own
        near = np.zeros(s.n, bool)
        near[s.triangles[~which]] = True
        near[s.triangles[near[s.triangles].any(axis=1)]] = True
        assert (~near).sum() > 50
        assert (made.bend @ x)[~near] == pytest.approx(times * (plain @ x)[~near])


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
