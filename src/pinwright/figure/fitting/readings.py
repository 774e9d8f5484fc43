"""Every measure read off the surface in a hurry, with its gradients, for the fit.

The measures are those of ``docs/figure/measuring.md``. What is left out of the gradients: that a
plane square to a limb, or up from two landmarks, turns as they move, and how a line's end slides
on the hull of the waist. That slows the fit by a step, and moves no result.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
    joined,
    level,
    polyline,
    reading,
    section,
    upper_hull,
    vertex,
)
from pinwright.figure.landmarks import (
    BESIDE_CLEFT,
    CHEST_UNDER,
    LITRES_PER_KG,
    NECK_LEAN,
    OFF_MIDDLE,
    OVER_ANKLE,
    OVER_FORK,
    SIDES,
    UNDER_ARMPIT,
    UNDER_FORK,
    neck_line,
    seat,
    seat_level,
    vertices,
)

UP = np.array([0.0, 0.0, 1.0])
BACK = np.array([0.0, 1.0, 0.0])
ARM = 0.05
"""What goes with an arm by more than this part may be beyond the armpit, and is then no trunk."""


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
        return level(self.points, int(np.argmin(self.points[:, 2])))

    @cached_property
    def waist(self) -> Reading:
        """The height of waist level over the floor."""
        return combined((0.5, self.z("back_waist")), (0.5, self.z("front_waist")))

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

    def chest_girth(self, at: Reading) -> tuple[Reading, Points]:
        """The taut girth of the trunk at a height close under the arms.

        What belongs to an arm by its place, beyond the armpit, is drawn back to it.
        """
        marks = [self.at[f"armpit_{side}"] for side in SIDES]
        left, right = (float(self.points[m, 0]) for m in marks)
        plane = at + self.floor
        cut = section(self.points, self.parts.trunk, UP, plane.value)
        arm = self.parts.limb[cut.a] + cut.t * (self.parts.limb[cut.b] - self.parts.limb[cut.a])
        x = np.where(arm > ARM, np.clip(cut.at[:, 0], right, left), cut.at[:, 0])
        held = x != cut.at[:, 0]
        flat = np.stack([x, cut.at[:, 1], cut.at[:, 2]], axis=1)
        slide = cut.slide.copy()
        slide[held, 0] = 0.0
        cut = Points(flat, cut.a, cut.b, cut.t, slide, cut.normal)
        s, h = flat[:, 0], flat[:, 1]
        top, bottom = upper_hull(s, h), upper_hull(-s, -h)
        order = np.array([*top[:-1], *bottom[:-1]])
        ring = cut.take(order)
        value, gradient = polyline(ring, closed=True)
        pulled = [
            float(gradient[held[order] & (sign * ring.at[:, 0] > 0.0), 0].sum())
            for sign in SIDES.values()
        ]
        gradient[held[order], 0] = 0.0
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
        return self.level_girth(self.parts.trunk, self.waist)

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
            return ring.take([int(np.argmax(ys) if back else np.argmin(ys))])
        k = np.flatnonzero(cross)
        part = (x - xs[k]) / (xs[nxt[k]] - xs[k])
        y = ys[k] + part * (ys[nxt[k]] - ys[k])
        i = int(np.argmax(y) if back else np.argmin(y))
        return self._between(ring.take([int(k[i])]), ring.take([int(nxt[k[i]])]), float(part[i]))

    def side_of_ring(self, ring: Points, y: float, sign: float) -> Points:
        """The point of a girth at y on her left (sign 1) or right (-1)."""
        ys, xs = ring.at[:, 1], sign * ring.at[:, 0]
        nxt = np.roll(np.arange(len(ring)), -1)
        k = np.flatnonzero(((ys - y) * (ys[nxt] - y) <= 0.0) & (ys != ys[nxt]))
        if not len(k):
            return ring.take([int(np.argmax(xs))])
        part = (y - ys[k]) / (ys[nxt[k]] - ys[k])
        i = int(np.argmax(xs[k] + part * (xs[nxt[k]] - xs[k])))
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


def readings(points: Array, worn_waist_drop: float = 0.0) -> Mapping[str, Reading]:
    """Every measure of a surface (n, 3), cm, by term; sided terms as ``_left`` and ``_right``."""
    s = Surface(points, worn_waist_drop)
    found: dict[str, Reading] = {}
    _heights(s, found)
    _girths(s, found)
    _arms(s, found)
    _lengths(s, found)
    _sides(s, found)
    _fork(s, found)
    found["weight"] = _weight(s)
    return found


def _heights(s: Surface, found: dict[str, Reading]) -> None:
    top = level(s.points, int(np.argmax(s.points[:, 2])))
    found["height"] = top - s.floor
    found["cervical_height"] = s.z("back_neck_point")
    found["inside_leg"] = s.z("fork")
    found["waist_above_fork"] = s.waist - s.z("fork")


def _girths(s: Surface, found: dict[str, Reading]) -> None:
    trunk = s.parts.trunk
    levels = {
        "bust_girth": s.z("bust_point"),
        "under_bust_girth": s.z("under_bust"),
        "upper_chest_girth": s.z("armpit").plus(-CHEST_UNDER),
        "top_hip_girth": combined((0.5, s.waist), (0.5, s.hip)),
        "hip_girth": s.hip,
        "worn_waist_girth": s.waist.plus(-s.drop),
    }
    chest = ("bust_girth", "under_bust_girth", "upper_chest_girth")
    rings = {
        name: s.chest_girth(at) if name in chest else s.level_girth(trunk, at)
        for name, at in levels.items()
    }
    rings["waist_girth"], levels["waist_girth"] = s.waist_ring, s.waist
    found.update({name: girth for name, (girth, _) in rings.items()})
    for name, mark in (("bust", "armpit"), ("waist", "side_waist"), ("hip", "side_hip")):
        girth, ring = rings[f"{name}_girth"]
        front = s.arc(ring, levels[f"{name}_girth"] + s.floor, mark)
        found[f"{name}_front_arc"], found[f"{name}_back_arc"] = front, girth - front
    normal = np.array([0.0, -np.sin(np.radians(NECK_LEAN)), np.cos(np.radians(NECK_LEAN))])
    larynx = s.at["larynx"]
    plane = Reading(float(normal @ s.points[larynx]), np.array([larynx]), normal[None])
    near = trunk[(s.points[trunk[:, 0], 2] > s.points[larynx, 2] - 6.0)]
    near = near[np.abs(s.points[near[:, 0], 0]) < 9.5]
    found["neck_girth"], _ = s.girth(near, normal, plane)
    found["neck_base_girth"] = s.round_neck()
    for side in SIDES:
        leg = s.parts.leg[side]
        fork, knee = s.z("fork"), s.z(f"knee_{side}")
        ankle = s.z(f"ankle_bone_{side}")
        found[f"thigh_girth_{side}"], _ = s.level_girth(leg, fork.plus(-UNDER_FORK))
        half = combined((0.5, fork), (0.5, knee))
        found[f"mid_thigh_girth_{side}"], _ = s.level_girth(leg, half)
        found[f"knee_girth_{side}"], _ = s.level_girth(leg, knee)
        calf = [
            s.level_girth(leg, combined((f, knee), (1.0 - f, ankle)))[0]
            for f in (0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85)
        ]
        found[f"calf_girth_{side}"] = max(calf, key=lambda r: r.value)
        low = [s.level_girth(leg, ankle.plus(by))[0] for by in np.linspace(*OVER_ANKLE, 6)]
        found[f"ankle_girth_{side}"] = min(low, key=lambda r: r.value)


def _arms(s: Surface, found: dict[str, Reading]) -> None:
    for side, sign in SIDES.items():
        marks = ("shoulder_point", "elbow", "wrist_bone")
        i, j, k = (s.at[f"{m}_{side}"] for m in marks)
        shoulder, elbow, wrist = (s.points[v] for v in (i, j, k))
        arm = s.parts.arm[side]

        found[f"upper_arm_girth_{side}"] = _square(s, arm, elbow - shoulder, [i, j])
        found[f"elbow_girth_{side}"] = _square(s, arm, wrist - shoulder, [j])
        found[f"wrist_girth_{side}"] = _square(s, arm, wrist - elbow, [k])
        out = np.array([sign, 0.0, 0.0])
        upper = s.line(f"shoulder_point_{side}", f"elbow_{side}", out, arm)
        fore = s.line(f"elbow_{side}", f"wrist_bone_{side}", out, arm)
        found[f"arm_length_{side}"] = upper + fore


def _square(s: Surface, arm: Edges, normal: Array, who: list[int]) -> Reading:
    """A girth square to a direction, through the middle of some landmarks."""
    n = normal / np.linalg.norm(normal)
    share = np.repeat(n[None] / len(who), len(who), axis=0)
    at = s.points[who].mean(axis=0)
    return s.girth(arm, n, Reading(float(n @ at), np.array(who), share))[0]


def _lengths(s: Surface, found: dict[str, Reading]) -> None:
    over = (BACK + UP) / np.sqrt(2.0)
    halves = []
    for side in SIDES:
        neck, end = f"side_neck_point_{side}", f"shoulder_point_{side}"
        found[f"shoulder_length_{side}"] = s.line(neck, end, UP, s.parts.whole)
        found[f"shoulder_slope_{side}"] = _slope(s, neck, end)
        half = s.line("back_neck_point", end, over)
        halves.append(half)
        found[f"back_neck_to_wrist_{side}"] = half + found[f"arm_length_{side}"]
        ahead = s.points[s.at[f"bust_point_{side}"]] - s.points[s.at[neck]]
        level_ahead = ahead * [1.0, 1.0, 0.0]
        found[f"side_neck_to_bust_point_{side}"] = s.line(neck, f"bust_point_{side}", level_ahead)
    found["across_back_shoulder_width"] = halves[0] + halves[1]
    found["across_back_width"] = s.line("back_arm_break_left", "back_arm_break_right", BACK)
    found["across_front_width"] = s.line("front_arm_break_left", "front_arm_break_right", -BACK)
    bust = [vertex(s.points, s.at[f"bust_point_{side}"]) for side in SIDES]
    value, gradient = polyline(joined(*bust))
    found["bust_point_width"] = reading(value, joined(*bust), gradient)
    ring = s.waist_ring[1]
    neck_point = vertex(s.points, s.at["back_neck_point"])
    end_point = s.on_ring(ring, float(s.points[s.at["back_waist"], 0]), back=True)
    plane = s.waist + s.floor
    back = s.taut(neck_point, end_point, BACK, s.parts.trunk, plane)
    found["back_waist_length"] = back.length()
    found["scye_depth"] = s.down_to(back, s.z("armpit").plus(-UNDER_ARMPIT))
    neck_point = vertex(s.points, s.at["front_neck_point"])
    end_point = s.on_ring(ring, float(s.points[s.at["front_waist"], 0]), back=False)
    front = s.taut(neck_point, end_point, -BACK, s.parts.trunk, plane)
    found["front_neck_to_waist"] = front.length()
    for side, point in zip(SIDES, bust, strict=True):
        end_point = s.on_ring(ring, float(point.at[0, 0]), back=False)
        lower = s.taut(point, end_point, -BACK, s.parts.trunk, plane).length()
        found[f"front_waist_length_{side}"] = found[f"side_neck_to_bust_point_{side}"] + lower
    pair = [found[f"front_waist_length_{side}"] for side in SIDES]
    found["front_waist_length"] = combined((0.5, pair[0]), (0.5, pair[1]))


def _slope(s: Surface, neck: str, end: str) -> Reading:
    i, j = s.at[neck], s.at[end]
    d = s.points[i] - s.points[j]
    flat = float(np.hypot(d[0], d[1]))
    angle = np.arctan2(d[2], flat)
    by = np.array([-d[0] / flat * d[2], -d[1] / flat * d[2], flat]) / (flat**2 + d[2] ** 2)
    by = np.degrees(by)
    return Reading(float(np.degrees(angle)), np.array([i, j]), np.stack([by, -by]))


def _sides(s: Surface, found: dict[str, Reading]) -> None:
    ring = s.waist_ring[1]
    knees: list[Reading] = []
    for side, sign in SIDES.items():
        y = float(s.points[s.at[f"side_waist_{side}"], 1])
        top = s.side_of_ring(ring, y, sign)
        edges = np.concatenate([s.parts.trunk, s.parts.leg[side]])
        cut = section(s.points, edges, BACK, y)
        height = float(top.at[0, 2])
        outer = np.flatnonzero((cut.at[:, 2] < height - 1e-6) & (sign * cut.at[:, 0] > 0.0))
        widest = int(outer[np.argmax(sign * cut.at[outer, 0])])
        keep = outer[cut.at[outer, 2] > cut.at[widest, 2] - 1e-9]
        chain = joined(top, cut.take(keep))
        hull = upper_hull(-chain.at[:, 2], sign * chain.at[:, 0])
        line = _Upright(chain.take(hull), np.zeros(len(hull)), s.waist + s.floor, _across(s, side))
        curve = line.length()
        end = line.points.take([len(hull) - 1])
        rest = reading(float(end.at[0, 2]), end, UP[None], _across(s, side)) - s.floor
        found[f"outside_leg_{side}"] = curve + rest
        if s.hip.value + s.floor.value > end.at[0, 2]:
            found[f"waist_to_hip_{side}"] = s.down_to(line, s.hip)
        else:
            found[f"waist_to_hip_{side}"] = curve + rest - s.hip
        knees.append(curve + rest - s.z(f"knee_{side}"))
    found["waist_to_knee"] = combined((0.5, knees[0]), (0.5, knees[1]))


def _across(s: Surface, side: str) -> Reading:
    """The frontal plane through a side waist landmark."""
    i = s.at[f"side_waist_{side}"]
    return Reading(float(s.points[i, 1]), np.array([i]), BACK[None])


@dataclass(frozen=True, slots=True, eq=False)
class _Upright(Line):
    """A line from a point of a ring (``plane``) down a frontal plane: each its own plane."""

    frontal: Reading | None = None

    def reading(self, value: float, gradient: Array) -> Reading:
        """A value with gradients by its points (k, 3)."""
        assert self.plane is not None
        assert self.frontal is not None
        at, by = self.points.passed(gradient)
        planes = self.points.by_plane(gradient)
        moved = (self.plane.times(float(planes[0])), self.frontal.times(float(planes[1:].sum())))
        return Reading(
            value,
            np.concatenate([at, *(m.at for m in moved)]),
            np.concatenate([by, *(m.by for m in moved)]),
        )


def _fork(s: Surface, found: dict[str, Reading]) -> None:
    ring = s.waist_ring[1]
    fork = s.points[s.at["fork"]]
    beside = [fork[0] + by for by in (OFF_MIDDLE, -BESIDE_CLEFT, BESIDE_CLEFT)]
    front, back = (s.on_ring(ring, beside[0], back=b) for b in (False, True))
    top = min(front.at[0, 2], back.at[0, 2])
    cuts: list[Points] = []
    for k, x in enumerate(beside):
        cut = section(s.points, s.parts.trunk, np.array([1.0, 0.0, 0.0]), float(x))
        z, y = cut.at[:, 2], cut.at[:, 1]
        # beside the middle only the seat counts: lower down it is the thighs
        keep = z < top if k == 0 else (z < top) & (z > fork[2] + OVER_FORK) & (y > fork[1])
        cuts.append(cut.take(np.flatnonzero(keep)))
    points = joined(front, *cuts, back)
    chain = points.take(_under(points.at[:, 1], points.at[:, 2]))
    flat = np.array([0.0, 1.0, 1.0])
    chain = Points(chain.at * flat, chain.a, chain.b, chain.t, chain.slide * flat, chain.normal)
    total = _through_fork(s, chain, *polyline(chain))
    found["total_crotch_length"] = total
    found["front_crotch_length"] = _up_to(chain, s)
    found["back_crotch_length"] = total - found["front_crotch_length"]


def _up_to(chain: Points, s: Surface) -> Reading:
    """The length of the fork's line from its front end to the foot of the fork landmark on it."""
    i = s.at["fork"]
    fork = s.points[i] * [0.0, 1.0, 1.0]
    step = np.diff(chain.at, axis=0)
    size = np.maximum(np.linalg.norm(step, axis=1), 1e-9)
    part = np.clip(np.einsum("ij,ij->i", fork - chain.at[:-1], step) / size**2, 0.0, 1.0)
    foot = chain.at[:-1] + part[:, None] * step
    m = int(np.argmin(np.linalg.norm(foot - fork, axis=1)))
    unit = step[m] / size[m]
    gradient = np.zeros_like(chain.at)
    value = 0.0
    if m:
        value, gradient[: m + 1] = polyline(chain.take(range(m + 1)))
    value += float(part[m] * size[m])
    # the foot goes along the line as the fork does
    gradient[m] -= unit
    if 0.0 < part[m] < 1.0:  # and as the line turns beneath it
        beside = (fork - foot[m]) / size[m]
        gradient[m] -= beside
        gradient[m + 1] += beside
    found = _through_fork(s, chain, value, gradient)
    return Reading(value, np.append(found.at, i), np.concatenate([found.by, unit[None]]))


