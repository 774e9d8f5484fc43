"""What lies on the device of many variants while they settle, and the launches that work on it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any

import numpy as np

from pinwright.drape.data import Array, Rest, Whole
from pinwright.drape.gpu import acting, contact, control, membrane, summing, trying
from pinwright.drape.gpu.cloth import Acting, Rules
from pinwright.drape.gpu.factors import Factors, Room
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import blocks, each, on_card
from pinwright.drape.gpu.laying import (
    bodies_over,
    fits_over,
    laid_bodies,
    laid_cloth,
    laid_over,
    laid_shell,
    real,
)
from pinwright.drape.gpu.lying import Layering
from pinwright.drape.gpu.planning import Plan
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.solver.acting import GRAVITY, ROUNDS, Setting, State

SPARE = 1.1
"""So many times the memory that factors need is taken where layers make them larger in time."""

FEWER = 4
"""Where a part of so many of the variants or less is worked on, no threads begin for the others."""

FAR = 1e300
"""So far may a step go where that is not asked, cm."""


class Card:
    """What lies on the device, and the launches that work on it."""

    def __init__(
        self, settings: Sequence[Setting], x: Array, anchor: Array | None, h: float, plans: Plans
    ) -> None:
        s = settings[0].stencils
        many, n, m, pairs = len(settings), s.n, len(s.triangles), len(s.first)
        self.many, self.n, self.m = many, n, m
        self.shell, self.cloth = laid_shell(s, plans.meets), laid_cloth(settings)
        self.bodies = laid_bodies(settings)
        apart = any(t.apart > 0.0 for t in settings)
        self.layering = Layering(settings, self.shell, self.cloth, plans) if apart else None
        self.rubs = _rubbing(settings)

        def room(count: int, dtype: Any = wp.float64) -> Any:
            return wp.zeros((many, count), dtype=dtype)

        def one(dtype: Any = wp.float64) -> Any:
            return wp.zeros(many, dtype=dtype)

        w = self.acting = Acting()
        w.bent = room(m, wp.types.matrix(shape=(2, 3), dtype=wp.float64))
        w.stress, w.mixed, w.pull = (room(m, wp.vec3d) for _ in range(3))
        w.membrane = room(m)
        w.force, w.direction = room(n, wp.vec3d), room(n, wp.vec3d)
        w.blocks = room(n, wp.mat33d)
        w.touch, w.distance, w.energy = room(n), room(n), room(n)
        self.x = real(x, wp.vec3d)
        self.anchor = real(x if anchor is None else anchor, wp.vec3d)
        self.at, self.dx, self.whole, self.right, self.acted = (room(n, wp.vec3d) for _ in range(5))
        self.values, self.diagonal = room(pairs, wp.mat33d), room(n, wp.mat33d)
        self.joint = self.values
        self.active, self.wrong, self.near = (room(n, wp.int32) for _ in range(3))
        self.h = wp.full(many, h, dtype=wp.float64)
        self.live = wp.full(many, 1, dtype=wp.int32)
        self.todo, self.open, self.bad, self.changed, self.rounds, self.tries = (
            one(wp.int32) for _ in range(6)
        )
        self.total, self.squares, self.far, self.downhill, self.before, self.part = (
            one() for _ in range(6)
        )
        self.again, self.afresh, self.local, self.foreseen = (one(wp.int32) for _ in range(4))
        self.rules = Rules()
        self.rules.enough, self.rules.longest = one(), one()
        self.rules.faster, self.rules.near = one(), one()
        self.rules.rounds = wp.full(many, ROUNDS, dtype=wp.int32)
        self.left, self.largest, self.spare = one(), one(), one()
        self.push = wp.full(many, 1.0, dtype=wp.float64)
        self.weight = real(_weights(settings))
        # what layers join makes factors larger
        self.room = Room(many, SPARE if apart else 1.0)
        self._front: Whole = np.arange(many)
        self.planned(plans.roomy if apart else plans.plain)
        self.seen = wp.zeros(many, dtype=wp.int32, device="cpu", pinned=on_card())

    def takes(self, settings: Sequence[Setting]) -> bool:
        """Whether variants of the same shell can lie where those that were settled do."""
        return (
            len(settings) == self.many
            and self.layering is None
            and not any(t.apart > 0.0 for t in settings)
            and self.rubs == _rubbing(settings)
            and fits_over(self.bodies, settings)
        )

    def lay(self, settings: Sequence[Setting], x: Array, anchor: Array | None, h: float) -> None:
        """Puts variants that it takes where those are that were settled, at x (B, n, 3) cm.

        What is launched stays as it was recorded. All else is stated before it is read.
        """
        laid_over(self.cloth, settings)
        bodies_over(self.bodies, settings)
        self.x.assign(x)
        self.anchor.assign(x if anchor is None else anchor)
        self.weight.assign(np.array(_weights(settings)))
        self.h.fill_(h)
        self.live.fill_(1)
        self.push.fill_(1.0)
        for a in (self.active, self.wrong, self.near, self.bad, self.left, self.far, self.part):
            a.zero_()

    def planned(self, plan: Plan) -> None:
        """Takes the plan, which has room for what layers join."""
        self.factors = Factors(plan, self.room)
        if self.layering is not None:
            self.joint = wp.zeros((self.many, self.layering.pairs), dtype=wp.mat33d)

    def look(self, flags: Any) -> Whole:
        """Flags (B,) as they are on the device now."""
        wp.copy(self.seen, flags)
        if on_card():
            wp.synchronize_stream()
        found: Whole = self.seen.numpy()
        return found

    def _each(self, kernel: Any, inputs: list[Any], count: int = 0) -> None:
        each(kernel, self.many, inputs, count)

    def _sum(self, kernel: Any, inputs: list[Any]) -> None:
        blocks(kernel, self.many, 1, inputs)

    def start(self) -> None:
        """What acts where the cloth begins; before the first step that is what is foreseen."""
        self.state_forces(self.live)
        wp.copy(self.acting.mixed, self.acting.stress)

    def state_forces(self, on: Any) -> None:
        """What acts where the cloth is."""
        w = self.acting
        self._each(membrane.stretched, [on, self.x, self.shell, self.cloth, w], self.m)
        self._each(
            acting.acted, [on, self.x, self.anchor, self.shell, self.cloth, self.bodies, w], self.n
        )
        if self.layering is not None:
            self.layering.measure(on, self.x, self.cloth, w.force, w.energy)
        self._sum(summing.balanced, [on, w.membrane, w.energy, w.force, self.total, self.squares])

    def ruled(
        self, enough: float | Array, longest: float, faster: float, rounds: int, near: float
    ) -> None:
        """Sets the rules of steps; enough may differ from variant to variant (B,)."""
        r = self.rules
        r.enough.assign(np.full(self.many, enough))
        r.longest.fill_(longest)
        r.faster.fill_(faster)
        r.rounds.fill_(rounds)
        r.near.fill_(near)

    def rest(self) -> None:
        """Which variants are at rest."""
        self._each(
            control.rested,
            [self.live, self.squares, self.weight, float(self.n), self.rules, self.left],
        )

    def begin(self) -> None:
        """The stiffness of a step, and which points lie on the body."""
        self._each(
            control.opened,
            [self.live, self.rounds, self.todo, self.again, self.afresh, self.foreseen],
        )
        self.stiffen(self.live)
        self.touching(self.live)

    def touching(self, on: Any) -> None:
        """Takes as lying on the body what is in it."""
        self._each(contact.begun, [on, self.cloth, self.bodies, self.acting, self.active], self.n)
        if self.layering is not None:
            self.layering.begin(on)

    def stiffen(self, on: Any) -> None:
        """The blocks of the stiffness."""
        self._each(membrane.retaken, [on, self.push, self.acting], self.m)
        inputs = [on, self.shell, self.cloth, self.acting, self.values]
        self._each(membrane.stiffness, inputs, self.values.shape[1])

    def choose(self, on: Whole) -> int:
        """Puts the variants (B,) that are to be worked on in front; of how many rows that is.

        Threads for others would begin in vain, so many that it tells where few go on.
        """
        some = np.flatnonzero(on)
        many = self.many
        while many >= FEWER * max(len(some), 1) and many > 1:
            many = -(-many // FEWER)
        if not np.isin(some, self._front[:many]).all():
            self._front = np.argsort(on == 0, kind="stable")
            self.room.rows.assign(self._front.astype(np.int32))
        return many

    def solve(self, reach: float = 1.0, many: int | None = None) -> None:
        """One round of a step: factors, solves, and looks what then lies on the body.

        many: of so many rows only, see ``choose``; None for all.
        """
        on, w = self.todo, self.acting
        self.stiffen(self.again)
        self.touching(self.afresh)
        self._each(
            trying.stated,
            [on, self.h, self.active, self.cloth, w, self.values, self.diagonal, self.right],
            self.n,
        )
        if self.layering is not None:
            self.layering.join(on, self.cloth, self.values, self.diagonal, self.right, self.joint)
        self.factors.factor(on, self.diagonal, self.joint, self.bad, many)
        self.factors.solve(on, self.right, self.dx, many)
        self._sum(summing.reached, [on, self.dx, w.force, reach, self.far, self.downhill])
        self._each(
            contact.lain,
            [
                on,
                self.bad,
                self.dx,
                self.far,
                self.cloth,
                self.bodies,
                w,
                self.active,
                self.changed,
            ],
            self.n,
        )
        if self.layering is not None:
            self.layering.meet(on, self.bad, self.dx, self.far, self.changed)
        self._each(
            control.solved,
            [
                on,
                self.bad,
                self.changed,
                self.rounds,
                self.push,
                self.again,
                self.afresh,
                self.h,
                self.rules,
            ],
        )

    def aim(self, reach: float) -> None:
        """Begins to try the step, no vertex farther than reach."""
        self._each(
            trying.aimed,
            [self.live, self.total, self.before, self.part, self.tries, self.open],
        )
        self._each(
            trying.shortened,
            [self.live, reach, self.x, self.acting.force, self.dx, self.at, self.acted],
            self.n,
        )
        self.look_ahead(self.live)

    def look_ahead(self, on: Any) -> None:
        """Notes in which variants layers of the cloth would pass each other in a step."""
        if self.layering is not None:
            self.layering.look_ahead(on, self.dx)

    def keep(self) -> None:
        """Makes a step smaller where they would."""
        if self.layering is not None:
            self.layering.keep(self.look(self.layering.passing), self.dx)

    def first(self) -> None:
        """Tries the step whole."""
        if self.layering is not None:
            steep = [self.live, self.dx, self.acted, FAR, self.spare, self.downhill]
            self._sum(summing.reached, steep)
        self._each(trying.noted, [self.live, self.dx, self.whole], self.n)
        self.attempt()

    def attempt(self) -> None:
        """Tries the step, or a part of it, where none was good enough yet."""
        self._each(trying.moved, [self.open, self.at, self.dx, self.part, self.x], self.n)
        self.state_forces(self.open)
        self._each(
            trying.judged,
            [
                self.open,
                self.total,
                self.before,
                self.downhill,
                self.part,
                self.tries,
                self.local,
            ],
        )

    def less(self) -> None:
        """Makes the step smaller where it goes wrong, where that is to be done."""
        on, f = self.local, self.acting.force
        self._sum(summing.reached, [on, f, f, FAR, self.largest, self.spare])
        self._each(trying.marked, [on, f, self.largest, self.wrong], self.n)
        one, other = self.wrong, self.near
        for _ in range(3):
            self._each(trying.spread, [on, self.shell, self.cloth, one, other], self.n)
            one, other = other, one
        self._each(trying.slowed, [on, one, self.whole, self.dx], self.n)
        self.look_ahead(on)

    def again_tried(self) -> None:
        """Tries the smaller step."""
        steep = [self.local, self.dx, self.acted, FAR, self.largest, self.downhill]
        self._sum(summing.reached, steep)
        self.attempt()

    def foresee(self, on: Any) -> None:
        """Notes the stress that the part taken of a step foresaw."""
        self._each(
            membrane.foreseen,
            [on, self.at, self.dx, self.part, self.shell, self.cloth, self.acting],
            self.m,
        )

    def finish(self) -> None:
        """Notes the stress foreseen, draws anchors along, says which variants are at rest."""
        self.foresee(self.foreseen)
        if self.rubs:
            self._each(
                contact.drawn_along,
                [self.live, self.x, self.anchor, self.cloth, self.bodies, self.acting],
                self.n,
            )
            self.state_forces(self.live)
        self.rest()

    def next(self, reach: float) -> None:
        """The h of the next step, and how cloth that pushes enters its stiffness."""
        self._each(
            control.stepped,
            [self.live, self.part, self.far, reach, self.rules, self.left, self.push, self.h],
        )

    def results(self, done: Whole, stopped: bool, begun: float) -> list[tuple[State, Rest]]:
        """Where each variant lies, and how well it is at rest."""
        w = self.acting
        x, anchor, force, touch = (a.numpy() for a in (self.x, self.anchor, w.force, w.touch))
        energy, left, live = self.total.numpy(), self.left.numpy(), self.live.numpy()
        seconds = time.perf_counter() - begun
        return [
            (
                State(
                    x[k].copy(),
                    anchor[k].copy(),
                    force[k].copy(),
                    touch[k].copy(),
                    float(energy[k]),
                ),
                Rest(float(left[k]), int(done[k]), seconds, stopped and bool(live[k])),
            )
            for k in range(self.many)
        ]


def _rubbing(settings: Sequence[Setting]) -> bool:
    return any(t.body is not None and t.friction > 0.0 for t in settings)


def _weights(settings: Sequence[Setting]) -> list[float]:
    """The mean weight of a point of each, dyn."""
    return [GRAVITY * float(t.mass.mean()) for t in settings]
