"""How deep any two pieces of a lay overlap, laid out for a quick search over the whole cloth.

Depths are kept as bytes. Beside them stands, for every block of ``BLOCK`` by ``BLOCK`` shifts, the
least depth in it: where that is more than the best place found, no shift of the block need be
looked at (:mod:`pinwright.cutting.lay.moving`).
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from pinwright.cutting.lay.depths import Depths
from pinwright.cutting.lay.lanes import LANES, WORD, aligned
from pinwright.cutting.lay.tables import Tables, Way

BLOCK = WORD
"""So many nodes of the grid wide are blocks: a row of one is a word."""

DEEPEST = 255
"""The deepest overlap, as a byte."""

Bytes = NDArray[np.uint8]
Words = NDArray[np.uint64]
Whole = NDArray[np.int64]
Key = tuple[object, ...]
Two = tuple[int, int]


class Overlaps(NamedTuple):
    """Depths for the W ways in which the n pieces of a lay may lie.

    piece: (W,) whose way it is. first_way: (n + 1,) of each piece. met: (W + 1, W, 6) the table of
    how deep way v overlaps way u at differences of their nodes (u = W: what is shut, at nodes): the
    least difference, along and across; how many there are, none where they never overlap; where it
    begins in ``depth``, and its blocks in ``least``. unit: cm of a depth of 1.

    A table stands as it is and, for shifts of the opposite sign, from behind, each with a border of
    nothing that is BLOCK - 1 wide: so a block lies in it whole, or is free. In ``depth`` it is cut
    into tiles of BLOCK by BLOCK, each row of one a word, row upon row of tiles: so a block lies in
    four tiles at most. The least depths in blocks that begin at any node are kept in ``least`` by
    the remainder of that node, those of each remainder side by side, row upon row along.
    """

    piece: Whole
    first_way: Whole
    met: Whole
    depth: Words
    least: Bytes
    unit: float


def overlaps_of(tables: Tables, cores: int = 1) -> Overlaps:
    """The depths of a field's pieces, each pair of shapes tabulated once, by so many threads."""
    with ThreadPoolExecutor(cores) as pool:
        return _overlaps_of(tables, pool)


def _overlaps_of(tables: Tables, pool: ThreadPoolExecutor) -> Overlaps:
    ways = [(i, k) for i, there in enumerate(tables.ways) for k in range(len(there))]
    count = [len(there) for there in tables.ways]
    todo: list[tuple[Two, Two]] = []
    known: dict[Key, tuple[int, bool]] = {}
    table = np.full((len(ways), len(ways)), -1, np.int64)
    opposite = np.zeros((len(ways), len(ways)), np.int64)
    for u, (i, k) in enumerate(ways):
        for v, (j, m) in enumerate(ways):
            if i == j:
                continue
            keys = _keys(tables.ways[i][k], tables.ways[j][m])
            if keys[0][0] not in known:
                known |= {key: (len(todo), turned) for key, turned in keys}
                todo.append(((i, k), (j, m)))
            table[u, v], opposite[u, v] = known[keys[0][0]]
    made = list(pool.map(lambda two: tables.pair(*two), todo))
    found = [depths for depths in made if depths is not None]
    # what never overlaps has no table; a piece with itself has -1, which stands last
    there = np.array([depths is not None for depths in made], np.bool_)
    table = np.append(np.where(there, np.cumsum(there) - 1, -1), -1)[table]
    shut = np.full(len(ways), -1, np.int64)
    for u, (i, k) in enumerate(ways):
        depths = tables.shut(i, k)
        if depths is not None:
            shut[u] = len(found)
            found.append(depths)
    depth, least, where, unit = _laid_out(found, pool)
    # what is shut comes last, as it is; what has no table has only zeros
    which = np.vstack([table, shut])
    turned = np.vstack([opposite, np.zeros_like(shut)])
    where = np.concatenate([where, np.zeros((1, *where.shape[1:]), np.int64)])
    piece: Whole = np.array([i for i, _ in ways])
    first_way: Whole = np.concatenate([[0], np.cumsum(count)]).astype(np.int64)
    return Overlaps(piece, first_way, where[which, turned], depth, least, unit)


