"""Kernels that solve with the factors of many variants at once.

A block of threads does one front of one variant; written out in C++ for the reasons given in
:mod:`pinwright.drape.gpu.factoring`. Sums are taken in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.kinds import Big, Int, Long, Long2, Numbers2, Points2, Whole, wp

wp.set_module_options({"enable_backward": False})

WIDE = 512
"""Threads of a block: a front is gone through panel by panel, and each is one short round."""

_BLOCK = """
#if defined(__CUDA_ARCH__)
#define PW_SHARED __shared__
#define PW_MEET __syncthreads()
#else
#define PW_SHARED
#define PW_MEET
#endif
#define PW_EACH(m) for (int m = lane; m < 512; m += width)
"""

_FORWARD = (
    _BLOCK
    + """
PW_SHARED double part[512];
PW_SHARED double y[32];
const wp::int64* T = table.data + 6 * f;
const int own = (wp::int32)T[1], size = (wp::int32)T[2];
const double* A = numbers.data + base + T[0];
double* v = vectors.data + vector_base + T[4];
const double* given = (const double*)(right.data) + 3 * wp::int64(n) * b;
for (int r = lane; r < size; r += width) {
    double s = r < own ? given[3 * vertices.data[T[5] + r / 3] + r % 3] : 0.0;
    for (wp::int64 q = child_ends.data[f]; q < child_ends.data[f + 1]; ++q) {
        const wp::int64* C = table.data + 6 * child.data[q];
        const int i = maps.data[into.data[q] + r / 3];
        if (i >= 0) s += vectors.data[vector_base + C[4] + C[1] + 3 * i + r % 3];
    }
    v[r] = s;
}
PW_MEET;
for (int k0 = 0; k0 < own; k0 += 32) {
    const int nb = own - k0 < 32 ? own - k0 : 32;
    const double* w = inverses.data + inverse_base + T[3] + 32 * k0;
    PW_EACH(m) {
        double s = 0.0;
        for (int k = 0; k < 2; ++k) {
            const int c = m % 16 + 16 * k;
            if (c < nb) s += w[32 * (m / 16) + c] * v[k0 + c];
        }
        part[m] = s;
    }
    PW_MEET;
    for (int i = lane; i < 32; i += width) {
        double s = 0.0;
        for (int k = 0; k < 16; ++k) s += part[16 * i + (k + i) % 16];
        y[i] = s;
        if (i < nb) v[k0 + i] = s;
    }
    PW_MEET;
    for (int r = k0 + nb + lane; r < size; r += width) {
        const double* a = A + wp::int64(r) * size + k0;
        double s[4] = {0.0, 0.0, 0.0, 0.0};
        if (nb == 32) {
#pragma unroll 16
            for (int p = 0; p < 32; ++p) s[p % 4] += a[p] * y[p];
        } else {
            for (int p = 0; p < nb; ++p) s[0] += a[p] * y[p];
        }
        v[r] -= (s[0] + s[1]) + (s[2] + s[3]);
    }
    PW_MEET;
}
"""
)

_BACKWARD = (
    _BLOCK
    + """
PW_SHARED double part[512];
PW_SHARED double y[32];
const wp::int64* T = table.data + 6 * f;
const int own = (wp::int32)T[1], size = (wp::int32)T[2];
const double* A = numbers.data + base + T[0];
double* v = vectors.data + vector_base + T[4];
double* found = (double*)(dx.data) + 3 * wp::int64(n) * b;
for (int r = own + lane; r < size; r += width)
    v[r] = found[3 * vertices.data[T[5] + r / 3] + r % 3];
PW_MEET;
for (int k0 = (own - 1) / 32 * 32; k0 >= 0; k0 -= 32) {
    const int nb = own - k0 < 32 ? own - k0 : 32;
    const double* w = inverses.data + inverse_base + T[3] + 32 * k0;
    PW_EACH(m) {
        const int p = m % 32;
        double s = 0.0;
        if (p < nb) {
#pragma unroll 8
            for (int r = k0 + nb + m / 32; r < size; r += 16)
                s += A[wp::int64(r) * size + k0 + p] * v[r];
        }
        part[m] = s;
    }
    PW_MEET;
    for (int p = lane; p < 32; p += width) {
        double s = p < nb ? v[k0 + p] : 0.0;
        for (int g = 0; g < 16; ++g) s -= part[32 * g + p];
        y[p] = s;
    }
    PW_MEET;
    PW_EACH(m) {
        part[m] = w[m] * y[m / 32] + w[m + 512] * y[m / 32 + 16];
    }
    PW_MEET;
    for (int p = lane; p < nb; p += width) {
        double s = 0.0;
        for (int g = 0; g < 16; ++g) s += part[32 * g + p];
        v[k0 + p] = s;
    }
    PW_MEET;
}
for (int r = lane; r < own; r += width)
    found[3 * vertices.data[T[5] + r / 3] + r % 3] = v[r];
"""
)


@wp.func_native(_FORWARD)
def _forward(
    f: Big,
    b: Int,
    n: Int,
    base: Big,
    inverse_base: Big,
    vector_base: Big,
    table: Long2,
    vertices: Long,
    child_ends: Long,
    child: Long,
    into: Long,
    maps: Whole,
    numbers: Numbers2,
    inverses: Numbers2,
    right: Points2,
    vectors: Numbers2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.func_native(_BACKWARD)
def _backward(
    f: Big,
    b: Int,
    n: Int,
    base: Big,
    inverse_base: Big,
    vector_base: Big,
    table: Long2,
    vertices: Long,
    numbers: Numbers2,
    inverses: Numbers2,
    vectors: Numbers2,
    dx: Points2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def forwards(
    on: Whole,
    rows: Whole,
    first: Int,
    count: Int,
    table: Long2,
    vertices: Long,
    child_ends: Long,
    child: Long,
    into: Long,
    maps: Whole,
    numbers: Numbers2,
    inverses: Numbers2,
    right: Points2,
    vectors: Numbers2,
    width: Int,
) -> None:
    """Solves with the lower factor, from the leaves up."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    _forward(
        wp.int64(first + block % count),
        b,
        right.shape[1],
        wp.int64(b) * wp.int64(numbers.shape[1]),
        wp.int64(b) * wp.int64(inverses.shape[1]),
        wp.int64(b) * wp.int64(vectors.shape[1]),
        table,
        vertices,
        child_ends,
        child,
        into,
        maps,
        numbers,
        inverses,
        right,
        vectors,
        wp.tid() % width,
        width,
    )


@wp.kernel
def backwards(
    on: Whole,
    rows: Whole,
    first: Int,
    count: Int,
    table: Long2,
    vertices: Long,
    numbers: Numbers2,
    inverses: Numbers2,
    vectors: Numbers2,
    dx: Points2,
    width: Int,
) -> None:
    """Solves with the upper factor, from the root down, into dx (B, n, 3)."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    _backward(
        wp.int64(first + block % count),
        b,
        dx.shape[1],
        wp.int64(b) * wp.int64(numbers.shape[1]),
        wp.int64(b) * wp.int64(inverses.shape[1]),
        wp.int64(b) * wp.int64(vectors.shape[1]),
        table,
        vertices,
        numbers,
        inverses,
        vectors,
        dx,
        wp.tid() % width,
        width,
    )
