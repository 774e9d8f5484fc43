"""Overlapping pieces moved, one after another, to where each overlaps least.

The place of least overlap is looked for over the whole cloth, in every way a piece may lie: first
what each block of places has at the least, then the places of the blocks that may be better than
the best found, the most promising block first. So the best place on the grid is found for certain
though few places are looked at.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from pinwright.cutting.lay.overlaps import BLOCK, Overlaps, Whole

Array = NDArray[np.float64]
Small = NDArray[np.float32]

HEAVIER, LIGHTER = 1.2, 0.95
"""What an overlap's weight is multiplied by, at the least, while it lasts, and once it is gone."""

LESS = 0.98
"""An overlap has become less when it is at most this part of what it was."""


class Room(NamedTuple):
    """To work in: sums over blocks (b,), blocks that may be better (b, 3) and their sums (b,)."""

    sums: Small
    some: Whole
    bounds: Array


def room_for(overlaps: Overlaps, nodes: Whole) -> Room:
    """Room for a search on these nodes (W, 6), see :func:`rounds`."""
    along, across = ((nodes[:, k + 1] - nodes[:, k]).max(initial=0) // BLOCK + 1 for k in (0, 3))
    per_piece = int((overlaps.first_way[1:] - overlaps.first_way[:-1]).max(initial=1))
    most = int(along * across) * per_piece
    return Room(
        np.empty(int(along * across), np.float32), np.empty((most, 3), np.int64), np.empty(most)
    )


@njit(cache=True, nogil=True, fastmath=True)
def seeded(seed: int) -> None:
    """Sets what is by chance in this thread."""
    np.random.seed(seed)


@njit(cache=True, nogil=True, fastmath=True)
def depth_at(o: Overlaps, u: int, a: int, b: int, v: int, c: int, d: int) -> int:
    """How deep way v at node (c, d) overlaps way u at node (a, b)."""
    t = o.table[u, v]
    if t < 0:
        return 0
    if o.opposite[u, v]:
        return _tabulated(o, t, a - c, b - d)
    return _tabulated(o, t, c - a, d - b)


@njit(cache=True, nogil=True, fastmath=True)
def _tabulated(o: Overlaps, t: int, i: int, j: int) -> int:
    i -= o.first[t, 0]
    j -= o.first[t, 1]
    if i < 0 or j < 0 or i >= o.shape[t, 0] or j >= o.shape[t, 1]:
        return 0
    return int(o.depth[o.start[t] + i * o.shape[t, 1] + j])


@njit(cache=True, nogil=True, fastmath=True)
def shut_at(o: Overlaps, u: int, a: int, b: int) -> int:
    """How deep way u at node (a, b) lies in what is shut."""
    return 0 if o.shut[u] < 0 else _tabulated(o, o.shut[u], a, b)


@njit(cache=True, nogil=True, fastmath=True)
def all_depths(o: Overlaps, places: Whole, over: Array) -> None:
    """Fills how deep pieces at places (n, 3) overlap each other (n, n), and lie in what is shut, on
    the diagonal."""
    for j in range(len(places)):
        _depths_of(o, places, j, over)


@njit(cache=True, nogil=True, fastmath=True)
def _depths_of(o: Overlaps, places: Whole, j: int, over: Array) -> None:
    v, c, d = places[j]
    for i in range(len(places)):
        u, a, b = places[i]
        over[i, j] = shut_at(o, v, c, d) if i == j else depth_at(o, u, a, b, v, c, d)
        over[j, i] = over[i, j]


@njit(cache=True, nogil=True, fastmath=True)
def _added(
    o: Overlaps, t: int, way: int, weight: float, a: int, b: int, sums: Small, p: int, q: int
) -> None:
    """Adds the least depths of a table to the sums of p by q blocks, the first of which begins at
    shift (a, b); way: 1 at shifts of the opposite sign."""
    w = np.float32(weight)
    a -= o.least_first[t, way, 0]
    b -= o.least_first[t, way, 1]
    rest = (a % BLOCK) * BLOCK + b % BLOCK
    begin, rows, columns = o.part[t, way, rest]
    a //= BLOCK
    b //= BLOCK
    low, high = max(0, -b), min(q, columns - b)
    if high <= low:
        return
    for row in range(max(0, -a), min(p, rows - a)):
        at = begin + (a + row) * columns + b
        # as slices: so the loop is done for many blocks at once
        into, of = sums[row * q + low : row * q + high], o.least[at + low : at + high]
        for column in range(len(into)):
            into[column] += w * np.float32(of[column])


@njit(cache=True, nogil=True, fastmath=True)
def _entered(
    o: Overlaps,
    t: int,
    opposite: bool,
    weight: float,
    a: int,
    b: int,
    here: Small,
    p: int,
    q: int,
) -> None:
    """Adds the depths of a table to those of p by q places, the first of which has shift (a, b)."""
    w = np.float32(weight)
    n, m = o.shape[t]
    step = -1 if opposite else 1
    a = step * a - o.first[t, 0]
    b = step * b - o.first[t, 1]
    if opposite:
        if a < 0 or b < 0 or a - p >= n - 1 or b - q >= m - 1:
            return
    elif a >= n or b >= m or a + p <= 0 or b + q <= 0:
        return
    for x in range(p):
        row = a + step * x
        if row < 0 or row >= n:
            continue
        at = o.start[t] + row * m
        for y in range(q):
            column = b + step * y
            if 0 <= column < m:
                here[x, y] += w * np.float32(o.depth[at + column])


@njit(cache=True, nogil=True, fastmath=True)
def moved(
    o: Overlaps, j: int, places: Whole, weight: Array, nodes: Whole, over: Array, room: Room
) -> None:
    """Piece j goes where it overlaps least, to one of those places by chance."""
    n = len(places)
    # what is shut does not give way: twice the heaviest
    wall = 2.0 * weight[j].max()
    best = wall * over[j, j]
    for i in range(n):
        if i != j:
            best += weight[i, j] * over[i, j]
    many = 0
    for v in range(o.first_way[j], o.first_way[j + 1]):
        a0, a1, _, b0, b1, _ = nodes[v]
        if a1 < a0 or b1 < b0:
            continue
        p, q = (a1 - a0) // BLOCK + 1, (b1 - b0) // BLOCK + 1
        sums = room.sums[: p * q]
        sums[:] = 0.0
        if o.shut[v] >= 0:
            _added(o, o.shut[v], 0, wall, a0, b0, sums, p, q)
        for i in range(n):
            u, a, b = places[i]
            t = o.table[u, v]
            if i != j and t >= 0:
                way = 1 if o.opposite[u, v] else 0
                _added(o, t, way, weight[i, j], a0 - a, b0 - b, sums, p, q)
        for k in range(p * q):
            if sums[k] < best:
                room.some[many, 0] = v
                room.some[many, 1] = a0 + BLOCK * (k // q)
                room.some[many, 2] = b0 + BLOCK * (k % q)
                room.bounds[many] = sums[k]
                many += 1
    here = np.empty((BLOCK, BLOCK), np.float32)
    while many > 0 and best > 0.0:
        which, ties = 0, 1
        for k in range(1, many):
            if room.bounds[k] < room.bounds[which]:
                which, ties = k, 1
            elif room.bounds[k] == room.bounds[which]:
                ties += 1
                if np.random.randint(ties) == 0:
                    which = k
        if room.bounds[which] >= best:
            break
        v, a, b = room.some[which]
        many -= 1
        room.some[which] = room.some[many]
        room.bounds[which] = room.bounds[many]
        p, q = min(BLOCK, nodes[v, 1] - a + 1), min(BLOCK, nodes[v, 4] - b + 1)
        here[:] = 0.0
        if o.shut[v] >= 0:
            _entered(o, o.shut[v], False, wall, a, b, here, p, q)
        for i in range(n):
            u, c, d = places[i]
            t = o.table[u, v]
            if i != j and t >= 0:
                _entered(o, t, o.opposite[u, v], weight[i, j], a - c, b - d, here, p, q)
        begin = np.random.randint(BLOCK * BLOCK)
        for k in range(BLOCK * BLOCK):
            x, y = divmod((begin + k) % (BLOCK * BLOCK), BLOCK)
            if x >= p or y >= q or here[x, y] >= best:
                continue
            if (a + x - nodes[v, 0]) % nodes[v, 2] or (b + y - nodes[v, 3]) % nodes[v, 5]:
                continue
            best = here[x, y]
            places[j, 0], places[j, 1], places[j, 2] = v, a + x, b + y


@njit(cache=True, nogil=True, fastmath=True)
def rounds(
    o: Overlaps,
    nodes: Whole,
    size: Array,
    places: Whole,
    over: Array,
    weight: Array,
    least_places: Whole,
    state: Array,
    many: int,
    patience: int,
    room: Room,
) -> bool:
    """At most so many rounds in which each overlapping piece is moved; whether none is left.

    nodes: (W, 6) first node, last, and step, along and across, at which a way may be. size: (n, n)
    what an overlap weighs at the least. places: (n, 3) way, node along and node across. over: (n,
    n), see :func:`all_depths`. weight: (n, n) as it has grown. least_places: (n, 3) where the
    overlap was least. state: (2,) that overlap, and for how many rounds it has not become less;
    it ends at ``patience`` of them.
    """
    n = len(places)
    for _ in range(many):
        total, most = 0.0, 0.0
        for i in range(n):
            for j in range(i + 1):
                total += over[i, j] * size[i, j]
                most = max(most, over[i, j])
        if total <= 0.0:
            return True
        state[1] = 0.0 if total < LESS * state[0] else state[1] + 1.0
        if total < state[0]:
            state[0] = total
            least_places[:] = places
        if state[1] >= patience:
            return False
        for i in range(n):
            for j in range(n):
                if over[i, j] > 0.0:
                    weight[i, j] *= HEAVIER + (2.0 - HEAVIER) * over[i, j] / most
                else:
                    weight[i, j] = max(size[i, j], LIGHTER * weight[i, j])
        for j in np.random.permutation(n):
            if over[j].max() > 0.0:
                moved(o, j, places, weight, nodes, over, room)
                _depths_of(o, places, j, over)
    return False
