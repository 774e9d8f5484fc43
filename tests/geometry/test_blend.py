"""Smoothed corners, and measures of fairness that can be reckoned by hand."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from pinwright.errors import GeometryError
from pinwright.geometry.blend import g1_blend, inflections, kinks, round_pull, wobble
from pinwright.geometry.path import Path

from .curve_cases import armhole, dense, hip_curve


@pytest.mark.parametrize("turn", [2.0, 30.0, 90.0, 150.0])
def test_a_blend_shares_both_tangents_and_leaves_the_rest(turn: float) -> None:
    far = 10.0 * np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
    a, b = Path.line((-10, 0), (0, 0)), Path.line((0, 0), far)
    smooth = g1_blend(a, b, 3.0)
    assert kinks(a + b)[0] == pytest.approx((10.0, turn), abs=1e-9)
    assert kinks(smooth, 1e-7) == []
    np.testing.assert_allclose(smooth.ctrl[0, [0, 3]], [(-10, 0), (-3, 0)], atol=1e-12)
    np.testing.assert_allclose(smooth.ctrl[-1, [0, 3]], [0.3 * far, far], atol=1e-12)


def test_a_right_angle_is_blended_to_a_quarter_circle() -> None:
    smooth = g1_blend(Path.line((0, 0), (10, 0)), Path.line((10, 0), (10, 10)), 4.0)
    corner = np.array(dense(Path(smooth.ctrl[1:2]), 500).coords)
    radii = np.hypot(*(corner - (6.0, 4.0)).T)
    np.testing.assert_allclose(radii, 4.0, atol=4.0 * 2.8e-4)  # one cubic on 90 degrees
    assert smooth.length == pytest.approx(12.0 + 2.0 * pi, abs=0.002)


def test_the_round_pull_is_the_circle_handle() -> None:
    assert round_pull(0.0) == pytest.approx(1.0 / 3.0)
    chord, handle = np.sqrt(2.0), 4.0 / 3.0 * np.tan(pi / 8.0)
    assert round_pull(90.0) == pytest.approx(handle / chord, abs=1e-14)


def test_blending_a_straight_join_changes_nothing() -> None:
    smooth = g1_blend(Path.line((0, 0), (5, 0)), Path.line((5, 0), (12, 0)), 2.0)
    assert smooth.length == pytest.approx(12.0, abs=1e-12)
    assert np.abs(smooth.ctrl[:, :, 1]).max() == 0.0


def test_curved_neighbours_blend_smoothly() -> None:
    a, b = hip_curve(), Path.hermite((2, -20), (0.3, -1), (4, -40), (0, -1))
    smooth = g1_blend(a, b, 4.0)
    assert kinks(a + b, 1.0) != []
    assert kinks(smooth, 1e-6) == []


def test_blends_that_cannot_be_are_refused() -> None:
    a = Path.line((0, 0), (5, 0))
    with pytest.raises(GeometryError, match="must meet"):
        g1_blend(a, Path.line((6, 0), (9, 0)), 1.0)
    with pytest.raises(GeometryError, match="reach"):
        g1_blend(a, Path.line((5, 0), (9, 0)), 4.5)
    with pytest.raises(GeometryError, match="turns back"):
        g1_blend(a, Path.line((5, 0), (0, 0)), 1.0)


def test_inflections_are_counted() -> None:
    assert inflections(Path.line((0, 0), (30, 0))) == 0
    assert inflections(Path.arc((0, 0), 10, 0, 90)) == 0
    assert inflections(armhole()) == 0
    assert inflections(Path.cubic((0, 0), (5, 6), (5, -6), (10, 0))) == 1
    s = np.linspace(0.0, 3.0 * 2.0 * pi, 61)
    waves = Path.through(np.stack([s, np.sin(s)], axis=1))
    assert inflections(waves, 0.05) == 5  # sine over three periods: π, 2π … 5π inside


def test_wobble_of_simple_curves() -> None:
    assert wobble(Path.line((0, 0), (30, 0))) == pytest.approx(0.0, abs=1e-10)
    assert wobble(Path.arc((0, 0), 10, 0, 90)) < 1e-3
    # y = x²: curvature rises from 2/5^1.5 at x = -1 to 2 at 0 and falls again.
    parabola = Path.cubic((-1, 1), (-1 / 3, -1 / 3), (1 / 3, -1 / 3), (1, 1))
    rise = 2.0 - 2.0 / 5.0**1.5
    assert wobble(parabola) == pytest.approx(parabola.length * 2.0 * rise, abs=1e-9)


def test_wobble_does_not_depend_on_size_and_grows_with_waves() -> None:
    small = hip_curve()
    large = Path(small.ctrl * 7.0)
    assert wobble(large) == pytest.approx(wobble(small), rel=1e-9)
    ripple = np.array([(i, 0.02 * (-1) ** i) for i in range(12)], dtype=np.float64)
    assert wobble(Path.through(ripple)) > 5.0 * wobble(Path.through(ripple * (1.0, 0.1)))
