"""Cloth to be hung, where it is, and what acts on it there."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.field import Field
from pinwright.drape.solver.against_itself import PRESS, Layers
from pinwright.drape.solver.banded import Patch
from pinwright.drape.solver.contact import HARD, HOLD, pressed
from pinwright.drape.solver.fronts import Fronts
from pinwright.drape.solver.membrane import force, stretched
from pinwright.drape.solver.stencils import Stencils

GRAVITY = 980.665
"""cm/s2."""


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """Cloth to be hung: constants of each triangle, what it lies on, what holds it.

    stiff: (m, 4) dyn/cm as in :func:`membrane.stretched`. bend: (n, n) dyn/cm, bend_pairs: (p,).
    mass: (n,) g. half: half the thickness, cm. friction: against the body. pinned: (k,) vertices
    that do not move. gravity: (3,) cm/s2. apart: so near layers of the cloth may lie to each other,
    cm; 0: they pass through each other. bends, carries: (m,) how many times as stiff to bend, and
    as heavy, as the cloth each triangle is; None: as the cloth. passing: (n,) where cloth passes
    through itself all the same; None: nowhere. kept: (n,) dyn/cm, how hard each vertex is kept at
    kept_at (n,) cm along an axis; None: nowhere.
    """

    stencils: Stencils
    stiff: Array
    bend: csr_array
    bend_pairs: Array
    mass: Array
    half: float = 0.0
    friction: float = 0.0
    body: Field | None = None
    pinned: Whole = field(default_factory=lambda: np.empty(0, np.int64))
    gravity: Array = field(default_factory=lambda: np.array([0.0, 0.0, -GRAVITY]))
    hard: float = HARD
    hold: float = HOLD
    kept: Array | None = None
    kept_at: Array | None = None
    kept_axis: int = 2
    apart: float = 0.0
    bends: Array | None = None
    carries: Array | None = None
    passing: NDArray[np.bool_] | None = None
    fronts: list[Fronts | Patch] = field(default_factory=list)

    def factors(self, x: Array) -> Fronts | Patch:
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


def layers_of(s: Setting) -> Layers | None:
    """What is to be known of cloth near cloth; None where it passes through itself."""
    if s.apart <= 0.0:
        return None
    return Layers(s.stencils, s.apart, PRESS, passing=s.passing)


ROUNDS = 4
"""So often at most a step is solved anew because points come to lie on the body or leave it."""


class Work:
    """What is reckoned anew at every place of the cloth, in arrays that stay.

    push: as in :func:`membrane.retaken`. rounds: so often at most a step is solved anew. near:
    (n, n), which vertices meet. held: (n,) g/s2, what holds those that do not move.
    """

    def __init__(self, s: Setting, layers: Layers | None = None) -> None:
        st = s.stencils
        m, n = len(st.triangles), st.n
        self.bent = np.empty((m, 2, 3))
        self.stress = np.empty((m, 3))
        self.pull = np.empty((m, 3))
        self.mixed = np.empty((m, 3))
        self.membrane = np.empty(m)
        self.push = 1.0
        self.rounds = ROUNDS
        self.values = np.empty((len(st.first), 3, 3))
        self.blocks = np.zeros((n, 3, 3))
        self.contact = np.zeros(n)
        self.distance = np.empty(n)
        self.direction = np.empty((n, 3))
        self.layers = layers_of(s) if layers is None else layers
        self.near = abs(s.bend).sign()
        self.held = np.zeros(n)
        self.held[s.pinned] = 1e12


def forces(s: Setting, w: Work, state: State, held: bool = True) -> None:
    """Fills what acts where the cloth is: forces, touch and energy.

    held: 0 on what is pinned, which holds against it.
    """
    st = s.stencils
    x = state.x
    stretched(x, st.triangles, st.slopes, st.area, s.stiff, w.bent, w.stress, w.membrane)
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
        k = s.kept_axis
        short = s.kept_at - x[:, k]
        out[:, k] += s.kept * short
        w.blocks[:, k, k] += s.kept
        energy += 0.5 * float(s.kept @ short**2)
    if w.layers is not None:
        energy += w.layers.press(x, out)
    if held:
        out[s.pinned] = 0.0
    state.force = out
    state.energy = energy


def residual(s: Setting, force: Array) -> float:
    """The root mean square of the forces left over, as a part of the mean weight of a vertex."""
    weight = GRAVITY * float(s.mass.mean())
    return float(np.sqrt((force**2).sum(axis=1).mean())) / weight
