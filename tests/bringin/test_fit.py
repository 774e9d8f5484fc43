"""Curves through sampled points, against circles and straight lines known beforehand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from pinwright.bringin.fit import _cubic, deviation, fitted
from pinwright.bringin.outline import Chain, from_curves, from_samples
from pinwright.errors import GeometryError
from pinwright.geometry import curves
from pinwright.geometry.blend import kinks
from pinwright.geometry.outline import polygon
from pinwright.geometry.path import Path
from tests.bringin.scene import Array, skirt_outline


def arc(radius: float, sweep: float, step: float = 0.05) -> Array:
    a = np.linspace(0.0, sweep, round(radius * sweep / step))
    return np.stack([radius * np.cos(a), radius * np.sin(a)], axis=1)


@pytest.mark.parametrize(("radius", "sweep"), [(3.0, 2.5), (30.0, 1.5), (300.0, 0.2), (10.0, 5.5)])
@pytest.mark.parametrize("tolerance", [0.05, 0.02])
def test_arcs_come_within_the_tolerance(radius: float, sweep: float, tolerance: float) -> None:
    points = arc(radius, sweep)
    path = fitted(points, tolerance)
    assert deviation(path, points) <= tolerance + 0.01
    assert path.length == pytest.approx(radius * sweep, rel=1e-3)
    # and from the circle itself, seen from the curve's side
    away = np.abs(np.hypot(*path.flatten(0.001).T) - radius)
    assert away.max() <= tolerance + 0.01
    assert not kinks(path, 0.5)


@pytest.mark.parametrize("noise", [0.0, 0.01])
def test_straight_runs_are_kept_straight(noise: float) -> None:
    """20 cm straight, a quarter of a circle of radius 10, 15 cm straight."""
    first = np.stack([np.linspace(-20, 0, 400), np.zeros(400)], axis=1)
    bow = np.stack([10 * np.sin(np.linspace(0, np.pi / 2, 314)),
                    10 - 10 * np.cos(np.linspace(0, np.pi / 2, 314))], axis=1)  # fmt: skip
    last = np.stack([np.full(300, 10.0), np.linspace(10, 25, 300)], axis=1)
    points = np.concatenate([first, bow[1:], last[1:]])
    points = points + np.random.default_rng(3).normal(0, noise, points.shape)
    path = fitted(points)
    straight = [s for s in path.ctrl if np.abs(np.diff(np.diff(s, axis=0), axis=0)).max() < 1e-9]
    lengths = sorted(float(np.hypot(*(s[3] - s[0]))) for s in straight)
    # straight as far as the circle leaves the line by little more than the tolerance
    assert lengths[-1] == pytest.approx(20.0, abs=1.2)
    assert lengths[-2] == pytest.approx(15.0, abs=1.2)
    assert path.length == pytest.approx(35 + 5 * np.pi, abs=0.02)
    assert not kinks(path, 0.5)


def test_a_straight_run_is_one_line() -> None:
    x = np.linspace(0, 40, 800)
    points = np.stack([x, 0.5 * x + np.random.default_rng(1).normal(0, 0.01, 800)], axis=1)
    path = fitted(points)
    assert path.spans == 1
    assert np.abs(np.diff(np.diff(path.ctrl[0], axis=0), axis=0)).max() < 1e-9


def test_a_gentle_curve_is_not_taken_for_a_straight_line() -> None:
    points = arc(300.0, 30.0 / 300.0)  # a side seam of 30 cm, hollow by 0.37 cm
    path = fitted(points)
    middle = path.at(path.length / 2)
    assert float(np.hypot(*middle)) == pytest.approx(300.0, abs=0.01)


def test_a_sampled_outline_gets_its_corners_back() -> None:
    outline = from_samples(skirt_outline())
    assert len(outline.paths) == 5
    corners = [[0, 0], [30, 0], [30, 40], [8, 40], [0, 32]]
    assert np.abs(outline.corners - corners).max() < 0.02
    lengths = [p.length for p in outline.paths]
    assert lengths == pytest.approx([30, 40, 22, 4 * np.pi, 32], abs=0.03)
    assert outline.area == pytest.approx(1200 - 16 * np.pi, abs=0.5)


def test_an_outline_given_clockwise_is_turned_round() -> None:
    outline = from_samples(skirt_outline()[::-1])
    assert outline.area > 0
    assert np.abs(outline.corners[1] - [30, 0]).max() < 0.02


def yoke(width: float, depth: float, leg: float, step: float) -> Array:
    """A ring (m, 2): a quarter of an ellipse as neck, a chord every ``step`` degrees of it, and a
    straight leg from its end on to the shoulder's corner."""
    t = np.radians(np.arange(0.0, 90.1, step))
    neck = np.stack([width * np.sin(t), depth * (1.0 - np.cos(t))], axis=1)
    top = depth + leg
    rest = [[width, top], [width + 12.0, top - 3.0], [width + 12.0, -8.0], [0.0, -8.0], [0.0, 0.0]]
    return np.concatenate([neck, rest])


