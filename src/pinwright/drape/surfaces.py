"""Of surfaces of triangles: the nearest point of a triangle, and which way a surface faces."""

from __future__ import annotations

import numpy as np
from numba import njit

from pinwright.drape.data import Array, Whole


@njit(cache=True, nogil=True)
def on_triangle(p: Array, a: Array, b: Array, c: Array) -> tuple[float, float, int]:
    """The nearest point of a triangle as shares of b - a and c - a, and its feature.

    The feature is 0-2 for a corner, 3-5 for a side (ab, bc, ca), 6 within. By regions: C. Ericson,
    Real-Time Collision Detection, 2005, 5.1.5 (from memory).
    """
    d1 = d2 = d3 = d4 = d5 = d6 = 0.0
    for k in range(3):
        ab, ac = b[k] - a[k], c[k] - a[k]
        d1 += ab * (p[k] - a[k])
        d2 += ac * (p[k] - a[k])
        d3 += ab * (p[k] - b[k])
        d4 += ac * (p[k] - b[k])
        d5 += ab * (p[k] - c[k])
        d6 += ac * (p[k] - c[k])
    if d1 <= 0.0 and d2 <= 0.0:
        return 0.0, 0.0, 0
    if d3 >= 0.0 and d4 <= d3:
        return 1.0, 0.0, 1
    vc = d1 * d4 - d3 * d2
    if vc <= 0.0 and d1 >= 0.0 and d3 <= 0.0:
        return d1 / (d1 - d3), 0.0, 3
    if d6 >= 0.0 and d5 <= d6:
        return 0.0, 1.0, 2
    vb = d5 * d2 - d1 * d6
    if vb <= 0.0 and d2 >= 0.0 and d6 <= 0.0:
        return 0.0, d2 / (d2 - d6), 5
    va = d3 * d6 - d5 * d4
    if va <= 0.0 and d4 - d3 >= 0.0 and d5 - d6 >= 0.0:
        w = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        return 1.0 - w, w, 4
    s = 1.0 / (va + vb + vc)
    return vb * s, vc * s, 6


def unit(v: Array) -> Array:
    """Vectors (k, 3) of length one; no length stays none."""
    size = np.linalg.norm(v, axis=1, keepdims=True)
    found: Array = v / np.where(size > 0.0, size, 1.0)
    return found


def crosses(points: Array, triangles: Whole) -> Array:
    """Of each triangle the way it faces (m, 3), as long as twice its area."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    found: Array = np.cross(b - a, c - a)
    return found


def normals(points: Array, triangles: Whole) -> Array:
    """Of each vertex the way the surface faces (n, 3), of length 1 or 0: triangles by area."""
    cross = crosses(points, triangles)
    return unit(_summed(triangles.ravel(), np.repeat(cross, 3, axis=0), len(points)))


def angled_normals(points: Array, triangles: Whole) -> Array:
    """Of each vertex the way the surface faces (n, 3), of length 1 or 0: triangles by angle.

    On which side of a surface a point lies is told by these (J. A. Bærentzen, H. Aanæs, Signed
    distance computation using the angle weighted pseudonormal, IEEE TVCG 11(3), 2005).
    """
    found = np.empty_like(points)
    by_angle(points, triangles, found)
    return unit(found)


@njit(cache=True, nogil=True)
def by_angle(points: Array, triangles: Whole, found: Array) -> None:
    """Fills (n, 3) the same, of any length."""
    found[:] = 0.0
    for t in range(len(triangles)):
        i, j, k = triangles[t, 0], triangles[t, 1], triangles[t, 2]
        u0, u1, u2 = (
            points[j, 0] - points[i, 0],
            points[j, 1] - points[i, 1],
            points[j, 2] - points[i, 2],
        )
        v0, v1, v2 = (
            points[k, 0] - points[i, 0],
            points[k, 1] - points[i, 1],
            points[k, 2] - points[i, 2],
        )
        f0, f1, f2 = u1 * v2 - u2 * v1, u2 * v0 - u0 * v2, u0 * v1 - u1 * v0
        # at each corner the sine is twice the area by the sides, so no second cross is needed
        size = np.sqrt(f0 * f0 + f1 * f1 + f2 * f2)
        if size == 0.0:
            continue
        between = u0 * v0 + u1 * v1 + u2 * v2
        uu = u0 * u0 + u1 * u1 + u2 * u2
        # the third angle is what the other two leave of two right ones
        first = np.arctan2(size, between)
        second = np.arctan2(size, uu - between)
        for at, angle in ((i, first), (j, second), (k, np.pi - first - second)):
            found[at, 0] += angle * f0 / size
            found[at, 1] += angle * f1 / size
            found[at, 2] += angle * f2 / size


def _summed(at: Whole, values: Array, n: int) -> Array:
    """Values (k, 3) added up by the numbers ``at`` (k,): (n, 3)."""
    return np.stack([np.bincount(at, values[:, k], minlength=n) for k in range(3)], axis=1)
