"""How far the legs of a standing figure are apart, and how far they are turned out for cloth."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from pinwright.figure.body.model import Array, Whole, body
from pinwright.figure.landmarks import UNDER_FORK, vertices

MOST_OUT = 12.0
"""Legs are not turned out further than this, degrees each, however little lies between them."""


def leg_gap(points: Array) -> float:
    """How far the legs of a standing figure (n, 3) are apart at the least, cm.

    Level by level, from UNDER_FORK under the fork to the ankles, between the upright planes that
    touch them from the inside: below 0 where they overlap.
    """
    legs = _legs()
    top = float(points[vertices()["fork"], 2]) - UNDER_FORK
    low = max(float(points[vertices()[f"ankle_bone_{s}"], 2]) for s in ("left", "right"))
    levels = np.arange(top, low, -1.0)
    inner = []
    for edges, sign in ((legs[0], 1.0), (legs[1], -1.0)):
        a, c = points[edges[:, 0]], points[edges[:, 1]]
        rise = c[:, 2] - a[:, 2]
        part = (levels[:, None] - a[:, 2]) / np.where(rise == 0.0, 1.0, rise)
        x = sign * (a[:, 0] + part * (c[:, 0] - a[:, 0]))
        through = (rise != 0.0) & (part >= 0.0) & (part <= 1.0)
        inner.append(np.where(through, x, np.inf).min(axis=1))
    return float((inner[0] + inner[1]).min())


def turned_out(
    points: Array, turned: Callable[[float, Whole], Array], gap: float, least: float = 0.0
) -> tuple[float, float]:
    """The least turn out of each leg, degrees, that leaves the gap, cm, and the gap there is.

    least: so far they are turned anyhow, degrees; below 0 inwards, as far as the gap allows.

    points: (n, 3) of the figure. turned: hears degrees and vertices (k,), says where all (n, 3) lie
    of which at least those were turned.
    """
    if least == 0.0 and (found := leg_gap(points)) >= gap:
        return 0.0, found
    levels = [v for k, v in vertices().items() if k.startswith(("fork", "ankle_bone"))]
    legs = np.unique([*np.concatenate(_legs()).ravel(), *levels])
    if least != 0.0 and (found := leg_gap(turned(least, legs))) >= gap:
        return least, found
    low, high = least, MOST_OUT
    found = leg_gap(turned(high, legs))
    if found <= gap:
        return high, found
    for _ in range(10):
        middle = (low + high) / 2.0
        here = leg_gap(turned(middle, legs))
        if here < gap:
            low = middle
        else:
            high, found = middle, here
    return high, found


@lru_cache(maxsize=1)
def _legs() -> tuple[Whole, Whole]:
    """The edges (k, 2) of her left leg and of her right."""
    b = body()
    a, c = b.faces.ravel(), np.roll(b.faces, -1, axis=1).ravel()
    edges = np.stack([a, c], axis=1)[a < c]
    left, right = (
        edges[(b.share(f"thigh_{s}", f"shin_{s}") > 0.5)[edges].all(axis=1)]
        for s in ("left", "right")
    )
    return left, right
