"""A piece as it is drawn on a sheet, 1:1 in cm: lines, notches, grain, fold, label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import edge_cloth
from pinwright.cutting.cutline import net_polygon
from pinwright.cutting.marking import PITCH, THREADED, Marking, MarkingHabit, depth, points, times
from pinwright.measures.units import LengthUnit, format_length
from pinwright.pattern.piece import Edge, Line, Piece
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.folds import along_fold, fold_edge, off_fold, sewn
from pinwright.sheets.ink import (
    BOLD,
    DASH_DOT,
    DASHED,
    DOTTED,
    FINE,
    HAIR,
    THIN,
    Drawing,
    Mark,
    Stroke,
    Words,
    circle,
    line,
    mirrored,
)
from pinwright.sheets.labels import LEADING, TextLine, label
from pinwright.sheets.lettering import width_of
from pinwright.sheets.notches import NotchMark

Array = NDArray[np.float64]

_LINE_DASH = {
    "balance": DASH_DOT,
    "crease": DASHED,
    "fold": (0.9, 0.2),
    "plumb": DOTTED,
    "stitch": (0.25, 0.12),
}


END_SIZE = 0.4
"""Height of the name of an end, cm, as of the name of a line."""

_BAND_ENDS = {"centre": "centre back", "front": "centre front"}

END_NAMES: Mapping[str, Mapping[str, str]] = {
    "band": _BAND_ENDS,
    "band_interfacing": _BAND_ENDS,
    "band_underlap": {"front": "centre front", "free": "free end"},
    "undercollar": {"centre": "centre back", "front": "front"},
    "pocket_bag": {"side": "side seam", "waist": "waist"},
    "pocket_bearer": {"side": "side seam", "waist": "waist"},
    "fly_facing": {"centre": "centre front", "waist": "waist"},
    "fly_shield": {"centre": "centre front", "waist": "waist"},
}
"""By piece, the edges that could be taken for another: what each is."""


def picture(d: Drawn) -> Drawing:
    """Everything drawn on one piece: cut line, net line, inside, notches, label.

    In the piece's own coordinates, mirrored where the piece is the other hand.
    """
    marks: list[Mark] = [
        outline_stroke(d.cut_line, d.piece, BOLD, "cut line"),
        net_stroke(d.piece),
        *inside(d.piece, d.marking),
        *(m for n in d.notches for m in notch(n, cut=not d.already, habit=d.marking)),
        *allowances(d.piece, d.unit, d.cloth if d.already else None),
        *end_names(d.piece),
    ]
    marks += fold_marks(d, d.cut_line)
    out = tuple(marks)
    return (mirrored(out) if d.mirror else out) + lettering(d)


def outline_stroke(ring: Array, piece: Piece, weight: float, role: str) -> Stroke:
    """The outline (m, 2) of a piece's cloth, as far as it is cut: not along the fold."""
    fold = fold_edge(piece)
    if fold is None:
        return Stroke((ring,), weight, closed=True, role=role)
    return Stroke(off_fold(ring, fold), weight, role=role)


def net_stroke(piece: Piece, weight: float = FINE, dash: tuple[float, ...] = DASHED) -> Stroke:
    """The net line as far as it is sewn, not along the fold; dart mouths capped as they are cut."""
    paths, closed = sewn(piece)
    return Stroke(tuple(p.ctrl for p in paths), weight, dash, closed=closed, role="net line")


