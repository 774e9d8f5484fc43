"""What of a cloth each of its vertices sees before it and behind it.

Of one cloth or of many at once, which have the same triangles: the work is shared out over all
cores by vertices, so that neither one large cloth nor a few of many hold it up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from pinwright.drape.data import Array, Flags, Short, Whole
from pinwright.drape.surfaces import by_angle, on_triangle

SHARES = 64
"""Into about so many shares the vertices are parted."""

BESIDE = 0.3
"""What lies so near a vertex's own plane, as a part of its distance, is beside it, not on it."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Triangles of k cloths by the cell of their middles.

    low: (k, 3) its corner, cell: (k,) how wide its cells are, cm. count: (3,) cells. start: (k,
    cells + 1), order: (k, m) the triangles; middle: (k, m, 3) cm and wide: (k, m), how far corners
    are from it, cm, in that order.
    """

    low: Array
    cell: Array
    count: Whole
    start: Whole
    order: Whole
    middle: Array
    wide: Array


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """The nearest triangle before each vertex and behind it: (k, n, 2) each.

    met: the triangle, -1 for none. side: of it on which the vertex is, 1 or -1. facing: how both
    face, cosine. distance: cm. close: (k, n) whether anything is within reach, be it beside.
    """

    met: Whole
    side: Array
    facing: Array
    distance: Array
    close: Flags


@njit(cache=True)
def nearest_place(x: Array, v: int, a: int, b: int, c: int, w: Array, r: Array) -> float:
    """Weights w (3,) of the nearest place of a triangle, r (3,) from it to v; the distance."""
    w[1], w[2], _ = on_triangle(x[v], x[a], x[b], x[c])
    w[0] = 1.0 - w[1] - w[2]
    q = 0.0
    for k in range(3):
        r[k] = x[v, k] - w[0] * x[a, k] - w[1] * x[b, k] - w[2] * x[c, k]
        q += r[k] * r[k]
    return float(np.sqrt(q))


@njit(cache=True, parallel=True)
def _surveyed(
    x: Array,
    triangles: Whole,
    out: Array,
    middle: Array,
    wide: Array,
    low: Array,
    high: Array,
) -> None:
    """Fills the ways (k, n, 3) in which cloths face, middles of triangles (k, m, 3), how far their
    corners are from them (k, m), and the corners (k, 3) of the boxes they are in."""
    for b in prange(len(x)):
        by_angle(x[b], triangles, out[b])
        for k in range(3):
            low[b, k], high[b, k] = np.inf, -np.inf
        for v in range(x.shape[1]):
            size = 0.0
            for k in range(3):
                size += out[b, v, k] ** 2
                low[b, k] = min(low[b, k], x[b, v, k])
                high[b, k] = max(high[b, k], x[b, v, k])
            size = np.sqrt(size)
            if size > 0.0:
                for k in range(3):
                    out[b, v, k] /= size
        for t in range(len(triangles)):
            most = 0.0
            for k in range(3):
                middle[b, t, k] = (
                    x[b, triangles[t, 0], k] + x[b, triangles[t, 1], k] + x[b, triangles[t, 2], k]
                ) / 3.0
            for c in range(3):
                size = 0.0
                for k in range(3):
                    size += (x[b, triangles[t, c], k] - middle[b, t, k]) ** 2
                most = max(most, size)
            wide[b, t] = np.sqrt(most)


@njit(cache=True, parallel=True)
def _gridded(
    middle: Array,
    wide: Array,
    low: Array,
    cell: Array,
    count: Whole,
    where: Whole,
    start: Whole,
    order: Whole,
    middle_so: Array,
    wide_so: Array,
) -> None:
    """Fills the starts (k, cells + 1), and triangles, middles and widths by cell (k, m); where (k,
    m) is to work in."""
    cells, m = start.shape[1] - 1, middle.shape[1]
    for b in prange(len(middle)):
        start[b] = 0
        for t in range(m):
            i0 = int((middle[b, t, 0] - low[b, 0]) / cell[b])
            i1 = int((middle[b, t, 1] - low[b, 1]) / cell[b])
            i2 = int((middle[b, t, 2] - low[b, 2]) / cell[b])
            where[b, t] = (i0 * count[1] + i1) * count[2] + i2
            start[b, where[b, t]] += 1
        for q in range(cells):
            start[b, q + 1] += start[b, q]
        # from the last, each where its cell ends so far
        for u in range(m):
            t = m - 1 - u
            start[b, where[b, t]] -= 1
            at = start[b, where[b, t]]
            order[b, at], wide_so[b, at] = t, wide[b, t]
            for k in range(3):
                middle_so[b, at, k] = middle[b, t, k]


@njit(cache=True, parallel=True)
def _seen(
    x: Array,
    out: Array,
    triangles: Whole,
    middle: Array,
    wide: Array,
    start: Whole,
    order: Whole,
    low: Array,
    cell: Array,
    count: Whole,
    near_start: Whole,
    near: Whole,
    neighbour: Short,
    reach: Array,
    met: Whole,
    side: Array,
    facing: Array,
    distance: Array,
    close: Flags,
) -> None:
    """Fills what is seen: see :class:`Seen`.

    neighbour: (shares, m) to work in, which vertex a triangle last was beside.
    """
    n = x.shape[1]
    shares = len(neighbour) // len(x)
    for share in prange(len(x) * shares):
        b, part = share // shares, share % shares
        beside = neighbour[share]
        beside[:] = -1
        some = np.empty(len(triangles), np.int32)
        for v in range(part * n // shares, (part + 1) * n // shares):
            for t in near[near_start[v] : near_start[v + 1]]:
                beside[t] = v
            close[b, v] = _looked(
                v,
                x[b],
                out[b],
                triangles,
                middle[b],
                wide[b],
                start[b],
                order[b],
                low[b],
                cell[b],
                count,
                beside,
                some,
                reach[b],
                met[b, v],
                side[b, v],
                facing[b, v],
                distance[b, v],
            )


@njit(cache=True)
def _looked(
    v: int,
    x: Array,
    out: Array,
    triangles: Whole,
    middle: Array,
    wide: Array,
    start: Whole,
    order: Whole,
    low: Array,
    cell: float,
    count: Whole,
    beside: Short,
    some: Short,
    reach: float,
    met: Whole,
    side: Array,
    facing: Array,
    distance: Array,
) -> bool:
    """What one vertex sees (2,) but for what is beside it, and whether anything is within reach."""
    close = False
    w = np.empty(3)
    r = np.empty(3)
    at = np.empty(3, np.int64)
    for h in range(2):
        met[h] = -1
        distance[h] = reach
        side[h] = facing[h] = 0.0
    for k in range(3):
        at[k] = int((x[v, k] - low[k]) / cell)
    x0, x1, x2 = x[v, 0], x[v, 1], x[v, 2]
    for i in range(max(0, at[0] - 1), min(count[0], at[0] + 2)):
        for j in range(max(0, at[1] - 1), min(count[1], at[1] + 2)):
            row = (i * count[1] + j) * count[2]
            first, last = max(0, at[2] - 1), min(count[2], at[2] + 2)
            many = 0
            for q in range(start[row + first], start[row + last]):
                d0 = x0 - middle[q, 0]
                d1 = x1 - middle[q, 1]
                d2 = x2 - middle[q, 2]
                most = reach + wide[q]
                # without a branch, which would be guessed wrong as often as not
                some[many] = q
                many += d0 * d0 + d1 * d1 + d2 * d2 <= most * most
            for s in range(many):
                q = some[s]
                t = order[q]
                if beside[t] == v:
                    continue
                a, b, c = triangles[t, 0], triangles[t, 1], triangles[t, 2]
                d = nearest_place(x, v, a, b, c, w, r)
                close = close or d < reach
                if d >= distance[0] and d >= distance[1]:
                    continue
                own = 0.0
                other = 0.0
                face = 0.0
                size = 0.0
                for k in range(3):
                    there = w[0] * out[a, k] + w[1] * out[b, k] + w[2] * out[c, k]
                    own += r[k] * out[v, k]
                    other += r[k] * there
                    face += out[v, k] * there
                    size += there * there
                size = np.sqrt(size)
                if size < 1e-3:
                    continue
                other /= size
                face /= size
                # edge to edge they do not lie on each other
                if abs(other) < BESIDE * d or abs(own) < BESIDE * d:
                    continue
                h = 0 if own < 0.0 else 1
                if d < distance[h]:
                    distance[h] = d
                    met[h] = t
                    side[h] = 1.0 if other >= 0.0 else -1.0
                    facing[h] = face
    return close


class Desk:
    """Arrays to work in, which stay: to get new memory each time takes as long as the work."""

    def __init__(self) -> None:
        self._there: dict[str, NDArray[Any]] = {}

    def room(self, name: str, shape: tuple[int, ...], dtype: Any = np.float64) -> NDArray[Any]:
        """An array with anything in it, whose memory the next one of that name has."""
        size = int(np.prod(shape))
        if name not in self._there or self._there[name].size < size:
            self._there[name] = np.empty(size, dtype)
        return self._there[name][:size].reshape(shape)


def seen(
    x: Array, triangles: Whole, near_start: Whole, near: Whole, reach: Array, desk: Desk
) -> tuple[Seen, Grid, Array]:
    """What the vertices of cloths at x (k, n, 3) see no farther than reach (k,), cm; the grid, and
    which way the cloths face (k, n, 3). All of it lies on the desk.

    near_start (n + 1,), near: of each vertex the triangles beside it, which it does not see.
    """
    many, n, m = len(x), x.shape[1], len(triangles)
    of, room = (many, m), desk.room
    out, middle, wide = room("out", x.shape), room("middle", (*of, 3)), room("wide", of)
    low, high = np.empty((many, 3)), np.empty((many, 3))
    _surveyed(x, triangles, out, middle, wide, low, high)
    low -= 1e-6
    cell = reach + wide.max(axis=1)
    count = ((high - low) / cell[:, None]).astype(np.int64).max(axis=0) + 1
    where, order = room("where", of, np.int64), room("order", of, np.int64)
    start = room("start", (many, int(count.prod()) + 1), np.int64)
    middle_so, wide_so = room("middle, in order", (*of, 3)), room("wide, in order", of)
    _gridded(middle, wide, low, cell, count, where, start, order, middle_so, wide_so)
    grid = Grid(low, cell, count, start, order, middle_so, wide_so)
    both = (many, n, 2)
    found = Seen(
        room("met", both, np.int64),
        room("side", both),
        room("facing", both),
        room("distance", both),
        room("close", (many, n), np.bool_),
    )
    shares = many * -(-SHARES // many)
    _seen(
        x,
        out,
        triangles,
        middle_so,
        wide_so,
        start,
        order,
        low,
        cell,
        count,
        near_start,
        near,
        room("neighbour", (shares, m), np.int32),
        reach,
        found.met,
        found.side,
        found.facing,
        found.distance,
        found.close,
    )
    return found, grid, out
