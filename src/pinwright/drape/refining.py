"""From a coarse shell of a garment to a fine one: where a cloth that hangs coarse goes on."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Panel, Shell, Whole

TRIED = 12
"""Triangles nearest to a point that may contain it."""


def prolongation(coarse: Shell, fine: Shell) -> csr_array:
    """Weights (fine.n, coarse.n), each row's sum 1, that carry points of one shell to the other.

    A fine vertex lies in the coarse triangle of its own panel that contains its flat point, or
    goes on straight from the nearest where none does (the net line is cut across by longer
    chords; a weight is then a little below 0); a vertex that several panels share takes the mean
    of what they say.

    Raises:
        KeyError: the coarse shell lacks a panel.
    """
    rows: list[Whole] = []
    columns: list[Whole] = []
    weights: list[Array] = []
    for panel, ids in zip(fine.panels, fine.vertices, strict=True):
        under, numbers = coarse.at(panel.piece, panel.side)
        corners, share = _inside(under, panel.points)
        rows.append(np.repeat(ids, 3))
        columns.append(numbers[corners].ravel())
        weights.append(share.ravel())
    at = np.concatenate(rows)
    share = np.concatenate(weights)
    copies = np.bincount(at, weights=share, minlength=fine.n)
    found = coo_array(
        (share / copies[at], (at, np.concatenate(columns))), shape=(fine.n, coarse.n)
    ).tocsr()
    found.sum_duplicates()
    return csr_array(found)


def _inside(panel: Panel, points: Array) -> tuple[Whole, Array]:
    """Corners (k, 3) of the triangles that points (k, 2) lie in, and their shares (k, 3)."""
    t = panel.triangles
    p = panel.points[t]
    tried = min(TRIED, len(t))
    _, near = cKDTree(p.mean(axis=1)).query(points, k=tried)
    near = near.reshape(len(points), tried)
    a, u, v = p[:, 0], p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    det = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    d = points[:, None] - a[near]
    second = (d[..., 0] * v[near, 1] - d[..., 1] * v[near, 0]) / det[near]
    third = (u[near, 0] * d[..., 1] - u[near, 1] * d[..., 0]) / det[near]
    shares = np.stack([1.0 - second - third, second, third], axis=2)
    # how far within (cm) each side a point lies: of what lies in none, the nearest triangle is best
    sides = np.linalg.norm(p[:, [2, 0, 1]] - p[:, [1, 2, 0]], axis=2)
    height = np.abs(det)[:, None] / sides
    best = (shares * height[near]).min(axis=2).argmax(axis=1)
    rows = np.arange(len(points))
    # what lies beyond a long chord goes on straight from the triangle: put to its edge instead, the
    # cloth there would begin with no width at all
    return t[near[rows, best]], shares[rows, best]
