"""How a garment hangs against floor and plumb line: hems, balance lines, seams, creases, grain.

Front, back and the two sides of a line are where it lies foremost, hindmost and farthest to either
side of its middle, each within ``SECTOR`` degrees. What was planned is read from the flat pieces,
whose heights belong together: a line that hangs as drafted lies as high on the body as on the
draft, but for one amount that is the same all round.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pinwright.drape.data import Array, Hung, Panel, Side, Whole
from pinwright.drape.reading.cloth import SLEEVE
from pinwright.drape.reading.regions import runs_of
from pinwright.drape.reading.section import Loop, section
from pinwright.drape.reading.strain import Strain
from pinwright.drape.reading.words import LEVELS, LINES, sided

SECTOR = 30.0
"""So far (degrees) to either side of front, back or side a line counts as there."""

FOOT = 9.0
"""So high over the floor, cm, the leg ends and the foot begins."""

INSTEP = 3.0
"""So high over the floor, cm, a foot is looked at."""

SOLE = 2.0
"""So high over the floor, cm, a foot is looked at for where it points."""

LONG = 1.5
"""A foot is longer than broad by more than this."""

LEG = 15.0
"""A line round a leg, or the cloth about it, is longer, cm."""

OVER_HEM = 0.5
"""So high over the end of a seam, cm, the leg of cloth still closes though its hem is not level."""

STEPS = 8
"""At so many levels between hem and knee the room about the leg is looked at."""

OUT: Mapping[Side, float] = {"right": -1.0, "left": 1.0}
"""The way of x outwards from the middle, at each side."""

Where = Literal["front", "back", "right", "left"]

WAYS: Mapping[Where, tuple[float, float]] = {
    "front": (0.0, -1.0),
    "back": (0.0, 1.0),
    "right": (-1.0, 0.0),
    "left": (1.0, 0.0),
}


@dataclass(frozen=True, slots=True)
class Level:
    """A line that should lie level, cm over the floor.

    name: "hem", or a balance line; side: "" round the trunk, else the leg or the arm. heights:
    mean height at front, back, right, left (of a leg the outer side is that of its own name).
    lowest, highest: of the whole line. off: (where) -> how much higher than planned it hangs there
    than the line does in the mean. lift: how much higher it hangs in the mean than it is drawn; two
    that are drawn from the same place are as much apart as these differ. A sleeve's is drawn down
    from the shoulder tip of its side.
    """

    name: str
    side: str
    heights: Mapping[Where, float]
    lowest: float
    highest: float
    off: Mapping[Where, float]
    lift: float = 0.0

    @property
    def title(self) -> str:
        """The line with its side."""
        return sided(self.name, self.side)

    @property
    def within(self) -> float:
        """The height from its lowest to its highest place, cm."""
        return self.highest - self.lowest

    @property
    def uneven(self) -> float:
        """The most by which its parts hang otherwise to each other than planned, cm."""
        return max(self.off.values()) - min(self.off.values()) if self.off else 0.0


@dataclass(frozen=True, slots=True)
class Plumb:
    """A line that should hang plumb, by how far it is off a plumb line held to its upper end, cm.

    at: level -> off there; what: "side seam" (positive: it swings to the back) or "front crease",
    "back crease" (positive: it leans outwards). knee, foot: of a crease, how far outwards it lies
    from the middle of the leg at the knee and just over the foot; None of a seam, or where there is
    no leg to see. beside: of a side seam of trousers, how far behind the middle of the leg of cloth
    it lies at the hem, seen square to the foot; forwards, backwards: how far the hem could come
    there before the cloth meets the leg; None where there is none to see.
    """

    what: str
    side: Side
    top: str
    at: Mapping[str, float]
    knee: float | None = None
    foot: float | None = None
    beside: float | None = None
    forwards: float | None = None
    backwards: float | None = None

    @property
    def title(self) -> str:
        """The line with its side."""
        return sided(self.what, self.side)

    @property
    def words(self) -> tuple[str, str]:
        """What to say when it is off to the plus, and to the minus."""
        return (
            ("swings to the back", "swings to the front")
            if self.what == "side seam"
            else ("leans outwards", "leans inwards")
        )


@dataclass(frozen=True, slots=True)
class Grain:
    """How the warp hangs at a middle line: degrees off plumb as seen from there.

    sideways: positive where it leans outwards going down; away: positive where it stands away from
    the body going down.
    """

    what: str
    side: Side
    sideways: float
    away: float


@dataclass(frozen=True, slots=True)
class Levels:
    """All levels and plumbs of a garment."""

    hems: tuple[Level, ...]
    lines: tuple[Level, ...]
    seams: tuple[Plumb, ...]
    creases: tuple[Plumb, ...]
    grain: tuple[Grain, ...]


def levels(hung: Hung, stretch: Strain) -> Levels:
    """Everything that should hang level or plumb."""
    return Levels(
        hems=_hems(hung),
        lines=_lines(hung),
        seams=tuple(x for s in OUT for x in _side_seam(hung, s)),
        creases=tuple(x for s in OUT for x in _creases(hung, s)),
        grain=_grain(hung, stretch),
    )


def has_legs(hung: Hung) -> bool:
    """Whether a garment goes round each leg."""
    return any("inseam" in p.edges for p in hung.shell.panels)


def leg_lines(name: str) -> bool:
    """Whether a line goes round each leg of a garment that has legs."""
    return name in ("hem", "knee")


def _level(hung: Hung, name: str, side: str, some: Whole, planned: Array) -> Level:
    """A line through vertices (k,) that were planned at heights (k,) of the draft."""
    some, first = np.unique(some, return_index=True)
    p = hung.points[some]
    xy = p[:, :2] - (p[:, :2].max(axis=0) + p[:, :2].min(axis=0)) / 2.0
    size = np.linalg.norm(xy, axis=1)
    higher = p[:, 2] - planned[first]
    heights: dict[Where, float] = {}
    off: dict[Where, float] = {}
    for where, way in WAYS.items():
        there = xy @ np.array(way) > size * np.cos(np.radians(SECTOR))
        if there.any():
            heights[where] = float(p[there, 2].mean())
            off[where] = float(higher[there].mean())
    middle = float(np.mean(list(off.values()))) if off else 0.0
    return Level(
        name=name,
        side=side,
        heights=heights,
        lowest=float(p[:, 2].min()),
        highest=float(p[:, 2].max()),
        off={k: v - middle for k, v in off.items()},
        lift=middle,
    )


def _gathered(
    hung: Hung, rows: dict[tuple[str, str], list[tuple[Whole, Array]]]
) -> tuple[Level, ...]:
    """The levels of vertices with their planned heights, by name and side."""
    return tuple(
        _level(
            hung, name, side, np.concatenate([a for a, _ in r]), np.concatenate([b for _, b in r])
        )
        for (name, side), r in rows.items()
    )


def _round(hung: Hung, panel: Panel, name: str) -> str:
    """The side that a line of a panel goes by: of a leg or an arm its own, of the trunk none."""
    alone = panel.home == SLEEVE or (has_legs(hung) and leg_lines(name))
    return panel.side if alone else ""


def _hems(hung: Hung) -> tuple[Level, ...]:
    """The hems against the floor."""
    rows: dict[tuple[str, str], list[tuple[Whole, Array]]] = {}
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        if "hem" in panel.edges:
            run = runs_of(panel, "hem")
            name = "sleeve hem" if panel.home == SLEEVE else "hem"
            row = rows.setdefault((name, _round(hung, panel, "hem")), [])
            planned = panel.points[run, 1]
            if panel.home == SLEEVE:
                planned = planned - panel.points[:, 1].max() + _shoulder_tip(hung, panel.side)
            row.append((vertices[run], planned))
    return _gathered(hung, rows)


def _shoulder_tip(hung: Hung, side: str) -> float:
    """How high the front's armhole ends on the draft, cm; 0 where there is none."""
    tips = [
        float(p.points[runs_of(p, "armhole"), 1].max())
        for p in hung.shell.panels
        if p.home == "front" and p.side == side and "armhole" in p.edges
    ]
    return max(tips, default=0.0)


