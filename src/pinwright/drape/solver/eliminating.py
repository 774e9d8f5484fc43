"""Fronts of a Cholesky factorization, one after the other, in compiled code.

Of each front the columns of its own rows lie in ``panel``, (own + later) by own blocks column by
column; what it leaves for later fronts lies in ``update`` for as long as the front it enters waits
for it. A right side is taken along while the front is at hand. panel and update are in double or in
single precision, right sides in double.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.lapack import called


@njit(cache=True, nogil=True)
def _entered(
    begin: int,
    end: int,
    values: Array,
    pair: Whole,
    row: Whole,
    column: Whole,
    turned: NDArray[np.bool_],
    panel: Array,
    at: int,
    rows: int,
) -> None:
    for q in range(begin, end):
        p = pair[q]
        for l in range(3):
            to = at + (3 * column[q] + l) * rows + 3 * row[q]
            for k in range(3):
                panel[to + k] += values[p, l, k] if turned[q] else values[p, k, l]


@njit(cache=True, nogil=True)
def _extended(
    count: int,
    into: Whole,
    first: int,
    child: Array,
    child_at: int,
    panel: Array,
    at: int,
    rows: int,
    own: int,
    update: Array,
    update_at: int,
) -> None:
    side = 3 * count
    below = rows - 3 * own
    for b in range(count):
        c = into[first + b]
        for l in range(3):
            source = child_at + (3 * b + l) * side
            if c < own:
                to = at + (3 * c + l) * rows
                target = panel
            else:
                to = update_at + (3 * (c - own) + l) * below - 3 * own
                target = update
            for k in range(l, 3):
                target[to + 3 * c + k] += child[source + 3 * b + k]
            for a in range(b + 1, count):
                r = to + 3 * into[first + a]
                s = source + 3 * a
                target[r] += child[s]
                target[r + 1] += child[s + 1]
                target[r + 2] += child[s + 2]


@njit(cache=True, nogil=True)
def factored(
    todo: Whole,
    own: Whole,
    later: Whole,
    pair_ends: Whole,
    pair: Whole,
    row: Whole,
    column: Whole,
    turned: NDArray[np.bool_],
    child_ends: Whole,
    child: Whole,
    into_ends: Whole,
    into: Whole,
    panel_ends: Whole,
    panel: Array,
    update_at: Whole,
    update: Array,
    values: Array,
    first: Whole,
    right: Array,
    passed: Array,
    routines: Whole,
    letters: NDArray[np.uint8],
    ones: Array,
) -> int:
    """Factors some fronts, children first; the number of one that is not positive definite, or -1.

    first: (f,) the place of the first own vertex of each front in the order of elimination.
    right: (3 n,) in that order, is solved for as far as it goes upwards in the tree;
    passed: three numbers for each later vertex of each front, what it leaves of it.
    """
    n = np.zeros(4, np.int32)
    size, sizes = np.int64(n.ctypes.data), np.int64(4)
    low = np.int64(letters.ctypes.data)
    one = np.int64(ones.ctypes.data)
    width = np.int64(panel.itemsize)
    panels, updates = np.int64(panel.ctypes.data), np.int64(update.ctypes.data)
    for q in range(len(todo)):
        f = todo[q]
        a, b = 3 * own[f], 3 * later[f]
        rows = a + b
        at, to = panel_ends[f], update_at[f]
        panel[at : panel_ends[f + 1]] = 0.0
        _entered(pair_ends[f], pair_ends[f + 1], values, pair, row, column, turned, panel, at, rows)
        children = child_ends[f + 1] > child_ends[f]
        if children:
            for c in range(b):
                update[to + c * b + c : to + (c + 1) * b] = 0.0
        for e in range(child_ends[f], child_ends[f + 1]):
            c = child[e]
            _extended(
                later[c],
                into,
                into_ends[c],
                update,
                update_at[c],
                panel,
                at,
                rows,
                own[f],
                update,
                to,
            )
        n[0], n[1], n[2] = a, b, rows
        n[3] = 0
        here = panels + width * at
        called(routines[0], (low, size, here, size + 2 * sizes, size + 3 * sizes))
        if n[3] != 0:
            return int(f)
        if b:
            under = here + width * a
            # L21 = A21 L11^-T
            called(
                routines[1],
                (
                    low + 1,
                    low,
                    low + 2,
                    low + 3,
                    size + sizes,
                    size,
                    one,
                    here,
                    size + 2 * sizes,
                    under,
                    size + 2 * sizes,
                ),
            )
            # what is left: A22 - L21 L21'
            called(
                routines[2],
                (
                    low,
                    low + 3,
                    size + sizes,
                    size,
                    one + width,
                    under,
                    size + 2 * sizes,
                    one if children else one + 2 * width,
                    updates + width * to,
                    size + sizes,
                ),
            )
        _taken_along(
            f,
            own,
            later,
            child_ends,
            child,
            into_ends,
            into,
            panel_ends,
            panel,
            right,
            first,
            passed,
        )
    return -1


@njit(cache=True, nogil=True, fastmath=True)
def _taken_along(
    f: int,
    own: Whole,
    later: Whole,
    child_ends: Whole,
    child: Whole,
    into_ends: Whole,
    into: Whole,
    panel_ends: Whole,
    panel: Array,
    right: Array,
    first: Whole,
    passed: Array,
) -> None:
    """Takes a right side through front f, whose factors stand in panel."""
    a, b = 3 * own[f], 3 * later[f]
    rows, at = a + b, panel_ends[f]
    y = right[3 * first[f] : 3 * first[f] + a]
    z = passed[3 * into_ends[f] : 3 * into_ends[f] + b]
    z[:] = 0.0
    for e in range(child_ends[f], child_ends[f + 1]):
        c = child[e]
        for i in range(later[c]):
            p = into[into_ends[c] + i]
            for k in range(3):
                v = passed[3 * (into_ends[c] + i) + k]
                if p < own[f]:
                    y[3 * p + k] += v
                else:
                    z[3 * (p - own[f]) + k] += v
    for c in range(a):
        column = at + c * rows
        y[c] /= panel[column + c]
        v = y[c]
        for r in range(c + 1, a):
            y[r] -= panel[column + r] * v
        for r in range(b):
            z[r] -= panel[column + a + r] * v


@njit(cache=True, nogil=True)
def forward(
    todo: Whole,
    own: Whole,
    later: Whole,
    child_ends: Whole,
    child: Whole,
    into_ends: Whole,
    into: Whole,
    panel_ends: Whole,
    panel: Array,
    right: Array,
    first: Whole,
    passed: Array,
) -> None:
    """Takes a right side (3 n,) through some fronts that are factored, children first."""
    for f in todo:
        _taken_along(
            f,
            own,
            later,
            child_ends,
            child,
            into_ends,
            into,
            panel_ends,
            panel,
            right,
            first,
            passed,
        )


@njit(cache=True, nogil=True, fastmath=True)
def backward(
    todo: Whole,
    own: Whole,
    later: Whole,
    where_ends: Whole,
    where: Whole,
    panel_ends: Whole,
    panel: Array,
    x: Array,
    first: Whole,
) -> None:
    """Solves in place (3 n,) for the rows of some fronts, parents first: the last of todo."""
    most = 0
    for q in range(len(todo)):
        most = max(most, 3 * later[todo[q]])
    z = np.empty(most)
    for q in range(len(todo) - 1, -1, -1):
        f = todo[q]
        a, b = 3 * own[f], 3 * later[f]
        rows = a + b
        at = panel_ends[f]
        y = x[3 * first[f] : 3 * first[f] + a]
        w = where_ends[f] + own[f]
        for i in range(later[f]):
            for k in range(3):
                z[3 * i + k] = x[3 * where[w + i] + k]
        for c in range(a - 1, -1, -1):
            column = at + c * rows
            v = y[c]
            for r in range(c + 1, a):
                v -= panel[column + r] * y[r]
            for r in range(b):
                v -= panel[column + a + r] * z[r]
            y[c] = v / panel[column + c]


@njit(cache=True, nogil=True, fastmath=True)
def less_product(values: Array, first: Whole, second: Whole, x: Array, out: Array) -> None:
    """Takes from out (n, 3) the product of the matrix with blocks (p, 3, 3) and x (n, 3)."""
    for p in range(len(first)):
        i, j = first[p], second[p]
        for k in range(3):
            out[i, k] -= (
                values[p, k, 0] * x[j, 0] + values[p, k, 1] * x[j, 1] + values[p, k, 2] * x[j, 2]
            )
        if i != j:
            for k in range(3):
                out[j, k] -= (
                    values[p, 0, k] * x[i, 0]
                    + values[p, 1, k] * x[i, 1]
                    + values[p, 2, k] * x[i, 2]
                )