def inside(piece: Piece, habit: MarkingHabit = THREADED) -> list[Mark]:
    """Darts, drawn lines with their names, marks, and the grain arrow.

    Where points are chalked or drilled it is drawn where: a small x, or an x in a circle; what
    is thread-marked all the same has a ring.
    """
    marks: list[Mark] = []
    for dart in piece.darts:
        a, b = piece.mouth(dart.name)
        marks.append(line(a, dart.apex, b, weight=FINE, role="dart"))
        marks.append(line((a + b) / 2, dart.apex, weight=THIN, dash=(0.3, 0.15), role="dart"))
        marks.append(circle(dart.apex, 0.12, THIN, fill=0.0))
    area = net_polygon(piece)
    drawn = [_line(item, area) for item in piece.lines]
    marked = [m for mark in piece.marks for m in _point(mark.kind, mark.at)]
    there = [*marks, *marked, *arrow(piece.grain)]
    for k, item in enumerate(piece.lines):
        # a name keeps clear of what else is drawn there
        beside = [*there, *(m for i, other in enumerate(drawn) if i != k for m in other)]
        taken = [_geometry(m, np.ones(2), 0.05) for m in beside]
        marks += [*drawn[k], *_line_name(item, area, taken)]
    marks += marked
    if habit.points != "thread":
        marks += [m for found in points(piece, habit) for m in _made(found)]
    return [*marks, *arrow(piece.grain)]


OPENING_DASH = (0.14, 0.14)
"""The dash of a pocket opening, cm: heavy and short, as no other line is drawn."""

_BESIDE = 0.3
"""How far inside a seam the line of an opening in it is drawn, so that both are seen, cm."""


def _line(item: Line, area: shapely.Polygon) -> list[Mark]:
    if item.kind == "opening":
        return opening(item, area)
    return [Stroke((item.path.ctrl,), THIN, _LINE_DASH[item.kind], role=item.kind)]


def in_seam(item: Line, area: shapely.Polygon) -> bool:
    """Whether an opening lies in a seam of its piece."""
    middle = shapely.Point(item.path.at(item.path.length / 2))
    return float(area.exterior.distance(middle)) < 0.1


def opening(item: Line, area: shapely.Polygon, old: bool = False) -> list[Mark]:
    """A pocket opening: its line between a bar at each end; ``old`` draws where it was, thin.

    One in a seam has its line just inside the seam, which its bars cross.
    """
    path = item.path
    s = np.linspace(0.0, path.length, max(2, int(path.length / 0.5) + 1))
    at, t = path.at(s), path.tangent(s)
    inward = np.stack([-t[:, 1], t[:, 0]], axis=1)
    far = 0.0
    if in_seam(item, area):
        far = 2 * _BESIDE if old else _BESIDE
        middle = len(s) // 2
        if not area.contains(shapely.Point(at[middle] + _BESIDE * inward[middle])):
            inward = -inward
    weight = HAIR if old else BOLD
    marks: list[Mark] = [
        Stroke((at + far * inward,), weight, DASHED if old else OPENING_DASH, role="opening")
    ]
    for k in (0, -1):
        a, b = at[k] - 0.4 * inward[k], at[k] + (far + 0.4) * inward[k]
        marks.append(line(a, b, weight=weight, dash=(0.15, 0.1) if old else (), role="opening"))
    return marks


def opening_sample() -> Drawing:
    """A pocket opening for a key of lines, along the first 3 cm from (0, 0)."""
    bars = [line((x, -0.2), (x, 0.3), weight=BOLD) for x in (0.0, 3.0)]
    return (line((0.0, 0.05), (3.0, 0.05), weight=BOLD, dash=OPENING_DASH), *bars)


def _line_name(item: Line, area: shapely.Polygon, taken: Sequence[shapely.Geometry]) -> list[Mark]:
    """The name of a line along it, clear of ``taken`` where there is room."""
    if item.kind == "stitch" or item.path.length < 3.0:
        return []
    t = item.path.end - item.path.start
    angle = float(np.degrees(np.arctan2(t[1], t[0])))
    if not -90.0 < angle <= 90.0:
        angle += 180.0
    name = item.name.replace("_", " ")
    far = [0.12]
    if item.kind == "opening":
        # inside the seam, which may be on either hand as the words are read
        far = [_BESIDE + 0.15, -_BESIDE - 0.45] if in_seam(item, area) else [0.12]
    found = [
        Words(p + _turned(np.array([0.0, up]), angle), name, 0.4, angle, role="line name")
        for at in (0.82, 0.06, 0.7, 0.58, 0.46, 0.34, 0.2)
        for p in [item.path.at(at * item.path.length)]
        for up in far
    ]
    inside = [(w, box) for w in found for box in [shapely.Polygon(w.corners)] if area.contains(box)]
    clear = [w for w, box in inside if not any(box.intersects(g) for g in taken)]
    best: list[Mark] = [*clear, *(w for w, _ in inside)]
    return best[:1]


