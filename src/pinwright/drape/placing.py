"""Where cloth begins: each panel wrapped round the part of the body it is for, sewn ends together.

A panel drawn in the frame of its block has on each level an inner edge (a centre line, the inseam)
and a side; how far a point lies between them is how far it goes round the body, and how high it is
drawn is how high it hangs. The distance off the body is found by going outwards from the axis of
the trunk or limb until the surface is passed. So nothing begins as a flat piece pulled together:
that comes to a false rest. Which edge is which is told by the places of the garment, the words
that corrections use, not by its style.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit, prange

from pinwright.drape.data import Array, Panel, Shell, Whole
from pinwright.drape.field import Field, read_at
from pinwright.errors import GeometryError
from pinwright.figure.posture import eased
from pinwright.pattern.garment import Garment

OFF = 1.2
"""How far off the body cloth begins, cm."""

FAR = 45.0
"""No surface of a body is farther from the axis of its part, cm."""


ROUND = 0.8
"""So much of the circle of its own girth a skirt begins from the middle of the body at least."""

NECK = "neck_point"
"""The point of a piece that lies where neck and shoulder meet."""

DEPTH = "waist_depth"
"""The fact of a garment that tells how far its waist lies under the waist of the body, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Stance:
    """The body that is dressed: its field, the axes of its limbs and trunk, its landmarks.

    axes: as :func:`pinwright.figure.joints.limb_axes`. marks: landmark -> (3,) cm.
    """

    field: Field
    axes: Mapping[str, Array]
    marks: Mapping[str, Array]


def placed(garment: Garment, shell: Shell, stance: Stance) -> Array:
    """Where the vertices of a shell begin, (n, 3) cm."""
    total = np.zeros((shell.n, 3))
    count = np.zeros(shell.n)
    later: list[tuple[Panel, Whole]] = []
    for panel, vertices in zip(shell.panels, shell.vertices, strict=True):
        at = _panel(garment, shell, panel, stance)
        if at is None:
            later.append((panel, vertices))
            continue
        np.add.at(total, vertices, at)
        np.add.at(count, vertices, 1.0)
    known = count > 0
    x = np.where(known[:, None], total / np.maximum(count, 1.0)[:, None], 0.0)
    for panel, vertices in later:
        _attached(panel, vertices, x, known)
    return x


def _panel(garment: Garment, shell: Shell, panel: Panel, stance: Stance) -> Array | None:
    def edges(*places: str) -> Array | None:
        runs = [
            panel.points[run]
            for place in places
            for e in garment.places.get(place, ())
            if e.piece == panel.piece and e.edge in panel.edges
            for run in panel.edges[e.edge]
        ]
        return np.concatenate(runs) if runs else None

    cap = edges("cap")
    if cap is not None:
        return _sleeve(garment, panel, cap, stance)
    back = panel.home.startswith("back")
    if not back and not panel.home.startswith("front"):
        return None
    side = edges("side_seam")
    inseam = edges("inseam")
    if inseam is not None and side is not None:
        inner = edges("inseam", "seat_seam", "front_crotch_seam")
        assert inner is not None
        return _leg(panel, inner, side, float(inseam[:, 1].max()), stance, back)
    kin = [p for p in shell.panels if p.home == panel.home and p.side == panel.side]
    neck = [float(p.points[p.stations[NECK], 1]) for p in kin if NECK in p.stations]
    if neck:
        return _trunk(garment, panel, kin, max(neck), stance, back)
    if edges("waist") is not None and side is not None:
        return _skirt(garment, panel, side, stance, back)
    raise GeometryError(
        f"{garment.title}: its {panel.piece} has neither a neck nor a waist edge and a side seam, "
        "so nothing tells where it goes on the figure."
    )


def _outwards(stance: Stance, axis: Array, way: Array, least: Array, off: float = OFF) -> Array:
    """How far (n,) along (n, 3) from (n, 3) the body ends, from so far on."""
    r, body = least.copy(), stance.field
    _gone_out(axis, np.ascontiguousarray(way), off, body.origin, body.step, body.knots, r)
    return r


@njit(cache=True, parallel=True, nogil=True)
def _gone_out(
    axis: Array, way: Array, off: float, origin: Array, step: float, knots: Array, r: Array
) -> None:
    """Goes on from r (n,) cm until it is so far off the body, or FAR."""
    for i in prange(len(r)):
        while True:
            x, y, z = axis[i] + r[i] * way[i]
            d, _, _, _ = read_at(x, y, z, origin, step, knots)
            more = max(off - d, 0.0)
            r[i] += max(0.8 * more, 0.02)
            if more <= 0.02 or r[i] >= FAR:
                break


