"""The figure as it is seen from one side: what a drawing of it is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.figure.body.model import Array, Whole
from pinwright.figure.landmarks import Landmarks
from pinwright.figure.shadow import Side, flat, lying, outline
from pinwright.figure.surface import triangles
from pinwright.figure.turning import BEFORE, turning


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """The figure from one side, cm; x to the right of the picture, y up from the floor.

    outline: its shadow. lines: (m, 2) where its surface turns away inside. points: the landmarks
    (2,) that nothing hides. plumb: where the plumb falls, or the middle, and from what height.
    """

    side: Side
    outline: shapely.Polygon
    lines: tuple[Array, ...]
    points: Mapping[str, Array]
    plumb: Array


def seen(points: Array, faces: Whole, marks: Landmarks, side: Side) -> Seen:
    """The figure from one side.

    points: its closed surface (n, 3), cm, standing on the floor. faces: (f, 4), anticlockwise seen
    from outside. marks: its landmarks.
    """
    corners = triangles(faces)
    body = lying(points, corners, side)
    at = {name: flat(p, side) for name, p in marks.points.items()}
    bust = np.stack([at[f"bust_point_{s}"][:2] for s in ("left", "right")])
    shadow = outline(body, bust)
    hidden = body.hidden(np.stack(list(at.values())), BEFORE)
    if side in ("left", "right"):
        plumb = at[f"side_neck_point_{side}"][:2]
    else:
        plumb = np.array([at["fork"][0], marks.levels["top"]])
    return Seen(
        side,
        shadow,
        turning(points, faces, corners, body, shadow, marks, side),
        {name: p[:2] for (name, p), hid in zip(at.items(), hidden, strict=True) if not hid},
        plumb,
    )
