"""Outlines with fewer corners, simplified only outward so that they still cover the true ones."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.lay.placing import Array


def simplified(ring: Array, tolerance: float) -> Array:
    """An outline (m, 2) that covers ``ring`` (n, 2), anticlockwise, and has fewer corners.

    Nowhere is it further out than ``tolerance`` cm. A hollow corner is cut across; a short edge
    between two bulging corners is left out and its neighbours are carried on until they meet.
    The cheapest of these is done first. Corners with only larger changes stay exactly.
    """
    points = np.array(ring, dtype=float)
    error = np.zeros(len(points))
    while len(points) > 4:
        hollow, edge, meet = _costs(points)
        nxt, prv = np.roll(error, -1), np.roll(error, 1)
        hollow, edge = hollow + error, edge + np.maximum(error, nxt)
        i, j = int(np.argmin(hollow)), int(np.argmin(edge))
        if min(hollow[i], edge[j]) > tolerance:
            break
        n = len(points)
        if hollow[i] <= edge[j]:
            error[(i - 1) % n] = max(prv[i], hollow[i])
            error[(i + 1) % n] = max(nxt[i], hollow[i])
            gone = i
        else:
            points[j], error[j], gone = meet[j], edge[j], (j + 1) % n
        points, error = np.delete(points, gone, axis=0), np.delete(error, gone)
    whole = shapely.Polygon(points)
    if whole.is_valid and whole.covers(shapely.Polygon(ring).buffer(-1e-9)):
        return points
    return ring


def _costs(p: Array) -> tuple[Array, Array, Array]:
    """How far out it goes without corner i, or without the edge from i to i + 1; its new corner."""
    before, after, second = np.roll(p, 1, axis=0), np.roll(p, -1, axis=0), np.roll(p, -2, axis=0)
    turn = _cross(p - before, after - p)
    chord = np.hypot(*(after - before).T)
    hollow = np.where(turn <= 1e-12, np.abs(turn) / np.maximum(chord, 1e-12), np.inf)
    u, w, e = p - before, after - second, after - p
    det = _cross(u, w)
    bulging = (turn > 0.0) & (np.roll(turn, -1) > 0.0) & (np.abs(det) > 1e-12)
    safe = np.where(bulging, det, 1.0)
    s, t = _cross(e, w) / safe, _cross(e, u) / safe
    meet = p + s[:, None] * u
    far = np.abs(_cross(e, meet - p)) / np.maximum(np.hypot(*e.T), 1e-12)
    return hollow, np.where(bulging & (s > 0.0) & (t > 0.0), far, np.inf), meet


def _cross(a: Array, b: Array) -> NDArray[np.float64]:
    found: NDArray[np.float64] = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return found
