"""A level camera: from px to cm in the upright plane through the client's middle, and back.

The camera is a pinhole that looks level at the client: what stands nearer to it looks larger, as
distance : (distance - depth) (Hartley & Zisserman, Multiple View Geometry in Computer Vision, 2nd
ed. 2004, section 6.1, from memory). The plane is upright, square to the line of sight, through the
middle between the ankle bones; ``across`` in it runs to the client's left in front and back views
(so it is mirrored at the back) and to her back in side views, ``up`` from the floor.

What a lens of glass adds (barrel, cushion) is left out: below a part in a hundred within the
middle two thirds of a picture from an ordinary lens (common practice; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, cos, degrees, sin

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.photographs.places import View

ALONG: Mapping[View, tuple[Array, Array]] = {
    "front": (np.array([1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0])),
    "back": (np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])),
    "left": (np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0])),
    "right": (np.array([0.0, 1.0, 0.0]), np.array([-1.0, 0.0, 0.0])),
}
"""View -> directions in the figure's axes: across, and towards the lens, (3,) each."""

MIRRORED: Mapping[View, float] = {"front": 1.0, "back": -1.0, "left": 1.0, "right": -1.0}
"""Whether across runs to the right of the picture (1) or to its left (-1)."""

PX, CM = 3.0, 0.5
"""A mark is put to about so many px, and a place is found to about so many cm, whichever is more
(common practice; ISO 20685 asks 0.4 to 1 cm of landmarks in scans, from memory)."""


@dataclass(frozen=True, slots=True)
class Camera:
    """A level camera before the client, cm.

    distance: from the lens to the plane through her middle. lens: its height over the floor.
    aside: how far across from where across is counted the line of sight passes.
    """

    view: View
    distance: float = 350.0
    lens: float = 100.0
    aside: float = 0.0

    def projected(self, points: Array, middle: Array) -> tuple[Array, Array]:
        """Where points (n, 3) lie in the plane: (n, 2) across and up; and by the points (n, 2, 3).

        middle: (3,) in the plane and on the floor, from which across and up are counted; the
        camera stands before it, so by the middle the growth is the opposite. All in the figure's
        axes, cm.
        """
        right, near = ALONG[self.view]
        beside = (points - middle) @ right - self.aside
        over = points[:, 2] - middle[2] - self.lens
        larger = self.distance / (self.distance - (points - middle) @ near)
        flat = np.stack([self.aside + beside * larger, self.lens + over * larger], axis=1)
        by = np.empty((len(points), 2, 3))
        nearer = (larger**2 / self.distance)[:, None] * near
        by[:, 0] = larger[:, None] * right + beside[:, None] * nearer
        by[:, 1] = larger[:, None] * np.array([0.0, 0.0, 1.0]) + over[:, None] * nearer
        return flat, by


@dataclass(frozen=True, slots=True, eq=False)
class Scale:
    """How a picture's px become cm in the plane through the client's middle.

    per_px: cm. floor: (2,) px, what across and up are counted from, after the roll is taken out.
    roll: how far the camera was turned about its line of sight, radians. side: see MIRRORED.
    """

    per_px: float
    floor: Array
    roll: float
    side: float

    @property
    def error(self) -> float:
        """How near a mark tells its place, cm; see PX."""
        return max(PX * self.per_px, CM)

    def placed(self, px: Array) -> Array:
        """Points (n, 2) px from the picture's top left as across and up (n, 2), cm."""
        found: Array = (upright(px, self.roll) - self.floor) * [self.side, -1.0] * self.per_px
        return found


def rolled(top: Array, bottom: Array) -> float:
    """How far the camera was rolled, radians, by two points (2,) px of a plumb line."""
    return atan2(bottom[0] - top[0], bottom[1] - top[1])


def upright(px: Array, roll: float) -> Array:
    """Points (.., 2) px turned about the picture's top left so that a plumb line runs upright."""
    turn = np.array([[cos(roll), -sin(roll)], [sin(roll), cos(roll)]])
    found: Array = px @ turn.T
    return found


def scale(view: View, crown: Array, floor: Array, height: float, roll: float = 0.0) -> Scale:
    """The scale that crown and floor (2,) px give, ``height`` cm apart."""
    ends = upright(np.stack([crown, floor]), roll)
    return Scale(height / float(ends[1, 1] - ends[0, 1]), ends[1], roll, MIRRORED[view])


def tipped(distance: float, lens: float, up: float) -> float:
    """How far down a camera looked, degrees, when the middle of the picture is ``up`` cm high.

    distance, lens: as those of :class:`Camera`. As far as the picture was not cut: a level camera
    has its own height in the middle.
    """
    return degrees(atan2(lens - up, distance))
