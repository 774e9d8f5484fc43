"""The foot of the perpendicular: nearest places on a chain of cubics."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pinwright.geometry import cubic as cb

Array = NDArray[np.float64]

_SAMPLES = np.linspace(0.0, 1.0, 17)
_WEIGHTS = cb.points(np.eye(4)[:, None, :].repeat(1, axis=1).transpose(1, 0, 2), _SAMPLES)[0]


def nearest(ctrl: Array, p: Array) -> tuple[int, float, float]:
    """(span, u, distance in cm) of the point on ``ctrl`` (n, 4, 2) nearest to ``p`` (2,).

    Every local minimum of 17 samples a cubic that could still win is refined by Newton on
    (P - p)·P' = 0, kept inside its bracket.
    """
    away = _WEIGHTS @ (ctrl - p)
    squared = (away**2).sum(axis=2)
    best = float(squared.min())
    left = np.minimum(np.arange(17) - 1, 16).clip(0)
    right = (np.arange(17) + 1).clip(None, 16)
    dips = (squared <= squared[:, left]) & (squared <= squared[:, right])
    # Between two samples the curve comes at most one hodograph step closer than the sample.
    reach = 3.0 * np.sqrt(((ctrl[:, 1:] - ctrl[:, :-1]) ** 2).sum(axis=2)).max(axis=1) / 16.0
    dips &= np.sqrt(squared) - reach[:, None] <= np.sqrt(best)
    found: list[tuple[float, int, float]] = []
    for i, k in np.argwhere(dips).tolist():
        u = _foot(ctrl[i] - p, max(k - 1, 0) / 16.0, min(k + 1, 16) / 16.0, k / 16.0)
        q = cb.points(ctrl[i : i + 1], np.array([u]))[0, 0] - p
        found.append((float(np.hypot(q[0], q[1])), i, u))
    distance, span, u = min(found)
    return span, u, distance


def _foot(rel: Array, low: float, high: float, u: float) -> float:
    """Zero of P·P' on [low, high] for a cubic given relative to the point."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = rel.tolist()
    bx, cx, dx = 3.0 * (x1 - x0), 3.0 * (x2 - 2.0 * x1 + x0), x3 - 3.0 * (x2 - x1) - x0
    by, cy, dy = 3.0 * (y1 - y0), 3.0 * (y2 - 2.0 * y1 + y0), y3 - 3.0 * (y2 - y1) - y0

    def slope(t: float) -> tuple[float, float]:
        px, py = x0 + t * (bx + t * (cx + t * dx)), y0 + t * (by + t * (cy + t * dy))
        vx, vy = bx + t * (2.0 * cx + t * 3.0 * dx), by + t * (2.0 * cy + t * 3.0 * dy)
        ax, ay = 2.0 * cx + t * 6.0 * dx, 2.0 * cy + t * 6.0 * dy
        return px * vx + py * vy, vx * vx + vy * vy + px * ax + py * ay

    if slope(low)[0] >= 0.0:
        return low
    if slope(high)[0] <= 0.0:
        return high
    for _ in range(100):
        g, dg = slope(u)
        if g == 0.0:
            break
        low, high = (u, high) if g < 0.0 else (low, u)
        following = u - g / dg if dg > 0.0 else 0.5 * (low + high)
        if not low < following < high:
            following = 0.5 * (low + high)
        if abs(following - u) <= 1e-15:
            return following
        u = following
    return u
