"""A garment hung on the client's figure: dressed coarse, moved to the pose, at rest fine.

Cloth is put on as few large triangles while she stands with arms and legs off, taken along as she
moves to the pose, and hung on finer and finer triangles, each beginning where the coarser one came
to rest (nested iteration: what moves far is settled where it costs little).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Protocol, TypeVar, runtime_checkable

import numpy as np
from numba.np.ufunc.parallel import threading_layer

from pinwright.drape.crushing import brought_to_rest
from pinwright.drape.data import OWN_LAYERS, PULLED_DOWN, Array, Hung, Pose, Rest, Shell, Surface
from pinwright.drape.field import STEP, Field
from pinwright.drape.finer import Finer, coarsest, finer
from pinwright.drape.garb import UPRIGHT, Garb, Kept, kept, put_on, setting, worn
from pinwright.drape.morphing import morphed
from pinwright.drape.placing import Stance, placed
from pinwright.drape.refining import prolongation
from pinwright.drape.skin import AHEAD, carried, coarse_body, fine_body, near_cloth
from pinwright.drape.solver.acting import GRAVITY, Setting, State
from pinwright.drape.solver.settling import settled
from pinwright.figure.figure import Figure
from pinwright.figure.joints import limb_axes
from pinwright.figure.landmarks import vertices
from pinwright.figure.poses import Posed, frames, posed

__all__ = ["COARSE", "ENOUGH", "FINE", "Garb", "as_hung", "draped", "made_over", "redraped"]

BAREFOOT = "She stands without shoes: heels that a hem was planned for are not under it."
"""Told of trousers, whose hem may so hang under the floor."""

COARSE = 3.0
"""Sides of triangles with which a garment is put on, cm."""

MIDDLE = 2.0
"""Sides of triangles with which it is first hung in its pose, cm."""

FINE = 1.3
"""Sides of triangles with which it is read, cm."""

ENOUGH = 1e-1
"""The residual that is rest: in the root mean square a tenth of a point's weight is left over. What
cloth would still move by is then well under a millimetre in the mean."""

ROUGH = 2.0
"""The residual to which a garment is put on, moved and hung on coarse triangles: with 1 the finest
come to the same rests, in a fifth more steps."""

SOFT = 0.01
"""Cloth is so much softer while its seams draw together."""

GROSS = 0.8
"""Between the points of the field while a garment is put on and moved, cm."""

FRAMES = 3
"""Steps in which she comes from being dressed to standing; other poses have eight."""

FEW = 0.1
"""A smaller part of where layers pass through each other is not told."""

PULLED = 1.3
"""A waist that bears more times the cloth's weight is pulled down by the cut, and that is told."""

AGAIN = 0.05
"""The first step of cloth that hung before, s."""

T = TypeVar("T")

Settle = Callable[
    [Setting, Array, float, int, float, float, float, Callable[[int, float], bool]],
    tuple[State, Rest],
]
"""Brings cloth to rest: ``settled``, or what does the same on a graphics card."""


class Shells(Protocol):
    """Finer shells that are being made."""

    def laid(self, shell: Shell, x: Array) -> None:
        """Where the coarse shell before all of them lies, x (n, 3) cm; they wait for it."""

    def __iter__(self) -> Iterator[Finer]:
        """As ``finer`` gives them."""


@runtime_checkable
class Foreseeing(Protocol):
    """Something that settles cloth and makes the next ready while one settles."""

    def foreseen(self, garb: Garb, sides: Sequence[float]) -> Shells:
        """Shells of triangles with these sides, cm, made from now on."""

    def beside(self, which: int, work: Callable[..., T], *args: object) -> Future[T]:
        """What a function of a module gives, done in no thread of this process: by the first or the
        second of two others, of which each makes one of the shells."""


Tell = Callable[[str, float], bool]
"""Hears what is being done and how far the forces are from rest; False stops the work."""


@dataclass(slots=True, eq=False)
class _Course:
    """The work so far: steps done, and whether it was stopped."""

    tell: Tell | None
    settle: Settle | None = None
    begun: float = field(default_factory=time.perf_counter)
    steps: int = 0
    last: Rest = field(default_factory=lambda: Rest(np.inf, 0, 0.0))

    def run(
        self,
        what: str,
        s: Setting,
        x: Array,
        enough: float,
        steps: int,
        h: float,
        longest: float = 1.0,
        reach: float = 1.0,
    ) -> State:
        def hear(_: int, left: float) -> bool:
            return self.tell is None or self.tell(what, left)

        if self.last.stopped:
            steps = 0
        state, rest = (self.settle or settled)(s, x, enough, steps, h, longest, reach, hear)
        self.last = replace(rest, stopped=rest.stopped or self.last.stopped)
        self.steps += rest.steps
        return state

    @property
    def rest(self) -> Rest:
        return replace(self.last, steps=self.steps, seconds=time.perf_counter() - self.begun)


