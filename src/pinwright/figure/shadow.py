"""The figure laid flat as the eye sees it from one side, what lies foremost, and its outline.

The outline is the edge of the shadow that parallel light throws. It lies on the edges of the mesh
between what faces the eye and what faces away. These, noded, cut the plane into parts that lie
wholly in the shadow or wholly out of it, so that one point of each decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole

Side = Literal["front", "back", "left", "right"]

EYE: Mapping[Side, Array] = {
    "front": np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]]),
    "back": np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]]),
    "left": np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]),
    "right": np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]]),
}
"""The side of her that is seen -> directions to the right, up and towards the eye: (3, 3)."""

GRID = 1e-4
"""Coordinates of the outline are multiples of this, cm: edges that touch are then noded safely."""

SPECK = 0.5
"""A gap in the shadow that is smaller, cm², is not drawn: 5 mm² on paper at 1:10."""

PLAIN, HOLLOW = 2.0, 6.0
"""So near a plain place, cm, no hollow is drawn that is rounder than this radius, cm."""

FLAT = 0.02
"""How far a drawn line may leave the line found, cm: a fiftieth of a millimetre at 1:10."""


@dataclass(frozen=True, slots=True, eq=False)
class Lying:
    """The figure in the picture: points (n, 3) cm, to the right, up, and towards the eye.

    front: the triangles (t, 3) that face the eye. tree: these in the plane, in the same order.
    """

    points: Array
    front: Whole
    tree: shapely.STRtree

    def foremost(self, at: Array) -> tuple[Whole, Array]:
        """What lies foremost at places (m, 2): corners (m, 3) of the triangle, their shares (m, 3).

        The shares sum to 1; beside the figure they are not numbers.
        """
        place, which = self.tree.query(shapely.points(at), predicate="intersects")
        corners = self.front[which]
        a, b, c = np.moveaxis(self.points[corners], 1, 0)
        q = at[place]
        parts = np.stack([_area(q, b, c), _area(a, q, c), _area(a, b, q)], axis=1)
        whole = parts.sum(axis=1, keepdims=True)
        # a triangle seen on its edge has no one depth, and its neighbours tell it
        parts /= np.where(whole > 1e-9, whole, np.nan)
        near = (parts * self.points[corners, 2]).sum(axis=1)
        order = np.lexsort((np.nan_to_num(near, nan=-np.inf), place))
        found, shares = np.zeros((len(at), 3), dtype=np.int64), np.full((len(at), 3), np.nan)
        found[place[order]], shares[place[order]] = corners[order], parts[order]
        return found, shares

    def hidden(self, points: Array, room: float) -> NDArray[np.bool_]:
        """Whether something lies more than ``room`` cm before points (m, 3) of the picture."""
        corners, shares = self.foremost(points[:, :2])
        found: NDArray[np.bool_] = (self.points[corners, 2] * shares).sum(axis=1) > points[
            :, 2
        ] + room
        return found


def flat(points: Array, side: Side) -> Array:
    """Points (..., 3) of the figure as they lie in the picture: right, up, and towards the eye."""
    turned: Array = points @ EYE[side].T
    return turned


def lying(points: Array, corners: Whole, side: Side) -> Lying:
    """The figure, a closed surface (n, 3) with triangles (t, 3), as seen from a side."""
    found = flat(points, side)
    front = corners[_area(*np.moveaxis(found[corners], 1, 0)) > 0.0]
    return Lying(found, front, shapely.STRtree(shapely.polygons(found[front, :2])))


def outline(body: Lying, plain: Array) -> shapely.Polygon:
    """The shadow of the figure, gaps between arm and trunk left open; see :data:`SPECK`.

    plain: places (k, 2) round which hollows of the outline are filled; see :data:`PLAIN`.
    """
    front = body.front
    ends = np.concatenate([front[:, [0, 1]], front[:, [1, 2]], front[:, [2, 0]]])
    low, high = ends.min(axis=1), ends.max(axis=1)
    _, at, count = np.unique(low * len(body.points) + high, return_index=True, return_counts=True)
    rim = shapely.linestrings(body.points[ends[at[count == 1]], :2])
    noded = shapely.union_all(rim, grid_size=GRID)
    parts = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    wide = np.flatnonzero(shapely.area(parts) > SPECK)
    seen = body.tree.query(shapely.point_on_surface(parts[wide]), predicate="intersects")[0]
    gaps = np.delete(wide, np.unique(seen))
    whole = shapely.coverage_union_all(np.delete(parts, gaps))
    largest = max(shapely.get_parts(whole), key=shapely.area)
    near = shapely.union_all(shapely.buffer(shapely.points(plain), PLAIN))
    filled = largest.buffer(HOLLOW).buffer(-HOLLOW).intersection(near)
    return shapely.orient_polygons(largest.union(filled).simplify(FLAT))


def _area(a: Array, b: Array, c: Array) -> Array:
    """Twice the area of triangles in the picture, positive when anticlockwise: (m,)."""
    one: Array = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1])
    other: Array = (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return one - other