def _across(points: Array, y: Array) -> Array:
    order = np.argsort(points[:, 1], kind="stable")
    found: Array = np.interp(y, points[order, 1], points[order, 0])
    return found


def _leg(panel: Panel, inner: Array, side: Array, fork: float, stance: Stance, back: bool) -> Array:
    """A trouser panel, drawn as high as it hangs: from the inner leg or centre to the side."""
    s = 1.0 if panel.side == "left" else -1.0
    x, z = panel.points[:, 0], panel.points[:, 1]
    a, b = _across(inner, z), _across(side, z)
    part = np.clip((x - a) / (b - a), 0.0, 1.0)
    leg = stance.axes[f"leg {panel.side}"][::-1]
    trunk = stance.axes["trunk"]
    hip = leg[-1]
    ax = np.interp(z, leg[:, 2], leg[:, 0])
    ay = np.where(
        z < hip[2], np.interp(z, leg[:, 2], leg[:, 1]), np.interp(z, trunk[:, 2], trunk[:, 1])
    )
    axis = np.stack([ax, ay, z], axis=1)
    # the middle of the body at each height, and from the half's axis the direction to it
    turn = 1.0 if back else -1.0
    middle = np.stack([0.0 * z, np.interp(z, trunk[:, 2], trunk[:, 1]), z], axis=1)
    depth = _outwards(stance, middle, np.tile([0.0, turn, 0.0], (len(z), 1)), 0.0 * z)
    depth = np.where(z > fork, depth, 0.0)
    to = np.stack([-s * ax, turn * (middle[:, 1] + turn * depth - ay)], axis=1)
    centre = np.where(z > fork, np.arctan2(np.maximum(to[:, 1], 0.0), -np.abs(to[:, 0])), np.pi)
    # arctan2 gives the angle from the side: pi towards the middle
    angle = (1.0 - part) * np.abs(centre)
    way = np.stack([s * np.cos(angle), turn * np.sin(angle), 0.0 * z], axis=1)
    r = _outwards(stance, axis, way, 0.0 * z)
    # a leg of cloth is round where it is wider than the leg, and not as long as the foot
    own = (b - a) / np.pi
    r = np.where(z < fork, np.clip(r, 0.8 * own, 1.3 * own), r)
    at = axis + r[:, None] * way
    # nothing of a half begins beyond the middle
    at[:, 0] = s * np.maximum(s * at[:, 0], 0.0)
    found: Array = at
    return found


def _skirt(garment: Garment, panel: Panel, side: Array, stance: Stance, back: bool) -> Array:
    """A panel that hangs from the waist: from the centre round to the side, below the fork round
    both legs."""
    s = 1.0 if panel.side == "left" else -1.0
    x, y = panel.points[:, 0], panel.points[:, 1]
    waist = stance.marks[f"side_waist_{panel.side}"][2] - float(garment.facts.get(DEPTH, 0.0))
    z = waist + y - float(side[:, 1].max())
    legs = 0.5 * (stance.axes["leg left"] + stance.axes["leg right"])[:0:-1]
    line = np.concatenate([legs, stance.axes["trunk"]])
    wide = _across(side, y)
    angle = 0.5 * np.pi * np.clip(x / wide, 0.0, 1.0)
    axis = np.stack([0.0 * z, np.interp(z, line[:, 2], line[:, 1]), z], axis=1)
    turn = 1.0 if back else -1.0
    way = np.stack([s * np.sin(angle), turn * np.cos(angle), 0.0 * z], axis=1)
    # from the circle of its own girth on: between the legs there is no body to go out of
    found: Array = axis + _outwards(stance, axis, way, ROUND * wide / (0.5 * np.pi))[:, None] * way
    return found


