"""What the fit may change: the body's general numbers, single places on both sides, and posture.

The body is stood by the same turns whatever its shape, so a vertex is a sum of offsets that have
been stood once; that makes a step of the fit a few products.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import AGE, GENERAL, Array, body, mixed
from pinwright.figure.body.standing import hanging, posed
from pinwright.figure.posture import NAMES, Posture, carried, guides, postured

BOTH: tuple[str, ...] = (
    "upper_arm_fat",
    "upper_arm_depth",
    "upper_arm_shoulder_muscle",
    "forearm_fat",
    "thigh_fat",
    "thigh_muscle",
    "thigh_depth",
    "thigh_width",
    "shin_fat",
    "leg_valgus",
)
"""Changes of a place that come for each side: the fit makes them alike on both."""

SINGLE: tuple[str, ...] = (
    "bust_girth",
    "underbust_girth",
    "waist_girth",
    "hips_girth",
    "napetowaist_length",
    "waisttohip_length",
    "shoulder_length",
    "frontchest_length",
    "torso_depth",
    "torso_width",
    "torso_stretch",
    "torso_vshape",
    "torso_muscle_dorsi",
    "torso_muscle_pectoral",
    "breast_length",
    "breast_point",
    "breast_shift_up",
    "breast_volume_vert_up",
    "stomach_tone",
    "stomach_pregnant",
    "stomach_navel_out",
    "bulge",
    "pelvis_tone",
    "buttocks_volume",
    "hip_depth",
    "hip_width",
    "hip_stretch",
    "hip_waist_up",
    "neck_girth",
    "neck_height",
    "neck_depth",
    "neck_width",
    "neck_stretch",
    "neck_back_depth",
    "neck_shift_forward",
    "upper_arm_girth",
    "upper_arm_length",
    "forearm_length",
    "wrist_girth",
    "thigh_girth",
    "thigh_height",
    "shin_height",
    "knee_girth",
    "calf_girth",
    "ankle_girth",
)

PLACES = (*SINGLE, *BOTH)
STANDING = tuple(n for n in NAMES if not n.startswith("hip_"))
PARAMETERS = (*GENERAL, *PLACES, *STANDING)
"""The numbers of a fit, in order."""

START: Mapping[str, float] = dict.fromkeys(GENERAL, 0.5)

SPREAD: Mapping[str, float] = {
    "height": 0.5,
    "weight": 0.35,
    "muscle": 0.2,
    "cup": 0.35,
    "proportions": 0.25,
    "round_back": 6.0,
    "hollow_back": 5.0,
    "head_forward": 6.0,
    "shoulder_left": 1.5,
    "shoulder_right": 1.5,
    "shoulders_forward": 1.0,
    "stomach_pregnant": 0.25,
    "leg_valgus": 0.15,
    "torso_vshape": 0.3,
    "neck_height": 0.3,
    "neck_stretch": 0.3,
    "neck_shift_forward": 0.3,
}
"""How far a number is expected to lie from its start; 0.5 where nothing is said."""

LIMITS: Mapping[str, tuple[float, float]] = {
    "height": (-0.4, 1.4),
    "weight": (0.0, 1.35),
    "muscle": (0.0, 1.0),
    "cup": (-0.1, 1.5),
    "proportions": (0.0, 1.0),
    "round_back": (-20.0, 30.0),
    "hollow_back": (-18.0, 25.0),
    "head_forward": (-15.0, 20.0),
    "shoulder_left": (-4.0, 6.0),
    "shoulder_right": (-4.0, 6.0),
    "shoulders_forward": (-3.0, 4.0),
    "stomach_pregnant": (-0.3, 1.0),
    "leg_valgus": (-0.6, 0.6),
}
"""Between which a number may lie; -1.2 to 1.2 where nothing is said."""


@dataclass(frozen=True, slots=True, eq=False)
class Stood:
    """Offsets after the body was stood: (.., 3n) each, as 64-bit numbers.

    macros: (m, 3n), of one age; labels: theirs. less, more: (p, 3n), by PLACES.
    """

    template: Array
    labels: tuple[tuple[str, ...], ...]
    macros: Array
    less: Array
    more: Array


@lru_cache(maxsize=2)
def stood(age: float = AGE) -> Stood:
    """The open body's offsets, stood; made once."""
    b = body()
    turns = hanging()
    groups: dict[tuple[str, ...], Array] = {}
    for labels, offsets in zip(b.macros, b.macro, strict=True):
        share = (1.0 - age) if "young" in labels else age
        rest = tuple(label for label in labels if label not in ("young", "old"))
        groups[rest] = groups.get(rest, np.zeros(offsets.shape)) + share * offsets

    def flat(shape: NDArray[np.float32] | Array) -> Array:
        found: Array = posed(b, shape.astype(np.float64), turns)[: b.n].ravel()
        return found

    def place(ends: NDArray[np.float32], name: str) -> Array:
        names = [name] if name in SINGLE else [f"{name}_left", f"{name}_right"]
        total: Array = ends[[b.places.index(k) for k in names]].sum(axis=0)
        return flat(total)

    return Stood(
        template=flat(b.template),
        labels=tuple(groups),
        macros=np.stack([flat(g) for g in groups.values()]),
        less=np.stack([place(b.less, name) for name in PLACES]),
        more=np.stack([place(b.more, name) for name in PLACES]),
    )


