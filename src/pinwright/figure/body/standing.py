"""The body stood as a client stands: arms hanging, feet under the hips, by turning bones.

Each vertex goes with its bones by its weights (linear blend skinning: Magnenat-Thalmann,
Laperriere & Thalmann 1988, "Joint-dependent local deformations for hand animation and object
grasping", Graphics Interface). The turns are those that stand the mean body, the same for every
body: so where a vertex comes to lie stays a plain sum of the offsets.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from pinwright.figure.body.model import Array, Body, body, mean

ARM = 17.0
"""How far the upper arm stands from the plumb, degrees: enough that nothing touches."""

FOREARM = 11.0
"""How far the forearm stands from the plumb sideways, degrees."""

BENT = 14.0
"""How far forward of the plumb the forearm hangs, degrees."""

LEG = 2.0
"""How far each leg is brought in from the stance of the data, degrees."""

GIRDLE = 0.0
"""The part of an arm's fall that the collar bone and shoulder blade take."""

PARENT: Mapping[str, str] = {
    "loin": "pelvis",
    "waist": "loin",
    "chest": "waist",
    "shoulders": "chest",
    "neck": "shoulders",
    "head": "neck",
    **{
        f"{bone}_{side}": parent if parent in ("shoulders", "pelvis") else f"{parent}_{side}"
        for side in ("left", "right")
        for bone, parent in (
            ("clavicle", "shoulders"),
            ("shoulder", "clavicle"),
            ("upper_arm", "shoulder"),
            ("forearm", "upper_arm"),
            ("hand", "forearm"),
            ("thigh", "pelvis"),
            ("shin", "thigh"),
            ("foot", "shin"),
        )
    },
}
"""The bone each bone hangs from."""


def between(a: Array, c: Array) -> Array:
    """The smallest turn (3, 3) that brings direction a to direction c."""
    a, c = a / np.linalg.norm(a), c / np.linalg.norm(c)
    v, cosine = np.cross(a, c), float(a @ c)
    k = np.array([[0.0, -v[2], v[1]], [v[2], 0.0, -v[0]], [-v[1], v[0], 0.0]])
    turn: Array = np.eye(3) + k + k @ k / (1.0 + cosine)
    return turn


def posed(b: Body, shape: Array, turns: Mapping[str, Array]) -> Array:
    """Vertices and joints (n + j, 3) after bones are turned; linear in the shape (n + j, 3).

    turns: bone -> its own turn (3, 3) in the body's axes; what hangs from it goes along.
    """
    joints = dict(zip(b.joints, shape[b.n :], strict=True))
    turn: dict[str, Array] = {"pelvis": turns.get("pelvis", np.eye(3))}
    place: dict[str, Array] = {"pelvis": joints["pelvis"]}
    for bone, parent in PARENT.items():
        place[bone] = place[parent] + turn[parent] @ (joints[bone] - joints[parent])
        turn[bone] = turns.get(bone, np.eye(3)) @ turn[parent]
    points = np.zeros((b.n, 3))
    for k, bone in enumerate(b.bones):
        who = np.flatnonzero(b.weights[:, k])
        moved = (shape[who] - joints[bone]) @ turn[bone].T + place[bone]
        points[who] += b.weights[who, k, None] * moved
    return np.concatenate([points, np.stack([place[j] for j in b.joints])])


@lru_cache(maxsize=1)
def hanging() -> Mapping[str, Array]:
    """The turns that let the arms of the mean body hang and bring her feet in."""
    b = body()
    shape = mean()
    at = dict(zip(b.joints, shape[b.n :], strict=True))
    turns: dict[str, Array] = {}
    for side, sign in (("left", 1.0), ("right", -1.0)):
        upper = at[f"forearm_{side}"] - at[f"upper_arm_{side}"]
        fore = at[f"hand_{side}"] - at[f"forearm_{side}"]
        whole = between(upper, _from_plumb(sign * ARM, 2.0))
        part = _part(whole, GIRDLE)
        rest = whole @ part.T
        turns[f"clavicle_{side}"] = part
        turns[f"upper_arm_{side}"] = rest
        turns[f"forearm_{side}"] = between(whole @ fore, _from_plumb(sign * FOREARM, BENT))
        c, s = np.cos(np.radians(LEG)), sign * np.sin(np.radians(LEG))
        turns[f"thigh_{side}"] = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
        turns[f"foot_{side}"] = turns[f"thigh_{side}"].T  # the sole stays on the floor
    return turns


@lru_cache(maxsize=1)
def stood_mean() -> Array:
    """The vertices (n, 3), cm, of the mean body stood."""
    b = body()
    found = posed(b, mean(), hanging())[: b.n]
    found.setflags(write=False)
    return found


def _from_plumb(outward: float, forward: float) -> Array:
    """The direction so many degrees outwards and forwards of straight down."""
    a, f = np.radians([outward, forward])
    return np.array([np.tan(a), -np.tan(f), -1.0])


def _part(turn: Array, share: float) -> Array:
    """A part of a turn, about the same axis."""
    axis = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]])
    size = np.linalg.norm(axis)
    if size < 1e-12:
        return np.eye(3)
    x, y, z = axis / size
    k = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    angle = share * np.arctan2(size / 2.0, (np.trace(turn) - 1.0) / 2.0)
    found: Array = np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * k @ k
    return found
