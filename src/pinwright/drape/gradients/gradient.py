"""How a score of the fit changes with the flat shape, the cloth and the waist, by one solve.

At rest the forces f(x, p) are 0 whatever p is cut, so x moves by K dx = df with K the stiffness,
and a score changes by its own derivative plus y . df where K y is the score's derivative by x: one
solve, however many p there are (adjoint method: Giles & Pierce 2000, "An introduction to the
adjoint approach to design", Flow, Turbulence and Combustion 65).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.drape.cloth import Cgs
from pinwright.drape.data import Array
from pinwright.drape.gradients.folding import bending_by
from pinwright.drape.gradients.scores import Score
from pinwright.drape.gradients.standing import Standing, solved, standing
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.stencils import bending, carried_by, rigidity

__all__ = ["ByCloth", "Gradient", "by_cloth", "gradient"]


@dataclass(frozen=True, slots=True, eq=False)
class Gradient:
    """A score at rest and what it changes by, for each unit.

    flat: (m, 3, 2), for each cm that a flat corner of a triangle moves; its area takes mass and
    contact along. stiff: (m, 4), for each dyn/cm of a triangle, as in ``Setting.stiff``.
    bend_along, bend_across: for each dyn cm. mass: (n,), for each g of a vertex. kept_at: (n,), for
    each cm that a vertex is kept higher. moved: (n, 3), for each dyn that pulls at a vertex.
    residual: of the rest; what the gradient tells is no better. leaning: 1/s2 of mass that had to
    be added, 0 where the cloth stands firm, see :func:`standing.solved`.
    """

    value: float
    flat: Array
    stiff: Array
    bend_along: float
    bend_across: float
    mass: Array
    kept_at: Array
    moved: Array
    residual: float
    leaning: float


@dataclass(frozen=True, slots=True)
class ByCloth:
    """What a score changes by for each unit of a cloth's constants, as in :class:`Cgs`."""

    mass: float
    stretch_along: float
    stretch_across: float
    shear: float
    bend_along: float
    bend_across: float


def gradient(s: Setting, x: Array, score: Score, bend: tuple[float, float]) -> Gradient:
    """How a score changes with everything that a setting at rest at x (n, 3) is made of.

    bend: bending rigidity of the cloth along and across, dyn cm, that ``s.bend`` was made with. The
    mass of a vertex is taken to grow with the cloth that it carries. What touches is taken to go on
    touching, and what does not not to begin.

    Raises:
        ValueError: friction, or another rigidity than the setting has.
        NotAtRestError: the cloth does not stand firm.
    """
    st = s.stencils
    pairs = bending(st, *rigidity(s.bends, *bend))[1]
    if not np.allclose(pairs, s.bend_pairs, rtol=1e-9, atol=1e-9 * float(abs(pairs).max())):
        raise ValueError("gradient: the setting was not made with this bending rigidity")
    at = standing(s, x)
    y, leaning = solved(at, score.by_x)
    flat, stiff = _by_membrane(at, y)
    by_bend, along, across = bending_by(st, *bend, y, x, s.bends)
    gravity = np.broadcast_to(s.gravity, x.shape)
    mass = (gravity * y).sum(axis=1)
    # a vertex's cloth is a third of each triangle about it: mass, and what presses on so much
    by_weight = mass * s.mass / carried_by(st, s.carries)
    area = by_weight[st.triangles].mean(axis=1) * st.area
    if s.carries is not None:
        area *= s.carries
    area += _by_load(at, y)[st.triangles].mean(axis=1) * st.area
    flat = score.by_flat - flat - by_bend + area[:, None, None] * st.slopes
    kept = np.zeros(st.n) if s.kept is None else s.kept * y[:, s.kept_axis]
    return Gradient(score.value, flat, stiff, -along, -across, mass, kept, y, at.residual, leaning)


