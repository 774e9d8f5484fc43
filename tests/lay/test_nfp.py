"""No-fit and inner-fit regions against hand computation and shapely, outlines simplified."""

from __future__ import annotations

import numpy as np
import pyclipper
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.lay.convolution import cycles
from pinwright.cutting.lay.nfp import COARSE, Body, body, inside_box, inside_outline, no_fit
from pinwright.cutting.lay.outward import simplified
from pinwright.cutting.lay.placing import Array, turned

from .shapes import box, curved, ell, square, star_shaped, template


def of(outline: Array, gap: float = 0.0) -> Body:
    return body(template("a", outline), gap)


def same(found: shapely.Geometry, wanted: shapely.Geometry) -> bool:
    return bool(shapely.symmetric_difference(found, wanted).area < 1e-3)


def test_two_squares_overlap_within_the_sum_of_their_sides() -> None:
    found = no_fit(of(square(10.0)), 0.0, of(square(4.0)), 0.0)
    assert found.bounds == pytest.approx((-4.0, -4.0, 10.0, 10.0), abs=5e-6)
    assert same(found, shapely.box(-4.0, -4.0, 10.0, 10.0))


def test_the_gap_is_kept_from_side_to_side_and_round_corners() -> None:
    found = no_fit(of(square(10.0), 1.0), 0.0, of(square(4.0), 1.0), 0.0)
    exact = shapely.box(-4.0, -4.0, 10.0, 10.0).buffer(1.0, quad_segs=64)
    assert shapely.difference(exact, found.buffer(1e-5)).is_empty
    assert shapely.hausdorff_distance(exact.boundary, found.boundary) < 2.0 * COARSE + 0.1


def test_a_square_goes_into_the_hollow_of_an_l() -> None:
    found = no_fit(of(ell(10.0, 4.0)), 0.0, of(square(6.0)), 0.0)
    assert not shapely.intersects_xy(found, 4.0, 4.0)
    assert shapely.intersects_xy(found, 3.99, 4.0)
    # (10 + 6) squared, less the hollow above and right of (4, 4): 6 by 6.
    assert found.area == pytest.approx(16.0**2 - 6.0**2, abs=1e-3)


def test_a_shape_that_fits_inside_a_closed_frame_leaves_a_hole() -> None:
    # A C whose mouth, 2 wide, is narrower than a square of 3, and whose room is 6 by 6.
    room = [(8, 4), (8, 2), (2, 2), (2, 8), (8, 8), (8, 6)]
    c = np.array([(0, 0), (10, 0), (10, 4), *room, (10, 6), (10, 10), (0, 10)], dtype=float)
    found = no_fit(of(c), 0.0, of(square(3.0)), 0.0)
    holes = shapely.polygons(found.interiors)
    assert len(holes) == 1
    assert same(holes[0], shapely.box(2.0, 2.0, 5.0, 5.0))


def test_no_fit_the_other_way_round_is_the_opposite() -> None:
    a, b = of(ell()), of(box(7.0, 3.0))
    back = shapely.transform(no_fit(b, 30.0, a, 10.0), np.negative)
    assert same(no_fit(a, 10.0, b, 30.0), back)


@settings(max_examples=60, deadline=None)
@given(star_shaped(), star_shaped(), st.sampled_from([0.0, 180.0, 90.0, 7.0]), st.data())
def test_a_shift_is_in_the_region_exactly_if_the_polygons_overlap(
    a: Array, b: Array, rotation: float, data: st.DataObject
) -> None:
    found = no_fit(of(a), 0.0, of(b), rotation)
    for _ in range(12):
        x, y = data.draw(st.floats(-40.0, 40.0)), data.draw(st.floats(-40.0, 40.0))
        moved = shapely.Polygon(turned(b, rotation) + np.array([x, y]))
        shared = shapely.Polygon(a).intersection(moved).area
        apart = shapely.Polygon(a).distance(moved)
        if shared > 0.2:
            assert shapely.intersects_xy(found, x, y)
        if apart > 2.0 * COARSE + 1e-5:
            assert not shapely.intersects_xy(found, x, y)


def test_an_exact_fit_across_is_allowed_and_more_is_not() -> None:
    assert inside_box(of(square(10.0)), 0.0, 30.0, 10.0) == pytest.approx((0.0, 0.0, 20.0, 0.0))
    assert inside_box(of(square(10.0)), 0.0, 30.0, 9.999) is None


def test_inside_an_l_shaped_remnant_a_square_has_an_l_of_places() -> None:
    found = inside_outline(of(square(3.0)), 0.0, ell(10.0, 4.0))
    # Its corner goes along each arm: 7 by 1, and 1 by 7.
    wanted = shapely.union(shapely.box(0.0, 0.0, 7.0, 1.0), shapely.box(0.0, 0.0, 1.0, 7.0))
    assert same(found, wanted)


def test_a_square_as_wide_as_the_arms_goes_along_them_exactly() -> None:
    found = inside_outline(of(square(4.0)), 0.0, ell(10.0, 4.0))
    assert not found.is_empty
    assert found.bounds == pytest.approx((0.0, 0.0, 6.0, 6.0), abs=1e-5)


