"""Common points of two chains of cubics, by halving both until Newton can finish.

Pairs of pieces whose boxes miss each other (seen upright, and along each piece's chord) are
dropped; pieces that are nearly straight and cross at an angle seed Newton's method in two
parameters. Touching curves are halved to ``_SMALL``; curves that run along each other are
recognised and give the ends of the shared stretch (one place in it, when they brush along closer
than 1e-6 cm without coinciding).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pinwright.geometry import cubic as cb
from pinwright.geometry.nearest import nearest

Array = NDArray[np.float64]
Crossing = tuple[int, float, int, float]

MEET = 1e-9
"""Two curves this close, cm, have met."""

_SMALL = 5e-5
_FLAT = 0.02
_CROWD = 48
_CRUSH = 1000
_ALONG = 1e-6
_FIRST = cb.subcurve_matrix(0.0, 0.5)
_SECOND = cb.subcurve_matrix(0.5, 1.0)


def crossings(a: Array, b: Array) -> list[Crossing]:
    """All (span of a, u, span of b, v) where ``a`` (n, 4, 2) meets ``b`` (m, 4, 2)."""
    low_a, high_a = a.min(axis=1) - MEET, a.max(axis=1) + MEET
    low_b, high_b = b.min(axis=1), b.max(axis=1)
    apart = (low_a[:, None] > high_b[None]) | (low_b[None] > high_a[:, None])
    i, j = np.nonzero(~apart.any(axis=2))
    return crossings_of_pairs(a, b, i, j)


def crossings_of_pairs(
    a: Array, b: Array, i: NDArray[np.int_], j: NDArray[np.int_]
) -> list[Crossing]:
    """Crossings of the given pairs of spans only, each reported once per pair."""
    found: list[Crossing] = []
    u0, v0, width = np.zeros(len(i)), np.zeros(len(i)), 1.0
    p, q = a[i], b[j]
    for level in range(60):
        keep = _may_meet(p, q)
        i, j, p, q, u0, v0 = i[keep], j[keep], p[keep], q[keep], u0[keep], v0[keep]
        if not len(i):
            break
        done = np.zeros(len(i), dtype=np.bool_)
        clean, tiny = _ready(p, q)
        for k in np.nonzero(clean | tiny)[0].tolist():
            hit = _newton(a[i[k]], b[j[k]], *_seed(p[k], q[k], u0[k], v0[k], width))
            if hit is not None:
                found.append((int(i[k]), hit[0], int(j[k]), hit[1]))
        done |= clean | tiny
        if level >= 5 and not done.all():
            done |= _drop_shared(a, b, i, j, u0, v0, done, found)
        left = ~done
        i, j, p, q, u0, v0 = i[left], j[left], p[left], q[left], u0[left], v0[left]
        width *= 0.5
        p1, p2, q1, q2 = _FIRST @ p, _SECOND @ p, _FIRST @ q, _SECOND @ q
        p, q = np.concatenate([p1, p1, p2, p2]), np.concatenate([q1, q2, q1, q2])
        u0 = np.concatenate([u0, u0, u0 + width, u0 + width])
        v0 = np.concatenate([v0, v0 + width, v0, v0 + width])
        i, j = np.tile(i, 4), np.tile(j, 4)
    return _distinct(found)


def _may_meet(p: Array, q: Array) -> NDArray[np.bool_]:
    apart = (p.min(axis=1) > q.max(axis=1) + MEET) | (q.min(axis=1) > p.max(axis=1) + MEET)
    keep = ~apart.any(axis=1)
    for one, two in ((p, q), (q, p)):
        chord = one[:, 3] - one[:, 0]
        size = np.sqrt((chord**2).sum(axis=1))[:, None]
        across = np.stack([-chord[:, 1], chord[:, 0]], axis=1)[:, None]
        high_one = ((one - one[:, :1]) * across).sum(axis=2)
        high_two = ((two - one[:, :1]) * across).sum(axis=2)
        slack = MEET * size[:, 0]
        keep &= high_one.min(axis=1) <= high_two.max(axis=1) + slack
        keep &= high_two.min(axis=1) <= high_one.max(axis=1) + slack
    return np.asarray(keep, dtype=np.bool_)


def _ready(p: Array, q: Array) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Pairs sure to cross once at most (legs all within an angle of their chord), and tiny ones."""
    spread = [_spread(p), _spread(q)]
    cp, cq = p[:, 3] - p[:, 0], q[:, 3] - q[:, 0]
    size_p, size_q = np.hypot(cp[:, 0], cp[:, 1]), np.hypot(cq[:, 0], cq[:, 1])
    cross = np.abs(cp[:, 0] * cq[:, 1] - cp[:, 1] * cq[:, 0])
    # Legs off the chords by at most e (sines) and chords apart by more than 2e: hodographs apart.
    sure = cross > 4.0 * (spread[0] + spread[1] + 1e-6) * size_p * size_q
    clean = sure & (spread[0] < _FLAT * 10) & (spread[1] < _FLAT * 10)
    tiny = (size_p < _SMALL) & (size_q < _SMALL)
    return clean, tiny