def by_cloth(found: Gradient, s: Setting, cgs: Cgs) -> ByCloth:
    """The same for the constants of a cloth that all of the setting is made of."""
    stiffer = s.stiff[:, 3] / cgs.shear
    across, both, along, shear = (stiffer @ found.stiff).tolist()
    free = 1.0 - cgs.poisson**2
    # the coupling goes with the root of both stretches
    ratio = float(np.sqrt(cgs.stretch_across / cgs.stretch_along))
    half = 0.5 * cgs.poisson
    return ByCloth(
        mass=float(found.mass @ carried_by(s.stencils, s.carries)),
        stretch_along=(along + half * ratio * both) / free,
        stretch_across=(across + half / ratio * both) / free,
        shear=shear,
        bend_along=found.bend_along,
        bend_across=found.bend_across,
    )


def _by_membrane(at: Standing, y: Array) -> tuple[Array, Array]:
    """Of y times the membrane's forces, with the sign of its energy: by flat corners (m, 3, 2); and
    of the score by stiffness (m, 4)."""
    s, st, f, stress = at.s, at.s.stencils, at.bent, at.stress
    g = np.einsum("tac,tad->tcd", st.slopes, y[st.triangles])
    # how Green's strain (across, along, twice the shear) changes as the cloth moves by y
    e = 0.5 * (np.einsum("tcd,tcd->tc", f, f) - 1.0)
    e = np.column_stack([e, (f[:, 0] * f[:, 1]).sum(axis=1)])
    de = np.einsum("tcd,tcd->tc", f, g)
    de = np.column_stack([de, (f[:, 0] * g[:, 1] + f[:, 1] * g[:, 0]).sum(axis=1)])
    k = s.stiff
    ds = np.column_stack(
        [
            k[:, 0] * de[:, 0] + k[:, 1] * de[:, 1],
            k[:, 1] * de[:, 0] + k[:, 2] * de[:, 1],
            k[:, 3] * de[:, 2],
        ]
    )
    by_stiff = np.column_stack(
        [
            e[:, 0] * de[:, 0],
            e[:, 0] * de[:, 1] + e[:, 1] * de[:, 0],
            e[:, 1] * de[:, 1],
            e[:, 2] * de[:, 2],
        ]
    )
    pull, more = _square(stress), _square(ds)
    by_f = np.einsum("tij,tjd->tid", more, f) + np.einsum("tij,tjd->tid", pull, g)
    by_g = np.einsum("tij,tjd->tid", pull, f)
    # F = X / D and G = Y / D with D the flat sides, so dF = -F dD / D; the area is half of det D
    turn = -np.einsum("tid,tjd->tij", f, by_f) - np.einsum("tid,tjd->tij", g, by_g)
    turn[:, [0, 1], [0, 1]] += (stress * de).sum(axis=1)[:, None]
    flat = st.area[:, None, None] * np.einsum("tij,taj->tai", turn, st.slopes)
    return flat, -st.area[:, None] * by_stiff


def _square(v: Array) -> Array:
    """(m, 2, 2) of (m, 3): across, along, shear."""
    found: Array = v[:, [[0, 2], [2, 1]]]
    return found


def _by_load(at: Standing, y: Array) -> Array:
    """Of y times the forces of contact, by the cloth (n,), cm2, that each vertex carries."""
    s = at.s
    out = np.zeros(s.stencils.n)
    t = at.touching
    out[t] = s.hard * at.deep() * (at.direction[t] * y[t]).sum(axis=1)
    layers = at.layers
    if layers is not None:
        which = at.pressing()
        vertex, corners = layers.places.vertex[which], layers.places.corners[which]
        moved = y[vertex] - np.einsum("pc,pcd->pd", layers.weight[which], y[corners])
        most = np.minimum(layers.apart - layers.gap[which], layers.apart)
        by = layers.hard * most * (layers.way[which] * moved).sum(axis=1)
        np.add.at(out, vertex, by)
    return out
