"""The lines inside the outline: where the surface turns away and nothing hides it.

They are the smooth zero set of the normal's part towards the eye (Hertzmann & Zorin 2000,
"Illustrating smooth surfaces", SIGGRAPH 2000). Seen level, the jaw, the bust and the seat of most
figures turn under without turning away; there the line is the crease, where the surface looks down
most (:func:`_crease`). The face, the points of the bust, the private parts and the toes are left
plain.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole
from pinwright.figure.landmarks import Landmarks
from pinwright.figure.shadow import FLAT, Lying, Side, flat
from pinwright.figure.surface import evened, normals

Flags = NDArray[np.bool_]
Line = tuple[Whole, Whole, Array]
"""Points on edges of the mesh: from the one vertex (m,), to the other (m,), share of the way."""

BEFORE = 2.2
"""What lies so much nearer to the eye hides a line, cm: less is the roundness of the limb that
the line itself belongs to."""

INSIDE = 0.8
"""What of a line keeps nearer to the outline, cm, says nothing that the outline does not."""

GAP = 2.5
"""A line that is hidden for less, cm, is drawn through."""

SHORTEST = 3.5
"""A line of which less says something, cm, is left out."""

PLAIN = 4.0
"""So near a bust point or the fork nothing turns away that is drawn, cm."""

CLEFT = 4.5
"""So near the middle the crease of the seat is left out, cm."""

EVENED = 2
"""How often normals are evened over their neighbours, so that lines do not follow the mesh."""

FACE = 0.27
"""The face begins so far up from the larynx to the top of the head: over the chin."""

STEP = 0.4
"""A crease is looked for in columns and rows so far apart, cm."""

JUMP = 1.2
"""From one column to the next a crease moves no further, cm."""

STIFF = 100.0
"""How much a crease would rather be straight than pass every place where it was found."""


class Fold(NamedTuple):
    """Where a crease is looked for: columns from and to, heights from and to, cm in the picture.

    steep: it is drawn where the normal's part downwards is more than this.
    """

    left: float
    right: float
    low: float
    high: float
    steep: float


def turning(
    points: Array,
    faces: Whole,
    corners: Whole,
    body: Lying,
    outline: shapely.Polygon,
    marks: Landmarks,
    side: Side,
) -> tuple[Array, ...]:
    """The lines (m, 2) inside the outline, cm in the picture.

    points: the surface (n, 3), its faces (f, 4), the same as triangles (t, 3), and as it lies.
    """
    out = evened(normals(points, faces), faces, EVENED)
    out = flat(out / np.linalg.norm(out, axis=1, keepdims=True), side)
    convex = _rise(body.points, corners, out[:, 2], np.array([0.0, 0.0, 1.0]) - out * out[:, 2:])
    runs: list[Array] = []
    for line in _zero(out[:, 2], corners):
        at = _along(body.points, line)
        shown = _bare(_along(points, line), marks) & (_along(convex, line) > 0.0)
        shown[shown] = ~body.hidden(at[shown], BEFORE)
        runs += _drawn(at[:, :2], shown)
    rim = shapely.boundary(outline)
    shapely.prepare(rim)
    for fold in folds(marks, side):
        crease = _crease(body, out[:, 1], fold)
        runs.append(crease[shapely.distance(shapely.points(crease), rim) > INSIDE])
    return tuple(_smooth(r) for r in runs if _apart(r, rim) > SHORTEST)


def folds(marks: Landmarks, side: Side) -> tuple[Fold, ...]:
    """What turns under on a side: jaw and bust in front, the seat behind."""
    levels = marks.levels
    throat = float(marks["larynx"][2])
    if side == "back":
        low, high = levels["fork"] - 5.0, levels["hip"]
        wide = float(marks["side_hip_left"][0]) - 2.0
        return (Fold(-wide, -CLEFT, low, high, 0.42), Fold(CLEFT, wide, low, high, 0.42))
    if side == "front":
        low, high = levels["under_bust"] - 5.0, levels["bust"]
        wide = float(marks["armpit_left"][0]) + 3.0
        return (
            Fold(-6.0, 6.0, throat - 2.0, _face(marks), 0.35),
            Fold(-wide, -1.0, low, high, 0.4),
            Fold(1.0, wide, low, high, 0.4),
        )
    return ()


def _bare(at: Array, marks: Landmarks) -> Flags:
    """Points (m, 3) where what turns away is drawn: not on face, feet or what is left plain."""
    feet = min(marks.levels["ankle_left"], marks.levels["ankle_right"])
    found: Flags = (at[:, 2] < _face(marks)) & (at[:, 2] > feet)
    for name in ("bust_point_left", "bust_point_right", "fork"):
        found &= np.linalg.norm(at - marks[name], axis=1) > PLAIN
    return found


def _face(marks: Landmarks) -> float:
    """The height from which the head is left plain, cm."""
    larynx = float(marks["larynx"][2])
    return larynx + FACE * (marks.levels["top"] - larynx)


def _crease(body: Lying, up: Array, fold: Fold) -> Array:
    """The line (m, 2) where the foremost surface looks down most, column by column; or no point.

    up: the normal's part upwards at the vertices (n,). Smoothed with weights after Whittaker 1923,
    "On a new method of graduation" (second differences).
    """
    x, z = np.arange(fold.left, fold.right, STEP), np.arange(fold.low, fold.high, STEP)
    at = np.stack(np.meshgrid(x, z, indexing="ij"), axis=-1)
    corners, shares = body.foremost(at.reshape(-1, 2))
    down = np.nan_to_num(-(up[corners] * shares).sum(axis=1), nan=-1.0).reshape(len(x), len(z))
    most, height = down.max(axis=1), z[down.argmax(axis=1)]
    broken = np.flatnonzero(np.abs(np.diff(height)) > JUMP) + 1
    best = np.array([], dtype=np.int64)
    for part in np.split(np.arange(len(x)), broken):
        steep = part[most[part] > fold.steep]
        best = steep if len(steep) > len(best) else best
    if len(best) < 3:
        return np.zeros((0, 2))
    bend = np.diff(np.eye(len(best)), 2, axis=0)
    weight = np.diag(most[best])
    even = np.linalg.solve(weight + STIFF * bend.T @ bend, weight @ height[best])
    return np.stack([x[best], even], axis=1)


def _zero(values: Array, corners: Whole) -> list[Line]:
    """Where values (n,) at the vertices pass 0 on the triangles (t, 3)."""
    n = len(values)
    above = values > 0.0
    count = above[corners].sum(axis=1)
    crossed = corners[(count > 0) & (count < 3)]
    ends = np.sort(crossed[:, [[0, 1], [1, 2], [2, 0]]], axis=2)
    pairs = ends[above[ends[..., 0]] != above[ends[..., 1]]]
    keys, number = np.unique(pairs[:, 0] * n + pairs[:, 1], return_inverse=True)
    a, c = keys // n, keys % n
    share = values[a] / (values[a] - values[c])
    # joined by the numbers of the points, for in the picture left and right may lie on each other
    steps = np.stack([number.reshape(-1, 2), np.zeros((len(pairs) // 2, 2))], axis=-1)
    joined = shapely.line_merge(shapely.multilinestrings(shapely.linestrings(steps)))
    runs = [shapely.get_coordinates(g)[:, 0].astype(np.int64) for g in shapely.get_parts(joined)]
    return [(a[i], c[i], share[i]) for i in runs]


def _along(values: Array, line: Line) -> Array:
    """Values (n, ...) of the vertices at the points of a line (m, ...)."""
    a, c, share = line
    way = share.reshape(-1, *[1] * (values.ndim - 1))
    found: Array = values[a] + way * (values[c] - values[a])
    return found


def _rise(points: Array, corners: Whole, values: Array, along: Array) -> Array:
    """How values (n,) grow along directions (n, 3) on the surface, at its vertices.

    The mean of the slopes on the triangles round a vertex, each by its area.
    """
    a, b, c = np.moveaxis(points[corners], 1, 0)
    across = np.cross(b - a, c - a)
    size = np.linalg.norm(across, axis=1, keepdims=True)
    up = across / np.where(size > 0.0, size, 1.0)
    at = values[corners]
    slope = at[:, :1] * np.cross(up, c - b)
    slope += at[:, 1:2] * np.cross(up, a - c)
    slope += at[:, 2:] * np.cross(up, b - a)
    # slope is so far the gradient times twice the area, and the area is its weight
    found = np.zeros(len(points))
    for k in range(3):
        whole = np.bincount(corners.ravel(), np.repeat(slope[:, k], 3), minlength=len(points))
        found += whole * along[:, k]
    return found


def _drawn(at: Array, shown: Flags) -> list[Array]:
    """The stretches (m, 2) of a line that are shown; what is hidden briefly is drawn through."""
    if shown.all() or not shown.any():
        return [at] if shown.all() else []
    if bool((at[0] == at[-1]).all()):
        # a closed line is opened where the longest stretch of it is hidden
        where = np.flatnonzero(shown[:-1])
        way = _way(at)
        gaps = np.diff(way[where], append=way[where[0]] + way[-1])
        start = int(where[np.argmax(gaps)]) + 1
        at, shown = np.roll(at[:-1], -start, axis=0), np.roll(shown[:-1], -start)
    way = _way(at)
    where = np.flatnonzero(shown)
    breaks = np.flatnonzero((np.diff(where) > 1) & (np.diff(way[where]) > GAP)) + 1
    return [at[part[0] : part[-1] + 1] for part in np.split(where, breaks) if len(part) > 1]


def _way(line: Array) -> Array:
    """How far each point of a line lies along it, (m,)."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def _apart(line: Array, rim: shapely.Geometry) -> float:
    """How much of a line keeps clear of the outline, cm; see :data:`INSIDE`."""
    clear = shapely.distance(shapely.points(line), rim) > INSIDE
    return float(np.diff(_way(line))[clear[:-1] & clear[1:]].sum()) if len(line) else 0.0


def _smooth(line: Array) -> Array:
    """A line evened over its neighbours, its ends kept, and thinned to :data:`FLAT`."""
    for _ in range(2):
        mean = (line[:-2] + 2.0 * line[1:-1] + line[2:]) / 4.0
        line = np.concatenate([line[:1], mean, line[-1:]])
    found: Array = shapely.get_coordinates(shapely.LineString(line).simplify(FLAT))
    return found
