"""Lines found point by point, drawn round: cubics through the points, in short stretches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from pinwright.figure.body.model import Array
from pinwright.geometry import curves
from pinwright.geometry.trim import self_crossings

CORNER = np.radians(50.0)
"""Where a line turns more from one point to the next it has a corner; else it is round."""

STRETCH = 40
"""So many points of a line at most are rounded together."""

NARROW = 0.005
"""How closely a closed line is followed to see whether it crosses itself, cm."""

_THIRDS = np.arange(4.0)[:, None] / 3.0


def rounded(line: Array) -> Array:
    """A line (m, 2), open or closed, as cubics (m - 1, 4, 2) through its points, to 0.01 cm.

    It is round but at its corners, and no handle leaves the box that the points fill, so neither
    does the curve. Where a closed line is so narrow that round spans would cross, they are
    straight, as the points have them.
    """
    closed = bool((line[0] == line[-1]).all())
    points = line[:-1] if closed else line
    n = len(points)
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    across = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    corner = np.abs(np.arctan2(across, (before * after).sum(axis=1))) > CORNER
    if not closed:
        corner[[0, -1]] = True
    joints = np.flatnonzero(corner | (np.arange(n) % STRETCH == 0)).tolist()
    if closed:
        joints.append(joints[0] + n)
    spans = []
    for first, last in pairwise(joints):
        some = np.arange(first, last + 1) % n
        ways = [None if corner[k] else before[k] + after[k] for k in (some[0], some[-1])]
        spans.append(curves.through(points[some], *ways))
    boxed = np.clip(np.concatenate(spans), line.min(axis=0), line.max(axis=0))
    found: Array = np.round(boxed, 2).astype(np.float64)
    return _uncrossed(found) if closed else found


def _uncrossed(spans: Array) -> Array:
    """A closed chain (n, 4, 2) whose spans are straight where they would cross another."""
    straight: set[int] = set()
    while tight := _crossed(spans) - straight:
        some = sorted(tight)
        first, last = spans[some, :1], spans[some, 3:]
        spans = spans.copy()
        spans[some] = first + _THIRDS * (last - first)
        straight |= tight
    return spans


def _crossed(spans: Array) -> set[int]:
    """The spans of a closed chain that cross another."""
    if shapely.LinearRing(curves.flatten(spans, NARROW)).is_simple:
        return set()
    # it meets itself where it closes, and there it should
    whole = len(spans) - 1e-6
    pairs = (pair for pair in self_crossings(spans) if pair[1] - pair[0] < whole)
    return {int(place) for pair in pairs for place in pair}
