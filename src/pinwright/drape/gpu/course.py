"""The launches of a step in their order, each recorded once as a graph.

Between them the processor looks how many variants go on, and whether layers would pass each other.
"""

from __future__ import annotations

from collections.abc import Callable

from pinwright.drape.data import Whole
from pinwright.drape.gpu.card import Card
from pinwright.drape.gpu.launching import on_card, plain, recorded


class Course:
    """Steps of all variants that are live on a card. reach: as for ``settled``, cm."""

    def __init__(self, card: Card, reach: float) -> None:
        self.card, self.reach = card, reach
        do = self._do = recorded if on_card() else plain
        self._rounds: dict[int, Callable[[], None]] = {}
        self._begin = do(card.begin)
        self._aim = do(lambda: card.aim(reach))
        self._first = do(card.first)
        self._less = do(card.less)
        self._retry = do(card.again_tried)
        self._finish = do(card.finish)
        self._next = do(lambda: card.next(reach))
        self.foresee_open = do(lambda: card.foresee(card.open))

    def planned(self) -> None:
        """The card has other factors: what works with them is to be recorded anew."""
        self._rounds.clear()

    def _round(self, on: Whole) -> None:
        """A round of a step of the variants on (B,); recorded when first needed."""
        card, many = self.card, self.card.choose(on)
        if many not in self._rounds:
            self._rounds[many] = self._do(lambda: card.solve(self.reach, many))
        self._rounds[many]()

    def stated(self) -> None:
        """Solves a step and tries it whole."""
        self._begin()
        while (todo := self.card.look(self.card.todo)).any():
            self._round(todo)
        self._aim()
        self.card.keep()
        self._first()

    def tried(self) -> None:
        """Tries less of it until the energy falls; says what is at rest."""
        while self.card.look(self.card.open).any():
            self._less()
            self.card.keep()
            self._retry()
        self._finish()

    def next(self) -> None:
        """Sets how the next step is taken."""
        self._next()
