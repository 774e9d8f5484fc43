"""The body on a card: from a side, arms left off so that they hide nothing that is taped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole, body
from pinwright.figure.figure import Figure
from pinwright.figure.landmarks import SIDES, Landmarks
from pinwright.figure.seen import Seen, seen
from pinwright.figure.shadow import Lying, Side, flat, lying
from pinwright.figure.surface import triangles
from pinwright.sheets.tape_places import PLACES, Arms

ARM = 0.3
"""What goes with the bones of an arm by a greater share may be cut off; by less it is trunk."""

SURELY = 0.95
"""What goes with them by more is cut off wherever it lies: a hand held before the trunk."""

PIT, TOP = -0.3, 2.0
"""So far, cm, outside of armpit and shoulder point the arm is cut off: nothing hangs down under the
armpit, and the shoulder point stays, as the creases do at which widths end."""


ROUND_SCYE = 2.0
"""So near to where an arm was cut off, cm, no turning away is drawn."""


class Bared(NamedTuple):
    """A closed surface (n, 3) with quads (f, 4), and by arm the points (k, 3) on the rim where it
    was cut off."""

    points: Array
    faces: Whole
    rims: tuple[Array, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """The figure seen from a side, and what hides what there."""

    seen: Seen
    body: Lying


Looks = Mapping[tuple[Side, Arms], Look]
"""The figure from sides, with the arms that are drawn."""


def looks_of(figure: Figure, terms: Iterable[str] = PLACES) -> Looks:
    """What is needed to show measures on a figure."""
    needed = {(PLACES[t].side, PLACES[t].arms) for t in terms}
    return {(side, arms): _look(figure, side, arms) for side, arms in sorted(needed)}


def _look(figure: Figure, side: Side, arms: Arms) -> Look:
    off = {"none": ("left", "right"), "right": ("left",), "both": ()}[arms]
    points, faces, rims = without_arms(figure.points, figure.faces, figure.marks, off)
    found = seen(points, faces, figure.marks, side)
    if arms == "none" and side in ("left", "right"):
        # where an arm was, its scye is drawn instead of what turns away there
        round_it = flat(rims[0 if side == "left" else -1], side)[:, :2]
        scye = shapely.get_coordinates(shapely.convex_hull(shapely.MultiPoint(round_it)))
        hole = shapely.Polygon(scye).buffer(ROUND_SCYE)
        lines = [c for p in found.lines for c in chains(shapely.LineString(p).difference(hole))]
        found = replace(found, lines=(*lines, scye))
    return Look(found, lying(points, triangles(faces), side))


def chains(found: shapely.Geometry) -> list[Array]:
    """The lines of a geometry, joined where they meet."""
    parts = [p for p in shapely.get_parts(found) if p.geom_type == "LineString" and not p.is_empty]
    if not parts:
        return []
    joined = shapely.line_merge(shapely.MultiLineString(parts))
    return [np.asarray(shapely.get_coordinates(p)) for p in shapely.get_parts(joined)]


def without_arms(points: Array, faces: Whole, marks: Landmarks, sides: Sequence[str]) -> Bared:
    """A closed surface (n, 3) with quads (f, 4), less the arms of ``sides``, closed again.

    Each is cut off at the plane along y past armpit and shoulder point; see :data:`PIT`. Where it
    was, quads with their last corner twice meet in its middle. Vertices that nothing needs any more
    are gone, so those that are left have new numbers.
    """
    new, n = points.copy(), len(points)
    middles: list[Array] = []
    caps: list[Whole] = []
    rims: list[Array] = []
    for side in sides:
        share, beyond = body().arm(side), _beyond(points, marks, side)
        gone = (share > SURELY) | ((share > ARM) & (beyond > 0.0))
        faces = faces[~gone[faces].all(axis=1)]
        _draw_in(new, faces, gone, beyond)
        # what is left of a face that went has one face only: closed the other way round
        edges = np.stack([faces, np.roll(faces, -1, axis=1)], axis=-1).reshape(-1, 2)
        edges = edges[gone[edges].all(axis=1)]
        open_ = ~np.isin(edges @ [n, 1], edges @ [1, n])
        rim = edges[open_][:, ::-1]
        middle = np.full((len(rim), 2), n + len(middles))
        middles.append(new[rim[:, 0]].mean(axis=0, keepdims=True))
        caps.append(np.hstack([rim, middle]))
        rims.append(new[rim[:, 0]])
    used, corners = np.unique(np.concatenate([faces, *caps]), return_inverse=True)
    points = np.concatenate([new, *middles])[used]
    return Bared(points, corners.reshape(-1, 4), tuple(rims))


def _beyond(points: Array, marks: Landmarks, side: str) -> Array:
    """How far points (n, 3) lie outside of the plane at which an arm is cut off, cm: (n,)."""
    aside = np.array([SIDES[side], 0.0, 0.0])
    pit = marks[f"armpit_{side}"] + PIT * aside
    out = np.cross(marks[f"shoulder_point_{side}"] + TOP * aside - pit, [0.0, 1.0, 0.0])
    out *= np.sign(out @ aside) / np.linalg.norm(out)
    found: Array = (points - pit) @ out
    return found


def _draw_in(points: Array, faces: Whole, gone: NDArray[np.bool_], beyond: Array) -> None:
    """Draw those of points (n, 3) that are gone to where their faces (f, 4) meet the plane."""
    pairs = np.concatenate([faces[:, [i, j]] for i in range(4) for j in range(4) if i != j])
    lost, kept = pairs[gone[pairs[:, 0]] & ~gone[pairs[:, 1]]].T
    # trunk that lies beyond the plane meets it nowhere: half way then
    cross = beyond[kept] < 0.0
    way = np.where(cross, beyond[kept] / np.where(cross, beyond[kept] - beyond[lost], 1.0), 0.5)
    at = points[kept] + way.clip(0.0, 1.0)[:, None] * (points[lost] - points[kept])
    count = np.bincount(lost, minlength=len(points))
    rim = count > 0
    for k in range(3):
        points[rim, k] = np.bincount(lost, at[:, k], minlength=len(points))[rim] / count[rim]
