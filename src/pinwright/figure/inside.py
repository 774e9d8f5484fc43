"""How many times a closed surface goes round a place."""

from __future__ import annotations

import numpy as np

from pinwright.figure.body.model import Array, Whole

TILT = np.linalg.qr(np.sin(np.arange(1.0, 10.0).reshape(3, 3)))[0]
TILT = TILT * np.linalg.det(TILT)
"""A turn by no even angle: a ray along an axis turned so meets no edge by the body's symmetry."""


def within(points: Array, corners: Whole, at: Array) -> Whole:
    """How many times the closed surface of triangles (t, 3) goes round places (m, 3): (m,).

    0 outside, 1 inside, 2 where two parts of it fill the same place. Along a ray the triangles
    count that turn their back to the place, less those that face it.
    """
    tri, at = (points @ TILT.T)[corners], at @ TILT.T
    low, high = tri.min(axis=1), tri.max(axis=1)
    found = np.zeros(len(at), dtype=np.int64)
    order = np.argsort(at[:, 2])
    for start in range(0, len(at), 32):
        who = order[start : start + 32]
        some = at[who, None]
        meet = ((low <= some.max(axis=0)) & (high >= some.min(axis=0)))[:, 1:].all(axis=1)
        near = np.flatnonzero(meet)
        meet = ((low[near] <= some) & (some <= high[near]))[:, :, 1:].all(axis=2)
        row, t = np.nonzero(meet & (some[:, :, 0] <= high[near, 0]))
        who, t = who[row], near[t]
        flat = tri[t][:, :, 1:] - at[who, None, 1:]
        nxt = np.roll(flat, -1, axis=1)
        turn = flat[:, :, 0] * nxt[:, :, 1] - flat[:, :, 1] * nxt[:, :, 0]
        over = (turn > 0.0).all(axis=1).astype(int) - (turn < 0.0).all(axis=1).astype(int)
        # opposite each edge the share of a corner
        share = np.roll(turn, -1, axis=1)
        x = np.einsum("ij,ij->i", share, tri[t, :, 0]) / np.where(over, turn.sum(axis=1), 1.0)
        np.add.at(found, who, np.where(x > at[who, 0], over, 0))
    return found
