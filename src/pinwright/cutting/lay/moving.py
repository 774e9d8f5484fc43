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

from pinwright.cutting.lay.lanes import (
    FAST,
    LANES,
    add_bytes,
    add_some_bytes,
    add_word,
    aligned,
    any_less,
    first_bit,
    least_of,
    which_less,
)
from pinwright.cutting.lay.overlaps import BLOCK, Bytes, Overlaps, Whole

Array = NDArray[np.float64]
Small = NDArray[np.float32]

HEAVIER, LIGHTER = 1.2, 0.95
"""What an overlap's weight is multiplied by, at the least, while it lasts, and once it is gone."""

LESS = 0.98
"""An overlap has become less when it is at most this part of what it was."""

SOME = 4 * LANES
"""So many numbers at once are asked whether any of them is less than another."""

PLACES = BLOCK * BLOCK
"""In a block."""

BITS = BLOCK.bit_length() - 1
"""Of a number these many tell which of a block's rows it is."""


class Room(NamedTuple):
    """To work in, for w ways of a piece among n.

    met: (w, n, 6) the tables of what a way may overlap, see :class:`Overlaps`, from the node on at
    which each begins; heavy: (w, n) by what it is multiplied; many: (w,) how many there are. sums:
    over the blocks of all ways, in rows along the cloth: grid (w, 3) where those of a way begin and
    end, and how long a row is. rows: (n + 1, 8) of the tables, and masks,
    which let through lanes: see :func:`_summed`. some: blocks that may be better, by their number
    in ``sums``, and bounds: their sums. here: (PLACES,) sums over the places of one block. hits: (n
    + 1,) numbers of what is met there.
    """

    met: Whole
    heavy: Small
    many: Whole
    sums: Small
    grid: Whole
    rows: Whole
    masks: Bytes
    some: Whole
    bounds: Small
    here: Small
    hits: Whole


