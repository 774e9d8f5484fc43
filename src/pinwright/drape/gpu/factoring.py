"""Kernels that factor panels of the fronts of many variants at once.

A block of threads does one task of one variant (see :mod:`pinwright.drape.gpu.planning`). Of a
diagonal block only the inverse of its factor is kept: then panels, and solving
(:mod:`pinwright.drape.gpu.substituting`), are products. Sums are taken in a fixed order, so a drape
done twice is the same to the last bit.
"""

from __future__ import annotations

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.kinds import Big, Int, Long2, Numbers2, Whole, wp

wp.set_module_options({"enable_backward": False})

# The reciprocal by three steps of Newton's method: division is a long chain of dependent steps.
_OVER = """
#if defined(__CUDA_ARCH__)
#define PW_OVER(x) ([](double a) { \\
    double y; \\
    asm("rcp.approx.ftz.f64 %0, %1;" : "=d"(y) : "d"(a)); \\
    y = fma(y, fma(-a, y, 1.0), y); \\
    y = fma(y, fma(-a, y, 1.0), y); \\
    return fma(y, fma(-a, y, 1.0), y); }(x))
#else
#define PW_OVER(x) (1.0 / (x))
#endif
"""

# The factor of a diagonal block as L D L', and the inverse of L beside it. On a card one warp does
# it, each thread with a row of the block and a column of the inverse in registers.
_DIAGONAL = (
    BLOCK
    + _OVER
    + """
PW_SHARED double v[32 * 33];
PW_SHARED double column[2][32];
PW_SHARED double scale[32];
PW_OWN(d, 4);
const wp::int64* T = table.data + 6 * f;
const int own = (wp::int32)T[1];
const wp::int64 size = T[2];
const double* A = numbers.data + base + T[0];
double* out = inverses.data + inverse_base + T[3] + 1024 * panel;
const int k0 = 32 * panel;
const int nb = own - k0 < 32 ? own - k0 : 32;
bool good = true;
PW_EACH(m) {
    const int i = m / 8;
    for (int k = 0; k < 4; ++k) {
        const int c = m % 8 + 8 * k;
        PW_OF(d, m)[k] = i < nb && c <= i ? A[(k0 + i) * size + k0 + c] : (i == c ? 1.0 : 0.0);
    }
}
// what the panels left of this one in its group of four take away
for (int q0 = panel / 4 * 128; q0 < k0; q0 += 32) {
    PW_MEET;
    PW_EACH(m) for (int e = m; e < 32 * 32; e += 256)
        v[33 * (e / 32) + e % 32] = e / 32 < nb ? A[(k0 + e / 32) * size + q0 + e % 32] : 0.0;
    PW_MEET;
    PW_EACH(m) for (int p = 0; p < 32; ++p) {
        const double e = v[33 * (m / 8) + p];
        for (int k = 0; k < 4; ++k) PW_OF(d, m)[k] -= e * v[33 * (m % 8 + 8 * k) + p];
    }
}
PW_MEET;
PW_EACH(m) for (int k = 0; k < 4; ++k) v[33 * (m / 8) + m % 8 + 8 * k] = PW_OF(d, m)[k];
PW_MEET;
#if defined(__CUDA_ARCH__)
if (lane < 32) {
    double g[32], h[32];
    double mine = 1.0;
#pragma unroll
    for (int c = 0; c < 32; ++c) {
        g[c] = v[33 * lane + c];
        h[c] = c == lane ? 1.0 : 0.0;
    }
#pragma unroll
    for (int j = 0; j < 32; ++j) {
        double* given = column[j % 2];
        given[lane] = g[j];
        __syncwarp();
        double pivot = given[j];
        if (!(pivot > 0.0)) { good = false; pivot = 1.0; }
        if (lane == j) mine = pivot;
        const double over = PW_OVER(pivot);
        const double l = lane > j ? g[j] * over : 0.0;
        const double t = h[j] * over;
#pragma unroll
        for (int c = j + 1; c < 32; ++c) {
            const double e = given[c];
            g[c] -= l * e;
            h[c] -= t * e;
        }
    }
    scale[lane] = 1.0 / sqrt(mine);
    __syncwarp();
#pragma unroll
    for (int i = 0; i < 32; ++i) v[33 * i + lane] = i < nb ? h[i] * scale[i] : 0.0;
}
#else
double w[32 * 33];
for (int i = 0; i < 32; ++i)
    for (int c = 0; c < 32; ++c) w[33 * i + c] = i == c ? 1.0 : 0.0;
for (int j = 0; j < nb; ++j) {
    if (!(v[33 * j + j] > 0.0)) { good = false; v[33 * j + j] = 1.0; }
    for (int i = j + 1; i < nb; ++i) {
        const double l = v[33 * i + j] / v[33 * j + j];
        for (int c = 0; c <= j; ++c) w[33 * i + c] -= l * w[33 * j + c];
        for (int c = j + 1; c <= i; ++c) v[33 * i + c] -= l * v[33 * c + j];
    }
}
for (int i = 0; i < 32; ++i) {
    const double over = i < nb ? 1.0 / sqrt(v[33 * i + i]) : 0.0;
    for (int c = 0; c < 32; ++c) v[33 * i + c] = c <= i ? w[33 * i + c] * over : 0.0;
}
#endif
if (!good && lane == 0) bad.data[b] = 1;
PW_MEET;
PW_EACH(m) for (int e = m; e < 1024; e += 256) out[e] = v[33 * (e / 32) + e % 32];
PW_MEET;
"""
)

