"""How the bending of a shell changes with its flat corners and with its rigidities.

The bending of :mod:`pinwright.drape.solver.stencils` is y B x with B = F' W F: F the folds at the
hinges, W for each triangle its area over what its sides tell of the second derivatives. Backwards
through that (reverse accumulation, by hand).
"""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.stencils import Stencils


def flat_corners(st: Stencils) -> Array:
    """Flat corners (m, 3, 2) of the triangles, cm, each with its first corner at the origin."""
    # slopes of two corners are the inverse of the flat sides that lead to them
    sides = np.linalg.inv(st.slopes[:, 1:]).transpose(0, 2, 1)
    return np.concatenate([np.zeros((len(sides), 1, 2)), sides], axis=1)


def bending_by(
    st: Stencils, along: float, across: float, y: Array, x: Array, bends: Array | None = None
) -> tuple[Array, float, float]:
    """Derivatives of y B x, for y and x (n, 3) that stay.

    Returns those by flat corners (m, 3, 2) and by the rigidities along and across, as in
    :func:`pinwright.drape.solver.stencils.bending`; bends: as in ``Setting.bends``.
    """
    both = np.sqrt(along * across)
    # so much less supple each triangle is
    less = 1.0 / bends if bends is not None else np.ones(len(st.turn))
    supple = less[:, None] * np.array([1.0 / across, 0.5 / both, 1.0 / along])
    free = st.sides < 0
    given = np.einsum("mic,mc,mjc->mij", st.turn, supple, st.turn)
    trace = np.einsum("mii->m", given)
    given[:, [0, 1, 2], [0, 1, 2]] += np.where(free, 1.0, 0.0) + 1e-6 * trace[:, None]
    inverse = np.linalg.inv(given)
    bent_y = np.einsum("hk,hkd->hd", st.fold, y[st.hinge])
    bent_x = np.einsum("hk,hkd->hd", st.fold, x[st.hinge])
    at_y = np.where(free[..., None], 0.0, bent_y[st.sides])
    at_x = np.where(free[..., None], 0.0, bent_x[st.sides])
    pair = np.einsum("mid,mjd->mij", at_y, at_x)
    pair = 0.5 * (pair + pair.transpose(0, 2, 1))
    by_area = np.einsum("mij,mij->m", inverse, pair)
    by_given = -st.area[:, None, None] * inverse @ pair @ inverse
    by_given[:, [0, 1, 2], [0, 1, 2]] += 1e-6 * np.einsum("mii->m", by_given)[:, None]
    by_turn = 2.0 * np.einsum("mij,mjc,mc->mic", by_given, st.turn, supple)
    by_supple = np.einsum("m,mic,mij,mjc->c", less, st.turn, by_given, st.turn)
    weight = st.area[:, None, None] * inverse
    by_fold = np.einsum("hkd,hd->hk", y[st.hinge], _beside(st, weight, at_x)) + np.einsum(
        "hkd,hd->hk", x[st.hinge], _beside(st, weight, at_y)
    )
    by_flat = _by_corners(st, by_fold, by_turn)
    by_flat += (by_area * st.area)[:, None, None] * st.slopes
    by_along = -by_supple[2] / along**2 - 0.25 * by_supple[1] / both / along
    by_across = -by_supple[0] / across**2 - 0.25 * by_supple[1] / both / across
    return by_flat, float(by_along), float(by_across)


def _beside(st: Stencils, weight: Array, at: Array) -> Array:
    """What triangles make of the folds at their sides (m, 3, 3), summed at the hinges (h, 3)."""
    out = np.zeros((len(st.hinge), 3))
    there = st.sides >= 0
    np.add.at(out, st.sides[there], np.einsum("mij,mjd->mid", weight, at)[there])
    return out


