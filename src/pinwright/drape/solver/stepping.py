"""One implicit step of cloth: solved with what it will lie on, and taken as far as energy falls."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from pinwright.drape.data import Array
from pinwright.drape.solver.acting import Setting, State, Work, forces
from pinwright.drape.solver.contact import drawn_along, lain_on
from pinwright.drape.solver.fronts import NotPositiveError
from pinwright.drape.solver.membrane import foreseen, retaken, stiffness

SLACK = 0.03
"""Points that come to lie so far in or off the body at most, cm, are put right by the next step; in
small steps a tenth of the step."""

LOCAL = 4
"""So often a step that would raise the energy is made smaller where it goes wrong, before it is
made smaller as a whole."""


def gone(
    s: Setting,
    w: Work,
    state: State,
    h: float,
    reach: float,
    ease: Callable[[], object] | None = None,
) -> tuple[float, float, float]:
    """Takes one step: how far it would have gone, cm, what part of it was, and its h."""
    st = s.stencils
    dx, h = step(s, w, state, h)
    size = np.sqrt((dx**2).sum(axis=1))
    far = float(size.max())
    if far > reach:
        # where cloth is crushed nothing holds it in a step; that must not slow the rest
        dx *= np.minimum(1.0, reach / np.maximum(size, 1e-12))[:, None]
    if w.layers is not None:
        w.layers.keep(dx)
    before, at, acted = state.energy, state.x, state.force
    bent, stress = w.bent.copy(), w.stress.copy()
    downhill = float(np.vdot(dx, acted))
    part, whole, eased = 1.0, dx, False
    for trial in range(8):
        state.x = at + part * dx
        forces(s, w, state)
        enough = before - 1e-4 * part * downhill + 1e-9 * abs(before)
        if state.energy > enough and trial == 0 and ease is not None:
            foreseen(dx, st.triangles, st.slopes, s.stiff, bent, stress, w.mixed)
            ease()
            eased = state.energy <= enough
        if state.energy <= enough:
            break
        if trial < LOCAL:
            # mostly a few places fold over: they go slower, and the rest is not held up
            size = np.sqrt((state.force**2).sum(axis=1))
            bad = (size > 0.2 * size.max()).astype(np.float64)
            for _ in range(3):
                bad = w.near @ bad
            dx = dx * np.where(bad > 0.0, 0.25, 1.0)[:, None]
            if w.layers is not None:
                w.layers.keep(dx)
            downhill = float(np.vdot(dx, acted))
        elif trial == LOCAL:
            dx, part = whole, 0.25
            downhill = float(np.vdot(dx, acted))
        else:
            part *= 0.25
    if not eased:
        foreseen(part * dx, st.triangles, st.slopes, s.stiff, bent, stress, w.mixed)
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
    return far, part, h


def step(s: Setting, w: Work, state: State, h: float) -> tuple[Array, float]:
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
    roomy = layers.room() if layers is not None else None
    fronts = s.factors(state.x) if roomy is None else roomy
    room = len(layers.more) if layers is not None else 0
    stiffened(s, w, w.mixed)
    for turn in range(w.rounds):
        values = np.concatenate([w.values, np.zeros((room, 3, 3))])
        right = state.force.copy()
        for k in range(3):
            values[:n, k, k] += s.mass / h**2 + w.held
        if s.body is not None:
            lain_on(active, w.distance, w.direction, st.load, s.half, s.hard, values, right)
        if layers is not None:
            layers.join(near, values, right)
        right[s.pinned] = 0.0
        while True:
            try:
                dx = fronts.solve_anew(values, right)
            except NotPositiveError:
                before = w.values.copy()
                if w.push < 1.0:
                    # pushing cloth is about to buckle: it must be held in this step
                    w.push = min(1.0, w.push + 1.0)
                    stiffened(s, w, w.mixed)
                    values[: len(before)] += w.values - before
                else:
                    more = s.mass * (1.0 / (0.3 * h) ** 2 - 1.0 / h**2)
                    for k in range(3):
                        values[:n, k, k] += more
                    h *= 0.3
                continue
            break
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
        if turn == w.rounds - 2:
            # at the last only what presses already bears: that step surely leads downhill, as one
            # towards what is not there yet need not
            active = (gap < 0.0) if s.body is not None else active
            near = layers.gap < s.apart if layers is not None else near
    return dx, h


def stiffened(s: Setting, w: Work, stress: Array) -> None:
    """Fills the blocks of the stiffness with a stress (m, 3), friction and what keeps the waist."""
    retaken(stress, w.push, w.pull)
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
