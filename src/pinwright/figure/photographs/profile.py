"""Places of the figure by their names: landmarks, and what stands out on the profile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import body
from pinwright.figure.fitting.parts import parts
from pinwright.figure.fitting.rows import Points, Reading, level, section, vertex
from pinwright.figure.landmarks import vertices
from pinwright.figure.photographs.places import PROFILE
from pinwright.figure.photographs.sight import Eye

NOT_ARM = 0.3
"""A vertex that goes with an arm by less is trunk."""

NEAR_WAIST = 8.0
"""How far over and under the waist its hollow behind is looked for, cm."""

FROM_FORK = 0.25
"""From here up the abdomen is looked for, as a part of fork to waist: below it is thigh."""


UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Trunk:
    """The trunk of the open body: vertices (k,) and edges (e, 2), arms and head left out."""

    vertices: NDArray[np.int64]
    edges: NDArray[np.int64]


@lru_cache(maxsize=1)
def trunk() -> Trunk:
    """What stands out on the profile."""
    inside = (parts().limb < NOT_ARM) & (body().share("head") < 0.5)
    edges = parts().trunk
    return Trunk(np.flatnonzero(inside), edges[inside[edges].all(axis=1)])


def place(sight: Eye, name: str) -> tuple[Reading, Reading]:
    """A place by its name, in the plane: across and up."""
    if name == "waist_front":
        plane = level(sight.points, vertices()["front_waist"])
        return sight.seen(_edge(sight, plane.value, -1.0)[1], plane)
    if name == "waist_back":
        return _hollow(sight)
    if name in PROFILE:
        return sight.seen(vertex(sight.points, _furthest(sight, name)))
    return sight.seen(vertex(sight.points, vertices()[name]))


def _heights(sight: Eye) -> Mapping[str, float]:
    return {k: float(sight.points[v, 2]) for k, v in vertices().items()}


def _furthest(sight: Eye, name: str) -> int:
    """The vertex of the trunk that stands out furthest between the place's levels."""
    at = _heights(sight)
    fork, waist, pit = at["fork"], at["back_waist"], at["armpit_left"]
    belly = fork + FROM_FORK * (at["front_waist"] - fork)
    low, high, way = {
        "bust_front": (min(at["under_bust_left"], at["bust_point_left"] - 3.0), pit, -1.0),
        "abdomen_front": (belly, at["front_waist"], -1.0),
        "back_furthest": ((waist + pit) / 2.0, at["back_neck_point"] - 2.0, 1.0),
        "seat_back": (fork, waist, 1.0),
    }[name]
    some = trunk().vertices
    z = sight.points[some, 2]
    some = some[(z >= low) & (z <= high)]
    return int(some[np.argmax(way * sight.flat(some)[:, 0])])


def _edge(sight: Eye, height: float, way: float) -> tuple[float, Points]:
    """The outline of the trunk at a height: how far out, and the point."""
    ring = section(sight.points, trunk().edges, UP, height)
    out = way * sight.camera.projected(ring.at, sight.middle)[0][:, 0]
    i = int(np.argmax(out))
    return float(out[i]), ring.take([i])


def _hollow(sight: Eye) -> tuple[Reading, Reading]:
    """Where the outline of the back stands out least round the waist."""
    waist = level(sight.points, vertices()["back_waist"])
    steps = np.arange(-NEAR_WAIST, NEAR_WAIST + 0.5)
    found = [(*_edge(sight, waist.value + by, 1.0), by) for by in steps]
    _, point, by = min(found, key=lambda f: f[0])
    return sight.seen(point, waist.plus(float(by)))
