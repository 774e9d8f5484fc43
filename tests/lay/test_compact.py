"""Compaction: never longer, always a lay, and exact where the answer is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.lay.apart import half_planes, walls
from pinwright.cutting.lay.compact import compacted
from pinwright.cutting.lay.nfp import body, no_fit
from pinwright.cutting.lay.placing import Array, Field, Lay, Phase, Placement, Template
from pinwright.cutting.lay.verify import faults

from .shapes import areas, at, box, curved, ell, square, star_shaped, template


def spread(templates: list[Template], field: Field, *at_: tuple[float, float]) -> Lay:
    """A lay with every piece where it is said to lie, unturned."""
    placements = tuple(Placement(t.key, x, y) for t, (x, y) in zip(templates, at_, strict=True))
    ends = [x + float(t.taken.bounds[2]) for t, (x, _) in zip(templates, at_, strict=True)]
    return Lay(field, tuple(templates), placements, max(ends))


def test_squares_in_a_row_close_up_exactly() -> None:
    ts = [template(str(i), square(10.0)) for i in range(3)]
    found = compacted(spread(ts, Field(width=10.0), (1.0, 0.0), (15.0, 0.0), (31.0, 0.0)))
    assert found.length == pytest.approx(30.0, abs=1e-4)
    assert [p.x for p in found.placements] == pytest.approx([0.0, 10.0, 20.0], abs=1e-4)


def test_the_gap_stays() -> None:
    ts = [template(str(i), square(10.0)) for i in range(3)]
    field = Field(width=10.0, gap=0.5)
    found = compacted(spread(ts, field, (1.0, 0.0), (15.0, 0.0), (31.0, 0.0)))
    assert found.length == pytest.approx(31.0, abs=1e-3)
    assert not faults(found)


def test_an_l_slides_into_the_hollow_of_the_other() -> None:
    ts = [template(k, ell(10.0, 4.0), rotations=(0.0,)) for k in "ab"]
    # The second lies 4.5 up: it can go on along over the arm of the first.
    found = compacted(spread(ts, Field(width=15.0), (0.0, 0.0), (12.0, 4.5)))
    assert found.length == pytest.approx(14.0, abs=1e-4)


def test_what_must_move_across_to_go_on_does() -> None:
    # A wedge between two others slides down their slopes: no straight way along is free.
    wedge = np.array([(0.0, 0.0), (10.0, 5.0), (0.0, 10.0)])
    dart = np.array([(10.0, 0.0), (10.0, 10.0), (0.0, 5.0)])
    ts = [template("a", wedge, rotations=(0.0,)), template("b", dart, rotations=(0.0,))]
    found = compacted(spread(ts, Field(width=15.0), (0.0, 0.0), (10.0, 0.5)))
    # With 15 across, the dart lies 5 higher, wholly beside the wedge's slope: from 0 on.
    assert found.length == pytest.approx(10.0, abs=1e-3)
    assert not faults(found)


def test_flaws_do_not_move() -> None:
    ts = [template("a", square(10.0)), template("b", square(10.0))]
    field = Field(width=10.0, flaws=((12.0, 4.0, 13.0, 5.0),))
    found = compacted(spread(ts, field, (1.0, 0.0), (15.0, 0.0)))
    assert found.length == pytest.approx(23.0, abs=1e-4)
    assert at(found, "a").x == pytest.approx(0.0, abs=1e-4)


def test_a_piece_on_the_fold_keeps_to_it() -> None:
    ts = [template("a", ell(10.0, 4.0), on_fold=True), template("b", square(5.0))]
    found = compacted(spread(ts, Field(width=12.0, folded=True), (3.0, 0.0), (14.0, 3.0)))
    assert at(found, "a").y == 0.0
    assert found.length == pytest.approx(10.0, abs=1e-3)


def test_pieces_in_the_repeat_move_by_whole_repeats() -> None:
    phases = (Phase("along", (0.0, 0.0), 1.0),)
    ts = [template(str(i), square(10.0), phases=phases) for i in range(3)]
    field = Field(width=10.0, repeat=(4.0, 0.0))
    found = compacted(spread(ts, field, (5.0, 0.0), (25.0, 0.0), (41.0, 0.0)))
    assert [p.x for p in found.placements] == [1.0, 13.0, 25.0]
    assert found.length == pytest.approx(35.0)


def test_a_remnants_edge_is_kept_to() -> None:
    # A triangle of cloth: the square goes along until it meets the slope.
    remnant = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 40.0)])
    lay = spread([template("a", square(5.0))], Field(40.0, outline=remnant), (30.0, 2.0))
    found = compacted(lay)
    assert found.length == pytest.approx(10.0, abs=1e-3)
    assert at(found, "a").y == pytest.approx(0.0, abs=1e-3)


def test_the_last_piece_goes_into_a_place_that_is_free() -> None:
    c = np.array(
        [(0, 0), (20, 0), (20, 4), (4, 4), (4, 16), (20, 16), (20, 20), (0, 20)], dtype=float
    )
    wall = template("w", box(2.0, 20.0))
    ts = [template("c", c, rotations=(0.0,)), wall, template("s", square(10.0))]
    found = compacted(spread(ts, Field(width=20.0), (0.0, 0.0), (20.0, 0.0), (22.0, 0.0)))
    assert found.length == pytest.approx(22.0, abs=1e-3)


def test_a_lay_that_cannot_be_gained_on_comes_back_itself() -> None:
    lay = spread([template("a", square(10.0))], Field(width=10.0), (0.0, 0.0))
    assert compacted(lay) is lay
    nothing = Lay(Field(width=10.0), (), (), 0.0)
    assert compacted(nothing) is nothing


def test_a_lay_with_pieces_too_close_is_never_made_worse() -> None:
    ts = [template("a", square(10.0)), template("b", square(10.0))]
    wrong = spread(ts, Field(width=10.0), (0.0, 0.0), (5.0, 0.0))
    found = compacted(wrong)
    assert found is wrong or not faults(found)


def test_it_stops_when_asked() -> None:
    ts = [template(str(i), square(10.0)) for i in range(3)]
    lay = spread(ts, Field(width=10.0), (1.0, 0.0), (15.0, 0.0), (31.0, 0.0))
    assert compacted(lay, stop=lambda: True) is lay


@settings(max_examples=40, deadline=None)
@given(star_shaped(), star_shaped(), st.floats(0.0, 6.28), st.floats(0.0, 6.0), st.data())
def test_whatever_fulfils_the_half_planes_is_free(
    a: Array, b: Array, direction: float, beyond: float, data: st.DataObject
) -> None:
    region = no_fit(body(template("a", a), 0.0), 0.0, body(template("b", b), 0.0), 0.0)
    ray = shapely.LineString([(0.0, 0.0), (100.0 * np.cos(direction), 100.0 * np.sin(direction))])
    ends = shapely.get_coordinates(shapely.intersection(ray, region))
    out = float(np.hypot(*ends.T).max()) + beyond
    start = out * np.array([np.cos(direction), np.sin(direction)])
    planes = half_planes(walls(region), start, 12.0, np.array([-1.0, 0.0]))
    normal, offset = planes[:, :2], planes[:, 2]
    assert (normal @ start >= offset - 2e-6).all()
    inside = 0
    for _ in range(20):
        step = np.array([data.draw(st.floats(-12.0, 12.0)), data.draw(st.floats(-12.0, 12.0))])
        t = start + step
        if (normal @ t >= offset + 1e-5).all():
            inside += 1
            assert not shapely.intersects_xy(region, *t)


@settings(max_examples=15, deadline=None)
@given(st.lists(star_shaped(), min_size=2, max_size=7), st.sampled_from([0.0, 0.4]), st.booleans())
def test_a_row_of_any_polygons_gets_shorter_and_stays_a_lay(
    outlines: list[Array], gap: float, round_: bool
) -> None:
    ts = [template(str(i), curved(o) if round_ else o) for i, o in enumerate(outlines)]
    x, where = 0.0, []
    for t in ts:
        x0, y0, x1, _ = t.taken.bounds
        where.append((x - x0 + 1.0, -y0))
        x += x1 - x0 + 1.0 + gap
    lay = spread(ts, Field(width=50.0, gap=gap), *where)
    found = compacted(lay, 5.0)
    assert found.length < lay.length - 0.9
    assert not faults(found)
    assert not faults(replace(lay, placements=found.placements, length=found.length))
    shapes = areas(found)
    for i, a in enumerate(shapes):
        for b in shapes[i + 1 :]:
            assert a.buffer(-5e-5).intersection(b.buffer(-5e-5)).is_empty
            assert a.distance(b) >= gap - 1e-4
