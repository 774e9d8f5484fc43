"""How far the arms hang off trunk and thighs: they have to, or neither can be taped."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.rows import Reading, first_least
from pinwright.figure.fitting.wanted import Wanted
from pinwright.figure.landmarks import SIDES

OFF = 2.0
"""How far off the trunk an arm hangs at the least, cm: room for a hand, or for a tape."""

WITHIN = 12.0
"""From the armpit down to where it hangs so far off, cm."""

CELL = 2.0
"""Arm and trunk are compared in cells of this size, cm, seen from the side."""

MORE = 0.2
"""So much more is asked for in the fit, cm: what is corrected after it may take some."""

NEAR = 0.1
"""How near to that the fit comes, cm."""


def wanted_gaps() -> tuple[Wanted, ...]:
    """That each arm hangs off: no less than nothing too little."""
    return tuple(Wanted(f"arm_off_{side}", MORE, NEAR, given=False, least=True) for side in SIDES)


def gaps(s: Surface) -> Mapping[str, Reading]:
    """How much further than wanted each arm hangs off where it comes nearest; below 0: too near."""
    found = {}
    for side, sign in SIDES.items():
        arm, trunk = s.parts.beside[side]
        pit = float(s.points[s.at[f"armpit_{side}"], 2])
        a, t = s.points[arm], s.points[trunk]
        low = np.minimum(a[:, 1:].min(axis=0), t[:, 1:].min(axis=0)) - CELL
        cells = [np.floor((p[:, 1:] - low) / CELL).astype(np.int64) for p in (a, t)]
        size = np.maximum(cells[0].max(axis=0), cells[1].max(axis=0)) + 2
        order = np.argsort(sign * t[:, 0])
        furthest = np.full(size, -1, dtype=np.int64)
        # the last written stays: the one that stands out furthest
        furthest[cells[1][order, 0], cells[1][order, 1]] = order
        out = np.where(furthest >= 0, sign * t[furthest, 0], -np.inf)
        room = OFF * np.clip((pit - a[:, 2]) / WITHIN, 0.0, 1.0)
        best = (np.inf, 0, 0)
        for dy in (-1, 0, 1):
            for dz in (-1, 0, 1):
                cell = cells[0] + [dy, dz]
                slack = sign * a[:, 0] - out[cell[:, 0], cell[:, 1]] - room
                k = first_least(slack)
                if slack[k] < best[0]:
                    best = (float(slack[k]), k, int(furthest[cell[k, 0], cell[k, 1]]))
        value, k, m = best
        if not np.isfinite(value):
            value, k, m = OFF, 0, 0  # no trunk beside it: it hangs free
        across = np.array([[sign, 0.0, 0.0], [-sign, 0.0, 0.0]])
        found[f"arm_off_{side}"] = Reading(value, np.array([arm[k], trunk[m]]), across)
    return found
