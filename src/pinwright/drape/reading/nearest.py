"""The nearest point of a surface, exactly, and on which side of it a point lies.

Triangles sorted along a Z-order curve are the leaves of a binary tree of boxes; a search goes down
the nearer box first and leaves out what is farther than what it has (common practice). The
side is told by the normal of the corner, the side or the triangle that is nearest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numba as nb
import numpy as np

from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.surfaces import angled_normals, crosses, on_triangle, unit

LEAF = 4
"""Triangles in a leaf of the tree."""


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """What lies nearest to each of k points.

    distance: (k,) cm, negative inside. points: (k, 3) on the surface. triangle: (k,).
    """

    distance: Array
    points: Array
    triangle: Whole


@nb.njit(cache=True)
def _box(p, low, high):  # type: ignore[no-untyped-def]
    """How far a point is from a box, squared."""
    d = 0.0
    for k in range(3):
        x = max(low[k] - p[k], 0.0, p[k] - high[k])
        d += x * x
    return d


@nb.njit(cache=True)
def _search(p, corners, order, low, high, first, leaf, near, which, feature):  # type: ignore[no-untyped-def]
    """Nearest points of triangles with corners (t, 3, 3) to each p (k, 3)."""
    stack = np.empty(128, np.int64)
    for i in range(len(p)):
        best = np.inf
        top = 0
        stack[0] = 0
        while top >= 0:
            node = stack[top]
            top -= 1
            if _box(p[i], low[node], high[node]) >= best:
                continue
            if node >= first:
                start = (node - first) * leaf
                for j in range(start, min(start + leaf, len(order))):
                    t = order[j]
                    x = corners[t]
                    u, v, f = on_triangle(p[i], x[0], x[1], x[2])
                    d = 0.0
                    for k in range(3):
                        q = x[0, k] + u * (x[1, k] - x[0, k]) + v * (x[2, k] - x[0, k])
                        d += (p[i, k] - q) ** 2
                    if d < best:
                        best = d
                        which[i] = t
                        feature[i] = f
                        for k in range(3):
                            near[i, k] = x[0, k] + u * (x[1, k] - x[0, k]) + v * (x[2, k] - x[0, k])
            else:
                a, b = 2 * node + 1, 2 * node + 2
                if _box(p[i], low[a], high[a]) < _box(p[i], low[b], high[b]):
                    a, b = b, a
                stack[top + 1] = a
                stack[top + 2] = b
                top += 2


def _spread_bits(x: Whole) -> Whole:
    """Ten bits with two empty ones after each."""
    x = (x | (x << 16)) & 0x030000FF
    x = (x | (x << 8)) & 0x0300F00F
    x = (x | (x << 4)) & 0x030C30C3
    return (x | (x << 2)) & 0x09249249


def _tree(corners: Array) -> tuple[Whole, Array, Array, int]:
    """Triangles along the curve, the boxes' low and high corners, and the first leaf."""
    middle = corners.mean(axis=1)
    span = np.ptp(middle, axis=0).max() + 1e-9
    cell = ((middle - middle.min(axis=0)) / span * 1023.0).astype(np.int64)
    code = _spread_bits(cell[:, 0]) | _spread_bits(cell[:, 1]) << 1 | _spread_bits(cell[:, 2]) << 2
    order = np.argsort(code, kind="stable")
    leaves = 1
    while leaves * LEAF < len(order):
        leaves *= 2
    low = np.full((2 * leaves - 1, 3), np.inf)
    high = np.full((2 * leaves - 1, 3), -np.inf)
    starts = np.arange(0, len(order), LEAF)
    low[leaves - 1 : leaves - 1 + len(starts)] = np.minimum.reduceat(
        corners.min(axis=1)[order], starts
    )
    high[leaves - 1 : leaves - 1 + len(starts)] = np.maximum.reduceat(
        corners.max(axis=1)[order], starts
    )
    level = leaves // 2
    while level:
        k = np.arange(level - 1, 2 * level - 1)
        low[k] = np.minimum(low[2 * k + 1], low[2 * k + 2])
        high[k] = np.maximum(high[2 * k + 1], high[2 * k + 2])
        level //= 2
    return order, low, high, leaves - 1


def _side(points: Array, near: Array, which: Whole, feature: Whole, body: Surface) -> Array:
    """1 where a point lies outside the surface, -1 inside."""
    # only what has a corner in common with the triangles that were found
    met = np.zeros(len(body.points), dtype=bool)
    met[body.triangles[which]] = True
    beside = met[body.triangles].any(axis=1)
    which = (np.cumsum(beside) - 1)[which]
    f = body.triangles[beside]
    flat = unit(crosses(body.points, f))
    normal = angled_normals(body.points, f)
    ends = np.sort(np.concatenate([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 0]]]), axis=1)
    key = ends[:, 0] * len(body.points) + ends[:, 1]
    _, edge = np.unique(key, return_inverse=True)
    edges = np.zeros((int(edge.max()) + 1, 3))
    for c in range(3):
        edges[:, c] = np.bincount(edge, np.tile(flat[:, c], 3), len(edges))
    here = flat[which]
    at = feature < 3
    here[at] = normal[f[which[at], feature[at]]]
    on = (feature >= 3) & (feature < 6)
    here[on] = edges[edge[(feature[on] - 3) * len(f) + which[on]]]
    return np.where(((points - near) * here).sum(axis=1) < 0.0, -1.0, 1.0)


def nearest(points: Array, body: Surface) -> Nearest:
    """The nearest point of a closed surface, turned outwards, to each point (k, 3), cm.

    Where the surface passes through itself or is open, the side is that of its nearest part.
    """
    corners = np.ascontiguousarray(body.points[body.triangles])
    order, low, high, first = _tree(corners)
    near = np.zeros((len(points), 3))
    which = np.zeros(len(points), np.int64)
    feature = np.zeros(len(points), np.int64)
    p = np.ascontiguousarray(points, dtype=np.float64)
    _search(p, corners, order, low, high, first, LEAF, near, which, feature)
    distance = np.linalg.norm(p - near, axis=1) * _side(p, near, which, feature, body)
    return Nearest(distance, near, which)
