"""The depth buffer against hand computation and shapely's areas."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from pinwright.drape.pictures.raster import NONE, behind, raster, torn


def test_a_triangle_takes_the_points_whose_middles_lie_in_it() -> None:
    rng = np.random.default_rng(5)
    for _ in range(20):
        p = np.column_stack([rng.uniform(-5, 45, (3, 2)), rng.uniform(-3, 3, 3)])
        which, shares, near = raster(p, np.array([[0, 1, 2]]), np.zeros(1), 40, 30)
        x, y = np.meshgrid(np.arange(40) + 0.5, np.arange(30) + 0.5)
        inside = shapely.contains_xy(shapely.Polygon(p[:, :2]), x, y)
        assert ((which == 0) == inside).all()
        # the depth is that of the plane through the corners
        plane = np.linalg.solve(np.column_stack([p[:, :2], np.ones(3)]), p[:, 2])
        flat = plane[0] * x + plane[1] * y + plane[2]
        assert near[inside] == pytest.approx(flat[inside], abs=1e-9)
        s, r = shares[inside].T
        at = (1 - s - r)[:, None] * p[0] + s[:, None] * p[1] + r[:, None] * p[2]
        assert at[:, 0] == pytest.approx(x[inside], abs=1e-9)
        assert np.isneginf(near[~inside]).all()


def test_the_nearer_is_seen_and_the_body_gives_way_by_so_much() -> None:
    square = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    points = np.concatenate([np.column_stack([square, np.full(4, z)]) for z in (1.0, 0.8)])
    both = np.array([[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
    for back, first in ((0.0, True), (0.1, True), (0.3, False)):
        which, _, near = raster(points, both, np.array([back, back, 0.0, 0.0]), 12, 12)
        assert ((which[:10, :10] < 2) == first).all()
        assert near[5, 5] == (1.0 if first else 0.8)
        assert (which[10:] == NONE).all()


def test_two_triangles_share_an_edge_without_a_gap() -> None:
    points = np.array([[1.0, 1.0, 0], [9.0, 1.0, 0], [9.0, 9.0, 0], [1.0, 9.0, 0]])
    which, _, _ = raster(points, np.array([[0, 1, 2], [0, 2, 3]]), np.zeros(2), 10, 10)
    assert (which[1:9, 1:9] != NONE).all()


def test_cloth_is_torn_where_it_jumps() -> None:
    near = np.zeros((4, 6))
    near[:, 3:] = 2.0
    cloth = np.ones((4, 6), dtype=bool)
    assert torn(near, cloth, 0.8)[0].tolist() == [False, False, True, True, False, False]
    assert not torn(near, cloth, 2.5).any()
    cloth[:, 5] = False
    assert torn(near, cloth, 2.5)[0].tolist() == [False, False, False, False, True, False]


def test_the_line_behind_an_edge_lies_on_what_is_further_off() -> None:
    near = np.zeros((3, 8))
    near[:, 4:] = 2.0
    kind = np.full((3, 8), 3, dtype=np.int8)
    assert behind(near, kind, 0.8, 2)[1].tolist() == [False] * 2 + [True] * 2 + [False] * 4
    assert not behind(near, kind, 2.5, 2).any()
    # cloth before the body has its own outline
    kind[:, :4] = 1
    assert not behind(near, kind, 0.8, 2).any()
