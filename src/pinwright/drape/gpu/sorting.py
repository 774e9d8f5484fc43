"""Kernels that sort things of variants into cells: those of a cell in the order of their numbers.

A thing's cell is counted by whole numbers, in whatever order threads come; then its place in the
cell is how many of those there have a lower number. So the order is always the same.
"""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.kinds import Int, Whole, Whole2, wp
from pinwright.drape.gpu.launching import blocks, each

wp.set_module_options({"enable_backward": False})


@wp.struct
class Desk:
    """Arrays (B, J) to sort in. cell: where each thing belongs, -1 for nowhere; slot: which of
    those in its cell it came as; loose: the things by cell, as they came."""

    cell: Whole2
    slot: Whole2
    loose: Whole2


def desk(many: int, most: int) -> Any:
    """A desk for at most so many things of each variant."""
    found = Desk()
    found.cell, found.slot, found.loose = (wp.zeros((many, most), dtype=wp.int32) for _ in range(3))
    return found


@wp.func
def put(desk: Desk, start: Whole2, b: Int, j: Int, cell: Int) -> None:
    """Puts a thing into a cell, -1 for none; start counts those of each cell."""
    desk.cell[b, j] = cell
    if cell >= 0:
        desk.slot[b, j] = wp.atomic_add(start, b, cell, 1)


@wp.func
def place_of(desk: Desk, start: Whole2, b: Int, j: Int) -> Int:
    """Where a thing of some cell stands in the order by cells."""
    cell = desk.cell[b, j]
    begin = start[b, cell]
    before = wp.int32(0)
    for q in range(begin, start[b, cell + 1]):
        if desk.loose[b, q] < j:
            before += 1
    return begin + before


@wp.kernel
def cleared(which: Whole, start: Whole2) -> None:
    """Nothing in any cell of some variants."""
    row, q = wp.tid()
    start[which[row], q] = 0


_SUMMED = (
    BLOCK
    + """
PW_SHARED int sums[256];
int* own = start.data + wp::int64(b) * start.shape[1];
const int part = count / 256 + 1;
for (int t = lane; t < 256; t += width) {
    const int end = part * (t + 1) < count + 1 ? part * (t + 1) : count + 1;
    int sum = 0;
    for (int q = part * t; q < end; ++q) sum += own[q];
    sums[t] = sum;
}
PW_MEET;
if (lane == 0) {
    int sum = 0;
    for (int t = 0; t < 256; ++t) {
        const int more = sums[t];
        sums[t] = sum;
        sum += more;
    }
}
PW_MEET;
for (int t = lane; t < 256; t += width) {
    const int end = part * (t + 1) < count + 1 ? part * (t + 1) : count + 1;
    int sum = sums[t];
    for (int q = part * t; q < end; ++q) {
        const int more = own[q];
        own[q] = sum;
        sum += more;
    }
}
"""
)


@wp.func_native(_SUMMED)
def _summed(b: Int, count: Int, start: Whole2, lane: Int, width: Int) -> None: ...


@wp.kernel
def summed(which: Whole, cells: Whole, start: Whole2, width: Int) -> None:
    """From how many things each of the cells (B,) has to where they start; a block a variant."""
    b = which[wp.tid() / width]
    _summed(b, cells[b], start, wp.tid() % width, width)


@wp.kernel
def filed(which: Whole, desk: Desk, start: Whole2) -> None:
    """Things by cell, as they came."""
    row, j = wp.tid()
    b = which[row]
    cell = desk.cell[b, j]
    if cell >= 0:
        desk.loose[b, start[b, cell] + desk.slot[b, j]] = j


@wp.kernel
def ranked(which: Whole, desk: Desk, start: Whole2, order: Whole2) -> None:
    """Things by cell, in order."""
    row, j = wp.tid()
    b = which[row]
    if desk.cell[b, j] >= 0:
        order[b, place_of(desk, start, b, j)] = j


def gathered(which: Any, many: int, desk: Any, most: int, cells: Any, start: Any) -> None:
    """Of many variants, the things put into cells (B,) by cell, as they came: at most so many."""
    blocks(summed, many, 1, [which, cells, start])
    each(filed, many, [which, desk, start], most)


def in_order(
    which: Any, many: int, desk: Any, most: int, cells: Any, start: Any, order: Any
) -> None:
    """The same, in the order of their numbers."""
    gathered(which, many, desk, most, cells, start)
    each(ranked, many, [which, desk, start, order], most)
