"""Plans of one shell, which serve as often as it is settled."""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.gpu.meeting import meets_of
from pinwright.drape.gpu.planning import Plan, plan_of
from pinwright.drape.solver.places import Sheet, sheet_of
from pinwright.drape.solver.stencils import Stencils

MUCH = 1.1
"""So many times as large factors may be for an order of elimination that was there before."""


class Plans:
    """Plans of a shell that lies at x (n, 3) cm, roughly, when it is first settled.

    plain: without room for what layers join. roomy: the last one with it, for ``more`` (k, 2)
    pairs, the higher vertex first; until there is one, the plain one. meets: who meets whom. apart:
    its sheet will be asked for.
    """

    def __init__(self, s: Stencils, x: Array, apart: bool = False) -> None:
        self.stencils = s
        self.plain = self.roomy = plan_of(s, x)
        self.more: Whole = np.empty((0, 2), np.int64)
        self.meets = meets_of(s)
        self._sheet = sheet_of(s) if apart else None
        self._ordered = self.plain.numbers

    @property
    def sheet(self) -> Sheet:
        """Who is whose neighbour, where layers are kept apart."""
        if self._sheet is None:
            self._sheet = sheet_of(self.stencils)
        return self._sheet

    def make_room(self, x: Array, more: Whole) -> Plan:
        """A plan with room for more pairs: in the order of the last one with room, which takes half
        the time, as long as that does not make the factors much larger."""
        self.more, last = more, self.roomy
        if last is not self.plain:
            self.roomy = plan_of(self.stencils, x, more, last.order)
        if last is self.plain or self.roomy.numbers > MUCH * self._ordered:
            self.roomy = plan_of(self.stencils, x, more)
            self._ordered = self.roomy.numbers
        return self.roomy
