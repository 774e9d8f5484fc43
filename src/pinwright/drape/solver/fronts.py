"""Cholesky factors of the stiffness of a shell, front by front.

The matrix is sparse, symmetric and positive definite, of 3 x 3 blocks over pairs of vertices. Its
rows are ordered by nested dissection (George 1973, SIAM J. Numer. Anal. 10(2)) and factored by the
multifrontal method (Duff & Reid 1983, ACM TOMS 9(3); Liu 1992, SIAM Review 34(1)): each front is a
small dense matrix for LAPACK. Branches of the tree of fronts do not wait for each other and go over
the cores.
What depends only on which vertices meet is done once for a shell.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.dissecting import dissected
from pinwright.drape.solver.lapack import ROUTINES, called
from pinwright.drape.solver.tree import Tree, shares, tree_of

_CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()

THREADS = min(4, _CORES or 1)
"""So many branches are factored at once."""

_LETTERS: NDArray[np.uint8] = np.frombuffer(b"LRTN", np.uint8)
_ONES: Array = np.array([1.0, -1.0, 0.0])


class NotPositiveError(ArithmeticError):
    """The matrix is not positive definite."""


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
def _factored(
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
    update_ends: Whole,
    update: Array,
    values: Array,
    routines: Whole,
    letters: NDArray[np.uint8],
    ones: Array,
) -> int:
    """Factors some fronts, children first; the number of one that is not positive definite, or -1.

    Of each front the columns of its own rows lie in panel, (own + later) by own blocks column by
    column, and what it leaves for later fronts in update.
    """
    n = np.zeros(4, np.int32)
    size, sizes = np.int64(n.ctypes.data), np.int64(4)
    low = np.int64(letters.ctypes.data)
    one = np.int64(ones.ctypes.data)
    panels, updates = np.int64(panel.ctypes.data), np.int64(update.ctypes.data)
    for q in range(len(todo)):
        f = todo[q]
        a, b = 3 * own[f], 3 * later[f]
        rows = a + b
        at, to = panel_ends[f], update_ends[f]
        panel[at : panel_ends[f + 1]] = 0.0
        _entered(pair_ends[f], pair_ends[f + 1], values, pair, row, column, turned, panel, at, rows)
        children = child_ends[f + 1] > child_ends[f]
        if children:
            update[to : update_ends[f + 1]] = 0.0
        for e in range(child_ends[f], child_ends[f + 1]):
            c = child[e]
            _extended(
                later[c],
                into,
                into_ends[c],
                update,
                update_ends[c],
                panel,
                at,
                rows,
                own[f],
                update,
                to,
            )
        n[0], n[1], n[2] = a, b, rows
        n[3] = 0
        here = panels + 8 * at
        called(routines[0], (low, size, here, size + 2 * sizes, size + 3 * sizes))
        if n[3] != 0:
            return int(f)
        if b:
            under = here + 8 * a
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
                    one + 8,
                    under,
                    size + 2 * sizes,
                    one if children else one + 16,
                    updates + 8 * to,
                    size + sizes,
                ),
            )
    return -1


@njit(cache=True, nogil=True, fastmath=True)
def _solved(
    own: Whole, later: Whole, where_ends: Whole, where: Whole, ends: Whole, panel: Array, x: Array
) -> None:
    """Solves in place for a right side (3 n,), in the order of elimination."""
    count = len(own)
    most = 0
    for f in range(count):
        most = max(most, 3 * (own[f] + later[f]))
    y = np.empty(most)
    for f in range(count):
        a = 3 * own[f]
        rows = a + 3 * later[f]
        w = where_ends[f]
        for i in range(own[f] + later[f]):
            for k in range(3):
                y[3 * i + k] = x[3 * where[w + i] + k]
        for c in range(a):
            at = ends[f] + c * rows
            y[c] /= panel[at + c]
            v = y[c]
            for r in range(c + 1, rows):
                y[r] -= panel[at + r] * v
        for i in range(own[f] + later[f]):
            for k in range(3):
                x[3 * where[w + i] + k] = y[3 * i + k]
    for f in range(count - 1, -1, -1):
        a = 3 * own[f]
        rows = a + 3 * later[f]
        w = where_ends[f]
        for i in range(own[f] + later[f]):
            for k in range(3):
                y[3 * i + k] = x[3 * where[w + i] + k]
        for c in range(a - 1, -1, -1):
            at = ends[f] + c * rows
            v = y[c]
            for r in range(c + 1, rows):
                v -= panel[at + r] * y[r]
            y[c] = v / panel[at + c]
        for i in range(own[f]):
            for k in range(3):
                x[3 * where[w + i] + k] = y[3 * i + k]


class Fronts:
    """Factors of matrices over the same pairs of vertices.

    first, second: (p,) the vertices of each pair, each pair once, with itself included. x: (n, 3)
    cm, where they are, roughly. parts: in which order they are eliminated, if that is known from
    almost the same pairs.

    Raises:
        ValueError: neither x nor parts is given.
    """

    def __init__(
        self,
        n: int,
        first: Whole,
        second: Whole,
        x: Array | None = None,
        parts: Sequence[Whole] | None = None,
    ) -> None:
        self.n = n
        if parts is None:
            if x is None:
                raise ValueError("Fronts: where the vertices are, or in which order they go")
            off = first != second
            a = np.concatenate([first[off], second[off]])
            b = np.concatenate([second[off], first[off]])
            graph = csr_array((np.ones(len(a)), (a, b)), shape=(n, n))
            graph.sort_indices()
            parts = dissected(graph, x)
        self.parts = parts
        self.tree: Tree = tree_of(n, first, second, parts)
        self.shares = shares(self.tree, THREADS)
        self.panel: Array = np.empty(self.tree.panel_ends[-1])
        self.update: Array = np.empty(self.tree.update_ends[-1])

    @property
    def filled(self) -> int:
        """How many numbers the factors have."""
        return len(self.panel)

    def factor(self, values: Array) -> None:
        """Factors the matrix with blocks (p, 3, 3), each of rows `first` and columns `second`.

        Raises:
            NotPositiveError: it is not positive definite.
        """
        s = self.shares
        waits = s.children.copy()
        ready = list(s.ready)
        there = threading.Condition()
        left = len(s.todo)
        bad = -1

        def work() -> None:
            nonlocal left, bad
            while True:
                with there:
                    while not ready and left and bad < 0:
                        there.wait()
                    if bad >= 0 or not left:
                        return
                    k = ready.pop()
                try:
                    found = self._factored(s.todo[k], values)
                except BaseException:
                    with there:
                        bad = len(self.tree.own)
                        there.notify_all()
                    raise
                with there:
                    if found >= 0:
                        bad = found
                    left -= 1
                    p = s.parent[k]
                    if p >= 0:
                        waits[p] -= 1
                        if waits[p] == 0:
                            ready.append(p)
                    there.notify_all()

        others = [_pool().submit(work) for _ in range(min(THREADS, len(s.ready)) - 1)]
        try:
            work()
        finally:
            for o in others:
                o.result()
        if bad >= 0:
            raise NotPositiveError(f"front {bad}: not positive definite")

    def _factored(self, todo: Whole, values: Array) -> int:
        t = self.tree
        return int(
            _factored(
                todo,
                t.own,
                t.later,
                t.pair_ends,
                t.pair,
                t.row,
                t.column,
                t.turned,
                t.child_ends,
                t.child,
                t.into_ends,
                t.into,
                t.panel_ends,
                self.panel,
                t.update_ends,
                self.update,
                values,
                ROUTINES,
                _LETTERS,
                _ONES,
            )
        )

    def solve(self, b: Array) -> Array:
        """The solution (n, 3) for a right side (n, 3), by the last factors."""
        t = self.tree
        x = np.ascontiguousarray(b[t.order]).reshape(-1)
        _solved(t.own, t.later, t.where_ends, t.where, t.panel_ends, self.panel, x)
        out = np.empty((self.n, 3))
        out[t.order] = x.reshape(-1, 3)
        return out


_pools: list[ThreadPoolExecutor] = []


def _pool() -> ThreadPoolExecutor:
    if not _pools:
        _pools.append(ThreadPoolExecutor(max(1, THREADS - 1), "fronts"))
    return _pools[0]
