"""Folds as a cutter reads them: where from, where to, how long and deep, and what they point to."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Hung, Side
from pinwright.drape.reading.cloth import SLEEVE
from pinwright.drape.reading.fold import Fold, Spot, View, Way
from pinwright.drape.reading.nearest import Nearest
from pinwright.drape.reading.regions import runs_of
from pinwright.drape.reading.ridges import Ridge, ridges

Flags = NDArray[np.bool_]

FACING: Mapping[View, tuple[tuple[float, float, float], tuple[float, float, float]]] = {
    "front": ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0)),
    "back": ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0)),
    "right": ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
    "left": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
}
"""View -> the way the cloth faces there, and the way to the right of one who looks at it."""

LEVEL, UPRIGHT = 20.0, 70.0
"""Degrees: a fold under the one is told as horizontal, over the other as vertical."""

MOST = 12
"""So many folds are told."""

POINTS = 25.0
"""A fold points at most so far beyond its end, cm."""

BESIDE = (2.5, 0.15)
"""It points to what lies beside its run by less than this, cm, and this part of the way on."""

MIDDLE = 3.0
"""What lies so near the middle of the figure, cm, is on both its sides."""

ACROSS = 1.0
"""A fold that goes so far over the middle of the figure, cm, is on both its sides."""

HOOK, RUN = 1.0, 8.0
"""Where a fold runs at its end is seen between so near to it and so far, cm: it may hook there."""

PULLED = 4.0
"""So far about an end of a fold (cm) it is seen whether cloth is stretched there."""

AT = 5.0
"""An end that lies so near a named place (cm) is at it."""

ARM, ON_SLEEVE = ("elbow", "wrist"), ("elbow", "wrist", "shoulder point", "armhole", "underarm")
"""What only folds of a sleeve speak of, and all that they speak of."""

OFF = 5.0
"""A fold does not speak of what lies so far over or under all of the cloth, cm."""

TO_HEM = 5.0
"""A vertical fold whose lower end lies so near the hem (cm) is a flare of it."""


def folds(
    hung: Hung,
    near: Nearest,
    places: Mapping[str, Array],
    stretch: Array | None = None,
    most: int = MOST,
) -> tuple[Fold, ...]:
    """The folds of a hung garment, the most telling (deep and long) first.

    near: the body's nearest points to the vertices; places: words -> point, see
    :func:`~pinwright.drape.reading.named.named`; stretch: (n,) of the cloth, as a fraction.
    """
    told = sorted(ridges(hung, near), key=lambda r: -r.most * np.sqrt(r.length))[:most]
    if not told:
        return ()
    cloth = _Cloth(hung, np.zeros(hung.shell.n) if stretch is None else stretch)
    return tuple(_read(r, places, cloth) for r in told)


class _Cloth:
    """What is asked of the cloth about a fold: whose panel, how far stretched, how near the hem."""

    def __init__(self, hung: Hung, stretch: Array) -> None:
        self.tree, self.stretch = cKDTree(hung.points), stretch
        self.panels = hung.shell.panels
        self.of = np.zeros(hung.shell.n, np.int64)
        self.on: dict[Side, Flags] = {s: np.zeros(hung.shell.n, bool) for s in ("right", "left")}
        self.low, self.high = float(hung.points[:, 2].min()), float(hung.points[:, 2].max())
        arms: dict[Side, list[Array]] = {}
        hems = []
        for k, (panel, vertices) in enumerate(zip(self.panels, hung.shell.vertices, strict=True)):
            self.of[vertices] = k
            self.on[panel.side][vertices] = True
            if "hem" in panel.edges:
                hems.append(hung.points[vertices[runs_of(panel, "hem")]])
            if panel.home == SLEEVE:
                arms.setdefault(panel.side, []).append(hung.points[vertices])
        self.hem = np.concatenate(hems) if hems else np.zeros((0, 3))
        self.arm = {side: _upwards(np.concatenate(p)) for side, p in arms.items()}

    def panel(self, line: Array) -> tuple[str, Side]:
        """Where most of a line (k, 3) is at home, and on which side."""
        _, near = self.tree.query(line)
        p = self.panels[int(np.bincount(self.of[near]).argmax())]
        return p.home, p.side

    def other(self, line: Array, of: Side) -> Side | None:
        """The other side of the figure than that whose cloth a line (k, 3) lies on; None where it
        runs on over that side's cloth, not only where legs touch in the middle."""
        other: Side = "left" if of == "right" else "right"
        _, near = self.tree.query(line)
        beyond = (line[:, 0] > ACROSS) if other == "left" else (line[:, 0] < -ACROSS)
        return None if (self.on[other][near] & beyond).any() else other

    def spoken_of(
        self, places: Mapping[str, Array], home: str, other: Side | None
    ) -> Mapping[str, Array]:
        """Of named places those that a fold there is told by: never one of the other side, for
        between the legs its seam lies near and is none of this cloth."""

        def fits(name: str, z: float) -> bool:
            if other is not None and other in name.split():
                return False
            if not self.low - OFF < z < self.high + OFF:
                return False
            if home == SLEEVE:
                return any(w in name for w in ON_SLEEVE)
            return not any(w in name for w in ARM)

        return {k: p for k, p in places.items() if fits(k, float(p[2]))}

    def pulled(self, spot: Array) -> float:
        """How far the cloth is stretched about a point (3,)."""
        near = self.tree.query_ball_point(spot, PULLED)
        return float(self.stretch[near].mean()) if near else 0.0

    def off_hem(self, spot: Array) -> float:
        """How far off a hem a point (3,) lies, cm."""
        if not len(self.hem):
            return np.inf
        return float(np.linalg.norm(self.hem - spot, axis=1).min())