def _lines(hung: Hung) -> tuple[Level, ...]:
    """The balance lines that lie level on the figure, in space."""
    rows: dict[tuple[str, str], list[tuple[Whole, Array]]] = {}
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        if panel.home == SLEEVE:
            continue
        for name in LEVELS:
            at = panel.lines.get(name)
            if at is not None and len(at):
                row = rows.setdefault((LINES[name], _round(hung, panel, name)), [])
                row.append((vertices[at], panel.points[at, 1]))
        if "waist" in panel.edges and "waist" not in panel.lines:
            run = runs_of(panel, "waist")
            rows.setdefault(("waist edge", ""), []).append((vertices[run], panel.points[run, 1]))
    return _gathered(hung, rows)


def _at(panel: Panel, run: Whole, line: str, off: float = 1.5) -> int | None:
    """Which of a panel's vertices along a run is where a balance line meets it."""
    at = panel.lines.get(line)
    if at is None or not len(at) or not len(run):
        return None
    apart = np.linalg.norm(panel.points[run][:, None] - panel.points[at][None], axis=2).min(axis=1)
    k = int(np.argmin(apart))
    return int(run[k]) if apart[k] < off else None


def _side_seam(hung: Hung, side: Side) -> list[Plumb]:
    """The plumb of a side seam, from the waist (or where the seam begins under it) down.

    Of trousers from the hip: above it the seam goes with the body (common practice).
    """
    first = "hip" if has_legs(hung) else "waist"
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        if panel.side != side or panel.home != "front" or "side" not in panel.edges:
            continue
        run = runs_of(panel, "side")
        run = run[np.argsort(-panel.points[run, 1], kind="stable")]
        begins = _at(panel, run, first)
        top = int(run[0]) if begins is None else begins
        marks = {k: _at(panel, run, k) for k in ("hip", "knee")} | {"hem": int(run[-1])}
        y = hung.points[vertices, 1]
        at = {k: float(y[v] - y[top]) for k, v in marks.items() if v is not None and v != top}
        name = first if begins is not None else "upper end"
        if not has_legs(hung) or marks["knee"] is None:
            return [Plumb("side seam", side, name, at)]
        knee = float(hung.points[vertices[marks["knee"]], 2])
        beside = _beside(hung, hung.points[vertices[run[-1]]], side)
        forwards, backwards = _room(hung, knee, float(hung.points[vertices[run[-1]], 2]), side)
        return [
            Plumb(
                "side seam", side, name, at, beside=beside, forwards=forwards, backwards=backwards
            )
        ]
    return []


