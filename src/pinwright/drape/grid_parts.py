"""Which points of a grid lie inside a body, of those beyond the band in which that is known.

They fall into parts that hang together, and a part lies inside where it meets the band's inner side
more often than its outer: so a wrong sign here and there, as in an armpit, tells nothing. A box may
cut through limbs, so the grid's rim tells nothing either. Parts are joined run by run, a run being
the points on a line along the last axis with no known one between (two passes over runs: He, Chao &
Suzuki 2008, IEEE Trans. Image Process. 17(5)).
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole

Bools = NDArray[np.bool_]

BESIDE = ((-1, 0), (1, 0), (0, -1), (0, 1))
"""Steps to the four lines side by side with one."""


@njit(cache=True, nogil=True)
def inside(found: Array, known: Bools) -> Bools:
    """Which points of a grid (nx, ny, nz) that are not known lie inside; those known are False.

    found: distances of those known, negative within.
    """
    nx, ny, nz = known.shape
    lines = known.reshape(nx * ny, nz)
    ends = np.zeros(nx * ny + 1, np.int64)
    _counted(lines, ends[1:])
    for q in range(nx * ny):
        ends[q + 1] += ends[q]
    run, votes = np.empty((ends[-1], 2), np.int64), np.empty(ends[-1], np.int64)
    _listed(lines, ends, run)
    _voted(found, known, ends, run, votes)
    part = _joined(ends, run, nx, ny)
    sums = np.zeros(len(part), np.int64)
    for r in range(len(part)):
        sums[part[r]] += votes[r]
    filled = np.zeros(known.shape, np.bool_)
    _filled(sums[part] > 0, ends, run, filled.reshape(nx * ny, nz))
    return filled


@njit(cache=True, parallel=True, nogil=True)
def _counted(lines: Bools, count: Whole) -> None:
    """How many runs each line has."""
    for q in prange(len(lines)):
        before, many = True, 0
        for known in lines[q]:
            many += before and not known
            before = known
        count[q] = many


@njit(cache=True, parallel=True, nogil=True)
def _listed(lines: Bools, ends: Whole, run: Whole) -> None:
    """Where each run begins and ends (r, 2), the end not in it; those of a line one after another
    from ``ends`` on."""
    for q in prange(len(lines)):
        before, at = True, ends[q]
        for k in range(lines.shape[1]):
            known = lines[q, k]
            if before and not known:
                run[at, 0] = k
            elif known and not before:
                run[at, 1] = k
                at += 1
            before = known
        if not before:
            run[at, 1] = lines.shape[1]


@njit(cache=True, parallel=True, nogil=True)
def _voted(found: Array, known: Bools, ends: Whole, run: Whole, votes: Whole) -> None:
    """How often more each run meets the band's inner side than its outer (r,)."""
    nx, ny, nz = known.shape
    for i in prange(nx):
        for j in range(ny):
            for r in range(ends[i * ny + j], ends[i * ny + j + 1]):
                begin, end = run[r]
                sum_ = 0
                if begin > 0:
                    sum_ += 1 if found[i, j, begin - 1] < 0.0 else -1
                if end < nz:
                    sum_ += 1 if found[i, j, end] < 0.0 else -1
                for x, y in BESIDE:
                    a, b = np.int64(i) + x, j + y
                    if a < 0 or a >= nx or b < 0 or b >= ny:
                        continue
                    for k in range(begin, end):
                        if known[a, b, k]:
                            sum_ += 1 if found[a, b, k] < 0.0 else -1
                votes[r] = sum_


@njit(cache=True, nogil=True)
def _first(of: Whole, r: int) -> int:
    """The first run of a part, as far as it is known."""
    while of[r] != r:
        of[r] = of[of[r]]
        r = of[r]
    return r


@njit(cache=True, nogil=True)
def _joined(ends: Whole, run: Whole, nx: int, ny: int) -> Whole:
    """Of each run (r,) the first run of its part: runs hang together where two lines side by side
    have both."""
    of = np.arange(len(run))
    for q in range(nx * ny):
        for beside in (q - ny, q - 1):
            if beside < 0 or (beside == q - 1 and q % ny == 0):
                continue
            a, b = ends[q], ends[beside]
            while a < ends[q + 1] and b < ends[beside + 1]:
                if run[a, 0] < run[b, 1] and run[b, 0] < run[a, 1]:
                    one, two = _first(of, a), _first(of, b)
                    of[max(one, two)] = min(one, two)
                if run[a, 1] < run[b, 1]:
                    a += 1
                else:
                    b += 1
    for r in range(len(of)):
        of[r] = _first(of, r)
    return of


@njit(cache=True, parallel=True, nogil=True)
def _filled(within: Bools, ends: Whole, run: Whole, lines: Bools) -> None:
    """Sets the points of the runs that lie within."""
    for q in prange(len(lines)):
        for r in range(ends[q], ends[q + 1]):
            if within[r]:
                lines[q, run[r, 0] : run[r, 1]] = True
