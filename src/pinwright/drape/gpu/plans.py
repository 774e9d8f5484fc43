"""Plans of one shell, which serve as often as it is settled."""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.gpu.planning import Plan, plan_of
from pinwright.drape.solver.stencils import Stencils

MUCH = 1.1
"""So many times as large factors may be for an order of elimination that was there before."""


class Plans:
    """Plans of a shell that lies at x (n, 3) cm, roughly, when it is first settled.

    plain: without room for what layers join. roomy: the last one with it, for ``more`` (k, 2)
    pairs, the higher vertex first; until there is one, the plain one.
    """

    def __init__(self, s: Stencils, x: Array) -> None:
        self.stencils = s
        self.plain = self.roomy = plan_of(s, x)
        self.more: Whole = np.empty((0, 2), np.int64)
        self._ordered = self.plain

    def make_room(self, x: Array, more: Whole) -> Plan:
        """A plan with room for more pairs: in the order of the last one, which takes half the time,
        as long as that does not make the factors much larger."""
        self.more, last = more, self._ordered
        self.roomy = plan_of(self.stencils, x, more, last.order)
        if self.roomy.numbers > MUCH * last.numbers:
            self.roomy = self._ordered = plan_of(self.stencils, x, more)
        return self.roomy
