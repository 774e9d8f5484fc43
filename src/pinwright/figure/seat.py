"""What sits on a seat: where the seat is, and how flesh gives under the body.

Skin that only follows the bones would leave the hip joints too high over a seat. So flesh is
pressed together until they lie as high as they do, and what is pressed away goes sideways. How
firm flesh is, and that it also goes to the front and back, is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.figure.body.model import Array, body
from pinwright.figure.posture import eased
from pinwright.figure.tape.section import triangles, volume

HIP_OVER_SEAT = 9.8
"""So far over a seat lies the hip joint of who sits on it, cm (the H-point over the lowest of the
seat pan of SAE J826, a man of the middle; from memory)."""

MOST_PRESSED = 5.0
"""Flesh is not pressed further than this, cm."""

FIRM = 1.25
"""How far up flesh is pressed, as times the way it gives: over 1, else it would turn over."""

SPREADS = 14.0
"""Up to so far over the hip joint flesh spreads on a seat, cm."""

OVER_SEAT = (0.7, 1.1)
"""From so far along the thigh, as a part of it, the seat bears it less, and the knee hardly."""

BEHIND_KNEE = 10.0
"""So far behind the knee joint the seat has its front edge, cm: calves stay clear of it."""


@dataclass(frozen=True, slots=True)
class Seat:
    """The seat that a sitting figure touches: level, and from its front to its back edge, cm.

    level: z. front, back: y; the front edge lies behind the knees. half: it reaches as far to each
    side, x.
    """

    level: float
    front: float
    back: float
    half: float


def pressed(points: Array, at: Mapping[str, Array], part: float = 1.0) -> Array:
    """The flesh under the hip joints pressed together by a seat; part: of the way to sitting.

    Every point is raised, the less the higher it lies, so that none passes another; and what lies
    outside the thighs' axes goes outwards, so far that the body keeps its volume.
    """
    flesh = _flesh()
    outside = np.zeros(len(points))
    near = np.zeros(len(points))
    for side, sign in (("left", 1.0), ("right", -1.0)):
        hip, knee = at[f"thigh_{side}"], at[f"shin_{side}"]
        thigh = knee - hip
        along = np.clip((points - hip) @ thigh / (thigh @ thigh), 0.0, 1.0)
        mine = sign * points[:, 0] > 0.0
        near[mine] = 1.0 - eased(along[mine], *OVER_SEAT)
        axis = hip[0] + along * thigh[0]
        outside += sign * np.maximum(sign * (points[:, 0] - axis), 0.0)
    low = float(points[flesh * near > 0.5, 2].min())
    joint = min(float(at[f"thigh_{side}"][2]) for side in ("left", "right"))
    give = min(max(joint - HIP_OVER_SEAT - low, 0.0), MOST_PRESSED)
    # she lowers herself: the seat bears her only towards the end
    press = float(eased(np.array([part]), 0.5, 1.0)[0]) * give
    if press == 0.0:
        return points
    found = points.copy()
    deep = np.exp(-np.maximum(points[:, 2] - low, 0.0) / (FIRM * press))
    found[:, 2] += flesh * near * press * deep
    wide = np.zeros_like(found)
    wide[:, 0] = flesh * (1.0 - eased(points[:, 2], joint, joint + SPREADS)) * outside
    corners = triangles(points, body().faces)
    # moved sideways alone, volume grows evenly with how far
    kept = volume(found, corners)
    lost, grows = volume(points, corners) - kept, volume(found + wide, corners) - kept
    return found + lost / grows * wide


def seat_under(points: Array, at: Mapping[str, Array]) -> Seat:
    """The seat under the trunk and thighs of a sitting figure."""
    lies = points[_flesh() > 0.5]
    level = float(lies[:, 2].min())
    low = lies[lies[:, 2] < level + 12.0]
    knee = max(float(at[f"shin_{s}"][1]) for s in ("left", "right"))
    return Seat(level, knee + BEHIND_KNEE, float(low[:, 1].max()), float(np.abs(low[:, 0]).max()))


def _flesh() -> Array:
    """How much each vertex (n,) goes with what lies on a seat."""
    return body().share("pelvis", "thigh_left", "thigh_right")
