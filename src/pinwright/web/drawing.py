"""A piece as an SVG group: true Béziers in cm, y turned down, nothing but numbers and classes.

Pure functions; colours, widths and what is shown are left to the style sheet. Everything of a
piece that can be pointed at carries ``data-k`` "piece|edge" (or "piece|line:name",
"piece|dart:name") and stands in a group with ``data-side``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
import shapely
from shapely.ops import polylabel

from pinwright.cutting.cutline import net_polygon
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece, dart_cap
from pinwright.sheets.notches import NotchMark

NOTCH = 0.7
"""How far a notch is drawn out from the net line, cm."""

ROOMY = 7.0
"""A piece with room for a circle of this radius, cm, carries its name inside."""


LETTER = 0.8
"""A name is set clear of lines where there is this much room to each side for a letter, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A piece as it is shown: as it is now, as it was, and its cloth.

    ``side`` is "both" while right and left are alike. ``before`` is None when nothing moved.
    ``cut`` is the edge of the cloth, closed (m, 2) cm: as cut, or as it will be cut. ``mirror``
    draws it as the other hand.
    """

    piece: Piece
    side: str
    count: str
    cut: Array
    is_cut: bool
    notches: tuple[NotchMark, ...] = ()
    before: Piece | None = None
    mirror: bool = False

    @property
    def key(self) -> str:
        """Side and piece, unique in a garment."""
        return f"{self.side}-{self.piece.name}"

    @property
    def title(self) -> str:
        """The piece's name, with its side when the sides differ."""
        name = short_title(self.piece)
        name = name[:1].upper() + name[1:]
        return name if self.side == "both" else f"{name}, {self.side}"


def short_title(piece: Piece) -> str:
    """A piece's title without what stands in brackets and without the garment's name."""
    return piece.title.partition(" (")[0].removeprefix("trouser ")


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a piece lies on the drawing: drawn x = x + (−) piece x, drawn y = y − piece y."""

    x: float = 0.0
    y: float = 0.0
    mirror: bool = False

    def apply(self, points: Array) -> Array:
        """Points (..., 2) of the piece on the drawing."""
        flip = -1.0 if self.mirror else 1.0
        return np.stack([self.x + flip * points[..., 0], self.y - points[..., 1]], axis=-1)


def number(value: float, places: int = 4) -> str:
    """A number as short as it can be at ``places`` decimals."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _pair(p: Array, places: int) -> str:
    return f"{number(float(p[0]), places)} {number(float(p[1]), places)}"


def _is_line(c: Array) -> bool:
    chord = c[3] - c[0]
    return bool(np.abs(c[1:3] - (c[0] + np.outer([1 / 3, 2 / 3], chord))).max() < 1e-9)


def path_data(paths: Path | Sequence[Path], placing: Placing, places: int = 4) -> str:
    """SVG path data of one path or a chain of them: M, then C for curves and L for straights.

    Paths that follow on from each other are drawn in one stroke.
    """
    out: list[str] = []
    last: Array | None = None
    for path in [paths] if isinstance(paths, Path) else paths:
        drawn = placing.apply(path.ctrl)
        if last is None or float(np.abs(last - path.start).max()) > 1e-6:
            out.append("M" + _pair(drawn[0, 0], places))
        for raw, c in zip(path.ctrl, drawn, strict=True):
            if _is_line(raw):
                out.append("L" + _pair(c[3], places))
            else:
                out.append("C" + " ".join(_pair(p, places) for p in c[1:]))
        last = path.end
    return "".join(out)


def points_data(points: Array, placing: Placing, closed: bool = False, places: int = 2) -> str:
    """SVG path data of a polyline (m, 2)."""
    drawn = placing.apply(points)
    return "M" + "L".join(_pair(p, places) for p in drawn) + ("Z" if closed else "")


def bounds(piece: Piece, cut: Array) -> tuple[float, float, float, float]:
    """(x min, y min, x max, y max) of a piece with its cloth, cm."""
    runs = [run.bounds for e in piece.edges for run in e.runs]
    low = np.minimum(cut.min(axis=0), np.min([b[:2] for b in runs], axis=0))
    high = np.maximum(cut.max(axis=0), np.max([b[2:] for b in runs], axis=0))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _path(d: str, kind: str, key: str = "") -> str:
    mark = f' data-k="{escape(key)}"' if key else ""
    return f'<path class="{kind}"{mark} d="{d}"/>'


