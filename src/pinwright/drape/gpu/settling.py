"""To rest on a graphics card: many variants of one shell at once, each with its own steps.

The same energies, contact, active set, step lengths and test of rest as
:func:`pinwright.drape.solver.settling.settled`, in double precision; what happens between the looks
at how many variants go on is recorded once as graphs of launches. On the processor ("cpu") the same
kernels run one after another, which is for tests.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import replace
from typing import TypeVar

import numpy as np

from pinwright.drape.data import Array, Rest
from pinwright.drape.garb import Garb
from pinwright.drape.gpu import (
    acting,
    contact,
    control,
    crossing,
    factoring,
    gathering,
    gridding,
    joining,
    layers,
    membrane,
    places,
    seeing,
    sorting,
    substituting,
    summing,
    trying,
    updating,
)
from pinwright.drape.gpu.card import Card
from pinwright.drape.gpu.course import Course
from pinwright.drape.gpu.easing import CARD, Eases, Easing
from pinwright.drape.gpu.foreseeing import Coming, helper
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.solver.acting import ROUNDS, Setting, State
from pinwright.drape.solver.settling import NEAR, Tell

T = TypeVar("T")

KEPT = 3
"""So many shells' plans are kept: those on which a garment is hung one after another."""

AS_MANY = 2
"""So many times the steps of the processor a card may take."""

KERNELS = (
    acting,
    contact,
    control,
    crossing,
    factoring,
    gathering,
    gridding,
    joining,
    layers,
    membrane,
    places,
    seeing,
    sorting,
    summing,
    trying,
    updating,
)


class Held:
    """The last cloth on the card and the launches recorded for it: the same shell, settled again,
    takes its place."""

    def __init__(self) -> None:
        self._last: tuple[Plans, Card, Course] | None = None

    def laid(
        self,
        settings: Sequence[Setting],
        x: Array,
        anchor: Array | None,
        h: float,
        reach: float,
        plans: Plans,
    ) -> tuple[Card, Course]:
        """Variants of a shell laid on the card at x (B, n, 3) cm, and their course."""
        last = self._last
        if last is not None and last[0] is plans and last[1].takes(settings):
            _, card, course = last
            card.lay(settings, x, anchor, h)
            if course.reach != reach:
                course = Course(card, reach)
        else:
            # its memory first
            self._last = last = None
            card = Card(settings, x, anchor, h, plans)
            course = Course(card, reach)
        self._last = plans, card, course
        return card, course


def settled_batch(
    settings: Sequence[Setting],
    x: Array,
    enough: float = 1e-2,
    steps: int = 200,
    h: float = 0.03,
    longest: float = 2.0,
    reach: float = 1.0,
    tell: Tell | None = None,
    anchor: Array | None = None,
    plans: Plans | None = None,
    device: str = "cuda:0",
    ease: Eases | None = CARD,
    held: Held | None = None,
) -> list[tuple[State, Rest]]:
    """Brings variants of a shell from x (B, n, 3) to rest; each as ``settled`` does alone.

    settings: one for each variant; their shells have the same triangles. tell hears the steps done
    and the largest residual. ease: how much comes to rest by itself, None for nothing. plans: of
    the shell, when they are there from before. held: what lay on the card last. The seconds of each
    Rest are those of the whole batch.

    Raises:
        ValueError: the shells do not have the same triangles.
    """
    begun = time.perf_counter()
    wp.config.quiet = True
    first = settings[0].stencils
    for s in settings[1:]:
        if not np.array_equal(s.stencils.triangles, first.triangles):
            raise ValueError("variants of a batch must have the same triangles")
    plans = plans if plans is not None else Plans(first, x[0])
    with wp.ScopedDevice(device):
        for module in KERNELS:
            wp.load_module(module)
        wp.load_module(substituting, block_dim=substituting.WIDE)
        held = held if held is not None else Held()
        card, course = held.laid(settings, x, anchor, h, reach, plans)
        # what a step does wrong on the body is put right at its place
        rules = (enough, longest, 2.0, 1 if ease else ROUNDS, NEAR)
        card.ruled(*rules)
        easing = None
        if ease is not None and steps > ease.since:
            easing = Easing(card, course, settings, rules, ease)
        done = np.zeros(len(settings), np.int64)
        stopped = False
        seen = _Seen(card, course, plans)
        seen.look()
        card.start()
        card.rest()
        for k in range(1, steps + 1):
            live = card.look(card.live).copy()
            if not live.any():
                break
            if tell is not None and not tell(k, float(card.left.numpy().max())):
                stopped = True
                break
            done += live != 0
            course.stated()
            eased = easing if easing is not None and easing.at(k) else None
            if eased is not None:
                eased.when_it_fails()
            course.tried()
            seen.look()
            if eased is not None:
                eased.after(card.look(card.live) != 0)
                seen.look()
            course.next()
        return card.results(done, stopped, begun)


