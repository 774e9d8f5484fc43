"""Girths of the figure, and their front and back arcs: the hull of a plane section."""

from __future__ import annotations

import numpy as np

from pinwright.errors import GeometryError
from pinwright.figure.landmarks import NECK_LEAN, OVER_ANKLE, SIDES, Landmarks, neck_line
from pinwright.figure.tape.parts import Skin, arm, leg, trunk
from pinwright.figure.tape.section import Array, Plane
from pinwright.figure.tape.taut import furthest, girth, hull, length, nearest, parted, round_length

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


SIDE_LINES = {"bust": "armpit", "waist": "side_waist", "hip": "side_hip"}
"""Level -> the landmark through which its side line runs."""


def arcs(tape: Array, left_y: float, right_y: float) -> tuple[Array, Array]:
    """Front and back of a tape round the trunk, (k, 2), parted at her left and right side line."""
    left, right = furthest(tape, 1, left_y, 1.0), furthest(tape, 1, right_y, -1.0)
    back, front = parted(tape, left, right)
    return front, back


def trunk_arcs(tapes: dict[str, Array], marks: Landmarks) -> dict[str, Array]:
    """Arcs of the trunk by term, (k, 2) in x and y."""
    found: dict[str, Array] = {}
    for name, line in SIDE_LINES.items():
        left, right = (float(marks[f"{line}_{side}"][1]) for side in SIDES)
        front, back = arcs(tapes[name], left, right)
        found[f"{name}_front_arc"], found[f"{name}_back_arc"] = front, back
    return found


def trunk_girths(tapes: dict[str, Array], marks: Landmarks) -> dict[str, float]:
    """Girths and arcs by term, cm."""
    found = {f"{name}_girth": round_length(tape) for name, tape in tapes.items()}
    for term, arc in trunk_arcs(tapes, marks).items():
        found[term] = length(arc)
    return found


def neck_plane(marks: Landmarks) -> Plane:
    """The plane through the larynx in which the neck is taped."""
    lean = np.radians(NECK_LEAN)
    return Plane.square_to(marks["larynx"], np.array([0.0, -np.sin(lean), np.cos(lean)]))


def neck_root(skin: Skin) -> Array:
    """The root of the neck as a closed line, (k, 3) cm."""
    vertices, shares = neck_line()
    root: Array = np.einsum("ij,ijk->ik", shares, skin.points[vertices])
    return root


def neck_girths(skin: Skin, marks: Landmarks) -> dict[str, float]:
    """Girths of the neck by term, cm."""
    loop = nearest(skin.limbs(neck_plane(marks)), marks["larynx"])
    return {"neck_girth": girth(loop.flat), "neck_base_girth": round_length(neck_root(skin))}


def arm_planes(marks: Landmarks, side: str) -> dict[str, Plane]:
    """Level -> the plane in which an arm is taped there."""
    shoulder, elbow = marks[f"shoulder_point_{side}"], marks[f"elbow_{side}"]
    wrist = marks[f"wrist_bone_{side}"]
    return {
        "upper_arm": Plane.square_to((shoulder + elbow) / 2.0, elbow - shoulder),
        "elbow": Plane.square_to(elbow, wrist - shoulder),
        "wrist": Plane.square_to(wrist, wrist - elbow),
    }


def arm_girths(skin: Skin, marks: Landmarks, side: str) -> dict[str, float]:
    """Girths of one arm by term, cm."""
    planes = arm_planes(marks, side)
    return {f"{name}_girth": girth(arm(skin, marks, side, p)) for name, p in planes.items()}


def leg_levels(skin: Skin, marks: Landmarks, side: str) -> dict[str, float]:
    """Level -> the height over the floor at which a leg is taped, cm."""
    levels = marks.levels
    knee, ankle = levels[f"knee_{side}"], levels[f"ankle_{side}"]
    thigh, middle = levels["thigh"], levels[f"mid_thigh_{side}"]
    low, high = OVER_ANKLE
    if not ankle + high < knee < middle < thigh:
        raise GeometryError(f"the levels of the {side} leg are out of order.")
    calf = ankle + CALF_TOP * (knee - ankle)
    shank = skin.slab(ankle, knee)
    return {
        "thigh": thigh,
        "mid_thigh": middle,
        "knee": knee,
        "calf": extreme(shank, marks, side, ankle, calf, 1.0),
        "ankle": extreme(shank, marks, side, ankle + low, ankle + high, -1.0),
    }


def leg_girths(skin: Skin, marks: Landmarks, side: str) -> dict[str, float]:
    """Girths of one leg by term, cm."""
    levels = leg_levels(skin, marks, side)
    return {f"{name}_girth": girth(leg(skin, marks, side, z)) for name, z in levels.items()}


def extreme(skin: Skin, marks: Landmarks, side: str, low: float, high: float, sign: float) -> float:
    """The level of the greatest sign x girth of one leg between two levels, cm.

    Tried every STEP or closer, then round the best of them every sixth of that.
    """

    def at(z: float) -> float:
        return sign * girth(leg(skin, marks, side, z))

    rough = np.linspace(low, high, int(np.ceil((high - low) / STEP)) + 1)
    step = float(rough[1] - rough[0])
    best = max(rough.tolist(), key=at)
    fine: list[float] = np.linspace(max(low, best - step), min(high, best + step), 13).tolist()
    return max(fine, key=at)
