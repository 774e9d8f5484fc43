"""How far the points of a grid are from those that are known, and from which: exactly.

One axis after the other, each line by the lower envelope of parabolas (Felzenszwalb & Huttenlocher
2012, Theory of Computing 8(19)). It finds what scipy.ndimage finds, over both cores, in a third of
the time, which was much of what a body's field takes.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole

Small = NDArray[np.int32]


NOWHERE = 2**31 - 1
"""Squared steps where no point is known; so no grid may be 26,000 points long."""


@njit(cache=True, parallel=True, nogil=True)
def _along_last(known: NDArray[np.bool_], far: Small, place: Small) -> None:
    """Fills for each point the squared distance, in steps, to the nearest known one on its line
    along the last axis, and the number of that; NOWHERE and -1 where there is none."""
    nx, ny, nz = known.shape
    for i in prange(nx):
        for j in range(ny):
            last = -1
            for k in range(nz):
                if known[i, j, k]:
                    last = k
                place[i, j, k] = last
                far[i, j, k] = NOWHERE if last < 0 else (k - last) ** 2
            last = -1
            for k in range(nz - 1, -1, -1):
                if known[i, j, k]:
                    last = k
                if last >= 0 and (last - k) ** 2 < far[i, j, k]:
                    far[i, j, k] = (last - k) ** 2
                    place[i, j, k] = last
            for k in range(nz):
                if place[i, j, k] >= 0:
                    place[i, j, k] += (i * ny + j) * nz


@njit(cache=True, inline="always")
def _enveloped(
    f: Small, from_: Small, count: int, v: Whole, z: Array, out: Small, out_from: Small
) -> None:
    """Of parabolas f (count,) along a line the least at each point, and whose it is."""
    k = -1
    for q in range(count):
        if f[q] == NOWHERE:
            continue
        s = -np.inf
        while k >= 0:
            p = v[k]
            s = float(np.int64(f[q]) - np.int64(f[p]) + q * q - p * p) / (2.0 * (q - p))
            if s > z[k]:
                break
            k -= 1
        if k < 0:
            s = -np.inf
        k += 1
        v[k] = q
        z[k] = s
    if k < 0:
        for q in range(count):
            out[q] = NOWHERE
            out_from[q] = -1
        return
    top = k
    k = 0
    for q in range(count):
        while k < top and z[k + 1] < q:
            k += 1
        p = v[k]
        out[q] = f[p] + (q - p) ** 2
        out_from[q] = from_[p]


@njit(cache=True, parallel=True, nogil=True)
def _along_middle(far: Small, place: Small) -> None:
    """Goes on from the last axis to the middle one, in place."""
    nx, ny, nz = far.shape
    for i in prange(nx):
        f, g, z = np.empty(ny, np.int32), np.empty(ny, np.int32), np.empty(ny + 1)
        a, b, v = np.empty(ny, np.int32), np.empty(ny, np.int32), np.empty(ny, np.int64)
        for k in range(nz):
            for j in range(ny):
                f[j], a[j] = far[i, j, k], place[i, j, k]
            _enveloped(f, a, ny, v, z, g, b)
            for j in range(ny):
                far[i, j, k], place[i, j, k] = g[j], b[j]


@njit(cache=True, nogil=True)
def nearest_known(known: NDArray[np.bool_]) -> tuple[Small, Small]:
    """For each point of a grid (nx, ny, nz) how far the nearest known one is, in steps squared, and
    its number in the flattened grid; NOWHERE and -1 where none is known."""
    far = np.empty(known.shape, np.int32)
    place = np.empty(known.shape, np.int32)
    _along_last(known, far, place)
    _along_middle(far, place)
    _along_middle(far.transpose(1, 0, 2), place.transpose(1, 0, 2))
    return far, place
