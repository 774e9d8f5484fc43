"""Sides that a triangulation must have, put in by exchanging the diagonals in their way.

Reference: S. W. Sloan, A fast algorithm for generating constrained Delaunay triangulations,
Computers & Structures 47 (1993), 441-450 (from memory).
"""

from __future__ import annotations

from collections import deque

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.errors import GeometryError

TRIES = 40
"""Times that the sides in the way of one are gone through before it is given up."""


def forced(points: Array, triangles: Whole, sides: Whole) -> Whole:
    """The triangles (m, 3), anticlockwise, changed so that every one of ``sides`` (k, 2) is there.

    Raises:
        GeometryError: a side that passes through a vertex.
    """
    n = len(points)
    t = triangles
    e = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    want = np.sort(sides, axis=1)
    missing = ~np.isin(want[:, 0] * n + want[:, 1], e[:, 0] * n + e[:, 1])
    if not missing.any():
        return triangles
    mesh = _Mesh(points, triangles.copy())
    for a, b in want[missing].tolist():
        mesh.put(a, b)
    return mesh.t


class _Mesh:
    """Triangles with, for each directed side, the triangle that has it."""

    def __init__(self, points: Array, triangles: Whole) -> None:
        self.p = points
        self.t = triangles
        self.owner: dict[tuple[int, int], int] = {}
        for k, (a, b, c) in enumerate(triangles.tolist()):
            for side in ((a, b), (b, c), (c, a)):
                self.owner[side] = k

    def put(self, a: int, b: int) -> None:
        """Make the side from a to b."""
        way = deque(self._crossed(a, b))
        left = TRIES * (len(way) + 1)
        while way:
            left -= 1
            if left < 0:
                raise GeometryError("a side of a panel passes through one of its vertices")
            u, v = way.popleft()
            k, m = self.owner[u, v], self.owner[v, u]
            w, x = self._third(k, u, v), self._third(m, v, u)
            if not self._turn(x, w, u) > 0.0 > self._turn(x, w, v):
                way.append((u, v))
                continue
            self._replace(k, m, u, v, w, x)
            if {w, x} & {a, b} or not self._meets(a, b, w, x):
                continue
            way.append((w, x))

    def _crossed(self, a: int, b: int) -> list[tuple[int, int]]:
        e = np.concatenate([self.t[:, [0, 1]], self.t[:, [1, 2]], self.t[:, [2, 0]]])
        e = e[e[:, 0] < e[:, 1]]
        p, q = self.p[e[:, 0]], self.p[e[:, 1]]
        s, d = self.p[a], self.p[b] - self.p[a]
        side_p = d[0] * (p - s)[:, 1] - d[1] * (p - s)[:, 0]
        side_q = d[0] * (q - s)[:, 1] - d[1] * (q - s)[:, 0]
        f = q - p
        side_a = f[:, 0] * (s - p)[:, 1] - f[:, 1] * (s - p)[:, 0]
        side_b = f[:, 0] * (s + d - p)[:, 1] - f[:, 1] * (s + d - p)[:, 0]
        hit = (side_p * side_q < 0.0) & (side_a * side_b < 0.0)
        hit &= ~np.isin(e, (a, b)).any(axis=1)
        return [(int(u), int(v)) for u, v in e[hit] if (int(v), int(u)) in self.owner]

    def _third(self, k: int, u: int, v: int) -> int:
        return next(int(x) for x in self.t[k] if x not in (u, v))

    def _turn(self, i: int, j: int, k: int) -> float:
        """Twice the area of three vertices, positive when they turn left."""
        u, v = self.p[j] - self.p[i], self.p[k] - self.p[i]
        return float(u[0] * v[1] - u[1] * v[0])

    def _meets(self, a: int, b: int, w: int, x: int) -> bool:
        across = self._turn(a, b, w) * self._turn(a, b, x)
        return across < 0.0 and self._turn(w, x, a) * self._turn(w, x, b) < 0.0

    def _replace(self, k: int, m: int, u: int, v: int, w: int, x: int) -> None:
        """Exchange the side u, v of triangles k (u, v, w) and m (v, u, x) for w, x."""
        self.t[k], self.t[m] = (x, v, w), (w, u, x)
        del self.owner[u, v], self.owner[v, u]
        for tri, (a, b, c) in ((k, (x, v, w)), (m, (w, u, x))):
            for side in ((a, b), (b, c), (c, a)):
                self.owner[side] = tri