def _leg_of_cloth(hung: Hung, z: float, side: Side) -> Loop | None:
    """The line at a height round the cloth that goes round a leg; None where it does not close."""
    mine = np.array([p.side == side and p.home != SLEEVE for p in hung.shell.panels], dtype=bool)
    lines = section(hung.points, hung.shell.triangles[mine[hung.shell.panel]], z)
    return next((x for x in lines if x.closed and x.length > LEG), None)


def _beside(hung: Hung, hem: Array, side: Side) -> float | None:
    """How far behind the middle of its leg of cloth a side seam ends at the hem (3,), cm.

    As it is seen square to the foot, for leg and foot point out together.
    """
    around = _leg_of_cloth(hung, float(hem[2]) + OVER_HEM, side)
    return None if around is None else float((hem - around.middle)[:2] @ _backwards(hung, side))


def _backwards(hung: Hung, side: Side) -> Array:
    """The way (2,) from toes to heel of a foot: straight back of what is as broad as long."""
    sole = _leg(hung, float(hung.body.points[:, 2].min()) + SOLE, side)
    if sole is not None:
        step = np.linalg.norm(np.diff(sole.points, axis=0), axis=1)
        off = ((sole.points[1:] + sole.points[:-1]) / 2.0 - sole.middle)[:, :2]
        size, ways = np.linalg.eigh((off * step[:, None]).T @ off)
        if size[1] > LONG * LONG * size[0]:
            way: Array = ways[:, 1]
            return way if way[1] > 0.0 else -way
    return np.array([0.0, 1.0])


def _room(hung: Hung, knee: float, hem: float, side: Side) -> tuple[float | None, float | None]:
    """How far the hem could come forwards and backwards before the cloth meets the leg, cm.

    The leg of cloth turns about the knee as a whole, as it is seen from the side, so that what
    stands off near the knee lets the hem go farther. None where there is no leg to see.
    """
    floor = float(hung.body.points[:, 2].min())
    low = max(hem + OVER_HEM, floor + FOOT)
    found = []
    for z in np.linspace(low, knee, STEPS, endpoint=False).tolist() if low < knee else []:
        cloth, leg = _leg_of_cloth(hung, z, side), _leg(hung, z, side)
        if cloth is not None and leg is not None:
            y, of_leg = cloth.points[:, 1], leg.points[:, 1]
            off = np.array([y.max() - of_leg.max(), of_leg.min() - y.min()]) - hung.thickness / 2.0
            found.append(np.maximum(off, 0.0) * (knee - hem) / (knee - z))
    if not found:
        return None, None
    forwards, backwards = np.min(found, axis=0).tolist()
    return forwards, backwards


