"""To rest on a graphics card: many variants of one shell at once, each with its own steps.

The same energies, contact, active set, step lengths and test of rest as
:func:`pinwright.drape.solver.settling.settled`, in double precision; what happens between the looks
at how many variants go on is recorded once as graphs of launches. On the processor ("cpu") the same
kernels run one after another, which is for tests.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from pinwright.drape.data import Array, Rest, Whole
from pinwright.drape.field import Field
from pinwright.drape.gpu import cloth as c
from pinwright.drape.gpu import control, factoring, substituting
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.planning import Plan, plan_of
from pinwright.drape.solver.acting import GRAVITY, Setting, State
from pinwright.drape.solver.settling import Tell
from pinwright.drape.solver.stencils import Stencils

WIDTH = 256
"""Threads of a block on the card."""


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
    plan: Plan | None = None,
    device: str = "cuda:0",
) -> list[tuple[State, Rest]]:
    """Brings variants of a shell from x (B, n, 3) to rest; each as ``settled`` does alone.

    settings: one for each variant; their shells have the same triangles. tell hears the steps done
    and the largest residual. plan: as :func:`planning.plan_of`, when it is there from before. The
    seconds of each Rest are those of the whole batch.

    Raises:
        ValueError: the shells do not have the same triangles, or layers of the cloth are to be kept
            apart (``Setting.apart``), which is done on the processor only.
    """
    begun = time.perf_counter()
    wp.config.quiet = True
    first = settings[0].stencils
    for s in settings[1:]:
        if not np.array_equal(s.stencils.triangles, first.triangles):
            raise ValueError("variants of a batch must have the same triangles")
    if any(s.apart > 0.0 for s in settings):
        raise ValueError("layers of the cloth are kept apart on the processor only")
    plan = plan if plan is not None else plan_of(first, x[0])
    with wp.ScopedDevice(device):
        for module in (c, control, factoring):
            wp.load_module(module)
        wp.load_module(substituting, block_dim=substituting.WIDE)
        card = Card(settings, x, anchor, h, plan)
        do = recorded if card.on_card else plain
        again, one_round, one_try, finish = (
            do(lambda: card.begin(enough)),
            do(lambda: card.solve(reach)),
            do(card.retry),
            do(lambda: card.finish(reach, longest, enough)),
        )
        aim = do(lambda: card.aim(reach))
        done = np.zeros(len(settings), np.int64)
        stopped = False
        card.state_forces(card.live)
        card.rest(enough)
        for k in range(1, steps + 1):
            live = card.look(card.live)
            if not live.any():
                break
            if tell is not None and not tell(k, float(card.left.numpy().max())):
                stopped = True
                break
            done += live != 0
            again()
            one_round()
            while card.look(card.todo).any():
                one_round()
            aim()
            while card.look(card.open).any():
                one_try()
            finish()
        return card.results(done, stopped, begun)


def plain(what: Callable[[], None]) -> Callable[[], None]:
    """What is launched, one launch after another."""
    return what


def recorded(what: Callable[[], None]) -> Callable[[], None]:
    """What is launched, recorded once; each call then launches all of it."""
    with wp.ScopedCapture() as capture:
        what()
    return lambda: wp.capture_launch(capture.graph)


def _shell(s: Stencils) -> Any:
    shell = c.Shell()
    shell.triangles = wp.array(s.triangles.astype(np.int32), dtype=wp.vec3i)
    for name in (
        "ends",
        "triangle",
        "corner_a",
        "corner_b",
        "around",
        "around_triangle",
        "around_corner",
    ):
        setattr(shell, name, _whole(getattr(s, name)))
    pairs = np.arange(len(s.first))
    off = s.first != s.second
    a = np.concatenate([s.first, s.second[off]])
    b = np.concatenate([s.second, s.first[off]])
    number = np.concatenate([pairs, pairs[off]])
    order = np.lexsort((b, a))
    shell.near_ends = _whole(np.concatenate([[0], np.cumsum(np.bincount(a, minlength=s.n))]))
    shell.near = _whole(b[order])
    shell.near_pair = _whole(number[order])
    return shell


def _whole(a: Whole) -> Any:
    return wp.array(np.ascontiguousarray(a, dtype=np.int32), dtype=wp.int32)


def _long(a: Whole) -> Any:
    return wp.array(np.ascontiguousarray(a, dtype=np.int64), dtype=wp.int64)


def _real(a: object, dtype: Any = wp.float64) -> Any:
    return wp.array(np.ascontiguousarray(a, dtype=np.float64), dtype=dtype)


def _cloth(settings: Sequence[Setting]) -> Any:
    n = settings[0].stencils.n
    none = np.zeros(n)
    cloth = c.Cloth()
    slopes = np.stack([s.stencils.slopes for s in settings])
    cloth.slopes = _real(slopes, wp.types.matrix(shape=(3, 2), dtype=wp.float64))
    cloth.area = _real(np.stack([s.stencils.area for s in settings]))
    cloth.stiff = _real(np.stack([s.stiff for s in settings]), wp.vec4d)
    cloth.bend = _real(np.stack([s.bend_pairs for s in settings]))
    cloth.mass = _real(np.stack([s.mass for s in settings]))
    cloth.load = _real(np.stack([s.stencils.load for s in settings]))
    cloth.gravity = _real(np.stack([s.gravity for s in settings]), wp.vec3d)
    cloth.half = _real([s.half for s in settings])
    cloth.friction = _real([s.friction for s in settings])
    cloth.hard = _real([s.hard for s in settings])
    cloth.hold = _real([s.hold for s in settings])
    pinned = np.zeros((len(settings), n), np.int32)
    for k, s in enumerate(settings):
        pinned[k, s.pinned] = 1
    cloth.pinned = wp.array(pinned, dtype=wp.int32)
    kept = [(s.kept, s.kept_at) for s in settings]
    cloth.kept = _real(np.stack([none if a is None or b is None else a for a, b in kept]))
    cloth.kept_at = _real(np.stack([none if a is None or b is None else b for a, b in kept]))
    return cloth


def _bodies(settings: Sequence[Setting]) -> Any:
    known: dict[int, int] = {}
    fields: list[Field] = []
    which: list[int] = []
    for s in settings:
        if s.body is None:
            which.append(-1)
            continue
        if id(s.body) not in known:
            known[id(s.body)] = len(fields)
            fields.append(s.body)
        which.append(known[id(s.body)])
    bodies = c.Bodies()
    bodies.which = _whole(np.array(which))
    if fields:
        bodies.origin = _real(np.stack([f.origin for f in fields]), wp.vec3d)
        bodies.step = _real([f.step for f in fields])
        shapes = np.array([f.knots.shape for f in fields], np.int32)
        bodies.shape = wp.array(shapes, dtype=wp.vec3i)
        bodies.start = _long(np.concatenate([[0], np.cumsum([f.knots.size for f in fields])[:-1]]))
        bodies.knots = _real(np.concatenate([f.knots.ravel() for f in fields]))
    return bodies


class Card:
    """What lies on the device, and the launches that work on it."""

    def __init__(
        self, settings: Sequence[Setting], x: Array, anchor: Array | None, h: float, plan: Plan
    ) -> None:
        s = settings[0].stencils
        many, n, m, pairs = len(settings), s.n, len(s.triangles), len(s.first)
        self.settings, self.plan = settings, plan
        self.many, self.n, self.m = many, n, m
        self.on_card = bool(wp.get_device().is_cuda)
        self.shell, self.cloth, self.bodies = _shell(s), _cloth(settings), _bodies(settings)
        self.has_body = any(t.body is not None for t in settings)
        self.rubs = any(t.body is not None and t.friction > 0.0 for t in settings)

        def room(count: int, dtype: Any = wp.float64) -> Any:
            return wp.zeros((many, count), dtype=dtype)

        def each(dtype: Any = wp.float64) -> Any:
            return wp.zeros(many, dtype=dtype)

        w = self.acting = c.Acting()
        w.bent = room(m, wp.types.matrix(shape=(2, 3), dtype=wp.float64))
        w.stress, w.pull = room(m, wp.vec3d), room(m, wp.vec3d)
        w.membrane = room(m)
        w.force, w.direction = room(n, wp.vec3d), room(n, wp.vec3d)
        w.blocks = room(n, wp.mat33d)
        w.touch, w.distance, w.energy = room(n), room(n), room(n)
        self.x = _real(x, wp.vec3d)
        self.anchor = _real(x if anchor is None else anchor, wp.vec3d)
        self.at, self.dx, self.whole, self.right, self.acted = (room(n, wp.vec3d) for _ in range(5))
        self.values, self.diagonal = room(pairs, wp.mat33d), room(n, wp.mat33d)
        self.active, self.wrong, self.near = (room(n, wp.int32) for _ in range(3))
        self.h = wp.full(many, h, dtype=wp.float64)
        self.live = wp.full(many, 1, dtype=wp.int32)
        self.todo, self.open, self.bad, self.changed, self.rounds, self.tries = (
            each(wp.int32) for _ in range(6)
        )
        self.total, self.squares, self.far, self.downhill, self.before, self.part = (
            each() for _ in range(6)
        )
        self.again, self.afresh, self.local, self.still, self.short = (
            each(wp.int32) for _ in range(5)
        )
        self.left, self.largest, self.spare = each(), each(), each()
        self.push = wp.full(many, 1.0, dtype=wp.float64)
        self.weight = _real([GRAVITY * float(t.mass.mean()) for t in settings])
        self.numbers = wp.empty((many, plan.numbers), dtype=wp.float64)
        self.inverses = wp.empty((many, plan.inverses), dtype=wp.float64)
        self.vectors = wp.empty((many, plan.vectors), dtype=wp.float64)
        self.maps = _whole(plan.maps)
        self.table, self.vertices, self.tasks = (
            _long(a) for a in (plan.table, plan.vertices, plan.tasks)
        )
        self.child_ends, self.child, self.into = (
            _long(a) for a in (plan.child_ends, plan.child, plan.into)
        )
        self.pair, self.place, self.row, self.turned = (
            _long(a) for a in (plan.pair, plan.place, plan.width, plan.turned)
        )
        self.seen = wp.zeros(many, dtype=wp.int32, device="cpu", pinned=self.on_card)

    def look(self, flags: Any) -> Whole:
        """Flags (B,) as they are on the device now."""
        wp.copy(self.seen, flags)
        if self.on_card:
            wp.synchronize_stream()
        found: Whole = self.seen.numpy()
        return found

    def blocks(self, kernel: Any, tasks: int, inputs: list[Any], wide: int = WIDTH) -> None:
        """Launches blocks of threads: for each variant as many as tasks."""
        width = wide if self.on_card else 1
        dim = self.many * tasks * width
        if tasks:
            wp.launch(kernel, dim=dim, inputs=[*inputs, width], block_dim=wide)

    def each(self, kernel: Any, inputs: list[Any], count: int = 0) -> None:
        """Launches a thread for each variant, or for each of count things of each variant."""
        wp.launch(kernel, dim=(self.many, count) if count else self.many, inputs=inputs)

    def state_forces(self, on: Any) -> None:
        """What acts where the cloth is."""
        w = self.acting
        self.each(c.stretched, [on, self.x, self.push, self.shell, self.cloth, w], self.m)
        self.each(
            c.acted, [on, self.x, self.anchor, self.shell, self.cloth, self.bodies, w], self.n
        )
        self.blocks(
            control.balanced, 1, [on, w.membrane, w.energy, w.force, self.total, self.squares]
        )

    def rest(self, enough: float) -> None:
        """Which variants are at rest."""
        self.each(
            control.rested,
            [self.live, self.squares, self.weight, float(self.n), enough, self.left],
        )

    def begin(self, enough: float) -> None:
        """The stiffness of a step, and which points lie on the body."""
        self.each(control.opened, [self.live, self.rounds, self.todo, self.again, self.afresh])
        self.stiffen(self.live)
        self.touching(self.live)

    def touching(self, on: Any) -> None:
        """Takes as lying on the body what is in it."""
        self.each(c.begun, [on, self.cloth, self.bodies, self.acting, self.active], self.n)

    def stiffen(self, on: Any) -> None:
        """The blocks of the stiffness."""
        inputs = [on, self.shell, self.cloth, self.acting, self.values]
        self.each(c.stiffness, inputs, self.values.shape[1])

    def solve(self, reach: float = 1.0) -> None:
        """One round of a step: factors, solves, and looks what then lies on the body."""
        on, w = self.todo, self.acting
        self.each(c.retaken, [self.again, self.push, w], self.m)
        self.stiffen(self.again)
        self.touching(self.afresh)
        self.each(
            c.stated,
            [on, self.h, self.active, self.cloth, w, self.values, self.diagonal, self.right],
            self.n,
        )
        self.factor()
        self.substitute()
        self.blocks(
            control.reached,
            1,
            [on, self.dx, w.force, reach, self.far, self.downhill],
        )
        self.each(
            c.lain,
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
        self.each(
            control.solved,
            [on, self.bad, self.changed, self.rounds, self.push, self.again, self.afresh, self.h],
        )

    def factor(self) -> None:
        """Factors the stiffness, level by level."""
        on = self.todo
        tree = [self.table, self.child_ends, self.child, self.into, self.maps]
        for level in self.plan.levels:
            first, count = level.gather
            self.blocks(
                factoring.gathered, count, [on, self.tasks, first, count, *tree, self.numbers]
            )
            first, count = level.entered
            self.each(
                factoring.entered,
                [
                    on,
                    first,
                    self.pair,
                    self.place,
                    self.row,
                    self.turned,
                    self.n,
                    self.diagonal,
                    self.values,
                    self.numbers,
                ],
                count,
            )
            for g, (panels, (after, tiles)) in enumerate(level.groups):
                for (first, count), (below, rows) in panels:
                    there = [self.table, self.numbers, self.inverses]
                    self.blocks(
                        factoring.squared, count, [on, self.tasks, first, count, *there, self.bad]
                    )
                    self.blocks(factoring.panelled, rows, [on, self.tasks, below, rows, *there])
                self.blocks(
                    factoring.updated,
                    tiles,
                    [on, self.tasks, after, tiles, g, self.table, self.numbers],
                )

    def substitute(self) -> None:
        """Solves with the factors, into dx."""
        on = self.todo
        factors = [self.numbers, self.inverses]
        for level in self.plan.levels:
            self.blocks(
                substituting.forwards,
                level.fronts,
                [
                    on,
                    level.first,
                    level.fronts,
                    self.table,
                    self.vertices,
                    self.child_ends,
                    self.child,
                    self.into,
                    self.maps,
                    *factors,
                    self.right,
                    self.vectors,
                ],
                substituting.WIDE,
            )
        for level in reversed(self.plan.levels):
            self.blocks(
                substituting.backwards,
                level.fronts,
                [
                    on,
                    level.first,
                    level.fronts,
                    self.table,
                    self.vertices,
                    *factors,
                    self.vectors,
                    self.dx,
                ],
                substituting.WIDE,
            )

    def aim(self, reach: float) -> None:
        """Begins to try the step, and tries it whole."""
        self.each(
            control.aimed,
            [self.live, self.total, self.before, self.part, self.tries, self.open],
        )
        w = self.acting
        self.each(
            control.shortened,
            [self.live, reach, self.x, w.force, self.dx, self.whole, self.at, self.acted],
            self.n,
        )
        self.attempt()

    def attempt(self) -> None:
        """Tries the step, or a part of it, where none was good enough yet."""
        self.each(c.moved, [self.open, self.at, self.dx, self.part, self.x], self.n)
        self.state_forces(self.open)
        self.each(
            control.judged,
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

    def retry(self) -> None:
        """Makes the step smaller where it goes wrong, where that is to be done, and tries it."""
        on, f = self.local, self.acting.force
        far = 1e300
        self.blocks(control.reached, 1, [on, f, f, far, self.largest, self.spare])
        self.each(control.marked, [on, f, self.largest, self.wrong], self.n)
        one, other = self.wrong, self.near
        for _ in range(3):
            self.each(c.spread, [on, self.shell, self.cloth, one, other], self.n)
            one, other = other, one
        self.each(control.slowed, [on, one, self.whole, self.dx], self.n)
        self.blocks(control.reached, 1, [on, self.dx, self.acted, far, self.largest, self.downhill])
        self.attempt()

    def finish(self, reach: float, longest: float, enough: float) -> None:
        """Draws the anchors along, and says which variants are at rest."""
        if self.rubs:
            self.each(
                c.drawn_along,
                [self.live, self.x, self.anchor, self.cloth, self.bodies, self.acting],
                self.n,
            )
            self.state_forces(self.live)
        self.each(
            control.stepped,
            [
                self.live,
                self.part,
                self.far,
                reach,
                longest,
                self.total,
                self.before,
                self.weight,
                float(self.n),
                self.still,
                self.short,
                self.push,
                self.h,
            ],
        )
        self.rest(enough)

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
