"""Every measure read off the surface in a hurry, with its gradients, for the fit.

The measures are those of ``docs/figure/measuring.md``. What is left out of the gradients: that a
plane square to a limb, or up from two landmarks, turns as they move, and how most lines' ends
slide on the hull of the waist. That slows the fit by a step, and moves no result.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.fork import crotch
from pinwright.figure.fitting.girths import arms, leg_girths, trunk_girths
from pinwright.figure.fitting.lengths import lengths
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.rows import Reading, first_least, level
from pinwright.figure.fitting.sides import sides
from pinwright.figure.landmarks import LITRES_PER_KG, SIDES


def readings(points: Array, worn_waist_drop: float = 0.0) -> Mapping[str, Reading]:
    """Every measure of a surface (n, 3), cm, by term; sided terms as ``_left`` and ``_right``."""
    s = Surface(points, worn_waist_drop)
    return {**by_tape(s), "weight": body_weight(s)}


def by_tape(s: Surface, keys: Collection[str] | None = None) -> dict[str, Reading]:
    """Every measure but the weight; or at least these, where only some are asked for."""
    found: dict[str, Reading] = {}
    wanted = set(keys) if keys is not None else None
    for take, marks in PARTS:
        if wanted is None or any(k.startswith(marks) for k in wanted):
            take(s, found)
    return found


def _lengths(s: Surface, found: dict[str, Reading]) -> None:
    if f"arm_length_{next(iter(SIDES))}" not in found:
        arms(s, found)
    lengths(s, found)


def _heights(s: Surface, found: dict[str, Reading]) -> None:
    top = level(s.points, first_least(-s.points[:, 2]))
    found["height"] = top - s.floor
    found["cervical_height"] = s.z("back_neck_point")
    found["inside_leg"] = s.z("fork")
    found["waist_above_fork"] = s.waist - s.z("fork")


PARTS: tuple[tuple[Callable[[Surface, dict[str, Reading]], None], tuple[str, ...]], ...] = (
    (_heights, ("height", "cervical_height", "inside_leg", "waist_above_fork")),
    (
        trunk_girths,
        ("bust_", "under_bust_", "upper_chest_", "waist_", "worn_", "top_hip_", "hip_", "neck_"),
    ),
    (leg_girths, ("thigh_", "mid_thigh_", "knee_", "calf_", "ankle_")),
    (arms, ("upper_arm_", "elbow_", "wrist_", "arm_length")),
    (
        _lengths,
        ("shoulder_", "back_", "front_", "side_neck_", "across_", "bust_point_width", "scye_"),
    ),
    (sides, ("outside_leg", "waist_to_")),
    (crotch, ("total_crotch_", "front_crotch_", "back_crotch_")),
)
"""What takes which measures: how their keys begin."""


def body_weight(s: Surface) -> Reading:
    """Litres of the closed surface, as kg."""
    t = s.parts.triangles
    a, b, c = (s.points[t[:, k]] for k in range(3))
    parts = [_crossed(p, q) for p, q in ((b, c), (c, a), (a, b))]
    factor = 1.0 / (6000.0 * LITRES_PER_KG)
    n = len(s.points)
    who = t.T.ravel()
    by = np.zeros((n, 3))
    for k in range(3):
        by[:, k] = np.bincount(who, np.concatenate([p[k] for p in parts]), n)
    total = float(sum(x @ p for x, p in zip(a.T, parts[0], strict=True)))
    return Reading(total * factor, np.arange(n), by * factor)


def _crossed(p: Array, q: Array) -> tuple[Array, Array, Array]:
    """The vector products of rows (t, 3), by axis."""
    (x, y, z), (u, v, w) = p.T, q.T
    return y * w - z * v, z * u - x * w, x * v - y * u
