"""The convolution of two closed polygons: the curve from which Minkowski sums are filled.

Guibas, Ramshaw and Stolfi 1983, "A kinetic framework for computational geometry": an edge of one
polygon is taken at every corner of the other whose turn passes through the edge's direction,
forwards where the corner turns left and backwards where it turns right. The edges found join to
closed cycles. Of two simple polygons, anticlockwise, the cycles wind round a point as often as
one polygon and the mirrored other, moved there, have common parts: never round a point outside
their Minkowski sum. There are about as many edges as corners, not their product.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt

Units = npt.NDArray[np.int64]


def cycles(p: Units, q: Units) -> list[Units]:
    """Closed cycles of the convolution of ``p`` (n, 2) and ``q`` (m, 2), whole units."""
    p, q = _distinct(p), _distinct(q)
    n, m = len(p), len(q)
    ap, aq = _directions(p), _directions(q)
    found, rank = np.unique(np.concatenate([ap, aq]), return_inverse=True)
    round_ = 2 * len(found)
    # Parallel edges: those of q count as turned a little further left.
    rp, rq = 2 * rank[:n], 2 * rank[n:] + 1
    steps: dict[int, list[int]] = defaultdict(list)
    left_q, at_q = _passed(rp, rq, aq, round_)
    for i, j in zip(*np.nonzero(at_q), strict=True):
        a, b = i * m + j, (i + 1) % n * m + j
        if left_q[j]:
            steps[int(a)].append(int(b))
        else:
            steps[int(b)].append(int(a))
    left_p, at_p = _passed(rq, rp, ap, round_)
    for j, i in zip(*np.nonzero(at_p), strict=True):
        a, b = i * m + j, i * m + (j + 1) % m
        if left_p[i]:
            steps[int(a)].append(int(b))
        else:
            steps[int(b)].append(int(a))
    rings = []
    for start in list(steps):
        while steps[start]:
            ring, here = [start], steps[start].pop()
            while here != start:
                ring.append(here)
                here = steps[here].pop()
            nodes = np.array(ring)
            rings.append(p[nodes // m] + q[nodes % m])
    return rings


def _distinct(p: Units) -> Units:
    """Without corners on top of the one before: an edge of no length has no direction."""
    found: Units = p[(p != np.roll(p, 1, axis=0)).any(axis=1)]
    return found


def _directions(p: Units) -> npt.NDArray[np.float64]:
    d = np.roll(p, -1, axis=0) - p
    found: npt.NDArray[np.float64] = np.arctan2(d[:, 1].astype(float), d[:, 0].astype(float))
    return found


def _passed(
    edges: npt.NDArray[np.intp],
    corners: npt.NDArray[np.intp],
    angles: npt.NDArray[np.float64],
    round_: int,
) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Which corners turn left, and (edges, corners) whether a corner passes an edge's direction."""
    before = np.roll(corners, 1)
    turn = np.mod(angles - np.roll(angles, 1) + np.pi, 2.0 * np.pi) - np.pi
    left = turn >= 0.0
    low = np.where(left, before, corners)
    span = np.where(left, corners - before, before - corners) % round_
    return left, (edges[:, None] - low[None, :]) % round_ < span[None, :]
