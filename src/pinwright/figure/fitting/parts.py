"""Which edges of the open body belong to the trunk, to a leg, to an arm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, body, mean
from pinwright.figure.landmarks import SIDES, vertices

Edges = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Edges (e, 2) of each part; triangles (t, 3) of the whole surface.

    trunk: all but arms and head; whole: all but arms. leg, arm: by side.
    """

    trunk: Edges
    whole: Edges
    leg: dict[str, Edges]
    arm: dict[str, Edges]
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

    def of(inside: NDArray[np.bool_]) -> Edges:
        found: Edges = edges[inside[edges[:, 0]] & inside[edges[:, 1]]]
        return found

    return Parts(
        trunk=of((either < 0.5) & (b.share("head") < 0.5)),
        whole=of(either < 0.5),
        leg={
            side: of((sign * x > -1e-6) & (z < fork + 4.0) & (either < 0.5))
            for side, sign in SIDES.items()
        },
        arm={side: of(arms[side] > 0.3) for side in SIDES},
        triangles=np.concatenate([f[:, [0, 1, 2]], f[:, [0, 2, 3]]]),
        limb=either,
    )
