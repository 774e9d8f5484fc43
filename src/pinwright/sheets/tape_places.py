"""For each measure: from which side it is seen best when it is taped, and how much of the body."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

from pinwright.figure.landmarks import Landmarks
from pinwright.figure.shadow import Side

Part = Literal["whole", "trunk", "shoulders", "shoulder", "neck", "waist", "hips", "legs", "shank"]
Arms = Literal["none", "right", "both"]


class Place(NamedTuple):
    """How a measure is shown. side: who looks sees this side of her. part: what is drawn of her.

    How the line lies: ``on`` the body, or a height ``beside`` it; ``through`` where the body hides
    a straight height that has to be seen all the same. arms: which of them are drawn; what does not
    lie on an arm or end there is shown without, as on a dress stand.
    """

    side: Side
    part: Part
    lies: Literal["on", "beside", "through"] = "on"
    arms: Arms = "none"


PLACES: Mapping[str, Place] = {
    "height": Place("right", "whole", "beside", "both"),
    "bust_girth": Place("front", "trunk"),
    "under_bust_girth": Place("front", "trunk"),
    "upper_chest_girth": Place("front", "trunk"),
    "waist_girth": Place("front", "trunk"),
    "worn_waist_girth": Place("front", "trunk"),
    "top_hip_girth": Place("front", "trunk"),
    "hip_girth": Place("back", "hips"),
    "neck_base_girth": Place("front", "neck"),
    "neck_girth": Place("right", "shoulders"),
    "upper_arm_girth": Place("front", "trunk", arms="right"),
    "elbow_girth": Place("back", "trunk", arms="right"),
    "wrist_girth": Place("back", "hips", arms="right"),
    "thigh_girth": Place("back", "hips"),
    "mid_thigh_girth": Place("front", "hips"),
    "knee_girth": Place("front", "legs"),
    "calf_girth": Place("right", "legs"),
    "ankle_girth": Place("right", "shank"),
    "shoulder_length": Place("front", "shoulder", arms="right"),
    "shoulder_slope": Place("front", "shoulder", arms="right"),
    "across_back_shoulder_width": Place("back", "shoulders"),
    "across_back_width": Place("back", "trunk"),
    "across_front_width": Place("front", "trunk"),
    "back_waist_length": Place("back", "trunk"),
    "front_waist_length": Place("front", "trunk"),
    "side_neck_to_bust_point": Place("front", "trunk"),
    "bust_point_width": Place("front", "trunk"),
    "scye_depth": Place("back", "trunk"),
    "arm_length": Place("right", "trunk", arms="right"),
    "back_neck_to_wrist": Place("back", "trunk", arms="right"),
    "total_crotch_length": Place("right", "hips"),
    "front_crotch_length": Place("front", "hips"),
    "back_crotch_length": Place("back", "hips"),
    "body_rise": Place("right", "hips", "through"),
    "outside_leg": Place("front", "legs"),
    "inside_leg": Place("front", "legs", "through"),
    "waist_to_hip": Place("front", "hips"),
    "waist_to_knee": Place("front", "legs"),
    "worn_waist_drop": Place("front", "waist"),
    "bust_front_arc": Place("front", "trunk"),
    "bust_back_arc": Place("back", "trunk"),
    "waist_front_arc": Place("front", "trunk"),
    "waist_back_arc": Place("back", "trunk"),
    "hip_front_arc": Place("front", "hips"),
    "hip_back_arc": Place("back", "hips"),
    "front_neck_to_waist": Place("front", "trunk"),
    "cervical_height": Place("right", "whole", "beside", "both"),
}
"""Measure -> how it is shown; what is not here is not shown on a body (weight, heel)."""


def reach(part: Part, marks: Landmarks) -> tuple[float, float]:
    """From which height over the floor up to which a part of the body is drawn, cm."""
    z = marks.levels
    knee = min(z["knee_left"], z["knee_right"])
    ankle = min(z["ankle_left"], z["ankle_right"])
    throat, shoulder = (float(marks[p][2]) for p in ("larynx", "shoulder_point_right"))
    return {
        "whole": (-1.0, z["top"] + 1.0),
        "trunk": (z["thigh"] - 8.0, z["top"] + 1.0),
        "shoulders": (z["bust"] - 3.0, z["top"] + 1.0),
        "shoulder": (shoulder - 10.0, throat + 6.0),
        "neck": (float(marks["front_neck_point"][2]) - 8.0, throat + 9.0),
        "waist": (z["hip"] + 1.0, z["waist"] + 6.0),
        "hips": (knee - 4.0, z["waist"] + 4.0),
        "legs": (-1.0, z["waist"] + 4.0),
        "shank": (-1.0, knee + (knee - ankle) / 3.0),
    }[part]
