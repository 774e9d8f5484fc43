"""A plain XPBD for comparison: the same cloth and body, brought to rest by position-based dynamics.

Macklin, Mueller & Chentanez 2016, "XPBD: position-based simulation of compliant constrained
dynamics", Motion in Games; the short steps are of Macklin et al. 2019, "Small steps in physics
simulation", SCA. Constraints, each with the compliance of the very energies of the drape's solver:

- a triangle's Green strain, three numbers at once (equation 18 of 2016 with a 3 x 3 block);
- a hinge's fold, the three coordinates at once;
- a place in the body, one-sided, with the compliance of the solver's contact.

Gauss-Seidel in order on one core, velocities damped. It lacks: friction, the coupling of the folds
of a triangle (both methods are given one weight for each hinge here), colouring for many cores,
multigrid or any other acceleration.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

import numpy as np
from numba import njit
from scipy.sparse import coo_array, csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.field import sampled
from pinwright.drape.solver.acting import Setting, State, Work, forces, residual


def with_single_hinges(s: Setting, rigidity: float) -> tuple[Setting, Array]:
    """The setting with one weight for each hinge, which XPBD can have too, and these (h,)."""
    st = s.stencils
    about = np.zeros(len(st.hinge))
    for k in range(3):
        there = st.sides[:, k] >= 0
        np.add.at(about, st.sides[there, k], st.area[there])
    weight = 3.0 * rigidity / about
    values = weight[:, None, None] * st.fold[:, :, None] * st.fold[:, None, :]
    rows, columns = np.repeat(st.hinge, 4, axis=1).ravel(), np.tile(st.hinge, (1, 4)).ravel()
    matrix = csr_array(coo_array((values.ravel(), (rows, columns)), shape=(st.n, st.n)))
    matrix.sum_duplicates()
    keys = st.first * st.n + st.second
    order = np.argsort(keys)
    low = rows >= columns
    place = order[np.searchsorted(keys[order], rows[low] * st.n + columns[low])]
    pairs = np.bincount(place, values.ravel()[low], minlength=len(keys))
    return replace(s, bend=matrix, bend_pairs=pairs, friction=0.0), weight


@njit(cache=True)
def _triangles(
    x: Array,
    lag: Array,
    triangles: Whole,
    slopes: Array,
    supple: Array,
    light: Array,
) -> None:
    """One sweep over the triangles; supple (m, 3, 3): compliance over h^2; light (n,): 1 / mass."""
    grad = np.empty((3, 3, 3))
    a = np.empty((3, 3))
    c = np.empty(3)
    for t in range(len(triangles)):
        f1 = np.zeros(3)
        f2 = np.zeros(3)
        for k in range(3):
            v = triangles[t, k]
            for d in range(3):
                f1[d] += slopes[t, k, 0] * x[v, d]
                f2[d] += slopes[t, k, 1] * x[v, d]
        c[0] = 0.5 * (f1 @ f1 - 1.0)
        c[1] = 0.5 * (f2 @ f2 - 1.0)
        c[2] = f1 @ f2
        for k in range(3):
            g1, g2 = slopes[t, k, 0], slopes[t, k, 1]
            for d in range(3):
                grad[0, k, d] = g1 * f1[d]
                grad[1, k, d] = g2 * f2[d]
                grad[2, k, d] = g1 * f2[d] + g2 * f1[d]
        for i in range(3):
            for j in range(3):
                q = supple[t, i, j]
                for k in range(3):
                    w = light[triangles[t, k]]
                    for d in range(3):
                        q += w * grad[i, k, d] * grad[j, k, d]
                a[i, j] = q
        for i in range(3):
            for j in range(3):
                c[i] += supple[t, i, j] * lag[t, j]
        # 3 x 3 by cofactors
        m00 = a[1, 1] * a[2, 2] - a[1, 2] * a[2, 1]
        m01 = a[0, 2] * a[2, 1] - a[0, 1] * a[2, 2]
        m02 = a[0, 1] * a[1, 2] - a[0, 2] * a[1, 1]
        det = a[0, 0] * m00 + a[1, 0] * m01 + a[2, 0] * m02
        if det <= 0.0:
            continue
        m11 = a[0, 0] * a[2, 2] - a[0, 2] * a[2, 0]
        m12 = a[0, 2] * a[1, 0] - a[0, 0] * a[1, 2]
        m22 = a[0, 0] * a[1, 1] - a[0, 1] * a[1, 0]
        p0 = -(m00 * c[0] + m01 * c[1] + m02 * c[2]) / det
        p1 = -(m01 * c[0] + m11 * c[1] + m12 * c[2]) / det
        p2 = -(m02 * c[0] + m12 * c[1] + m22 * c[2]) / det
        lag[t, 0] += p0
        lag[t, 1] += p1
        lag[t, 2] += p2
        for k in range(3):
            v = triangles[t, k]
            for d in range(3):
                x[v, d] += light[v] * (p0 * grad[0, k, d] + p1 * grad[1, k, d] + p2 * grad[2, k, d])


@njit(cache=True)
def _hinges(x: Array, lag: Array, hinge: Whole, fold: Array, supple: Array, light: Array) -> None:
    for e in range(len(hinge)):
        heavy = supple[e]
        for k in range(4):
            heavy += light[hinge[e, k]] * fold[e, k] ** 2
        for d in range(3):
            c = supple[e] * lag[e, d]
            for k in range(4):
                c += fold[e, k] * x[hinge[e, k], d]
            p = -c / heavy
            lag[e, d] += p
            for k in range(4):
                x[hinge[e, k], d] += light[hinge[e, k]] * fold[e, k] * p


@njit(cache=True)
def _body(
    x: Array, lag: Array, distance: Array, way: Array, half: float, supple: Array, light: Array
) -> None:
    for i in range(len(x)):
        size = way[i, 0] ** 2 + way[i, 1] ** 2 + way[i, 2] ** 2
        if light[i] == 0.0 or size == 0.0:
            continue
        # one-sided: what presses never pulls
        c = distance[i] - half + supple[i] * lag[i]
        p = max(-c / (light[i] * size + supple[i]), -lag[i])
        lag[i] += p
        for d in range(3):
            x[i, d] += light[i] * p * way[i, d]


@dataclass(frozen=True)
class Ran:
    """What it came to: seconds and residual at each look, and where the cloth is."""

    looks: list[tuple[float, float]]
    x: Array


def xpbd(
    s: Setting,
    hinge_weight: Array,
    x: Array,
    step: float,
    sweeps: int,
    damping: float,
    enough: float,
    seconds: float,
    look: int,
) -> Ran:
    """Runs until the residual, by the drape's own forces, is enough, or so many seconds.

    step: s. sweeps: over all constraints in a step. damping: part of the velocity kept for a
    sixtieth of a second. look: steps between looks (their time is not counted).
    """
    st = s.stencils
    assert s.body is not None
    light = 1.0 / s.mass
    light[s.pinned] = 0.0
    m = len(st.triangles)
    stiff = np.zeros((m, 3, 3))
    stiff[:, 0, 0], stiff[:, 1, 1], stiff[:, 2, 2] = s.stiff[:, 0], s.stiff[:, 2], s.stiff[:, 3]
    stiff[:, 0, 1] = stiff[:, 1, 0] = s.stiff[:, 1]
    supple = np.linalg.inv(stiff * st.area[:, None, None]) / step**2
    folding = 1.0 / hinge_weight / step**2
    pressing = 1.0 / (s.hard * st.load) / step**2
    x = x.copy()
    v = np.zeros_like(x)
    keep = damping ** (step * 60.0)
    free = (light > 0.0)[:, None]
    distance, way = np.empty(st.n), np.empty((st.n, 3))
    work = Work(s)
    looks: list[tuple[float, float]] = []
    spent = 0.0
    count = 0
    while True:
        begun = time.process_time()
        for _ in range(look):
            before = x
            v = keep * v + np.where(free, step * s.gravity, 0.0)
            x = x + step * v
            lag_t, lag_e, lag_b = np.zeros((m, 3)), np.zeros((len(st.hinge), 3)), np.zeros(st.n)
            for _ in range(sweeps):
                _triangles(x, lag_t, st.triangles, st.slopes, supple, light)
                _hinges(x, lag_e, st.hinge, st.fold, folding, light)
                sampled(x, s.body.origin, s.body.step, s.body.knots, distance, way)
                _body(x, lag_b, distance, way, s.half, pressing, light)
            v = (x - before) / step
            count += 1
        spent += time.process_time() - begun
        state = State(x, x.copy(), np.zeros_like(x), np.zeros(st.n))
        forces(s, work, state)
        looks.append((spent, residual(s, state.force)))
        if looks[-1][1] <= enough or spent > seconds:
            return Ran(looks, x)
