"""Places that come to rest by themselves, on a card: steps of the whole in which all else is held.

A factoring costs so little there that it is not worth to factor a few places only. Which places
they are is chosen on the processor, by the same function as there
(:func:`pinwright.drape.solver.hearts.hearts`), for all variants over all its cores.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Array, Flags
from pinwright.drape.gpu import membrane
from pinwright.drape.gpu.card import Card
from pinwright.drape.gpu.course import Course
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import each, on_card
from pinwright.drape.solver.acting import ROUNDS, Setting
from pinwright.drape.solver.hearts import FAR, hearts, meeting
from pinwright.drape.solver.settling import BEGUN, EASES, FASTER, LONGEST, PART


@dataclass(frozen=True, slots=True)
class Eases:
    """How much comes to rest by itself: so often at most after a step, in so many steps of its own
    at most, under which residual, and whether before a step is cut short as well; and not in so
    many first steps. then: what is done instead once its own first steps are over."""

    times: int
    steps: int
    far: float
    within: bool
    since: int = 0
    then: Eases | None = None


PROCESSOR = Eases(EASES, PART, FAR, True)
"""As the processor does it."""

CARD = Eases(1, 4, 5.0, False, 150, replace(PROCESSOR, since=250))
"""What is quickest on a card, where a step of a few places costs as much as one of all: only what
does not come to rest without it (docs/drape/gpu.md); what does not with it either, as there."""

WholeRules = tuple[float, float, float, int, float]
"""Rules of the steps of the whole, as :meth:`Card.ruled` takes them."""

STEP = (
    "at",
    "dx",
    "whole",
    "acted",
    "before",
    "part",
    "tries",
    "open",
    "local",
    "far",
    "downhill",
    "foreseen",
)
"""What a step of the whole has noted and steps of a few places would overwrite."""


class Easing:
    """Lets a few places of each variant come to rest by themselves.

    rules: those of the steps of the whole, which stand again afterwards.
    """

    def __init__(
        self,
        card: Card,
        course: Course,
        settings: Sequence[Setting],
        rules: WholeRules,
        eases: Eases,
    ) -> None:
        self.card, self.course = card, course
        self.rules, self.eases = rules, eases
        self.enough = rules[0]
        self.near = meeting(settings)
        self.scale = card.weight.numpy()
        self.pinned: NDArray[np.int32] = card.cloth.pinned.numpy().copy()
        self._pinned = wp.clone(card.cloth.pinned)
        self._held = wp.clone(card.cloth.pinned)
        # of few variants that go on, so row by row
        here = {"device": "cpu", "pinned": on_card()}
        self._force_here = wp.zeros((card.many, card.n), dtype=wp.vec3d, **here)
        self._held_here = wp.zeros((card.many, card.n), dtype=wp.int32, **here)

    def at(self, step: int) -> bool:
        """Whether anything comes to rest by itself in this step, from now on in the way of it."""
        if self.eases.then is not None and step > self.eases.then.since:
            self.eases = self.eases.then
        return step > self.eases.since

    def when_it_fails(self) -> None:
        """Where the whole step raises the energy: whether it does so when the places that do it
        have come to rest; if so it is taken."""
        card = self.card
        failed = card.look(card.open) != 0
        if not (self.eases.within and failed.any()):
            return
        self.course.foresee_open()
        noted = self._noted()
        self._eased(failed.copy())
        self._put_back(noted)
        before, total = card.before.numpy(), card.total.numpy()
        least = before - 1e-4 * card.downhill.numpy() + 1e-9 * np.abs(before)
        good = failed & (total <= least)
        for flags in (card.open, card.foreseen, card.local):
            now = flags.numpy()
            now[good] = 0
            flags.assign(now)

    def after(self, on: Flags) -> None:
        """After a step, of variants (B,) that are not at rest."""
        if not on.any():
            return
        noted = self._noted()
        self._eased(on)
        self._put_back(noted)
        self.card.rest()

    def _noted(self) -> dict[str, Any]:
        return {name: wp.clone(getattr(self.card, name)) for name in STEP}

    def _put_back(self, noted: dict[str, Any]) -> None:
        for name, a in noted.items():
            wp.copy(getattr(self.card, name), a)

    def _eased(self, on: Flags) -> None:
        card = self.card
        for _ in range(self.eases.times):
            for k in np.flatnonzero(on).tolist():
                wp.copy(self._force_here[k], card.acting.force[k])
            if on_card():
                wp.synchronize_stream()
            force = self._force_here.numpy()
            inside, aim = hearts(self.near, force, on, self.enough, self.eases.far)
            on &= aim >= 0.0
            if not on.any():
                return
            held = self._held_here.numpy()
            for k in np.flatnonzero(on).tolist():
                held[k] = np.where(inside[k], self.pinned[k], 1)
                wp.copy(self._held[k], self._held_here[k])
            aims = np.where(on, np.sqrt(np.maximum(aim, 0.0) / card.n) / self.scale, self.enough)
            self._brought(on, aims)

    def _brought(self, on: Flags, aims: Array) -> None:
        """Steps of variants (B,) in which the vertices held stand still, until no more than the
        residuals aims (B,) is left over where they do not."""
        card, w = self.card, self.card.acting
        live, h, push, mixed = (wp.clone(a) for a in (card.live, card.h, card.push, w.mixed))
        wp.copy(card.cloth.pinned, self._held)
        card.live.assign(on.astype(np.int32))
        card.h.fill_(BEGUN)
        card.push.fill_(1.0)
        card.ruled(aims, LONGEST, FASTER, ROUNDS, -1.0)
        eased = wp.clone(card.live)
        card.state_forces(eased)
        each(membrane.mixed_as_is, card.many, [eased, w], card.m)
        card.rest()
        for _ in range(self.eases.steps):
            if not card.look(card.live).any():
                break
            self.course.stated()
            self.course.tried()
            self.course.next()
        each(membrane.mixed_again, card.many, [eased, self._held, card.shell, mixed, w], card.m)
        wp.copy(card.cloth.pinned, self._pinned)
        for to, a in ((card.live, live), (card.h, h), (card.push, push)):
            wp.copy(to, a)
        card.ruled(*self.rules)
        card.state_forces(eased)
