"""How the client stands: bends of the trunk and falls of the shoulders, laid over the body's shape.

Each is a smooth field of its own, so that nothing creases. A bend turns the level sections of the
trunk about the axis from side to side, each by the sum of what bends below it; arms go along with
the trunk at the height of the armpits. How much a vertex takes part is settled once, on the mean
body; so the body that is bent changes evenly with the body that stands upright.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, body
from pinwright.figure.body.standing import stood_mean
from pinwright.figure.landmarks import vertices


@dataclass(frozen=True, slots=True)
class Posture:
    """How the body differs from the open body upright; 0 throughout leaves it alone.

    round_back: how far the upper back is rounded more than the mean, degrees (flat: below 0).
    hollow_back: how far the loin is hollowed more than the mean, degrees (straight: below 0).
    head_forward: how far the neck leans forward more than the mean, degrees.
    shoulder_left, shoulder_right: how far each shoulder point falls, cm.
    shoulders_forward: how far the shoulder points come forward, cm.
    hip_left, hip_right: how far each hip and side of the waist stands higher, cm.
    knee_left, knee_right: how far each knee stands further in (knock knees; bow legs: below 0), cm.
    arms_out: how far the arms stand further off the trunk, degrees.
    """

    round_back: float = 0.0
    hollow_back: float = 0.0
    head_forward: float = 0.0
    shoulder_left: float = 0.0
    shoulder_right: float = 0.0
    shoulders_forward: float = 0.0
    hip_left: float = 0.0
    hip_right: float = 0.0
    knee_left: float = 0.0
    knee_right: float = 0.0
    arms_out: float = 0.0


NAMES = tuple(f.name for f in fields(Posture))
BENDS = ("round_back", "hollow_back", "head_forward")

KNOTS = ("fork", "back_waist", "back_neck_point", "crown")
"""Landmarks at which the trunk's own measure s is 0, 1, 2 and 3; between them it grows evenly."""

STATIONS = np.linspace(0.0, 3.0, 91)
"""Where along s the bends are summed up."""


