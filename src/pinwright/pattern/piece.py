"""Pieces as frozen data: named edges round a closed net line, darts, lines and marks.

A piece is drawn right side up, centre or crease vertical, y up, x towards the side seam.
Its edges follow one another anticlockwise, so the cloth lies on the left of every edge.
Lengths are in cm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import floor
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry.path import Path

Array = NDArray[np.float64]
Cut = Literal["pair", "fold", "single"]
Layer = Literal["shell", "facing", "interfacing", "lining", "pocketing"]
LineKind = Literal["balance", "crease", "opening", "fold", "plumb", "stitch"]
MarkKind = Literal["button", "bust_point", "pitch", "corner", "mark"]
CornerKind = Literal["", "mitred", "square", "mirrored", "stepped"]
"""How the cut line goes round the net corner at the end of an edge; "" leaves it to the rule."""

CLOSURE = 1e-7
"""How far apart, in cm, two edges may end at the point they share."""

SPAN = 5.5
"""Drafted edges are split, exactly, into spans of at least this length in cm.

Corrections are carried by the ends of spans; this length keeps a tapering profile
true to 0.005 cm while an end still has room to be trimmed by several centimetres.
"""


@dataclass(frozen=True, slots=True)
class Mouth:
    """The place in an edge where the mouth of a dart interrupts it."""

    dart: str


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """A named stretch of net line between two named points.

    ``runs`` are the sewn stretches, one more than there are ``darts``; the mouth of dart i lies
    between run i and run i + 1. ``stations`` names ends of spans: (run, number of spans before
    it in that run). ``allowance``, ``reserve`` and ``least`` (least workable allowance) in cm.
    ``reserve_to`` (from, to, cm) tapers the reserve: whole up to the point ``from``, then evenly
    to so much at the end ``to`` of the edge, as a seat seam's does towards the fork.
    ``corner`` is how the cut line goes round the corner at its end.
    """

    name: str
    start: str
    end: str
    runs: tuple[Path, ...]
    darts: tuple[str, ...] = ()
    stations: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    allowance: float = 1.0
    reserve: float = 0.0
    least: float = 0.6
    reserve_to: tuple[str, str, float] | None = None
    corner: CornerKind = ""

    def __post_init__(self) -> None:
        if len(self.runs) != len(self.darts) + 1:
            raise GeometryError(
                f"Edge {self.name}: {len(self.runs)} runs and {len(self.darts)} darts; "
                "an edge has one run more than it has darts."
            )
        object.__setattr__(self, "stations", MappingProxyType(dict(self.stations)))
        if self.reserve_to is not None:
            begin, far, left = self.reserve_to
            known = (self.start, *self.stations, self.end)
            if far not in (self.start, self.end) or begin not in known or begin == far:
                raise GeometryError(
                    f"Edge {self.name}: its reserve tapers from {begin!r} to {far!r}; it must be "
                    f"from one of {', '.join(known)} to the end {self.start} or {self.end}."
                )
            if not 0.0 <= left < float("inf"):
                raise GeometryError(
                    f"Edge {self.name}: its reserve tapers to {left:g} cm; it may be 0 or more."
                )

    @property
    def length(self) -> float:
        """Sewn length in cm: the runs, without the mouths of the darts."""
        return float(sum(run.length for run in self.runs))

    def distance(self, name: str) -> float:
        """Sewn length in cm from the start to an end or a station; KeyError when not on it."""
        if name == self.start:
            return 0.0
        if name == self.end:
            return self.length
        run, count = self.stations[name]
        before = sum(r.length for r in self.runs[:run])
        return float(before + self.runs[run].cumulative[count])

    def reserve_at(self, s: Array) -> Array:
        """Reserve in cm at distances ``s`` (k,) along the sewn edge."""
        if self.reserve_to is None:
            return np.full(np.shape(s), self.reserve)
        begin, far, left = self.reserve_to
        at, end = self.distance(begin), self.distance(far)
        # np.interp wants rising distances
        knots = sorted(((at, self.reserve), (end, left)))
        found: Array = np.interp(s, [k[0] for k in knots], [k[1] for k in knots])
        return found

    @property
    def first(self) -> Array:
        """The point where the edge starts, (2,)."""
        return self.runs[0].start

    @property
    def last(self) -> Array:
        """The point where the edge ends, (2,)."""
        return self.runs[-1].end


REACH = 10.0
"""How far (cm) back along an edge a moved corner is felt; see :func:`reach`."""


def reach(length: float) -> float:
    """How far (cm) along a run of this length a movement of its end is felt.

    The whole of a short run, ten centimetres of a longer one: far enough that no bump is left,
    near enough that the shape elsewhere stays (common practice when a line is redrawn by hand).
    """
    return length if length <= 1.6 * REACH else REACH


def reaches(length: float) -> tuple[float, ...]:
    """Where inside a run such movements end: joints there carry them exactly."""
    return () if length <= 1.6 * REACH else (REACH, length - REACH)


def _joint(run: Path, s: float) -> tuple[Path, int | None]:
    """A run with a joint at arc length ``s``, unless one lies within a centimetre of it.

    Returns the run and the index of the span that was split (None when none was).
    """
    ends = np.asarray(run.cumulative)
    if float(np.abs(ends - s).min()) < 1.0:
        return run, None
    before, after = run.split(s)
    return before + after, int(np.searchsorted(ends, s)) - 1


def _spans(path: Path) -> Path:
    """The same path split exactly so that no span is much longer than it need be."""
    longest = path.length / max(1, floor(path.length / SPAN)) * (1 + 1e-9)
    if float(np.diff(path.cumulative).max()) <= longest:
        return path
    return path.subdivided(longest)


def edge(
    name: str,
    *parts: str | Path | Mouth,
    allowance: float = 1.0,
    reserve: float = 0.0,
    least: float = 0.6,
    reserve_to: tuple[str, str, float] | None = None,
    corner: CornerKind = "",
) -> Edge:
    """Draw an edge: point name, path, point name, path, ..., point name.

    The first and last names are the points the edge runs between, the names inside become
    stations, and a ``Mouth`` between two paths opens a dart. Example::

        edge("side", "hem", below, "knee", above, "hip", top, "waist")
        edge("waist", "side", outer, Mouth("back dart"), inner, "centre")

    Raises:
        GeometryError: the parts do not alternate, or consecutive paths do not meet.
    """
    if len(parts) < 3 or not isinstance(parts[0], str) or not isinstance(parts[-1], str):
        raise GeometryError(f"Edge {name}: it must start and end with the name of a point.")
    runs: list[list[Path]] = [[]]
    darts: list[str] = []
    stations: dict[str, tuple[int, int]] = {}
    for part in parts[1:-1]:
        if isinstance(part, Mouth):
            darts.append(part.dart)
            runs.append([])
        elif isinstance(part, str):
            stations[part] = (len(runs) - 1, sum(p.spans for p in runs[-1]))
        else:
            runs[-1].append(_spans(part))
    joined: list[Path] = []
    for i, pieces in enumerate(runs):
        if not pieces:
            raise GeometryError(f"Edge {name}: a run between two darts has no path.")
        whole = pieces[0]
        for more in pieces[1:]:
            whole = whole + more
        for s in reaches(whole.length):
            whole, at = _joint(whole, s)
            if at is not None:
                stations = {
                    k: (r, c + 1 if r == i and c > at else c) for k, (r, c) in stations.items()
                }
        joined.append(whole)
    return Edge(
        name,
        parts[0],
        parts[-1],
        tuple(joined),
        tuple(darts),
        stations,
        allowance,
        reserve,
        least,
        reserve_to,
        corner,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Dart:
    """A dart: its mouth lies in ``edge``, its legs run straight from the mouth to ``apex`` (2,)."""

    name: str
    edge: str
    apex: Array
    place: str


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line drawn on the piece: a balance line, crease, pocket opening, fold or stitching."""

    name: str
    kind: LineKind
    path: Path


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """A point marked on the piece."""

    name: str
    kind: MarkKind
    at: Array


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One half (or whole, when ``cut`` is "single") of a garment piece, by its net line.

    ``title`` is what the label says, ``home`` the block piece whose place on the figure it
    takes (a yoke's home is the back), ``fold`` the edge that stands on the fold when ``cut`` is
    "fold", ``grain`` (2, 2) the two ends of the grain line, ``follows`` the piece it is derived
    from by rule, and ``stage`` whether it is cut for the fitting or after it. ``grain`` points up
    as worn, or down for a piece that is worn turned over (``fall``), as a collar is. ``count`` is
    how many pairs (or pieces, when it is not cut as a pair) the garment has of it.

    Raises:
        GeometryError: edges that do not close, or a dart whose edge does not exist.
    """

    name: str
    title: str
    edges: tuple[Edge, ...]
    grain: Array
    cut: Cut = "pair"
    layer: Layer = "shell"
    darts: tuple[Dart, ...] = ()
    lines: tuple[Line, ...] = ()
    marks: tuple[Mark, ...] = ()
    fold: str | None = None
    home: str = ""
    follows: str | None = None
    stage: Literal["fitting", "after"] = "fitting"
    fall: bool = False
    count: int = 1

    def __post_init__(self) -> None:
        if not self.home:
            object.__setattr__(self, "home", self.name)
        for here, after in zip(self.edges, self.edges[1:] + self.edges[:1], strict=True):
            if here.end != after.start:
                raise GeometryError(
                    f"Piece {self.name}: edge {here.name} ends at {here.end}, but the next edge "
                    f"{after.name} starts at {after.start}."
                )
            gap = float(np.hypot(*(here.last - after.first)))
            if not gap <= CLOSURE:
                raise GeometryError(
                    f"Piece {self.name}: edges {here.name} and {after.name} are {gap:.4f} cm "
                    f"apart at {here.end}; they must meet."
                )
        known = {e.name: e for e in self.edges}
        if len(known) != len(self.edges):
            raise GeometryError(f"Piece {self.name}: two edges share a name.")
        for dart in self.darts:
            if dart.edge not in known or dart.name not in known[dart.edge].darts:
                raise GeometryError(
                    f"Piece {self.name}: dart {dart.name} has no mouth in edge {dart.edge}."
                )

    def edge(self, name: str) -> Edge:
        """The edge called ``name``; raises KeyError when there is none."""
        for e in self.edges:
            if e.name == name:
                return e
        raise KeyError(f"piece {self.name} has no edge {name}")

    def dart(self, name: str) -> Dart:
        """The dart called ``name``; raises KeyError when there is none."""
        for d in self.darts:
            if d.name == name:
                return d
        raise KeyError(f"piece {self.name} has no dart {name}")

    def line(self, name: str) -> Line:
        """The line called ``name``; raises KeyError when there is none."""
        for line in self.lines:
            if line.name == name:
                return line
        raise KeyError(f"piece {self.name} has no line {name}")

    def mark(self, name: str) -> Mark:
        """The mark called ``name``; raises KeyError when there is none."""
        for m in self.marks:
            if m.name == name:
                return m
        raise KeyError(f"piece {self.name} has no mark {name}")

    def point(self, name: str) -> Array:
        """A corner or station of the piece by name, (2,); "edge:station" when several share it."""
        want_edge, _, want = name.rpartition(":")
        for e in self.edges:
            if want_edge and e.name != want_edge:
                continue
            if e.start == want:
                return e.first
            if e.end == want:
                return e.last
            if want in e.stations:
                run, count = e.stations[want]
                ctrl = e.runs[run].ctrl
                return np.asarray(ctrl[count, 0] if count < len(ctrl) else ctrl[-1, 3])
        raise KeyError(f"piece {self.name} has no point {name}")

    def mouth(self, dart: str) -> tuple[Array, Array]:
        """The two ends of a dart's mouth, in the order of the edge, each (2,)."""
        e = self.edge(self.dart(dart).edge)
        i = e.darts.index(dart)
        return e.runs[i].end, e.runs[i + 1].start

    def outline(self, caps: bool = True) -> tuple[Path, ...]:
        """The closed net line as paths in order.

        With ``caps`` the mouth of a dart is crossed as the cloth must be cut for the dart to lie
        (see :func:`dart_cap`); without, by a straight line.
        """
        paths: list[Path] = []
        for e in self.edges:
            for i, run in enumerate(e.runs):
                paths.append(run)
                if i < len(e.darts):
                    after = e.runs[i + 1]
                    if caps:
                        paths.append(dart_cap(run, after, self.dart(e.darts[i]).apex))
                    else:
                        paths.append(Path.line(run.end, after.start))
        return tuple(paths)

    def with_edges(self, edges: tuple[Edge, ...]) -> Piece:
        """The same piece with other edges."""
        return replace(self, edges=edges)


def dart_cap(before: Path, after: Path, apex: Array) -> Path:
    """How the edge must run across a dart's mouth so that the folded dart meets the seam.

    The dart is folded with its cloth towards the run ``after`` (downwards, or to the centre, as
    styles order their edges). The folded cloth lies between the legs' line and the dart's middle,
    so its edge must repeat the seam beyond the mouth, mirrored in the fold: the point on the
    bisector is where the continued edge ``after``, turned about the apex, crosses it.
    Source: fold the dart the way it will lie and redraw the seam across it (common practice).
    """
    a, b = before.end, after.start
    mid_angle = _bisector(a - apex, b - apex)
    # Beyond the closed dart the seam runs on along `after`; mirrored in the leg to `b` it tells
    # where the cloth folded under must end. Its crossing with the bisector is the cap's ridge.
    direction = after.start_tangent
    leg = b - apex
    leg_unit = leg / float(np.hypot(*leg))
    mirrored = 2.0 * float(direction @ leg_unit) * leg_unit - direction
    # the mirrored seam leaves b towards the dart's middle
    det = mirrored[0] * -mid_angle[1] + mirrored[1] * mid_angle[0]
    if abs(det) < 1e-9:
        return Path.line(a, b)
    rhs = apex - b
    along = (rhs[0] * -mid_angle[1] + rhs[1] * mid_angle[0]) / det
    if not 0.0 < along < 4.0 * float(np.hypot(*(b - a))) + 1e-9:
        return Path.line(a, b)
    ridge = b + along * mirrored
    return Path.polyline(np.array([a, ridge, b]))


def _bisector(u: Array, v: Array) -> Array:
    both = u / float(np.hypot(*u)) + v / float(np.hypot(*v))
    return np.asarray(both / float(np.hypot(*both)), dtype=np.float64)
