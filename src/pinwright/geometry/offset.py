"""The parallel of a chain of cubics, within a stated tolerance.

The parallel of a cubic is not a cubic. Each span gets the cubic that agrees with the true parallel
in ends, tangents and end speeds, P'(1 - κd), and is halved until the two part by no more than half
the tolerance; corners are joined, and the loops of inner corners and of curves tighter than the
distance are cut off (see ``trim``).

References
----------
W. Tiller, E. G. Hanson, Offsets of two-dimensional profiles, IEEE CG&A 4(9), 1984 (from memory).
"""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, degrees, hypot, isfinite, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry import curves
from pinwright.geometry.trim import cut_loops

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_PROBES = np.linspace(0.0, 1.0, 9)
_DEPTH = 24


class Raw(NamedTuple):
    """Parallel spans (k, 4, 2), in order, and which of them run backwards or join an inner corner.

    ``smooth[i]`` tells that span i runs into span i + 1 without a corner.
    """

    ctrl: Array
    back: Flags
    smooth: Flags


def offset_cubics(ctrl: Array, d: float, join: str, tolerance: float, mitre_limit: float) -> Array:
    """Cubics parallel to ``ctrl`` (n, 4, 2) at ``d`` cm to the left (negative: right).

    Every point is at least ``|d| - tolerance`` from ``ctrl`` and, except in corner joins, at most
    ``|d| + tolerance`` (cm). Outer corners: ``"mitre"`` runs the edges on until they meet, cut
    square at ``mitre_limit`` times ``|d|`` from the corner; ``"round"`` keeps the distance. The
    result begins and ends square to the ends of ``ctrl``; a closed path (ends within 1e-9 cm) gives
    a closed parallel, begun beside the middle of its longest span.

    Raises GeometryError for a distance that is 0 or not finite, a tolerance of 0 or less, an
    unknown join, a limit below 1, or when an end is too tight or too close to another part for any
    parallel to start there.
    """
    _check(d, join, tolerance, mitre_limit)
    ctrl = ctrl[np.abs(ctrl - ctrl[:, :1]).max(axis=(1, 2)) > 0.0]
    if not len(ctrl):
        raise GeometryError("offset: a path without length has no parallel.")
    if np.abs(ctrl[0, 0] - ctrl[-1, 3]).max() < 1e-9:
        ctrl = _begun_in_a_span(ctrl)
    raw = _joined(ctrl, _parallels(ctrl, d, 0.5 * tolerance), d, join, tolerance, mitre_limit)
    return cut_loops(ctrl, raw.ctrl, raw.back, raw.smooth, abs(d), tolerance)


def _begun_in_a_span(ring: Array) -> Array:
    """A closed chain begun inside its longest span, so that every corner has two neighbours."""
    k = int(cb.lengths(ring).argmax())
    halves = curves.cut_at(ring[k], [0.5])
    return np.concatenate([halves[1:], ring[k + 1 :], ring[:k], halves[:1]])


def _check(d: float, join: str, tolerance: float, mitre_limit: float) -> None:
    if not isfinite(d) or d == 0.0:
        raise GeometryError(f"offset: the distance must be finite and not 0 cm, not {d}.")
    if not tolerance > 0.0:
        raise GeometryError(f"offset: the tolerance must be more than 0 cm, not {tolerance}.")
    if join not in ("mitre", "round"):
        raise GeometryError(f'offset: the join must be "mitre" or "round", not "{join}".')
    if not mitre_limit >= 1.0:
        raise GeometryError(f"offset: the mitre limit must be 1 or more, not {mitre_limit}.")


def _parallels(ctrl: Array, d: float, tolerance: float) -> tuple[Array, Flags, NDArray[np.int_]]:
    """Parallel cubics in order, whether each runs backwards, and the span it came from."""
    span, start, width = np.arange(len(ctrl)), np.zeros(len(ctrl)), 1.0
    out: list[tuple[Array, Flags, NDArray[np.int_], Array]] = []
    for depth in range(_DEPTH + 1):
        part = cb.subcurve(ctrl[span], start, start + width)
        fit, forward, miss = _fit(part, d)
        mixed = forward.any(axis=1) & ~forward.all(axis=1)
        size = np.abs(part - part[:, :1]).max(axis=(1, 2))
        ok = (miss <= tolerance) & (~mixed | (size <= 0.1 * tolerance))
        if depth == _DEPTH:
            ok[:] = True  # a cusp of the path itself: what is left is a corner, and joined as one
        out.append((fit[ok], ~forward[ok].all(axis=1), span[ok], start[ok]))
        span, start = span[~ok], start[~ok]
        if not len(span):
            break
        width *= 0.5
        span, start = np.repeat(span, 2), np.repeat(start, 2)
        start[1::2] += width
    fits, backs, spans, starts = (np.concatenate(column) for column in zip(*out, strict=True))
    order = np.lexsort((starts, spans))
    return fits[order], backs[order], spans[order]


