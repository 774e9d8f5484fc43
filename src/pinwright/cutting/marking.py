"""How notches and points are marked on the cloth: cut, thread-marked, chalked or drilled.

The rules are common practice: a notch goes in by half the allowance and 0.5 cm at most; where
reserve lies beyond the net line nothing is cut, because the slit would stand in the seam once it
is let out; only what a dart or a pocket hides is drilled; loosely woven cloth is never drilled.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cutline import net_polygon
from pinwright.pattern.piece import Piece

Array = NDArray[np.float64]
MarkingKind = Literal["slit", "triangle", "thread", "chalk", "drill"]

DEPTH = 0.5
"""A notch is never deeper than this, cm, nor than half the cloth beyond the net line there."""

LOOSE_DEPTH = 0.3
"""A notch in loosely woven cloth is never deeper than this, cm: it frays on from its end."""

PITCH = 0.5
"""Distance of the cuts of a double notch, cm."""

SHORT_OF_POINT = 1.0
"""A dart is drilled this far inside its point, cm, so that sewing covers the hole."""

INSIDE_POCKET = 0.3
"""A pocket's corner is drilled this far inside both its edges, cm, so that the pocket covers it."""

CLEAR = 0.5
"""Nothing is drilled within so much of the net line, cm."""


@dataclass(frozen=True, slots=True)
class MarkingHabit:
    """How a workshop marks this cloth: ``notch`` in its edge, ``points`` inside it.

    ``takes_chalk`` is False for cloth on which chalk does not hold or come off.
    """

    notch: Literal["slit", "triangle"] = "slit"
    points: Literal["thread", "chalk", "drill"] = "thread"
    fray: Literal["firm", "loose"] = "firm"
    takes_chalk: bool = True


THREADED = MarkingHabit()
"""Slits and thread on firm cloth: what is done unless the order says otherwise."""


class Habits(Protocol):
    """The part of an order's habits that says how marks are made."""

    @property
    def notch(self) -> Literal["slit", "triangle"]:
        """Notches as slits or as triangles."""

    @property
    def points(self) -> Literal["thread", "chalk", "drill"]:
        """Points inside the piece."""


class Notch(Protocol):
    """A notch on the net line, as :class:`pinwright.sheets.notches.NotchMark` has it."""

    @property
    def name(self) -> str:
        """Its station."""

    @property
    def edge(self) -> str:
        """Its edge."""

    @property
    def at(self) -> Array:
        """Where it stands on the net line, (2,)."""

    @property
    def out(self) -> Array:
        """The unit normal out of the piece, (2,)."""

    @property
    def count(self) -> int:
        """How many cuts; 0 where none is made."""

    @property
    def reach(self) -> float:
        """Cloth beyond the net line there, cm."""

    @property
    def thread(self) -> bool:
        """Whether reserve is part of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Marking:
    """A mark to be made: ``at`` (2,) on the cut edge for a cut, on the net line or inside else.

    ``way`` (2,) is the unit direction it is cut in, none (0, 0) for a point; ``depth`` cm, 0 where
    nothing is cut; ``count`` how many beside one another, :data:`PITCH` apart along the edge.
    """

    kind: MarkingKind
    name: str
    edge: str
    at: Array
    way: Array
    depth: float = 0.0
    count: int = 1

    def as_data(self) -> dict[str, object]:
        """As plain data, cm."""
        return {
            "kind": self.kind,
            "name": self.name,
            "edge": self.edge,
            "at": [float(v) for v in self.at],
            "way": [float(v) for v in self.way],
            "depth": self.depth,
            "count": self.count,
        }


def marking_habit(
    habits: Habits, fray: Literal["firm", "loose"] = "firm", takes_chalk: bool = True
) -> MarkingHabit:
    """The order's habits, on a cloth."""
    return MarkingHabit(habits.notch, habits.points, fray, takes_chalk)


def depth(reach: float, habit: MarkingHabit) -> float:
    """How deep a notch goes into so much cloth beyond the net line, cm."""
    return min(LOOSE_DEPTH if habit.fray == "loose" else DEPTH, 0.5 * reach)


