"""The shape of a woman's body from a few numbers: a template and offsets that are mixed.

The data are CC0 (see NOTICE and ``scripts/build_body.py``). Every offset of the first kind carries
labels ("old", "maxweight", ...); it counts by the product of the shares of its labels, each share
a straight line between neighbouring labels. Every offset of the second kind changes one place,
less or more, by its own amount. This is how the body's own published evaluator mixes them, so
that ours can be checked against it (``tests/figure/test_original.py``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

AGE = 0.25
"""How far from 25 years (0) to 90 (1) the body is, unless said: a woman in her forties."""

GENERAL = ("height", "weight", "muscle", "cup", "proportions")
"""What the offsets with labels depend on besides age: each 0 to 1, 0.5 the mean woman."""

_LABELS: Mapping[str, tuple[str, ...]] = {
    "height": ("minheight", "maxheight"),
    "weight": ("minweight", "averageweight", "maxweight"),
    "muscle": ("minmuscle", "averagemuscle", "maxmuscle"),
    "cup": ("mincup", "averagecup", "maxcup"),
    "proportions": ("idealproportions", "uncommonproportions"),
}


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """The open body: n = 13,380 vertices, then the j joints at which its bones begin.

    template: (n + j, 3) cm. faces: (f, 4) vertices, anticlockwise seen from outside. joints: names.
    macros: the labels of each offset; macro: (m, n + j, 3). places: names of the changes of one
    place; less, more: (p, n + j, 3) their two ends. bones: names; weights: (n, bones), how much
    each vertex goes with each bone, 1 in sum.
    """

    template: Array
    faces: Whole
    joints: tuple[str, ...]
    macros: tuple[tuple[str, ...], ...]
    macro: NDArray[np.float32]
    places: tuple[str, ...]
    less: NDArray[np.float32]
    more: NDArray[np.float32]
    bones: tuple[str, ...]
    weights: Array

    @property
    def n(self) -> int:
        """How many vertices the surface has."""
        return len(self.weights)

    def share(self, *bones: str) -> Array:
        """How much each vertex goes with these bones together (n,)."""
        found: Array = self.weights[:, [self.bones.index(k) for k in bones]].sum(axis=1)
        return found

    def arm(self, side: str) -> Array:
        """How much each vertex goes with an arm (n,)."""
        return self.share(*(f"{bone}_{side}" for bone in ("upper_arm", "forearm", "hand")))


@lru_cache(maxsize=1)
def body() -> Body:
    """The open body, read from the package once."""
    with files("pinwright.figure.body").joinpath("body.npz").open("rb") as file:
        data: dict[str, NDArray[Any]] = dict(np.load(file, allow_pickle=False))
    unit, rows = float(data["unit"]), len(data["template"])
    starts, bone = data["bone_start"].astype(np.int64), data["bone"].astype(np.int64)
    weights = np.zeros((len(starts) - 1, len(data["bones"])))
    weights[np.repeat(np.arange(len(starts) - 1), np.diff(starts)), bone] = data["bone_weight"]
    return Body(
        template=data["template"] * unit,
        faces=data["faces"].astype(np.int64),
        joints=tuple(str(j) for j in data["joints"]),
        macros=tuple(tuple(str(m).split("|")) for m in data["macro_names"]),
        macro=_dense(data, "macro", unit, rows),
        places=tuple(str(p) for p in data["less_names"]),
        less=_dense(data, "less", unit, rows),
        more=_dense(data, "more", unit, rows),
        bones=tuple(str(b) for b in data["bones"]),
        weights=weights / weights.sum(axis=1, keepdims=True),
    )


def _dense(
    data: Mapping[str, NDArray[Any]], kind: str, unit: float, rows: int
) -> NDArray[np.float32]:
    start = data[f"{kind}_start"].astype(np.int64)
    which = np.repeat(np.arange(len(start) - 1), np.diff(start))
    found = np.zeros((len(start) - 1, rows, 3), dtype=np.float32)
    found[which, data[f"{kind}_row"].astype(np.int64)] = data[f"{kind}_by"].T * unit
    return found


def upward(amount: Array, rounded: float) -> tuple[Array, Array]:
    """How much of its upper end what goes two ways has (p,), 0 at 0, and how that grows.

    The lower end is the same turned round. Both are rounded off within ``rounded`` of 0: what has
    two unlike ends would else have a kink there, and a fit no slope to trust.
    """
    far = np.hypot(amount, rounded)
    slope = np.divide(amount, far, out=np.zeros_like(far), where=far > 0.0)
    return (amount + far - rounded) / 2.0, (1.0 + slope) / 2.0


def shares(name: str, value: float, rounded: float = 0.0) -> dict[str, tuple[float, float]]:
    """Label -> its share and how that grows with the value, for one of GENERAL.

    Outside 0 to 1 the nearest line goes on. rounded: how near the middle of three labels the
    corner is rounded off (:func:`upward`), as a part of the way to an end.
    """
    labels = _LABELS[name]
    if rounded and len(labels) == 3:
        both = np.array([1.0 - 2.0 * value, 2.0 * value - 1.0])
        (low, high), (fall, rise) = (v.tolist() for v in upward(both, rounded))
        ends = {labels[0]: (low, -2.0 * fall), labels[2]: (high, 2.0 * rise)}
        return {**ends, labels[1]: (1.0 - low - high, 2.0 * (fall - rise))}
    steps = len(labels) - 1
    i = min(max(int(np.floor(value * steps)), 0), steps - 1)
    part = value * steps - i
    found = dict.fromkeys(labels, (0.0, 0.0))
    found[labels[i]] = (1.0 - part, -float(steps))
    found[labels[i + 1]] = (part, float(steps))
    return found


def mixed(
    macros: tuple[tuple[str, ...], ...],
    general: Mapping[str, float],
    age: float | None = None,
    rounded: float = 0.0,
) -> tuple[Array, Array]:
    """How much each offset with labels counts: (m,), and its growth with each of GENERAL: (m, 5).

    age: 0 young to 1 old; None when the labels hold no age. rounded: as of :func:`shares`.
    """
    by = {name: shares(name, general[name], rounded) for name in GENERAL}
    where = {label: name for name, found in by.items() for label in found}
    ages = {} if age is None else {"young": 1.0 - age, "old": age}
    # by offset and number: the share of the label it has of that number, 1 where it has none
    share = np.ones((len(macros), len(GENERAL)))
    growth = np.zeros((len(macros), len(GENERAL)))
    aged = np.ones(len(macros))
    for k, labels in enumerate(macros):
        for label in labels:
            if label in where:
                g = GENERAL.index(where[label])
                share[k, g], growth[k, g] = by[where[label]][label]
            elif label in ages:
                aged[k] *= ages[label]
    slope = np.empty_like(share)
    for g in range(len(GENERAL)):
        rest = np.prod(np.delete(share, g, axis=1), axis=1)
        slope[:, g] = aged * growth[:, g] * rest
    return aged * np.prod(share, axis=1), slope


def shaped(
    general: Mapping[str, float],
    places: Mapping[str, float] | None = None,
    age: float = AGE,
) -> Array:
    """Vertices and joints (n + j, 3), cm, of the body as it stands in the data: arms out.

    general: each of GENERAL. places: amounts of the changes of single places, -1 to 1; what is
    not named stays.
    """
    b = body()
    value, _ = mixed(b.macros, general, age)
    found: Array = b.template + np.tensordot(value, b.macro.astype(np.float64), axes=1)
    for name, amount in (places or {}).items():
        ends = b.more if amount > 0.0 else b.less
        found = found + abs(amount) * ends[b.places.index(name)]
    return found


@lru_cache(maxsize=1)
def mean() -> Array:
    """Vertices and joints (n + j, 3), cm, of the mean body as it stands in the data."""
    found = shaped(dict.fromkeys(GENERAL, 0.5))
    found.setflags(write=False)
    return found
