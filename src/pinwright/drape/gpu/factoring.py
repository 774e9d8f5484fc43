"""Kernels that factor the stiffness of many variants at once.

A block of threads does one task of one variant (see :mod:`pinwright.drape.gpu.planning`). Inside,
threads share memory and meet at barriers, which the language of the kernels lacks, so these parts
are written out in C++; on the processor a block is one thread. Of a diagonal block only the inverse
of its factor is kept: then panels, and solving (:mod:`pinwright.drape.gpu.substituting`), are
products. Sums are taken in a fixed order, so a drape done twice is the same to the last bit.
"""

from __future__ import annotations

from pinwright.drape.gpu.kinds import Big, Blocks2, Int, Long, Long2, Numbers2, Whole, wp

wp.set_module_options({"enable_backward": False})

# A block is 256 threads; PW_EACH(m) is what each does by itself, PW_OWN(a, k) what each keeps to
# itself in between, PW_OF(a, m) its part of that, PW_MEET where all wait for each other.
_BLOCK = """
#if defined(__CUDA_ARCH__)
#define PW_SHARED __shared__
#define PW_MEET __syncthreads()
#define PW_OWN(a, k) double a[1][k]
#define PW_OF(a, m) a[0]
#else
#define PW_SHARED
#define PW_MEET
#define PW_OWN(a, k) double a[256][k]
#define PW_OF(a, m) a[m]
#endif
#define PW_EACH(m) for (int m = lane; m < 256; m += width)
"""

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

_GATHER = (
    _BLOCK
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

# The factor of a diagonal block as L D L', and the inverse of L beside it. On a card one warp does
# it, each thread with a row of the block and a column of the inverse in registers.
_DIAGONAL = (
    _BLOCK
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
    _BLOCK
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

# On a card of compute capability 9.0 the products of a tile are taken by its matrix units (mma
# m16n8k16 in double precision): eight warps, each 16 rows by 32 columns.
_UPDATE = (
    _BLOCK
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


@wp.kernel(launch_bounds=(256, 4))
def gathered(
    on: Whole,
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
    b = block / count
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
    b, k = wp.tid()
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


@wp.kernel
def squared(
    on: Whole,
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
    b = block / count
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
    b = block / count
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


@wp.kernel(launch_bounds=(256, 3))
def updated(
    on: Whole,
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
    b = block / count
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
