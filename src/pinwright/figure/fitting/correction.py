"""What the open body cannot reach, taken away by the smallest smooth field that does it.

The field is a sum of bells round points spread over the mean body; a bell on an arm moves no trunk.
Among all fields that bring the measures to what is wanted the one with the least energy is taken
(regularised least squares in its dual form, so the work grows with the number of measures).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from pinwright.figure.body.model import Array, body
from pinwright.figure.body.standing import stood_mean
from pinwright.figure.fitting.gaps import gaps, wanted_gaps
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.readings import by_tape
from pinwright.figure.fitting.rows import first_least
from pinwright.figure.fitting.wanted import Wanted
from pinwright.figure.landmarks import SIDES

APART = 7.0
"""About how far apart the bells stand, cm."""

WIDE = 8.0
"""How wide a bell is (one standard deviation), cm."""

EASY = 0.01
"""How near a measure is brought, cm: nearer would buckle the surface for nothing."""

ENERGY = 4.0
"""How dear a cm of every bell is beside a measure off by its error."""

KEPT = 0.8
"""So much of the field that is there is kept in a round where no measure asks for another."""

ROUNDS = 8
DIGITS = 6
"""To so many digits of a cm the field is taken."""

IDLE = 2
"""After so many rounds running that did not bring half of what was off, no more are made."""

NEAR = 0.01
"""Nearer than this (cm) to every given measure is near enough."""


@lru_cache(maxsize=1)
def bells() -> Array:
    """Shares (n, b) of each vertex in each bell, from the mean body."""
    points = stood_mean()
    place = np.concatenate([points, 30.0 * _limbs()], axis=1)
    centres = [first_least(-points[:, 2])]
    distance = np.linalg.norm(place - place[centres[0]], axis=1)
    while float(distance.max()) > APART:
        centres.append(first_least(-distance))
        distance = np.minimum(distance, np.linalg.norm(place - place[centres[-1]], axis=1))
    square = ((place[:, None] - place[centres][None]) ** 2).sum(axis=2)
    shares: Array = np.exp(-square / (2.0 * WIDE**2))
    shares[shares < 1e-4] = 0.0
    return shares


def _soles(points: Array) -> list[int]:
    """The lowest vertex of each heel and each ball of a foot: these stay on the floor."""
    found = []
    for sign in (1.0, -1.0):
        foot = (sign * points[:, 0] > 0.0) & (points[:, 2] < 8.0)
        middle = float(np.mean(points[foot, 1]))
        for end in (points[:, 1] > middle, points[:, 1] < middle):
            who = np.flatnonzero(foot & end)
            found.append(int(who[first_least(points[who, 2])]))
    return found


def _limbs() -> Array:
    """How much each vertex belongs to each arm and each leg (n, 4)."""
    b = body()
    legs = [b.share(*(f"{bone}_{s}" for bone in ("thigh", "shin", "foot"))) for s in SIDES]
    # feet and hands stand apart from what they hang on by their distance alone
    return np.stack([*(b.arm(s) for s in SIDES), *legs], axis=1)


def corrected(
    base: Array, wants: Sequence[Wanted], drop: float = 0.0, field: Array | None = None
) -> tuple[Array, Array]:
    """The surface (n, 3) brought to what is wanted, cm, standing on the floor; and the field.

    field: (b, 3), of each bell, where one that is nearly right is known.
    """
    shares = bells()
    keys = {w.key for w in wants}
    wants = [w for w in wants if w.key != "weight"] + list(wanted_gaps())
    # what may not be less is asked for once it was too little, and then kept: else it would come
    # and go with every round
    asked = np.array([not w.least for w in wants])
    size = np.array([EASY if w.given else w.error for w in wants])
    if field is None:
        field = np.zeros((shares.shape[1], 3))
    points = _moved(base, shares, field)
    soles = shares[_soles(base)]
    still = np.concatenate([np.zeros((*soles.shape, 2)), soles[:, :, None]], axis=2)
    still = still.reshape(len(soles), -1)
    size = np.append(size, np.full(len(soles), EASY))
    best, least = (points, field), np.inf
    idle = 0
    for _ in range(ROUNDS):
        s = Surface(points, drop)
        found = {**by_tape(s, keys), **gaps(s)}
        off = np.array([found[w.key].value - w.value for w in wants])
        asked |= off < 0.0
        off[~asked] = 0.0
        worst = max((abs(o) for o, w in zip(off, wants, strict=True) if w.given), default=0.0)
        idle = 0 if worst < 0.5 * least else idle + 1
        if worst < least:
            best, least = (points, field), worst
        if worst < NEAR or idle == IDLE:
            break
        rows = np.stack([(shares[found[w.key].at].T @ found[w.key].by).ravel() for w in wants])
        rows[~asked] = 0.0
        rows = np.concatenate([rows, still])
        off = np.append(off, still @ field.ravel())
        # the whole field is weighed, not each step alone: so nothing is done and undone; and what
        # no measure asks for goes back by degrees, for each reading holds near by only
        kept = KEPT * field.ravel()
        right = off - rows @ (field.ravel() - kept)
        gram = rows @ rows.T
        scale = ENERGY / (1.0 - KEPT) * np.diag(size**2)
        lines = np.linalg.solve(gram + scale, -right)
        # rounded, so that what machines reckon otherwise in the last figure is gone
        whole: Array = (kept + rows.T @ lines).reshape(-1, 3)
        field = np.round(whole, DIGITS)
        points = _moved(base, shares, field)
    return best


def _moved(base: Array, shares: Array, field: Array) -> Array:
    points = base + shares @ field
    points[:, 2] -= points[:, 2].min()
    return points