def start() -> Array:
    """The numbers of the mean body (p,)."""
    return np.array([START.get(name, 0.0) for name in PARAMETERS])


def spread() -> Array:
    """How far each number is expected to lie from its start (p,)."""
    return np.array([SPREAD.get(name, 0.5) for name in PARAMETERS])


def limits() -> tuple[Array, Array]:
    """Between which each number may lie (p,), (p,)."""
    pairs = [LIMITS.get(name, (-1.2, 1.2)) for name in PARAMETERS]
    return np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])


def posture_of(numbers: Array) -> Posture:
    """The posture among the numbers (p,)."""
    given = dict(zip(PARAMETERS, numbers.tolist(), strict=True))
    return Posture(**{name: given[name] for name in STANDING})


def upright(numbers: Array) -> Array:
    """The surface (n, 3) before the posture is laid over it."""
    s = stood()
    given = dict(zip(PARAMETERS, numbers.tolist(), strict=True))
    value, _ = mixed(s.labels, given)
    amounts = numbers[len(GENERAL) : len(GENERAL) + len(PLACES)]
    flat = s.template + value @ s.macros
    flat += np.maximum(-amounts, 0.0) @ s.less + np.maximum(amounts, 0.0) @ s.more
    found: Array = flat.reshape(-1, 3)
    return found


def surface(numbers: Array) -> Array:
    """The surface (n, 3), cm, standing on the floor."""
    return standing(numbers, posture_of(numbers))


def standing(numbers: Array, posture: Posture) -> Array:
    """The surface (n, 3), cm, standing on the floor in a posture of its own."""
    found = postured(upright(numbers), posture)
    found[:, 2] -= found[:, 2].min()
    return found


def _slopes(numbers: Array) -> tuple[Array, NDArray[np.bool_]]:
    """How macros' values grow with each of GENERAL; and whether each place goes up."""
    given = dict(zip(PARAMETERS, numbers.tolist(), strict=True))
    _, slope = mixed(stood().labels, given)
    return slope, numbers[len(GENERAL) : len(GENERAL) + len(PLACES)] > 0.0


def growth(numbers: Array, at: NDArray[np.int64]) -> Array:
    """How vertices ``at`` (k,) of the surface move with each number (p, k, 3)."""
    s = stood()
    slope, up = _slopes(numbers)
    who = np.concatenate([at, guides()])
    columns = (3 * who[:, None] + np.arange(3)).ravel()
    places = np.where(up[:, None], s.more[:, columns], -s.less[:, columns])
    shaped = np.concatenate([slope.T @ s.macros[:, columns], places]).reshape(-1, len(who), 3)
    posture = posture_of(numbers)
    shaped = carried(shaped[:, : len(at)], at, shaped[:, len(at) :], posture)
    base = upright(numbers)
    now = postured(base, posture)[at]
    moved = []
    for name in STANDING:
        by = 0.02
        other = replace(posture, **{name: getattr(posture, name) + by})
        moved.append((postured(base, other)[at] - now) / by)
    return np.concatenate([shaped, np.stack(moved)])


def growth_in_sum(numbers: Array, gradient: Array) -> Array:
    """How a sum over all vertices, with this gradient (n, 3), grows with each number (p,).

    For the volume, which no posture changes: that is left out.
    """
    s = stood()
    slope, up = _slopes(numbers)
    flat = gradient.ravel()
    places = np.where(up, s.more @ flat, -(s.less @ flat))
    return np.concatenate([slope.T @ (s.macros @ flat), places, np.zeros(len(STANDING))])
