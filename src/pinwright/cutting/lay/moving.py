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
    """To work in, for w ways of a piece among n.

    met: (w, n, 7) the tables of what a way may overlap: node at which one begins along and across,
    its nodes along and across, its start in ``depth``, 1 if opposite, its number; heavy: (w, n) by
    what it is multiplied; many: (w,) how many there are. sums: (b,) over blocks. some: (w b, 3)
    blocks that may be better, way, node along and node across, and bounds: (w b,) their sums.
    """

    met: Whole
    heavy: Small
    many: Whole
    sums: Small
    some: Whole
    bounds: Array


def room_for(overlaps: Overlaps, nodes: Whole) -> Room:
    """Room for a search on these nodes (W, 6), see :func:`rounds`."""
    along, across = ((nodes[:, k + 1] - nodes[:, k]).max(initial=0) // BLOCK + 1 for k in (0, 3))
    ways = int((overlaps.first_way[1:] - overlaps.first_way[:-1]).max(initial=1))
    blocks, n = int(along * across), len(overlaps.first_way) - 1
    return Room(
        np.empty((ways, n, 7), np.int64),
        np.empty((ways, n), np.float32),
        np.zeros(ways, np.int64),
        np.empty(blocks, np.float32),
        np.empty((ways * blocks, 3), np.int64),
        np.empty(ways * blocks),
    )


@njit(cache=True, nogil=True, fastmath=True)
def seeded(seed: int) -> None:
    """Sets what is by chance in this thread."""
    np.random.seed(seed)


@njit(cache=True, nogil=True, fastmath=True)
def depth_at(o: Overlaps, u: int, a: int, b: int, v: int, c: int, d: int) -> int:
    """How deep way v at node (c, d) overlaps way u at node (a, b)."""
    t = o.table[u, v]
    return 0 if t < 0 else _tabulated(o, t, o.opposite[u, v], c - a, d - b)


@njit(cache=True, nogil=True, fastmath=True)
def _tabulated(o: Overlaps, t: int, way: int, i: int, j: int) -> int:
    i -= o.first[t, way, 0]
    j -= o.first[t, way, 1]
    if i < 0 or j < 0 or i >= o.shape[t, 0] or j >= o.shape[t, 1]:
        return 0
    return int(o.depth[way, o.start[t] + i * o.shape[t, 1] + j])


@njit(cache=True, nogil=True, fastmath=True)
def shut_at(o: Overlaps, u: int, a: int, b: int) -> int:
    """How deep way u at node (a, b) lies in what is shut."""
    return 0 if o.shut[u] < 0 else _tabulated(o, o.shut[u], 0, a, b)


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
def _listed(o: Overlaps, j: int, places: Whole, weight: Array, wall: float, room: Room) -> None:
    """Lists the tables that the ways of piece j meet, so that they are looked up but once."""
    for k in range(o.first_way[j + 1] - o.first_way[j]):
        v, many = o.first_way[j] + k, 0
        for i in range(len(places)):
            u = places[i, 0]
            t, way, a, b, heavy = o.table[u, v], o.opposite[u, v], places[i, 1], places[i, 2], wall
            if i == j:  # in its stead, what is shut
                t, way, a, b = o.shut[v], 0, 0, 0
            else:
                heavy = weight[i, j]
            if t >= 0:
                room.met[k, many, 0] = a + o.first[t, way, 0]
                room.met[k, many, 1] = b + o.first[t, way, 1]
                room.met[k, many, 2] = o.shape[t, 0]
                room.met[k, many, 3] = o.shape[t, 1]
                room.met[k, many, 4] = o.start[t]
                room.met[k, many, 5] = way
                room.met[k, many, 6] = t
                room.heavy[k, many] = heavy
                many += 1
        room.many[k] = many


@njit(cache=True, nogil=True, fastmath=True)
def _summed(
    o: Overlaps, met: Whole, heavy: Small, a0: int, b0: int, sums: Small, p: int, q: int
) -> None:
    """Sums the least depths of what is met over p by q blocks, the first of which begins at node
    (a0, b0)."""
    sums[: p * q] = 0.0
    for i in range(len(met)):
        w, a, b = heavy[i], a0 - met[i, 0], b0 - met[i, 1]
        rest = (a % BLOCK) * BLOCK + b % BLOCK
        part = o.part[met[i, 6], met[i, 5], rest]
        begin, rows, columns = part[0], part[1], part[2]
        a //= BLOCK
        b //= BLOCK
        low, high = max(0, -b), min(q, columns - b)
        if high <= low:
            continue
        for row in range(max(0, -a), min(p, rows - a)):
            at = begin + (a + row) * columns + b
            # as slices: so the loop is done for many blocks at once
            into, of = sums[row * q + low : row * q + high], o.least[at + low : at + high]
            for column in range(len(into)):
                into[column] += w * np.float32(of[column])


@njit(cache=True, nogil=True, fastmath=True)
def _entered(o: Overlaps, met: Whole, heavy: Small, a0: int, b0: int, here: Small) -> None:
    """Sums the depths of what is met over the block of places that begins at node (a0, b0)."""
    here[:] = 0.0
    for i in range(len(met)):
        a, b, columns = a0 - met[i, 0], b0 - met[i, 1], met[i, 3]
        if a < 0 or b < 0 or a + BLOCK > met[i, 2] or b + BLOCK > columns:
            continue
        w, at, way = heavy[i], met[i, 4] + a * columns + b, met[i, 5]
        for x in range(BLOCK):
            of = o.depth[way, at : at + BLOCK]
            for y in range(BLOCK):
                here[x, y] += w * np.float32(of[y])
            at += columns


@njit(cache=True, nogil=True, fastmath=True)
def moved(
    o: Overlaps, j: int, places: Whole, weight: Array, nodes: Whole, over: Array, room: Room
) -> None:
    """Piece j goes where it overlaps least, to one of those places by chance."""
    # what is shut does not give way: twice the heaviest
    wall = 2.0 * weight[j].max()
    best = wall * over[j, j]
    for i in range(len(places)):
        if i != j:
            best += weight[i, j] * over[i, j]
    _listed(o, j, places, weight, wall, room)
    many, first_way = 0, o.first_way[j]
    for v in range(first_way, o.first_way[j + 1]):
        a0, a1, _, b0, b1, _ = nodes[v]
        if a1 < a0 or b1 < b0:
            continue
        p, q, k = (a1 - a0) // BLOCK + 1, (b1 - b0) // BLOCK + 1, v - first_way
        met, heavy = room.met[k, : room.many[k]], room.heavy[k, : room.many[k]]
        _summed(o, met, heavy, a0, b0, room.sums, p, q)
        for block in range(p * q):
            if room.sums[block] < best:
                room.some[many, 0] = v
                room.some[many, 1] = a0 + BLOCK * (block // q)
                room.some[many, 2] = b0 + BLOCK * (block % q)
                room.bounds[many] = room.sums[block]
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
        p, q, k = min(BLOCK, nodes[v, 1] - a + 1), min(BLOCK, nodes[v, 4] - b + 1), v - first_way
        _entered(o, room.met[k, : room.many[k]], room.heavy[k, : room.many[k]], a, b, here)
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
