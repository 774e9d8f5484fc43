"""A hung garment looked at from a side: what is foremost at each point, and what can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.pictures.raster import Flags, Kinds, lit, raster, spread, torn
from pinwright.drape.surfaces import normals
from pinwright.figure.shadow import Side, flat

NOTHING, BODY, WRONG, CLOTH = range(4)
"""What is foremost at a point of a picture."""

LIFT = 0.4
"""The body counts as lying so much deeper, cm: coarse triangles of it would come through cloth."""

ROOM = 0.6
"""What lies no further behind the foremost, cm, is still seen; see LIFT."""

STEP = 0.25
"""Lines are looked at every so many cm."""

JUMP = 0.8
"""From one point of the picture to the next cloth is not one surface where it jumps so far, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """Where a picture of a side lies: left and top, cm of the picture; points of it to the cm."""

    left: float
    top: float
    wide: int
    high: int
    per_cm: float

    def places(self, points: Array) -> Array:
        """Points (n, 3) of the picture in cm as points across and down, and cm towards the eye."""
        found = points.copy()
        found[:, 0] = (points[:, 0] - self.left) * self.per_cm
        found[:, 1] = (self.top - points[:, 1]) * self.per_cm
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """What is foremost at each point of a picture (high, wide).

    which: the triangle, those of the cloth (m, 3) after those of the body, from ``first`` on;
    shares: of its second and third corner. kind: 0 nothing, 1 body, 2 the cloth's wrong side, 3 its
    right side. light: 0 to 1. near: cm towards the eye. torn: points of the cloth beside which it
    is no longer the same surface.
    """

    side: Side
    frame: Frame
    triangles: Whole
    first: int
    which: Whole
    shares: Array
    kind: Kinds
    light: Array
    near: Array
    torn: Flags

    @property
    def cloth(self) -> Flags:
        """Where the cloth's right side is foremost."""
        found: Flags = self.kind == CLOTH
        return found

    def sampled(self, values: Array) -> Array:
        """Values (n,) of the cloth's vertices over the picture; not numbers where it is not."""
        found = spread(values, self.triangles, self.which, self.shares, self.first)
        found[self.kind != CLOTH] = np.nan
        return found

    def seen(self, points: Array) -> Flags:
        """Whether points (m, 3) of her, cm, are not hidden from this side."""
        found: Flags = self.visible(flat(points, self.side))
        return found

    def visible(self, points: Array) -> Flags:
        """The same of points (m, 3) of the picture."""
        at = self.frame.places(points)
        j = np.floor(at[:, 0]).astype(int)
        i = np.floor(at[:, 1]).astype(int)
        within = (i >= 0) & (j >= 0) & (i < self.frame.high) & (j < self.frame.wide)
        found = np.ones(len(points), dtype=bool)
        found[within] = points[within, 2] > self.near[i[within], j[within]] - ROOM
        return found

    def stretches(self, points: Array) -> list[Array]:
        """What is seen of a line (k, 3) cm of her: lines (m, 2) of the picture."""
        fine = densified(flat(points, self.side), STEP)
        seen = self.visible(fine)
        return [fine[a:b, :2] for a, b in runs(seen) if b - a > 1]


def densified(points: Array, step: float) -> Array:
    """A line (k, d) with points so close that none is further than ``step`` from the next."""
    long = np.linalg.norm(np.diff(points, axis=0), axis=1)
    parts = np.maximum(1, np.ceil(long / step)).astype(int)
    at = np.concatenate([np.arange(n) / n + i for i, n in enumerate(parts)] + [[len(long)]])
    return np.stack(
        [np.interp(at, np.arange(len(points)), points[:, k]) for k in range(points.shape[1])],
        axis=1,
    )


def runs(flags: Flags) -> list[tuple[int, int]]:
    """The stretches, from and to before, over which flags (n,) hold."""
    edge = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return list(zip(edge[::2].tolist(), edge[1::2].tolist(), strict=True))


def outwards(hung: Hung) -> Whole:
    """The cloth's triangles (m, 3), anticlockwise seen from where the body is not."""
    triangles = hung.shell.triangles
    out = normals(hung.body.points, hung.body.triangles)
    _, nearest = cKDTree(hung.body.points).query(hung.points)
    agree = (normals(hung.points, triangles) * out[nearest]).sum()
    return triangles if agree >= 0.0 else triangles[:, ::-1].copy()


def frames(hung: Hung, sides: Sequence[Side], per_cm: float, room: float = 1.0) -> list[Frame]:
    """A frame for each side, all of one height with the floor at 0, ``room`` cm round the body."""
    both = np.concatenate([hung.body.points, hung.points])
    top = float(both[:, 2].max()) + room
    foot = min(0.0, float(both[:, 2].min())) - room
    high = int(np.ceil((top - foot) * per_cm))
    found = []
    for side in sides:
        x = flat(both, side)[:, 0]
        left = float(x.min()) - room
        wide = int(np.ceil((float(x.max()) + room - left) * per_cm))
        found.append(Frame(left, top, wide, high, per_cm))
    return found


def looked(hung: Hung, side: Side, frame: Frame, turned: Whole | None = None) -> Looked:
    """Look at a hung garment from a side. turned: see :func:`outwards`, if it is known."""
    cloth = outwards(hung) if turned is None else turned
    b, first = len(hung.body.points), len(hung.body.triangles)
    points = flat(np.concatenate([hung.body.points, hung.points]), side)
    triangles = np.concatenate([hung.body.triangles, cloth + b])
    back = np.zeros(len(triangles))
    back[:first] = LIFT
    which, two, near = raster(frame.places(points), triangles, back, frame.wide, frame.high)
    p = points[triangles]
    u, v = p[:, 1, :2] - p[:, 0, :2], p[:, 2, :2] - p[:, 0, :2]
    right = (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] > 0.0) | (np.arange(len(triangles)) < first)
    kinds = np.where(np.arange(len(triangles)) < first, BODY, np.where(right, CLOTH, WRONG))
    kind = np.append(kinds, NOTHING).astype(np.int8)[which]
    out = [
        normals(hung.body.points, hung.body.triangles),
        normals(hung.points, cloth),
    ]
    light = lit(flat(np.concatenate(out), side), triangles, which, two, np.where(right, 1, -1))
    gone = torn(near, kind == CLOTH, JUMP)
    return Looked(side, frame, cloth, first, which, two, kind, light, near, gone)
