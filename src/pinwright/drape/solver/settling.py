"""To rest: implicit steps of cloth without momentum, each solved exactly, until forces balance.

A step solves (stiffness + mass / h^2) dx = force: implicit Euler from standstill, which for small
h creeps downhill and for large h is Newton's method (pseudo-transient continuation: Kelley & Keyes
1998, SIAM J. Numer. Anal. 35(2)). h grows while the forces fall. Rest is told by the forces that
are left over, never by slowness: cloth can be slow and far from rest.

Near rest the forces left over stand at a few dozen vertices where a fold turns over, and a step of
the whole is cut short there again and again. After each step these places are brought to rest by
themselves, while all about them stands still, at a hundredth of what a step costs (nonlinear
elimination: Lanzkron, Rose & Wilkes 1996, SIAM J. Sci. Comput. 17(2)).
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numba import get_num_threads, set_num_threads
from threadpoolctl import threadpool_limits

from pinwright.drape.data import Array, Rest
from pinwright.drape.solver.acting import Setting, State, Work, forces, residual
from pinwright.drape.solver.hearts import Meeting, hearts, meeting
from pinwright.drape.solver.patch import Part, Reach, part_of, reach_of, taken_over
from pinwright.drape.solver.stepping import gone

NEAR = 0.05
"""Under this residual steps are Newton's own, with what pushes taken as it is."""

EASES = 3
"""So often at most after one step."""

ONE = np.ones(1, np.bool_)
"""One cloth, which is asked for."""

PART = 20
"""Steps of such a place at most."""

BEGUN, FASTER, LONGEST = 0.1, 4.0, 1.0
"""Its first step, s, how many times longer the next may be, and the longest."""

Tell = Callable[[int, float], bool]
"""Hears the steps done and the residual; False stops the work and keeps what there is."""


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
    ease: bool = True,
) -> tuple[State, Rest]:
    """Brings cloth from x (n, 3) to rest.

    enough: the residual that is rest. steps: at most so many. h, longest: the first and the longest
    step, s. reach: how far a vertex moves in one step at most, cm. ease: the few places where most
    forces act come to rest by themselves after each step.
    """
    begun = time.perf_counter()
    st = s.stencils
    w = Work(s)
    # what a step does wrong on the body is put right at its place
    w.rounds = 1 if ease else w.rounds
    state = State(x.copy(), x.copy() if anchor is None else anchor.copy(), x * 0, np.zeros(st.n))
    near, pairs = meeting([s]), reach_of(st)
    stopped = False
    done = 0
    with threadpool_limits(1, user_api="blas"):
        if w.layers is not None:
            w.layers.look(state.x)
        forces(s, w, state)
        w.mixed[:] = w.stress
        left = residual(s, state.force)
        for done in range(1, steps + 1):
            if left <= enough:
                done -= 1
                break
            if tell is not None and not tell(done, left):
                stopped = True
                break
            far, part, h = gone(
                s,
                w,
                state,
                h,
                reach,
                (lambda: _eased(s, w, near, pairs, state, enough, reach)) if ease else None,
            )
            if w.layers is not None and w.layers.look(state.x):
                forces(s, w, state)
            left = residual(s, state.force)
            if ease and left > enough:
                left = _eased(s, w, near, pairs, state, enough, reach)
            if part == 1.0 and far <= reach:
                w.push = max(-1.0 if left < NEAR else 0.0, w.push - 0.5)
            elif part < 0.5:
                w.push = min(1.0, w.push + 1.0)
                h = max(0.6 * h, 2e-3)
            if part >= 0.5 and far <= reach:
                h = min(2.0 * h, longest)
    return state, Rest(left, done, time.perf_counter() - begun, stopped)


def _eased(
    s: Setting,
    w: Work,
    near: Meeting,
    pairs: Reach,
    state: State,
    enough: float,
    reach: float,
) -> float:
    """Lets the few places come to rest at which most of the forces left over act: the residual."""
    for _ in range(EASES):
        inside, aim = hearts(near, state.force[None], ONE, enough)
        if aim[0] < 0.0:
            break
        part = part_of(s, w.layers, inside[0], pairs)
        # so little work is not worth the wait of one core for another
        threads = get_num_threads()
        set_num_threads(1)
        try:
            _brought(s, w, state, part, float(aim[0]), reach)
        finally:
            set_num_threads(threads)
    if w.layers is not None and w.layers.look(state.x):
        forces(s, w, state)
    return residual(s, state.force)


def _brought(s: Setting, w: Work, state: State, part: Part, aim: float, reach: float) -> None:
    """Takes a part of cloth towards rest, until its squared forces are less than aim, dyn2."""
    own = Work(part.setting, part.layers)
    x, anchor = state.x[part.vertices], state.anchor[part.vertices]
    there = State(x, anchor, x * 0, np.zeros(len(x)))
    forces(part.setting, own, there, held=False)
    felt, began = there.force.copy(), there.energy
    there.force[part.setting.pinned] = 0.0
    own.mixed[:] = own.stress
    h = BEGUN
    for _ in range(PART):
        if float((there.force**2).sum()) <= aim:
            break
        far, taken, h = gone(part.setting, own, there, h, reach)
        if taken == 1.0 and far <= reach:
            own.push = max(0.0, own.push - 0.5)
            h = min(FASTER * h, LONGEST)
        elif taken < 0.5:
            own.push = min(1.0, own.push + 1.0)
            h = max(0.6 * h, 2e-3)
    # what stood still keeps its anchor
    still = part.vertices[~part.free]
    there.anchor[~part.free] = state.anchor[still]
    forces(part.setting, own, there, held=False)
    taken_over(s, w, state, part, own, felt, there)
    state.energy += there.energy - began
