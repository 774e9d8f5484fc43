"""What may be marked in a photograph of the client, and where the mark is put.

Landmarks bear the names of :mod:`pinwright.figure.landmarks`, terms of ISO 8559-1:2017 as far as
seen second-hand (see pinwright.measures.terms); where each lies on a client is common practice.
Only what the lens sees from that side may be marked. Sides are the client's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

View = Literal["front", "back", "left", "right"]
"""Which side of the client the lens sees."""

VIEWS: tuple[View, ...] = ("front", "back", "left", "right")

CAUTION = (
    "A photograph of a client is body data: take it with her consent, keep it on this machine, and "
    "erase it when you erase her order. The order keeps the marks only, never the photograph."
)
"""Said wherever a photograph is asked for."""

NEEDED = ("crown", "floor")
"""Marked in every photograph: they tell how many cm a px is."""

PLUMB = ("plumb_top", "plumb_bottom")
"""Two points of one plumb line, marked both or not at all: they tell how the camera was rolled."""

FRAME: Mapping[str, str] = {
    "crown": "Highest point of the head; press the hair down.",
    "floor": "On the floor, half way between the back edges of the heels; judge it where feet hide "
    "them.",
    "plumb_top": "High on a plumb line that hangs in the picture, or on an upright edge of a door.",
    "plumb_bottom": "Low on the same plumb line.",
}
"""What serves the scale -> where it is put; the same from every side."""

PROFILE: Mapping[str, str] = {
    "bust_front": "On the outline, where the bust stands out furthest to the front.",
    "waist_front": "On the outline in front, at the height of the waist tape.",
    "abdomen_front": "On the outline below the waist, where the abdomen stands out furthest.",
    "back_furthest": "On the outline of the back, where the shoulder blades stand out furthest.",
    "waist_back": "On the outline of the back, where the hollow of the waist is deepest.",
    "seat_back": "On the outline, where the seat stands out furthest to the back.",
}
"""Places of the profile, seen from the side -> where each is put: how far out they lie is used,
their height is not."""

ARMS = ("elbow", "wrist_bone")
"""Landmarks of the arm: only their height is used, for an arm hangs as it likes."""

LEGS = ("knee", "ankle_bone")
"""Landmarks of the leg: the feet are set apart as she likes, so how far across these lie is only
used to see whether a knee lies off the line from hip to ankle."""

_MIDDLE: Mapping[View, Mapping[str, str]] = {
    "front": {
        "larynx": "Middle of the neck in front, at the larynx.",
        "front_neck_point": "In the pit of the neck, between the collar bones.",
        "front_waist": "Middle of the front, on the waist tape.",
    },
    "back": {
        "back_neck_point": "On the bone at the nape that stands out when she bends her head.",
        "back_waist": "Middle of the back, on the waist tape.",
    },
}
_MIDDLE_SIDE: Mapping[str, str] = {
    "back_neck_point": "On the outline, at the bone of the nape; hold the hair up.",
    "larynx": "On the outline of the neck in front, at the larynx.",
}
_PAIRED: Mapping[View, Mapping[str, str]] = {
    "front": {
        "side_neck_point": "Where neck and shoulder meet, on the line of the shoulder seam.",
        "shoulder_point": "On the outer end of the shoulder bone, where a sleeve is set in.",
        "front_arm_break": "Where the arm folds against the chest in front.",
        "bust_point": "On the point of the breast.",
        "under_bust": "Close under the breast, below its point.",
        "side_waist": "On the outline of the trunk, at the waist tape.",
        "side_hip": "On the outline, at the height where the seat is fullest.",
        "knee": "Middle of the knee-cap.",
        "ankle_bone": "On the bone at the outside of the ankle.",
    },
    "back": {
        "side_neck_point": "Where neck and shoulder meet, on the line of the shoulder seam.",
        "shoulder_point": "On the outer end of the shoulder bone, where a sleeve is set in.",
        "back_arm_break": "Where the arm folds against the back.",
        "side_waist": "On the outline of the trunk, at the waist tape.",
        "side_hip": "On the outline, at the height where the seat is fullest.",
        "elbow": "On the tip of the elbow.",
        "wrist_bone": "On the bone at the outside of the wrist, on the side of the little finger.",
        "ankle_bone": "On the bone at the outside of the ankle.",
    },
}
_PAIRED_SIDE: Mapping[str, str] = {
    "side_neck_point": "Where neck and shoulder meet, on the line of the shoulder seam.",
    "shoulder_point": "On the outer end of the shoulder bone, where a sleeve is set in.",
    "bust_point": "On the point of the breast.",
    "elbow": "On the tip of the elbow.",
    "wrist_bone": "On the bone at the outside of the wrist, on the side of the little finger.",
    "knee": "Middle of the knee-cap, where it stands out on the outline.",
    "ankle_bone": "On the bone at the outside of the ankle.",
}


@dataclass(frozen=True, slots=True)
class Place:
    """Something that may be marked: its name in the order, and a sentence saying where it is put.

    label: the name as a person reads it. needed: no photograph does without it.
    """

    name: str
    label: str
    where: str
    needed: bool = False


def places(view: View) -> tuple[Place, ...]:
    """All that may be marked in a photograph from that side, what is needed first.

    Of a landmark that comes in pairs, front and back show both; a side shows its own.
    """
    found = [_place(name, where) for name, where in FRAME.items()]
    if view in ("left", "right"):
        found += [_place(name, where) for name, where in _MIDDLE_SIDE.items()]
        found += [_place(f"{name}_{view}", where) for name, where in _PAIRED_SIDE.items()]
        found += [_place(name, where) for name, where in PROFILE.items()]
        return tuple(found)
    found += [_place(name, where) for name, where in _MIDDLE[view].items()]
    for name, where in _PAIRED[view].items():
        found += [_place(f"{name}_{side}", where) for side in ("left", "right")]
    return tuple(found)


def names(view: View) -> tuple[str, ...]:
    """The names of :func:`places`."""
    return tuple(p.name for p in places(view))


def paired(name: str) -> tuple[str, str]:
    """A landmark's name and its side: ("knee", "left"); the side is empty for the middle."""
    for side in ("left", "right"):
        if name.endswith(f"_{side}"):
            return name.removesuffix(f"_{side}"), side
    return name, ""


def label(name: str) -> str:
    """A place's name as a person reads it: "left shoulder point"."""
    bare, side = paired(name)
    words = bare.replace("_", " ")
    return f"{side} {words}" if side else words


def _place(name: str, where: str) -> Place:
    return Place(name, label(name), where, name in NEEDED)
