"""Kernels that fill the fronts of many variants: from their children, and from the stiffness.

A block of threads does one tile of one front of one variant (see
:mod:`pinwright.drape.gpu.planning`). Sums are taken in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.kinds import Big, Blocks2, Int, Long, Long2, Numbers2, Whole, wp

wp.set_module_options({"enable_backward": False})

_GATHER = (
    BLOCK
    + """
PW_SHARED int where[2][64];
PW_OWN(s, 16);
const wp::int64* T = table.data + 6 * f;
const int size = (wp::int32)T[2];
double* A = numbers.data + base + T[0];
PW_EACH(m) for (int k = 0; k < 16; ++k) PW_OF(s, m)[k] = 0.0;
for (wp::int64 q = child_ends.data[f]; q < child_ends.data[f + 1]; ++q) {
    const wp::int64* C = table.data + 6 * child.data[q];
    const int* map = maps.data + into.data[q];
    const int own = (wp::int32)C[1];
    const double* given = numbers.data + base + C[0];
    PW_MEET;
    for (int e = lane; e < 128; e += width) {
        const int r = (e < 64 ? r0 : c0) + e % 64;
        const int i = r < size ? map[r / 3] : -1;
        where[e / 64][e % 64] = i < 0 ? -1 : own + 3 * i + r % 3;
    }
    PW_MEET;
    PW_EACH(m) {
        const int c = where[1][m % 64];
        if (c >= 0) {
#pragma unroll
            for (int k = 0; k < 16; ++k) {
                const int r = where[0][m / 64 + 4 * k];
                if (r >= c) PW_OF(s, m)[k] += given[r * C[2] + c];
            }
        }
    }
}
PW_EACH(m) {
    const int c = c0 + m % 64;
    for (int k = 0; k < 16; ++k) {
        const wp::int64 r = r0 + m / 64 + 4 * k;
        if (r < size && c <= r) A[r * size + c] = PW_OF(s, m)[k];
    }
}
PW_MEET;
"""
)


@wp.func_native(_GATHER)
def _gather(
    f: Big,
    r0: Int,
    c0: Int,
    base: Big,
    table: Long2,
    child_ends: Long,
    child: Long,
    into: Long,
    maps: Whole,
    numbers: Numbers2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel(launch_bounds=(256, 4))
def gathered(
    on: Whole,
    rows: Whole,
    tasks: Long2,
    first: Int,
    count: Int,
    table: Long2,
    child_ends: Long,
    child: Long,
    into: Long,
    maps: Whole,
    numbers: Numbers2,
    width: Int,
) -> None:
    """Each front as the sum of what its children leave it."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    t = first + block % count
    _gather(
        tasks[t, 0],
        wp.int32(tasks[t, 1]),
        wp.int32(tasks[t, 2]),
        wp.int64(b) * wp.int64(numbers.shape[1]),
        table,
        child_ends,
        child,
        into,
        maps,
        numbers,
        wp.tid() % width,
        width,
    )


@wp.kernel
def entered(
    on: Whole,
    rows: Whole,
    first: Int,
    pair: Long,
    place: Long,
    row: Long,
    turned: Long,
    n: Int,
    diagonal: Blocks2,
    values: Blocks2,
    numbers: Numbers2,
) -> None:
    """Adds blocks of the stiffness where they enter; of a vertex with itself, from diagonal."""
    at_row, k = wp.tid()
    b = rows[at_row]
    if on[b] == 0:
        return
    q = first + k
    p = wp.int32(pair[q])
    block = values[b, p]
    if p < n:
        block = diagonal[b, p]
    if turned[q] != wp.int64(0):
        block = wp.transpose(block)
    at = wp.int32(place[q])
    for r in range(3):
        for c in range(3):
            numbers[b, at + r * wp.int32(row[q]) + c] += block[r, c]
