"""In-plane forces and stiffness of cloth: St Venant-Kirchhoff, orthotropic along its grain.

Energy of a triangle: area times half of E : C : E with Green's strain E of its flat corners
(x across, y along the grain). In the stiffness principal stresses that push may enter by their
absolute values, so that it is never indefinite and crushed cloth is held in a step (Chen, Hsu, Liu,
Xing & Levin 2024, "Stabler neo-Hookean simulation: absolute eigenvalue filtering for projected
Newton", SIGGRAPH), or be left out (Teran, Sifakis, Irving & Fedkiw 2005, SCA), or enter as they
are, which is Newton's method and the quickest near rest; in two dimensions all three have the
closed form used here.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange

from pinwright.drape.data import Array, Whole


@njit(cache=True, inline="always")
def taken(t: int, s1: float, s2: float, s3: float, push: float, pull: Array) -> None:
    """What of a stress the stiffness takes, into row t of pull."""
    middle = 0.5 * (s1 + s2)
    half = 0.5 * (s1 - s2)
    r = np.sqrt(half * half + s3 * s3)
    high, low = middle + r, middle - r
    high = high if high >= 0.0 else -push * high
    low = low if low >= 0.0 else -push * low
    u = 0.5 * (high + low)
    v = 0.5 * (high - low)
    cosine = half / r if r > 0.0 else 1.0
    sine = s3 / r if r > 0.0 else 0.0
    pull[t, 0] = u + v * cosine
    pull[t, 1] = u - v * cosine
    pull[t, 2] = v * sine


@njit(cache=True, parallel=True, fastmath=True)
def stretched(
    x: Array,
    triangles: Whole,
    slopes: Array,
    area: Array,
    stiff: Array,
    bent: Array,
    stress: Array,
    energy: Array,
) -> None:
    """Fills for each triangle its deformation bent (m, 2, 3), stress (m, 3) and energy (m,), erg.

    stiff: (m, 4) dyn/cm: across, across with along, along, shear. stress: across, along, shear,
    dyn/cm.
    """
    for t in prange(len(triangles)):
        i, j, k = triangles[t, 0], triangles[t, 1], triangles[t, 2]
        e1 = 0.0
        e2 = 0.0
        e3 = 0.0
        for a in range(3):
            f1 = slopes[t, 0, 0] * x[i, a] + slopes[t, 1, 0] * x[j, a] + slopes[t, 2, 0] * x[k, a]
            f2 = slopes[t, 0, 1] * x[i, a] + slopes[t, 1, 1] * x[j, a] + slopes[t, 2, 1] * x[k, a]
            bent[t, 0, a] = f1
            bent[t, 1, a] = f2
            e1 += f1 * f1
            e2 += f2 * f2
            e3 += f1 * f2
        e1 = 0.5 * (e1 - 1.0)
        e2 = 0.5 * (e2 - 1.0)
        s1 = stiff[t, 0] * e1 + stiff[t, 1] * e2
        s2 = stiff[t, 1] * e1 + stiff[t, 2] * e2
        s3 = stiff[t, 3] * e3
        stress[t, 0] = s1
        stress[t, 1] = s2
        stress[t, 2] = s3
        energy[t] = 0.5 * area[t] * (s1 * e1 + s2 * e2 + s3 * e3)


@njit(cache=True, parallel=True)
def retaken(stress: Array, push: float, pull: Array) -> None:
    """Fills pull (m, 3) with what of a stress (m, 3) is taken into the stiffness.

    All that pulls, and ``push`` times what pushes (-1: as it is, 0: not at all, 1: as if it
    pulled).
    """
    for t in prange(len(stress)):
        taken(t, stress[t, 0], stress[t, 1], stress[t, 2], push, pull)


@njit(cache=True, parallel=True, fastmath=True)
def foreseen(
    dx: Array,
    triangles: Whole,
    slopes: Array,
    stiff: Array,
    bent: Array,
    stress: Array,
    mixed: Array,
) -> None:
    """Fills mixed (m, 3) with the stress a step dx (n, 3) foresaw: stress and what is linear in dx.

    bent, stress: where the step began.
    """
    for t in prange(len(triangles)):
        e1 = 0.0
        e2 = 0.0
        e3 = 0.0
        for a in range(3):
            d1 = 0.0
            d2 = 0.0
            for c in range(3):
                v = triangles[t, c]
                d1 += slopes[t, c, 0] * dx[v, a]
                d2 += slopes[t, c, 1] * dx[v, a]
            e1 += bent[t, 0, a] * d1
            e2 += bent[t, 1, a] * d2
            e3 += bent[t, 0, a] * d2 + bent[t, 1, a] * d1
        mixed[t, 0] = stress[t, 0] + stiff[t, 0] * e1 + stiff[t, 1] * e2
        mixed[t, 1] = stress[t, 1] + stiff[t, 1] * e1 + stiff[t, 2] * e2
        mixed[t, 2] = stress[t, 2] + stiff[t, 3] * e3


@njit(cache=True, parallel=True, fastmath=True)
def force(
    around: Whole,
    around_triangle: Whole,
    around_corner: Whole,
    slopes: Array,
    area: Array,
    bent: Array,
    stress: Array,
    out: Array,
) -> None:
    """Adds the forces (n, 3), dyn, of the stretched triangles to out."""
    for i in prange(len(out)):
        f0 = 0.0
        f1 = 0.0
        f2 = 0.0
        for q in range(around[i], around[i + 1]):
            t = around_triangle[q]
            a = around_corner[q]
            g1 = slopes[t, a, 0]
            g2 = slopes[t, a, 1]
            u = area[t] * (stress[t, 0] * g1 + stress[t, 2] * g2)
            v = area[t] * (stress[t, 2] * g1 + stress[t, 1] * g2)
            f0 += u * bent[t, 0, 0] + v * bent[t, 1, 0]
            f1 += u * bent[t, 0, 1] + v * bent[t, 1, 1]
            f2 += u * bent[t, 0, 2] + v * bent[t, 1, 2]
        out[i, 0] -= f0
        out[i, 1] -= f1
        out[i, 2] -= f2


@njit(cache=True, parallel=True, fastmath=True)
def stiffness(
    ends: Whole,
    triangle: Whole,
    corner_a: Whole,
    corner_b: Whole,
    slopes: Array,
    area: Array,
    stiff: Array,
    bent: Array,
    pull: Array,
    constant: Array,
    out: Array,
) -> None:
    """Fills the blocks out (p, 3, 3) of the stiffness: triangles, and constants on diagonals."""
    for p in prange(len(out)):
        for k in range(3):
            for l in range(3):
                out[p, k, l] = 0.0
            out[p, k, k] = constant[p]
        for q in range(ends[p], ends[p + 1]):
            t = triangle[q]
            a = corner_a[q]
            b = corner_b[q]
            g1 = slopes[t, a, 0]
            g2 = slopes[t, a, 1]
            h1 = slopes[t, b, 0]
            h2 = slopes[t, b, 1]
            w = area[t]
            c = w * (
                g1 * (pull[t, 0] * h1 + pull[t, 2] * h2) + g2 * (pull[t, 2] * h1 + pull[t, 1] * h2)
            )
            for k in range(3):
                a1 = w * g1 * bent[t, 0, k]
                a2 = w * g2 * bent[t, 1, k]
                a3 = w * (g1 * bent[t, 1, k] + g2 * bent[t, 0, k])
                u1 = stiff[t, 0] * a1 + stiff[t, 1] * a2
                u2 = stiff[t, 1] * a1 + stiff[t, 2] * a2
                u3 = stiff[t, 3] * a3
                for l in range(3):
                    b1 = h1 * bent[t, 0, l]
                    b2 = h2 * bent[t, 1, l]
                    b3 = h1 * bent[t, 1, l] + h2 * bent[t, 0, l]
                    out[p, k, l] += u1 * b1 + u2 * b2 + u3 * b3
                out[p, k, k] += c
