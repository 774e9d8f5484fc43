"""A panel triangulated flat: the vertices of its net line and lines given, the rest put in.

Points inside stand on a hexagonal grid along the grain and are then evened out; triangles are
Delaunay's, with the net line and the lines as their sides. All in cm.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from scipy.spatial import Delaunay, cKDTree

from pinwright.drape.data import Array, Whole
from pinwright.drape.flipping import forced
from pinwright.errors import GeometryError

CLEAR = 0.62
"""No point inside stands nearer to the net line than this part of a side to begin with."""

CLEAR_LINE = 0.55
"""Nor nearer than this to a line."""

ROUNDS, STEPS = 2, 2
"""Times that the points inside are joined to triangles and, each time, evened out."""

EMPTY = 1e-6
"""Triangles smaller than this part of the square of a side are those between points in a row."""


def triangulated(
    ring: Array, extra: Array, chains: Iterable[Whole], grain: Array, edge: float
) -> tuple[Array, Whole]:
    """Points and triangles of a panel.

    Args:
        ring: (n, 2) vertices of the net line, anticlockwise, darts cut out.
        extra: (k, 2) vertices of lines inside, numbered on from the ring's.
        chains: vertices along each line.
        grain: (2,) unit vector along the grain.
        edge: wanted side of the triangles, cm.

    Returns:
        Points (n + k + inner, 2), those given first, and triangles (m, 3), anticlockwise.

    Raises:
        GeometryError: a net line that crosses itself, or is too narrow to be triangulated.
    """
    n = len(ring)
    cloth = shapely.Polygon(ring)
    if not cloth.is_valid:
        raise GeometryError(
            f"a net line crosses itself at this size of triangles ({edge:g} cm): "
            f"{shapely.is_valid_reason(cloth)}"
        )
    shapely.prepare(cloth)
    loop = np.stack([np.arange(n), (np.arange(n) + 1) % n], axis=1)
    rows = [np.stack([c[:-1], c[1:]], axis=1) for c in chains]
    sides = np.concatenate([loop, *rows])
    given = np.concatenate([ring, extra])
    inner = _grid(cloth, grain, edge)
    inner = _clear(inner, given, loop, CLEAR * edge)
    if rows:
        inner = _clear(inner, given, np.concatenate(rows), CLEAR_LINE * edge)
    points = np.concatenate([given, inner])
    for _ in range(ROUNDS):
        triangles = _kept(points, _delaunay(points), cloth, edge)
        for _ in range(STEPS):
            points = _evened(points, len(given), triangles)
    triangles = forced(points, _delaunay(points), sides)
    return points, _kept(points, triangles, cloth, edge)


def least_angles(points: Array, triangles: Whole) -> Array:
    """The least angle of each triangle, degrees, (m,)."""
    p = points[triangles]
    sides = np.sort(np.stack([np.hypot(*(p[:, i] - p[:, i - 1]).T) for i in range(3)]), axis=0)
    a, b, c = sides
    cosine = (b * b + c * c - a * a) / np.maximum(2.0 * b * c, 1e-30)
    return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


def _grid(cloth: shapely.Polygon, grain: Array, edge: float) -> Array:
    """Points of a hexagonal grid on the cloth, rows across the grain, (k, 2)."""
    across = np.array([grain[1], -grain[0]])
    frame = np.stack([across, grain])
    corners = shapely.get_coordinates(cloth) @ frame.T
    low, high = corners.min(axis=0), corners.max(axis=0)
    rise = edge * np.sqrt(3.0) / 2.0
    j, i = np.mgrid[0 : int((high[1] - low[1]) / rise) + 2, -1 : int((high[0] - low[0]) / edge) + 2]
    x = low[0] + edge * (i + 0.5 * (j % 2))
    y = low[1] + rise * (j + 0.37)
    at = np.stack([x.ravel(), y.ravel()], axis=1) @ frame
    return np.asarray(at[shapely.contains_xy(cloth, at[:, 0], at[:, 1])])


def _clear(inner: Array, points: Array, sides: Whole, reach: float) -> Array:
    """Those of the points that are ``reach`` or more from the sides."""
    if not len(inner):
        return inner
    a, b = points[sides[:, 0]], points[sides[:, 1]]
    count = np.maximum(1, np.ceil(np.hypot(*(b - a).T) / (0.35 * reach))).astype(int)
    k = np.repeat(np.arange(len(a)), count)
    t = (np.arange(len(k)) - np.repeat(np.cumsum(count) - count, count)) / count[k]
    off, _ = cKDTree(a[k] + t[:, None] * (b - a)[k]).query(inner, distance_upper_bound=reach)
    return np.asarray(inner[off >= reach])


def _delaunay(points: Array) -> Whole:
    found = Delaunay(points)
    if len(found.coplanar):
        raise GeometryError("two vertices of a panel are in one place; its edges are too short")
    t = found.simplices.astype(np.int64)
    turned = areas(points, t) < 0.0
    t[turned] = t[turned][:, ::-1]
    return np.asarray(t)


def areas(points: Array, t: Whole) -> Array:
    """Areas of the triangles (m,), cm², positive where they run anticlockwise."""
    p, q, r = points[t[:, 0]], points[t[:, 1]], points[t[:, 2]]
    u, v = q - p, r - p
    return np.asarray(0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]))


def _kept(points: Array, t: Whole, cloth: shapely.Polygon, edge: float) -> Whole:
    """The triangles that lie on the cloth."""
    middle = points[t].mean(axis=1)
    on = shapely.contains_xy(cloth, middle[:, 0], middle[:, 1])
    return np.asarray(t[on & (areas(points, t) > EMPTY * edge * edge)])


def _evened(points: Array, fixed: int, t: Whole) -> Array:
    """Every point but the first ``fixed`` at the middle of its neighbours."""
    e = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    n = len(points)
    # a side inside has two triangles, so both of its ends count each other once
    count = np.bincount(e[:, 0], minlength=n)
    total = [np.bincount(e[:, 0], weights=points[e[:, 1], i], minlength=n) for i in range(2)]
    moved = points.copy()
    free = np.flatnonzero(count > 0)
    free = free[free >= fixed]
    moved[free] = np.stack(total, axis=1)[free] / count[free, None]
    return moved