def test_what_is_larger_than_the_remnant_has_no_place() -> None:
    assert inside_outline(of(square(11.0)), 0.0, square(10.0)).is_empty
    assert inside_outline(of(square(5.0)), 0.0, ell(10.0, 4.0)).is_empty


@settings(max_examples=60, deadline=None)
@given(star_shaped(), star_shaped(), st.data())
def test_inner_places_are_those_where_shapely_finds_the_piece_inside(
    outline: Array, piece: Array, data: st.DataObject
) -> None:
    small = piece * 0.35
    found = inside_outline(of(small), 0.0, outline)
    whole = shapely.Polygon(outline)
    for _ in range(12):
        x, y = data.draw(st.floats(-15.0, 15.0)), data.draw(st.floats(-15.0, 15.0))
        moved = shapely.Polygon(small + np.array([x, y]))
        if shapely.intersects_xy(found, x, y):
            assert whole.buffer(1e-5).covers(moved)
        elif whole.covers(moved):
            # Only the outward simplification may have cost it its place.
            assert moved.distance(whole.boundary) < COARSE + 1e-5


@settings(max_examples=60, deadline=None)
@given(star_shaped())
def test_a_simplified_outline_covers_the_true_one_and_is_nowhere_far_out(outline: Array) -> None:
    ring = curved(outline)
    found = shapely.Polygon(simplified(ring, 0.03))
    true = shapely.Polygon(ring)
    assert found.is_valid
    assert shapely.difference(true, found).area < 1e-6
    assert shapely.difference(found, true.buffer(0.03 + 1e-6, quad_segs=32)).area < 1e-4
    assert len(found.exterior.coords) - 1 < len(ring)


def test_a_circle_keeps_no_more_corners_than_it_must_twice_over() -> None:
    angles = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    found = simplified(10.0 * np.stack([np.cos(angles), np.sin(angles)], axis=1), 0.03)
    # A polygon round a circle of 10, its corners 0.03 out, has pi / acos(10 / 10.03) = 41.
    assert 41 <= len(found) <= 82


def test_a_corner_that_costs_more_than_the_tolerance_stays_exactly() -> None:
    assert np.array_equal(simplified(ell(), 0.03), ell())


def test_cloth_held_back_is_taken_too() -> None:
    b = body(template("a", square(10.0), kept=2.0), 0.0)
    assert b.bounds(0.0) == pytest.approx((-2.0, -2.0, 12.0, 12.0))


def test_corners_on_top_of_each_other_change_nothing() -> None:
    # 1e-7 cm apart: one corner in the whole units of the sums.
    doubled = np.array([(0, 0), (1e-7, 0), (10, 0), (10, 10), (10, 10 + 1e-7), (0, 10)], float)
    found = no_fit(of(doubled), 0.0, of(ell()), 0.0)
    assert same(found, no_fit(of(square(10.0)), 0.0, of(ell()), 0.0))


@settings(max_examples=40, deadline=None)
@given(star_shaped(), star_shaped())
def test_the_convolution_fills_clippers_own_sum(a: Array, b: Array) -> None:
    p, q = (np.rint(x * 1e4).astype(np.int64) for x in (a, b))
    joint = pyclipper.Pyclipper()
    swept = pyclipper.MinkowskiSum(q.tolist(), p.tolist(), True)
    for ring in (*swept, (p + q[0]).tolist(), (q + p[0]).tolist()):
        joint.AddPath(ring, pyclipper.PT_SUBJECT, True)
    wanted = joint.Execute(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    ours = pyclipper.Pyclipper()
    ours.AddPaths([c.tolist() for c in cycles(p, q)], pyclipper.PT_SUBJECT, True)
    found = ours.Execute(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    around = sum(shapely.LinearRing(r).length for r in wanted)
    both = pyclipper.Pyclipper()
    both.AddPaths(wanted, pyclipper.PT_SUBJECT, True)
    both.AddPaths(found, pyclipper.PT_CLIP, True)
    differ = both.Execute(pyclipper.CT_XOR, pyclipper.PFT_EVENODD, pyclipper.PFT_EVENODD)
    # Clipper rounds where edges cross to whole units: at most one unit all round.
    assert sum(abs(pyclipper.Area(r)) for r in differ) < around


@settings(max_examples=60, deadline=None)
@given(star_shaped(), st.sampled_from([0.2, 0.5, 2.0]))
def test_half_the_gap_is_all_round_even_at_sharp_corners(outline: Array, gap: float) -> None:
    grown = shapely.Polygon(of(outline, gap).points)
    exact = shapely.Polygon(outline).buffer(gap / 2.0, quad_segs=128)
    assert shapely.difference(exact, grown.buffer(5e-6)).is_empty
    far = shapely.get_coordinates(shapely.segmentize(grown, 0.1))
    assert shapely.distance(shapely.Polygon(outline), shapely.points(far)).max() < (
        1.05 * gap / 2.0 + COARSE + 1e-6
    )