def _keys(u: Way, v: Way) -> list[tuple[Key, bool]]:
    """Pairs of ways that have the same depths as this one, and whether at opposite shifts."""
    x, y = v.offset[0] - u.offset[0], v.offset[1] - u.offset[1]
    a, b = (u.kind.body, u.kind.rotation), (v.kind.body, v.kind.rotation)
    c, d = ((body, (turn + 180.0) % 360.0) for body, turn in (a, b))
    return [
        ((*a, *b, x, y), False),
        ((*b, *a, -x, -y), True),
        ((*c, *d, -x, -y), True),
        ((*d, *c, x, y), False),
    ]


def _laid_out(found: list[Depths], pool: ThreadPoolExecutor) -> tuple[Words, Bytes, Whole, float]:
    """Depths and least depths of T tables, where each lies (T, 2, 6), as it is and opposite, and
    the unit: see :class:`Overlaps`."""
    deepest = max((float(d.values.max()) for d in found), default=1.0)
    size, border = len(found), BLOCK - 1
    where = np.empty((size, 2, 6), np.int64)
    shape = np.array([d.values.shape for d in found], np.int64).reshape(size, 2) + 2 * border
    first = np.array([d.first for d in found], np.int64).reshape(size, 2) - border
    where[:, 0, :2], where[:, 1, :2] = first, 1 - first - shape
    where[:, :, 2:4] = shape[:, None]
    tiles, blocks = (shape // BLOCK + 1).prod(axis=1), (shape // BLOCK).prod(axis=1)
    # lanes that a mask stops are read all the same, before the first table and after the last
    words, octets = (
        np.cumsum(np.concatenate([[begin], np.repeat(each, 2)]))
        for begin, each in ((0, tiles * BLOCK), (LANES, blocks * BLOCK * BLOCK))
    )
    where[:, :, 4], where[:, :, 5] = (each[:-1].reshape(size, 2) for each in (words, octets))
    depth: Words = aligned(int(words[-1]), np.uint64)
    least: Bytes = np.zeros(int(octets[-1]) + LANES, np.uint8)

    def fill(t: int) -> None:
        # never rounded to nothing: what is 0 is free
        values = np.ceil(found[t].values * (DEEPEST / deepest))
        known = np.minimum(values, DEEPEST).astype(np.uint8)
        around, blocks = np.pad(known, border), least_in_blocks(known)
        for way, turn in enumerate((1, -1)):
            in_tiles(np.ascontiguousarray(around[::turn, ::turn]), where[t, way, 4], depth)
            by_remainder(np.ascontiguousarray(blocks[::turn, ::turn]), where[t, way, 5], least)

    list(pool.map(fill, range(size)))
    return depth, least, where, deepest / DEEPEST


@njit(cache=True, nogil=True)
def in_tiles(values: Bytes, begin: int, depth: Words) -> None:
    """Lays depths (n, m) in tiles into zeros from ``begin`` on, see :class:`Overlaps`."""
    n, m = values.shape
    across = m // BLOCK + 1
    for a in range(n):
        row = begin + (a // BLOCK * across) * BLOCK + a % BLOCK
        for b in range(m):
            depth[row + b // BLOCK * BLOCK] |= np.uint64(values[a, b]) << np.uint64(8 * (b % BLOCK))


@njit(cache=True, nogil=True)
def by_remainder(blocks: Bytes, begin: int, least: Bytes) -> None:
    """Lays blocks (n, m) into ``least`` from ``begin`` on, those of each remainder side by side and
    as many of each, see :class:`Overlaps`."""
    n, m = blocks.shape
    along, across = (n + BLOCK - 1) // BLOCK, (m + BLOCK - 1) // BLOCK
    for x in range(BLOCK):
        for y in range(BLOCK):
            for b in range(y, m, BLOCK):
                for a in range(x, n, BLOCK):
                    least[begin + b // BLOCK * along + a // BLOCK] = blocks[a, b]
            begin += along * across


@njit(cache=True, nogil=True)
def least_in_blocks(values: Bytes) -> Bytes:
    """The least (n + BLOCK - 1, m + BLOCK - 1) of each block that reaches into a table (n, m).

    The block of number (0, 0) ends in the table's first node. Outside a table depths are 0.
    """
    n, m = values.shape
    wide = BLOCK - 1
    across = np.zeros((n, m + wide), np.uint8)
    found = np.zeros((n + wide, m + wide), np.uint8)
    for a in range(n):
        for b in range(wide, m):
            low = values[a, b]
            for q in range(b - wide, b):
                low = min(low, values[a, q])
            across[a, b] = low
    for a in range(wide, n):
        for b in range(wide, m):
            low = across[a, b]
            for q in range(a - wide, a):
                low = min(low, across[q, b])
            found[a, b] = low
    return found