def _halves(st: Stencils) -> tuple[Whole, Whole, Whole]:
    """The sides that have a hinge, as 3 t + k: (2 h,); the mate of each, as its number among
    these; and in which column (2 or 3) of the hinge the corner opposite stands."""
    side = st.sides.ravel()
    half = np.flatnonzero(side >= 0)
    order = np.argsort(side[half], kind="stable")
    mate = np.empty(len(half), np.int64)
    mate[order[0::2]], mate[order[1::2]] = order[1::2], order[0::2]
    column = np.where(half < half[mate], 2, 3)
    return half, mate, column


def _by_corners(st: Stencils, by_fold: Array, by_turn: Array) -> Array:
    """From folds (h, 4) and turns (m, 3, 3) to flat corners (m, 3, 2).

    With f how far the corner opposite lies off a side (as a part of it) and p how far along, of
    the triangle and its mate, d the side and n across it: the folds are ((1-p)/f + (1-p')/f',
    p/f + p'/f', -1/f, -1/f'), and the turn is (p(1-p)/f + p'(1-p')/f') [dd] - (p - p') [dn] -
    (f + f') [nn], where [uv] are the second derivatives of a bowl along u and v.
    """
    flat = flat_corners(st)
    half, mate, column = _halves(st)
    t, k = np.divmod(half, 3)
    d = flat[t, (k + 1) % 3] - flat[t, k]
    off = flat[t, (k + 2) % 3] - flat[t, k]
    square = (d * d).sum(axis=1)
    f = (d[:, 0] * off[:, 1] - d[:, 1] * off[:, 0]) / square
    own = (d * off).sum(axis=1) / square
    hinge = st.sides.ravel()[half]
    way = np.where(st.triangles[t, k] == st.hinge[hinge, 0], 1.0, -1.0)
    p = np.where(way > 0.0, own, 1.0 - own)
    f2, p2 = f[mate], p[mate]

    g = by_fold[hinge]
    by_p = (g[:, 1] - g[:, 0]) / f
    by_f = (g[np.arange(len(half)), column] - (1.0 - p) * g[:, 0] - p * g[:, 1]) / f**2

    g0, g1, g2 = by_turn[t, k].T
    u, v = d.T
    bowl = 0.5 * g0 * u * u + g1 * u * v + 0.5 * g2 * v * v
    skew = way * (g1 * (u * u - v * v) + (g2 - g0) * u * v)
    over = 0.5 * g0 * v * v - g1 * u * v + 0.5 * g2 * u * u
    by_p += (1.0 - 2.0 * p) / f * bowl - skew
    by_f += -p * (1.0 - p) / f**2 * bowl - over
    # what the turn of this triangle owes to the shape of its mate
    by_p[mate] += (1.0 - 2.0 * p2) / f2 * bowl + skew
    by_f[mate] += -p2 * (1.0 - p2) / f2**2 * bowl - over
    high = p * (1.0 - p) / f + p2 * (1.0 - p2) / f2
    aside = way * (p - p2)
    by_u = high * (g0 * u + g1 * v) - aside * (2.0 * g1 * u + (g2 - g0) * v)
    by_v = high * (g1 * u + g2 * v) - aside * (-2.0 * g1 * v + (g2 - g0) * u)
    by_u -= (f + f2) * (g2 * u - g1 * v)
    by_v -= (f + f2) * (g0 * v - g1 * u)

    by_own = way * by_p
    cross = np.stack([off[:, 1], -off[:, 0]], axis=1)
    by_d = np.stack([by_u, by_v], axis=1)
    by_d += (by_f / square)[:, None] * (cross - 2.0 * f[:, None] * d)
    by_d += (by_own / square)[:, None] * (off - 2.0 * own[:, None] * d)
    by_off = (by_f / square)[:, None] * np.stack([-d[:, 1], d[:, 0]], axis=1)
    by_off += (by_own / square)[:, None] * d
    out = np.zeros_like(flat)
    np.add.at(out, (t, (k + 1) % 3), by_d)
    np.add.at(out, (t, (k + 2) % 3), by_off)
    np.add.at(out, (t, k), -by_d - by_off)
    return out
