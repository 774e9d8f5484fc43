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
from pinwright.cutting.lay.tables import Tables, Way

BLOCK = 8
"""So many nodes of the grid wide are blocks. Compiled code has it fast: whoever changes it clears
``__pycache__``."""

DEEPEST = 255
"""The deepest overlap, as a byte."""

Bytes = NDArray[np.uint8]
Whole = NDArray[np.int64]
Key = tuple[object, ...]
Two = tuple[int, int]


class Overlaps(NamedTuple):
    """Depths of T tables for the W ways in which the n pieces of a lay may lie.

    piece: (W,) whose way it is. first_way: (n + 1,) of each piece. table: (W, W) how deep way v
    overlaps way u at differences of their nodes, -1 where never; opposite: (W, W) 1 where it is
    tabulated at shifts of the opposite sign, 0 else. shut: (W,) the table of what is shut, by node.

    Tables stand in ``depth`` (2, D) as they are and, for shifts of the opposite sign, from behind,
    each with a border of nothing that is BLOCK - 1 wide: so a block lies in it whole, or is free.
    first: (T, 2, 2) the least node, as it is and opposite; shape: (T, 2) its nodes; start: (T,)
    where it begins. The least depths in blocks that begin at any node from the first on are kept by
    the remainder of that node, those of each remainder side by side: part (T, 2, BLOCK**2, 3) where
    the blocks of a remainder begin in ``least`` and how many there are, along and across. unit: cm
    of a depth of 1.
    """

    piece: Whole
    first_way: Whole
    table: Whole
    opposite: Whole
    shut: Whole
    first: Whole
    shape: Whole
    start: Whole
    depth: Bytes
    part: Whole
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
    piece: Whole = np.array([i for i, _ in ways])
    first_way = np.concatenate([[0], np.cumsum(count)])
    return _laid_out(piece, first_way, table, opposite, shut, found, pool)


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


def _laid_out(
    piece: Whole,
    first_way: Whole,
    table: Whole,
    opposite: Whole,
    shut: Whole,
    found: list[Depths],
    pool: ThreadPoolExecutor,
) -> Overlaps:
    deepest = max((float(d.values.max()) for d in found), default=1.0)
    size, border = len(found), BLOCK - 1
    plain = np.array([d.values.shape for d in found], np.int64).reshape(size, 2)
    first, shape = np.empty((size, 2, 2), np.int64), plain + 2 * border
    first[:, 0] = np.array([d.first for d in found], np.int64).reshape(size, 2) - border
    first[:, 1] = 1 - first[:, 0] - shape
    start = np.concatenate([[0], np.cumsum(shape.prod(axis=1))])
    begin = np.concatenate([[0], np.cumsum(2 * (plain + border).prod(axis=1))])
    depth = np.empty((2, start[-1]), np.uint8)
    least = np.empty(begin[-1], np.uint8)
    part = np.empty((size, 2, BLOCK**2, 3), np.int64)

    def fill(t: int) -> None:
        # never rounded to nothing: what is 0 is free
        values = np.ceil(found[t].values * (DEEPEST / deepest))
        known = np.minimum(values, DEEPEST).astype(np.uint8)
        bordered = np.pad(known, border).ravel()
        depth[:, start[t] : start[t + 1]] = bordered, bordered[::-1]
        blocks = least_in_blocks(known)
        end = by_remainder(blocks, begin[t], part[t, 0], least)
        by_remainder(np.ascontiguousarray(blocks[::-1, ::-1]), end, part[t, 1], least)

    list(pool.map(fill, range(size)))
    return Overlaps(
        piece,
        first_way.astype(np.int64),
        table,
        opposite,
        shut,
        first,
        shape,
        start[:-1],
        depth,
        part,
        least,
        deepest / DEEPEST,
    )


@njit(cache=True, nogil=True)
def by_remainder(blocks: Bytes, begin: int, part: Whole, least: Bytes) -> int:
    """Lays blocks (n, m) into ``least`` from ``begin`` on, those of each remainder side by side;
    part (BLOCK**2, 3): see :class:`Overlaps`. Where they end."""
    n, m = blocks.shape
    for r in range(BLOCK * BLOCK):
        x, y = divmod(r, BLOCK)
        part[r, 0] = begin
        part[r, 1], part[r, 2] = (
            max(0, n - x + BLOCK - 1) // BLOCK,
            max(0, m - y + BLOCK - 1) // BLOCK,
        )
        for a in range(x, n, BLOCK):
            for b in range(y, m, BLOCK):
                least[begin] = blocks[a, b]
                begin += 1
    return begin


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