def _turned(v: Array, angle: float) -> Array:
    t = np.radians(angle)
    return np.array([v[0] * np.cos(t) - v[1] * np.sin(t), v[0] * np.sin(t) + v[1] * np.cos(t)])


def _point(kind: str, at: Array) -> list[Mark]:
    cross = [
        line(at - arm, at + arm, weight=THIN, role="mark")
        for arm in (np.array([0.4, 0.0]), np.array([0.0, 0.4]))
    ]
    return [*cross, circle(at, 0.25, THIN)] if kind in ("button", "bust_point") else list(cross)


def arrow(grain: Array) -> list[Mark]:
    """The grain line with a head at each end."""
    a, b = grain
    t = (b - a) / float(np.hypot(*(b - a)))
    n = np.array([-t[1], t[0]])
    head = min(1.0, float(np.hypot(*(b - a))) / 5)
    marks: list[Mark] = [line(a, b, weight=FINE, role="grain")]
    for tip, way in ((a, t), (b, -t)):
        sides = [tip + head * way + 0.35 * head * n, tip, tip + head * way - 0.35 * head * n]
        marks.append(Stroke((np.array(sides),), FINE, closed=True, fill=0.0, role="grain"))
    return marks


def _made(found: Marking) -> list[Mark]:
    """How a point is marked: thread a ring, chalk a small x, a drill hole an x in a circle."""
    if found.kind == "thread":
        return [circle(found.at, 0.18, THIN, role="thread")]
    arm = {"chalk": 0.12, "drill": 0.2}[found.kind] / np.sqrt(2.0)
    strokes: list[Mark] = [
        line(found.at - v, found.at + v, weight=FINE, role=found.kind)
        for v in (np.array([arm, arm]), np.array([arm, -arm]))
    ]
    return (
        [*strokes, circle(found.at, 0.2, FINE, role="drill")] if found.kind == "drill" else strokes
    )


def notch(n: NotchMark, cut: bool = True, habit: MarkingHabit = THREADED) -> list[Mark]:
    """A tick across the net line and, where it is ``cut``, what is cut in from the cut edge.

    A slit is a bar, a triangle is drawn as it is cut out, its base on the cut edge. Where reserve
    lies beyond the net line it is marked by thread: a ring, and nothing is cut.
    """
    t = np.array([-n.out[1], n.out[0]])
    marks: list[Mark] = []
    deep = depth(n.reach, habit)
    count = max(times(n), 1)
    for k in range(count):
        p = n.at + t * PITCH * (k - (count - 1) / 2)
        size = 0.35 if n.count else 0.2
        marks.append(line(p - size * n.out, p + size * n.out, weight=FINE, role="notch"))
        if n.count and not n.thread and cut:
            edge = p + n.reach * n.out
            if habit.notch == "triangle":
                half = 0.5 * min(deep, 0.9 * PITCH) * t
                tip = edge - deep * n.out
                marks.append(
                    Stroke(
                        (np.array([edge - half, tip, edge + half]),),
                        FINE,
                        closed=True,
                        fill=0.0,
                        role="notch",
                    )
                )
            else:
                marks.append(line(edge, edge - deep * n.out, weight=BOLD, role="notch"))
        elif n.thread and n.count and cut:
            marks.append(circle(p, 0.18, THIN, role="thread"))
    return marks


