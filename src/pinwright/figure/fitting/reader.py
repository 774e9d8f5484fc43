"""The tools of the quick readings: rings, arcs and taut lines, with their gradients."""

from __future__ import annotations

from functools import cached_property

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.parts import Edges, parts
from pinwright.figure.fitting.rows import (
    Line,
    Points,
    Reading,
    combined,
    cross,
    first_least,
    joined,
    level,
    polyline,
    reading,
    section,
    upper_hull,
    vertex,
)
from pinwright.figure.landmarks import SIDES, neck_line, seat, seat_level, vertices

UP = np.array([0.0, 0.0, 1.0])
BACK = np.array([0.0, 1.0, 0.0])
STEEP = 5.0
"""Where a girth runs to the back so much more than across, a slope across tells nothing."""

ARM = 0.3
"""What goes with an arm by so much is no trunk beyond the armpit; what does by less is by as much
less: where that changed quickly a girth would jump from step to step."""


class Surface:
    """The body's vertices (n, 3), standing on the floor, and what is read off them."""

    def __init__(self, points: Array, worn_waist_drop: float = 0.0) -> None:
        self.points, self.drop = points, worn_waist_drop
        self.parts = parts()
        self.at = vertices()

    def z(self, name: str) -> Reading:
        """The height of a landmark over the floor; of a pair the mean height."""
        if name in self.at:
            return level(self.points, self.at[name]) - self.floor
        both = [self.z(f"{name}_{side}") for side in SIDES]
        return combined((0.5, both[0]), (0.5, both[1]))

    @cached_property
    def floor(self) -> Reading:
        """The height of the lowest vertex."""
        return level(self.points, first_least(self.points[:, 2]))

    @cached_property
    def waist(self) -> Reading:
        """The height of waist level over the floor."""
        return combined((0.5, self.z("back_waist")), (0.5, self.z("front_waist")))

    @cached_property
    def tip(self) -> Reading:
        """Half of how much higher the left side of the waist stands than the right."""
        left, right = (self.z(f"side_waist_{side}") for side in SIDES)
        return combined((0.5, left), (-0.5, right))

    @cached_property
    def hip(self) -> Reading:
        """The height of hip level over the floor."""
        value, by_depth, by_height = seat_level(self.points)
        by = by_depth[:, None] * BACK + by_height[:, None] * UP
        return Reading(value, seat(), by) - self.floor

    def girth(self, edges: Edges, normal: Array, plane: Reading) -> tuple[Reading, Points]:
        """The taut girth in a plane, and the points of its hull in order."""
        cut = section(self.points, edges, normal, plane.value)
        u = cross(normal, BACK if abs(normal[1]) < 0.9 else UP)
        u /= np.linalg.norm(u)
        w = cross(normal, u)
        s, h = cut.at @ u, cut.at @ w
        top, bottom = upper_hull(s, h), upper_hull(-s, -h)
        ring = cut.take([*top[:-1], *bottom[:-1]])
        value, gradient = polyline(ring, closed=True)
        return reading(value, ring, gradient, plane), ring

    def level_girth(self, edges: Edges, at: Reading) -> tuple[Reading, Points]:
        """The taut girth at a height over the floor."""
        return self.girth(edges, UP, at + self.floor)

    def chest_girth(self, edges: Edges, at: Reading) -> tuple[Reading, Points]:
        """The taut girth of the trunk at a height close under the arms.

        What belongs to an arm by its place, beyond the armpit, is drawn back to it.
        """
        marks = [self.at[f"armpit_{side}"] for side in SIDES]
        left, right = (float(self.points[m, 0]) for m in marks)
        plane = at + self.floor
        cut = section(self.points, edges, UP, plane.value)
        arm = self.parts.limb[cut.a] + cut.t * (self.parts.limb[cut.b] - self.parts.limb[cut.a])
        drawn = np.clip(cut.at[:, 0], right, left)
        # by degrees, so that no girth jumps where a point begins to belong to an arm
        held = np.clip(arm / ARM, 0.0, 1.0) * (drawn != cut.at[:, 0])
        x = (1.0 - held) * cut.at[:, 0] + held * drawn
        flat = np.stack([x, cut.at[:, 1], cut.at[:, 2]], axis=1)
        slide = cut.slide.copy()
        slide[:, 0] *= 1.0 - held
        cut = Points(flat, cut.a, cut.b, cut.t, slide, cut.normal)
        s, h = flat[:, 0], flat[:, 1]
        top, bottom = upper_hull(s, h), upper_hull(-s, -h)
        order = np.array([*top[:-1], *bottom[:-1]])
        ring = cut.take(order)
        value, gradient = polyline(ring, closed=True)
        to_mark = held[order] * gradient[:, 0]
        pulled = [float(to_mark[sign * ring.at[:, 0] > 0.0].sum()) for sign in SIDES.values()]
        gradient[:, 0] -= to_mark
        found = reading(value, ring, gradient, plane)
        across = np.array([1.0, 0.0, 0.0])
        return Reading(
            value,
            np.concatenate([found.at, marks]),
            np.concatenate([found.by, np.array(pulled)[:, None] * across]),
        ), ring

    @cached_property
    def waist_ring(self) -> tuple[Reading, Points]:
        """The waist girth, and the points of its hull."""
        return self.level_girth(self.parts.under, self.waist)

    def arc(self, ring: Points, plane: Reading, mark: str) -> Reading:
        """The front part of a girth: between the side lines, each at the y of a landmark."""
        marks = [self.at[f"{mark}_{side}"] for side in SIDES]
        y = [float(self.points[m, 1]) for m in marks]
        moved = [0.0, 0.0]
        order = np.append(np.arange(len(ring)), 0)
        closed = ring.take(order)
        x, ys = closed.at[:, 0], closed.at[:, 1]
        inside = ys < np.where(x > 0.0, y[0], y[1])
        step = np.diff(closed.at, axis=0)
        size = np.linalg.norm(step, axis=1)
        unit = step / np.maximum(size, 1e-9)[:, None]
        gradient = np.zeros((len(closed), 3))
        total = 0.0
        for k in range(len(size)):
            if inside[k] and inside[k + 1]:
                total += size[k]
                gradient[k + 1] += unit[k]
                gradient[k] -= unit[k]
            elif inside[k] != inside[k + 1]:
                which = 0 if 0.5 * (x[k] + x[k + 1]) > 0.0 else 1
                limit = y[which]
                part = (limit - ys[k]) / (ys[k + 1] - ys[k])
                share = part if inside[k] else 1.0 - part
                total += share * size[k]
                gradient[k + 1] += share * unit[k]
                gradient[k] -= share * unit[k]
                # the crossing slides along the hull as the piece of it moves to and fro
                sign = 1.0 if inside[k] else -1.0
                rate = sign * size[k] / (ys[k + 1] - ys[k])
                gradient[k, 1] -= rate * (1.0 - part)
                gradient[k + 1, 1] -= rate * part
                moved[which] += rate
        found = reading(total, closed, gradient, plane)
        return Reading(
            total,
            np.concatenate([found.at, marks]),
            np.concatenate([found.by, np.array(moved)[:, None] * BACK]),
        )

    def on_ring(self, ring: Points, x: float, back: bool) -> Points:
        """The point of a girth at x, at the back or in front."""
        xs, ys = ring.at[:, 0], ring.at[:, 1]
        nxt = np.roll(np.arange(len(ring)), -1)
        cross = (xs - x) * (xs[nxt] - x) <= 0.0
        cross &= xs != xs[nxt]
        if not cross.any():
            return ring.take([first_least(-ys if back else ys)])
        k = np.flatnonzero(cross)
        part = (x - xs[k]) / (xs[nxt[k]] - xs[k])
        y = ys[k] + part * (ys[nxt[k]] - ys[k])
        i = first_least(-y if back else y)
        return self._between(ring.take([int(k[i])]), ring.take([int(nxt[k[i]])]), float(part[i]))

    def fall(self, point: Points, ring: Points) -> Reading:
        """The length of the taut line from a vertex in front straight down to the waist's girth."""
        x = float(point.at[0, 0])
        end = self.on_ring(ring, x, back=False)
        line = self.taut(point, end, -BACK, self.parts.trunk, self.waist + self.floor)
        value, gradient = polyline(line.points)
        # where the girth runs aslant, its end goes to and fro as the vertex goes sideways
        a, b = self._beside(ring, end)
        run = float(ring.at[b, 0] - ring.at[a, 0])
        if abs(run) * STEEP < abs(float(ring.at[b, 1] - ring.at[a, 1])):
            return line.reading(value, gradient)
        rate = float(gradient[-1] @ (ring.at[b] - ring.at[a])) / run
        part = (x - float(ring.at[a, 0])) / run
        across = np.array([1.0, 0.0, 0.0])
        apart = [ring.a[a], ring.b[a], ring.a[b], ring.b[b]]
        t, u = float(ring.t[a]), float(ring.t[b])
        share = np.array([(1.0 - part) * (1.0 - t), (1.0 - part) * t, part * (1.0 - u), part * u])
        return line.reading(value, gradient) + Reading(
            0.0,
            np.array([point.a[0], *apart]),
            rate * np.append(1.0, -share)[:, None] * across,
        )

    @staticmethod
    def _beside(ring: Points, point: Points) -> tuple[int, int]:
        """The two neighbours of a ring between which a point of it lies."""
        nxt = np.roll(np.arange(len(ring)), -1)
        step = ring.at[nxt] - ring.at
        square = np.maximum(np.einsum("ij,ij->i", step, step), 1e-18)
        part = np.clip(np.einsum("ij,ij->i", point.at[0] - ring.at, step) / square, 0.0, 1.0)
        foot = ring.at + part[:, None] * step
        k = first_least(np.linalg.norm(foot - point.at[0], axis=1))
        return k, int(nxt[k])

    def side_of_ring(self, ring: Points, y: float, sign: float) -> Points:
        """The point of a girth at y on her left (sign 1) or right (-1)."""
        ys, xs = ring.at[:, 1], sign * ring.at[:, 0]
        nxt = np.roll(np.arange(len(ring)), -1)
        k = np.flatnonzero(((ys - y) * (ys[nxt] - y) <= 0.0) & (ys != ys[nxt]))
        if not len(k):
            return ring.take([first_least(-xs)])
        part = (y - ys[k]) / (ys[nxt[k]] - ys[k])
        i = first_least(-(xs[k] + part * (xs[nxt[k]] - xs[k])))
        return self._between(ring.take([int(k[i])]), ring.take([int(nxt[k[i]])]), float(part[i]))

    @staticmethod
    def _between(p: Points, q: Points, part: float) -> Points:
        # near enough for a gradient: it goes with the nearer of the two, at its exact place
        near = p if part < 0.5 else q
        at = p.at + part * (q.at - p.at)
        return Points(at, near.a, near.b, near.t, near.slide, near.normal)

    def taut(
        self, p: Points, q: Points, outward: Array, edges: Edges, plane: Reading | None = None
    ) -> Line:
        """The taut line from p to q over the outward side; ``plane``: what cut p or q off."""
        along = q.at[0] - p.at[0]
        far = float(np.linalg.norm(along))
        u = along / far
        w = outward - (outward @ u) * u
        w /= np.linalg.norm(w)
        normal = cross(u, w)
        cut = section(self.points, edges, normal, float(normal @ p.at[0]))
        s, h = (cut.at - p.at[0]) @ u, (cut.at - p.at[0]) @ w
        keep = np.flatnonzero((s > 1e-6) & (s < far - 1e-6) & (h > 0.0))
        found = joined(p, cut.take(keep), q)
        hull = upper_hull(
            np.concatenate([[0.0], s[keep], [far]]), np.append(0.0, np.append(h[keep], 0.0))
        )
        share = np.concatenate([[0.0], s[keep] / far, [1.0]])
        return Line(found.take(hull), share[hull], plane)

    def line(self, name: str, other: str, outward: Array, edges: Edges | None = None) -> Reading:
        """The length of the taut line between two landmarks."""
        p, q = (vertex(self.points, self.at[k]) for k in (name, other))
        return self.taut(p, q, outward, self.parts.trunk if edges is None else edges).length()

    def round_neck(self) -> Reading:
        """The length of the line round the neck's root."""
        rows, shares = neck_line()
        at = np.einsum("ij,ijk->ik", shares, self.points[rows])
        step = np.diff(at, axis=0, append=at[:1])
        size = np.linalg.norm(step, axis=1)
        unit = step / size[:, None]
        gradient = np.roll(unit, 1, axis=0) - unit
        by = shares[:, :, None] * gradient[:, None, :]
        return Reading(float(size.sum()), rows.ravel(), by.reshape(-1, 3))

    def down_to(self, line: Line, at: Reading) -> Reading:
        """The length of a line from its upper end to where it passes a height over the floor."""
        chain = line.points
        z = chain.at[:, 2]
        limit = at.value + self.floor.value
        below = np.flatnonzero(z < limit)
        m = int(below[0]) if len(below) else len(z) - 1
        m = max(m, 1)
        whole, gradient = polyline(chain.take(range(m)))
        step = chain.at[m] - chain.at[m - 1]
        size = float(np.linalg.norm(step))
        unit = step / size
        part = float((limit - z[m - 1]) / (z[m] - z[m - 1]))
        full = np.zeros((len(chain), 3))
        full[:m] = gradient
        full[m] += part * unit
        full[m - 1] -= part * unit
        rate = size / (z[m] - z[m - 1])
        full[m - 1, 2] -= rate * (1.0 - part)
        full[m, 2] -= rate * part
        moved = (at + self.floor).plus(-limit).times(rate)
        return line.reading(whole + part * size, full) + moved
