"""The true stiffness of cloth at rest, and the solve with it.

The steps of the solver take a stiffness that is easier to solve; here pushing cloth pushes as it
is, the body's surface turns, and so do the ways in which layers lie off each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from threadpoolctl import threadpool_limits

from pinwright.drape.data import Array, Whole
from pinwright.drape.gradients.curving import parting, turning
from pinwright.drape.solver.acting import Setting, State, Work, forces, residual
from pinwright.drape.solver.against_itself import Layers
from pinwright.drape.solver.fronts import Fronts, NotPositiveError
from pinwright.drape.solver.stepping import stiffened

LEANINGS = (0.01, 0.1, 1.0, 10.0)
"""Where rest alone does not hold the cloth, so much of its mass is added, 1/s2: a pendulum of a
metre has 10."""

SWAY = 0.01
"""What answers a pull as if it swayed slower than this, 1/s2, is not held by anything."""

TRUE = 1e-6
"""The solve is good when so small a part of its right side is left over."""


class NotAtRestError(ArithmeticError):
    """The cloth does not stand firm where it is, so nothing follows from how it stands."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """Cloth where it stands, with the blocks of its stiffness.

    x: (n, 3). bent: (m, 2, 3) and stress: (m, 3) as of :func:`membrane.stretched`. distance: (n,)
    and direction: (n, 3) off the body; touching: (k,) vertices. layers: what lies against itself.
    first, second: (p,) pairs and values: (p, 3, 3), dyn/cm. force: (n, 3) dyn that is left over.
    energy: erg.
    """

    s: Setting
    x: Array
    bent: Array
    stress: Array
    distance: Array
    direction: Array
    touching: Whole
    layers: Layers | None
    first: Whole
    second: Whole
    values: Array
    force: Array
    energy: float

    @property
    def residual(self) -> float:
        """How far from rest, see :func:`pinwright.drape.solver.settling.residual`."""
        return residual(self.s, self.force)

    def deep(self) -> Array:
        """How deep (k,) the touching vertices lie in the body, cm."""
        found: Array = self.s.half - self.distance[self.touching]
        return found

    def pressing(self) -> Whole:
        """Which of the places of the layers press, of those that are known."""
        if self.layers is None:
            return np.empty(0, np.int64)
        return np.flatnonzero(self.layers.gap < self.s.apart)


def standing(s: Setting, x: Array) -> Standing:
    """The stiffness of cloth of a setting at x (n, 3).

    Raises:
        ValueError: friction, with which rest depends on the way there and has no derivative.
    """
    if s.body is not None and s.friction > 0.0:
        raise ValueError("with friction, rest depends on the way there: it has no gradient")
    st = s.stencils
    w = Work(s)
    if w.layers is not None:
        w.layers.look(x)
    state = State(x.copy(), x.copy(), x * 0.0, np.zeros(st.n))
    forces(s, w, state)
    # the stress as it is, whatever the solver's steps take
    w.push = -1.0
    stiffened(s, w, w.stress)
    values = w.values.copy()
    touching = np.empty(0, np.int64)
    if s.body is not None:
        way = (w.direction**2).sum(axis=1) >= 1e-12
        touching = np.flatnonzero((w.distance < s.half) & way)
        out = w.direction[touching]
        deep = (s.half - w.distance[touching])[:, None, None]
        more = out[:, :, None] * out[:, None] - deep * turning(s.body, x[touching])
        values[touching] += (s.hard * st.load[touching])[:, None, None] * more
    made = Standing(
        s,
        x,
        w.bent,
        w.stress,
        w.distance,
        w.direction,
        touching,
        w.layers,
        st.first,
        st.second,
        values,
        state.force,
        state.energy,
    )
    return _layered(made)


def _layered(made: Standing) -> Standing:
    """With the stiffness of layers against layers, which joins pairs that no triangle joins."""
    layers, st = made.layers, made.s.stencils
    which = made.pressing()
    if layers is None or not len(which):
        return made
    places = layers.places
    rows, columns, blocks = [], [], []
    for p in which.tolist():
        who = np.concatenate([[places.vertex[p]], places.corners[p]])
        part = np.concatenate([[1.0], -layers.weight[p]])
        short = layers.apart - layers.gap[p]
        way = (part[:, None] * layers.way[p]).ravel()
        sign = 1.0 if layers.gap[p] >= 0.0 else -1.0
        found = -min(short, layers.apart) * parting(
            made.x, int(who[0]), who[1:], layers.weight[p], sign
        )
        if short <= layers.apart:
            found += np.outer(way, way).reshape(4, 3, 4, 3)
        found *= layers.hard * st.load[who[0]]
        for i in range(4):
            for j in range(4):
                if who[i] >= who[j]:
                    rows.append(who[i])
                    columns.append(who[j])
                    blocks.append(found[i, :, j])
    keys = np.concatenate([st.first * st.n + st.second, np.array(rows) * st.n + np.array(columns)])
    known, at = np.unique(keys, return_inverse=True)
    values = np.zeros((len(known), 3, 3))
    np.add.at(values, at, np.concatenate([made.values, np.stack(blocks)]))
    # pairs of a vertex with itself come first, as the solver has them
    own = known // st.n == known % st.n
    order = np.concatenate([np.flatnonzero(own), np.flatnonzero(~own)])
    return replace(
        made,
        first=known[order] // st.n,
        second=known[order] % st.n,
        values=values[order],
    )


def times(made: Standing, y: Array) -> Array:
    """The stiffness times y (n, 3), dyn; 0 where pinned."""
    out = np.zeros_like(y)
    off = made.first != made.second
    np.add.at(out, made.first, np.einsum("pkl,pl->pk", made.values, y[made.second]))
    turned = np.einsum("plk,pl->pk", made.values[off], y[made.first[off]])
    np.add.at(out, made.second[off], turned)
    out[made.s.pinned] = 0.0
    return out


def solved(
    made: Standing, right: Array, leanings: Sequence[float] = LEANINGS, least: float = SWAY
) -> tuple[Array, float]:
    """What the stiffness takes to a right side (n, 3): (n, 3), 0 where pinned; and the leaning.

    The leaning is what was added of each vertex's mass, 1/s2: 0 where the cloth stands firm. Where
    it does not (a tube free to turn, cloth about to buckle) the first of ``leanings`` that makes it
    so is taken. least: of the answer's own sway, see :data:`SWAY`.

    Raises:
        NotAtRestError: with none of them.
    """
    s, n = made.s, made.s.stencils.n
    right = right.copy()
    right[s.pinned] = 0.0
    size = float(np.abs(right).max())
    if size == 0.0:
        return right, 0.0
    fronts = s.factors(made.x)
    if len(made.first) != len(s.stencils.first):
        parts = fronts.parts if isinstance(fronts, Fronts) else None
        fronts = Fronts(n, made.first, made.second, made.x, parts)
    firm = np.zeros(n)
    firm[s.pinned] = 1e12
    with threadpool_limits(1, user_api="blas"):
        for leaning in (0.0, *leanings):
            values = made.values.copy()
            for k in range(3):
                values[:n, k, k] += s.mass * leaning + firm
            try:
                fronts.factor(values)
            except NotPositiveError:
                continue
            found, left = np.zeros_like(right), right
            for _ in range(2):
                # once more for what is left over: contact is stiffer than bending by far
                found = found + fronts.solve(left)
                found[s.pinned] = 0.0
                left = right - times(made, found) - leaning * s.mass[:, None] * found
                left[s.pinned] = 0.0
            free = float(np.vdot(found, right)) < least * float(s.mass @ (found**2).sum(axis=1))
            if float(np.abs(left).max()) <= TRUE * size and not free:
                return found, leaning
    raise NotAtRestError(
        "the cloth does not stand firm here: it is about to buckle or was not brought to rest "
        f"(residual {made.residual:.2g}), so it cannot be said how its rest would change"
    )
