"""The outer boundary of a raw parallel: loops cut off, and the net line surely inside."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from pinwright.errors import GeometryError

Array = NDArray[np.float64]


def envelope(ring: Array, net: shapely.Polygon, name: str = "?") -> Array:
    """A simple closed polyline (m, 2) round ``ring`` (anticlockwise, open or closed) and ``net``.

    A raw parallel loops at hollow corners and where a curve is tighter than the distance. What it
    winds round at least once is cloth (Chen and McMains, Polygon offsetting by computing winding
    numbers, ASME DETC2005-85513, from memory), and so is the net line's own area. Gaps enclosed
    by the cloth are cloth too: they cannot be cut.

    Raises:
        GeometryError: the net line crosses itself.
    """
    gaps = np.diff(ring, axis=0)
    ring = ring[np.concatenate([[True], np.einsum("ij,ij->i", gaps, gaps) > 1e-14])]
    if np.abs(ring[0] - ring[-1]).max() > 1e-7:
        ring = np.concatenate([ring, ring[:1]])
    else:
        ring = np.concatenate([ring[:-1], ring[:1]])
    raw = shapely.Polygon(ring)
    if raw.is_valid and raw.covers(net):
        return ring
    if not net.is_valid:
        raise GeometryError(
            f"Piece {name}: its net line crosses itself ({shapely.is_valid_reason(net)}), so it "
            "cannot be cut."
        )
    noded = shapely.unary_union(shapely.LinearRing(ring))
    faces = shapely.get_parts(shapely.polygonize([noded]))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    kept = [f for f, w in zip(faces, winding(ring, inside), strict=True) if w >= 1]
    whole = shapely.union_all([*kept, net])
    parts = shapely.get_parts(whole)
    biggest = max(parts, key=lambda part: float(part.area))
    out = shapely.Polygon(biggest.exterior)
    return np.asarray(shapely.get_coordinates(orient(out)), dtype=np.float64)


def winding(ring: Array, points: Array) -> NDArray[np.int64]:
    """How often a closed polyline (m, 2) winds anticlockwise round each point (k, 2)."""
    a, b = ring[:-1], ring[1:]
    up = (a[None, :, 1] <= points[:, None, 1]) & (b[None, :, 1] > points[:, None, 1])
    down = (a[None, :, 1] > points[:, None, 1]) & (b[None, :, 1] <= points[:, None, 1])
    side = (b[:, 0] - a[:, 0]) * (points[:, None, 1] - a[:, 1]) - (points[:, None, 0] - a[:, 0]) * (
        b[:, 1] - a[:, 1]
    )
    turns: NDArray[np.int64] = (up & (side > 0)).sum(axis=1) - (down & (side < 0)).sum(axis=1)
    return turns