def _fit(part: Array, d: float) -> tuple[Array, Flags, Array]:
    """Cubics by end points, tangents and speeds; forward at the probes; largest miss, cm."""
    at = cb.points(part, _PROBES)
    d1, d2 = cb.derivatives(part, _PROBES), cb.second_derivatives(part, _PROBES)
    speed = np.hypot(d1[..., 0], d1[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        tangent = d1 / speed[..., None]
        bend = (d1[..., 0] * d2[..., 1] - d1[..., 1] * d2[..., 0]) / speed**3
    size = np.abs(part - part[:, :1]).max(axis=(1, 2))
    still = speed <= 1e-9 * size[:, None]  # folded handles: the limit direction, handle left at 0
    for i, k in np.argwhere(still).tolist():
        tangent[i, k] = curves.direction(part[i], float(_PROBES[k]))
        bend[i, k] = 0.0
    normal = np.stack([-tangent[..., 1], tangent[..., 0]], axis=-1)
    true = at + d * normal
    gain = 1.0 - d * bend
    handle0 = (gain[:, 0] * speed[:, 0] / 3.0)[:, None] * tangent[:, 0]
    handle1 = (gain[:, -1] * speed[:, -1] / 3.0)[:, None] * tangent[:, -1]
    fit = np.stack([true[:, 0], true[:, 0] + handle0, true[:, -1] - handle1, true[:, -1]], axis=1)
    miss = np.sqrt(((cb.points(fit, _PROBES) - true) ** 2).sum(axis=2).max(axis=1))
    return fit, gain >= 0.0, miss


def _joined(
    ctrl: Array,
    parallels: tuple[Array, Flags, NDArray[np.int_]],
    d: float,
    join: str,
    tolerance: float,
    mitre_limit: float,
) -> Raw:
    """The parallels made one chain: small gaps closed, corners mitred or rounded."""
    fits, backs, spans = parallels
    chain, back, smooth = [fits[0].copy()], [bool(backs[0])], list[bool]()
    for k in range(1, len(fits)):
        before, after = chain[-1], fits[k].copy()
        gap = hypot(*(after[0] - before[3]))
        if gap <= 0.1 * tolerance:
            middle = 0.5 * (before[3] + after[0])
            before[2:] += middle - before[3]
            after[:2] += middle - after[0]
            smooth.append(True)
        else:
            into = curves.direction(ctrl[spans[k - 1]], 1.0)
            out_of = curves.direction(ctrl[spans[k]], 0.0)
            corner = 0.5 * (before[3] + after[0] - d * (_left(into) + _left(out_of)))
            turn = atan2(into[0] * out_of[1] - into[1] * out_of[0], float(into @ out_of))
            inner = turn * d > 0.0
            if inner:
                bridge = [before[3], corner, after[0]]
            elif join == "round":
                bridge = []
                for piece in _round(corner, before[3], after[0], abs(d), turn):
                    chain.append(piece)
                    back.append(False)
                    smooth.append(True)
            else:
                bridge = _mitre(before, after, into, out_of, d, turn, mitre_limit)
            for p, q in pairwise(bridge):
                chain.append(cb.line(p, q))
                back.append(inner)
                smooth.append(False)
            smooth.append(not bridge)
        chain.append(after)
        back.append(bool(backs[k]))
    return Raw(np.stack(chain), np.array(back), np.array(smooth, dtype=np.bool_))


def _left(t: Array) -> Array:
    return np.array([-t[1], t[0]])


def _round(corner: Array, p: Array, q: Array, radius: float, turn: float) -> list[Array]:
    start = degrees(atan2(p[1] - corner[1], p[0] - corner[0]))
    pieces = list(curves.arc(corner, radius, start, degrees(turn)))
    pieces[0][0], pieces[-1][3] = p, q
    return pieces


def _mitre(
    before: Array,
    after: Array,
    into: Array,
    out_of: Array,
    d: float,
    turn: float,
    limit: float,
) -> list[Array]:
    """Corner points to add; a straight neighbour is run on to the corner in place."""
    half = 0.5 * abs(turn)
    if cos(half) * limit >= 1.0:
        reach = abs(d) * sin(half) / cos(half)
        tips = [before[3] + reach * into]
    else:  # cut square at the limit
        reach = abs(d) * (limit - cos(half)) / sin(half)
        tips = [before[3] + reach * into, after[0] - reach * out_of]
    bridge = [before[3].copy(), *tips, after[0].copy()]
    if _straight(before):
        before[:] = cb.line(before[0], tips[0])
        bridge.pop(0)
    if _straight(after):
        after[:] = cb.line(tips[-1], after[3])
        bridge.pop()
    return bridge


def _straight(span: Array) -> bool:
    return bool(
        np.abs(span - cb.line(span[0], span[3])).max() <= 1e-12 * (1.0 + np.abs(span).max())
    )
