"""How far every place near a body is from its surface: a grid of distances, read smoothly.

Distances to the triangles are exact in a
band about the surface, with the sign of the surface's normal there; farther off they are carried
on by whole distances on the grid. Between the grid's points they are read by quadratic B-splines,
so that the direction off the body changes evenly and implicit steps do not chatter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.grid_distance import Small, nearest_known
from pinwright.drape.grid_parts import inside
from pinwright.drape.surfaces import by_angle, on_triangle

STEP = 0.6
"""Between the points of the grid, cm: a body of 10 cm radius is then read to 0.005 cm."""

BAND = 1.3
"""So far from the surface, cm, distances are exact."""

FAR = 1e2
"""Farther, cm, nothing is: what is not known yet."""

THICK = 6
"""Layers of the grid that are filled together: fewer, and triangles are looked at too often."""

ROOM = 6.0
"""So far beyond the body the grid reaches, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Distances from a body, negative within.

    origin: (3,) cm, step: cm. knots: (nx, ny, nz) coefficients of the quadratic B-spline, cm.
    """

    origin: Array
    step: float
    knots: Array

    def at(self, points: Array) -> tuple[Array, Array]:
        """Distances (n,) cm and directions off the body (n, 3) of points (n, 3) cm."""
        d = np.empty(len(points))
        g = np.empty((len(points), 3))
        sampled(np.ascontiguousarray(points), self.origin, self.step, self.knots, d, g)
        return d, g


@njit(cache=True, inline="always")
def _weights(f: float, w: Array, d: Array) -> None:
    # f in [-0.5, 0.5] from the nearest knot
    w[0] = 0.5 * (0.5 - f) ** 2
    w[1] = 0.75 - f * f
    w[2] = 0.5 * (0.5 + f) ** 2
    d[0] = f - 0.5
    d[1] = -2.0 * f
    d[2] = f + 0.5


@njit(cache=True, nogil=True, inline="always")
def read_at(
    x: float, y: float, z: float, origin: Array, step: float, knots: Array
) -> tuple[float, float, float, float]:
    """The distance at a point, and how it changes along each axis; beyond the grid as at its rim:
    under the ankles the body goes on as a prism."""
    nx, ny, nz = knots.shape
    u = (x - origin[0]) / step
    v = (y - origin[1]) / step
    w = (z - origin[2]) / step
    p0 = min(max(u, 1.0), nx - 2.0)
    p1 = min(max(v, 1.0), ny - 2.0)
    p2 = min(max(w, 1.0), nz - 2.0)
    a, b, c = int(np.floor(p0 + 0.5)), int(np.floor(p1 + 0.5)), int(np.floor(p2 + 0.5))
    wx = np.empty(3)
    wy = np.empty(3)
    wz = np.empty(3)
    dx = np.empty(3)
    dy = np.empty(3)
    dz = np.empty(3)
    _weights(p0 - a, wx, dx)
    _weights(p1 - b, wy, dy)
    _weights(p2 - c, wz, dz)
    s = 0.0
    s0 = 0.0
    s1 = 0.0
    s2 = 0.0
    for p in range(3):
        for q in range(3):
            for r in range(3):
                k = knots[a + p - 1, b + q - 1, c + r - 1]
                s += wx[p] * wy[q] * wz[r] * k
                s0 += dx[p] * wy[q] * wz[r] * k
                s1 += wx[p] * dy[q] * wz[r] * k
                s2 += wx[p] * wy[q] * dz[r] * k
    return (
        s,
        s0 / step if p0 == u else 0.0,
        s1 / step if p1 == v else 0.0,
        s2 / step if p2 == w else 0.0,
    )


@njit(cache=True, parallel=True, nogil=True)
def sampled(x: Array, origin: Array, step: float, knots: Array, d: Array, g: Array) -> None:
    """Fills d (n,) and g (n, 3) at x (n, 3); beyond the grid as at its rim."""
    for i in prange(len(x)):
        d[i], g[i, 0], g[i, 1], g[i, 2] = read_at(x[i, 0], x[i, 1], x[i, 2], origin, step, knots)


@njit(cache=True, nogil=True)
def _in_slabs(
    points: Array,
    triangles: Whole,
    origin: Array,
    step: float,
    band: float,
    shape: tuple[int, int, int],
    thick: int,
) -> tuple[Whole, Whole]:
    """The triangles that come near each slab, so many of the grid's layers thick: those of slab k
    are ``which[ends[k] : ends[k + 1]]``."""
    many = (shape[2] + thick - 1) // thick
    first = np.zeros(len(triangles), np.int64)
    past = np.zeros(len(triangles), np.int64)
    ends = np.zeros(many + 1, np.int64)
    for t in range(len(triangles)):
        a = points[triangles[t, 0]]
        b = points[triangles[t, 1]]
        c = points[triangles[t, 2]]
        near = True
        k0, k1 = 0, 0
        for k in range(3):
            k0 = int(np.ceil((min(a[k], b[k], c[k]) - band - origin[k]) / step))
            k1 = int(np.floor((max(a[k], b[k], c[k]) + band - origin[k]) / step))
            near = near and k0 < shape[k] and k1 >= 0
        if near:
            first[t], past[t] = max(k0, 0) // thick, min(k1, shape[2] - 1) // thick + 1
            for slab in range(first[t], past[t]):
                ends[slab + 1] += 1
    for k in range(many):
        ends[k + 1] += ends[k]
    which = np.empty(ends[many], np.int64)
    at = ends[:-1].copy()
    for t in range(len(triangles)):
        for slab in range(first[t], past[t]):
            which[at[slab]] = t
            at[slab] += 1
    return ends, which


@njit(cache=True, parallel=True, nogil=True)
def _banded(
    points: Array,
    normals: Array,
    triangles: Whole,
    origin: Array,
    step: float,
    band: float,
    found: Array,
    thick: int,
) -> None:
    """Fills the distances of the grid's points from triangles nearer than the band, negative
    within, where they are less than what is found."""
    nx, ny, nz = found.shape
    ends, which = _in_slabs(points, triangles, origin, step, band, (nx, ny, nz), thick)
    for slab in prange(len(ends) - 1):
        z0, z1 = slab * thick, min(nz, (slab + 1) * thick)
        weight = np.empty(3)
        p = np.empty(3)
        low = np.empty(3, np.int64)
        high = np.empty(3, np.int64)
        for at in range(ends[slab], ends[slab + 1]):
            t = which[at]
            a = points[triangles[t, 0]]
            b = points[triangles[t, 1]]
            c = points[triangles[t, 2]]
            for k in range(3):
                lo = min(a[k], b[k], c[k]) - band - origin[k]
                hi = max(a[k], b[k], c[k]) + band - origin[k]
                low[k] = max(0, int(np.ceil(lo / step)))
                high[k] = int(np.floor(hi / step))
            k0, k1 = max(low[2], z0), min(high[2], z1 - 1)
            # no point of the triangle is farther than `wide` from its middle
            m0, m1, m2 = (
                (a[0] + b[0] + c[0]) / 3.0,
                (a[1] + b[1] + c[1]) / 3.0,
                (a[2] + b[2] + c[2]) / 3.0,
            )
            wide = 0.0
            for q in (a, b, c):
                wide = max(wide, (q[0] - m0) ** 2 + (q[1] - m1) ** 2 + (q[2] - m2) ** 2)
            wide = np.sqrt(wide)
            for i in range(low[0], min(high[0], nx - 1) + 1):
                p[0] = origin[0] + step * i
                for j in range(low[1], min(high[1], ny - 1) + 1):
                    p[1] = origin[1] + step * j
                    for k in range(k0, k1 + 1):
                        p[2] = origin[2] + step * k
                        most = min(band, abs(found[i, j, k])) + wide
                        if (p[0] - m0) ** 2 + (p[1] - m1) ** 2 + (p[2] - m2) ** 2 >= most * most:
                            continue
                        weight[1], weight[2], _ = on_triangle(p, a, b, c)
                        weight[0] = 1.0 - weight[1] - weight[2]
                        q = 0.0
                        s = 0.0
                        for l in range(3):
                            off = p[l] - weight[0] * a[l] - weight[1] * b[l] - weight[2] * c[l]
                            q += off * off
                            s += off * (
                                weight[0] * normals[triangles[t, 0], l]
                                + weight[1] * normals[triangles[t, 1], l]
                                + weight[2] * normals[triangles[t, 2], l]
                            )
                        d = np.sqrt(q)
                        if d < band and d < abs(found[i, j, k]):
                            found[i, j, k] = d if s >= 0.0 else -d


@njit(cache=True, parallel=True, nogil=True)
def _sharpened(found: Array, knots: Array) -> None:
    """Fills the coefficients of the B-spline (nx, ny, nz): one step of taking back what it smooths,
    which stays local; the exact inverse would carry the kinks in the middle of limbs far about."""
    nx, ny, nz = found.shape
    weight = (0.125, 0.75, 0.125)
    for i in prange(nx):
        for j in range(ny):
            for k in range(nz):
                s = 0.0
                for p in range(3):
                    a = min(max(i + p - 1, 0), nx - 1)
                    for q in range(3):
                        b = min(max(j + q - 1, 0), ny - 1)
                        line = found[a, b]
                        low, high = line[max(k - 1, 0)], line[min(k + 1, nz - 1)]
                        s += weight[p] * weight[q] * (0.125 * (low + high) + 0.75 * line[k])
                knots[i, j, k] = 2.0 * found[i, j, k] - s


def field_of(
    body: Surface, step: float = STEP, low: Array | None = None, high: Array | None = None
) -> Field:
    """The field of a body; with low and high (3,) cm only within that box."""
    least, most = body.points.min(axis=0) - ROOM, body.points.max(axis=0) + ROOM
    least = np.maximum(least, low) if low is not None else least
    most = np.minimum(most, high) if high is not None else most
    # the grid's points lie at the same places whatever the box: a garment hung anew finds the same
    # body to the last digit
    least = step * np.floor(least / step)
    many = np.ceil((most - least) / step)
    shape = (int(many[0]) + 1, int(many[1]) + 1, int(many[2]) + 1)
    # one layout, so that it is compiled once
    points = np.ascontiguousarray(body.points)
    return Field(least, step, _knots(points, body.triangles, least, step, shape))


@njit(cache=True, nogil=True)
def _knots(
    points: Array, triangles: Whole, origin: Array, step: float, shape: tuple[int, int, int]
) -> Array:
    """The coefficients in a grid. In one call: between calls a thread that works beside others
    waits until it is its turn to run Python."""
    normals = np.empty_like(points)
    by_angle(points, triangles, normals)
    for i in range(len(normals)):
        size = np.sqrt(normals[i, 0] ** 2 + normals[i, 1] ** 2 + normals[i, 2] ** 2)
        if size > 0.0:
            normals[i] /= size
    found = np.full(shape, 10.0 * FAR)
    _banded(points, normals, triangles, origin, step, BAND, found, THICK)
    known = found < FAR
    within = inside(found, known)
    off, at = nearest_known(known)
    _carried_on(found.ravel(), known.ravel(), within.ravel(), off.ravel(), at.ravel(), step)
    knots = np.empty(shape)
    _sharpened(found, knots)
    return knots


@njit(cache=True, parallel=True, nogil=True)
def _carried_on(
    found: Array,
    known: NDArray[np.bool_],
    within: NDArray[np.bool_],
    off: Small,
    at: Small,
    step: float,
) -> None:
    """Fills distances that are not known (k,) from the nearest that is: off by so many steps
    squared, at its number in the grid."""
    for k in prange(len(found)):
        if not known[k]:
            beyond = step * np.sqrt(off[k]) + abs(found[at[k]])
            found[k] = -beyond if within[k] else beyond
