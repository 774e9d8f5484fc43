"""Which loop of a section is the trunk, which a leg, which an arm: by where it lies.

Not by the bones a vertex goes with: a tape knows nothing of bones. Loops are told apart because
the surface hangs together, so limbs that run into each other (full thighs, an arm against a full
trunk) stay loops of their own and are taped as if nothing were in the way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.errors import GeometryError
from pinwright.figure.landmarks import SIDES, Landmarks
from pinwright.figure.tape.section import Array, Loop, Plane, Whole, section, triangles
from pinwright.figure.tape.taut import nearest

FOLD = 5.0
"""What encloses less, cm2, is no limb and no neck but a fold of the skin that the plane cuts: a
wrist of 11 cm encloses 9. What runs clockwise, where the skin passes through itself, is none
either."""


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """The surface that is taped: points (n, 3) cm, triangles (t, 3) facing outwards."""

    points: Array
    corners: Whole

    @classmethod
    def of(cls, points: Array, faces: Whole) -> Skin:
        """The skin of quads (f, 4), each cut along its shorter diagonal."""
        return cls(points, triangles(points, faces))

    def cut(self, plane: Plane) -> tuple[Loop, ...]:
        """The loops in which a plane meets it."""
        return section(self.points, self.corners, plane)

    def limbs(self, plane: Plane) -> tuple[Loop, ...]:
        """The loops in which a plane meets trunk, limbs or neck: without folds of the skin."""
        return tuple(loop for loop in self.cut(plane) if loop.area >= FOLD)

    def slab(self, low: float, high: float) -> Skin:
        """Only the triangles that reach between two heights: to be cut there many times."""
        z = self.points[:, 2]
        keep = (z >= low)[self.corners].any(axis=1) & (z <= high)[self.corners].any(axis=1)
        used, corners = np.unique(self.corners[keep], return_inverse=True)
        return Skin(self.points[used], corners.reshape(-1, 3).astype(np.int64))


def trunk(skin: Skin, marks: Landmarks, z: float) -> Array:
    """The trunk at a level, without the arms: points (k, 2) in x and y.

    It is the greatest loop, and below the fork the greatest on either side. Where an arm is joined
    to it, as it is above the fold of the armpit, it is cut off at the vertical plane through the
    armpit landmark (x of armpit).
    """
    loops = skin.limbs(Plane.level(z))
    if not loops:
        raise GeometryError(f"there is no trunk at {z:.1f} cm over the floor.")
    found = max(loops, key=lambda loop: loop.area)
    flat = found.flat
    if z < float(marks["fork"][2]):
        middle = float(marks["fork"][0])
        other = [p for p in loops if (_lies(p, middle) > 0.0) != (_lies(found, middle) > 0.0)]
        if other:
            second = max(other, key=lambda loop: loop.area)
            if second.area > 0.5 * found.area:
                flat = np.concatenate([flat, second.flat])
    for side, sign in SIDES.items():
        arm = _arm_axis(marks, side, z)
        if arm is not None and nearest(loops, arm) is found:
            flat = beyond(flat, 0, float(marks[f"armpit_{side}"][0]), -sign)
    return flat


def _arm_axis(marks: Landmarks, side: str, z: float) -> Array | None:
    """Where the arm is at a level, by its landmarks: (3,); None below the wrist bone."""
    line = [marks[f"{name}_{side}"] for name in ("wrist_bone", "elbow", "shoulder_point")]
    heights = [float(p[2]) for p in line]
    if z < heights[0]:
        return None
    return np.array([np.interp(z, heights, [p[k] for p in line]) for k in range(3)])


def leg(skin: Skin, marks: Landmarks, side: str, z: float) -> Array:
    """One leg at a level: points (k, 2) in x and y.

    It is the greatest loop on that side of the fork. Where both legs are one loop, as they are
    above the place where the surface parts, it is split at the plane x = x of the fork; the hull
    closes it there.
    """
    loops = skin.limbs(Plane.level(z))
    sign, middle = SIDES[side], float(marks["fork"][0])
    found = max((loop for loop in loops if _lies(loop, middle) != -sign), key=_area, default=None)
    if found is None:
        raise GeometryError(f"there is no {side} leg at {z:.1f} cm over the floor.")
    return found.flat if _lies(found, middle) == sign else beyond(found.flat, 0, middle, sign)


def _area(loop: Loop) -> float:
    return loop.area


def _lies(loop: Loop, middle: float) -> float:
    """1 for a loop to the left of x = middle, -1 to the right, 0 for one on both sides.

    A thigh may reach a little across the middle: it is on both sides only when its own middle is
    nearer than a quarter of its width.
    """
    x = loop.flat[:, 0]
    off = float(x.min() + x.max()) / 2.0 - middle
    if abs(off) < float(x.max() - x.min()) / 4.0:
        return 0.0
    return float(np.sign(off))


def arm(skin: Skin, marks: Landmarks, side: str, plane: Plane) -> Array:
    """One arm in a plane, at the plane's origin: points (k, 2) in the axes of the plane.

    It is the loop nearest the origin, of those that are no fold. Where that is joined to the trunk
    (it reaches the middle of the body) the trunk is cut off at the vertical plane through the
    armpit landmark.
    """
    found = nearest(skin.limbs(plane), plane.origin)
    x = SIDES[side] * (found.space[:, 0] - marks["fork"][0])
    if float(x.min()) > 0.0:
        return found.flat
    armpit = float(marks[f"armpit_{side}"][0])
    return plane.flat(beyond(found.space, 0, armpit, SIDES[side]))


def beyond(line: Array, axis: int, value: float, sign: float) -> Array:
    """The points of a closed line (k, 2 or 3) on one side of a plane, and where it crosses that.

    The side: sign x (coordinate ``axis`` - value) >= 0. For a hull: how the points hang together
    is not kept. Raises GeometryError when none is there.
    """
    a, b = line, np.roll(line, -1, axis=0)
    in_a, in_b = (sign * (p[:, axis] - value) >= 0.0 for p in (a, b))
    hit = in_a != in_b
    part = (value - a[hit, axis]) / (b[hit, axis] - a[hit, axis])
    found = np.concatenate([a[in_a], a[hit] + part[:, None] * (b[hit] - a[hit])])
    if not len(found):
        raise GeometryError(f"the section does not reach {value:.1f} cm.")
    return found
