"""Half-planes that keep two shapes apart: the part of a no-fit region's outside that is convex.

Round the present position of one shape relative to another, lines along edges of the no-fit
region are drawn until nothing of it is left on their free side (Li and Milenkovic 1995,
"Compaction and separation algorithms for non-convex polygons and their applications"). Whatever
then fulfils the half-planes is free, however far it moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.lay.placing import Array

NEAR = 1e-6
"""A point nearer to a line than this (cm) lies on it."""


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


def half_planes(w: Walls, at: Array, reach: float, way: Array) -> list[tuple[Array, float]]:
    """Half-planes normal . t >= offset in which ``at`` (2,) lies and nothing of the walls does.

    Only walls within ``reach`` cm along x or y of ``at`` count. Among the lines that could be
    drawn the one is taken that lets ``at`` go furthest along ``way`` (2,).
    If ``at`` lies past the wall nearest to it, the half-plane of that wall does not hold yet.
    """
    box = (at - reach, at + reach)
    low, high = np.minimum(w.p, w.q), np.maximum(w.p, w.q)
    close = np.nonzero(((high >= box[0]) & (low <= box[1])).all(axis=1))[0]
    p, q, normal, offset = w.p[close], w.q[close], w.normal[close], w.offset[close]
    found: list[tuple[Array, float]] = []
    sides = [(np.array(v, dtype=float), s) for v, s in _box(at, reach)]
    p, q, keep = _cut(p, q, sides)
    normal, offset = normal[keep], offset[keep]
    while len(p):
        d = q - p
        along = np.clip(
            np.einsum("ij,ij->i", at - p, d) / np.maximum(np.einsum("ij,ij->i", d, d), 1e-18), 0, 1
        )
        nearest = p + along[:, None] * d
        gaps = np.hypot(*(nearest - at).T)
        k = int(np.argmin(gaps))
        slack = normal @ at - offset
        behind = normal @ nearest[k] - offset
        may = (slack >= -NEAR) & (behind <= NEAR)
        if may.any():
            into = -(normal @ way)
            go = np.where(into > 1e-9, np.maximum(slack, 0.0) / np.maximum(into, 1e-9), reach)
            worth = np.minimum(go, reach) - 0.3 * slack
            i = int(np.argmax(np.where(may, worth, -np.inf)))
            plane = (normal[i], float(offset[i]))
        elif gaps[k] > NEAR and slack[k] > -NEAR:
            away = (at - nearest[k]) / gaps[k]
            plane = (away, float(away @ nearest[k]))
        else:
            plane = (normal[k], float(offset[k]))
        found.append(plane)
        p, q, keep = _cut(p, q, [plane])
        normal, offset = normal[keep], offset[keep]
        if len(found) > 40:
            break
    return found


def _box(at: Array, reach: float) -> list[tuple[tuple[float, float], float]]:
    x, y = float(at[0]), float(at[1])
    return [
        ((1.0, 0.0), x - reach),
        ((-1.0, 0.0), -x - reach),
        ((0.0, 1.0), y - reach),
        ((0.0, -1.0), -y - reach),
    ]


def _cut(
    p: Array, q: Array, planes: list[tuple[Array, float]]
) -> tuple[Array, Array, NDArray[np.intp]]:
    """What of segments lies on the free side of every plane, and which segments those are."""
    which: NDArray[np.intp] = np.arange(len(p))
    for normal, offset in planes:
        a, b = p @ normal - offset, q @ normal - offset
        keep = np.maximum(a, b) > NEAR
        p, q, a, b, which = p[keep], q[keep], a[keep], b[keep], which[keep]
        span = np.where(a == b, 1.0, a - b)
        cross = p + (a / span)[:, None] * (q - p)
        p, q = np.where(a[:, None] < 0.0, cross, p), np.where(b[:, None] < 0.0, cross, q)
    return p, q, which
