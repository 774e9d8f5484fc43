"""To rest: implicit steps of cloth without momentum, each solved exactly, until forces balance.

A step solves (stiffness + mass / h^2) dx = force: implicit Euler from standstill, which for small
h creeps downhill and for large h is Newton's method (pseudo-transient continuation: Kelley & Keyes
1998, SIAM J. Numer. Anal. 35(2)). h grows while the forces fall. Rest is told by the forces that
are left over, never by slowness: cloth can be slow and far from rest.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import csr_array
from threadpoolctl import threadpool_limits

from pinwright.drape.data import Array, Rest
from pinwright.drape.field import Field
from pinwright.drape.solver.against_itself import PRESS, Layers
from pinwright.drape.solver.contact import HARD, HOLD, drawn_along, lain_on, pressed
from pinwright.drape.solver.fronts import Fronts, NotPositiveError
from pinwright.drape.solver.membrane import force, retaken, stiffness, stretched
from pinwright.drape.solver.stencils import Stencils

GRAVITY = 980.665
"""cm/s2."""

STILL = 1e-4
"""Cloth falls no more when a step lowers it by less than this in the mean, cm."""

SHORT = 0.005
"""The step then, s: long enough to even out stretch, too short to wander."""

Tell = Callable[[int, float], bool]
"""Hears the steps done and the residual; False stops the work and keeps what there is."""


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """Cloth to be hung: constants of each triangle, what it lies on, what holds it.

    stiff: (m, 4) dyn/cm as in :func:`membrane.stretched`. bend: (n, n) dyn/cm, bend_pairs: (p,).
    mass: (n,) g. half: half the thickness, cm. friction: against the body. pinned: (k,) vertices
    that do not move. gravity: (3,) cm/s2. apart: so near layers of the cloth may lie to each other,
    cm; 0: they pass through each other.
    """

    stencils: Stencils
    stiff: Array
    bend: csr_array
    bend_pairs: Array
    mass: Array
    half: float = 0.0
    friction: float = 0.0
    body: Field | None = None
    pinned: Array = field(default_factory=lambda: np.empty(0, np.int64))
    gravity: Array = field(default_factory=lambda: np.array([0.0, 0.0, -GRAVITY]))
    hard: float = HARD
    hold: float = HOLD
    kept: Array | None = None
    kept_at: Array | None = None
    apart: float = 0.0
    fronts: list[Fronts] = field(default_factory=list)

    def factors(self, x: Array) -> Fronts:
        """The factors of this shell, set up once, where it lies at x (n, 3), roughly."""
        if not self.fronts:
            s = self.stencils
            self.fronts.append(Fronts(s.n, s.first, s.second, x))
        return self.fronts[0]


@dataclass(slots=True, eq=False)
class State:
    """Where the cloth is while it settles, and what acts there.

    x: (n, 3) cm. anchor: (n, 3). force: (n, 3) dyn, 0 where pinned. touch: (n,) dyn. energy: erg.
    """

    x: Array
    anchor: Array
    force: Array
    touch: Array
    energy: float = 0.0


class _Work:
    def __init__(self, s: Setting) -> None:
        st = s.stencils
        m, n = len(st.triangles), st.n
        self.bent = np.empty((m, 2, 3))
        self.stress = np.empty((m, 3))
        self.pull = np.empty((m, 3))
        self.membrane = np.empty(m)
        self.push = 1.0
        self.values = np.empty((len(st.first), 3, 3))
        self.blocks = np.zeros((n, 3, 3))
        self.contact = np.zeros(n)
        self.distance = np.empty(n)
        self.direction = np.empty((n, 3))
        self.layers = Layers(st, s.apart, PRESS) if s.apart > 0.0 else None


def forces(s: Setting, w: _Work, state: State) -> None:
    """Fills what acts where the cloth is: forces, touch and energy."""
    st = s.stencils
    x = state.x
    stretched(
        x, st.triangles, st.slopes, st.area, s.stiff, w.bent, w.stress, w.pull, w.membrane, w.push
    )
    weight = s.mass[:, None] * s.gravity
    bending = s.bend @ x
    out = weight - bending
    force(
        st.around, st.around_triangle, st.around_corner, st.slopes, st.area, w.bent, w.stress, out
    )
    w.blocks[:] = 0.0
    energy = float(w.membrane.sum() + 0.5 * np.vdot(x, bending) - np.vdot(weight, x))
    if s.body is not None:
        w.distance, w.direction = s.body.at(x)
        pressed(
            x,
            w.distance,
            w.direction,
            st.load,
            s.half,
            s.friction,
            state.anchor,
            s.hard,
            s.hold,
            out,
            w.blocks,
            state.touch,
            w.contact,
        )
        energy += float(w.contact.sum())
    if s.kept is not None and s.kept_at is not None:
        short = s.kept_at - x[:, 2]
        out[:, 2] += s.kept * short
        w.blocks[:, 2, 2] += s.kept
        energy += 0.5 * float(s.kept @ short**2)
    if w.layers is not None:
        energy += w.layers.press(x, out)
    out[s.pinned] = 0.0
    state.force = out
    state.energy = energy


def residual(s: Setting, force: Array) -> float:
    """The root mean square of the forces left over, as a part of the mean weight of a vertex."""
    weight = GRAVITY * float(s.mass.mean())
    return float(np.sqrt((force**2).sum(axis=1).mean())) / weight


def settled(
    s: Setting,
    x: Array,
    enough: float = 1e-2,
    steps: int = 200,
    h: float = 0.03,
    longest: float = 2.0,
    reach: float = 1.0,
    tell: Tell | None = None,
    anchor: Array | None = None,
) -> tuple[State, Rest]:
    """Brings cloth from x (n, 3) to rest.

    enough: the residual that is rest. steps: at most so many. h, longest: the first and the longest
    step, s. reach: how far a vertex moves in one step at most, cm.
    """
    begun = time.perf_counter()
    st = s.stencils
    w = _Work(s)
    state = State(x.copy(), x.copy() if anchor is None else anchor.copy(), x * 0, np.zeros(st.n))
    fronts = s.factors(x)
    stopped = False
    done = 0
    still = short = 0
    weight = GRAVITY * float(s.mass.sum())
    near = abs(s.bend).sign()
    held = np.zeros(st.n)
    held[s.pinned] = 1e12
    with threadpool_limits(1, user_api="blas"):
        if w.layers is not None:
            w.layers.look(state.x)
        forces(s, w, state)
        left = residual(s, state.force)
        for done in range(1, steps + 1):
            if left <= enough:
                done -= 1
                break
            if tell is not None and not tell(done, left):
                stopped = True
                break
            dx, h = _step(s, w, state, fronts, h, held)
            size = np.sqrt((dx**2).sum(axis=1))
            far = float(size.max())
            if far > reach:
                # where cloth is crushed nothing holds it in a step; that must not slow the rest
                dx *= np.minimum(1.0, reach / np.maximum(size, 1e-12))[:, None]
            if w.layers is not None:
                w.layers.keep(dx)
            before, at, acted = state.energy, state.x, state.force
            downhill = float(np.vdot(dx, acted))
            part, whole = 1.0, dx
            for trial in range(8):
                state.x = at + part * dx
                forces(s, w, state)
                if state.energy <= before - 1e-4 * part * downhill + 1e-9 * abs(before):
                    break
                if trial < LOCAL:
                    # mostly a few places fold over: they go slower, and the rest is not held up
                    size = np.sqrt((state.force**2).sum(axis=1))
                    bad = (size > 0.2 * size.max()).astype(np.float64)
                    for _ in range(3):
                        bad = near @ bad
                    dx = dx * np.where(bad > 0.0, 0.25, 1.0)[:, None]
                    if w.layers is not None:
                        w.layers.keep(dx)
                    downhill = float(np.vdot(dx, acted))
                elif trial == LOCAL:
                    dx, part = whole, 0.25
                    downhill = float(np.vdot(dx, acted))
                else:
                    part *= 0.25
            if s.body is not None and s.friction > 0.0:
                drawn_along(
                    state.x,
                    w.distance,
                    w.direction,
                    st.load,
                    s.half,
                    s.friction,
                    state.anchor,
                    state.touch,
                    s.hold,
                )
                forces(s, w, state)
            fallen = before - state.energy
            if w.layers is not None and w.layers.look(state.x):
                forces(s, w, state)
            left = residual(s, state.force)
            # nothing falls any more: what is left over may be stretch that short steps take out; if
            # it is not, long steps go on for a while
            if short > 0:
                short -= 1
                if short == 0:
                    h, still = longest, -4
            else:
                still = still + 1 if fallen < STILL * weight else min(still, 0)
            if part == 1.0 and far <= reach:
                w.push = max(-1.0, w.push - 0.5)
            elif part < 0.5:
                w.push = min(1.0, w.push + 1.0)
            if short > 0 or still >= 3:
                short, h = short or 4, SHORT
            elif part < 0.5:
                h = max(0.6 * h, 2e-3)
            elif far <= reach:
                h = min(2.0 * h, longest)
    return state, Rest(left, done, time.perf_counter() - begun, stopped)


SLACK = 0.03
"""Points that come to lie so far in or off the body at most, cm, are put right by the next step; in
small steps a tenth of the step."""

LOCAL = 4
"""So often a step that would raise the energy is made smaller where it goes wrong, before it is
made smaller as a whole."""

ROUNDS = 4
"""So often at most a step is solved anew because points come to lie on the body or leave it."""


def _step(
    s: Setting, w: _Work, state: State, fronts: Fronts, h: float, held: Array
) -> tuple[Array, float]:
    """One step (n, 3) from where the cloth is, and the h with which it could be solved.

    Which points lie on the body after the step is found with it (a primal active set), so that a
    long step neither falls through the body nor is thrown back by it.
    """
    st = s.stencils
    n = st.n
    gap = w.distance - s.half
    active = (gap < 0.0) if s.body is not None else np.zeros(n, bool)
    known = (w.direction**2).sum(axis=1) > 1e-3 if s.body is not None else active
    layers = w.layers
    near = layers.gap < s.apart if layers is not None else np.empty(0, bool)
    if layers is not None:
        fronts = layers.room(fronts)
    room = len(layers.more) if layers is not None else 0
    _stiffened(s, w)
    for turn in range(ROUNDS):
        values = np.concatenate([w.values, np.zeros((room, 3, 3))])
        right = state.force.copy()
        for k in range(3):
            values[:n, k, k] += s.mass / h**2 + held
        if s.body is not None:
            lain_on(active, w.distance, w.direction, st.load, s.half, s.hard, values, right)
        if layers is not None:
            layers.join(near, values, right)
        right[s.pinned] = 0.0
        while True:
            try:
                fronts.factor(values)
            except NotPositiveError:
                before = w.values.copy()
                if w.push < 1.0:
                    # pushing cloth is about to buckle: it must be held in this step
                    w.push = min(1.0, w.push + 1.0)
                    retaken(w.stress, w.push, w.pull)
                    _stiffened(s, w)
                    values[: len(before)] += w.values - before
                else:
                    more = s.mass * (1.0 / (0.3 * h) ** 2 - 1.0 / h**2)
                    for k in range(3):
                        values[:n, k, k] += more
                    h *= 0.3
                continue
            break
        dx = fronts.solve(right)
        # a little in the body or drawn onto it does no harm, and each round is a whole factoring
        slack = min(SLACK, 0.1 * float(np.sqrt((dx**2).sum(axis=1).max())))
        settled_so = True
        if s.body is not None:
            after = gap + np.einsum("ij,ij->i", w.direction, dx)
            wanted = known & (after < 0.0)
            settled_so = not (known & (wanted != active) & (np.abs(after) > slack)).any()
            active = wanted
        if layers is not None:
            short = s.apart - layers.coming(dx)
            meeting = short > 0.0
            settled_so &= not ((meeting != near) & (np.abs(short) > slack)).any()
            near = meeting
        if settled_so:
            break
        if turn == ROUNDS - 2:
            # at the last only what presses already bears: that step surely leads downhill, as one
            # towards what is not there yet need not
            active = (gap < 0.0) if s.body is not None else active
            near = layers.gap < s.apart if layers is not None else near
    return dx, h


def _stiffened(s: Setting, w: _Work) -> None:
    """Fills the blocks of the stiffness, friction and what keeps the waist with it."""
    st = s.stencils
    stiffness(
        st.ends,
        st.triangle,
        st.corner_a,
        st.corner_b,
        st.slopes,
        st.area,
        s.stiff,
        w.bent,
        w.pull,
        s.bend_pairs,
        w.values,
    )
    w.values[: st.n] += w.blocks
