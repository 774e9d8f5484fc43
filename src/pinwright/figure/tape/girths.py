"""Girths of the figure, and their front and back arcs: the hull of a plane section."""

from __future__ import annotations

import numpy as np

from pinwright.errors import GeometryError
from pinwright.figure.landmarks import NECK_LEAN, OVER_ANKLE, SIDES, Landmarks, neck_line
from pinwright.figure.tape.parts import Skin, arm, leg, trunk
from pinwright.figure.tape.section import Array, Plane
from pinwright.figure.tape.taut import furthest, girth, hull, nearest, parted, round_length

CALF_TOP = 0.85
"""The calf ends so far up from ankle bone to knee centre: over that the girth grows to the knee."""

STEP = 1.5
"""Levels first tried for calf and ankle, cm apart; then six times as close."""


def trunk_hulls(skin: Skin, marks: Landmarks, worn_waist_drop: float) -> dict[str, Array]:
    """Level -> the tape round the trunk there: closed, (k, 2) in x and y, anticlockwise."""
    names = ("bust", "under_bust", "upper_chest", "waist", "top_hip", "hip")
    levels = {name: marks.levels[name] for name in names}
    found = {name: hull(trunk(skin, marks, z)) for name, z in levels.items()}
    if worn_waist_drop == 0.0:
        return {**found, "worn_waist": found["waist"]}
    worn = hull(trunk(skin, marks, levels["waist"] - worn_waist_drop))
    return {**found, "worn_waist": worn}


def arcs(tape: Array, left_y: float, right_y: float) -> tuple[float, float]:
    """Front and back arc of a tape round the trunk, parted at her left and right side line, cm."""
    left, right = furthest(tape, 1, left_y, 1.0), furthest(tape, 1, right_y, -1.0)
    back, front = parted(tape, left, right)
    return front, back


def trunk_girths(tapes: dict[str, Array], marks: Landmarks) -> dict[str, float]:
    """Girths and arcs by term, cm."""
    found = {f"{name}_girth": round_length(tape) for name, tape in tapes.items()}
    for name, line in (("bust", "armpit"), ("waist", "side_waist"), ("hip", "side_hip")):
        left, right = (float(marks[f"{line}_{side}"][1]) for side in SIDES)
        front, back = arcs(tapes[name], left, right)
        found[f"{name}_front_arc"], found[f"{name}_back_arc"] = front, back
    return found


def neck_girths(skin: Skin, marks: Landmarks) -> dict[str, float]:
    """Girths of the neck by term, cm."""
    lean = np.radians(NECK_LEAN)
    larynx = marks["larynx"]
    plane = Plane.square_to(larynx, np.array([0.0, -np.sin(lean), np.cos(lean)]))
    vertices, shares = neck_line()
    root = np.einsum("ij,ijk->ik", shares, skin.points[vertices])
    return {
        "neck_girth": girth(nearest(skin.cut(plane), larynx).flat),
        "neck_base_girth": round_length(root),
    }


def arm_girths(skin: Skin, marks: Landmarks, side: str) -> dict[str, float]:
    """Girths of one arm by term, cm."""
    shoulder, elbow = marks[f"shoulder_point_{side}"], marks[f"elbow_{side}"]
    wrist = marks[f"wrist_bone_{side}"]
    planes = {
        "upper_arm_girth": Plane.square_to((shoulder + elbow) / 2.0, elbow - shoulder),
        "elbow_girth": Plane.square_to(elbow, wrist - shoulder),
        "wrist_girth": Plane.square_to(wrist, wrist - elbow),
    }
    return {term: girth(arm(skin, marks, side, plane)) for term, plane in planes.items()}


def leg_girths(skin: Skin, marks: Landmarks, side: str) -> dict[str, float]:
    """Girths of one leg by term, cm."""
    levels = marks.levels
    knee, ankle = levels[f"knee_{side}"], levels[f"ankle_{side}"]
    thigh, middle = levels["thigh"], levels[f"mid_thigh_{side}"]
    low, high = OVER_ANKLE
    if not ankle + high < knee < middle < thigh:
        raise GeometryError(f"the levels of the {side} leg are out of order.")
    calf = ankle + CALF_TOP * (knee - ankle)
    shank = skin.slab(ankle, knee)
    return {
        "thigh_girth": girth(leg(skin, marks, side, thigh)),
        "mid_thigh_girth": girth(leg(skin, marks, side, middle)),
        "knee_girth": girth(leg(skin, marks, side, knee)),
        "calf_girth": extreme(shank, marks, side, ankle, calf, 1.0),
        "ankle_girth": -extreme(shank, marks, side, ankle + low, ankle + high, -1.0),
    }


def extreme(skin: Skin, marks: Landmarks, side: str, low: float, high: float, sign: float) -> float:
    """The greatest sign x girth of one leg between two levels, cm.

    Tried every STEP or closer, then round the best of them every sixth of that.
    """

    def at(z: float) -> float:
        return sign * girth(leg(skin, marks, side, z))

    rough = np.linspace(low, high, int(np.ceil((high - low) / STEP)) + 1)
    step = float(rough[1] - rough[0])
    best = max(rough.tolist(), key=at)
    fine = np.linspace(max(low, best - step), min(high, best + step), 13)
    return max(at(z) for z in fine.tolist())
