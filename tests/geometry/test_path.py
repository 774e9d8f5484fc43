"""Paths: lengths, splits and motions exact to 1e-6 cm or better, against outside reckoning."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from pinwright.errors import GeometryError
from pinwright.geometry.curves import arc_radial_error
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path

from .curve_cases import armhole, dense, gentle_paths, hip_curve, motions

share = st.floats(0.001, 0.999)


@given(gentle_paths(), share)
@settings(max_examples=40, deadline=None)
def test_a_split_keeps_length_and_place(path: Path, t: float) -> None:
    s = t * path.length
    before, after = path.split(s)
    assert before.length == pytest.approx(s, abs=1e-9)
    assert before.length + after.length == pytest.approx(path.length, abs=1e-9)
    np.testing.assert_allclose(before.end, path.at(s), atol=1e-9)
    np.testing.assert_array_equal(before.end, after.start)
    np.testing.assert_array_equal(before.start, path.start)
    np.testing.assert_array_equal(after.end, path.end)
    joined = before + after
    assert shapely.hausdorff_distance(dense(joined, 400), dense(path, 400)) < 0.05
    probe = np.linspace(0.0, path.length, 23)
    np.testing.assert_allclose(joined.at(probe), path.at(probe), atol=1e-8)


@given(gentle_paths(), motions())
@settings(max_examples=40, deadline=None)
def test_motions_keep_lengths_and_carry_points(path: Path, m: Motion) -> None:
    moved = path.transformed(m)
    assert moved.length == pytest.approx(path.length, abs=1e-9)
    probe = np.linspace(0.0, path.length, 11)
    np.testing.assert_allclose(moved.at(probe), m.apply(path.at(probe)), atol=1e-8)


@given(gentle_paths())
@settings(max_examples=20, deadline=None)
def test_length_agrees_with_a_dense_polyline(path: Path) -> None:
    # Chords of a curve with curvature κ lose L κ² h² / 24; with 4000 to a span of some 10 cm
    # and κ below 3/cm that is under 1e-4. Richardson: halving the step takes the h² term out.
    fine, coarse = dense(path, 4000).length, dense(path, 2000).length
    assert path.length == pytest.approx(fine + (fine - coarse) / 3.0, abs=1e-6)


@given(gentle_paths())
@settings(max_examples=20, deadline=None)
def test_reversing_swaps_ends_and_measures_the_same(path: Path) -> None:
    back = path.reversed()
    assert back.length == pytest.approx(path.length, abs=1e-9)
    s = path.length * 0.3
    np.testing.assert_allclose(back.at(path.length - s), path.at(s), atol=1e-8)
    np.testing.assert_allclose(back.tangent(path.length - s), -path.tangent(s), atol=1e-7)


@pytest.mark.parametrize("sweep", [3.0, -40.0, 90.0, -180.0, 300.0, 360.0])
@pytest.mark.parametrize("radius", [0.5, 12.0, 95.0])
def test_arcs_against_the_circle(radius: float, sweep: float) -> None:
    arc = Path.arc((3.0, -2.0), radius, 20.0, sweep)
    exact = radius * abs(sweep) * pi / 180.0
    assert arc.length == pytest.approx(exact, rel=1e-8, abs=1e-9)
    s = np.linspace(0.0, arc.length, 301)
    away = np.hypot(*(arc.at(s) - (3.0, -2.0)).T)
    assert np.abs(away / radius - 1.0).max() < 1e-8
    angle = np.radians(20.0 + np.sign(sweep) * np.degrees(s / radius))
    expected = np.array([3.0, -2.0]) + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    np.testing.assert_allclose(arc.at(s), expected, atol=3e-8 * radius)
    assert arc.curvature(0.4 * arc.length) == pytest.approx(np.sign(sweep) / radius, rel=1e-4)


@pytest.mark.parametrize("step", [10.0, 15.0, 45.0, 90.0])
def test_the_stated_radial_error_of_one_cubic_is_the_measured_one(step: float) -> None:
    handle = 4.0 / 3.0 * np.tan(np.radians(step) / 4.0)
    end = np.array([np.cos(np.radians(step)), np.sin(np.radians(step))])
    back = end - handle * np.array([-end[1], end[0]])
    one = dense(Path.cubic((1.0, 0.0), (1.0, handle), back, end))
    radii = np.hypot(*np.array(one.coords).T)
    assert radii.min() > 1.0 - 1e-13
    assert radii.max() - 1.0 == pytest.approx(arc_radial_error(step), rel=1e-3)


def test_a_line_is_measured_by_pythagoras() -> None:
    line = Path.line((1.0, 1.0), (13.0, 6.0))
    assert line.length == pytest.approx(13.0, abs=1e-12)
    np.testing.assert_allclose(line.at(6.5), (7.0, 3.5), atol=1e-12)
    np.testing.assert_allclose(line.tangent(2.0), (12 / 13, 5 / 13), atol=1e-14)
    np.testing.assert_allclose(line.normal(2.0), (-5 / 13, 12 / 13), atol=1e-14)
    assert line.curvature(3.0) == pytest.approx(0.0, abs=1e-14)


@given(gentle_paths(), st.floats(-40, 40), st.floats(-40, 40))
@settings(max_examples=40, deadline=None)
def test_nearest_agrees_with_a_dense_polyline(path: Path, x: float, y: float) -> None:
    s, distance = path.nearest((x, y))
    outside = shapely.distance(shapely.Point(x, y), dense(path))
    assert distance == pytest.approx(outside, abs=1e-5)
    assert np.hypot(*(path.at(s) - (x, y))) == pytest.approx(distance, abs=1e-9)


def test_nearest_on_an_arc_is_radial() -> None:
    arc = Path.arc((0.0, 0.0), 10.0, 0.0, 90.0)
    s, distance = arc.nearest((3.0, 4.0))
    assert distance == pytest.approx(5.0, abs=1e-7)
    assert s == pytest.approx(10.0 * np.arctan2(4.0, 3.0), abs=1e-6)


@pytest.mark.parametrize("path", [hip_curve(), armhole(), Path.arc((0, 0), 7, 200, -300)])
@pytest.mark.parametrize("tolerance", [0.1, 0.01, 0.0005])
def test_a_polyline_keeps_its_tolerance(path: Path, tolerance: float) -> None:
    line = shapely.LineString(path.flatten(tolerance))
    away = shapely.distance(shapely.points(np.array(dense(path).coords)), line)
    assert away.max() <= tolerance + 1e-9
    np.testing.assert_array_equal(line.coords[0], path.start)
    np.testing.assert_array_equal(line.coords[-1], path.end)


@pytest.mark.parametrize("path", [hip_curve(), armhole(), Path.arc((0, 0), 7, 200, -300)])
def test_bounds_agree_with_a_dense_polyline(path: Path) -> None:
    np.testing.assert_allclose(path.bounds, dense(path, 20000).bounds, atol=1e-7)


def test_a_spline_through_points_is_scipys() -> None:
    pts = np.array([(0.0, 0.0), (3.0, 4.0), (9.0, 5.0), (14.0, 1.0), (22.0, 2.5)])
    knots = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(pts, axis=0).T))])
    start, end = np.array([0.0, 1.0]), np.array([0.6, 0.8])
    free = np.zeros(2)
    for given_ends, outside in (
        ((start, end), CubicSpline(knots, pts, bc_type=((1, start), (1, end)))),
        ((None, None), CubicSpline(knots, pts, bc_type="natural")),
        ((start, None), CubicSpline(knots, pts, bc_type=((1, start), (2, free)))),
    ):
        ours = Path.through(pts, *given_ends)
        for i, span in enumerate(ours.ctrl):
            for u in (0.0, 0.25, 0.7, 1.0):
                w = 1 - u
                q = (
                    w**3 * span[0]
                    + 3 * u * w * w * span[1]
                    + 3 * u * u * w * span[2]
                    + u**3 * span[3]
                )
                t = knots[i] + u * (knots[i + 1] - knots[i])
                np.testing.assert_allclose(q, outside(t), atol=1e-11)


def test_hermite_keeps_ends_directions_and_pulls() -> None:
    path = Path.hermite((0, 0), (0, 5), (6, 8), (2, 0), 0.4, 0.25)
    np.testing.assert_allclose(path.ctrl[0], [(0, 0), (0, 4), (3.5, 8), (6, 8)], atol=1e-12)


def test_subdividing_cuts_evenly_and_moves_nothing() -> None:
    path = armhole()
    parts = path.subdivided(1.5)
    lengths = np.diff(parts.cumulative)
    assert lengths.max() <= 1.5 + 1e-9
    np.testing.assert_allclose(lengths, path.length / parts.spans, atol=1e-9)
    probe = np.linspace(0, path.length, 50)
    np.testing.assert_allclose(parts.at(probe), path.at(probe), atol=1e-9)


def test_between_is_what_two_splits_leave() -> None:
    path = hip_curve()
    part = path.between(3.0, 11.5)
    assert part.length == pytest.approx(8.5, abs=1e-9)
    np.testing.assert_allclose(part.start, path.at(3.0), atol=1e-9)
    np.testing.assert_allclose(part.end, path.at(11.5), atol=1e-9)
    assert path.between(0.0, path.length) is path


def test_extending_runs_straight_on() -> None:
    path = armhole()
    longer = path.extended(2.0, 3.0)
    assert longer.length == pytest.approx(path.length + 5.0, abs=1e-9)
    np.testing.assert_allclose(longer.start, path.start - 2.0 * path.start_tangent, atol=1e-12)
    np.testing.assert_allclose(longer.end, path.end + 3.0 * path.end_tangent, atol=1e-12)
    assert path.extended() is path


def test_with_ends_is_a_similarity() -> None:
    path = armhole()
    p, q = np.array([1.0, 2.0]), np.array([12.0, -19.0])
    moved = path.with_ends(p, q)
    np.testing.assert_array_equal(moved.start, p)
    np.testing.assert_array_equal(moved.end, q)
    ratio = np.hypot(*(q - p)) / np.hypot(*(path.end - path.start))
    assert moved.length == pytest.approx(ratio * path.length, abs=1e-9)
    assert path.with_ends(path.start, path.end) is path


def test_tangents_survive_folded_handles() -> None:
    folded = Path.cubic((0, 0), (0, 0), (3, 4), (3, 4))
    np.testing.assert_allclose(folded.start_tangent, (0.6, 0.8), atol=1e-12)
    np.testing.assert_allclose(folded.end_tangent, (0.6, 0.8), atol=1e-12)
    hooked = Path.cubic((0, 0), (0, 0), (3, 0), (3, 4))
    np.testing.assert_allclose(hooked.start_tangent, (1.0, 0.0), atol=1e-12)


def test_an_unchanged_path_is_the_same_object() -> None:
    path = hip_curve()
    assert path.transformed(Motion.rotation(0.0, (4, 4))) is path
    assert path.offset(0.0) is path


def test_paths_cannot_be_written_to() -> None:
    path = hip_curve()
    with pytest.raises(ValueError, match="read-only"):
        path.ctrl[0, 0, 0] = 1.0


def test_bad_paths_are_refused_in_a_sentence() -> None:
    line = Path.line((0, 0), (1, 0))
    for make, words in (
        (lambda: line + Path.line((2, 0), (3, 0)), "hang together"),
        (lambda: Path(np.zeros((3, 2))), "shape"),
        (lambda: Path(np.full((1, 4, 2), np.nan)), "not finite"),
        (lambda: line.at(1.5), "outside the path"),
        (lambda: line.split(0.0), "inside the path"),
        (lambda: line.between(0.5, 0.5), "s0 < s1"),
        (lambda: Path.arc((0, 0), -1.0, 0, 90), "radius"),
        (lambda: Path.arc((0, 0), 1.0, 0, 400), "sweep"),
        (lambda: Path.through([(0, 0), (0, 0), (1, 1)]), "coincide"),
        (lambda: Path.hermite((0, 0), (0, 0), (1, 1), (1, 0)), "no length"),
        (lambda: line.flatten(0.0), "tolerance"),
        (lambda: line.subdivided(0.0), "longest span"),
        (lambda: line.extended(-1.0), "0 or more"),
    ):
        with pytest.raises(GeometryError, match=words):
            make()