def _trunk(
    garment: Garment, panel: Panel, kin: Sequence[Panel], top: float, stance: Stance, back: bool
) -> Array:
    """A panel of the bodice: from the centre round to the side, over the shoulder on top.

    kin: all panels of its half. top: how high the neck point is drawn, cm."""
    s = 1.0 if panel.side == "left" else -1.0
    x, y = panel.points[:, 0], panel.points[:, 1]
    sides = [
        p.points[run]
        for p in kin
        for e in garment.places.get("side_seam", ())
        if e.piece == p.piece and e.edge in p.edges
        for run in p.edges[e.edge]
    ]
    side = np.concatenate(sides)
    underarm = float(side[:, 1].max())
    trunk = stance.axes["trunk"]
    waist = trunk[2]
    neck = stance.marks[f"side_neck_point_{panel.side}"]
    rise = (neck[2] + OFF - waist[2]) / top
    z = waist[2] + np.where(y > 0.0, rise * y, y)
    wide = _across(side, np.minimum(y, underarm))
    angle = 0.5 * np.pi * np.clip(x / wide, 0.0, 1.0)
    turn = 1.0 if back else -1.0
    axis = np.stack([0.0 * z, np.interp(z, trunk[:, 2], trunk[:, 1]), z], axis=1)
    way = np.stack([s * np.sin(angle), turn * np.cos(angle), 0.0 * z], axis=1)
    least = np.full(len(z), 2.0)
    r = np.minimum(_outwards(stance, axis, way, least), 24.0)
    round_body = axis + r[:, None] * way
    # above the underarm: as far from the middle as drawn, forward or back until off the body
    low = stance.marks[f"shoulder_point_{panel.side}"]
    start = np.stack([s * 0.93 * x, np.interp(z, trunk[:, 2], trunk[:, 1]), z], axis=1)
    start[:, 1] += (low[1] - start[:, 1]) * np.clip((z - waist[2]) / (low[2] - waist[2]), 0.0, 1.0)
    off = _outwards(stance, start, np.tile([0.0, turn, 0.0], (len(z), 1)), 0.0 * z)
    over = start + np.minimum(off, 20.0)[:, None] * np.array([0.0, turn, 0.0])
    w = eased(y, underarm, underarm + 6.0)[:, None]
    found: Array = (1.0 - w) * round_body + w * over
    return found


def _sleeve(garment: Garment, panel: Panel, cap: Array, stance: Stance) -> Array:
    """A sleeve: round the arm, its seam beneath, its cap towards the shoulder point."""
    x, y = panel.points[:, 0], panel.points[:, 1]
    arm = stance.axes[f"arm {panel.side}"]
    front = 1.0 if panel.points[panel.stations["underarm_front"], 0] > 0.0 else -1.0
    height = float(cap[:, 1].max())
    seams = [
        panel.points[run]
        for e in garment.places.get("sleeve_seam", ())
        if e.piece == panel.piece
        for run in panel.edges[e.edge]
    ]
    right = np.concatenate([q for q in seams if q[:, 0].mean() > 0.0])
    left = np.concatenate([q for q in seams if q[:, 0].mean() < 0.0])
    low = np.minimum(y, 0.0)
    a, b = _across(left, low), _across(right, low)
    round_arm = 2.0 * np.pi * ((x - 0.5 * (a + b)) / (b - a)) * front  # forwards
    radius = (b - a) / (2.0 * np.pi)
    steps = np.linalg.norm(np.diff(arm, axis=0), axis=1)
    along = height - y
    at = np.concatenate([[0.0], np.cumsum(steps)])
    ext = arm.copy()
    ext[-1] = arm[-2] + (arm[-1] - arm[-2]) * 1.6
    at[-1] = at[-2] + 1.6 * steps[-1]
    axis = np.stack([np.interp(along, at, ext[:, k]) for k in range(3)], axis=1)
    down = np.where(
        (along < at[1])[:, None], (arm[1] - arm[0]) / steps[0], (arm[2] - arm[1]) / steps[1]
    )
    forward = np.array([0.0, -1.0, 0.0]) - down * down[:, [1]] * -1.0
    forward /= np.linalg.norm(forward, axis=1, keepdims=True)
    up = np.cross(forward, down)
    s = 1.0 if panel.side == "left" else -1.0
    up *= np.sign(up[:, [0]] * s)
    way = np.cos(round_arm)[:, None] * up + np.sin(round_arm)[:, None] * forward
    off = _outwards(stance, axis, way, 0.0 * x)
    r = np.clip(off, radius, 1.3 * radius)
    found: Array = axis + r[:, None] * way
    return found


def _attached(panel: Panel, vertices: Whole, x: Array, known: np.typing.NDArray[np.bool_]) -> None:
    """A panel that hangs on others: each vertex from the nearest sewn one, straight up or down."""
    sewn = np.flatnonzero(known[vertices])
    seam = panel.points[sewn]
    off = np.abs(panel.points[:, None] - seam[None]).sum(axis=2)
    near = sewn[np.argmin(off, axis=1)]
    rise = panel.points[:, 1] - panel.points[near, 1]
    at = x[vertices[near]].copy()
    at[:, 2] += rise
    fresh = ~known[vertices]
    x[vertices[fresh]] = at[fresh]