def _creases(hung: Hung, side: Side) -> list[Plumb]:
    """The plumb of a leg's creases, from the crotch level down."""
    found = []
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        if panel.side != side or "crease" not in panel.lines:
            continue
        run = panel.lines["crease"]
        run = run[np.argsort(-panel.points[run, 1], kind="stable")]
        x = hung.points[vertices, 0] * OUT[side]
        crotch = _at(panel, run, "crotch")
        top = int(run[0]) if crotch is None else crotch
        knee = _at(panel, run, "knee")
        at = {"hem": float(x[run[-1]] - x[top])}
        beside = None
        if knee is not None:
            at = {"knee": float(x[knee] - x[top])} | at
            middle = _leg_middle(hung, float(hung.points[vertices[knee], 2]), side)
            beside = None if middle is None else float(x[knee] - middle)
        name = "crotch level" if crotch is not None else "upper end"
        foot = _foot_middle(hung, hung.points[vertices[run[-1]]], side)
        over = None if foot is None else float(x[run[-1]] - foot)
        found.append(Plumb(f"{panel.home} crease", side, name, at, beside, over))
    return found


def _foot_middle(hung: Hung, hem: Array, side: Side) -> float | None:
    """How far outwards the middle of leg or foot lies where a crease ends at the hem (3,), cm.

    Under the ankle it is the foot's at that place between heel and toes, for feet point out.
    """
    floor = float(hung.body.points[:, 2].min())
    if hem[2] < floor + FOOT:
        for loop in section(hung.body.points, hung.body.triangles, floor + INSTEP):
            x, y = loop.points[:, 0] * OUT[side], loop.points[:, 1] - hem[1]
            if loop.length <= LEG or x.min() <= 0.0:
                continue
            x1, y1 = np.roll(x, -1), np.roll(y, -1)
            over = (y < 0.0) != (y1 < 0.0)
            if over.any():
                across = (x - y * (x1 - x) / np.where(over, y1 - y, 1.0))[over]
                return float(across.max() + across.min()) / 2.0
    return _leg_middle(hung, max(float(hem[2]), floor + FOOT), side)


def _leg_middle(hung: Hung, z: float, side: Side) -> float | None:
    """How far outwards from the body's middle plane the middle of a leg lies at a height, cm."""
    loop = _leg(hung, z, side)
    if loop is None:
        return None
    x = loop.points[:, 0] * OUT[side]
    return float(x.max() + x.min()) / 2.0


def _leg(hung: Hung, z: float, side: Side) -> Loop | None:
    """The line round a leg of the body at a height; None where it has no leg of its own there."""
    for loop in section(hung.body.points, hung.body.triangles, z):
        if loop.length > LEG and (loop.points[:, 0] * OUT[side]).min() > 0.0:
            return loop
    return None


def _grain(hung: Hung, stretch: Strain) -> tuple[Grain, ...]:
    """How the warp hangs beside the middle lines, below the waist where there is one."""
    shell = hung.shell
    found = []
    for k, (panel, vertices) in enumerate(zip(shell.panels, shell.vertices, strict=True)):
        edge = next((e for e in ("centre", "centre_front", "front_edge") if e in panel.edges), None)
        if "hem" not in panel.edges or edge is None or panel.home == SLEEVE or has_legs(hung):
            continue
        mine = shell.panel == k
        beside = np.zeros(shell.n, dtype=bool)
        beside[vertices[runs_of(panel, edge)]] = True
        t = np.flatnonzero(mine & beside[shell.triangles].any(axis=1))
        if not len(t):
            continue
        warp = stretch.area[t] @ stretch.warp[t]
        out = -1.0 if panel.home == "front" else 1.0
        # the warp runs up; going down it leans the other way
        found.append(
            Grain(
                what=f"centre {panel.home}",
                side=panel.side,
                sideways=float(np.degrees(np.arctan2(-warp[0] * OUT[panel.side], warp[2]))),
                away=float(np.degrees(np.arctan2(-warp[1] * out, warp[2]))),
            )
        )
    return tuple(found)