_PANEL = (
    BLOCK
    + """
PW_SHARED double u[64 * 33];
PW_SHARED double v[32 * 33];
PW_OWN(x, 8);
const wp::int64* T = table.data + 6 * f;
const int own = (wp::int32)T[1];
const wp::int64 size = T[2];
double* A = numbers.data + base + T[0];
const double* inverse = inverses.data + inverse_base + T[3] + 1024 * panel;
const int k0 = 32 * panel;
const int nb = own - k0 < 32 ? own - k0 : 32;
PW_EACH(m) for (int k = 0; k < 8; ++k) {
    const wp::int64 r = r0 + m / 8 + 32 * (k / 4);
    const int c = m % 8 + 8 * (k % 4);
    PW_OF(x, m)[k] = r < size && c < nb ? A[r * size + k0 + c] : 0.0;
}
// what the panels left of this one in its group of four take away; then the inverse is put to it
for (int q0 = panel / 4 * 128; q0 <= k0; q0 += 32) {
    const bool last = q0 == k0;
    PW_MEET;
    PW_EACH(m) {
        if (last) {
            for (int k = 0; k < 8; ++k) {
                u[33 * (m / 8 + 32 * (k / 4)) + m % 8 + 8 * (k % 4)] = PW_OF(x, m)[k];
                PW_OF(x, m)[k] = 0.0;
            }
            for (int e = m; e < 32 * 32; e += 256) v[33 * (e / 32) + e % 32] = -inverse[e];
        } else {
            for (int e = m; e < 64 * 32; e += 256) {
                const wp::int64 r = r0 + e / 32;
                u[33 * (e / 32) + e % 32] = r < size ? A[r * size + q0 + e % 32] : 0.0;
            }
            for (int e = m; e < 32 * 32; e += 256)
                v[33 * (e / 32) + e % 32] =
                    e / 32 < nb ? A[(k0 + e / 32) * size + q0 + e % 32] : 0.0;
        }
    }
    PW_MEET;
    PW_EACH(m) {
        const int i = m / 8;
#pragma unroll 8
        for (int p = 0; p < 32; ++p) {
            const double one = u[33 * i + p], two = u[33 * (i + 32) + p];
            for (int k = 0; k < 4; ++k) {
                const double y = v[33 * (m % 8 + 8 * k) + p];
                PW_OF(x, m)[k] -= one * y;
                PW_OF(x, m)[4 + k] -= two * y;
            }
        }
    }
}
PW_EACH(m) for (int k = 0; k < 8; ++k) {
    const wp::int64 r = r0 + m / 8 + 32 * (k / 4);
    const int c = m % 8 + 8 * (k % 4);
    if (r < size && c < nb) A[r * size + k0 + c] = PW_OF(x, m)[k];
}
PW_MEET;
"""
)


@wp.func_native(_DIAGONAL)
def _diagonal(
    f: Big,
    panel: Int,
    b: Int,
    base: Big,
    inverse_base: Big,
    table: Long2,
    numbers: Numbers2,
    inverses: Numbers2,
    bad: Whole,
    lane: Int,
    width: Int,
) -> None: ...


@wp.func_native(_PANEL)
def _panel(
    f: Big,
    r0: Int,
    panel: Int,
    base: Big,
    inverse_base: Big,
    table: Long2,
    numbers: Numbers2,
    inverses: Numbers2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def squared(
    on: Whole,
    rows: Whole,
    tasks: Long2,
    first: Int,
    count: Int,
    table: Long2,
    numbers: Numbers2,
    inverses: Numbers2,
    bad: Whole,
    width: Int,
) -> None:
    """The inverse of the factor of a diagonal block; bad (B,) where a pivot is not positive."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    t = first + block % count
    _diagonal(
        tasks[t, 0],
        wp.int32(tasks[t, 2]),
        b,
        wp.int64(b) * wp.int64(numbers.shape[1]),
        wp.int64(b) * wp.int64(inverses.shape[1]),
        table,
        numbers,
        inverses,
        bad,
        wp.tid() % width,
        width,
    )


@wp.kernel
def panelled(
    on: Whole,
    rows: Whole,
    tasks: Long2,
    first: Int,
    count: Int,
    table: Long2,
    numbers: Numbers2,
    inverses: Numbers2,
    width: Int,
) -> None:
    """The factor under a diagonal block."""
    block = wp.tid() / width
    b = rows[block / count]
    if on[b] == 0:
        return
    t = first + block % count
    _panel(
        tasks[t, 0],
        wp.int32(tasks[t, 1]),
        wp.int32(tasks[t, 2]),
        wp.int64(b) * wp.int64(numbers.shape[1]),
        wp.int64(b) * wp.int64(inverses.shape[1]),
        table,
        numbers,
        inverses,
        wp.tid() % width,
        width,
    )