def eased(value: Array, low: float, high: float) -> Array:
    """0 below low, 1 above high, between them a curve that starts and ends level."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    found: Array = t * t * (3.0 - 2.0 * t)
    return found


def _turned(s: Array) -> Array:
    """How much of each of BENDS the sections at s have taken up (3, k), as a part of 1."""
    return np.stack(
        [
            # who is round above leans back from the waist, and holds the head up
            -0.4 * eased(s, 0.9, 1.3) + eased(s, 1.35, 2.0) - 0.6 * eased(s, 2.0, 2.45),
            # the pelvis tips forward, the loin bends back, and the chest comes upright
            0.5 * eased(s, 0.05, 0.6) - eased(s, 0.65, 1.3) + 0.5 * eased(s, 1.3, 1.75),
            eased(s, 1.92, 2.2) - eased(s, 2.25, 2.55),
        ]
    )


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """How much each vertex takes part, sides her left first.

    s: (n,). turn: (3, n) of BENDS. fall, lift: (2, n). knee: (2, n), how far it goes in x. arm:
    (2, n), how much of the arm's turn it takes.
    """

    s: Array
    turn: Array
    fall: Array
    lift: Array
    knee: Array
    arm: Array
    crown: int


@lru_cache(maxsize=1)
def shares() -> Shares:
    """The shares, from the mean body stood upright."""
    points = stood_mean()
    at = {name: points[v] for name, v in vertices().items()}
    crown = int(np.argmax(points[:, 2]))
    x, z = points[:, 0], points[:, 2]
    left, right = body().arm("left"), body().arm("right")
    arms = left + right
    armpit = float(at["armpit_left"][2])
    heights = [float(at[k][2]) for k in KNOTS[:3]] + [float(z[crown])]
    # an arm goes with the trunk where it hangs from it
    s = np.interp((1.0 - arms) * z + arms * np.maximum(z, armpit), heights, range(4))
    shoulder = float(at["shoulder_point_left"][2])
    neck, end = float(at["side_neck_point_left"][0]), float(at["shoulder_point_left"][0])
    high = eased(z, armpit - 6.0, shoulder - 2.0)
    high *= 1.0 - eased(z, shoulder + 8.0, shoulder + 14.0)
    fall = [
        np.maximum(a, high * eased(sign * x, neck - 2.0, end - 2.0))
        for sign, a in ((1.0, left), (-1.0, right))
    ]
    fork, waist = heights[0], heights[1]
    level = eased(z, fork - 35.0, fork) * (1.0 - eased(z, waist, waist + 12.0))
    lift = [level * eased(sign * x, 0.0, 12.0) * (1.0 - arms) for sign in (1.0, -1.0)]
    knee_at, ankle_at = float(at["knee_left"][2]), float(at["ankle_bone_left"][2])
    # the leg bends at the knee: thigh and shin each lean as a whole, rounded off where they meet
    bow = np.minimum(
        (fork + 4.0 - z) / (fork + 4.0 - knee_at), (z - ankle_at) / (knee_at - ankle_at)
    )
    bow = eased(np.clip(bow, 0.0, 1.0), 0.0, 1.0) * (1.0 - arms)
    knee = [-sign * bow * eased(sign * x, -0.5, 0.5) for sign in (1.0, -1.0)]
    return Shares(
        s,
        _turned(s),
        np.stack(fall),
        np.stack(lift),
        np.stack(knee),
        np.stack([left, right]),
        crown,
    )


PIVOTS = (("shoulder_point_left", "armpit_left"), ("shoulder_point_right", "armpit_right"))
"""Landmarks midway between which each arm turns."""


@lru_cache(maxsize=1)
def guides() -> NDArray[np.int64]:
    """The vertices that posture hangs on: of KNOTS, then of the waist's depth behind and in front,
    then of PIVOTS."""
    at = vertices()
    ends = [at[name] for pair in PIVOTS for name in pair]
    return np.array(
        [*(at[k] for k in KNOTS[:3]), shares().crown, at["back_waist"], at["front_waist"], *ends]
    )


def _lifted(found: Array, at: NDArray[np.int64], guided: Array, degrees: float) -> Array:
    """The arms turned outwards about their pivots: straight between lying still and turning."""
    a = np.radians(degrees)
    moved = found.copy()
    for k, sign in enumerate((1.0, -1.0)):
        share = shares().arm[k][at]
        pivot = (guided[..., 6 + 2 * k, :] + guided[..., 7 + 2 * k, :])[..., None, :] / 2.0
        dx, dz = found[..., 0] - pivot[..., 0], found[..., 2] - pivot[..., 2]
        cos, sin = np.cos(a) - 1.0, sign * np.sin(a)
        moved[..., 0] += share * (cos * dx - sin * dz)
        moved[..., 2] += share * (sin * dx + cos * dz)
    return moved


def _shifted(points: Array, at: NDArray[np.int64], posture: Posture) -> Array:
    by = shares()
    fall, lift, knee = by.fall[:, at], by.lift[:, at], by.knee[:, at]
    found = points.copy()
    found[:, 2] -= posture.shoulder_left * fall[0] + posture.shoulder_right * fall[1]
    found[:, 1] -= posture.shoulders_forward * fall.max(axis=0)
    found[:, 2] += posture.hip_left * lift[0] + posture.hip_right * lift[1]
    found[:, 0] += posture.knee_left * knee[0] + posture.knee_right * knee[1]
    return found


def _angles(posture: Posture) -> Array:
    return np.radians([getattr(posture, name) for name in BENDS])


def _spine(posture: Posture, heights: Array) -> tuple[Array, Array, Array]:
    """Of knots' heights (.., 4): each station's height, and where bending takes it (y, z)."""
    zs = _at(STATIONS, heights)
    turn = _angles(posture) @ _turned((STATIONS[1:] + STATIONS[:-1]) / 2.0)
    step = np.diff(zs, axis=-1)
    zero = np.zeros((*step.shape[:-1], 1))
    y = np.concatenate([zero, np.cumsum(-np.sin(turn) * step, axis=-1)], axis=-1)
    z = np.concatenate([zero, np.cumsum(np.cos(turn) * step, axis=-1)], axis=-1)
    return zs, y, z + zs[..., :1]


def _at(s: Array, knot: Array) -> Array:
    """Values at s (k,) between values at 0, 1, 2, 3: (.., 4) to (.., k)."""
    i = np.clip(s.astype(np.int64), 0, 2)
    part = s - i
    found: Array = (1.0 - part) * knot[..., i] + part * knot[..., i + 1]
    return found


def _between(s: Array, values: Array) -> Array:
    """Values at s (k,) between values at STATIONS: (.., 91) to (.., k)."""
    place = s / (STATIONS[1] - STATIONS[0])
    i: NDArray[np.int64] = np.clip(place.astype(np.int64), 0, len(STATIONS) - 2)
    part = place - i
    found: Array = (1.0 - part) * values[..., i] + part * values[..., i + 1]
    return found


def postured(points: Array, posture: Posture, at: NDArray[np.int64] | None = None) -> Array:
    """The upright surface (n, 3), cm, with the posture laid over it: vertices ``at``, or all."""
    guided = points[guides()]
    at = np.arange(len(points)) if at is None else at
    found = points[at]
    if posture.arms_out:
        found = _lifted(found, at, guided, posture.arms_out)
    found = _shifted(found, at, posture)
    return _bent(found, at, guided, posture) if _angles(posture).any() else found


def carried(directions: Array, at: NDArray[np.int64], guides: Array, posture: Posture) -> Array:
    """How vertices ``at`` (k,) of the postured surface move as the upright ones do.

    directions: (p, k, 3); guides: (p, 10, 3), how the vertices of :func:`guides` move.
    """
    if posture.arms_out:
        directions = _lifted(directions, at, guides, posture.arms_out)
    return _bent(directions, at, guides, posture)


def _bent(found: Array, at: NDArray[np.int64], guided: Array, posture: Posture) -> Array:
    by = shares()
    s = by.s[at]
    turn = _angles(posture) @ by.turn[:, at]
    zs, y0, z0 = _spine(posture, guided[..., :4, 2])
    axis = ((guided[..., 4, 1] + guided[..., 5, 1]) / 2.0)[..., None]
    dy, dz = found[..., 1] - axis, found[..., 2] - _between(s, zs)
    cos, sin = np.cos(turn), np.sin(turn)
    moved = found.copy()
    moved[..., 1] = axis + _between(s, y0) + cos * dy - sin * dz
    moved[..., 2] = _between(s, z0) + sin * dy + cos * dz
    return moved
