"""Girths of trunk, neck and limbs, read quickly."""

from __future__ import annotations

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.parts import Edges
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.rows import Reading, combined
from pinwright.figure.landmarks import CHEST_UNDER, NECK_LEAN, SIDES, UNDER_FORK

CHEST = {"bust_girth": "trunk", "under_bust_girth": "under", "upper_chest_girth": "trunk"}
"""Girths taped close under the arms, and the part of the body whose edges they go round."""

CALF = (0.56, 0.64, 0.72, 0.8)
"""How far up from the ankle bone to the knee the calf is looked for: near enough, see LOW."""

LOW = (5.2, 6.0)
"""How far over the ankle bone (cm) the ankle is looked for, between OVER_ANKLE: on 26 women of
bdims the tape found it at 5 to 6, and the calf at 0.65 to 0.77."""


def trunk_girths(s: Surface, found: dict[str, Reading]) -> None:
    """Girths and arcs of trunk and neck, put among what was found."""
    trunk = s.parts.trunk
    under = s.parts.under
    levels = {
        "bust_girth": s.z("bust_point"),
        "under_bust_girth": s.z("under_bust"),
        "upper_chest_girth": s.z("armpit").plus(-CHEST_UNDER),
        "top_hip_girth": combined((0.5, s.waist), (0.5, s.hip)),
        "hip_girth": s.hip,
        "worn_waist_girth": s.waist.plus(-s.drop),
    }
    rings = {name: s.level_girth(under, at) for name, at in levels.items() if name not in CHEST}
    for name, edges in CHEST.items():
        rings[name] = s.chest_girth(getattr(s.parts, edges), levels[name])
    rings["waist_girth"], levels["waist_girth"] = s.waist_ring, s.waist
    found.update({name: girth for name, (girth, _) in rings.items()})
    for name, mark in (("bust", "armpit"), ("waist", "side_waist"), ("hip", "side_hip")):
        girth, ring = rings[f"{name}_girth"]
        front = s.arc(ring, levels[f"{name}_girth"] + s.floor, mark)
        found[f"{name}_front_arc"], found[f"{name}_back_arc"] = front, girth - front
    normal = np.array([0.0, -np.sin(np.radians(NECK_LEAN)), np.cos(np.radians(NECK_LEAN))])
    larynx = s.at["larynx"]
    plane = Reading(float(normal @ s.points[larynx]), np.array([larynx]), normal[None])
    near = trunk[(s.points[trunk[:, 0], 2] > s.points[larynx, 2] - 6.0)]
    near = near[np.abs(s.points[near[:, 0], 0]) < 9.5]
    found["neck_girth"], _ = s.girth(near, normal, plane)
    found["neck_base_girth"] = s.round_neck()


def leg_girths(s: Surface, found: dict[str, Reading]) -> None:
    """Girths of the legs, put among what was found."""
    for side in SIDES:
        leg, shin = s.parts.leg[side], s.parts.shin[side]
        fork, knee = s.z("fork"), s.z(f"knee_{side}")
        ankle = s.z(f"ankle_bone_{side}")
        found[f"thigh_girth_{side}"], _ = s.level_girth(leg, fork.plus(-UNDER_FORK))
        half = combined((0.5, fork), (0.5, knee))
        found[f"mid_thigh_girth_{side}"], _ = s.level_girth(leg, half)
        found[f"knee_girth_{side}"], _ = s.level_girth(leg, knee)
        calf = [s.level_girth(shin, combined((f, knee), (1.0 - f, ankle)))[0] for f in CALF]
        found[f"calf_girth_{side}"] = max(calf, key=lambda r: r.value)
        low = [s.level_girth(shin, ankle.plus(by))[0] for by in LOW]
        found[f"ankle_girth_{side}"] = min(low, key=lambda r: r.value)


def arms(s: Surface, found: dict[str, Reading]) -> None:
    """Girths and length of the arms, put among what was found."""
    for side, sign in SIDES.items():
        marks = ("shoulder_point", "elbow", "wrist_bone")
        i, j, k = (s.at[f"{m}_{side}"] for m in marks)
        shoulder, elbow, wrist = (s.points[v] for v in (i, j, k))
        arm = s.parts.arm[side]

        found[f"upper_arm_girth_{side}"] = _square(s, arm, elbow - shoulder, [i, j])
        found[f"elbow_girth_{side}"] = _square(s, arm, wrist - shoulder, [j])
        found[f"wrist_girth_{side}"] = _square(s, arm, wrist - elbow, [k])
        out = np.array([sign, 0.0, 0.0])
        upper = s.line(f"shoulder_point_{side}", f"elbow_{side}", out, arm)
        fore = s.line(f"elbow_{side}", f"wrist_bone_{side}", out, arm)
        found[f"arm_length_{side}"] = upper + fore


def _square(s: Surface, arm: Edges, normal: Array, who: list[int]) -> Reading:
    """A girth square to a direction, through the middle of some landmarks."""
    n = normal / np.linalg.norm(normal)
    share = np.repeat(n[None] / len(who), len(who), axis=0)
    at = s.points[who].mean(axis=0)
    return s.girth(arm, n, Reading(float(n @ at), np.array(who), share))[0]