def draped(
    garb: Garb,
    figure: Figure,
    pose: Pose = "standing",
    tell: Tell | None = None,
    edge: float = FINE,
    enough: float = ENOUGH,
    settle: Settle | None = None,
) -> Hung:
    """A garment at rest on the figure in a pose.

    edge: sides of triangles, cm. enough: the residual that is rest. tell hears and may stop; what
    there is then comes back with ``rest.stopped``. settle: what brings cloth to rest, else the
    processor does (``pinwright.drape.gpu.settling.OnCard`` is a graphics card's).
    """
    course = _Course(tell, settle)
    # beside a card they make bodies, over all cores, no more than two at once
    threads = 2 if isinstance(settle, Foreseeing) else 3
    with ThreadPoolExecutor(threads) as aside:
        state, surface, now, shell = _dressed(garb, figure, pose, edge, enough, course, aside)
    return as_hung(garb, shell, state, surface, pose, course.rest, now)


def _dressed(
    garb: Garb,
    figure: Figure,
    pose: Pose,
    edge: float,
    enough: float,
    course: _Course,
    aside: Executor,
) -> tuple[State, Surface, Setting, Shell]:
    """Cloth put on, moved to the pose, and at rest on the finest triangles: on what body, as what,
    and which shell that is. aside: does what can be done beside it."""
    sides = [*(k for k in (MIDDLE,) if k > 1.2 * edge), edge]
    count = FRAMES if pose == "standing" else 8
    card = course.settle if isinstance(course.settle, Foreseeing) else None
    ahead = card or _InThreads(aside)
    # while it is put on in few triangles, it is triangulated in more
    first = ahead.beside(0, coarsest, garb, COARSE)
    way = ahead.beside(1, frames, figure, pose, count)
    finest = ahead.foreseen(garb, sides)
    start = posed(figure, "dressing")
    skin = start.points
    whole = aside.submit(near_cloth, coarse_body(figure, skin), skin, skin, GROSS)
    coarse, bare = first.result()
    x, stance = _placed(garb, coarse, start, whole.result())
    finest.laid(coarse, x)
    # made beside a solver on the processor, bodies would hold it up
    known: list[Future[Surface]] = []
    if card and _side_by_side():
        known = _bodies_ahead(figure, way, count, x, aside)
    x, keep, base = _put_on(garb, coarse, bare, x, stance, course)
    for k, points in enumerate(way.result()):
        x, keep, skin = carried(x, skin, points), keep.carried(skin, points), points
        under = known[k].result() if known else coarse_body(figure, skin)
        now = put_on(base, coarse, near_cloth(under, skin, x, GROSS), keep)
        x = course.run("moving", now, x, ROUGH, 15, 0.005, reach=1.5).x
    surface = known[-1].result() if known else fine_body(skin)
    for made in finest:
        x = made.prolongation @ x
        now = put_on(made.setting, made.shell, near_cloth(surface, skin, x, STEP), keep)
        if made.last:
            state, now = _hang(course, now, x, enough, 0.005)
        else:
            state = course.run("hanging", now, x, max(ROUGH, enough), 60, 0.005)
        x = state.x
    return state, surface, now, made.shell


class _InThreads:
    """Makes the next ready in threads beside the processor that settles."""

    def __init__(self, aside: Executor) -> None:
        self._aside = aside

    def beside(self, which: int, work: Callable[..., T], *args: object) -> Future[T]:
        return self._aside.submit(work, *args)

    def foreseen(self, garb: Garb, sides: Sequence[float]) -> Shells:
        return _InTurn(self._aside, garb, sides)


class _InTurn:
    """Finer shells, made one after another when it is known where the coarse one lies."""

    def __init__(self, aside: Executor, garb: Garb, sides: Sequence[float]) -> None:
        self._aside, self._garb, self._sides = aside, garb, sides

    def laid(self, shell: Shell, x: Array) -> None:
        self._made = self._aside.submit(lambda: list(finer(self._garb, shell, self._sides)))

    def __iter__(self) -> Iterator[Finer]:
        return iter(self._made.result())


def _bodies_ahead(
    figure: Figure, way: Future[list[Array]], count: int, x: Array, aside: Executor
) -> list[Future[Surface]]:
    """So many bodies on the way to the pose, and the last one's finer surface, whose fields about
    cloth that lies at x (n, 3) cm before it moves are then known to ``near_cloth``."""

    def of(k: int) -> Surface:
        skin = way.result()[k]
        body = coarse_body(figure, skin)
        near_cloth(body, skin, x, GROSS, AHEAD)
        return body

    def last() -> Surface:
        skin = way.result()[-1]
        body = fine_body(skin)
        near_cloth(body, skin, x, STEP, AHEAD)
        return body

    return [*(aside.submit(of, k) for k in range(count)), aside.submit(last)]


def _side_by_side() -> bool:
    """Whether compiled loops may run over all cores in two threads at once."""
    try:
        return bool(threading_layer() != "workqueue")  # type: ignore[no-untyped-call]
    except ValueError:
        # none has run yet
        return False


