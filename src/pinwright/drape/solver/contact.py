"""Cloth on the body: pressure off its surface and dry friction along it.

The body presses with a stiff linear spring for each square centimetre once the middle of the
cloth comes nearer than half its thickness. Friction holds each touching point to an anchor by a
spring until Coulomb's limit, from where the anchor is drawn along (the return mapping of elastic
plastic friction: Wriggers 2006, "Computational Contact Mechanics", 5.2); so cloth truly stands
still on the body instead of creeping.
"""

from __future__ import annotations

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray

from pinwright.drape.data import Array

HARD = 1.0e6
"""Of the contact, dyn/cm3: under 1 kPa (1e4 dyn/cm2) cloth lies 0.01 cm too deep."""

HOLD = 2.0e4
"""Of friction before it slips, dyn/cm3."""


@njit(cache=True)
def _slid(x: Array, anchor: Array, n: Array) -> tuple[Array, float]:
    """From its anchor to a point, along the surface with normal n: (3,) and how far, cm."""
    t = x - anchor
    t -= (t * n).sum() * n
    return t, np.sqrt((t * t).sum())


@njit(cache=True, parallel=True)
def pressed(
    x: Array,
    distance: Array,
    direction: Array,
    load: Array,
    half: float,
    friction: float,
    anchor: Array,
    hard: float,
    hold: float,
    out: Array,
    blocks: Array,
    touch: Array,
    energy: Array,
) -> None:
    """Adds contact to the forces out (n, 3), and friction alone to the diagonal blocks (n, 3, 3).

    touch (n,): how hard the body presses, dyn. anchor (n, 3): where friction holds each point.
    """
    for i in prange(len(x)):
        touch[i] = 0.0
        energy[i] = 0.0
        deep = half - distance[i]
        size = np.sqrt(direction[i, 0] ** 2 + direction[i, 1] ** 2 + direction[i, 2] ** 2)
        if deep <= 0.0 or size < 1e-6:
            continue
        k = hard * load[i]
        press = k * deep
        touch[i] = press * size
        energy[i] = 0.5 * press * deep
        n = direction[i] / size
        for a in range(3):
            out[i, a] += press * direction[i, a]
        if friction > 0.0:
            t, slid = _slid(x[i], anchor[i], n)
            spring = hold * load[i]
            most = friction * touch[i]
            if spring * slid > most:
                spring = most / slid
            energy[i] += 0.5 * spring * slid * slid
            for a in range(3):
                out[i, a] -= spring * t[a]
                blocks[i, a, a] += spring
                for b in range(3):
                    blocks[i, a, b] -= spring * n[a] * n[b]


@njit(cache=True, parallel=True)
def drawn_along(
    x: Array,
    distance: Array,
    direction: Array,
    load: Array,
    half: float,
    friction: float,
    anchor: Array,
    touch: Array,
    hold: float,
) -> None:
    """Moves anchors: those beyond the limit after the cloth, those that do not touch with it."""
    for i in prange(len(x)):
        if touch[i] <= 0.0:
            for a in range(3):
                anchor[i, a] = x[i, a]
            continue
        size = np.sqrt(direction[i, 0] ** 2 + direction[i, 1] ** 2 + direction[i, 2] ** 2)
        n = direction[i] / size
        t, slid = _slid(x[i], anchor[i], n)
        free = friction * touch[i] / (hold * load[i])
        keep = 1.0 if slid <= free else free / slid
        for a in range(3):
            anchor[i, a] = x[i, a] - keep * t[a]


@njit(cache=True)
def lain_on(
    active: NDArray[np.bool_],
    distance: Array,
    direction: Array,
    load: Array,
    half: float,
    hard: float,
    blocks: Array,
    right: Array,
) -> None:
    """Adds to the blocks (p, 3, 3) and the right side (n, 3) of a step the body under some points.

    active (n,): which points are to lie on the body after the step, pressed in or not yet there.
    The right side must hold what presses already.
    """
    for i in range(len(active)):
        if not active[i]:
            continue
        k = hard * load[i]
        short = half - distance[i]
        # `pressed` has put in what is deep; what is still off is drawn on only as far as the body
        more = k * min(short, 0.0)
        for a in range(3):
            right[i, a] += more * direction[i, a]
            for b in range(3):
                blocks[i, a, b] += k * direction[i, a] * direction[i, b]
