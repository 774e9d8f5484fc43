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
from scipy.sparse import csr_array

from pinwright.figure.body.model import AGE, GENERAL, Array, body, mixed, upward
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
STANDING = NAMES
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
    "hip_left": 0.5,
    "hip_right": 0.5,
    "knee_left": 2.0,
    "knee_right": 2.0,
    "arms_out": 8.0,
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
    "hip_left": (-4.0, 4.0),
    "hip_right": (-4.0, 4.0),
    "knee_left": (-5.0, 5.0),
    "knee_right": (-5.0, 5.0),
    "arms_out": (0.0, 30.0),
}
"""Between which a number may lie; -1.2 to 1.2 where nothing is said."""


ROUNDED = 0.2
"""Within about so much of its start (as a part of its end) a number changes from one end's way to
the other's: where it would turn sharply the fit had no slope to trust, and took twice the steps."""


@dataclass(frozen=True, slots=True, eq=False)
class Stood:
    """Offsets after the body was stood, 64-bit numbers.

    template: (3n,). macros: (m, 3n), of one age; labels: theirs; by_vertex: (n, 3, m), the same.
    less, more: (3n, p), by PLACES: each moves few vertices.
    """

    template: Array
    labels: tuple[tuple[str, ...], ...]
    macros: Array
    by_vertex: Array
    less: csr_array
    more: csr_array


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

    macros = np.stack([flat(g) for g in groups.values()])
    return Stood(
        template=flat(b.template),
        labels=tuple(groups),
        macros=macros,
        by_vertex=np.ascontiguousarray(macros.T).reshape(b.n, 3, -1),
        less=csr_array(np.stack([place(b.less, name) for name in PLACES], axis=1)),
        more=csr_array(np.stack([place(b.more, name) for name in PLACES], axis=1)),
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
    value, _ = mixed(s.labels, given, rounded=ROUNDED)
    amounts = numbers[len(GENERAL) : len(GENERAL) + len(PLACES)]
    flat = s.less @ upward(-amounts, ROUNDED)[0] + s.more @ upward(amounts, ROUNDED)[0]
    flat += s.template
    for k in np.flatnonzero(value):
        flat += value[k] * s.macros[k]
    found: Array = flat.reshape(-1, 3)
    return found


def surface(numbers: Array) -> Array:
    """The surface (n, 3), cm, standing on the floor."""
    return stood_up(upright(numbers), numbers)


def stood_up(base: Array, numbers: Array) -> Array:
    """The upright surface (n, 3) in its posture, cm, standing on the floor."""
    found = postured(base, posture_of(numbers))
    found[:, 2] -= found[:, 2].min()
    return found


def _slopes(numbers: Array) -> tuple[Array, Array, Array]:
    """How macros' values grow with each of GENERAL, and how each place's ends do, less and more."""
    given = dict(zip(PARAMETERS, numbers.tolist(), strict=True))
    _, slope = mixed(stood().labels, given, rounded=ROUNDED)
    amounts = numbers[len(GENERAL) : len(GENERAL) + len(PLACES)]
    return slope, -upward(-amounts, ROUNDED)[1], upward(amounts, ROUNDED)[1]


def growth(numbers: Array, at: NDArray[np.int64], base: Array) -> Array:
    """How vertices ``at`` (k,) of the surface move with each number (p, k, 3).

    base: the upright surface (n, 3) of these numbers.
    """
    s = stood()
    slope, less, more = _slopes(numbers)
    who = np.concatenate([at, guides()])
    columns = (3 * who[:, None] + np.arange(3)).ravel()
    places = (s.less[columns] * less + s.more[columns] * more).toarray()
    general = s.by_vertex[who].reshape(len(columns), -1) @ slope
    shaped = np.concatenate([general, places], axis=1).T.reshape(-1, len(who), 3)
    posture = posture_of(numbers)
    shaped = carried(shaped[:, : len(at)], at, shaped[:, len(at) :], posture)
    now = postured(base, posture, at)
    moved = []
    for name in STANDING:
        by = 0.02
        other = replace(posture, **{name: getattr(posture, name) + by})
        moved.append((postured(base, other, at) - now) / by)
    return np.concatenate([shaped, np.stack(moved)])


def growth_in_sum(numbers: Array, gradient: Array) -> Array:
    """How a sum over all vertices, with this gradient (n, 3), grows with each number (p,).

    For the volume, which no posture changes: that is left out.
    """
    s = stood()
    slope, less, more = _slopes(numbers)
    flat = gradient.ravel()
    places = less * (s.less.T @ flat) + more * (s.more.T @ flat)
    return np.concatenate([slope.T @ (s.macros @ flat), places, np.zeros(len(STANDING))])
