"""Plane sections of a closed surface, as closed loops.

The surface is its quads, each cut into two triangles along its shorter diagonal. A vertex exactly
on the plane counts as lying on the side the normal points to, which is the section of a plane
lower by less than anything (the symbolic perturbation of Edelsbrunner & Muecke 1990, "Simulation
of simplicity", ACM Trans. Graphics 9, in its plainest form; from memory): so every triangle is
crossed in no edge or in two, and the loops close by connectivity alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError

Array = NDArray[np.float64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A plane with its own axes: origin (3,), cm; u and v (3,), unit and square to each other."""

    origin: Array
    u: Array
    v: Array

    @classmethod
    def level(cls, z: float) -> Plane:
        """The level plane z cm over the floor, its axes those of the figure (x, y)."""
        return cls(np.array([0.0, 0.0, z]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]))

    @classmethod
    def square_to(cls, origin: Array, normal: Array) -> Plane:
        """The plane through a point square to a direction (3,) of any length."""
        n = normal / np.linalg.norm(normal)
        least = np.eye(3)[int(np.argmin(np.abs(n)))]
        u = np.cross(least, n)
        u = u / np.linalg.norm(u)
        return cls(origin, u, np.cross(n, u))

    @classmethod
    def through(cls, p: Array, q: Array, out: Array) -> Plane:
        """The plane through p and q that holds the direction ``out``: p is (0, 0), q lies on +u.

        v is ``out`` made square to q - p. Raises GeometryError if these do not span a plane.
        """
        chord = q - p
        size = float(np.linalg.norm(chord))
        if size > 0.0:
            u = chord / size
            v = out - (out @ u) * u
            rest = float(np.linalg.norm(v))
            if rest > 1e-9 * float(np.linalg.norm(out)):
                return cls(p, u, v / rest)
        raise GeometryError("two points and a direction along them do not span a plane.")

    @property
    def normal(self) -> Array:
        """u x v: a loop runs anticlockwise as seen from where this points."""
        n: Array = np.cross(self.u, self.v)
        return n

    def flat(self, points: Array) -> Array:
        """Points (k, 3) or (3,) in the axes of the plane: (k, 2) or (2,), cm."""
        found: Array = (points - self.origin) @ np.stack([self.u, self.v], axis=1)
        return found

    def space(self, flat: Array) -> Array:
        """Points (k, 2) or (2,) of the plane in space: (k, 3) or (3,), cm."""
        found: Array = self.origin + flat @ np.stack([self.u, self.v])
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """One closed loop of a section; the last point is joined to the first.

    flat: (k, 2) cm in the axes of the plane, anticlockwise round what is inside the surface.
    space: (k, 3) cm, the same points.
    """

    flat: Array
    space: Array

    @property
    def area(self) -> float:
        """What it encloses, cm2."""
        return enclosed(self.flat)

    @property
    def middle(self) -> Array:
        """The mean of its line, (3,): a place within it or near."""
        after = np.roll(self.space, -1, axis=0)
        size = np.linalg.norm(after - self.space, axis=1)
        total = float(size.sum())
        if total == 0.0:
            return np.asarray(self.space[0])
        found: Array = size @ (after + self.space) / (2.0 * total)
        return found


def triangles(points: Array, faces: Whole) -> Whole:
    """The quads (f, 4) as triangles (2f, 3), each cut along its shorter diagonal."""
    corner = points[faces]
    one = np.linalg.norm(corner[:, 2] - corner[:, 0], axis=1)
    other = np.linalg.norm(corner[:, 3] - corner[:, 1], axis=1)
    turned = np.where((one <= other)[:, None], faces, np.roll(faces, -1, axis=1))
    found: Whole = np.concatenate([turned[:, [0, 1, 2]], turned[:, [0, 2, 3]]])
    return found


def volume(points: Array, corners: Whole) -> float:
    """What the closed surface of triangles (t, 3) holds, cm3 (divergence theorem)."""
    a, b, c = (points[corners[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0


def section(points: Array, corners: Whole, plane: Plane) -> tuple[Loop, ...]:
    """The loops in which a plane meets the closed surface of triangles (t, 3), any order.

    Raises GeometryError if the surface is open there, or its triangles do not all face outwards.
    """
    height = (points - plane.origin) @ plane.normal
    above = height >= 0.0
    side = above[corners]
    count = side.sum(axis=1)
    crossed = np.flatnonzero((count == 1) | (count == 2))
    if not len(crossed):
        return ()
    corners, side = corners[crossed], side[crossed]
    after, side_after = corners[:, [1, 2, 0]], side[:, [1, 2, 0]]
    row = np.arange(len(corners))
    down = np.argmax(side & ~side_after, axis=1)  # the one edge that goes below the plane
    up = np.argmax(~side & side_after, axis=1)  # and the one that comes back
    top, bottom = corners[row, down], after[row, down]
    key = top * len(points) + bottom
    key_up = after[row, up] * len(points) + corners[row, up]
    order = np.argsort(key)
    place = np.searchsorted(key[order], key_up).clip(max=len(key) - 1)
    following = order[place]
    if not np.array_equal(key[following], key_up) or len(np.unique(key)) < len(key):
        raise GeometryError("the surface is not closed where the plane meets it.")
    part = height[top] / (height[top] - height[bottom])
    space = points[top] + part[:, None] * (points[bottom] - points[top])
    return tuple(Loop(plane.flat(space[c]), space[c]) for c in _cycles(following.tolist()))


def _cycles(following: list[int]) -> list[list[int]]:
    """The cycles of a permutation."""
    found: list[list[int]] = []
    seen = [False] * len(following)
    for start in range(len(following)):
        if seen[start]:
            continue
        cycle, i = [], start
        while not seen[i]:
            seen[i] = True
            cycle.append(i)
            i = following[i]
        found.append(cycle)
    return found


def enclosed(flat: Array) -> float:
    """The area of a polygon (k, 2), cm2, positive when it runs anticlockwise."""
    rel = flat - flat[0]
    x, y = rel[:, 0], rel[:, 1]
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0
