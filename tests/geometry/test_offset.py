"""Parallels: the distance proven by sampling, the closed forms of lines, corners and circles."""

from __future__ import annotations

from math import pi, sqrt, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pinwright.errors import GeometryError
from pinwright.geometry.path import Path

from .curve_cases import armhole, dense, gentle_paths, hip_curve


def distances(of: Path, to: Path) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    points = np.array(dense(of, 120).coords)
    line = dense(to, 1500)
    shapely.prepare(line)
    return np.asarray(shapely.distance(shapely.points(points), line))


@pytest.mark.parametrize("path", [hip_curve(), armhole(), Path.arc((0, 0), 8, 10, 150)])
@pytest.mark.parametrize("d", [0.6, 1.0, -1.5, -4.0, 2.0])
@pytest.mark.parametrize("tolerance", [0.005, 0.0002])
def test_every_point_keeps_the_distance(path: Path, d: float, tolerance: float) -> None:
    away = distances(path.offset(d, tolerance=tolerance), path)
    assert away.min() >= abs(d) - tolerance
    assert away.max() <= abs(d) + tolerance


@given(gentle_paths(), st.floats(0.3, 2.5), st.booleans())
@settings(max_examples=40, deadline=None)
def test_any_gentle_path_keeps_the_distance_or_says_why_not(
    path: Path, size: float, right: bool
) -> None:
    d = -size if right else size
    try:
        parallel = path.offset(d)
    except GeometryError as refusal:
        # Only an end that lies too near some other part of the path may be refused.
        normals = np.array([path.normal(0.0), path.normal(path.length)])
        ends = np.array([path.start, path.end]) + d * normals
        near = shapely.distance(shapely.points(ends), dense(path)).min()
        if near >= size - 1e-4:
            pytest.fail(f"refused although both ends are clear: {refusal}")
        return
    away = distances(parallel, path)
    assert away.min() >= size - 0.005
    assert away.max() <= size + 0.005


@given(gentle_paths(), st.floats(0.3, 1.5))
@settings(max_examples=25, deadline=None)
def test_no_part_of_the_parallel_is_missing(path: Path, d: float) -> None:
    """Points of the true parallel that are d from the whole path lie on what is returned."""
    try:
        parallel = path.offset(d)
    except GeometryError:
        assume(False)
        raise
    s = np.linspace(0.0, path.length, 41)
    true = path.at(s) + d * path.normal(s)
    clear = shapely.distance(shapely.points(true), dense(path)) > d - 1e-6
    missed = shapely.distance(shapely.points(true[clear]), dense(parallel, 3000))
    # beyond a trimmed loop a clear point may sit in a pocket that is cut off from both ends
    if shapely.LineString(dense(path)).buffer(d - 0.01).interiors:
        assume(False)
    assert missed.max(initial=0.0) < 0.01


def test_a_line_moves_square_to_itself_exactly() -> None:
    moved = Path.line((1.0, 2.0), (13.0, 7.0)).offset(2.6)
    np.testing.assert_allclose(moved.ctrl[:, [0, 3]], [[(0.0, 4.4), (12.0, 9.4)]], atol=1e-12)
    assert moved.spans == 1


@pytest.mark.parametrize(("d", "radius"), [(1.5, 8.5), (-2.0, 12.0)])
def test_the_parallel_of_an_arc_is_the_arc_beside_it(d: float, radius: float) -> None:
    moved = Path.arc((0.0, 0.0), 10.0, 0.0, 120.0).offset(d)
    assert moved.length == pytest.approx(radius * 2.0 * pi / 3.0, abs=0.001)
    radii = np.hypot(*np.array(dense(moved, 500).coords).T)
    np.testing.assert_allclose(radii, radius, atol=1e-4)


def test_a_mitred_corner_is_where_the_parallels_meet() -> None:
    bent = Path.polyline([(0, 0), (10, 0), (10, 10)])
    outer, inner = bent.offset(-1.0), bent.offset(1.0)
    np.testing.assert_allclose(outer.ctrl[:, 3], [(11, -1), (11, 10)], atol=1e-12)
    np.testing.assert_allclose(inner.ctrl[:, 3], [(9, 1), (9, 10)], atol=1e-12)


