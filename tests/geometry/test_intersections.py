"""Crossings against closed forms and shapely on dense polylines."""

from __future__ import annotations

from math import asin, pi, sqrt
from time import perf_counter

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings

from pinwright.geometry.path import Path

from .curve_cases import cubics, dense, gentle_paths, hip_curve


def outside_points(a: Path, b: Path) -> list[tuple[float, float]]:
    met = shapely.intersection(dense(a, 2000), dense(b, 2000))
    return [(g.centroid.x, g.centroid.y) for g in getattr(met, "geoms", [met]) if not g.is_empty]


def test_a_line_through_a_circle() -> None:
    circle = Path.arc((0.0, 0.0), 10.0, -90.0, 360.0)
    for height in (-9.0, -2.5, 0.3, 7.0, 9.99):
        hits = circle.intersections(Path.line((-15.0, height), (15.0, height)))
        half = sqrt(100.0 - height * height)
        right = 10.0 * (asin(height / 10.0) + pi / 2)
        expected = [(right, 15.0 + half), (20.0 * pi - right, 15.0 - half)]
        # the arc itself is 6e-9 of its radius out, which a shallow line magnifies
        np.testing.assert_allclose(hits, expected, atol=2e-6)


def test_a_line_past_or_touching_a_circle() -> None:
    circle = Path.arc((0.0, 0.0), 10.0, -90.0, 360.0)
    assert circle.intersections(Path.line((-15.0, 10.01), (15.0, 10.01))) == []
    parabola = Path.cubic((-2, 4), (-2 / 3, -4 / 3), (2 / 3, -4 / 3), (2, 4))  # y = x²
    (touch,) = parabola.intersections(Path.line((-1.0, 0.0), (2.0, 0.0)))
    assert touch == pytest.approx((parabola.length / 2, 1.0), abs=1e-4)


def test_two_parabolas_cross_where_algebra_says() -> None:
    # y = x² and x = y² on [-2, 2]: at (0, 0) and (1, 1).
    up = Path.cubic((-2, 4), (-2 / 3, -4 / 3), (2 / 3, -4 / 3), (2, 4))
    side = Path.cubic((4, -2), (-4 / 3, -2 / 3), (-4 / 3, 2 / 3), (4, 2))
    points = sorted(up.at(s).round(9).tolist() for s, _ in up.intersections(side))
    np.testing.assert_allclose(points, [(0, 0), (1, 1)], atol=1e-8)


def test_nine_crossings_of_two_cubics() -> None:
    # y = T3(x) and x = T3(y), Chebyshev: all nine crossings lie in [-1, 1]² (Bézout's bound).
    # With x = cos t: cos 9t = cos t, so t = kπ/4 or kπ/5.
    wave = np.array([(-1.0, -1.0), (-1 / 3, 5.0), (1 / 3, -5.0), (1.0, 1.0)])
    hits = Path(wave[None]).intersections(Path(wave[None, :, ::-1]))
    t = np.array([k * pi / 4 for k in range(5)] + [k * pi / 5 for k in range(1, 5)])
    expected = sorted(zip(np.cos(t).round(9), np.cos(3 * t).round(9), strict=True))
    found = sorted(tuple(Path(wave[None]).at(s).round(9)) for s, _ in hits)
    assert len(hits) == 9
    np.testing.assert_allclose(found, expected, atol=1e-7)


@given(cubics(), cubics())
@settings(max_examples=60, deadline=None)
def test_any_two_cubics_against_dense_polylines(
    a: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    b: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> None:
    one, two = Path(a[None]), Path(b[None])
    hits = one.intersections(two)
    for s, t in hits:
        np.testing.assert_allclose(one.at(s), two.at(t), atol=1e-7)
    outside = outside_points(one, two)
    assume(len(outside) <= 9)  # Bézout: more means that they are the same curve
    for point in outside:
        # polylines of 2000 chords are up to 2e-4 cm off these curves, and cross at an angle
        near = min((np.hypot(*(one.at(s) - point)) for s, _ in hits), default=np.inf)
        if near > 0.05:
            _, gap_one = one.nearest(point)
            _, gap_two = two.nearest(point)
            pytest.fail(f"missed {point}: {near} from the next hit, gaps {gap_one} {gap_two}")


@given(gentle_paths(), gentle_paths())
@settings(max_examples=40, deadline=None)
def test_paths_cross_as_often_as_their_polylines(one: Path, two: Path) -> None:
    outside = outside_points(one, two)
    hits = one.intersections(two)
    for s, t in hits:  # polylines cannot count touches, nor ends that only just arrive
        p, q = one.tangent(s), two.tangent(t)
        assume(abs(p[0] * q[1] - p[1] * q[0]) > 0.02)
        assume(0.01 < s < one.length - 0.01 and 0.01 < t < two.length - 0.01)
    assert len(hits) == len(outside)
    for s, t in hits:
        np.testing.assert_allclose(one.at(s), two.at(t), atol=1e-8)
        assert min(np.hypot(*(one.at(s) - p)) for p in outside) < 0.01


def test_a_crossing_at_a_joint_is_one_crossing() -> None:
    bent = Path.polyline([(0, 0), (5, 5), (10, 0)])
    assert bent.intersections(Path.line((5, 0), (5, 9))) == [
        pytest.approx((5 * sqrt(2), 5.0), abs=1e-9)
    ]


def test_ends_that_touch_are_found() -> None:
    seam = hip_curve()
    here = seam.at(7.0)
    ((s, t),) = Path.line(here, np.add(here, (4.0, 1.0))).intersections(seam)
    assert s == pytest.approx(0.0, abs=1e-8)
    assert t == pytest.approx(7.0, abs=1e-8)


def test_paths_along_each_other_give_the_ends_of_the_shared_stretch() -> None:
    line = Path.line((0, 0), (10, 0))
    assert line.intersections(Path.line((14, 0), (4, 0))) == [
        pytest.approx((4.0, 10.0), abs=1e-9),
        pytest.approx((10.0, 4.0), abs=1e-9),
    ]
    curve = Path.cubic((0, 0), (4, 6), (9, 5), (12, 1))
    part = curve.between(2.0, 9.0)
    np.testing.assert_allclose(curve.intersections(part), [(2.0, 0.0), (9.0, 7.0)], atol=1e-7)


def test_parallel_lines_never_meet() -> None:
    line = Path.line((0, 0), (10, 3))
    assert line.intersections(Path.line((0, 1e-6), (10, 3 + 1e-6))) == []


def test_nearly_coinciding_curves_are_answered_and_quickly() -> None:
    curve = Path.cubic((0, 0), (4, 6), (9, 5), (12, 1))
    for apart in (1e-4, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10):
        beside = Path(curve.ctrl + np.array([0.0, apart]))
        began = perf_counter()
        hits = curve.intersections(beside)
        assert perf_counter() - began < 2.0
        for s, t in hits:
            np.testing.assert_allclose(curve.at(s), beside.at(t), atol=2e-6)