def allowances(
    piece: Piece, unit: LengthUnit = "cm", cloth: shapely.Polygon | None = None
) -> list[Mark]:
    """What lies beyond each net line, written in the allowance where there is room.

    By the draft, or where the ``cloth`` is cut, measured on that.
    """
    words: list[Mark] = []
    for e in piece.edges:
        if piece.cut == "fold" and e.name == piece.fold:
            continue
        width, said = _kept(e, unit) if cloth is None else _left(piece, e, cloth, unit)
        if width < 0.7:
            continue
        run = max(e.runs, key=lambda r: r.length)
        size = min(0.36, 0.4 * width)
        wide = width_of(said, size)
        lines, share = [said], 0.35
        if run.length < wide + 2.0:
            # a short edge, as a band's end: in the middle, on as many lines as its width holds
            lines, share = said.replace(" + ", "\n+ ").replace(" taper", "\ntaper").split("\n"), 0.5
            wide = max(width_of(text, size) for text in lines)
        if run.length < wide + 0.4 or width < LEADING * size * len(lines):
            continue
        at, t = run.at(share * run.length), run.tangent(share * run.length)
        out = np.array([t[1], -t[0]])
        angle = _readable(t)
        up = _turned(np.array([0.0, 1.0]), angle)
        middle = at + out * min(width / 2, max(1.0, 0.5 * LEADING * size * len(lines)))
        for k, text in enumerate(lines):
            base = middle + (LEADING * ((len(lines) - 1) / 2 - k) - 0.36) * size * up
            words.append(Words(base, text, size, angle, anchor="middle", role="allowance"))
    return words


def end_names(piece: Piece) -> list[Mark]:
    """What the ends of a piece are, where its shape does not tell, along them inside the net line.

    Clear of what else is drawn there; the fold of a band has its name beside the bracket.
    """
    named = END_NAMES.get(piece.name, {})
    if not named:
        return []
    area = net_polygon(piece)
    there = list(inside(piece))
    fold = fold_edge(piece)
    if fold is not None:
        there += fold_bracket(fold, False)
    taken = [_geometry(m, np.ones(2), 0.05) for m in there]
    found: list[Mark] = []
    for e in piece.edges:
        if e.name not in named:
            continue
        run = max(e.runs, key=lambda r: r.length)
        tried = []
        for far in (0.35, 0.8, 1.2, 1.7, 2.2, 2.7):
            for share in (0.5, 0.35, 0.65, 0.25, 0.75):
                at, t = run.at(share * run.length), run.tangent(share * run.length)
                angle = _readable(t)
                up = _turned(np.array([0.0, 1.0]), angle)
                base = at + far * np.array([-t[1], t[0]]) - 0.36 * END_SIZE * up
                tried.append(
                    Words(base, named[e.name], END_SIZE, angle, anchor="middle", role="line name")
                )
        boxes = [shapely.Polygon(w.corners) for w in tried]
        within = [(w, b) for w, b in zip(tried, boxes, strict=True) if area.contains(b)]
        clear = [w for w, b in within if not any(b.intersects(g) for g in taken)]
        for w in (*clear, *(w for w, _ in within))[:1]:
            found.append(w)
            taken.append(_geometry(w, np.ones(2), 0.05))
    return found


def _readable(t: Array) -> float:
    """The angle of words along a direction, degrees, so that they do not stand on their heads."""
    angle = float(np.degrees(np.arctan2(t[1], t[0])))
    return angle if -90.0 < angle <= 90.0 else angle + 180.0


def _kept(e: Edge, unit: LengthUnit) -> tuple[float, str]:
    """Allowance and reserve of an edge as drafted: together, cm, and in words."""
    said = format_length(e.allowance, unit)
    if e.reserve:
        said += f" + {format_length(e.reserve, unit)} reserve"
    if e.reserve_to is not None:
        _, to, left = e.reserve_to
        end = format_length(left, unit) if left else "0"
        said += f" tapering to {end} at the {to.replace('_', ' ')}"
    return e.allowance + e.reserve, said


ENDS = 2.0
"""An edge's cloth is measured so far from its corners, cm: there it is its neighbour's as well."""