def _through_fork(s: Surface, chain: Points, value: float, gradient: Array) -> Reading:
    """A value by points of which the ends hang on the waist and the others on the fork's plane."""
    found = reading(value, chain, gradient)
    planes = chain.by_plane(gradient)
    waist = (s.waist + s.floor).times(float(planes[[0, -1]].sum()))
    across = np.array([[float(planes[1:-1].sum()), 0.0, 0.0]])
    return Reading(
        value,
        np.concatenate([found.at, waist.at, [s.at["fork"]]]),
        np.concatenate([found.by, waist.by, across]),
    )


def _under(y: Array, z: Array) -> list[int]:
    """The taut line under the points from the first to the last: numbers in order.

    About a point between the two ends and above the rest, it is the hull seen from there.
    """
    count = len(y)
    order = sorted(range(count), key=lambda i: (y[i], z[i]))
    ring: list[int] = []

    def chain(numbers: list[int]) -> list[int]:
        kept: list[int] = []
        for i in numbers:
            while len(kept) > 1:
                o, m = kept[-2], kept[-1]
                if (y[m] - y[o]) * (z[i] - z[o]) - (z[m] - z[o]) * (y[i] - y[o]) > 0.0:
                    break
                kept.pop()
            kept.append(i)
        return kept

    ring = [*chain(order)[:-1], *chain(order[::-1])[:-1]]
    # both ends are on the hull: nothing lies higher
    start = ring.index(0) if 0 in ring else 0
    ring = ring[start:] + ring[:start]
    last = ring.index(count - 1) if count - 1 in ring else len(ring) - 1
    way = ring[: last + 1]
    other = [ring[0], *ring[: last - 1 if last else None : -1]]
    lowest = int(np.argmin(z))
    return way if lowest in way else other


def _weight(s: Surface) -> Reading:
    """Litres of the closed surface, as kg."""
    t = s.parts.triangles
    a, b, c = (s.points[t[:, k]] for k in range(3))
    total = float(np.einsum("ij,ij->", np.cross(a, b), c)) / 6000.0
    by = np.zeros_like(s.points)
    for k, (p, q) in enumerate(((b, c), (c, a), (a, b))):
        np.add.at(by, t[:, k], np.cross(p, q) / 6000.0)
    factor = 1.0 / LITRES_PER_KG
    return Reading(total * factor, np.arange(len(by)), by * factor)
