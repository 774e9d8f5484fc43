"""Tables of depths: which shifts overlap is exact, how deep is right to a step."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.lay.depths import depths, nodes_inside
from pinwright.cutting.lay.placing import Field, Phase, Placement, lying
from pinwright.cutting.lay.tables import Tables

from .shapes import box, curved, ell, star_shaped, template


def test_the_depth_in_a_rectangle_is_the_distance_to_its_nearest_side() -> None:
    table = depths(shapely.box(1.1, 2.1, 6.9, 12.9), (0.5, 0.5))
    assert table is not None
    for i in range(-2, 20):
        for j in range(-2, 32):
            x, y = 0.5 * i, 0.5 * j
            side = min(x - 1.1, 6.9 - x, y - 2.1, 12.9 - y)
            if side <= 0.0:
                assert table.at(i, j) == 0.0
            else:  # measured to the nearest free node, less than a step beyond the side
                assert side <= table.at(i, j) < side + 0.5
    assert all(
        table.opposite.at(-i, -j) == table.at(i, j) for i in range(20) for j in range(0, 30, 7)
    )


def test_where_there_is_nothing_there_is_no_table() -> None:
    assert depths(shapely.Polygon(), (0.5, 0.5)) is None
    assert depths(shapely.box(0.1, 0.1, 0.4, 0.4), (0.5, 0.5)) is None
    assert depths(shapely.box(0.1, 0.1, 0.4, 0.4), (0.5, 0.5), (0.2, 0.2)) is not None


@given(star_shaped(), st.floats(0.0, 0.9), st.floats(0.0, 0.7), st.booleans())
@settings(max_examples=60, deadline=None)
def test_the_nodes_inside_are_those_shapely_finds(
    ring: np.ndarray[tuple[int, int], np.dtype[np.float64]], ox: float, oy: float, hole: bool
) -> None:
    region: shapely.Geometry = shapely.Polygon(ring)
    if hole:
        inner = region.buffer(-0.3 * float(np.sqrt(region.area)))
        region = region.difference(inner)
    step, offset = (0.9, 0.7), (ox, oy)
    (i, j), inside = nodes_inside(region, step, offset)
    xs = offset[0] + step[0] * (i + np.arange(inside.shape[0]))
    ys = offset[1] + step[1] * (j + np.arange(inside.shape[1]))
    gx, gy = np.meshgrid(xs, ys, indexing="ij")
    true = shapely.contains_xy(region, gx, gy)
    edge = shapely.distance(region.boundary, shapely.points(gx, gy)) < 1e-9
    assert np.array_equal(inside[~edge], true[~edge])
    # nothing of it lies outside the table
    assert offset[0] + step[0] * i <= region.bounds[0] + 1e-9
    assert xs[-1] >= region.bounds[2] - 1e-9


@given(st.integers(-30, 60), st.integers(-30, 60), st.sampled_from([0, 1]), st.sampled_from([0, 1]))
@settings(max_examples=60, deadline=None)
def test_a_depth_says_exactly_whether_two_pieces_are_too_near(
    a: int, b: int, k: int, m: int
) -> None:
    phase = (Phase("along", (3.0, 2.0), 1.3),)
    pieces = [template("a", curved(ell(9.0, 4.0))), template("b", box(7.0, 5.0), phases=phase)]
    field = Field(60.0, gap=0.4, repeat=(5.0, 0.0), turns=True)
    tables = Tables(field, pieces)
    first, second = tables.ways[0][k], tables.ways[1][m]
    laid = []
    for t, way, node in ((pieces[0], first, (40, 40)), (pieces[1], second, (40 + a, 40 + b))):
        x, y = tables.position(way, node)
        at = Placement(t.key, x, y, way.kind.said)
        laid.append(shapely.Polygon(lying(t, t.outline, at)))
    table = tables.pair((0, k), (1, m))
    depth = 0.0 if table is None else table.at(a, b)
    apart = laid[0].distance(laid[1])
    # the outline is simplified outwards by up to 0.03 cm, and round corners by chords
    if apart < 0.4 - 1e-4:
        assert depth > 0.0
    elif apart > 0.4 + 0.1:
        assert depth == 0.0


def test_pieces_in_a_repeat_stand_at_its_nodes_and_nowhere_else() -> None:
    phases = (Phase("along", (4.0, 2.0), 1.25), Phase("across", (4.0, 2.0), 0.5))
    piece = template("a", box(10.0, 6.0), phases=phases)
    field = Field(40.0, gap=0.3, repeat=(5.0, 3.0), turns=True)
    tables = Tables(field, [piece])
    assert tables.step == pytest.approx((5.0 / 14.0, 0.375))
    for way in tables.ways[0]:
        for axis, node in (
            (0, (tables.axis(way, 0, 60.0)[1], 0)),
            (1, (0, tables.axis(way, 1, 60.0)[1])),
        ):
            at = Placement("a", *tables.position(way, node), way.kind.said)
            point = lying(piece, np.array([4.0, 2.0]), at)[axis]
            repeat, residue = ((5.0, 1.25), (3.0, 0.5))[axis]
            assert (point - residue + 1e-6) % repeat == pytest.approx(1e-6, abs=1e-9)
        xs = tables.axis(way, 0, 60.0)
        low, high = (tables.position(way, (xs[i], 0))[0] for i in (0, -1))
        assert low + way.kind.least[0] >= -1e-6
        assert high + way.kind.most[0] <= 60.0 + 1e-6
        assert low - 5.0 + way.kind.least[0] < 0.0
        assert high + 5.0 + way.kind.most[0] > 60.0


def test_where_tables_would_be_too_many_pieces_lie_straight() -> None:
    """Of ten ways each the least tilted are kept, both ways up."""
    turns = tuple(t + up for up in (0.0, 180.0) for t in (0.0, -3.0, -1.5, 1.5, 3.0))
    some = [template(str(i), box(10.0 + i, 6.0), rotations=turns) for i in range(3)]
    for most, ways in ((300.0, 10), (100.0, 6), (20.0, 2), (1.0, 2)):
        tables = Tables(Field(40.0), some, most=most)
        assert [len(w) for w in tables.ways] == [ways] * 3
        said = {w.kind.said for there in tables.ways for w in there}
        assert {0.0, 180.0} <= said
        if ways == 6:
            assert said == {0.0, 180.0, 358.5, 1.5, 178.5, 181.5}
