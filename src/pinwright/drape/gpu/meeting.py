"""With whom each vertex of a shell meets, as the card reads it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from pinwright.drape.data import Whole
from pinwright.drape.solver.stencils import Stencils

Small = NDArray[np.int32]


class Meets(NamedTuple):
    """ends: (n + 1,) where those that meet a vertex, itself among them, begin in who and pair:
    which they are, in order, and the number of the pair."""

    ends: Small
    who: Small
    pair: Small

    @property
    def keys(self) -> Whole:
        """The two of each as a number, in order: n times the one, and who meets it."""
        n = len(self.ends) - 1
        found: Whole = np.repeat(np.arange(n), np.diff(self.ends)) * n + self.who
        return found


def meets_of(s: Stencils) -> Meets:
    """Of each vertex of a shell."""
    # a number of 0 would not be kept
    pairs = np.arange(1, len(s.first) + 1)
    off = s.first != s.second
    one, two = np.concatenate([s.first, s.second[off]]), np.concatenate([s.second, s.first[off]])
    number = np.concatenate([pairs, pairs[off]])
    found = csr_array(coo_array((number, (one, two)), shape=(s.n, s.n)))
    found.sort_indices()
    return Meets(*(a.astype(np.int32) for a in (found.indptr, found.indices, found.data - 1)))
