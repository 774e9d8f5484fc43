"""Which triangles of a surface meet, and along which lines.

Which do is decided by signs of determinants alone (Guigue & Devillers 2003, "Fast and robust
triangle-triangle overlap test using orientation predicates", Journal of Graphics Tools 8(1)), and
these signs are never wrong: where rounding could turn one (the bound is Shewchuk's: 1997,
"Adaptive precision floating-point arithmetic and fast robust geometric predicates", Discrete &
Computational Geometry 18) it is worked out in fractions. Triangles without area are passed over:
their edges are their neighbours'.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole

Signs = NDArray[np.int8]

SURE = 64.0 * float(np.finfo(float).eps)
"""So much of the product of three lengths their determinant is off by rounding, at the most."""


def meeting(points: Array, corners: Whole) -> Whole:
    """The pairs (k, 2), lower first, of triangles (t, 3) that share no vertex and share a point."""
    i, j = _near(points, corners)
    apart = (corners[i][:, :, None] != corners[j][:, None, :]).all(axis=(1, 2))
    i, j = i[apart], j[apart]
    a, b = points[corners[i]], points[corners[j]]
    u, v = (np.linalg.norm(points[corners[:, k]] - points[corners[:, 0]], axis=1) for k in (1, 2))
    across, size = _across(points[corners]), u * v
    area = np.linalg.norm(across, axis=1) > 0.0
    may = np.ones(len(i), dtype=np.bool_)
    for one, p, q in ((i, a, b), (j, b, a)):
        arm = q - p[:, :1]
        off = np.einsum("kij,kj->ki", arm, across[one])
        unsure = SURE * size[one] * np.abs(arm).sum(axis=2).max(axis=1)
        may = may & area[one] & (off.min(axis=1) <= unsure) & (off.max(axis=1) >= -unsure)
    i, j, a, b = i[may], j[may], a[may], b[may]
    hit = _overlap(a, b)
    found: Whole = np.stack([i[hit], j[hit]], axis=1)
    return found[np.lexsort((found[:, 1], found[:, 0]))]


def _near(points: Array, corners: Whole) -> tuple[Whole, Whole]:
    """The pairs i < j of triangles whose boxes meet.

    Upright columns are swept upwards. A pair is told in the one column where both are for the
    first time.
    """
    box = points[corners]
    low, high = box.min(axis=1), box.max(axis=1)
    base = low.min(axis=0)
    wide = 2.0 * float((high - low)[:, :2].mean()) + 1e-12
    first = np.floor((low[:, :2] - base[:2]) / wide).astype(np.int64)
    last = np.floor((high[:, :2] - base[:2]) / wide).astype(np.int64)
    count = last - first + 1
    each = count[:, 0] * count[:, 1]
    who = np.repeat(np.arange(len(corners)), each)
    step = np.arange(len(who)) - np.repeat(np.cumsum(each) - each, each)
    x = first[who, 0] + step // count[who, 1]
    y = first[who, 1] + step % count[who, 1]
    tall = float(high[:, 2].max() - base[2]) + 1.0
    column = (x * (int(last[:, 1].max()) + 1) + y) * (2.0 * tall)
    start = column + low[who, 2] - base[2]
    order = np.argsort(start, kind="stable")
    who, x, y, start, column = who[order], x[order], y[order], start[order], column[order]
    # a hair more than the box: sums as large as these are not exact
    end = np.searchsorted(start, column + high[who, 2] - base[2] + 1e-6, side="right")
    more = end - np.arange(len(who)) - 1
    p = np.repeat(np.arange(len(who)), more)
    q = p + 1 + np.arange(len(p)) - np.repeat(np.cumsum(more) - more, more)
    i, j = who[p], who[q]
    keep = np.ones(len(p), dtype=bool)
    for k, at in ((0, x), (1, y)):
        keep &= at[p] == np.maximum(first[i, k], first[j, k])
        keep &= (low[i, k] <= high[j, k]) & (low[j, k] <= high[i, k])
    i, j = i[keep], j[keep]
    return np.minimum(i, j), np.maximum(i, j)


def side(a: Array, b: Array, c: Array, d: Array) -> Signs:
    """On which side of the plane a, b, c lies d, all (k, 3): the sign (k,) of ab x ac . ad.

    Exact for the numbers given.
    """
    u, v, w = a - d, b - d, c - d
    x, y = v[:, [1, 2, 0]] * w[:, [2, 0, 1]], v[:, [2, 0, 1]] * w[:, [1, 2, 0]]
    value = -np.einsum("ij,ij->i", u, x - y)
    bound = 8.0 * np.finfo(float).eps * np.einsum("ij,ij->i", np.abs(u), np.abs(x) + np.abs(y))
    found: Signs = np.sign(value).astype(np.int8)
    for k in np.flatnonzero((np.abs(value) <= bound) & (bound > 0.0)):
        found[k] = _exact(np.stack([a[k], b[k], c[k], d[k]]))
    return found


def _exact(rows: Array) -> int:
    p = [[Fraction(x) for x in row] for row in rows.tolist()]
    u, v, w = ([x - y for x, y in zip(q, p[0], strict=True)] for q in p[1:])
    value = (
        (u[1] * v[2] - u[2] * v[1]) * w[0]
        + (u[2] * v[0] - u[0] * v[2]) * w[1]
        + (u[0] * v[1] - u[1] * v[0]) * w[2]
    )
    return (value > 0) - (value < 0)


def _sides(a: Array, b: Array) -> Signs:
    """The side (k, 3) of the plane of b on which each corner of a lies; both (k, 3, 3)."""
    return np.stack([side(b[:, 0], b[:, 1], b[:, 2], a[:, m]) for m in range(3)], axis=1)


def _overlap(a: Array, b: Array) -> NDArray[np.bool_]:
    """Which triangles a and b (k, 3, 3) have a point in common (k,)."""
    of_a, of_b = _sides(a, b), _sides(b, a)
    flat = (of_a == 0).all(axis=1) | (of_b == 0).all(axis=1)
    hit: NDArray[np.bool_] = ~flat
    for sign in (of_a, of_b):
        hit &= ~(sign > 0).all(axis=1) & ~(sign < 0).all(axis=1)
    some = np.flatnonzero(hit)
    a1, up_a = _lone_first(a[some], of_a[some])
    b1, up_b = _lone_first(b[some], of_b[some])
    # each plane is turned so that the other's lone corner lies over it
    p, q, r = _turned(a1, ~up_b)
    s, t, u = _turned(b1, ~up_a)
    hit[some] = (side(p, q, s, t) <= 0) & (side(p, r, s, u) >= 0)
    some = np.flatnonzero(flat)
    hit[some] = _overlap_flat(a[some], b[some])
    return hit


def _lone_first(corner: Array, sign: Signs) -> tuple[Array, NDArray[np.bool_]]:
    """Triangles turned so that the corner alone on its side comes first; whether that is over."""
    over, under = sign > 0, sign < 0
    one_over = over.sum(axis=1) == 1
    one_under = ~one_over & (under.sum(axis=1) == 1)
    alone = np.where(one_over[:, None], over, np.where(one_under[:, None], under, sign == 0))
    first = np.argmax(alone, axis=1)
    turn = (first[:, None] + np.arange(3)) % 3
    # one corner in the plane and two on a side: it counts to the other side
    up = one_over | (~one_under & (under.sum(axis=1) == 2))
    return np.take_along_axis(corner, turn[:, :, None], axis=1), up


def _turned(corner: Array, turn: NDArray[np.bool_]) -> tuple[Array, Array, Array]:
    t = turn[:, None]
    first, second, third = corner[:, 0], corner[:, 1], corner[:, 2]
    return first, np.where(t, third, second), np.where(t, second, third)


def _overlap_flat(a: Array, b: Array) -> NDArray[np.bool_]:
    """Which triangles (k, 3, 3), each pair in one plane, have a point in common (k,).

    They do unless an edge of one has the whole other strictly beyond it.
    """
    across = _across(a)
    # the eye: a point off their plane, so that a side of an edge becomes a side of a plane
    axis = np.eye(3)[np.argmax(np.abs(across), axis=1)]
    eye = a[:, 0] + axis
    hit = np.ones(len(a), dtype=bool)
    for one, other in ((a, b), (b, a)):
        for m in range(3):
            p, q, r = (one[:, (m + k) % 3] for k in range(3))
            own = side(p, q, eye, r)
            beyond = [side(p, q, eye, other[:, k]) == -own for k in range(3)]
            hit &= ~np.all(beyond, axis=0)
    return hit


def line(points: Array, corners: Whole, pairs: Whole) -> Array:
    """The two ends (k, 2, 3) of the line in which each pair (k, 2) of triangles crosses.

    Of two in one plane, or that only touch: the corner that is nearest the other, twice.
    """
    a, b = points[corners[pairs[:, 0]]], points[corners[pairs[:, 1]]]
    ends, stands = [], []
    for one, other in ((a, b), (b, a)):
        n = _across(other)
        n = n / np.linalg.norm(n, axis=1, keepdims=True)
        off = np.einsum("kij,kj->ki", one - other[:, :1], n)
        nxt = np.roll(off, -1, axis=1)
        through = (off <= 0.0) != (nxt <= 0.0)
        part = np.where(through, off, 0.0) / np.where(through, off - nxt, 1.0)
        at = one + part[:, :, None] * (np.roll(one, -1, axis=1) - one)
        ends.append((at, through))
        # first nearest its plane, and of those in its plane nearest its middle
        far = np.linalg.norm(one - other.mean(axis=1, keepdims=True), axis=2)
        stands.append(np.abs(off) + 1e-6 * far)
    every = np.concatenate([ends[0][0], ends[1][0]], axis=1)
    known = np.concatenate([ends[0][1], ends[1][1]], axis=1)
    along = np.cross(_across(a), _across(b))
    far = np.einsum("kij,kj->ki", every - every[:, :1], along)
    order = np.argsort(np.where(known, far, np.inf), axis=1)[:, 1:3]
    found = np.take_along_axis(every, order[:, :, None], axis=1)
    bare = known.sum(axis=1) < 4
    least = np.argmin(np.concatenate(stands, axis=1)[bare], axis=1)
    touch = np.concatenate([a, b], axis=1)[bare]
    found[bare] = touch[np.arange(len(touch)), least][:, None]
    return found


def _across(tri: Array) -> Array:
    """Square to each triangle (k, 3, 3), outwards, twice its area long: (k, 3)."""
    found: Array = np.cross(tri[:, 1] - tri[:, 0], tri[:, 2] - tri[:, 0])
    return found
