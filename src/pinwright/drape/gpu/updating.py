"""Kernel that brings what lies right of a group of panels up to date, in tiles.

A block of threads does one tile of one front of one variant (see
:mod:`pinwright.drape.gpu.planning`). Sums are taken in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.kinds import Big, Int, Long2, Numbers2, Whole, wp

wp.set_module_options({"enable_backward": False})

# On a card of compute capability 9.0 the products of a tile are taken by its matrix units (mma
# m16n8k16 in double precision): eight warps, each 16 rows by 32 columns.
_UPDATE = (
    BLOCK
    + """
PW_SHARED double u[64 * 36];
PW_SHARED double v[64 * 36];
PW_OWN(s, 16);
const wp::int64* T = table.data + 6 * f;
const int own = (wp::int32)T[1];
const wp::int64 size = T[2];
double* A = numbers.data + base + T[0];
const int begin = 128 * group;
const int end = own < begin + 128 ? own : begin + 128;
PW_EACH(m) for (int k = 0; k < 16; ++k) PW_OF(s, m)[k] = 0.0;
for (int q0 = begin; q0 < end; q0 += 32) {
    PW_MEET;
    PW_EACH(m) {
#pragma unroll 4
        for (int k = 0; k < 8; ++k) {
            const int i = m / 32 + 8 * k, p = m % 32;
            const wp::int64 r = r0 + i, c = c0 + i;
            const double mine = r < size && q0 + p < end ? A[r * size + q0 + p] : 0.0;
            u[36 * i + p] = mine;
            // a tile on the diagonal needs its rows only once
            v[36 * i + p] =
                r0 == c0 ? mine : (c < size && q0 + p < end ? A[c * size + q0 + p] : 0.0);
        }
    }
    PW_MEET;
#if defined(__CUDA_ARCH__) && __CUDA_ARCH__ >= 900
    const int one = 16 * (lane / 32 % 4) + lane % 32 / 4, two = 32 * (lane / 128) + lane % 32 / 4;
#pragma unroll 1
    for (int k0 = 0; k0 < 32; k0 += 16) {
        double x[8];
        for (int i = 0; i < 8; ++i)
            x[i] = u[36 * (one + 8 * (i % 2)) + k0 + 4 * (i / 2) + lane % 4];
        for (int j = 0; j < 4; ++j) {
            double y[4];
            for (int i = 0; i < 4; ++i) y[i] = v[36 * (two + 8 * j) + k0 + 4 * i + lane % 4];
            asm("mma.sync.aligned.m16n8k16.row.col.f64.f64.f64.f64 "
                "{%0, %1, %2, %3}, {%4, %5, %6, %7, %8, %9, %10, %11}, {%12, %13, %14, %15}, "
                "{%0, %1, %2, %3};"
                : "+d"(s[0][4 * j]), "+d"(s[0][4 * j + 1]), "+d"(s[0][4 * j + 2]),
                  "+d"(s[0][4 * j + 3])
                : "d"(x[0]), "d"(x[1]), "d"(x[2]), "d"(x[3]), "d"(x[4]), "d"(x[5]), "d"(x[6]),
                  "d"(x[7]), "d"(y[0]), "d"(y[1]), "d"(y[2]), "d"(y[3]));
        }
    }
}
for (int j = 0; j < 4; ++j)
    for (int k = 0; k < 4; ++k) {
        const wp::int64 r = r0 + 16 * (lane / 32 % 4) + lane % 32 / 4 + 8 * (k / 2);
        const wp::int64 c = c0 + 32 * (lane / 128) + 8 * j + 2 * (lane % 4) + k % 2;
        if (r < size && c <= r) A[r * size + c] -= s[0][4 * j + k];
    }
#else
    PW_EACH(m) {
        for (int p = 0; p < 32; ++p)
            for (int i = 0; i < 4; ++i) {
                const double x = u[36 * (m / 16 + 16 * i) + p];
                for (int j = 0; j < 4; ++j)
                    PW_OF(s, m)[4 * i + j] += x * v[36 * (m % 16 + 16 * j) + p];
            }
    }
}
PW_EACH(m) {
    for (int i = 0; i < 4; ++i)
        for (int j = 0; j < 4; ++j) {
            const wp::int64 r = r0 + m / 16 + 16 * i, c = c0 + m % 16 + 16 * j;
            if (r < size && c <= r) A[r * size + c] -= PW_OF(s, m)[4 * i + j];
        }
}
#endif
PW_MEET;
"""
)


@wp.func_native(_UPDATE)
def _update(
    f: Big,
    r0: Int,
    c0: Int,
    group: Int,
    base: Big,
    table: Long2,
    numbers: Numbers2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel(launch_bounds=(256, 3))
def updated(
    on: Whole,
    rows: Whole,
    tasks: Long2,
    first: Int,
    count: Int,
    group: Int,
    table: Long2,
    numbers: Numbers2,
    width: Int,
) -> None:
    """Takes from what lies right of a group of panels the product of the group with itself."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    t = first + block % count
    _update(
        tasks[t, 0],
        wp.int32(tasks[t, 1]),
        wp.int32(tasks[t, 2]),
        group,
        wp.int64(b) * wp.int64(numbers.shape[1]),
        table,
        numbers,
        wp.tid() % width,
        width,
    )
