"""Places of the figure and of the pieces by the words of the trade."""

from __future__ import annotations

from collections.abc import Mapping

LINES: Mapping[str, str] = {
    "bust": "bust level",
    "underarm": "underarm level",
    "waist": "waist level",
    "hip": "hip level",
    "crotch": "crotch level",
    "knee": "knee level",
    "upper_arm": "upper arm",
    "elbow": "elbow",
    "blade": "shoulder blades",
    "centre_front": "centre front",
    "crease": "crease",
    "plumb": "centre back",
}
"""Line of a panel -> the place it marks; other lines mark no place."""

LEVELS = ("underarm", "bust", "waist", "hip", "crotch", "knee")
"""Balance lines that lie level on the figure."""

EDGES: Mapping[str, str] = {
    "side": "side seam",
    "inseam": "inseam",
    "seat": "seat seam",
    "centre": "centre",
    "centre_front": "centre front",
    "hem": "hem",
    "waist": "waist edge",
    "neck": "neck edge",
    "armhole": "armhole",
    "shoulder": "shoulder seam",
    "yoke": "yoke seam",
    "cap": "sleeve cap",
    "under_front": "sleeve seam",
    "under_back": "sleeve seam",
    "front_edge": "front edge",
}
"""Edge of a panel -> the place along it; along other edges there is none."""

MARKS: Mapping[str, str] = {
    "bust_point": "bust point",
    "under_bust": "under the bust",
    "shoulder_point": "shoulder point",
    "side_neck_point": "neck point at the shoulder",
    "back_neck_point": "nape",
    "front_neck_point": "front neck point",
    "armpit": "underarm",
    "back_arm_break": "back of the armhole",
    "front_arm_break": "front of the armhole",
    "side_waist": "side of the waist",
    "side_hip": "side of the hip",
    "back_waist": "back waist",
    "front_waist": "front waist",
    "ankle_bone": "ankle",
    "wrist_bone": "wrist",
}
"""Landmark of the figure -> what a cutter calls it, where the name itself does not say it."""


def mark(name: str) -> tuple[str, str]:
    """A landmark in words, and its side ("" on the middle line)."""
    for side in ("left", "right"):
        if name.endswith(f"_{side}"):
            stem = name[: -len(side) - 1]
            return MARKS.get(stem, stem.replace("_", " ")), side
    return MARKS.get(name, name.replace("_", " ")), ""


def sided(place: str, side: str) -> str:
    """A place with its side: "hip level, front" and "left" -> "hip level, front, left"."""
    return f"{place}, {side}" if side else place
