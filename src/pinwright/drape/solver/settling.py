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
from numpy.typing import NDArray
from scipy.sparse import csr_array
from threadpoolctl import threadpool_limits

from pinwright.drape.data import Array, Rest
from pinwright.drape.solver.acting import GRAVITY, Setting, State, Work, forces, residual
from pinwright.drape.solver.against_itself import Layers
from pinwright.drape.solver.patch import part_of
from pinwright.drape.solver.stepping import gone

NEAR = 0.05
"""Under this residual steps are Newton's own, with what pushes taken as it is."""

SPARSE, MOST = 200, 60
"""At most one vertex of so many, and no more than so many, are at the heart of the places that come
to rest by themselves. Were it one of sixty, a third of a small sheet would, and would come to rest
in creases; so would 20,000 vertices at a hundred places."""

FAR = 1000.0
"""Over this residual none do: what is crushed would come to rest in creases."""

EASES = 3
"""So often at most after one step."""

SHARE = 0.5
"""Of the squared forces so much must stand there."""

RINGS = 1
"""So many times what meets them goes with them."""

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
    fronts = s.factors(x)
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
                fronts,
                h,
                reach,
                (lambda: _eased(s, w, state, enough, reach)) if ease else None,
            )
            if w.layers is not None and w.layers.look(state.x):
                forces(s, w, state)
            left = residual(s, state.force)
            if ease and left > enough:
                left = _eased(s, w, state, enough, reach)
            if part == 1.0 and far <= reach:
                w.push = max(-1.0 if left < NEAR else 0.0, w.push - 0.5)
            elif part < 0.5:
                w.push = min(1.0, w.push + 1.0)
                h = max(0.6 * h, 2e-3)
            if part >= 0.5 and far <= reach:
                h = min(2.0 * h, longest)
    return state, Rest(left, done, time.perf_counter() - begun, stopped)


def to_ease(
    s: Setting, near: csr_array, force: Array, enough: float, far: float = FAR
) -> tuple[NDArray[np.bool_], float] | None:
    """The vertices (n,) that are to come to rest by themselves, and to how little squared forces,
    dyn2; None where there are no few places at which most of the forces (n, 3) act.

    near: (n, n), which vertices meet. enough: the residual that is rest. far: over this residual
    there are none.
    """
    n = s.stencils.n
    # the squared forces of a residual of 1
    unit = n * (GRAVITY * float(s.mass.mean())) ** 2
    size = np.einsum("ij,ij->i", force, force)
    total = float(size.sum())
    if total <= unit * enough**2 or total > unit * far**2:
        return None
    few = max(1, min(MOST, n // SPARSE))
    top = np.argpartition(size, n - few)[n - few :]
    top = top[np.argsort(-size[top])]
    upto = np.cumsum(size[top])
    if upto[-1] < SHARE * total:
        return None
    # without them it would be rest, or nine tenths of the forces are gone
    aim = max(0.25 * unit * enough**2, 0.1 * total)
    heart = top[: int(np.searchsorted(upto, total - aim)) + 1]
    inside: Array = np.zeros(n)
    inside[heart] = 1.0
    for _ in range(RINGS):
        inside = np.asarray(near @ inside)
    return inside > 0.0, aim


def _eased(
    s: Setting,
    w: Work,
    state: State,
    enough: float,
    reach: float,
) -> float:
    """Lets the few places come to rest at which most of the forces left over act: the residual."""
    for _ in range(EASES):
        chosen = to_ease(s, w.near, state.force, enough)
        if chosen is None:
            break
        inside, aim = chosen
        part = part_of(s, w.layers, inside)
        # so little work is not worth the wait of one core for another
        threads = get_num_threads()
        set_num_threads(1)
        try:
            at, anchor = state.x[part.vertices], state.anchor[part.vertices]
            rested = _brought(part.setting, part.layers, at, anchor, aim, reach)
        finally:
            set_num_threads(threads)
        state.x = state.x.copy()
        state.x[part.vertices] = rested.x
        state.anchor[part.vertices[part.free]] = rested.anchor[part.free]
        forces(s, w, state)
        w.mixed[part.triangles] = w.stress[part.triangles]
    if w.layers is not None and w.layers.look(state.x):
        forces(s, w, state)
    return residual(s, state.force)


def _brought(
    s: Setting, layers: Layers | None, x: Array, anchor: Array, aim: float, reach: float
) -> State:
    """A part of cloth taken towards rest, until its squared forces are less than aim, dyn2."""
    w = Work(s, layers)
    state = State(x, anchor, x * 0, np.zeros(len(x)))
    forces(s, w, state)
    w.mixed[:] = w.stress
    h = BEGUN
    for _ in range(PART):
        if float((state.force**2).sum()) <= aim:
            break
        far, part, h = gone(s, w, state, s.fronts[0], h, reach)
        if part == 1.0 and far <= reach:
            w.push = max(0.0, w.push - 0.5)
            h = min(FASTER * h, LONGEST)
        elif part < 0.5:
            w.push = min(1.0, w.push + 1.0)
            h = max(0.6 * h, 2e-3)
    return state
