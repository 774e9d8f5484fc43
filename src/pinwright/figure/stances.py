"""By how much each bone is turned in a pose, from the figure as it stands.

Arms are raised in the plane of the shoulder blade, SCAPULAR degrees before the sides, and the
shoulder girdle takes a third of it, two thirds being the arm's own (Inman, Saunders & Abbott 1944,
"Observations on the function of the shoulder joint", Journal of Bone and Joint Surgery 26; from
memory). In sitting the pelvis tips back and the loin straightens (Keegan 1953, "Alterations of the
lumbar curve related to posture and seating", Journal of Bone and Joint Surgery 35-A; from memory).
The step is that of walking as the foot behind is about to leave the floor, its knee bent by 35 to
40 degrees (Murray, Drought & Kory 1964, "Walking patterns of normal men", Journal of Bone and Joint
Surgery 46-A; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pinwright.figure.body.model import Array, Whole, body
from pinwright.figure.legs_apart import turned_out
from pinwright.figure.skinning import Turn, about, motions, skinned, then, turned, vector

Name = Literal["dressing", "standing", "arms-raised", "step", "sitting"]

ARM_OUT = 38.0
"""How far from the plumb the arms are held for dressing, degrees."""

DRESSING_GAP, STANDING_GAP = 2.0, 1.2
"""So far the legs are apart at the least, from UNDER_FORK under the fork down, for dressing and in
the other standing poses, cm: cloth hangs between them."""

TOES_OUT = 7.0
"""How far each foot points out at the mirror, degrees, from heel to ball: half of the 14 between
the feet of 262 people who stood as they liked (McIlroy & Maki 1997, "Preferred placement of the
feet during quiet stance", Clinical Biomechanics 12; from memory). The open body's point in by 2.5.
"""

HEEL, BALL, SOLE = 0.15, 0.7, 3.0
"""Which parts of a foot's length, from behind, heel and ball lie at, and so high over its sole, cm,
what is looked at for them."""

TRIES = 3
"""The skin gives at the ankle, so a foot is turned by what is still lacking, so often."""

SCAPULAR = 35.0
"""How far before the sides the plane of the shoulder blade lies, degrees (30 to 40 in textbooks;
from memory)."""

GIRDLE = 1.0 / 3.0
"""The part of an arm's raising that the shoulder girdle takes."""

TIPPED = 20.0
"""How far the pelvis tips back in sitting, degrees; loin and waist bend forward by as much."""

FORWARD, FORWARD_KNEE = 30.0, 15.0
"""How far the hip and knee of the leg in front are bent in a step, degrees."""

BACKWARD, BACKWARD_KNEE = 15.0, (5.0, 70.0)
"""How far the leg behind is stretched back, and between which its knee is bent, degrees: by as much
as brings its toes to the floor."""

ANKLE = 10.0
"""How far the foot behind is bent up in the ankle, degrees."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """A figure as it stands: points (n, 3) cm, and its joints."""

    points: Array
    joints: Mapping[str, Array]

    def stood(self, turns: Mapping[str, Turn]) -> tuple[Array, dict[str, Array]]:
        """Points (n, 3) and joints after bones are turned, stood on the floor."""
        b = body()
        points, at = skinned(self.points, b.bones, b.weights, self.joints, turns)
        up = np.array([0.0, 0.0, -float(points[:, 2].min())])
        return points + up, {name: p + up for name, p in at.items()}

    def part(self, turns: Mapping[str, Turn], which: Whole) -> Array:
        """Points (n, 3) of which those asked went with the bones, while the pelvis stays."""
        b = body()
        found = self.points.copy()
        found[which], _ = skinned(self.points[which], b.bones, b.weights[which], self.joints, turns)
        return found


def stance(own: Standing, pose: Name) -> tuple[dict[str, Turn], float, float]:
    """The turns of a pose from the figure as it stands, how far legs turn out, and their gap."""
    out, gap = turned_out(
        own.points,
        lambda degrees, which: own.part(_legs_out(degrees), which),
        DRESSING_GAP if pose == "dressing" else STANDING_GAP,
        _upright(own) if pose == "standing" else 0.0,
    )
    if pose == "dressing":
        return {**_legs_out(out), **_arms(own, _sideways(ARM_OUT), 0.0)}, out, gap
    if pose == "arms-raised":
        return {**_legs_out(out), **_arms(own, _level(SCAPULAR), GIRDLE)}, out, gap
    if pose == "step":
        return _step(own, out), out, gap
    if pose == "sitting":
        return _sitting(own, out), out, gap
    return _standing(own, out), out, gap


def _upright(own: Standing) -> float:
    """The turn that brings each ankle under its hip joint, degrees, below 0: so a client is asked
    to stand at the mirror, feet under the hips (common practice), whatever the figure's stance."""
    lean = []
    for side in ("left", "right"):
        hip, ankle = own.joints[f"thigh_{side}"], own.joints[f"foot_{side}"]
        lean.append(np.degrees(np.arctan2(abs(ankle[0]) - abs(hip[0]), hip[2] - ankle[2])))
    return -max(0.0, float(np.mean(lean)))


def _legs_out(degrees: float) -> dict[str, Turn]:
    """Each leg turned out in the hip, its sole left flat."""
    found: dict[str, Turn] = {}
    for side, sign in (("left", -1.0), ("right", 1.0)):
        turn = np.array([0.0, sign * np.radians(degrees), 0.0])
        found[f"thigh_{side}"] = turn
        found[f"foot_{side}"] = -turn
    return found


def _standing(own: Standing, out: float) -> dict[str, Turn]:
    """Legs turned out in the hip so far, feet flat and toes out."""
    flat = _legs_out(out)
    found = dict(flat)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        foot = np.flatnonzero(body().share(f"foot_{side}") > 0.5)
        turn = 0.0
        for _ in range(TRIES):
            turn += np.radians(TOES_OUT - toes_out(own.part(found, foot), side))
            yaw = np.array([0.0, 0.0, sign * turn])
            found[f"foot_{side}"] = then(flat[f"foot_{side}"], yaw)
    return found


def toes_out(points: Array, side: str) -> float:
    """How far a foot of a figure (n, 3) cm points out from heel to ball, degrees, below 0 inwards.

    Of both the middle is taken between their inner and outer side, low over the floor.
    """
    foot = points[body().share(f"foot_{side}") > 0.5]
    foot = foot[foot[:, 2] < foot[:, 2].min() + SOLE]
    back, front = foot[:, 1].max(), foot[:, 1].min()
    near = 0.1 * (back - front)
    ends = []
    for part in (HEEL, BALL):
        at = back - part * (back - front)
        some = foot[np.abs(foot[:, 1] - at) < near, 0]
        ends.append((abs(some.max() + some.min()) / 2.0, at))
    (heel, behind), (ball, before) = ends
    return float(np.degrees(np.arctan2(ball - heel, behind - before)))


def _sideways(degrees: float) -> Array:
    """The direction so many degrees from the plumb to her left."""
    a = np.radians(degrees)
    return np.array([np.sin(a), 0.0, -np.cos(a)])


def _level(forward: float) -> Array:
    """The level direction so many degrees before her left."""
    a = np.radians(forward)
    return np.array([np.cos(a), -np.sin(a), 0.0])


def _arms(own: Standing, way: Array, girdle: float) -> dict[str, Turn]:
    """Both arms straight in a direction, given for her left; girdle: the part it takes."""
    found: dict[str, Turn] = {}
    at = own.joints
    for side, sign in (("left", 1.0), ("right", -1.0)):
        aim = way * [sign, 1.0, 1.0]
        upper = at[f"forearm_{side}"] - at[f"upper_arm_{side}"]
        fore = at[f"hand_{side}"] - at[f"forearm_{side}"]
        if girdle:
            whole = girdle * about(upper, aim)
            found[f"clavicle_{side}"] = found[f"shoulder_{side}"] = whole / 2.0
        for bone, along in (("upper_arm", upper), ("forearm", fore)):
            turn, _ = motions(at, found)
            found[f"{bone}_{side}"] = about(turned(turn[f"{bone}_{side}"], along), aim)
    return found


def _step(own: Standing, out: float) -> dict[str, Turn]:
    """Her right leg before her left; the sole in front flat, the one behind on its toes."""
    found = _legs_out(out)
    found["thigh_right"] = then(found["thigh_right"], _pitch(-FORWARD))
    found["shin_right"] = _pitch(FORWARD_KNEE)
    found["foot_right"] = _flat(own, found, "right")
    found["thigh_left"] = then(found["thigh_left"], _pitch(BACKWARD))
    foot = {side: np.flatnonzero(body().share(f"foot_{side}") > 0.5) for side in ("left", "right")}
    floor = own.part(found, foot["right"])[foot["right"], 2].min()
    low, high = BACKWARD_KNEE
    for _ in range(14):
        knee = (low + high) / 2.0
        found["shin_left"] = _pitch(knee)
        heel = _pitch(BACKWARD + knee - ANKLE)
        found["foot_left"] = then(_flat(own, found, "left"), heel)
        if own.part(found, foot["left"])[foot["left"], 2].min() < floor:
            low = knee
        else:
            high = knee
    return found


def _sitting(own: Standing, out: float) -> dict[str, Turn]:
    """Thighs level, shins plumb, soles flat, the trunk upright over the tipped pelvis."""
    found: dict[str, Turn] = {
        "pelvis": _pitch(-TIPPED),
        "loin": _pitch(TIPPED / 2.0),
        "waist": _pitch(TIPPED / 2.0),
    }
    at = own.joints
    for side, sign in (("left", 1.0), ("right", -1.0)):
        thigh = at[f"shin_{side}"] - at[f"thigh_{side}"]
        shin = at[f"foot_{side}"] - at[f"shin_{side}"]
        # the leg keeps in sitting the way out it has in standing
        aside = np.arctan2(sign * thigh[0], -thigh[2]) + np.radians(out)
        level = np.array([sign * np.sin(aside), -np.cos(aside), 0.0])
        for bone, along, aim in (
            ("thigh", thigh, level),
            ("shin", shin, np.array([0.0, 0.0, -1.0])),
        ):
            turn, _ = motions(at, found)
            found[f"{bone}_{side}"] = about(turned(turn[f"{bone}_{side}"], along), aim)
        found[f"foot_{side}"] = _flat(own, found, side)
    return found


def _pitch(degrees: float) -> Turn:
    """A turn about the axis from side to side that takes what hangs to the back."""
    return np.array([np.radians(degrees), 0.0, 0.0])


def _flat(own: Standing, turns: Mapping[str, Turn], side: str) -> Turn:
    """The foot's own turn that leaves its sole as it was."""
    turn, _ = motions(own.joints, {k: v for k, v in turns.items() if k != f"foot_{side}"})
    return -vector(turn[f"foot_{side}"])
