"""Lengths of the figure: the tape drawn taut between landmarks, in a plane through both."""

from __future__ import annotations

import numpy as np

from pinwright.figure.landmarks import BESIDE_CLEFT, OFF_MIDDLE, OVER_FORK, SIDES, Landmarks
from pinwright.figure.tape.parts import Skin, beyond, trunk
from pinwright.figure.tape.section import Array, Plane
from pinwright.figure.tape.taut import (
    along,
    along_to,
    between,
    first,
    furthest,
    hull,
    over,
    strip,
)

BACK = np.array([0.0, 1.0, 0.0])
FRONT = np.array([0.0, -1.0, 0.0])
UP = np.array([0.0, 0.0, 1.0])


def drawn(skin: Skin, p: Array, q: Array, out: Array) -> Array:
    """The tape from p to q (3,) on the side of ``out``, in the plane that holds all three: (k, 3).

    Over the stretch of skin that joins them there.
    """
    plane = Plane.through(p, q, out)
    end = float(np.linalg.norm(q - p))
    return plane.space(over(between(skin.cut(plane), p, q), end))


def bridged(skin: Skin, p: Array, q: Array, out: Array) -> Array:
    """The tape as ``drawn``, over all the skin that lies between p and q there: (k, 3).

    For places the skin leaves and comes back to: the plane through shoulder point and elbow only
    grazes the tip of the elbow, and there its section falls apart; a full breast hangs lower than
    the waist, and the tape does not go round under it.
    """
    plane = Plane.through(p, q, out)
    end = float(np.linalg.norm(q - p))
    return plane.space(over(strip(skin.cut(plane), end), end))


def on_waist(waist: Array, marks: Landmarks, x: float, sign: float) -> Array:
    """The point of the waist tape at x, in front (sign -1) or at the back (1): (3,).

    Where the waist is narrower than that (bust points wide apart over a small waist), its side.
    """
    reach = float(np.clip(x, waist[:, 0].min(), waist[:, 0].max()))
    return np.array([*furthest(waist, 0, reach, sign), marks.levels["waist"]])


def bodice_tapes(skin: Skin, marks: Landmarks, waist: Array) -> dict[str, Array]:
    """Tapes of the upper trunk by term, (k, 3) cm; those of one side by term and side.

    waist: the tape round it, (k, 2).
    """
    nape, pit = marks["back_neck_point"], marks["front_neck_point"]
    back = on_waist(waist, marks, float(marks["back_waist"][0]), 1.0)
    front = on_waist(waist, marks, float(marks["front_waist"][0]), -1.0)
    spine = drawn(skin, nape, back, BACK)
    found = {
        "cervical_height": np.stack([nape, nape * [1.0, 1.0, 0.0]]),
        "back_waist_length": spine,
        "scye_depth": first(spine, along(spine, 2, marks.levels["underarm"])),
        "front_neck_to_waist": drawn(skin, pit, front, FRONT),
        "bust_point_width": np.stack([marks["bust_point_left"], marks["bust_point_right"]]),
    }
    for term, name, out in (
        ("across_back_width", "back_arm_break", BACK),
        ("across_front_width", "front_arm_break", FRONT),
    ):
        found[term] = bridged(skin, marks[f"{name}_left"], marks[f"{name}_right"], out)
    for side in SIDES:
        neck, bust = marks[f"side_neck_point_{side}"], marks[f"bust_point_{side}"]
        below = on_waist(waist, marks, float(bust[0]), -1.0)
        upper = drawn(skin, neck, bust, _towards_front(neck, bust))
        lower = bridged(skin, bust, below, FRONT)
        found[f"side_neck_to_bust_point_{side}"] = upper
        found[f"front_waist_length_{side}"] = np.concatenate([upper, lower])
    return found


def _towards_front(p: Array, q: Array) -> Array:
    """The level direction of the upright plane through p and q that has her front on its side."""
    level = (q - p) * [1.0, 1.0, 0.0]
    found: Array = level if level[1] < 0.0 else -level
    return found


