"""How well the figure's silhouette agrees with the outline marked in a photograph.

The silhouette is what the camera of the photograph sees of the figure without its arms, scaled by
the figure's own crown and floor. It tells whether widths that tape and photograph show go together:
a figure that has every girth may still be too deep and too narrow.

Left out, since they are no matter of shape: the head (hair), what lies within ROUND of where the
arm begins, the legs in front and back views (she sets her feet as she likes) and the feet. How the
whole client leans over her ankles is taken out beforehand, as far as her marks tell it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, tan

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.parts import parts
from pinwright.figure.landmarks import Landmarks, landmarks
from pinwright.figure.photographs.camera import Camera
from pinwright.figure.photographs.marks import (
    Photograph,
    camera_of,
    origin_of,
    outline_of,
    spots,
)
from pinwright.figure.photographs.places import View
from pinwright.figure.photographs.profile import NOT_ARM
from pinwright.figure.photographs.rows import leans
from pinwright.figure.photographs.sight import eye, ruler
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

NEAR, MOST = 1.0, 2.0
"""Photograph and figure agree where SHARE of the points lie within NEAR and none beyond MOST, cm:
a finger's breadth, about what a mark, a light dress and breathing take (common practice)."""

SHARE = 0.95

ROUND = 2.0
"""What lies so near to where the arm was left off, cm, is not judged."""

CHIN = 4.0
"""So far over the larynx the head begins, cm."""

LEANS = 0.5
"""A lean of so many degrees is told."""


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far the marked outline lies outside of the figure's, cm; inside is less than 0.

    mean, worst: over the points that were judged, and the furthest of them. where: that one's level
    and side in words. within: the part of them within NEAR. judged, left_out: how many points.
    lean: how far she leans beyond the figure, degrees, to her left or to her back: taken out.
    """

    view: View
    number: int
    mean: float
    worst: float
    where: str
    within: float
    judged: int
    left_out: int
    lean: float

    @property
    def agrees(self) -> bool:
        """Whether photograph and figure agree; see NEAR."""
        return self.within >= SHARE and abs(self.worst) <= MOST


def agreement(points: Array, photo: Photograph, height: float) -> Agreement | None:
    """How a photograph's outline agrees with the figure; None where none can be judged.

    points: the figure's surface (n, 3), cm. height: the client's measured height, cm.

    Raises:
        FigureError: her height in the photograph is far from the measured one.
    """
    marked = spots(photo, height)
    if not photo.outline:
        return None
    lean = leans(points, marked).get(photo.number, 0.0)
    outline = outline_of(photo, height)
    outline[:, 0] -= tan(radians(lean)) * outline[:, 1]
    shape, arms = _seen(points, camera_of(photo, height), origin_of(photo))
    marks = landmarks(points)
    off, nearest = _distances(shape, outline)
    at = shapely.get_coordinates(nearest)
    judged = _of_shape(photo.view, marks, at[:, 1]) & ~shapely.intersects(arms, nearest)
    if not judged.any():
        return None
    off, at = off[judged], at[judged]
    worst = int(np.argmax(np.abs(off)))
    return Agreement(
        photo.view,
        photo.number,
        float(off.mean()),
        float(off[worst]),
        _where(photo.view, shape, marks, at[worst]),
        float((np.abs(off) <= NEAR).mean()),
        len(off),
        len(outline) - len(off),
        lean,
    )


def sentence(found: Agreement, unit: LengthUnit = "cm") -> str:
    """An agreement in a sentence for a cutter, and a second one where she leans."""
    head = f"Photograph {found.number} ({found.view}): "
    share = f"{100.0 * found.within:.0f} % of {found.judged} points within {said(NEAR, unit)}"
    way = "fuller" if found.worst > 0.0 else "slighter"
    most = f"{said(abs(found.worst), unit)} {way} than the figure {found.where}"
    if found.agrees:
        told = f"{head}the outline agrees with the figure: {share}; at most she is {most}."
    else:
        told = f"{head}the outline does not agree with the figure: she is {most} ({share})."
    if abs(found.lean) < LEANS:
        return told
    if found.view in ("front", "back"):
        to = "left" if found.lean > 0.0 else "right"
    else:
        to = "back" if found.lean > 0.0 else "front"
    return f"{told} She leans {abs(found.lean):.1f} degrees to her {to} there; that is taken out."


def _seen(
    points: Array, camera: Camera, origin: Sequence[str]
) -> tuple[shapely.Geometry, shapely.Geometry]:
    """What the camera sees of a surface (n, 3) without its arms, as marks are read, cm; and the
    zone round where the arms were left off."""
    sight = eye(points, camera, origin)
    rule = ruler(sight, origin)
    flat = sight.flat(np.arange(len(points)))
    flat = (flat - [rule.across.value, rule.up.value]) * rule.scale.value
    corners = parts().triangles
    arm = parts().limb[corners] >= NOT_ARM
    a, b, c = np.moveaxis(flat[corners], 1, 0)
    turned = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    # of a closed skin, all that faces one way covers all that faces the other
    facing = turned > 0.0
    shape = shapely.union_all(shapely.polygons(flat[corners[~arm.any(axis=1) & facing]]))
    rim = np.unique(corners[arm.any(axis=1) & ~arm.all(axis=1)])
    return shape, shapely.union_all(shapely.buffer(shapely.points(flat[rim]), ROUND))


def _distances(shape: shapely.Geometry, at: Array) -> tuple[Array, NDArray[np.object_]]:
    """Of points (m, 2) how far outside of a shape they lie, and the nearest of its boundary."""
    where = shapely.points(at)
    line = shapely.shortest_line(where, shapely.boundary(shape))
    far: Array = shapely.length(line)
    inside = shapely.intersects(shape, where)
    nearest: NDArray[np.object_] = shapely.get_point(line, 1)
    return np.where(inside, -far, far), nearest


def _of_shape(view: View, marks: Landmarks, up: Array) -> NDArray[np.bool_]:
    """Whether heights are of what is judged from there."""
    low = marks.levels["fork"]
    if view in ("left", "right"):
        low = max(marks.levels["ankle_left"], marks.levels["ankle_right"])
    found: NDArray[np.bool_] = (up > low) & (up < marks["larynx"][2] + CHIN)
    return found


def _where(view: View, shape: shapely.Geometry, marks: Landmarks, at: Array) -> str:
    """A place on the silhouette in words: "at the waist, in front"."""
    levels = marks.levels
    knee, fork, ankle = levels["knee_left"], levels["fork"], levels["ankle_left"]
    named = {
        "neck": float(marks["larynx"][2]),
        "shoulder": float(marks["shoulder_point_left"][2]),
        "bust": levels["bust"],
        "under bust": levels["under_bust"],
        "waist": levels["waist"],
        "top hip": levels["top_hip"],
        "hip": levels["hip"],
        "thigh": (fork + knee) / 2.0,
        "knee": knee,
        "calf": (knee + ankle) / 2.0,
        "ankle": ankle,
    }
    near = min(named, key=lambda name: abs(named[name] - at[1]))
    low, _, high, _ = shape.bounds
    cut = shapely.intersection(shape, shapely.linestrings([[low, at[1]], [high, at[1]]]))
    ends = shapely.bounds(cut)
    beyond = at[0] > (ends[0] + ends[2]) / 2.0
    if view in ("front", "back"):
        return f"at the {near}, on her {'left' if beyond else 'right'}"
    return f"at the {near}, {'behind' if beyond else 'in front'}"
