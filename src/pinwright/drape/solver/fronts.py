"""Cholesky factors of the stiffness of a shell, front by front.

The matrix is sparse, symmetric and positive definite, of 3 x 3 blocks over pairs of vertices. Its
rows are ordered by nested dissection (George 1973, SIAM J. Numer. Anal. 10(2)) and factored by the
multifrontal method (Duff & Reid 1983, ACM TOMS 9(3); Liu 1992, SIAM Review 34(1)): each front is a
small dense matrix for LAPACK. Branches of the tree of fronts do not wait for each other and go over
the cores.
What depends only on which vertices meet is done once for a shell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.branches import THREADS, downwards, upwards
from pinwright.drape.solver.dissecting import dissected
from pinwright.drape.solver.eliminating import backward, factored, forward, less_product
from pinwright.drape.solver.lapack import ROUTINES, SINGLE_ROUTINES
from pinwright.drape.solver.tree import Shares, Tree, shares, tree_of, updates_laid

_LETTERS: NDArray[np.uint8] = np.frombuffer(b"LRTN", np.uint8)

GOOD = 1e-3
"""So small a part of the right side may be left over by a solution in single precision: a step need
be no better to lead as far (inexact Newton: Dembo, Eisenstat & Steihaug 1982, SIAM J. Numer. Anal.
19(2))."""

TIMES = 3
"""So often at most a solution in single precision is bettered."""


class NotPositiveError(ArithmeticError):
    """The matrix is not positive definite."""


@dataclass(slots=True, eq=False)
class Numbers:
    """Room for factors in double or single precision, and the routines for it.

    panel, update: as in :mod:`pinwright.drape.solver.eliminating`. ones: 1, -1 and 0.
    """

    panel: Array
    update: Array
    routines: Whole
    ones: Array


class Fronts:
    """Factors of matrices over the same pairs of vertices.

    first, second: (p,) the vertices of each pair, each pair once, with itself included. x: (n, 3)
    cm, where they are, roughly. parts: in which order they are eliminated, if that is known from
    almost the same pairs. before: factors that are done with, whose room is taken over.

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
        before: Fronts | None = None,
    ) -> None:
        self.n = n
        self.first, self.second = first, second
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
        self.shares: Shares = shares(self.tree, THREADS)
        self.update_at, self.room = updates_laid(self.tree, self.shares)
        self.passed: Array = np.empty(3 * self.tree.into_ends[-1])
        self.numbers: dict[str, Numbers] = dict(before.numbers) if before else {}

    @property
    def filled(self) -> int:
        """How many numbers the factors have."""
        return int(self.tree.panel_ends[-1])

    def factor(self, values: Array) -> None:
        """Factors the matrix with blocks (p, 3, 3), each of rows `first` and columns `second`.

        Raises:
            NotPositiveError: it is not positive definite.
        """
        self._factored("double", values, np.zeros(3 * self.n))

    def solve(self, b: Array) -> Array:
        """The solution (n, 3) for a right side (n, 3), by the last factors of :meth:`factor`."""
        return self._solved("double", b)

    def solve_anew(self, values: Array, b: Array) -> Array:
        """The solution (n, 3) of the matrix with these blocks (p, 3, 3) for one right side (n, 3).

        Factored in single precision, in little more than half the time, and bettered by what it
        leaves over (Wilkinson's refinement: Higham 2002, Accuracy and Stability, ch. 12); in double
        where single does not carry.

        Raises:
            NotPositiveError: it is not positive definite.
        """
        try:
            found = self._solved_single(values, b)
        except NotPositiveError:
            found = None
        if found is None:
            self.factor(values)
            found = self.solve(b)
        return found

    def _solved_single(self, values: Array, b: Array) -> Array | None:
        """The solution by factors in single precision; None where it does not become good."""
        x = self._ordered(b)
        self._factored("single", values, x)
        found = self._back("single", x)
        most = GOOD * float(np.linalg.norm(b))
        for turn in range(TIMES + 1):
            left = b.copy()
            less_product(values, self.first, self.second, found, left)
            if float(np.linalg.norm(left)) <= most:
                return found
            if turn < TIMES:
                found += self._solved("single", left)
        return None

    def _ordered(self, b: Array) -> Array:
        """A right side (n, 3) as (3 n,), in the order of elimination."""
        return np.ascontiguousarray(b[self.tree.order]).reshape(-1)

    def _numbers(self, kind: str) -> Numbers:
        """Room for factors: what there was, if it suffices, for what the system has to clear anew
        costs as much as a factoring."""
        there = self.numbers.get(kind)
        dtype = np.float32 if kind == "single" else np.float64
        panel = _roomy(self.filled, dtype, there.panel if there else None)
        update = _roomy(self.room, dtype, there.update if there else None)
        routines = SINGLE_ROUTINES if kind == "single" else ROUTINES
        found = Numbers(panel, update, routines, np.array([1.0, -1.0, 0.0], dtype))
        self.numbers[kind] = found
        return found

    def _factored(self, kind: str, values: Array, x: Array) -> None:
        t, to = self.tree, self._numbers(kind)

        def one(todo: Whole) -> int:
            return int(
                factored(
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
                    to.panel,
                    self.update_at,
                    to.update,
                    values,
                    t.first,
                    x,
                    self.passed,
                    to.routines,
                    _LETTERS,
                    to.ones,
                )
            )

        bad = upwards(self.shares, one)
        if bad >= 0:
            raise NotPositiveError(f"front {bad}: not positive definite")

    def _solved(self, kind: str, b: Array) -> Array:
        t, panel = self.tree, self.numbers[kind].panel
        x = self._ordered(b)

        def one(todo: Whole) -> int:
            forward(
                todo,
                t.own,
                t.later,
                t.child_ends,
                t.child,
                t.into_ends,
                t.into,
                t.panel_ends,
                panel,
                x,
                t.first,
                self.passed,
            )
            return -1

        upwards(self.shares, one)
        return self._back(kind, x)

    def _back(self, kind: str, x: Array) -> Array:
        t, panel = self.tree, self.numbers[kind].panel

        def one(todo: Whole) -> int:
            backward(todo, t.own, t.later, t.where_ends, t.where, t.panel_ends, panel, x, t.first)
            return -1

        downwards(self.shares, one)
        out = np.empty((self.n, 3))
        out[t.order] = x.reshape(-1, 3)
        return out


def _roomy(size: int, dtype: type, before: Array | None) -> Array:
    """Room for so many numbers, with a tenth to spare."""
    if before is not None and len(before) >= size:
        return before
    return np.empty(size + size // 10, dtype)