def shoulder_tapes(skin: Skin, marks: Landmarks, side: str) -> dict[str, Array]:
    """Tapes over shoulder and arm of one side by term, (k, 3) cm.

    ``half_across_shoulders`` is no term: back neck point to shoulder point.
    """
    neck, shoulder = marks[f"side_neck_point_{side}"], marks[f"shoulder_point_{side}"]
    elbow, wrist = marks[f"elbow_{side}"], marks[f"wrist_bone_{side}"]
    out = np.array([SIDES[side], 0.0, 0.0])
    half = drawn(skin, shoulder, marks["back_neck_point"], BACK + UP)[::-1]
    sleeve = [bridged(skin, a, b, out) for a, b in ((shoulder, elbow), (elbow, wrist))]
    return {
        "shoulder_length": drawn(skin, neck, shoulder, UP),
        "half_across_shoulders": half,
        "arm_length": np.concatenate(sleeve),
        "back_neck_to_wrist": np.concatenate([half, *sleeve]),
    }


def shoulder_slope(marks: Landmarks, side: str) -> float:
    """The fall from side neck point to shoulder point against their level distance, degrees."""
    neck, shoulder = marks[f"side_neck_point_{side}"], marks[f"shoulder_point_{side}"]
    fall, reach = float(neck[2] - shoulder[2]), float(np.hypot(*(shoulder - neck)[:2]))
    return float(np.degrees(np.arctan2(fall, reach)))


def crotch_tapes(skin: Skin, marks: Landmarks, waist: Array) -> dict[str, Array]:
    """The tapes of total, front and back crotch length by term, (k, 3) cm.

    In the middle plane the tape goes under the section there. At the back, from OVER_FORK upwards,
    it also goes round the seat BESIDE_CLEFT to either side, thrown onto the middle plane: it
    does not follow the cleft. Front ends where the tape is nearest the fork.
    """
    fork = marks["fork"]
    front = on_waist(waist, marks, float(marks["front_waist"][0]), -1.0)
    back = on_waist(waist, marks, float(marks["back_waist"][0]), 1.0)
    found = []
    for aside in (OFF_MIDDLE, -BESIDE_CLEFT, BESIDE_CLEFT):
        x = float(fork[0]) + aside
        plane = Plane.through(_at(front, x), _at(back, x), -UP)
        flat = between(skin.cut(plane), plane.origin, _at(back, x))
        if aside != OFF_MIDDLE:
            upper = beyond(plane.space(flat), 2, float(fork[2]) + OVER_FORK, 1.0)
            flat = plane.flat(upper[upper[:, 1] > fork[1]])
        found.append(flat)
    end = float(np.linalg.norm((back - front)[1:]))
    tape = over(np.concatenate(found), end)
    middle = Plane.through(_at(front, float(fork[0])), _at(back, float(fork[0])), -UP)
    front_part = first(tape, along_to(tape, middle.flat(fork)))
    back_part = np.concatenate([front_part[-1:], tape[len(front_part) - 1 :]])
    return {
        "total_crotch_length": middle.space(tape),
        "front_crotch_length": middle.space(front_part),
        "back_crotch_length": middle.space(back_part),
    }


def _at(p: Array, x: float) -> Array:
    return np.array([x, p[1], p[2]])


def side_tapes(skin: Skin, marks: Landmarks, side: str) -> dict[str, Array]:
    """Tapes down one side from the waist by term, (k, 3) cm.

    From waist level, higher or lower by half of what the side waist landmarks differ in height. In
    the frontal plane through the side waist landmark, over trunk and thigh below the waist (arms
    and hands are not joined to these there) to the widest place, then plumb to the floor: past the
    knee it does not follow a leg that stands outwards.
    """
    sign, y = SIDES[side], float(marks[f"side_waist_{side}"][1])
    knee = marks.levels[f"knee_{side}"]
    tip = float(marks["side_waist_left"][2] - marks["side_waist_right"][2]) / 2.0
    z = marks.levels["waist"] + sign * tip
    waist = hull(trunk(skin, marks, z))
    top, across = (np.array([*furthest(waist, 1, y, s * sign), z]) for s in (1.0, -1.0))
    plane = Plane.through(top, across, -UP)
    below = beyond(plane.space(between(skin.cut(plane), top, across)), 2, knee, 1.0)
    widest = float(max(sign * top[0], (sign * below[:, 0]).max()))
    floor = np.array([sign * widest, y, 0.0])
    down = Plane.through(top, floor, np.array([sign, 0.0, 0.0]))
    tape = down.space(over(down.flat(below), float(np.linalg.norm(floor - top))))
    return {
        "outside_leg": tape,
        "waist_to_hip": first(tape, along(tape, 2, marks.levels["hip"])),
        "waist_to_knee": first(tape, along(tape, 2, knee)),
    }