def _upwards(points: Array) -> Array:
    """The unit vector along the longest way of points (k, 3), upwards."""
    way: Array = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2][0]
    return way if way[2] >= 0.0 else -way


def _read(ridge: Ridge, places: Mapping[str, Array], cloth: _Cloth) -> Fold:
    """One ridge in words."""
    home, of = cloth.panel(ridge.points)
    places = cloth.spoken_of(places, home, cloth.other(ridge.points, of))
    facing = ridge.normal.mean(axis=0)
    view: View = max(FACING, key=lambda v: float(facing @ np.array(FACING[v][0])))
    line = ridge.points
    # where legs touch in the middle it is on the leg whose cloth it is
    out = float(line[:, 0].mean())
    if abs(out) < ACROSS:
        out = 1.0 if of == "left" else -1.0
    inner = view in ("right", "left") and float(facing[0]) * out < 0.0
    up = cloth.arm[of] if home == SLEEVE else np.array([0.0, 0.0, 1.0])
    right = np.array(FACING[view][1])
    right -= (right @ up) * up
    # its run as a whole: an end may hook round where the fold dies
    seen = np.stack([line @ right, line @ up], axis=1)
    spread = np.linalg.svd(seen - seen.mean(axis=0), full_matrices=False)[2][0]
    angle = float(np.degrees(np.arctan2(abs(spread[1]), abs(spread[0]))))
    way: Way = "horizontal" if angle < LEVEL else "vertical" if angle > UPRIGHT else "diagonal"
    level = way == "horizontal"
    turn = abs(line[0, 0]) > abs(line[-1, 0]) if level else line[-1, 2] < line[0, 2]
    if turn:
        line = line[::-1]
    start, end = line[0], line[-1]
    if view in ("front", "back"):
        outer = abs(end[0]) - abs(start[0])
        sign = 1.0 if (end[2] - start[2]) * outer >= 0.0 else -1.0
        middle = float(line[:, 0].mean())
        crosses = start[0] * end[0] < 0.0 and min(abs(start[0]), abs(end[0])) > 1.0
        side = "" if abs(middle) < 1.0 or crosses else "left" if middle > 0.0 else "right"
    else:
        sign = 1.0 if (end[2] - start[2]) * (start[1] - end[1]) >= 0.0 else -1.0
        side = ""
    if inner:
        view, side = "inside", "left" if out > 0.0 else "right"
    if home == SLEEVE:
        side = of
    low = start if start[2] <= end[2] else end
    flares = angle > UPRIGHT - 10.0 and cloth.off_hem(low) < TO_HEM
    return Fold(
        kind="hem flare" if flares else "fold",
        home=home,
        view=view,
        side=side,
        way=way,
        angle=sign * angle,
        length=ridge.length,
        depth=ridge.most,
        start=start,
        end=end,
        ends=(_spot(start, places), _spot(end, places)),
        middle=_spot(line[len(line) // 2], places),
        towards=(_beyond(line[::-1], facing, places), _beyond(line, facing, places)),
        pulled=(cloth.pulled(start), cloth.pulled(end)),
        line=line,
    )


def _of_side(spot: Array, places: Mapping[str, Array]) -> Mapping[str, Array]:
    """The places that lie on a point's own side of the figure, or near its middle."""
    x = float(spot[0])
    return {k: p for k, p in places.items() if x * p[0] >= 0.0 or min(abs(x), abs(p[0])) < MIDDLE}


def _spot(at: Array, places: Mapping[str, Array]) -> Spot:
    """A point by the named place nearest to it."""
    places = _of_side(at, places)
    if not places:
        return Spot()
    name = min(places, key=lambda k: float(np.linalg.norm(places[k] - at)))
    step = at - places[name]
    apart = float(np.linalg.norm(step))
    if apart < AT:
        return Spot(name, apart)
    steep = abs(step[2]) > 0.7 * apart
    return Spot(name, apart, "near" if not steep else "above" if step[2] > 0.0 else "below")


def _beyond(line: Array, facing: Array, places: Mapping[str, Array]) -> str:
    """What a line points to beyond its last point and what it ends at; "" nothing."""
    aim, end = _aim(line, facing, places), _spot(line[-1], places)
    return "" if end.lies == "at" and aim == end.name else aim


def _aim(line: Array, facing: Array, places: Mapping[str, Array]) -> str:
    """What a line points to beyond its last point, as seen from where the cloth faces; "" nothing.

    Of several places it is that which lies least beside its run, as a part of the way to it.
    """
    far = np.linalg.norm(line - line[-1], axis=1)
    some = line[(far > HOOK) & (far < RUN)]
    if len(some) < 3:
        some = line
    look = facing / max(float(np.linalg.norm(facing)), 1e-12)
    some = some - (some @ look)[:, None] * look
    middle = some.mean(axis=0)
    way = np.linalg.svd(some - middle, full_matrices=False)[2][0]
    way = way * np.sign(float((some[-1] - some[0]) @ way))
    size = float(np.linalg.norm(way))
    if size < 1e-6:
        return ""
    way /= size
    best, name = np.inf, ""
    for word, spot in _of_side(line[-1], places).items():
        step = spot - line[-1]
        if abs(float(step @ look)) > 10.0:
            continue
        step = step - (step @ look) * look
        on = float(step @ way)
        beside = spot - middle
        beside = beside - (beside @ look) * look
        off = float(np.linalg.norm(beside - (beside @ way) * way))
        if -1.0 < on < POINTS and off < BESIDE[0] + BESIDE[1] * max(on, 0.0):
            score = off + 0.2 * abs(on)
            if score < best:
                best, name = score, word
    return name