class OnCard:
    """Brings one cloth to rest on the card; what ``draped`` takes for ``settle``.

    name: of the card. On a card few places come to rest by themselves, so it takes up to AS_MANY
    times the steps for a rest as good, each far quicker. The plans of the last few shells serve
    again.
    """

    def __init__(self, name: str, device: str = "cuda:0") -> None:
        self.name, self.device = name, device
        self._plans: list[Plans] = []
        self._held = Held()
        # they take a while to begin
        self._beside = helper(0), helper(1)

    def foreseen(self, garb: Garb, sides: Sequence[float]) -> Coming:
        """Finer shells with these sides, cm, and plans for them, made while others are settled."""
        return Coming(garb, sides, self.knows)

    def beside(self, which: int, work: Callable[..., T], *args: object) -> Future[T]:
        """What a function of a module gives, done by one of two processes."""
        return self._beside[which].do(work, *args)

    def knows(self, plans: Plans) -> None:
        """Takes over plans that were made elsewhere."""
        self._plans = [*self._plans[1 - KEPT :], plans]

    def _planned(self, s: Setting, x: Array) -> Plans:
        found = next((p for p in self._plans if p.stencils is s.stencils), None)
        if found is None:
            found = Plans(s.stencils, x, s.apart > 0.0)
            self.knows(found)
        return found

    def __call__(
        self,
        s: Setting,
        x: Array,
        enough: float,
        steps: int,
        h: float,
        longest: float,
        reach: float,
        tell: Tell,
    ) -> tuple[State, Rest]:
        """As ``settled``."""
        (found,) = self.many([s], x[None], enough, AS_MANY * steps, h, tell, longest, reach)
        return found

    def many(
        self,
        settings: Sequence[Setting],
        x: Array,
        enough: float,
        steps: int,
        h: float,
        tell: Tell,
        longest: float = 1.0,
        reach: float = 1.0,
    ) -> list[tuple[State, Rest]]:
        """As ``settled``, variants of a shell from x (B, n, 3) at once."""
        found = settled_batch(
            settings,
            x,
            enough,
            steps,
            h,
            longest,
            reach,
            tell,
            plans=self._planned(settings[0], x[0]),
            device=self.device,
            held=self._held,
        )
        return [(state, replace(rest, card=self.name)) for state, rest in found]


class _Seen:
    """Looks where cloth comes near cloth, while it moves on the card."""

    def __init__(self, card: Card, course: Course, plans: Plans) -> None:
        self.card, self.course, self.plans = card, course, plans

    def look(self) -> None:
        """Finds places anew in variants that have moved, and what then acts there."""
        card, layering = self.card, self.card.layering
        if layering is None:
            return
        live = card.look(card.live) != 0
        if live.any() and layering.look(card.live, card.x, live):
            card.state_forces(card.live)
            card.rest()
        # where the factors lack room for what is joined
        if layering.lacks_room():
            card.planned(self.plans.make_room(card.x[0].numpy(), layering.more))
            self.course.planned()