def _spread(p: Array) -> Array:
    """Largest leg component across or against the chord, over the chord: 0 for a straight line."""
    chord = p[:, 3] - p[:, 0]
    size2 = (chord**2).sum(axis=1)
    legs = 3.0 * (p[:, 1:] - p[:, :-1])
    off = legs - chord[:, None]
    worst = np.sqrt((off**2).sum(axis=2).max(axis=1))
    out: Array = np.divide(worst, np.sqrt(size2), out=np.full(len(p), np.inf), where=size2 > 0.0)
    return out


def _seed(p: Array, q: Array, u0: float, v0: float, width: float) -> tuple[float, float]:
    """Where the chords cross, as parameters of the whole spans."""
    c, d, e = p[3] - p[0], q[3] - q[0], q[0] - p[0]
    det = c[0] * d[1] - c[1] * d[0]
    if abs(det) > 1e-3 * np.hypot(*c) * np.hypot(*d):
        t = (e[0] * d[1] - e[1] * d[0]) / det
        w = (e[0] * c[1] - e[1] * c[0]) / det
        t, w = min(max(t, -0.5), 1.5), min(max(w, -0.5), 1.5)
    else:
        t = w = 0.5
    return float(u0 + width * t), float(v0 + width * w)


def _newton(p: Array, q: Array, u: float, v: float) -> tuple[float, float] | None:
    """Closest approach of two cubics near (u, v); None when they do not meet inside [0, 1]²."""
    pc, qc = _power(p - p[0]), _power(q - p[0])
    for _ in range(40):
        px, py, pdx, pdy = _value(pc, u)
        qx, qy, qdx, qdy = _value(qc, v)
        rx, ry = qx - px, qy - py
        det = pdy * qdx - pdx * qdy
        scale = (abs(pdx) + abs(pdy)) * (abs(qdx) + abs(qdy))
        if abs(det) > 1e-7 * scale:
            du = (ry * qdx - rx * qdy) / det
            dv = (pdx * ry - pdy * rx) / det
        else:  # parallel: the least-squares step of least size
            squares = pdx * pdx + pdy * pdy + qdx * qdx + qdy * qdy
            if squares == 0.0:
                break
            du = (pdx * rx + pdy * ry) / squares
            dv = -(qdx * rx + qdy * ry) / squares
        du, dv = min(max(du, -0.25), 0.25), min(max(dv, -0.25), 0.25)
        u, v = min(max(u + du, -0.1), 1.1), min(max(v + dv, -0.1), 1.1)
        if abs(du) + abs(dv) < 1e-15:
            break
    return _admit(pc, qc, u, v)


