"""Cholesky factors of a small part of a shell: banded, its rows in Cuthill and McKee's order.

What these cost to set up is little, unlike :mod:`pinwright.drape.solver.fronts`; of some hundred
vertices they are as quick.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_solve_banded, cholesky_banded
from scipy.sparse import csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.fronts import NotPositiveError


class Patch:
    """Factors of the rows of a matrix that belong to some vertices.

    inside: (k,) vertices. first, second: (p,) the pairs of the whole matrix, each once.
    """

    def __init__(self, n: int, inside: Whole, first: Whole, second: Whole) -> None:
        self.n = n
        place = np.full(n, -1, np.int64)
        place[inside] = np.arange(len(inside))
        a, b = place[first], place[second]
        self.pairs: Whole = np.flatnonzero((a >= 0) & (b >= 0))
        a, b = a[self.pairs], b[self.pairs]
        count = len(inside)
        ones = np.ones(len(a), np.int8)
        graph = csr_array((ones, (a, b)), shape=(count, count))
        order = reverse_cuthill_mckee(csr_array(graph + graph.T), symmetric_mode=True)
        back = np.empty(count, np.int64)
        back[order] = np.arange(count)
        self.order: Whole = inside[order]
        a, b = back[a], back[b]
        self.turned = a < b
        row, column = np.maximum(a, b), np.minimum(a, b)
        k, l = np.arange(3)[:, None], np.arange(3)[None, :]
        down = 3 * (row - column)[:, None, None] + k - l
        self.width = int(down.max()) + 1 if len(down) else 1
        # of a block on the diagonal only what lies under it is kept
        self.kept = down >= 0
        at = down * (3 * count) + 3 * column[:, None, None] + l
        self.at: Whole = at[self.kept]
        self.factors: Array = np.empty((0, 0))

    def factor(self, values: Array) -> None:
        """Factors the matrix with blocks (p, 3, 3) of the whole shell.

        Raises:
            NotPositiveError: it is not positive definite.
        """
        own = values[self.pairs]
        own = np.where(self.turned[:, None, None], own.transpose(0, 2, 1), own)
        banded = np.zeros(self.width * 3 * len(self.order))
        banded[self.at] = own[self.kept]
        try:
            self.factors = cholesky_banded(
                banded.reshape(self.width, -1), overwrite_ab=True, lower=True, check_finite=False
            )
        except np.linalg.LinAlgError as e:
            raise NotPositiveError("a patch: not positive definite") from e

    def solve(self, b: Array) -> Array:
        """The solution (n, 3) for a right side (n, 3), 0 outside, by the last factors."""
        out = np.zeros((self.n, 3))
        right = b[self.order].reshape(-1)
        out[self.order] = cho_solve_banded(
            (self.factors, True), right, overwrite_b=True, check_finite=False
        ).reshape(-1, 3)
        return out

    def solve_anew(self, values: Array, b: Array) -> Array:
        """Factors the matrix with these blocks, and the solution (n, 3) for a right side (n, 3).

        Raises:
            NotPositiveError: it is not positive definite.
        """
        self.factor(values)
        return self.solve(b)