def times(notch: Notch) -> int:
    """How many cuts a notch has: two at the back, so that front and back cannot be exchanged."""
    return max(notch.count, 2) if notch.count and notch.name.startswith("back_") else notch.count


def marks(
    piece: Piece, notches: Iterable[Notch], habit: MarkingHabit | None = None
) -> tuple[Marking, ...]:
    """Every mark of a piece: its notches, then its points (see :func:`points`)."""
    how = habit or THREADED
    edge_marks = [_notch(n, how) for n in notches if n.count]
    return (*edge_marks, *points(piece, how))


def _notch(n: Notch, how: MarkingHabit) -> Marking:
    deep = depth(n.reach, how)
    if n.thread or deep <= 0.0:
        return Marking("thread", n.name, n.edge, n.at, np.zeros(2), 0.0, times(n))
    return Marking(how.notch, n.name, n.edge, n.at + n.reach * n.out, -n.out, deep, times(n))


def points(piece: Piece, habit: MarkingHabit | None = None) -> tuple[Marking, ...]:
    """The points inside a piece: dart points, pocket corners, ends of openings, buttons and others.

    Drilled, where that is the habit, are dart points (1 cm inside the point) and pocket corners
    (0.3 cm inside the pocket), and only where the hole lies 0.5 cm or more inside the net line and
    the cloth is not loosely woven; everything else that is not chalked is thread-marked.
    """
    how = habit or THREADED
    net = net_polygon(piece)
    found: list[Marking] = []

    def add(name: str, at: Array, hidden: Array | None) -> None:
        kind: MarkingKind = "thread"
        spot = at
        if how.points == "chalk" and how.takes_chalk:
            kind = "chalk"
        elif how.points == "drill" and hidden is not None and _may_drill(hidden, net, how):
            kind, spot = "drill", hidden
        found.append(Marking(kind, name, "", spot, np.zeros(2)))

    for dart in piece.darts:
        a, b = piece.mouth(dart.name)
        back = (a + b) / 2.0 - dart.apex
        size = float(np.hypot(*back))
        # a dart too short to be drilled inside its point is not drilled
        inside = dart.apex + back * (SHORT_OF_POINT / size) if size > 2 * SHORT_OF_POINT else None
        add(dart.name, dart.apex, inside)
    for line in piece.lines:
        if line.kind == "opening":
            for end, at in (("start", line.path.start), ("end", line.path.end)):
                if not any(float(np.hypot(*(m.at - at))) < 0.05 for m in piece.marks):
                    add(f"{line.name} {end}", at, None)
    for mark in piece.marks:
        add(mark.name, mark.at, _in_pocket(piece, mark.at) if mark.kind == "corner" else None)
    return tuple(found)


def _may_drill(at: Array, net: shapely.Polygon, how: MarkingHabit) -> bool:
    spot = shapely.Point(at)
    return (
        how.fray == "firm"
        and bool(net.contains(spot))
        and float(net.exterior.distance(spot)) >= CLEAR
    )


def _in_pocket(piece: Piece, at: Array) -> Array | None:
    """The place 0.3 cm inside both edges of the stitched pocket at its corner, or None."""
    best: tuple[float, Array] | None = None
    for line in piece.lines:
        if line.kind != "stitch":
            continue
        area = shapely.Polygon(line.path.flatten(0.01))
        if not area.is_valid or float(area.distance(shapely.Point(at))) > 0.05:
            continue
        inset = area.buffer(-INSIDE_POCKET, join_style="mitre")
        if inset.is_empty or inset.geom_type != "Polygon":
            continue
        corners = np.asarray(shapely.get_coordinates(inset.exterior), dtype=np.float64)
        gaps = np.hypot(*(corners - at).T)
        k = int(np.argmin(gaps))
        if best is None or gaps[k] < best[0]:
            best = (float(gaps[k]), corners[k])
    return best[1] if best else None


def cut_marks(found: Sequence[Marking]) -> tuple[Marking, ...]:
    """Those that are cut or drilled, and so cannot be moved any more."""
    return tuple(m for m in found if m.kind in ("slit", "triangle", "drill"))
