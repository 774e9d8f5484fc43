"""Kernels against scipy quadrature, scipy's own Bernstein polynomials, and closed forms."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.polynomial import Polynomial
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.interpolate import BPoly

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb

from .curve_cases import cubics

Array = NDArray[np.float64]


def outside_length(ctrl: Array, a: float = 0.0, b: float = 1.0) -> float:
    """Adaptive quadrature (QUADPACK) of the speed, split where the speed is stationary.

    Without the split QUADPACK stops 1e-6 short on cubics that double back (found on one whose
    length is 2·2816/1331 - 1 by hand).
    """
    velocity = BPoly(ctrl[:, None, :], [0.0, 1.0], extrapolate=True).derivative()
    to_powers = np.array([[1.0, 0.0, 0.0], [-2.0, 2.0, 0.0], [1.0, -2.0, 1.0]])
    x, y = (Polynomial(to_powers @ (3.0 * np.diff(c))) for c in ctrl.T)
    slow = np.asarray((x * x + y * y).deriv().roots(), dtype=np.complex128).tolist()
    inner = sorted(r.real for r in slow if abs(r.imag) < 1e-3 and a < r.real < b)
    parts = [
        quad(lambda u: float(np.hypot(*velocity(u))), p, q, epsabs=1e-11, epsrel=1e-12, limit=400)[
            0
        ]
        for p, q in pairwise([a, *inner, b])
    ]
    return float(sum(parts))


def test_length_of_a_line_that_doubles_back_is_found_by_hand() -> None:
    # x' = 3 (1 - u) (3 - 11 u): out to x(3/11) = 2816/1331 and back to 0, from 1.
    ctrl = np.array([[1.0, 0.0], [4.0, 0.0], [0.0, 0.0], [0.0, 0.0]])
    assert cb.lengths(ctrl[None])[0] == pytest.approx(2 * 2816 / 1331 - 1, abs=1e-8)


def test_lengths_of_lines_that_double_back_are_their_total_variation() -> None:
    # Turning points from numpy's polynomial roots; two of them may lie between quadrature nodes.
    rng = np.random.default_rng(0)
    along = rng.uniform(-60.0, 60.0, (2000, 4))
    expected = []
    for c in along:
        y = Polynomial(
            [c[0], 3 * (c[1] - c[0]), 3 * (c[2] - 2 * c[1] + c[0]), c[3] - c[0] + 3 * (c[1] - c[2])]
        )
        roots = np.asarray(y.deriv().roots(), dtype=np.complex128).tolist()
        turns = sorted(r.real for r in roots if r.imag == 0.0 and 0.0 < r.real < 1.0)
        expected.append(np.abs(np.diff(y(np.array([0.0, *turns, 1.0])))).sum())
    ctrl = np.stack([0.6 * along, 0.8 * along], axis=-1)
    np.testing.assert_allclose(cb.lengths(ctrl), expected, atol=1e-9)
    for span, length in zip(ctrl[:200], expected, strict=False):
        assert cb.param_at_length(span, length) == pytest.approx(1.0, abs=1e-7)


@given(cubics())
@settings(max_examples=60, deadline=None)
def test_length_agrees_with_quadpack_on_any_cubic(ctrl: Array) -> None:
    assert cb.lengths(ctrl[None])[0] == pytest.approx(outside_length(ctrl), abs=1e-6)


def test_length_of_straight_cubics_is_their_chord() -> None:
    rng = np.random.default_rng(3)
    ends = rng.uniform(-80, 80, (200, 2, 2))
    lines = np.stack([cb.line(p, q) for p, q in ends])
    chords = np.sqrt(((ends[:, 1] - ends[:, 0]) ** 2).sum(axis=1))
    np.testing.assert_allclose(cb.lengths(lines), chords, atol=1e-11)


def test_length_of_the_semicubical_cusp_has_its_closed_form() -> None:
    # x = t², y = t³ on [-1, 1] is a cubic with a true cusp at t = 0. Its length (Neile, 1657) is
    # 2 (13 sqrt(13) - 8) / 27. Control points by blossoms at t = -1 and 1.
    ctrl = np.array([[1.0, -1.0], [-1.0 / 3.0, 1.0], [-1.0 / 3.0, -1.0], [1.0, 1.0]])
    closed = 2.0 * (13.0 * np.sqrt(13.0) - 8.0) / 27.0
    assert cb.lengths(ctrl[None])[0] == pytest.approx(closed, abs=1e-7)
    off_centre = cb.subcurve(ctrl[None], 0.0, 0.83)
    t = 2.0 * 0.83 - 1.0
    arm = ((4.0 + 9.0 * t * t) ** 1.5 - 8.0) / 27.0
    assert cb.lengths(off_centre)[0] == pytest.approx(closed / 2.0 + arm, abs=1e-7)


def test_length_of_a_parabola_has_its_closed_form() -> None:
    # y = x²/4 from x = 0 to 20, degree raised: s = ∫ sqrt(1 + x²/4) dx.
    quadratic = np.array([[0.0, 0.0], [10.0, 0.0], [20.0, 100.0]])
    ctrl = np.stack(
        [
            quadratic[0],
            (quadratic[0] + 2 * quadratic[1]) / 3,
            (2 * quadratic[1] + quadratic[2]) / 3,
            quadratic[2],
        ]
    )
    x = 20.0
    closed = 0.5 * x * np.sqrt(1 + x * x / 4) + np.arcsinh(x / 2)
    assert cb.lengths(ctrl[None])[0] == pytest.approx(closed, abs=1e-10)


@given(cubics(), st.floats(-0.5, 1.5), st.floats(-0.5, 1.5), st.floats(-0.3, 1.3))
@settings(max_examples=60, deadline=None)
def test_a_subcurve_is_the_same_polynomial(ctrl: Array, a: float, b: float, w: float) -> None:
    part = cb.subcurve(ctrl[None], np.array([a]), np.array([b]))[0]
    original = BPoly(ctrl[:, None, :], [0.0, 1.0], extrapolate=True)
    again = BPoly(part[:, None, :], [0.0, 1.0], extrapolate=True)
    np.testing.assert_allclose(again(w), original(a + (b - a) * w), atol=1e-9)


@given(cubics(), st.lists(st.floats(0.0, 1.0), min_size=1, max_size=5))
@settings(max_examples=40, deadline=None)
def test_points_and_derivatives_agree_with_scipy(ctrl: Array, u: list[float]) -> None:
    outside = BPoly(ctrl[:, None, :], [0.0, 1.0])
    where = np.array(u)
    np.testing.assert_allclose(cb.points(ctrl[None], where)[0], outside(where), atol=1e-10)
    np.testing.assert_allclose(cb.derivatives(ctrl[None], where)[0], outside(where, 1), atol=1e-9)
    np.testing.assert_allclose(
        cb.second_derivatives(ctrl[None], where)[0], outside(where, 2), atol=1e-8
    )


def test_each_cubic_may_have_its_own_parameters() -> None:
    rng = np.random.default_rng(5)
    ctrl, u = rng.normal(size=(6, 4, 2)), rng.uniform(size=(6, 3))
    each = np.stack([BPoly(c[:, None, :], [0, 1])(w) for c, w in zip(ctrl, u, strict=True)])
    np.testing.assert_allclose(cb.points(ctrl, u), each, atol=1e-13)


def test_curvature_of_a_parabola() -> None:
    # y = x²: κ = 2 / (1 + 4x²)^(3/2), turning left for growing x.
    ctrl = np.array([[-1.0, 1.0], [-1 / 3, -1 / 3], [1 / 3, -1 / 3], [1.0, 1.0]])
    x = np.linspace(-1.0, 1.0, 9)
    expected = 2.0 / (1.0 + 4.0 * x * x) ** 1.5
    np.testing.assert_allclose(cb.curvature(ctrl[None], (x + 1) / 2)[0], expected, atol=1e-12)
    back = cb.curvature(ctrl[None, ::-1], (x + 1) / 2)[0]
    np.testing.assert_allclose(back, -expected, atol=1e-12)


@given(cubics(), st.floats(-1.0, 2.0))
@settings(max_examples=60, deadline=None)
def test_param_at_length_is_the_inverse_of_arc_length(ctrl: Array, share: float) -> None:
    s = share * outside_length(ctrl)
    u = cb.param_at_length(ctrl, s)
    measured = outside_length(ctrl, 0.0, u) if u >= 0.0 else -outside_length(ctrl, u, 0.0)
    assert measured == pytest.approx(s, abs=1e-7)


def test_param_at_length_on_a_line_is_the_proportion() -> None:
    line = cb.line((3.0, 4.0), (33.0, 44.0))
    for s in (-20.0, 0.0, 12.5, 50.0, 75.0):
        assert cb.param_at_length(line, s) == pytest.approx(s / 50.0, abs=1e-13)


def test_param_at_length_refuses_what_cannot_be() -> None:
    with pytest.raises(GeometryError, match="without length"):
        cb.param_at_length(np.zeros((4, 2)), 1.0)
    with pytest.raises(GeometryError, match="finite"):
        cb.param_at_length(cb.line((0, 0), (1, 0)), float("nan"))