def test_a_round_corner_keeps_the_distance() -> None:
    bent = Path.polyline([(0, 0), (10, 0), (4, 8)])
    rounded = bent.offset(-1.2, join="round")
    away = distances(rounded, bent)
    np.testing.assert_allclose(away, 1.2, atol=1e-6)
    turn = pi - np.arctan2(8, 6)
    assert rounded.length == pytest.approx(20.0 + 1.2 * turn, abs=1e-6)


def test_a_sharp_mitre_is_cut_square_at_its_limit() -> None:
    sharp = Path.polyline([(0, 0), (10, 0), (0, 1)])
    cut = sharp.offset(-1.0, mitre_limit=3.0)
    corner = np.array([10.0, 0.0])
    inward = np.array([-1.0, 0.0]) + np.array([-10.0, 1.0]) / sqrt(101.0)
    along = (np.array(dense(cut, 200).coords) - corner) @ (-inward / np.hypot(*inward))
    assert along.max() == pytest.approx(3.0, abs=1e-9)
    assert distances(cut, sharp).min() >= 1.0 - 1e-9
    whole = sharp.offset(-1.0, mitre_limit=50.0)
    half = 0.5 * np.arctan2(1, 10)
    tip = (np.array(dense(whole, 200).coords) - corner) @ (-inward / np.hypot(*inward))
    assert tip.max() == pytest.approx(1.0 / np.sin(half), abs=1e-9)


def test_a_curve_tighter_than_the_distance_loses_its_loop() -> None:
    # y = x²/2 has radius 1 at its foot. The inner parallel at 2 meets itself on the axis: the
    # normal from (x, x²/2) reaches the axis at height 1 + x²/2 and at distance sqrt(x² + 1).
    bowl = Path.cubic((-4, 8), (-4 / 3, -8 / 3), (4 / 3, -8 / 3), (4, 8))
    inner = bowl.offset(2.0)
    line = dense(inner)
    assert line.is_simple
    away = distances(inner, bowl)
    assert away.min() >= 2.0 - 0.005
    assert away.max() <= 2.0 + 0.005
    lowest = np.array(line.coords)[:, 1].min()
    assert lowest == pytest.approx(1.0 + 3.0 / 2.0, abs=0.006)


def test_a_closed_path_has_a_closed_parallel() -> None:
    square = Path.polyline([(0, 0), (10, 0), (10, 6), (0, 6), (0, 0)])
    inner, outer = square.offset(1.0), square.offset(-1.0)
    np.testing.assert_allclose(inner.start, inner.end, atol=1e-9)
    assert inner.length == pytest.approx(2 * (8 + 4), abs=1e-9)
    assert outer.length == pytest.approx(2 * (12 + 8), abs=1e-9)
    ring = Path.arc((0, 0), 5.0, 0.0, 360.0).offset(1.0)
    assert ring.length == pytest.approx(8.0 * pi, abs=0.001)


def test_slight_kinks_do_not_upset_the_parallel() -> None:
    for angle in (1e-12, 1e-9, 1e-6, 1e-4, 1e-3, 0.01, 0.1):
        bent = Path.polyline([(0, 0), (6, 0), (12, 6 * tan(angle))])
        for d in (1.0, -1.0):
            away = distances(bent.offset(d), bent)
            assert away.min() >= 1.0 - 0.005
            assert away.max() <= 1.0 + 0.005


def test_impossible_parallels_are_refused_in_a_sentence() -> None:
    with pytest.raises(GeometryError, match="tighter or nearer"):
        Path.arc((0, 0), 1.0, 0.0, 180.0).offset(2.5)
    with pytest.raises(GeometryError, match="mitre"):
        hip_curve().offset(1.0, join="square")  # type: ignore[arg-type]
    with pytest.raises(GeometryError, match="tolerance"):
        hip_curve().offset(1.0, tolerance=0.0)
    with pytest.raises(GeometryError, match="finite"):
        hip_curve().offset(float("nan"))
