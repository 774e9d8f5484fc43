"""Where on the figure the landmarks of ISO 8559-1 lie, and the levels that follow from them.

A landmark is a vertex of the open body, chosen once on its mean shape: a bone cannot be felt on a
surface, so it is where the trade looks for it (common practice), and the record's lengths then
bring it to its place on the client. Levels are heights of landmarks, as the standard has them.
Numbers of terms and clauses: see :mod:`pinwright.measures.terms`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.figure.body.model import Array, body, mean

MIDDLE: Mapping[str, int] = {
    "back_neck_point": 858,
    "front_neck_point": 1524,
    "larynx": 803,
    "back_waist": 4148,
    "front_waist": 4106,
    "fork": 6431,
}
"""Landmark on the middle line -> vertex."""

PAIRED: Mapping[str, int] = {
    "side_neck_point": 7533,
    "shoulder_point": 8235,
    "bust_point": 8454,
    "under_bust": 10748,
    "armpit": 8136,
    "back_arm_break": 8361,
    "front_arm_break": 8052,
    "side_waist": 10708,
    "side_hip": 10920,
    "knee": 11249,
    "ankle_bone": 12836,
    "elbow": 10042,
    "wrist_bone": 10555,
}
"""Landmark on her left -> vertex; her right is its mirror image."""

UNDER_FORK = 3.0
"""How far below the fork (cm) the thigh is taped: under the fold of the seat."""

UNDER_ARMPIT = 2.5
"""How far below the middle of the armpit (cm) a strip held under the arms lies, its edge and all:
the underarm level of the scye depth."""

CHEST_UNDER = 0.5
"""How far below the middle of the armpit (cm) the upper chest is taped: close under the arms."""


NECK_LEAN = 19.0
"""How far forward of upright the neck leans, degrees: its girth is taken square to it."""

OVER_ANKLE = (1.0, 6.0)
"""Between these heights over the ankle bone (cm) the ankle is taped: the least girth there."""

BESIDE_CLEFT = 1.5
"""How far beside the middle (cm) the seat is that the crotch tape lies on: not in the cleft."""

OVER_FORK = 0.5
"""From so far over the fork (cm) the crotch tape lies on the seat and not in its cleft."""

OFF_MIDDLE = 0.05
"""How far beside the middle the middle section is cut, cm: not along the edges that lie in it."""

LITRES_PER_KG = 0.98
"""Litres of body to a kilogram."""

SIDES: Mapping[str, float] = {"left": 1.0, "right": -1.0}
"""The client's sides, and the sign of x there."""


@dataclass(frozen=True, slots=True, eq=False)
class Landmarks:
    """Points (3,) by name, cm; a landmark that comes in pairs has ``_left`` and ``_right``.

    ``levels``: heights over the floor, cm: ``bust, under_bust, upper_chest, underarm, waist,
    top_hip, hip, fork, thigh, mid_thigh_left, knee_left, ankle_left`` (and right), ``top``.
    """

    points: Mapping[str, Array]
    levels: Mapping[str, float]

    def __getitem__(self, name: str) -> Array:
        return self.points[name]


@lru_cache(maxsize=1)
def mirrored() -> Array:
    """Of each vertex, the vertex that is its mirror image."""
    b = body()
    points = mean()[: b.n]
    distance, found = cKDTree(points).query(points * [-1.0, 1.0, 1.0])
    assert float(np.max(distance)) < 1e-6
    number: Array = np.asarray(found)
    return number


@lru_cache(maxsize=1)
def vertices() -> Mapping[str, int]:
    """Landmark -> vertex, both sides."""
    other = mirrored()
    left = {f"{name}_left": v for name, v in PAIRED.items()}
    right = {f"{name}_right": int(other[v]) for name, v in PAIRED.items()}
    return {**MIDDLE, **left, **right}