def _left(piece: Piece, e: Edge, cloth: shapely.Polygon, unit: LengthUnit) -> tuple[float, str]:
    """What a cut cloth has beyond a net line at its narrowest, cm, and in words."""
    p, there = edge_cloth(piece, e.name, cloth)
    inset = min(ENDS, e.length / 3)
    there = there[(p.s >= inset) & (p.s <= e.length - inset)]
    least = float(there.min())
    more = "at least " if float(there.max()) - least >= SAME else ""
    if least < e.allowance + SAME:
        return least, more + format_length(least, unit)
    over = format_length(least - e.allowance, unit)
    return least, f"{format_length(e.allowance, unit)} + {more}{over} reserve"


SAME = 0.1
"""Widths of cloth that differ by less, cm, are told as one."""


def fold_marks(d: Drawn, ring: Array) -> list[Mark]:
    """The fold of a piece through its outline (m, 2), with its bracket; nothing where none is."""
    fold = fold_edge(d.piece)
    if fold is None:
        return []
    along = along_fold(fold, off_fold(ring, fold))
    return [
        Stroke(along, BOLD, DASH_DOT, role="fold edge"),
        *fold_bracket(fold, d.side != "both"),
    ]


def fold_bracket(edge: Edge, halved: bool) -> list[Mark]:
    """The bracket that says the edge lies on the fold, and the words."""
    a, b = edge.first, edge.last
    length = float(np.hypot(*(b - a)))
    t = (b - a) / length
    inward = np.array([-t[1], t[0]])
    depth = min(1.4, 0.35 * length)
    p, q = a + 0.2 * length * t, a + 0.8 * length * t
    bar = [p, p + depth * inward, q + depth * inward, q]
    marks: list[Mark] = [line(*bar, weight=FINE, role="fold")]
    for foot in (p, q):
        sides = [foot + 0.5 * inward + 0.2 * t, foot, foot + 0.5 * inward - 0.2 * t]
        marks.append(Stroke((np.array(sides),), HAIR, closed=True, fill=0.0, role="fold"))
    angle = float(np.degrees(np.arctan2(t[1], t[0])))
    if not -90.0 < angle <= 90.0:
        angle += 180.0
    said = "to the other half, no seam" if halved else "ON THE FOLD"
    size = min(0.5, 0.06 * length)
    up = _turned(np.array([0.0, 1.0]), angle)
    # the words stand inside the bracket
    base = (p + q) / 2 + (0.5 * depth) * inward - 0.36 * size * up
    # balance lines that reach the fold run through the words
    marks.append(Words(base, said, size, angle, True, "middle", halo=True, role="fold"))
    return marks


def lettering(d: Drawn, besides: Sequence[shapely.Geometry] = ()) -> Drawing:
    """The label, set clear of what is drawn and of ``besides``; R or L large where sides differ.

    ``besides`` are areas in the piece's own coordinates.
    """
    flip = np.array([-1.0, 1.0]) if d.mirror else np.array([1.0, 1.0])
    net = net_polygon(d.piece)
    area = shapely.transform(net, lambda p: p * flip)
    there: list[shapely.Geometry] = [_geometry(m, flip) for m in inside(d.piece, d.marking)]
    there += [_geometry(m, flip) for m in end_names(d.piece)]
    there += [shapely.transform(a, lambda p: p * flip).buffer(0.2) for a in besides]
    there += [_geometry(m, flip) for m in fold_marks(d, d.cut_line)]
    lines = [TextLine(d.labels[0], 0.9, True), TextLine(d.labels[1], 0.6, True)]
    lines += [TextLine(text, 0.45) for text in d.labels[2:]]
    if d.side != "both":
        lines.insert(0, TextLine("R" if d.side == "right" else "L", 3.0, True))
    return label(lines, area, there, float(d.cut_line[:, 1].max()))


def _geometry(mark: Mark, flip: Array, clear: float = 0.15) -> shapely.Geometry:
    if isinstance(mark, Words):
        return shapely.Polygon(mark.corners * flip).buffer(clear)
    parts = [shapely.LineString(c.reshape(-1, 2) * flip) for c in mark.chains]
    return shapely.union_all(parts).buffer(clear)
