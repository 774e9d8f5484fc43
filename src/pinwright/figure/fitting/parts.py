"""Which edges of the open body belong to the trunk, to a leg, to an arm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, body, mean
from pinwright.figure.body.standing import stood_mean
from pinwright.figure.landmarks import SIDES, vertices

Edges = NDArray[np.int64]

OVER_FOLD, BEHIND_FOLD, BESIDE_BREASTBONE = 1.0, 2.5, 3.0
"""What lies more than this over, and less than that behind, the fold under the breast, and this
far beside the middle, is breast (cm, on the mean body)."""

OVER_PIT = 2.0
"""Up to so far over the middle of the armpit (cm, on the mean body) an arm may touch the trunk."""


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Edges (e, 2) of each part; triangles (t, 3) of the whole surface.

    trunk: all but arms and head; whole: all but arms; under: the trunk without the breasts, which
    may hang lower than a level under them. leg, arm: by side; shin: of a leg what lies below the
    knee. beside: by side, the vertices of an
    arm that may touch the trunk, and those of trunk and thigh that it hangs beside.
    """

    trunk: Edges
    under: Edges
    whole: Edges
    leg: dict[str, Edges]
    shin: dict[str, Edges]
    arm: dict[str, Edges]
    beside: dict[str, tuple[Edges, Edges]]
    triangles: Edges
    limb: Array


@lru_cache(maxsize=1)
def parts() -> Parts:
    """The parts of the open body."""
    b = body()
    f = b.faces
    pairs = np.concatenate([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 3]], f[:, [3, 0]], f[:, [0, 2]]])
    edges = np.unique(np.sort(pairs, axis=1), axis=0)
    arms = {side: b.arm(side) for side in SIDES}
    either = arms["left"] + arms["right"]
    x, z = mean()[: b.n, 0], mean()[: b.n, 2]
    fork = z[vertices()["fork"]]
    stood = stood_mean()
    at = vertices()
    fold, pit = stood[at["under_bust_left"]], stood[at["armpit_left"], 2]
    breast = (stood[:, 2] > fold[2] + OVER_FOLD) & (stood[:, 1] < fold[1] + BEHIND_FOLD)
    breast &= np.abs(stood[:, 0]) > BESIDE_BREASTBONE

    def beside(side: str) -> tuple[Edges, Edges]:
        low = float(stood[arms[side] > 0.5, 2].min())
        half = SIDES[side] * stood[:, 0] > 0.0
        near = half & (stood[:, 2] > low) & (stood[:, 2] < pit + OVER_PIT) & (arms[side] < 0.3)
        hangs = (arms[side] > 0.7) & (stood[:, 2] < pit + OVER_PIT)
        return np.flatnonzero(hangs), np.flatnonzero(near)

    def of(inside: NDArray[np.bool_]) -> Edges:
        # first ends beside first ends: they are taken alone, many times
        found: Edges = np.asfortranarray(edges[inside[edges[:, 0]] & inside[edges[:, 1]]])
        return found

    def leg(side: str, under: float) -> Edges:
        return of((SIDES[side] * x > -1e-6) & (z < under) & (either < 0.5))

    return Parts(
        trunk=of((either < 0.5) & (b.share("head") < 0.5)),
        under=of((either < 0.5) & (b.share("head") < 0.5) & ~breast),
        whole=of(either < 0.5),
        leg={side: leg(side, fork + 4.0) for side in SIDES},
        shin={side: leg(side, z[at["knee_left"]] + 6.0) for side in SIDES},
        arm={side: of(arms[side] > 0.3) for side in SIDES},
        beside={side: beside(side) for side in SIDES},
        triangles=np.concatenate([f[:, [0, 1, 2]], f[:, [0, 2, 3]]]),
        limb=either,
    )
