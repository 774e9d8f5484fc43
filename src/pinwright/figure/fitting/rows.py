"""A value read off the surface, and how it changes as vertices move.

Readings are quick: sections are taken on the edges of the quads, parts are told apart by which
bones a vertex goes with. The figure is measured for the record by :mod:`pinwright.figure.tape`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array

Which = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A value (cm, degrees or litres) and its growth: vertices ``at`` (k,), gradients (k, 3)."""

    value: float
    at: Which
    by: Array

    def __add__(self, other: Reading) -> Reading:
        return combined((1.0, self), (1.0, other))

    def __sub__(self, other: Reading) -> Reading:
        return combined((1.0, self), (-1.0, other))

    def times(self, factor: float) -> Reading:
        """The reading multiplied."""
        return Reading(factor * self.value, self.at, factor * self.by)

    def plus(self, by: float) -> Reading:
        """The reading with a fixed amount added."""
        return Reading(self.value + by, self.at, self.by)


def combined(*parts: tuple[float, Reading]) -> Reading:
    """Readings weighted and summed."""
    return Reading(
        sum(w * r.value for w, r in parts),
        np.concatenate([r.at for _, r in parts]),
        np.concatenate([w * r.by for w, r in parts]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Points:
    """Points (k, 3) of the surface: vertices ``a``, ``b`` (k,), and how a gradient passes to them.

    A point lies between its two vertices, the part ``t`` (k,) of the way. Where a plane cut it off
    the edge, it slides along the edge as the plane or the edge moves: by ``slide`` (k, 3) for each
    cm of the plane, else zeros.
    """

    at: Array
    a: Which
    b: Which
    t: Array
    slide: Array
    normal: Array

    def __len__(self) -> int:
        return len(self.at)

    def take(self, which: Sequence[int] | Which) -> Points:
        """Some of the points, in the order asked for."""
        i = np.asarray(which, dtype=np.int64)
        return Points(self.at[i], self.a[i], self.b[i], self.t[i], self.slide[i], self.normal[i])

    def by_plane(self, gradient: Array) -> Array:
        """What gradients by the points (k, 3) make of each one's plane moving on (k,)."""
        found: Array = np.einsum("ij,ij->i", gradient, self.slide)
        return found

    def passed(self, gradient: Array) -> tuple[Which, Array]:
        """Gradients by the points (k, 3) passed on to vertices, the planes standing still."""
        kept = gradient - self.by_plane(gradient)[:, None] * self.normal
        at = np.concatenate([self.a, self.b])
        by = np.concatenate([(1.0 - self.t)[:, None] * kept, self.t[:, None] * kept])
        return at, by


def joined(*parts: Points) -> Points:
    """Points one after the other."""
    return Points(
        np.concatenate([p.at for p in parts]),
        np.concatenate([p.a for p in parts]),
        np.concatenate([p.b for p in parts]),
        np.concatenate([p.t for p in parts]),
        np.concatenate([p.slide for p in parts]),
        np.concatenate([p.normal for p in parts]),
    )


def cross(a: Array, b: Array) -> Array:
    """The vector product of two directions (3,): quicker than numpy's own for one pair."""
    x, y, z = a.tolist()
    u, v, w = b.tolist()
    return np.array([y * w - z * v, z * u - x * w, x * v - y * u])


def vertex(points: Array, i: int) -> Points:
    """One vertex as a point."""
    one = np.array([i])
    return Points(points[one], one, one, np.zeros(1), np.zeros((1, 3)), np.zeros((1, 3)))


def level(points: Array, i: int) -> Reading:
    """The height of a vertex."""
    return Reading(float(points[i, 2]), np.array([i]), np.array([[0.0, 0.0, 1.0]]))


ON = 1e-9
"""What is no further below a plane (cm) lies on it, and counts as above."""


ALONG = 0.03
"""An edge that rises less off a plane, as a part of its length, lies along it."""

ALIKE = 1e-7
"""Values that differ by no more are the same."""


def first_least(values: Array) -> int:
    """The first of the least values: of two that are alike always the same one, whatever a machine
    makes of the last figures."""
    return int(np.flatnonzero(values <= values.min() + ALIKE)[0])


def section(points: Array, edges: NDArray[np.int64], normal: Array, offset: float) -> Points:
    """Where edges (e, 2) pass the plane normal . x = offset."""
    on = np.flatnonzero(normal)
    # a plane square to an axis needs no products
    height = points[:, on[0]] * normal[on[0]] if len(on) == 1 else points @ normal
    height = height - offset
    # a plane goes through the very landmark it is taken at: no rounding may say on which side
    below = height < -ON
    a, b = edges[:, 0], edges[:, 1]
    cut = np.flatnonzero(below[a] != below[b])
    a, b = a[cut], b[cut]
    t = height[a] / (height[a] - height[b])
    edge = points[b] - points[a]
    across = edge @ normal
    # an edge that lies along the plane slides anywhere: it is taken to stay
    steep = np.abs(across) > ALONG * np.sqrt(np.einsum("ij,ij->i", edge, edge))
    slide = np.where(steep, 1.0 / np.where(steep, across, 1.0), 0.0)[:, None] * edge
    at = points[a] + t[:, None] * edge
    return Points(at, a, b, t, slide, np.broadcast_to(normal, at.shape))


def upper_hull(s: Array, h: Array) -> list[int]:
    """Numbers of the points on the upper convex hull, from the least s to the greatest."""
    order = np.lexsort((h, s))
    hull: list[int] = []
    xs, ys = s.tolist(), h.tolist()
    for i in order.tolist():
        while len(hull) > 1:
            o, m = hull[-2], hull[-1]
            turn = (xs[m] - xs[o]) * (ys[i] - ys[o]) - (ys[m] - ys[o]) * (xs[i] - xs[o])
            if turn < 0.0:
                break
            hull.pop()
        hull.append(i)
    return hull


def polyline(found: Points, closed: bool = False) -> tuple[float, Array]:
    """The length through points (k, 3) in order, and its gradient by each (k, 3)."""
    at = found.at
    step = np.concatenate([at[1:], at[:1]]) - at if closed else at[1:] - at[:-1]
    size = np.sqrt(np.einsum("ij,ij->i", step, step))
    unit = step / np.maximum(size, 1e-9)[:, None]
    if closed:
        return float(size.sum()), np.concatenate([unit[-1:], unit[:-1]]) - unit
    gradient = np.zeros_like(at)
    gradient[1:] += unit
    gradient[:-1] -= unit
    return float(size.sum()), gradient


def reading(value: float, found: Points, gradient: Array, plane: Reading | None = None) -> Reading:
    """A value with gradients by points; ``plane`` is the offset of the plane that cut them all."""
    at, by = found.passed(gradient)
    plain = Reading(value, at, by)
    if plane is None:
        return plain
    moved = plane.times(float(found.by_plane(gradient).sum()))
    return Reading(value, np.concatenate([at, moved.at]), np.concatenate([by, moved.by]))


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line over the surface from one point to another: its points in order.

    All but the ends lie in one plane with the ends: as an end moves, the plane goes along, more
    with the nearer one. ``share`` (k,): how far along each point lies, 0 to 1.
    ``plane``: what the ends' own plane hangs on.
    """

    points: Points
    share: Array
    plane: Reading | None = None

    def length(self) -> Reading:
        """The length of the whole line."""
        value, gradient = polyline(self.points)
        return self.reading(value, gradient)

    def first(self, count: int) -> Line:
        """Its first points; the plane still hangs on both ends of the whole."""
        return Line(self.points.take(range(count)), self.share[:count], self.plane)

    def reading(self, value: float, gradient: Array) -> Reading:
        """A value with gradients by its points (k, 3)."""
        inner = slice(1, len(self.points) - 1)
        by_plane = self.points.by_plane(gradient)
        normal = self.points.normal[inner]
        full = gradient.copy()
        # an inner point's plane goes with the ends
        full[0] += ((by_plane[inner] * (1.0 - self.share[inner]))[:, None] * normal).sum(axis=0)
        full[-1] += ((by_plane[inner] * self.share[inner])[:, None] * normal).sum(axis=0)
        found = reading(value, self.points, full)
        if self.plane is None:
            return found
        ends = self.points.take([0, len(self.points) - 1])
        return Reading(
            value,
            np.concatenate([found.at, self.plane.at]),
            np.concatenate([found.by, float(ends.by_plane(full[[0, -1]]).sum()) * self.plane.by]),
        )
