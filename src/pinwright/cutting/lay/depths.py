"""How deep two pieces overlap, tabulated for every shift on a grid.

Within a no-fit region a shift's depth is its distance to the nearest shift that is free: how far
one piece must be moved, at the most, to come clear of the other ("raster penetration map": Sato,
Martins and Tsuzuki 2019, "Raster penetration map applied to the irregular packing problem",
European Journal of Operational Research 279). Whether it overlaps at all is exact at the nodes of
the grid; the depth is right to about a step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

Grid = NDArray[np.float32]
Pair = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Depths:
    """Depths (n, m) in cm at the shifts (offset + (i + a) step), a = 0..n-1 along, likewise across.

    ``first`` is (i, j). Everywhere else the depth is 0.
    """

    first: tuple[int, int]
    values: Grid

    def at(self, i: int, j: int) -> float:
        """The depth, cm, at node (i, j)."""
        a, b = i - self.first[0], j - self.first[1]
        n, m = self.values.shape
        return float(self.values[a, b]) if 0 <= a < n and 0 <= b < m else 0.0

    @property
    def opposite(self) -> Depths:
        """The same at shifts of the opposite sign."""
        n, m = self.values.shape
        first = (1 - n - self.first[0], 1 - m - self.first[1])
        return Depths(first, np.ascontiguousarray(self.values[::-1, ::-1]))


def depths(region: shapely.Geometry, step: Pair, offset: Pair = (0.0, 0.0)) -> Depths | None:
    """The depths inside a region of shifts; None where no node lies inside."""
    if region.is_empty:
        return None
    first, inside = nodes_inside(region, step, offset)
    if not inside.any():
        return None
    # a rim of free nodes, so that the distance to what lies outside the table counts
    padded = distance_transform_edt(np.pad(inside, 1), sampling=step)
    return Depths(first, np.ascontiguousarray(padded[1:-1, 1:-1], dtype=np.float32))


def nodes_inside(
    region: shapely.Geometry, step: Pair, offset: Pair
) -> tuple[tuple[int, int], NDArray[np.bool_]]:
    """First node (i, j), and which nodes (n, m) from there on lie inside polygons.

    By the lines across: between each odd crossing of the boundary and the next.
    """
    x0, y0, x1, y1 = region.bounds
    size, start = np.array(step), np.array(offset)
    i, j = (int(v) for v in np.floor((np.array([x0, y0]) - start) / size))
    n, m = (int(v) for v in np.ceil((np.array([x1, y1]) - start) / size) - [i - 1, j - 1])
    crossed = np.zeros((n + 1, m), dtype=np.int32)
    for ring in shapely.get_rings(shapely.get_parts(region)):
        nodes = (shapely.get_coordinates(ring) - start) / size - [i, j]
        a, b = nodes[:-1], nodes[1:]
        low, high = np.minimum(a[:, 1], b[:, 1]), np.maximum(a[:, 1], b[:, 1])
        bottom = np.ceil(low).astype(np.int64)
        count = np.maximum(np.ceil(high).astype(np.int64) - bottom, 0)
        e = np.repeat(np.arange(len(a)), count)
        line = np.arange(len(e)) - np.repeat(np.cumsum(count) - count, count) + bottom[e]
        along = a[e, 0] + (line - a[e, 1]) * (b[e, 0] - a[e, 0]) / (b[e, 1] - a[e, 1])
        np.add.at(crossed, (np.clip(np.ceil(along).astype(np.int64), 0, n), line), 1)
    return (i, j), (np.cumsum(crossed[:-1], axis=0) % 2).astype(np.bool_)