@pytest.mark.parametrize(
    "neck",
    [
        (7.0, 2.5, 1.0, 6.0),  # the last run of three points: its free handle ran past the corner
        (6.0, 2.0, 0.25, 10.0),
        (6.0, 1.5, 0.25, 9.0),  # it went off sideways
        (8.0, 2.0, 0.25, 6.0),
    ],
)
def test_few_points_before_a_corner_do_not_carry_the_curve_past_it(
    neck: tuple[float, float, float, float],
) -> None:
    ring = yoke(*neck)
    outline = from_curves(Chain(curves.polyline(ring)))
    assert polygon(outline.paths, 0.0005).is_valid
    # no further from the lines drawn than the tolerance, at the corner either
    away = shapely.hausdorff_distance(
        polygon(outline.paths, 0.0005).exterior, shapely.LinearRing(ring), densify=0.02
    )
    assert away <= 0.05


@pytest.mark.parametrize("given", [(), ("into",), ("out of",), ("into", "out of")])
@pytest.mark.parametrize("count", [2, 3])
def test_a_run_of_two_or_three_points_has_handles_along_it(
    count: int, given: tuple[str, ...]
) -> None:
    """On a circle of radius 1, 0.2 from end to end: no curve between leaves it by 0.2² / 8."""
    a = np.linspace(0.0, 0.2, count)
    run = np.stack([np.sin(a), 1.0 - np.cos(a)], axis=1)
    into = np.array([1.0, 0.0]) if "into" in given else None
    out_of = np.array([np.cos(0.2), np.sin(0.2)]) if "out of" in given else None
    span, errors = _cubic(run, into, out_of)
    assert (span[1] - span[0]) @ (run[1] - run[0]) > 1e-3
    assert (span[3] - span[2]) @ (run[-1] - run[-2]) > 1e-3
    assert errors.max() < 0.002
    away = np.abs(np.hypot(*(Path(span[None]).flatten(0.0001) - [0.0, 1.0]).T) - 1.0)
    assert away.max() <= 0.2**2 / 8


def test_few_points_do_not_fold_the_curve_between_them() -> None:
    """Three points on, with directions 8 and 4 degrees up: the one S through all of them is five
    times as long as they are apart."""
    run = np.array([[0.0, 0.0], [0.25, 0.043], [0.5, 0.048]])
    into, out_of = (np.array([np.cos(a), np.sin(a)]) for a in np.radians([8.0, 4.0]))
    span, errors = _cubic(run, into, out_of)
    assert np.hypot(*np.diff(span, axis=0).T).sum() < 1.1 * 0.5
    assert errors.max() < 0.02


@pytest.mark.parametrize(("high", "thick", "a", "b"), [(2.0, 0.5, 3, 4), (3.0, 0.5, 5, 6)])
def test_a_thin_tip_is_fitted_nearer_until_its_sides_keep_apart(
    high: float, thick: float, a: float, b: float
) -> None:
    """A leaf 16 cm long whose sides, each fitted within 0.05 cm, cross 0.2 cm before its tip."""
    upper = np.array([[[0, 0], [a, high + thick], [16 - b, high], [16, 0]]], dtype=float)
    lower = np.array([[[0, 0], [b, high - thick], [16 - a, high - thick], [16, 0]]], dtype=float)
    ring = np.concatenate([curves.flatten(lower, 0.01), curves.flatten(upper, 0.01)[-2::-1]])
    assert shapely.Polygon(ring).is_valid
    outline = from_curves(Chain(curves.polyline(ring)))
    assert polygon(outline.paths, 0.0005).is_valid
    assert outline.fit <= 0.025
    assert outline.area == pytest.approx(shapely.Polygon(ring).area, abs=0.05)


def test_an_outline_that_crosses_itself_is_refused_with_the_place() -> None:
    eight = np.array([[0, 0], [20, 20], [20, 0], [0, 22], [0, 0]], dtype=float)
    with pytest.raises(GeometryError, match=r"crosses itself at \(10\.\d, 10\.\d\) cm"):
        from_samples(eight, corner=20.0)


def test_nothing_can_be_fitted_to_a_point() -> None:
    with pytest.raises(GeometryError, match="two points"):
        fitted(np.zeros((1, 2)))
    with pytest.raises(GeometryError, match="no length"):
        fitted(np.ones((5, 2)))
