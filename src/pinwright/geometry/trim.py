"""Cutting the loops off a raw parallel: inner corners, and curves tighter than the distance."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry import curves
from pinwright.geometry.intersect import crossings_of_pairs

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

_PROBES = np.linspace(0.0, 1.0, 9)
_SHARED = 1e-7


def cut_loops(
    ctrl: Array, raw: Array, back: Flags, smooth: Flags, distance: float, tolerance: float
) -> Array:
    """``raw`` (k, 4, 2) without the loops that come nearer to ``ctrl`` than ``distance``.

    A place on the chain is span + u. The shortest loops go first, so that a chain that rightly
    crosses itself (or closes) keeps its crossing. ``back`` marks spans that must not survive.
    """
    line = shapely.LineString(curves.flatten(ctrl, 0.1 * tolerance))
    least = distance - 0.9 * tolerance
    near = _distances(line, raw) < least
    bad = near.any(axis=1) | back
    removed: list[tuple[float, float]] = []
    if bad.any():
        for start, end in sorted(self_crossings(raw, smooth), key=lambda c: c[1] - c[0]):
            if start < _SHARED and end > len(raw) - _SHARED:
                continue  # a closed chain meeting itself at its ends
            if any(a < start < b or a < end < b for a, b in removed):
                continue
            if _holds(bad, near, back, removed, start, end):
                removed = [(a, b) for a, b in removed if not (start <= a and b <= end)]
                removed.append((start, end))
    kept = _without(raw, sorted(removed))
    if removed or bad.any():
        left = _distances(line, kept)
        if left.min() < least:
            i, k = np.unravel_index(int(left.argmin()), left.shape)
            x, y = cb.points(kept[i : i + 1], _PROBES[k : k + 1])[0, 0].tolist()
            raise GeometryError(
                f"offset: no parallel at {distance:.6g} cm passes ({x:.6g}, {y:.6g}): the path is "
                f"only {float(left.min()):.6g} cm away there, tighter or nearer than the distance."
            )
    return kept


def self_crossings(ctrl: Array, smooth: Flags | None = None) -> list[tuple[float, float]]:
    """Places (span + u) < (span + u) where a chain meets itself, other than at its joints.

    ``smooth`` (k - 1,) marks joints whose two spans need no test against each other.
    """
    low, high = ctrl.min(axis=1), ctrl.max(axis=1)
    apart = ((low[:, None] > high[None]) | (low[None] > high[:, None])).any(axis=2)
    apart[np.tril_indices(len(ctrl))] = True
    if smooth is not None:
        joint = np.arange(len(ctrl) - 1)
        apart[joint, joint + 1] |= smooth
    i, j = np.nonzero(~apart)
    found = ((a + u, b + v) for a, u, b, v in crossings_of_pairs(ctrl, ctrl, i, j))
    return [(s, t) for s, t in found if t - s > _SHARED]


def _holds(
    bad: Flags, near: Flags, back: Flags, removed: list[tuple[float, float]], s: float, t: float
) -> bool:
    """Does the loop from s to t still hold a place that must go?"""
    for i in np.nonzero(bad)[0].tolist():
        places = i + _PROBES[near[i]] if not back[i] else i + np.array([0.5])
        for place in places.tolist():
            if s < place < t and not any(a <= place <= b for a, b in removed):
                return True
    return False


def _distances(line: shapely.LineString, ctrl: Array) -> Array:
    pts = cb.points(ctrl, _PROBES)
    out: Array = shapely.distance(shapely.points(pts), line)
    return out


def _without(raw: Array, removed: list[tuple[float, float]]) -> Array:
    if not removed:
        return raw
    pieces: list[Array] = []
    at = 0.0
    for start, end in [*removed, (float(len(raw)), 0.0)]:
        piece = _stretch(raw, at, start)
        if pieces and len(piece):
            middle = 0.5 * (pieces[-1][-1, 3] + piece[0, 0])
            pieces[-1][-1, 3] = middle
            piece[0, 0] = middle
        if len(piece):
            pieces.append(piece)
        at = end
    if not pieces:
        raise GeometryError("offset: nothing is left of the parallel at this distance.")
    return np.concatenate(pieces)


def _stretch(raw: Array, start: float, end: float) -> Array:
    """The spans from place ``start`` to place ``end``."""
    first, last = int(start), min(int(end), len(raw) - 1)
    out: list[Array] = []
    for i in range(first, last + 1):
        u0, u1 = max(start - i, 0.0), min(end - i, 1.0)
        if u1 - u0 > 1e-9:
            out.append(raw[i] if u0 == 0.0 and u1 == 1.0 else cb.subcurve(raw[i], u0, u1))
    return np.stack(out) if out else np.empty((0, 4, 2))