def net(piece: Piece, placing: Placing, kind: str, keyed: bool = True, places: int = 4) -> str:
    """The net line edge by edge, and what the dart mouths are cut like."""
    out = []
    for e in piece.edges:
        key = f"{piece.name}|{e.name}" if keyed else ""
        out.append(_path(path_data(e.runs, placing, places), f"edge {kind}", key))
    return "".join(out)


def darts(piece: Piece, placing: Placing, kind: str, keyed: bool = True) -> str:
    """Both legs of every dart with its middle, and the cap over its mouth."""
    out = []
    for d in piece.darts:
        a, b = piece.mouth(d.name)
        key = f"{piece.name}|dart:{d.name}" if keyed else ""
        legs = points_data(np.array([a, d.apex, b]), placing, places=4)
        out.append(_path(legs, f"dart {kind}", key))
        if keyed:
            e = piece.edge(d.edge)
            i = e.darts.index(d.name)
            cap = dart_cap(e.runs[i], e.runs[i + 1], d.apex)
            out.append(_path(path_data(cap, placing), f"cap {kind}"))
            out.append(_path(points_data(np.array([(a + b) / 2, d.apex]), placing), "middle"))
    return "".join(out)


def inner_lines(piece: Piece, placing: Placing, kind: str, keyed: bool = True) -> str:
    """Balance lines, creases, openings, folds and stitching lines, and marked points."""
    out = []
    for line in piece.lines:
        key = f"{piece.name}|line:{line.name}" if keyed else ""
        out.append(_path(path_data(line.path, placing, 3), f"line {line.kind} {kind}", key))
    for m in piece.marks:
        x, y = placing.apply(np.asarray(m.at))
        key = f"{piece.name}|mark:{m.name}" if keyed else ""
        mark = f' data-k="{escape(key)}"' if key else ""
        out.append(
            f'<path class="mark {m.kind} {kind}"{mark} d="M{number(x - 0.5, 3)} {number(y, 3)}h1'
            f'm-.5-.5v1"/>'
        )
    return "".join(out)


def grain(piece: Piece, placing: Placing) -> str:
    """The grain line with a head at each end."""
    a, b = np.asarray(piece.grain, dtype=float)
    size = float(np.hypot(*(b - a)))
    t = (b - a) / size
    n = np.array([-t[1], t[0]])
    head = min(1.6, size / 4)
    d = points_data(np.array([a, b]), placing)
    for tip, way in ((a, t), (b, -t)):
        arms = [tip + head * (way + 0.4 * n), tip, tip + head * (way - 0.4 * n)]
        d += points_data(np.array(arms), placing)
    return _path(d, "grain")


def notch_ticks(marks: Iterable[NotchMark], placing: Placing) -> str:
    """Notches as ticks out from the net line, two or three side by side where they are so cut."""
    d = ""
    for m in marks:
        along = np.array([-m.out[1], m.out[0]])
        for i in range(m.count):
            p = m.at + 0.4 * (i - (m.count - 1) / 2) * along
            d += points_data(np.array([p, p + NOTCH * m.out]), placing)
    return _path(d, "notch") if d else ""


def words(
    at: Array,
    text: str,
    kind: str,
    shift: tuple[float, float] = (0.0, 0.0),
    room: float | None = None,
) -> str:
    """A line of text at a place of the drawing (cm), its size and ``shift`` in screen units.

    ``room`` is the length in cm of what it names, so that a page can leave it out when small.
    """
    x, y = number(float(at[0]), 2), number(float(at[1]), 2)
    move = ""
    if shift != (0.0, 0.0):
        move = f' x="{number(shift[0], 1)}" y="{number(shift[1], 1)}"'
    space = "" if room is None else f' data-room="{number(room, 1)}"'
    return (
        f'<g class="fixed"{space} transform="translate({x} {y})"><text class="{kind}"{move}>'
        f"{escape(text)}</text></g>"
    )


def _edge_middle(e: Edge) -> tuple[Array, Array]:
    run = max(e.runs, key=lambda r: r.length)
    s = run.length / 2
    t = run.tangent(s)
    return run.at(s), np.array([t[1], -t[0]])