@lru_cache(maxsize=1)
def neck_line() -> tuple[NDArray[np.int64], Array]:
    """The root of the neck as a closed line: of each point the vertices (k, 4) and shares (k, 4).

    It passes the back, side and front neck points, and between them lies where half-planes round
    the neck meet the mean body's neck at a height that changes evenly from one to the next.
    """
    b = body()
    points = mean()[: b.n]
    f = b.faces
    pairs = np.concatenate([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 3]], f[:, [3, 0]]])
    edges = np.unique(np.sort(pairs, axis=1), axis=0)
    at = vertices()
    ends = [points[at[k]] for k in ("back_neck_point", "side_neck_point_left", "front_neck_point")]
    axis = np.array([0.0, ends[1][1]])
    near = (np.abs(points[:, :2] - axis) < 14.0).all(axis=1)
    near &= np.abs(points[:, 2] - ends[1][2]) < 12.0
    edges = edges[near[edges].all(axis=1)]
    rows: list[Array] = []
    shares: list[Array] = []
    for degrees in np.arange(-175.0, 180.0, 10.0):
        angle = np.radians(degrees)
        # 0 at the back, 90 at her left side, 180 in front
        part = abs(degrees) / 90.0
        low, high = (ends[0], ends[1]) if part < 1.0 else (ends[1], ends[2])
        part -= np.floor(part)
        z = low[2] + (high[2] - low[2]) * (1.0 - np.cos(np.pi * part)) / 2.0
        out = np.array([np.sin(angle), np.cos(angle)])
        side = (points[:, :2] - axis) @ np.array([out[1], -out[0]])
        a, c = edges[:, 0], edges[:, 1]
        cut = ((side[a] < 0.0) != (side[c] < 0.0)) & (((points[a, :2] - axis) @ out) > 0.0)
        a, c = a[cut], c[cut]
        t = side[a] / (side[a] - side[c])
        where = points[a] + t[:, None] * (points[c] - points[a])
        radius, height = (where[:, :2] - axis) @ out, where[:, 2]
        above = np.flatnonzero((height >= z) & (height < z + 5.0))
        below = np.flatnonzero((height < z) & (height > z - 5.0))
        i = above[np.argmin(np.hypot(radius[above] - 6.0, 2.0 * (height[above] - z)))]
        j = below[np.argmin(np.hypot(radius[below] - radius[i], 2.0 * (height[below] - z)))]
        s = (height[i] - z) / (height[i] - height[j])
        rows.append(np.array([a[i], c[i], a[j], c[j]]))
        shares.append(np.array([(1 - s) * (1 - t[i]), (1 - s) * t[i], s * (1 - t[j]), s * t[j]]))
    return np.stack(rows), np.stack(shares)


def landmarks(points: Array) -> Landmarks:
    """The landmarks of a surface (n, 3), cm, standing on the floor."""
    at = {name: points[v] for name, v in vertices().items()}

    def height(name: str) -> float:
        both = [at[f"{name}_{side}"][2] for side in ("left", "right")]
        return float(np.mean(both))

    waist = float(at["back_waist"][2] + at["front_waist"][2]) / 2.0
    fork = float(at["fork"][2])
    hip = seat_level(points)[0]
    levels = {
        "top": float(points[:, 2].max()),
        "bust": height("bust_point"),
        "under_bust": height("under_bust"),
        "upper_chest": height("armpit") - CHEST_UNDER,
        "underarm": height("armpit") - UNDER_ARMPIT,
        "waist": waist,
        "top_hip": (waist + hip) / 2.0,
        "hip": hip,
        "fork": fork,
        "thigh": fork - UNDER_FORK,
    }
    for side in ("left", "right"):
        knee = float(at[f"knee_{side}"][2])
        levels[f"knee_{side}"] = knee
        levels[f"mid_thigh_{side}"] = (fork + knee) / 2.0
        levels[f"ankle_{side}"] = float(at[f"ankle_bone_{side}"][2])
    return Landmarks(at, levels)


SHARP = 0.4
"""A vertex of the seat that lies so much (cm) less far back counts by 1/e of the furthest."""


@lru_cache(maxsize=1)
def seat() -> NDArray[np.int64]:
    """The vertices of the seat, from fork level to two thirds of the way to the waist."""
    b = body()
    points = mean()[: b.n]
    at = vertices()
    fork, waist = points[at["fork"], 2], points[at["back_waist"], 2]
    part = (points[:, 2] - fork) / (waist - fork)
    back = points[:, 1] > points[at["side_hip_left"], 1]
    back &= np.abs(points[:, 0]) < 0.85 * points[at["side_hip_left"], 0]
    found: NDArray[np.int64] = np.flatnonzero(back & (part > 0.08) & (part < 0.7))
    return found


def seat_level(points: Array) -> tuple[float, Array, Array]:
    """The height of the greatest backward projection of the seat, cm (ISO 8559-1 hip level).

    Where the seat stands out furthest, vertices weigh more the nearer they come to it, so that the
    level moves evenly as the body does. Also how it moves with their depth and with their height.
    """
    some = points[seat()]
    weight = np.exp((some[:, 1] - some[:, 1].max()) / SHARP)
    weight /= weight.sum()
    found = float(weight @ some[:, 2])
    return found, weight * (some[:, 2] - found) / SHARP, weight
