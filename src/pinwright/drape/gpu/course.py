"""The launches of a step in their order, each recorded once as a graph.

Between them the processor looks how many variants go on, and whether layers would pass each other.
"""

from __future__ import annotations

from pinwright.drape.gpu.card import Card
from pinwright.drape.gpu.launching import on_card, plain, recorded


class Course:
    """Steps of all variants that are live on a card. reach: as for ``settled``, cm."""

    def __init__(self, card: Card, reach: float) -> None:
        self.card, self.reach = card, reach
        do = self._do = recorded if on_card() else plain
        self.record_rounds()
        self._begin = do(card.begin)
        self._aim = do(lambda: card.aim(reach))
        self._first = do(card.first)
        self._less = do(card.less)
        self._retry = do(card.again_tried)
        self._finish = do(card.finish)
        self._next = do(lambda: card.next(reach))
        self.foresee_open = do(lambda: card.foresee(card.open))

    def record_rounds(self) -> None:
        """Records what works with the factors, anew where the card has others."""
        self._round = self._do(lambda: self.card.solve(self.reach))

    def stated(self) -> None:
        """Solves a step and tries it whole."""
        self._begin()
        self._round()
        while self.card.look(self.card.todo).any():
            self._round()
        self._aim()
        self.card.keep(self.card.live)
        self._first()

    def tried(self) -> None:
        """Tries less of it until the energy falls; says what is at rest."""
        while self.card.look(self.card.open).any():
            self._less()
            self.card.keep(self.card.local)
            self._retry()
        self._finish()

    def next(self) -> None:
        """Sets how the next step is taken."""
        self._next()
