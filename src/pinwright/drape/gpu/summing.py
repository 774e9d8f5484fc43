"""Kernels that sum up each variant: its energy and forces, how far and how steeply a step goes.

A block of threads does one variant; sums are taken in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.kinds import Int, Numbers, Numbers2, Points2, Real, Whole, wp

wp.set_module_options({"enable_backward": False})

_BLOCK = """
#if defined(__CUDA_ARCH__)
#define PW_SHARED __shared__
#define PW_MEET __syncthreads()
#else
#define PW_SHARED
#define PW_MEET
#endif
PW_SHARED double one[256];
PW_SHARED double two[256];
PW_MEET;
for (int t = lane; t < 256; t += width) {
    double p = 0.0, q = 0.0;
"""
_SUM = """
    one[t] = p;
    two[t] = q;
}
PW_MEET;
for (int k = 128; k > 0; k /= 2) {
    for (int t = lane; t < k; t += width) {
        one[t] = PW_JOIN(one[t], one[t + k]);
        two[t] += two[t + k];
    }
    PW_MEET;
}
"""
_BALANCE = (
    "#define PW_JOIN(u, v) ((u) + (v))\n"
    + _BLOCK
    + """
    const double* mine = membrane.data + wp::int64(b) * membrane.shape[1];
    for (int k = t; k < membrane.shape[1]; k += 256) p += mine[k];
    const double* own = energy.data + wp::int64(b) * energy.shape[1];
    for (int k = t; k < energy.shape[1]; k += 256) p += own[k];
    const double* f = (const double*)(force.data) + 3 * wp::int64(b) * energy.shape[1];
    for (int k = t; k < 3 * energy.shape[1]; k += 256) q += f[k] * f[k];
"""
    + _SUM
    + """
if (lane == 0) { total.data[b] = one[0]; squares.data[b] = two[0]; }
#undef PW_JOIN
"""
)
_REACH = (
    "#define PW_JOIN(u, v) ((u) > (v) ? (u) : (v))\n"
    + _BLOCK
    + """
    const double* d = (const double*)(dx.data) + 3 * wp::int64(b) * dx.shape[1];
    const double* f = (const double*)(force.data) + 3 * wp::int64(b) * dx.shape[1];
    for (int k = t; k < dx.shape[1]; k += 256) {
        const double s = d[3*k] * d[3*k] + d[3*k+1] * d[3*k+1] + d[3*k+2] * d[3*k+2];
        p = p > s ? p : s;
        const double part = s > reach * reach ? reach / sqrt(s) : 1.0;
        q += part * (d[3*k] * f[3*k] + d[3*k+1] * f[3*k+1] + d[3*k+2] * f[3*k+2]);
    }
"""
    + _SUM
    + """
if (lane == 0) { far.data[b] = sqrt(one[0]); downhill.data[b] = two[0]; }
#undef PW_JOIN
"""
)


@wp.func_native(_BALANCE)
def _balance(
    b: Int,
    membrane: Numbers2,
    energy: Numbers2,
    force: Points2,
    total: Numbers,
    squares: Numbers,
    lane: Int,
    width: Int,
) -> None: ...


@wp.func_native(_REACH)
def _reach(
    b: Int,
    dx: Points2,
    force: Points2,
    reach: Real,
    far: Numbers,
    downhill: Numbers,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def balanced(
    on: Whole,
    membrane: Numbers2,
    energy: Numbers2,
    force: Points2,
    total: Numbers,
    squares: Numbers,
    width: Int,
) -> None:
    """The energy of each variant, and the sum of the squares of its forces."""
    b = wp.tid() / width
    if on[b] == 0:
        return
    _balance(b, membrane, energy, force, total, squares, wp.tid() % width, width)


@wp.kernel
def reached(
    on: Whole,
    dx: Points2,
    force: Points2,
    reach: Real,
    far: Numbers,
    downhill: Numbers,
    width: Int,
) -> None:
    """How far the step of each variant would go at most, cm, and how steeply downhill, erg.

    No vertex goes farther than reach, which counts for the second.
    """
    b = wp.tid() / width
    if on[b] == 0:
        return
    _reach(b, dx, force, reach, far, downhill, wp.tid() % width, width)