def room_for(overlaps: Overlaps, nodes: Whole) -> Room:
    """Room for a search on these nodes (W, 6), see :func:`rounds`."""
    along, across = ((nodes[:, k + 1] - nodes[:, k]).max(initial=0) // BLOCK + 1 for k in (0, 3))
    ways = int((overlaps.first_way[1:] - overlaps.first_way[:-1]).max(initial=1))
    blocks = ways * int(across) * _whole(int(along), LANES)
    some, n = _whole(blocks, SOME) + SOME, len(overlaps.first_way) - 1
    none, all_ = np.zeros(LANES, np.uint8), np.full(LANES, 255, np.uint8)
    return Room(
        np.empty((ways, n, 6), np.int64),
        np.empty((ways, n), np.float32),
        np.zeros(ways, np.int64),
        aligned(some, np.float32),
        np.zeros((ways, 3), np.int64),
        np.empty((n + 1, 8), np.int64),
        np.concatenate([none, all_, none, none]),
        np.empty(some, np.int64),
        aligned(some, np.float32),
        aligned(PLACES, np.float32),
        np.empty(n + 1, np.int64),
    )


@njit(cache=True, nogil=True)
def _whole(many: int, of: int) -> int:
    """The least multiple of a number that is no less than another."""
    return (many + of - 1) // of * of


@njit(cache=True, nogil=True, fastmath=FAST)
def seeded(seed: int) -> None:
    """Sets what is by chance in this thread."""
    np.random.seed(seed)


@njit(cache=True, nogil=True, fastmath=FAST)
def depth_at(o: Overlaps, u: int, a: int, b: int, v: int, c: int, d: int) -> int:
    """How deep way v at node (c, d) overlaps way u at node (a, b)."""
    met = o.met[u, v]
    i, j = c - a - met[0], d - b - met[1]
    if i < 0 or j < 0 or i >= met[2] or j >= met[3]:
        return 0
    tile = i // BLOCK * (met[3] // BLOCK + 1) + j // BLOCK
    word = o.depth[met[4] + tile * BLOCK + i % BLOCK]
    return int((word >> np.uint64(8 * (j % BLOCK))) & np.uint64(255))


@njit(cache=True, nogil=True, fastmath=FAST)
def shut_at(o: Overlaps, v: int, a: int, b: int) -> int:
    """How deep way v at node (a, b) lies in what is shut."""
    return depth_at(o, len(o.met) - 1, 0, 0, v, a, b)


@njit(cache=True, nogil=True, fastmath=FAST)
def all_depths(o: Overlaps, places: Whole, over: Array) -> None:
    """Fills how deep pieces at places (n, 3) overlap each other (n, n), and lie in what is shut, on
    the diagonal."""
    for j in range(len(places)):
        _depths_of(o, places, j, over)


@njit(cache=True, nogil=True, fastmath=FAST)
def _depths_of(o: Overlaps, places: Whole, j: int, over: Array) -> None:
    v, c, d = places[j]
    for i in range(len(places)):
        u, a, b = places[i]
        over[i, j] = shut_at(o, v, c, d) if i == j else depth_at(o, u, a, b, v, c, d)
        over[j, i] = over[i, j]


@njit(cache=True, nogil=True, fastmath=FAST)
def listed(o: Overlaps, j: int, places: Whole, weight: Array, wall: float, room: Room) -> None:
    """Lists the tables that the ways of piece j meet, so that they are looked up but once."""
    for k in range(o.first_way[j + 1] - o.first_way[j]):
        v, many = o.first_way[j] + k, 0
        for i in range(len(places)):
            u, a, b, heavy = places[i, 0], places[i, 1], places[i, 2], weight[j, i]
            if i == j:  # in its stead, what is shut
                u, a, b, heavy = len(o.met) - 1, 0, 0, wall
            table, met = o.met[u, v], room.met[k, many]
            if table[2] > 0:
                met[0], met[1] = a + table[0], b + table[1]
                met[2], met[3], met[4], met[5] = table[2], table[3], table[4], table[5]
                room.heavy[k, many] = heavy
                many += 1
        room.many[k] = many


@njit(cache=True, nogil=True, fastmath=FAST)
def _summed(
    o: Overlaps, k: int, a0: int, b0: int, p: int, q: int, begin: int, wide: int, room: Room
) -> None:
    """Sums the least depths of what way k meets over p by q blocks, the first of which begins at
    node (a0, b0), into q rows of ``sums``, ``wide`` each, from ``begin`` on.

    Rows of LANES at a time begin at multiples of LANES there; what of the first and of the last
    is no part of a table is kept out by masks.
    """
    room.sums[begin : begin + q * wide] = np.float32(0.0)
    many = 0
    for i in range(room.many[k]):
        met = room.met[k, i]
        a, b, along, across = a0 - met[0], b0 - met[1], met[2] >> BITS, met[3] >> BITS
        rest = (a & (BLOCK - 1)) * BLOCK + (b & (BLOCK - 1))
        a >>= BITS
        b >>= BITS
        low, high = max(0, -a), min(p, along - a)
        first, last = max(0, -b), min(q, across - b)
        if high <= low or last <= first:
            continue
        start = low // LANES * LANES
        row = room.rows[many]
        row[0] = met[5] + (rest * across + b + first) * along + a + start
        row[1], row[2], row[3] = begin + first * wide + start, last - first, along
        row[4] = _whole(high - start, LANES)
        row[5], row[6] = LANES - (low - start), LANES + row[4] - (high - start)
        row[7] = i
        many += 1
    for y in range(many):
        at, into, rows, along, length, head, tail, i = room.rows[y]
        heavy = room.heavy[k, i]
        if length == LANES:
            for x in range(LANES):
                room.masks[3 * LANES + x] = room.masks[head + x] & room.masks[tail + x]
            for _ in range(rows):
                add_some_bytes(room.sums, into, o.least, at, heavy, room.masks, 3 * LANES)
                at += along
                into += wide
            continue
        for _ in range(rows):
            add_some_bytes(room.sums, into, o.least, at, heavy, room.masks, head)
            for x in range(LANES, length - LANES, LANES):
                add_bytes(room.sums, into + x, o.least, at + x, heavy)
            x = length - LANES
            add_some_bytes(room.sums, into + x, o.least, at + x, heavy, room.masks, tail)
            at += along
            into += wide


@njit(cache=True, nogil=True, fastmath=FAST)
def _entered(o: Overlaps, k: int, a0: int, b0: int, room: Room) -> None:
    """Sums the depths of what way k meets over the block of places that begins at node (a0, b0)."""
    room.here[:] = np.float32(0.0)
    many = 0
    for i in range(room.many[k]):
        met = room.met[k, i]
        a, b = a0 - met[0], b0 - met[1]
        room.hits[many] = i
        many += (a >= 0) & (b >= 0) & (a + BLOCK <= met[2]) & (b + BLOCK <= met[3])
    for y in range(many):
        i = room.hits[y]
        met, heavy = room.met[k, i], room.heavy[k, i]
        a, b = a0 - met[0], b0 - met[1]
        # the block's rows lie in two tiles side by side, and from some row on in the two after them
        after = met[3] // BLOCK * BLOCK
        at = met[4] + (a >> BITS) * (after + BLOCK) + (b & -BLOCK)
        up = np.uint64(8 * (b & (BLOCK - 1)))
        down, one, next_ = np.uint64(63) - up, np.uint64(1), np.uint64(BLOCK)
        a &= BLOCK - 1
        for x in range(BLOCK):
            word = np.uint64(at + a + x + ((a + x) >> BITS) * after)
            low, high = o.depth[word], o.depth[word + next_]
            add_word(room.here, x * BLOCK, (low >> up) | ((high << one) << down), heavy)


@njit(cache=True, nogil=True, fastmath=FAST)
def _least(sums: Small, many: int, below: np.float32) -> int:
    """The number of one of the least of so many (a multiple of SOME), by chance; -1 where none is
    below a number."""
    low, found = below, -1
    for i in range(0, many, SOME):
        if any_less(sums, i, low):
            for c in range(i, i + SOME, LANES):
                if which_less(sums, c, low) != 0:
                    low, found = least_of(sums, c), c
    if found < 0:
        return -1
    low = np.nextafter(low, np.float32(np.inf))
    i = np.random.randint(many // SOME) * SOME
    while True:
        if any_less(sums, i, low):
            for c in range(i, i + SOME, LANES):
                which = which_less(sums, c, low)
                if which != 0:
                    return int(c + first_bit(which))
        i = i + SOME if i + SOME < many else 0


@njit(cache=True, nogil=True, fastmath=FAST)
def _better(many: int, than: np.float32, room: Room) -> int:
    """Lists which of so many blocks (a multiple of SOME) may be better; how many these are."""
    found = 0
    for i in range(0, many, SOME):
        if any_less(room.sums, i, than):
            for c in range(i, i + SOME, LANES):
                which = which_less(room.sums, c, than)
                while which != 0:
                    block = c + first_bit(which)
                    room.some[found], room.bounds[found] = block, room.sums[block]
                    found += 1
                    which &= which - 1
    room.bounds[found : _whole(found, SOME)] = np.float32(np.inf)
    return found


@njit(cache=True, nogil=True, fastmath=FAST)
def bounded(o: Overlaps, j: int, nodes: Whole, room: Room) -> int:
    """Sums the least depths of the blocks of all ways of piece j; how many these are, with as many
    more that none is better than as make it a multiple of SOME."""
    end = 0
    for v in range(o.first_way[j], o.first_way[j + 1]):
        k, begin = v - o.first_way[j], end
        a0, a1, _, b0, b1, _ = nodes[v]
        p, q = (a1 - a0) // BLOCK + 1, (b1 - b0) // BLOCK + 1
        wide = _whole(p, LANES)
        if a1 >= a0 and b1 >= b0:
            end += q * wide
            _summed(o, k, a0, b0, p, q, begin, wide, room)
            for row in range(begin, end, wide):
                room.sums[row + p : row + wide] = np.float32(np.inf)
        room.grid[k, 0], room.grid[k, 1], room.grid[k, 2] = begin, end, wide
    room.sums[end : _whole(end, SOME)] = np.float32(np.inf)
    return int(_whole(end, SOME))


@njit(cache=True, nogil=True, fastmath=FAST)
def moved(
    o: Overlaps, j: int, places: Whole, weight: Array, nodes: Whole, over: Array, room: Room
) -> None:
    """Piece j goes where it overlaps least, to one of those places by chance.

    weight: (n, n), symmetric; else see :func:`rounds`.
    """
    # what is shut does not give way: twice the heaviest
    wall = 2.0 * weight[j].max()
    now = wall * over[j, j]
    for i in range(len(places)):
        if i != j:
            now += weight[j, i] * over[j, i]
    best, first_way = np.float32(now), o.first_way[j]
    listed(o, j, places, weight, wall, room)
    blocks = bounded(o, j, nodes, room)
    # the most promising block is looked at before the others are listed: it leaves few of them
    block, many = _least(room.sums, blocks, best), -1
    while block >= 0:
        k = 0
        while block >= room.grid[k, 1]:
            k += 1
        v = first_way + k
        row, column = divmod(block - room.grid[k, 0], room.grid[k, 2])
        a0, a1, along, b0, b1, across = nodes[v]
        a, b = a0 + BLOCK * column, b0 + BLOCK * row
        _entered(o, k, a, b, room)
        if any_less(room.here, 0, best):
            begin = np.random.randint(PLACES)
            for c in range(PLACES):
                x, y = divmod((begin + c) & (PLACES - 1), BLOCK)
                if room.here[x * BLOCK + y] >= best or a + x > a1 or b + y > b1:
                    continue
                if (along > 1 and (a + x - a0) % along) or (across > 1 and (b + y - b0) % across):
                    continue
                best = room.here[x * BLOCK + y]
                places[j, 0], places[j, 1], places[j, 2] = v, a + x, b + y
        if best <= 0.0:
            return
        if many < 0:
            room.sums[block] = np.float32(np.inf)
            many = _better(blocks, best, room)
        which = _least(room.bounds, _whole(many, SOME), best)
        if which < 0:
            return
        block = room.some[which]
        many -= 1
        room.some[which], room.bounds[which] = room.some[many], room.bounds[many]
        room.bounds[many] = np.float32(np.inf)


@njit(cache=True, nogil=True, fastmath=FAST)
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
