"""Places of the figure and of the pieces by the words of the trade."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pinwright.measures.units import CM_PER_INCH, LengthUnit

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
    "under_bust": "lower edge of the {side} breast",
    "shoulder_point": "shoulder point",
    "side_neck_point": "neck point of the {side} shoulder",
    "back_neck_point": "nape",
    "front_neck_point": "front neck point",
    "armpit": "underarm",
    "back_arm_break": "back of the {side} armhole",
    "front_arm_break": "front of the {side} armhole",
    "side_waist": "side of the waist",
    "side_hip": "side of the hip",
    "back_waist": "back waist",
    "front_waist": "front waist",
    "ankle_bone": "ankle",
    "wrist_bone": "wrist",
}
"""Landmark of the figure -> what a cutter calls it, where the name itself does not say it. Its side
stands before it, or where it is marked."""


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


def called(place: str, side: str) -> str:
    """A place in a sentence: "the left bust point", "the back of the left armhole"; without a side
    one on the middle line."""
    if "{side}" in place:
        return f"the {place.format(side=side)}"
    return f"the {side} {place}" if side else f"the {place}"


def both(sides: Iterable[str]) -> str:
    """The sides that something is seen on: "right", "left" or "right and left"; "" of neither."""
    found = set(sides)
    return " and ".join(s for s in ("right", "left") if s in found)


def about(cm: float, unit: LengthUnit) -> str:
    """A length that is only told roughly, in whole cm or inches: "14 cm", "6 in"."""
    return f"{cm if unit == 'cm' else cm / CM_PER_INCH:.0f} {unit}"