def redraped(
    garb: Garb,
    before: Hung,
    figure: Figure,
    tell: Tell | None = None,
    enough: float = ENOUGH,
    settle: Settle | None = None,
) -> Hung:
    """A garment after a correction, from where it hung before on the same figure in the same pose.

    The triangles stay where the correction lets them, else the garment is triangulated anew and
    begins where the old one hung. enough, settle: as for :func:`draped`.
    """
    course = _Course(tell, settle)
    shell, now, x = made_over(garb, before, figure)
    state, now = _hang(course, now, x, enough, AGAIN)
    return as_hung(garb, shell, state, before.body, before.pose, course.rest, now)


def made_over(garb: Garb, before: Hung, figure: Figure) -> tuple[Shell, Setting, Array]:
    """A garment after a correction: its shell, what that is to the solver, and where it begins,
    (n, 3) cm: where it hung before. The shell has the triangles of the one before where the
    correction lets them."""
    shell = morphed(before.shell, garb.garment, garb.right, garb.left, garb.facts)
    x = before.points
    if shell is None:
        shell = garb.shell(_edge(before.shell))
        x = prolongation(before.shell, shell) @ x
    skin = before.body.points[: len(figure.points)]
    # kept where it was kept, not where it sagged to
    keep = kept(garb.garment, before.shell, before.points, before.kept_at)
    body = near_cloth(before.body, skin, x, STEP)
    bare = setting(shell, garb.handle, min(garb.apart, 0.3 * _edge(shell)))
    return shell, put_on(bare, shell, body, keep), x


def _placed(garb: Garb, shell: Shell, start: Posed, whole: Field) -> tuple[Array, Stance]:
    """Where a shell lies about the figure as it is dressed before it is sewn, and the figure.

    whole: of its body."""
    skin = start.points
    marks = {k: skin[v] for k, v in vertices().items()}
    stance = Stance(whole, limb_axes(skin, start.joints), marks)
    return placed(garb.garment, shell, stance), stance


def _put_on(
    garb: Garb, shell: Shell, bare: Setting, x: Array, stance: Stance, course: _Course
) -> tuple[Array, Kept, Setting]:
    """A shell sewn and put on the figure as it is dressed, where it is kept, and as it is hung.

    bare: what it is to the solver."""
    keep = worn(garb.garment, shell, x, stance.marks)
    base = put_on(bare, shell, stance.field, keep)
    loose = replace(base, stiff=base.stiff * SOFT, gravity=np.zeros(3), kept=None, kept_at=None)
    x = course.run("sewing", loose, x, 1.0, 25, 0.02, longest=0.3, reach=2.0).x
    x = course.run("putting on", base, x, ROUGH, 60, 0.01, reach=1.5).x
    return x, keep, base


def _hang(
    course: _Course, now: Setting, x: Array, enough: float, h: float
) -> tuple[State, Setting]:
    """To rest on the finest triangles, and with what; what passes through itself is told."""

    def settle(settings: Sequence[Setting], at: Array, steps: int) -> list[tuple[State, Rest]]:
        return [(course.run("settling", settings[0], at[0], enough, steps, h), course.rest)]

    ((state, _, last),) = brought_to_rest(settle, [now], x[None], enough)
    return state, last


def as_hung(
    garb: Garb,
    shell: Shell,
    state: State,
    surface: Surface,
    pose: Pose,
    rest: Rest,
    now: Setting,
) -> Hung:
    """A garment that hangs on a body's surface, with what is to be remarked of it.

    now: as what it came to rest; its layers may have had to pass through each other."""
    assert now.kept is not None
    assert now.kept_at is not None
    weight = GRAVITY * float(now.mass.sum())
    borne = float(now.kept @ (now.kept_at - state.x[:, now.kept_axis])) / weight
    told = [BAREFOOT] if "inseam" in garb.garment.places else []
    if now.kept_axis == UPRIGHT and borne > PULLED:
        told.append(
            f"{PULLED_DOWN} with {borne:.1f} times the weight of the cloth: the rise is short "
            "there, or the cloth is held up lower down."
        )
    if garb.apart > now.apart == 0.0:
        told.append(f"Its {OWN_LAYERS} here: kept apart they did not come to rest.")
    elif now.passing is not None:
        where = [
            f"{p.side} {p.piece}"
            for p, v in zip(shell.panels, shell.vertices, strict=True)
            if now.passing[v].sum() > FEW * now.passing.sum()
        ]
        told.append(
            f"Some of its {OWN_LAYERS} (on the {', '.join(where)}): kept apart there they did "
            "not come to rest."
        )
    return Hung(
        shell,
        state.x,
        surface,
        pose,
        state.touch,
        garb.handle.thickness / 10.0,
        rest,
        garb.handle.name,
        tuple(told),
        now.kept_at,
    )


def _edge(shell: Shell) -> float:
    """The usual side of a shell's triangles, cm."""
    sides = np.linalg.norm(shell.rest - np.roll(shell.rest, 1, axis=1), axis=2)
    return float(np.median(sides))