def names(piece: Piece, placing: Placing) -> str:
    """The names of the edges, just inside them, and of the balance lines."""
    out = []
    for e in piece.edges:
        if e.length < 3.0:
            continue
        at, outward = _edge_middle(e)
        flip = -1.0 if placing.mirror else 1.0
        shift = (-14.0 * flip * float(outward[0]), 14.0 * float(outward[1]) + 3.0)
        kind = "name"
        if abs(outward[0]) > 0.7:
            kind += " from" if flip * outward[0] < 0 else " to"
        out.append(words(placing.apply(at), e.name.replace("_", " "), kind, shift, e.length))
    for line in piece.lines:
        if line.kind in ("balance", "crease", "opening") and line.path.length > 4.0:
            at = line.path.at(line.path.length * 0.3)
            name, room = line.name.replace("_", " "), line.path.length
            out.append(words(placing.apply(at), name, "name", (0.0, -4.0), room))
    return "".join(out)


def label_spot(view: View, placing: Placing) -> tuple[Array, bool]:
    """Where the piece's name stands (drawn cm), and whether that is inside the piece."""
    area = net_polygon(view.piece, 0.2)
    inside = polylabel(area, 0.5)
    if float(area.exterior.distance(inside)) >= ROOMY:
        clear = _largest(area.difference(_drawn_inside(view.piece)))
        free = polylabel(clear, 0.5)
        if float(clear.exterior.distance(free)) >= LETTER * len(view.title):
            inside = free
        return placing.apply(np.array([inside.x, inside.y])), True
    x0, y0, x1, _ = bounds(view.piece, view.cut)
    return placing.apply(np.array([(x0 + x1) / 2, y0])), False


def _drawn_inside(piece: Piece) -> shapely.Geometry:
    lines = [shapely.LineString(line.path.flatten(0.2)) for line in piece.lines]
    lines += [shapely.LineString([*piece.mouth(d.name), d.apex]) for d in piece.darts]
    lines.append(shapely.LineString(piece.grain))
    return shapely.union_all(lines).buffer(0.4)


def _largest(area: shapely.Geometry) -> shapely.Polygon:
    parts = [g for g in getattr(area, "geoms", [area]) if isinstance(g, shapely.Polygon)]
    return max(parts, key=lambda g: float(g.length**-1 * g.area))


def label(view: View, placing: Placing) -> str:
    """Name of the piece and how it is cut."""
    at, inside = label_spot(view, placing)
    kind = "" if inside else " under"
    x, y = number(float(at[0]), 2), number(float(at[1]), 2)
    first, second = ("-2", "13") if inside else ("14", "27")
    name, comma, hand = view.title.partition(", ")
    said = f", {hand}" if inside else f" {hand[:1].upper()}"
    title = escape(name) + (f'<tspan class="hand">{said}</tspan>' if comma else "")
    return (
        f'<g class="fixed label{kind}" transform="translate({x} {y})">'
        f'<text class="title" y="{first}">{title}</text>'
        f'<text class="count" y="{second}">{escape(view.count)}</text></g>'
    )


def piece_group(view: View, placing: Placing) -> str:
    """Everything drawn on one piece, as one SVG group."""
    p, was = view.piece, view.before
    changed = "changed" if was is not None else "unchanged"
    state = "moved by the fitting" if was is not None else "not moved by the fitting"
    said = f"{view.title}: {view.count}; {state}"
    body = path_data(p.outline(caps=True), placing) + "Z"
    parts = [
        _path(points_data(view.cut, placing, closed=True), "cut" if view.is_cut else "cut planned"),
        _path(body, "body"),
        _path(path_data(p.outline(caps=True), placing, 2) + "Z", "weave"),
    ]
    if was is not None:
        old = net(was, placing, "before", keyed=False, places=3)
        old += darts(was, placing, "before", keyed=False)
        old += inner_lines(was, placing, "before", keyed=False) if _inside_moved(was, p) else ""
        parts.append(f'<g class="was">{old}</g>')
    parts += [
        f'<g class="now">{inner_lines(p, placing, "after")}{darts(p, placing, "after")}',
        f"{net(p, placing, 'after')}{notch_ticks(view.notches, placing)}</g>",
        grain(p, placing),
        f'<g class="names">{names(p, placing)}</g>',
        label(view, placing),
    ]
    return (
        f'<g class="piece {p.layer} {changed}" data-piece="{escape(p.name)}" '
        f'data-side="{view.side}" role="img" aria-label="{escape(said)}">{"".join(parts)}</g>'
    )


def _inside_moved(was: Piece, now: Piece) -> bool:
    for a, b in zip(was.lines, now.lines, strict=True):
        if a.path.ctrl.shape != b.path.ctrl.shape or np.abs(a.path.ctrl - b.path.ctrl).max() > 0.02:
            return True
    return any(
        float(np.abs(a.at - b.at).max()) > 0.02 for a, b in zip(was.marks, now.marks, strict=True)
    )