def _admit(
    pc: list[tuple[float, ...]], qc: list[tuple[float, ...]], u: float, v: float
) -> tuple[float, float] | None:
    """Snap to the ends within MEET, and check that the curves do meet there."""
    _, _, dx, dy = _value(pc, u)
    slack_u = 2.0 * MEET / max((dx * dx + dy * dy) ** 0.5, MEET)
    _, _, dx, dy = _value(qc, v)
    slack_v = 2.0 * MEET / max((dx * dx + dy * dy) ** 0.5, MEET)
    if not (-slack_u <= u <= 1.0 + slack_u and -slack_v <= v <= 1.0 + slack_v):
        return None
    u, v = min(max(u, 0.0), 1.0), min(max(v, 0.0), 1.0)
    px, py, _, _ = _value(pc, u)
    qx, qy, _, _ = _value(qc, v)
    return (u, v) if (px - qx) ** 2 + (py - qy) ** 2 <= (4.0 * MEET) ** 2 else None


def _power(p: Array) -> list[tuple[float, ...]]:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = p.tolist()
    return [
        (x0, 3 * (x1 - x0), 3 * (x2 - 2 * x1 + x0), x3 - 3 * (x2 - x1) - x0),
        (y0, 3 * (y1 - y0), 3 * (y2 - 2 * y1 + y0), y3 - 3 * (y2 - y1) - y0),
    ]


def _value(c: list[tuple[float, ...]], t: float) -> tuple[float, float, float, float]:
    (a, b, e, d), (f, g, h, k) = c
    return (
        a + t * (b + t * (e + t * d)),
        f + t * (g + t * (h + t * k)),
        b + t * (2 * e + t * 3 * d),
        g + t * (2 * h + t * 3 * k),
    )


def _drop_shared(
    a: Array,
    b: Array,
    i: NDArray[np.int_],
    j: NDArray[np.int_],
    u0: Array,
    v0: Array,
    done: NDArray[np.bool_],
    found: list[Crossing],
) -> NDArray[np.bool_]:
    """Pairs that crowd because the two spans coincide: note the shared ends, stop halving them."""
    drop = np.zeros(len(i), dtype=np.bool_)
    keys = i * (len(b) + 1) + j
    values, counts = np.unique(keys[~done], return_counts=True)
    for key in values[counts > _CROWD].tolist():
        mine = keys == key
        crowd = np.nonzero(mine)[0].tolist()
        k = crowd[0]
        ends = _shared_ends(a[i[k]], b[j[k]], 4.0 * MEET)
        if ends is None and len(crowd) > _CRUSH:
            ends = _shared_ends(a[i[k]], b[j[k]], _ALONG)
            if ends is None:  # they only brush, or double back: the middle stands for the stretch
                m = crowd[len(crowd) // 2]
                hit = _newton(a[i[k]], b[j[k]], float(u0[m]), float(v0[m]))
                ends = [] if hit is None else [hit]
        if ends is not None:
            found.extend((int(i[k]), u, int(j[k]), v) for u, v in ends)
            drop |= mine
    return drop


def _shared_ends(p: Array, q: Array, near: float) -> list[tuple[float, float]] | None:
    """Ends of the stretch two cubics share within ``near`` cm; None when there is no such."""
    pairs: list[tuple[float, float]] = []
    for t in (0.0, 1.0):
        _, v, away = nearest(q[None], p[3 if t else 0])
        if away <= near:
            pairs.append((t, v))
        _, u, away = nearest(p[None], q[3 if t else 0])
        if away <= near:
            pairs.append((u, t))
    if len(pairs) < 2:
        return None
    first, last = min(pairs), max(pairs)
    if last[0] - first[0] < 1e-7:
        return None
    inner = first[0] + (last[0] - first[0]) * np.array([0.25, 0.5, 0.8])
    for point in cb.points(p[None], inner)[0]:
        if nearest(q[None], point)[2] > near:
            return None
    return [first, last]


def _distinct(found: list[Crossing]) -> list[Crossing]:
    kept: list[Crossing] = []
    for hit in sorted(found):
        i, u, j, v = hit
        if not any(
            i == k and j == m and abs(u - w) < 1e-7 and abs(v - x) < 1e-7 for k, w, m, x in kept
        ):
            kept.append(hit)
    return kept
