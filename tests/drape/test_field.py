"""The field of a body: distances of a ball by the formula, the same whatever box is asked for."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from pinwright.drape.data import Array, Surface
from pinwright.drape.field import BAND, STEP, field_of

FINE = 0.25
"""A step at which the band is several points deep, cm."""

RADIUS = 10.0


def ball(count: int = 6000) -> Surface:
    """A ball of points spread evenly, its triangles facing outwards."""
    k = np.arange(count) + 0.5
    height, turn = 1.0 - 2.0 * k / count, np.pi * (1.0 + 5.0**0.5) * k
    wide = np.sqrt(1.0 - height**2)
    points = RADIUS * np.stack([wide * np.cos(turn), wide * np.sin(turn), height], axis=1)
    found = ConvexHull(points)
    a, b, c = points[found.simplices].transpose(1, 0, 2)
    inward = np.einsum("ij,ij->i", np.cross(b - a, c - a), a) < 0.0
    triangles = found.simplices.astype(np.int64)
    triangles[inward] = triangles[inward][:, ::-1]
    return Surface(points, triangles)


def places(rng: np.random.Generator, least: float, most: float, count: int = 2000) -> Array:
    """Places so far from the middle, cm."""
    way = rng.standard_normal((count, 3))
    far = rng.uniform(least, most, count)[:, None]
    found: Array = far * way / np.linalg.norm(way, axis=1, keepdims=True)
    return found


def test_distances_from_a_ball_are_those_of_the_formula() -> None:
    field, rng = field_of(ball()), np.random.default_rng(2)
    # where cloth lies they are exact but for the spline, farther off carried on by whole points
    for least, most, near in ((-0.2, 0.2, 0.01), (-6.0, 5.0, STEP)):
        x = places(rng, RADIUS + least, RADIUS + most)
        off, way = field.at(x)
        far = np.linalg.norm(x, axis=1)
        assert off == pytest.approx(far - RADIUS, abs=near)
        if most < 1.0:
            assert np.einsum("ij,ij->i", way, x / far[:, None]).min() > 0.97


@pytest.mark.parametrize("part", [0.1, 0.3, 0.55, 0.8])
def test_in_a_box_it_is_the_same_to_its_rim(part: float) -> None:
    # wherever in a step of the grid the box ends
    body = ball(2000)
    low, high = np.array([-4.0, -3.0, 0.0]), np.array([8.0, 3.0, 9.7]) + part * FINE
    whole, cut = field_of(body, FINE), field_of(body, FINE, low, high)
    begin = np.round((cut.origin - whole.origin) / FINE).astype(int)
    assert cut.origin == pytest.approx(whole.origin + FINE * begin)
    box = tuple(slice(a, a + k) for a, k in zip(begin, cut.knots.shape, strict=True))
    # the outermost coefficients are others, for they take in what lies beside; all that take in
    # points of the band only are the same, those that take in the grid's outermost too
    inner = (slice(1, -1),) * 3
    there = np.abs(whole.knots[box][inner]) < BAND - 2.0 * FINE
    rim = np.ones_like(there)
    rim[:-1, :-1, :-1] = False
    assert (there & rim).sum() > 30
    assert cut.knots[inner][there] == pytest.approx(whole.knots[box][inner][there], abs=1e-12)
