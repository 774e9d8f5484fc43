"""Folds as a cutter reads them: where from, where to, how long and deep, and what they point to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.reading.nearest import Nearest
from pinwright.drape.reading.regions import runs_of
from pinwright.drape.reading.ridges import Ridge, ridges
from pinwright.drape.reading.words import LEVELS, LINES, mark, sided

View = Literal["front", "back", "right", "left", "inside"]
Way = Literal["horizontal", "vertical", "diagonal"]

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

HOOK, RUN = 1.0, 8.0
"""Where a fold runs at its end is seen between so near to it and so far, cm: it may hook there."""

AT = 5.0
"""An end that lies so near a named place (cm) is at it."""

TO_HEM = 5.0
"""A vertical fold whose lower end lies so near the hem (cm) is a flare of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Fold:
    """One fold.

    kind: "fold", or "hem flare" of one that runs out at the hem. view: from where it is seen;
    "inside": between the legs, or under an arm.
    start, end: (3,) cm, the lower end first (of a horizontal one that nearer the middle); at: the
    nearest named places there, in words; towards: what its end ("" nothing) points to, for both
    ends. angle: degrees from level as seen, positive where it rises away from the middle of the
    front or back (of a side: to the front). line: (k, 3) cm.
    """

    kind: Literal["fold", "hem flare"]
    view: View
    side: str
    way: Way
    angle: float
    length: float
    depth: float
    start: Array
    end: Array
    at: tuple[str, str]
    towards: tuple[str, str]
    line: Array

    @property
    def says(self) -> str:
        """The fold in a sentence."""
        run = "" if self.at[0] == self.at[1] else f" from {self.at[0]} to {self.at[1]}"
        where = run or (f" at {self.at[0]}" if self.at[0] else "")
        aim = " and ".join(dict.fromkeys(t for t in self.towards if t))
        points = f", points to {aim}" if aim else ""
        tilt = f" ({abs(self.angle):.0f}° off level)" if self.way == "diagonal" else ""
        return (
            f"{self.way} {self.kind}{tilt} on the {sided(self.view, self.side)}{where}{points}: "
            f"{self.length:.0f} cm long, {self.depth:.1f} deep"
        )


def named(hung: Hung, landmarks: Mapping[str, Array]) -> dict[str, Array]:
    """Places by their words: the figure's landmarks, and where balance lines meet seams."""
    found = {_of(*mark(k)): np.asarray(p, dtype=float) for k, p in landmarks.items()}
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        p = hung.points[vertices]
        side = panel.edges.get("side")
        middle = next(
            (
                panel.edges[e]
                for e in ("centre", "centre_front", "seat", "front_edge")
                if e in panel.edges
            ),
            None,
        )
        for line in LEVELS:
            at = panel.lines.get(line)
            if at is None or not len(at):
                continue
            level = LINES[line].removesuffix(" level")
            if side is not None and panel.home == "front":
                found[_of(f"side seam at the {level}", panel.side)] = p[
                    _meet(panel.points, at, np.concatenate(side))
                ]
            if middle is not None and panel.home in ("front", "back"):
                found[f"centre {panel.home} at the {level}"] = p[
                    _meet(panel.points, at, np.concatenate(middle))
                ]
        if "hem" in panel.edges and panel.home == "front" and side is not None:
            run = runs_of(panel, "side")
            low = run[int(np.argmin(panel.points[run, 1]))]
            found[_of("side seam at the hem", panel.side)] = p[low]
    return found


def _of(place: str, side: str) -> str:
    """ "left bust point", or a place on the middle line."""
    return f"the {side} {place}" if side else f"the {place}"


def _meet(points: Array, line: Whole, edge: Whole) -> int:
    """The vertex of a line that lies nearest to an edge."""
    apart = np.linalg.norm(points[line][:, None] - points[edge][None], axis=2).min(axis=1)
    return int(line[int(np.argmin(apart))])


def folds(
    hung: Hung, near: Nearest, places: Mapping[str, Array], most: int = MOST
) -> tuple[Fold, ...]:
    """The folds of a hung garment, the most telling (deep and long) first.

    near: the body's nearest points to the vertices; places: words -> point, see :func:`named`.
    """
    hem = _hem(hung)
    told = sorted(ridges(hung, near), key=lambda r: -r.most * np.sqrt(r.length))
    return tuple(_read(r, places, hem) for r in told[:most])


def _hem(hung: Hung) -> Array:
    """The points of the hems (k, 3)."""
    found = [
        hung.points[vertices[runs_of(panel, "hem")]]
        for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True)
        if "hem" in panel.edges
    ]
    return np.concatenate(found) if found else np.zeros((0, 3))


def _read(ridge: Ridge, places: Mapping[str, Array], hem: Array) -> Fold:
    """One ridge in words."""
    facing = ridge.normal.mean(axis=0)
    view: View = max(FACING, key=lambda v: float(facing @ np.array(FACING[v][0])))
    line = ridge.points
    inner = view in ("right", "left") and float(facing[0] * line[:, 0].mean()) < 0.0
    right = np.array(FACING[view][1])
    # its run as a whole: an end may hook round where the fold dies
    seen = np.stack([line @ right, line[:, 2]], axis=1)
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
        view, side = "inside", "left" if float(line[:, 0].mean()) > 0.0 else "right"
    low = start if start[2] <= end[2] else end
    flares = (
        angle > UPRIGHT - 10.0
        and len(hem) > 0
        and float(np.linalg.norm(hem - low, axis=1).min()) < TO_HEM
    )
    return Fold(
        kind="hem flare" if flares else "fold",
        view=view,
        side=side,
        way=way,
        angle=sign * angle,
        length=ridge.length,
        depth=ridge.most,
        start=start,
        end=end,
        at=(_nearest(start, places), _nearest(end, places)),
        towards=(_beyond(line[::-1], facing, places), _beyond(line, facing, places)),
        line=line,
    )


def _of_side(spot: Array, places: Mapping[str, Array]) -> Mapping[str, Array]:
    """The places that lie on a point's own side of the figure, or near its middle."""
    x = float(spot[0])
    return {k: p for k, p in places.items() if x * p[0] >= 0.0 or min(abs(x), abs(p[0])) < MIDDLE}


def _nearest(spot: Array, places: Mapping[str, Array]) -> str:
    """The named place nearest to a point, in words; with "near" where it is not at it."""
    places = _of_side(spot, places)
    if not places:
        return ""
    name = min(places, key=lambda k: float(np.linalg.norm(places[k] - spot)))
    step = spot - places[name]
    apart = float(np.linalg.norm(step))
    if apart < AT:
        return name
    over = "above" if step[2] > 0.0 else "below"
    return f"{apart:.0f} cm {over} {name}" if abs(step[2]) > 0.7 * apart else f"near {name}"


def _beyond(line: Array, facing: Array, places: Mapping[str, Array]) -> str:
    """What a line points to beyond its last point and what it ends at; "" nothing."""
    aim = _aim(line, facing, places)
    return "" if aim == _nearest(line[-1], places) else aim


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
