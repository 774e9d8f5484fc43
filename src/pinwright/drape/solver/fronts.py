"""Cholesky factors of the stiffness of a shell, front by front.

The matrix is sparse, symmetric and positive definite, of 3 x 3 blocks over pairs of vertices. Its
rows are ordered by nested dissection (George 1973, SIAM J. Numer. Anal. 10(2)) and factored by the
multifrontal method (Duff & Reid 1983, ACM TOMS 9(3); Liu 1992, SIAM Review 34(1)): each front is a
small dense matrix for LAPACK.
What depends only on which vertices meet is done once for a shell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.linalg.blas import dgemv, dsyrk, dtrsm, dtrsv
from scipy.linalg.lapack import dpotrf
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.dissecting import dissected


class NotPositiveError(ArithmeticError):
    """The matrix is not positive definite."""


@dataclass(frozen=True, slots=True, eq=False)
class _Front:
    """One dense step: its own vertices, then those of later fronts it touches.

    own, later: how many. vertices: (own + later,) numbers. pair, row, column: blocks of the matrix
    that enter here, and where. child, into: for each front that enters, its number and where its
    later vertices lie here.
    """

    own: int
    later: int
    vertices: Whole
    pair: Whole
    row: Whole
    column: Whole
    turned: NDArray[np.bool_]
    child: tuple[int, ...]
    into: tuple[Whole, ...]
    dofs_own: Whole
    dofs_later: Whole


@njit(cache=True)
def _enter(
    f11: Array,
    f21: Array,
    own: int,
    values: Array,
    pair: Whole,
    row: Whole,
    column: Whole,
    turned: NDArray[np.bool_],
) -> None:
    for q in range(len(pair)):
        r, c, p = row[q], column[q], pair[q]
        for k in range(3):
            for l in range(3):
                v = values[p, l, k] if turned[q] else values[p, k, l]
                if r < own:
                    f11[3 * r + k, 3 * c + l] += v
                else:
                    f21[3 * (r - own) + k, 3 * c + l] += v


@njit(cache=True)
def _extend(f11: Array, f21: Array, f22: Array, own: int, update: Array, into: Whole) -> None:
    m = len(into)
    for b in range(m):
        c = into[b]
        for a in range(b, m):
            r = into[a]
            hi, lo = r, c
            flip = False
            if r < c:
                hi, lo, flip = c, r, True
            for l in range(3):
                for k in range(3):
                    if a == b and k < l:
                        continue
                    v = update[3 * a + k, 3 * b + l]
                    kk, ll = (l, k) if flip else (k, l)
                    if hi < own:
                        f11[3 * hi + kk, 3 * lo + ll] += v
                    elif lo < own:
                        f21[3 * (hi - own) + kk, 3 * lo + ll] += v
                    else:
                        f22[3 * (hi - own) + kk, 3 * (lo - own) + ll] += v


def _dofs(v: Whole) -> Whole:
    return (3 * v[:, None] + np.arange(3)).ravel()


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
        off = first != second
        a = np.concatenate([first[off], second[off]])
        b = np.concatenate([second[off], first[off]])
        indices = b[np.lexsort((b, a))]
        indptr = np.concatenate([[0], np.cumsum(np.bincount(a, minlength=n))])
        if parts is None:
            if x is None:
                raise ValueError("Fronts: where the vertices are, or in which order they go")
            graph = csr_array((np.ones(len(indices)), indices, indptr), shape=(n, n))
            parts = dissected(graph, x)
        self.parts = parts
        order = np.concatenate(parts)
        place = np.empty(n, np.int64)
        place[order] = np.arange(n)
        owner = np.empty(n, np.int64)
        for k, v in enumerate(parts):
            owner[v] = k
        children: list[list[int]] = [[] for _ in parts]
        self.fronts: list[_Front] = []
        back = np.empty(n, np.int64)
        pa, pb = place[first], place[second]
        turned = pa < pb  # the block's row must be the later one
        early = np.where(turned, first, second)
        late = np.where(turned, second, first)
        by = np.argsort(owner[early], kind="stable")
        cuts = np.searchsorted(owner[early][by], np.arange(len(parts) + 1))
        for k, v in enumerate(parts):
            own_end = int(place[v].max()) + 1
            sets = [self.fronts[c].vertices[self.fronts[c].own :] for c in children[k]]
            near = np.concatenate([indices[indptr[x] : indptr[x + 1]] for x in v.tolist()])
            later = np.unique(place[np.concatenate([near, *sets])])
            later = later[later >= own_end]
            vertices = np.concatenate([v, order[later]])
            back[vertices] = np.arange(len(vertices))
            q = by[cuts[k] : cuts[k + 1]]
            self.fronts.append(
                _Front(
                    len(v),
                    len(later),
                    vertices,
                    q,
                    back[late[q]],
                    back[early[q]],
                    turned[q],
                    tuple(children[k]),
                    tuple(back[s] for s in sets),
                    _dofs(v),
                    _dofs(vertices[len(v) :]),
                )
            )
            if len(later):
                # entered where the earliest of what it still touches is eliminated
                children[int(owner[vertices[len(v)]])].append(k)
        self.l11: list[Array] = []
        self.l21: list[Array] = []

    @property
    def filled(self) -> int:
        """How many numbers the factors have."""
        return sum(9 * f.own * (f.own + f.later) for f in self.fronts)

    def factor(self, values: Array) -> None:
        """Factors the matrix with blocks (p, 3, 3), each of rows `first` and columns `second`.

        Raises:
            NotPositiveError: it is not positive definite.
        """
        l11: list[Array] = []
        l21: list[Array] = []
        updates: list[Array | None] = [None] * len(self.fronts)
        for k, f in enumerate(self.fronts):
            a, b = 3 * f.own, 3 * f.later
            f11 = np.zeros((a, a), order="F")
            f21 = np.zeros((b, a), order="F")
            f22 = np.zeros((b, b), order="F")
            _enter(f11, f21, f.own, values, f.pair, f.row, f.column, f.turned)
            for c, into in zip(f.child, f.into, strict=True):
                update = updates[c]
                assert update is not None
                _extend(f11, f21, f22, f.own, update, into)
                updates[c] = None
            f11, info = dpotrf(f11, lower=1, clean=0, overwrite_a=1)
            if info != 0:
                raise NotPositiveError(f"front {k}: not positive definite")
            if b:
                f21 = dtrsm(1.0, f11, f21, side=1, lower=1, trans_a=1, overwrite_b=1)
                updates[k] = dsyrk(-1.0, f21, beta=1.0, c=f22, lower=1, overwrite_c=1)
            l11.append(f11)
            l21.append(f21)
        self.l11, self.l21 = l11, l21

    def solve(self, b: Array) -> Array:
        """The solution (n, 3) for a right side (n, 3), by the last factors."""
        x = b.reshape(-1).copy()
        for f, l11, l21 in zip(self.fronts, self.l11, self.l21, strict=True):
            y = dtrsv(l11, x[f.dofs_own], lower=1)
            x[f.dofs_own] = y
            if f.later:
                x[f.dofs_later] -= dgemv(1.0, l21, y)
        for f, l11, l21 in zip(
            reversed(self.fronts), reversed(self.l11), reversed(self.l21), strict=True
        ):
            y = x[f.dofs_own]
            if f.later:
                y = y - dgemv(1.0, l21, x[f.dofs_later], trans=1)
            x[f.dofs_own] = dtrsv(l11, y, lower=1, trans=1)
        return x.reshape(-1, 3)
