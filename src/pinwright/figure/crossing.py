"""Does the figure's surface pass through itself, where, and how far?

A body fitted to a record may push an arm into the trunk or one thigh into the other: such a
figure cannot be dressed. The surface is the triangles that the tape cuts
(:mod:`pinwright.figure.tape.section`). Two that share no vertex and have a point in common cross
(:mod:`pinwright.figure.meeting`).

Not told are triangles that share a vertex: a fold laid flat on itself along an edge is seen only in
its next neighbours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, cKDTree

from pinwright.figure.body.model import Array, Whole, body
from pinwright.figure.inside import within
from pinwright.figure.meeting import line, meeting
from pinwright.figure.surface import normals
from pinwright.figure.tape.section import triangles
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

PARTS: Mapping[str, tuple[str, ...]] = {
    "head": ("head",),
    "neck": ("neck",),
    "trunk": (
        *("pelvis", "loin", "waist", "chest", "shoulders"),
        *("clavicle_left", "clavicle_right", "shoulder_left", "shoulder_right"),
    ),
    **{
        f"{side} {part}": tuple(f"{bone}_{side}" for bone in bones)
        for part, bones in (
            ("arm", ("upper_arm", "forearm")),
            ("hand", ("hand",)),
            ("leg", ("thigh", "shin")),
            ("foot", ("foot",)),
        )
        for side in ("left", "right")
    },
}
"""Part of the figure -> the bones it goes with."""

NAMES = tuple(PARTS)

HARMLESS: Mapping[str, str] = {
    "head": "lips or lids",
    "left hand": "fingers",
    "right hand": "fingers",
    "left foot": "toes",
    "right foot": "toes",
}
"""Parts that may cross themselves, and what of them does: no garment lies between."""

NAMED = 4
"""So many places at most are named."""

NEAR = 2.0
"""Crossings of the same two parts that lie no further apart are one place, cm."""

TOLD = 0.5
"""What goes less deep than this, cm, a cutter is not told: skin gives more, and in the fold of the
armpit it lies against itself on every body."""

AWAY = 1e-4
"""So far off the surface, cm, it is asked whether a place on it lies within another part."""


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """One place where the surface passes through itself.

    parts: what passes into what, by the names in PARTS. pairs: how many pairs of triangles cross.
    middle: (3,) of the line of crossing, cm; its ``heights`` from and to over the floor, and its
    ``length``, the furthest apart of any two points on it, cm. depth: the least width of what both
    fill, cm: 0 where they only touch.
    """

    parts: tuple[str, str]
    pairs: int
    middle: Array
    heights: tuple[float, float]
    length: float
    depth: float

    @property
    def harmless(self) -> bool:
        """No garment lies between: lips, lids, fingers and toes among themselves."""
        return self.parts[0] == self.parts[1] and self.parts[0] in HARMLESS

    def label(self, unit: LengthUnit = "cm") -> str:
        """What passes through what, how far and where, as a cutter reads it."""
        one, other = self.parts
        into = "itself" if one == other else f"the {other}"
        deep, length, height = (
            said(v, unit) for v in (self.depth, self.length, float(self.middle[2]))
        )
        return f"the {one} passes {deep} into {into} over {length}, {height} over the floor"


@dataclass(frozen=True, slots=True, eq=False)
class Crossing:
    """Where a surface passes through itself.

    faces: (k, 2) the faces of each pair of triangles that cross. places: the deepest first.
    """

    faces: Whole
    places: tuple[Place, ...]

    def remark(self, unit: LengthUnit = "cm") -> str | None:
        """One sentence for a cutter; None where nothing crosses that matters."""
        told = [p for p in self.places if not p.harmless and p.depth >= TOLD]
        if not told:
            return None
        named = "; ".join(p.label(unit) for p in told[:NAMED])
        rest = f"; and {len(told) - NAMED} more" if len(told) > NAMED else ""
        also = sorted({HARMLESS[p.parts[0]] for p in self.places if p.harmless})
        apart = f" (Its {' and '.join(also)} do too; that does no harm.)" if also else ""
        return (
            f"The figure passes through itself: {named}{rest}. Do not trust it there, nor what "
            f"hangs on it.{apart}"
        )


@lru_cache(maxsize=1)
def parts() -> Whole:
    """Of each vertex of the open body the part it belongs to: its place in NAMES (n,)."""
    b = body()
    found: Whole = np.argmax([b.share(*bones) for bones in PARTS.values()], axis=0)
    found.setflags(write=False)
    return found


def crossing(points: Array, faces: Whole, part: Whole) -> Crossing:
    """Where a closed surface passes through itself.

    points: (n, 3) cm. faces: (f, 4), anticlockwise seen from outside. part: of each vertex (n,) the
    part it belongs to, as a place in NAMES; of the open body :func:`parts`.
    """
    corners = triangles(points, faces)
    pairs = meeting(points, corners)
    if not len(pairs):
        return Crossing(np.empty((0, 2), dtype=np.int64), ())
    ends = line(points, corners, pairs)
    of = part[corners]
    of = np.where(of[:, 1] == of[:, 2], of[:, 1], of[:, 0])
    middle = ends.mean(axis=1)
    both = points[_twice(points, faces, corners, pairs)]
    nearest = cKDTree(middle).query(both)[1]
    found = []
    for which in _places(middle, np.sort(of[pairs], axis=1)):
        here = ends[which].reshape(-1, 3)
        one, other = (NAMES[k] for k in np.sort(of[pairs[which[0]]]))
        low, high = float(here[:, 2].min()), float(here[:, 2].max())
        deep = _least_width(np.concatenate([here, both[np.isin(nearest, which)]]))
        # limbs come last in NAMES: it is they that pass into the trunk
        found.append(
            Place((other, one), len(which), here.mean(axis=0), (low, high), _span(here), deep)
        )
    found.sort(key=lambda p: -p.depth)
    return Crossing(pairs % len(faces), tuple(found))


def _span(points: Array) -> float:
    """The furthest apart of any two of the points (k, 3), along one of 200 directions."""
    k = np.arange(200) + 0.5
    # even over the sphere by the golden angle (common practice)
    turn, z = np.pi * (1.0 + 5.0**0.5) * k, 1.0 - k / 100.0
    out = np.sqrt(1.0 - z * z)
    along = points @ np.stack([out * np.cos(turn), out * np.sin(turn), z])
    return float(np.ptp(along, axis=0).max())


def _places(at: Array, between: Whole) -> list[NDArray[np.int64]]:
    """Crossings at (k, 3) between parts (k, 2), gathered into places: the numbers of each."""
    close = cKDTree(at).query_pairs(NEAR, output_type="ndarray")
    close = close[(between[close[:, 0]] == between[close[:, 1]]).all(axis=1)]
    graph = coo_array((np.ones(len(close)), (close[:, 0], close[:, 1])), shape=(len(at), len(at)))
    count, place = connected_components(graph, directed=False)
    return [np.flatnonzero(place == k) for k in range(count)]


def _twice(points: Array, faces: Whole, corners: Whole, pairs: Whole) -> NDArray[np.int64]:
    """The vertices that lie within the body twice over: of one part within another.

    From the triangles that cross they are followed over the surface as far as there are any.
    """
    out = normals(points, faces)
    inside, asked = np.zeros(len(points), dtype=bool), np.zeros(len(points), dtype=bool)
    ring = np.unique(corners[pairs])
    while len(ring):
        asked[ring] = True
        inside[ring] = within(points, corners, points[ring] + AWAY * out[ring]) > 0
        grown = corners[inside[corners].any(axis=1)]
        ring = np.unique(grown[~asked[grown]])
    found: NDArray[np.int64] = np.flatnonzero(inside)
    return found


def _least_width(points: Array) -> float:
    """The least distance between two planes that hold the points (k, 3) between them.

    Between planes along a face of their hull; that two edges set narrower ones is passed over.
    """
    spread = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
    way = spread[2][-1:]
    if len(points) > 3 and spread[1][-1] > 1e-9 * spread[1][0]:
        way = np.concatenate([way, ConvexHull(points, qhull_options="QJ Pp").equations[:, :3]])
    return float(np.ptp(points @ way.T, axis=0).min())
