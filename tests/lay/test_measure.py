"""Figures of a lay: by hand, against dissections whose least length is known, by brute force."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.ops import split

from pinwright.cutting.lay import engine
from pinwright.cutting.lay.measure import _largest, empty_rectangles, lower_bound, measured
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template


def rectangle(key: str, along: float, across: float, **more: object) -> Template:
    outline = np.array([[0.0, 0.0], [along, 0.0], [along, across], [0.0, across]])
    return replace(Template(key, "jacket", key, "both", outline), **more)  # type: ignore[arg-type]


def test_figures_of_a_lay_by_hand() -> None:
    # 30 by 20 in the corner of 60 by 40 cm used, 10 by 40 at the end: 600 + 400 of 2400 cm2
    pieces = (rectangle("a", 30.0, 20.0), rectangle("b", 10.0, 40.0))
    lay = Lay(Field(40.0), pieces, (Placement("a", 0, 0), Placement("b", 50, 0)), 60.0)
    got = measured(lay, rectangles=2)
    assert got.density == pytest.approx(1000.0 / 2400.0)
    assert got.waste == pytest.approx(1400.0)
    assert got.usable == pytest.approx(1400.0, abs=2.0)  # round corners of the test circle
    assert got.end == 0.0
    assert got.rectangles == ((0.0, 20.0, 50.0, 40.0), (30.0, 0.0, 50.0, 20.0))
    assert got.held == 0.0
    assert got.over == pytest.approx(60.0 / got.bound - 1.0)


def test_on_folded_cloth_everything_is_cut_twice() -> None:
    pieces = (rectangle("a", 30.0, 20.0, plies=2), rectangle("b", 10.0, 40.0, plies=1))
    lay = Lay(Field(40.0, folded=True), pieces, (Placement("a", 0, 0), Placement("b", 30, 0)), 40.0)
    assert measured(lay).density == pytest.approx((2 * 600 + 400) / (2 * 1600))


def test_cloth_at_the_end_and_crumbs() -> None:
    # a slit 0.6 wide between two pieces is of no use; 5 cm across the end is
    pieces = (rectangle("a", 30.0, 20.0), rectangle("b", 30.0, 19.4), rectangle("c", 35.0, 10.0))
    at = (Placement("a", 0, 0), Placement("b", 0, 20.6), Placement("c", 0, 40.0))
    got = measured(Lay(Field(50.0), pieces, at, 35.0))
    assert got.waste == pytest.approx(0.6 * 30 + 5 * 40)
    assert got.usable == pytest.approx(5 * 40, abs=2.0)
    assert got.end == pytest.approx(5 * 40, abs=2.0)


def test_cloth_held_back_is_not_waste() -> None:
    c = rectangle("c", 10.0, 10.0, kept=1.0, stage="after")
    got = measured(Lay(Field(12.0), (c,), (Placement("c", 1.0, 1.0),), 12.0))
    assert got.held == pytest.approx(44.0)
    assert got.waste == pytest.approx(0.0, abs=1e-9)
    assert got.density == pytest.approx(100.0 / 144.0)


def test_pieces_wider_than_half_the_cloth_lie_one_behind_another() -> None:
    wide = [rectangle(f"w{i}", 10.0 + i, 26.0) for i in range(4)]
    assert lower_bound(wide, Field(50.0)) == pytest.approx(10 + 11 + 12 + 13)
    # two of 24.9 and a gap of 0.3 do not stand on 50 cm either
    near = [rectangle(f"w{i}", 10.0, 24.9) for i in range(4)]
    assert lower_bound(near, Field(50.0, gap=0.3)) == pytest.approx(40.0)
    assert lower_bound(near, Field(50.0)) == pytest.approx(20.0)
    # of three a little over a third, only two stand side by side
    thirds = [rectangle(f"t{i}", 10.0, 17.0) for i in range(6)]
    assert lower_bound(thirds, Field(50.0)) == pytest.approx(30.0)


def test_the_longest_piece_bounds_the_lay() -> None:
    assert lower_bound([rectangle("a", 90.0, 3.0)], Field(50.0)) == pytest.approx(90.0)
    turns = rectangle("a", 40.0, 3.0, rotations=(0.0, 90.0))
    assert lower_bound([turns], Field(50.0)) == pytest.approx(3.0)
    assert lower_bound([], Field(50.0)) == 0.0


def test_a_cut_is_wide_only_where_the_piece_is() -> None:
    # triangles 40 along, 30 at the wide end on 40 cm: wider than 20 for a third of the length
    outline = np.array([[0.0, 0.0], [30.0, 0.0], [0.0, 30.0]])
    triangles = [replace(rectangle(f"t{i}", 1, 1), outline=outline) for i in range(6)]
    # area: 6 x 450 / 40 = 67.5; cuts over 20: 6 x 10 = 60
    assert lower_bound(triangles, Field(40.0)) == pytest.approx(67.5)


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_no_bound_is_above_a_lay_that_exists(data: st.DataObject) -> None:
    """A sheet cut up by straight cuts is a lay of its parts that leaves nothing."""
    width, length = 60.0, data.draw(st.floats(40.0, 120.0))
    parts = [shapely.box(0.0, 0.0, length, width)]
    for _ in range(data.draw(st.integers(1, 7))):
        parts.sort(key=lambda p: float(p.area))
        x0, y0, x1, y1 = parts[-1].bounds
        u, v = data.draw(st.floats(0.1, 0.9)), data.draw(st.floats(0.1, 0.9))
        if data.draw(st.booleans()):
            line = [(x0 + u * (x1 - x0), y0 - 1), (x0 + v * (x1 - x0), y1 + 1)]
        else:
            line = [(x0 - 1, y0 + u * (y1 - y0)), (x1 + 1, y0 + v * (y1 - y0))]
        cut = split(parts.pop(), shapely.LineString(line)).geoms
        parts += [p for p in cut if p.area > 1.0]
    pieces = [
        replace(rectangle(str(i), 1, 1), outline=np.array(p.exterior.coords)[:-1])
        for i, p in enumerate(parts)
    ]
    bound = lower_bound(pieces, Field(width))
    assert bound <= length + 1e-6
    assert bound >= sum(t.area for t in pieces) / width - 1e-6
    # with a gap: every part trimmed all round by half of it, on cloth narrower by a gap
    trimmed = [p.buffer(-0.5, join_style="mitre") for p in parts]
    kept = [
        replace(rectangle(str(i), 1, 1), outline=np.array(p.exterior.coords)[:-1])
        for i, p in enumerate(trimmed)
        if isinstance(p, shapely.Polygon) and p.area > 1.0
    ]
    if kept:
        assert lower_bound(kept, Field(width - 1.0, gap=1.0)) <= length + 1e-6


def test_a_real_lay_is_above_its_bound() -> None:
    outline = np.array([[0.0, 0.0], [50.0, 5.0], [50.0, 20.0], [20.0, 28.0], [0.0, 22.0]])
    pieces = [replace(rectangle(f"l{i}", 1, 1), outline=outline) for i in range(8)]
    lay = engine.packed(pieces, Field(60.0, gap=0.3), 2)
    got = measured(lay)
    assert got.bound <= lay.length
    # all cloth used is piece or waste
    assert got.waste == pytest.approx(60.0 * lay.length * (1.0 - got.density), rel=1e-9)


@given(st.integers(0, 2**30 - 1))
@settings(max_examples=100, deadline=None)
def test_the_largest_empty_rectangle_against_trying_all(bits: int) -> None:
    empty = np.array([bool(bits >> i & 1) for i in range(30)]).reshape(5, 6)
    best = max(
        (
            (i1 - i0) * (j1 - j0)
            for i0 in range(5)
            for i1 in range(i0 + 1, 6)
            for j0 in range(6)
            for j1 in range(j0 + 1, 7)
            if empty[i0:i1, j0:j1].all()
        ),
        default=0,
    )
    i0, j0, i1, j1 = _largest(empty)
    assert (i1 - i0) * (j1 - j0) == best
    assert best == 0 or empty[i0:i1, j0:j1].all()


def test_no_rectangles_are_named_on_full_cloth() -> None:
    assert empty_rectangles(shapely.Polygon(), (0.0, 0.0, 50.0, 50.0), 3) == ()
