"""Rigid motions keep distances, compose like matrices, and come back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.spatial.transform import Rotation

from pinwright.errors import GeometryError
from pinwright.geometry.motion import Motion

from .curve_cases import motions

PTS = np.array([[0.0, 0.0], [3.0, 4.0], [-21.5, 60.25], [100.0, -7.125]])


@given(motions())
@settings(max_examples=60, deadline=None)
def test_distances_are_kept_and_mirrors_flip_areas(m: Motion) -> None:
    moved = m.apply(PTS)
    before = np.linalg.norm(PTS[:, None] - PTS[None], axis=2)
    after = np.linalg.norm(moved[:, None] - moved[None], axis=2)
    np.testing.assert_allclose(after, before, atol=1e-10)
    assert np.linalg.det(m.matrix) == pytest.approx(-1.0 if m.mirrored else 1.0, abs=1e-12)


@given(motions(), motions())
@settings(max_examples=60, deadline=None)
def test_composition_is_one_after_the_other(a: Motion, b: Motion) -> None:
    np.testing.assert_allclose((a @ b).apply(PTS), a.apply(b.apply(PTS)), atol=1e-9)


@given(motions())
@settings(max_examples=60, deadline=None)
def test_the_inverse_brings_everything_back(m: Motion) -> None:
    np.testing.assert_allclose(m.inverse().apply(m.apply(PTS)), PTS, atol=1e-9)
    np.testing.assert_allclose((m.inverse() @ m).apply(PTS), PTS, atol=1e-9)


def test_rotation_agrees_with_scipy() -> None:
    about = np.array([2.0, -5.0])
    for angle in (-200.0, -31.7, 0.001, 45.0, 90.0, 123.4):
        turned = Rotation.from_euler("z", angle, degrees=True).as_matrix()[:2, :2]
        expected = (PTS - about) @ turned.T + about
        np.testing.assert_allclose(Motion.rotation(angle, about).apply(PTS), expected, atol=1e-12)


def test_mirrors_hold_their_line_and_send_known_points_across() -> None:
    np.testing.assert_array_equal(
        Motion.mirror_x(5.0).apply([[5.0, 9.0], [7.0, 1.0]]), [[5, 9], [3, 1]]
    )
    np.testing.assert_array_equal(
        Motion.mirror_y(2.0).apply([[4.0, 2.0], [4.0, 5.0]]), [[4, 2], [4, -1]]
    )
    across = Motion.mirror((0.0, 1.0), (1.0, 2.0))  # y = x + 1 swaps (x, y) to (y - 1, x + 1)
    np.testing.assert_allclose(across.apply([[3.0, 8.0]]), [[7.0, 4.0]], atol=1e-12)


def test_nothing_moves_bitwise_under_the_identity() -> None:
    assert Motion.rotation(0.0, (3.3, 4.4)).is_identity
    np.testing.assert_array_equal(Motion.identity().apply(PTS), PTS)
    np.testing.assert_array_equal(Motion.rotation(360.0).apply(PTS), PTS)


def test_a_quarter_turn_is_exact() -> None:
    np.testing.assert_array_equal(Motion.rotation(90.0).apply([[3.0, 4.0]]), [[-4.0, 3.0]])


def test_bad_motions_are_refused_in_a_sentence() -> None:
    with pytest.raises(GeometryError, match="finite"):
        Motion(float("inf"))
    with pytest.raises(GeometryError, match="two different points"):
        Motion.mirror((1.0, 1.0), (1.0, 1.0))
    with pytest.raises(GeometryError, match="shape"):
        Motion.identity().apply([1.0, 2.0, 3.0])
