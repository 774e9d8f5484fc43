"""Half-planes that keep two shapes apart: the part of a no-fit region's outside that is convex.

Round the present position of one shape relative to another, lines along edges of the no-fit
region are drawn until nothing of it is left on their free side (Li and Milenkovic 1995,
"Compaction and separation algorithms for non-convex polygons and their applications"). Whatever
then fulfils the half-planes is free, however far it moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import shapely
from numba import njit
from numpy.typing import NDArray

from pinwright.cutting.lay.placing import Array

Whole = NDArray[np.int64]

NEAR = 1e-6
"""A point nearer to a line than this (cm) lies on it."""

MOST = 41
"""So many half-planes at most are drawn round one place."""


@dataclass(frozen=True, slots=True, eq=False)
class Walls:
    """Segments (n, 2) to (n, 2) of a boundary, and their unit normals towards the free side."""

    p: Array
    q: Array
    normal: Array
    offset: Array


@lru_cache(maxsize=32768)
def walls(region: shapely.Geometry, keep_in: bool = False) -> Walls:
    """The boundary of a region to stay out of, or to keep in."""
    turned = shapely.orient_polygons(region, exterior_cw=keep_in)
    rings = shapely.get_rings(shapely.get_parts(turned))
    ends = [shapely.get_coordinates(r) for r in rings]
    p = np.concatenate([e[:-1] for e in ends])
    q = np.concatenate([e[1:] for e in ends])
    d = q - p
    size = np.hypot(*d.T)
    real = size > 1e-9
    p, q, d, size = p[real], q[real], d[real], size[real]
    normal = np.stack([d[:, 1], -d[:, 0]], axis=1) / size[:, None]
    return Walls(p, q, normal, np.einsum("ij,ij->i", normal, p))


def half_planes(w: Walls, at: Array, reach: float, way: Array) -> Array:
    """Half-planes normal . t >= offset in which ``at`` (2,) lies and nothing of the walls does.

    (k, 3): a unit normal and an offset, cm. Only walls within ``reach`` cm along x or y of ``at``
    count. Among the lines that could be drawn the one is taken that lets ``at`` go furthest along
    ``way`` (2,). If ``at`` lies past the wall nearest to it, the half-plane of that wall does not
    hold yet.
    """
    x, y = float(at[0]), float(at[1])
    return _drawn(w.p, w.q, w.normal, w.offset, x, y, reach, float(way[0]), float(way[1]))


@cache
def made_ready() -> None:
    """Compiles it where that has not been done on this machine, which takes a second or two."""
    half_planes(walls(shapely.box(0.0, 0.0, 1.0, 1.0)), np.array([2.0, 0.5]), 3.0, np.ones(2))


@njit(cache=True, nogil=True)
def _drawn(
    p: Array,
    q: Array,
    normal: Array,
    offset: Array,
    x: float,
    y: float,
    reach: float,
    to_x: float,
    to_y: float,
) -> Array:
    left, which = np.empty((len(p), 4)), np.empty(len(p), np.int64)
    count = 0
    for k in range(len(p)):
        if (
            max(p[k, 0], q[k, 0]) >= x - reach
            and min(p[k, 0], q[k, 0]) <= x + reach
            and max(p[k, 1], q[k, 1]) >= y - reach
            and min(p[k, 1], q[k, 1]) <= y + reach
        ):
            left[count, 0], left[count, 1] = p[k, 0], p[k, 1]
            left[count, 2], left[count, 3] = q[k, 0], q[k, 1]
            which[count] = k
            count += 1
    count = _cut(left, which, count, 1.0, 0.0, x - reach)
    count = _cut(left, which, count, -1.0, 0.0, -x - reach)
    count = _cut(left, which, count, 0.0, 1.0, y - reach)
    count = _cut(left, which, count, 0.0, -1.0, -y - reach)
    found = np.empty((MOST, 3))
    many = 0
    while count > 0 and many < MOST:
        gap, nearest, near_x, near_y = np.inf, 0, 0.0, 0.0
        for k in range(count):
            d_x, d_y = left[k, 2] - left[k, 0], left[k, 3] - left[k, 1]
            along = (x - left[k, 0]) * d_x + (y - left[k, 1]) * d_y
            along = min(max(along / max(d_x * d_x + d_y * d_y, 1e-18), 0.0), 1.0)
            n_x, n_y = left[k, 0] + along * d_x, left[k, 1] + along * d_y
            here = np.hypot(n_x - x, n_y - y)
            if here < gap:
                gap, nearest, near_x, near_y = here, k, n_x, n_y
        best, chosen = -np.inf, -1
        for k in range(count):
            n_x, n_y, o = normal[which[k], 0], normal[which[k], 1], offset[which[k]]
            slack = n_x * x + n_y * y - o
            if slack < -NEAR or n_x * near_x + n_y * near_y - o > NEAR:
                continue
            into = -(n_x * to_x + n_y * to_y)
            go = max(slack, 0.0) / into if into > 1e-9 else reach
            worth = min(go, reach) - 0.3 * slack
            if worth > best:
                best, chosen = worth, k
        k = which[nearest if chosen < 0 else chosen]
        n_x, n_y, o = normal[k, 0], normal[k, 1], offset[k]
        if chosen < 0 and gap > NEAR and n_x * x + n_y * y - o > -NEAR:
            n_x, n_y = (x - near_x) / gap, (y - near_y) / gap
            o = n_x * near_x + n_y * near_y
        found[many, 0], found[many, 1], found[many, 2] = n_x, n_y, o
        many += 1
        count = _cut(left, which, count, n_x, n_y, o)
    return found[:many]


@njit(cache=True, nogil=True)
def _cut(left: Array, which: Whole, count: int, n_x: float, n_y: float, offset: float) -> int:
    """Keeps of segments (count, 4) what lies on the free side of a line; how many are left."""
    kept = 0
    for k in range(count):
        p_x, p_y, q_x, q_y = left[k]
        a, b = n_x * p_x + n_y * p_y - offset, n_x * q_x + n_y * q_y - offset
        if max(a, b) <= NEAR:
            continue
        if min(a, b) < 0.0:
            x, y = p_x + a / (a - b) * (q_x - p_x), p_y + a / (a - b) * (q_y - p_y)
            if a < 0.0:
                p_x, p_y = x, y
            else:
                q_x, q_y = x, y
        left[kept, 0], left[kept, 1], left[kept, 2], left[kept, 3] = p_x, p_y, q_x, q_y
        which[kept] = which[k]
        kept += 1
    return kept
