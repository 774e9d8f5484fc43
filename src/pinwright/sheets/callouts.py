"""What is written at the places of a recut piece that moved, and where the words have room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cutline import net_polygon
from pinwright.measures.amounts import amount
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Line
from pinwright.sheets.changes import SLIGHT, Shift, new_marks, notch_moves, shifts
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.ink import BOLD, HAIR, THIN, Anchor, Mark, Words, circle, line
from pinwright.sheets.moved import edge_words, line_words, step_words
from pinwright.sheets.picture import in_seam

Array = NDArray[np.float64]

HOLLOW = 9.0
"""A leader longer than this, cm, is not drawn: the words go inside."""


@dataclass(frozen=True, slots=True, eq=False)
class Callout:
    """Words at an old place ``at`` (2,) of a piece; ``normal`` (2,) points out of it there.

    ``out`` is how far the line moved along it, cm; ``within`` words stand at the place itself.
    """

    at: Array
    normal: Array
    text: str
    out: float = 0.0
    within: bool = False


def callouts(d: Drawn, unit: LengthUnit) -> tuple[Callout, ...]:
    """What is written on a changed piece: net line, notches, pocket openings."""
    before = d.before or d.piece
    moves = list(shifts(before, d.piece))
    found: list[Callout] = []
    for old, _, along in notch_moves(d):
        k = next((k for k, s in enumerate(moves) if _stands_at(s, old.edge, old.at)), None)
        if k is not None:
            moves[k] = replace(moves[k], along=along)
        else:
            moves.append(Shift(old.edge, old.name, old.at, old.out, 0.0, along))
    said: list[tuple[Shift, str]] = []
    for s in moves:
        text = s.text(unit)
        if text and not any(_same_place(s, other) and text == t for other, t in said):
            said.append((s, text))
            found.append(Callout(s.at, s.normal, text, s.out))
    found += [Callout(n.at, n.out, f"new notch: {n.name.replace('_', ' ')}") for n in new_marks(d)]
    for old_line, new_line in _openings(d):
        found += _opening(old_line, new_line, net_polygon(before), unit)
    return tuple(found)


def _stands_at(s: Shift, edge: str, at: Array) -> bool:
    return s.edge == edge and float(np.hypot(*(s.at - at))) < 0.3


def _same_place(a: Shift, b: Shift) -> bool:
    """Whether two edges that run on smoothly tell the same of the corner they share."""
    return float(np.hypot(*(a.at - b.at))) < 0.01 and float(a.normal @ b.normal) > 0.85


def _openings(d: Drawn) -> list[tuple[Line, Line]]:
    """The openings that moved, as they were and as they are."""
    pairs = zip((d.before or d.piece).lines, d.piece.lines, strict=True)
    return [
        (x, y)
        for x, y in pairs
        if x.kind == "opening"
        and max(
            float(np.hypot(*(y.path.start - x.path.start))),
            float(np.hypot(*(y.path.end - x.path.end))),
        )
        >= SLIGHT
    ]


def _opening(old: Line, new: Line, area: shapely.Polygon, unit: LengthUnit) -> list[Callout]:
    """What is written at an opening: at each end in a seam, else once on the old place."""
    name = old.name.replace("_", " ")
    ends = ((old.path.start, new.path.start), (old.path.end, new.path.end))
    if not in_seam(old, area):
        middle = old.path.at(old.path.length / 2)
        # on the side that the opening left
        way = np.array([0.0, 1.0 if new.path.start[1] > old.path.start[1] else -1.0])
        return [Callout(middle, way, f"{name}: {line_words(old, new, unit)}", within=True)]
    found = []
    for s, (a, b) in zip((0.0, old.path.length), ends, strict=True):
        t = old.path.tangent(s)
        slid = float((b - a) @ t) * (1.0 if t[1] > 0 else -1.0)
        text = step_words(np.array([0.0, slid]), 0.0, unit)
        normal = np.array([t[1], -t[0]])
        if area.contains(shapely.Point(old.path.at(old.path.length / 2) + 0.3 * normal)):
            normal = -normal
        if text:
            found.append(Callout(a, normal, f"{name}: {text}"))
    return found


def inner_words(d: Drawn, unit: LengthUnit) -> list[str]:
    """What moved on a piece beside its lines, for its key: openings, and notches by their edge."""
    found = [
        f"{new.name.replace('_', ' ')}: {line_words(old, new, unit)}".capitalize()
        for old, new in _openings(d)
    ]
    slid: dict[str, float] = {}
    for old, _, along in notch_moves(d):
        if abs(along) > abs(slid.get(old.edge, 0.0)):
            slid[old.edge] = along
    for edge, along in slid.items():
        most = amount(along, unit)
        found.append(f"Notches at the {edge_words(edge)}: slid along it, {most} at most")
    return found


def set_out(
    calls: Sequence[Callout],
    cloth: shapely.Polygon,
    room: shapely.Geometry | None = None,
    beside: Sequence[shapely.Geometry] = (),
    names: Sequence[shapely.Polygon] = (),
) -> tuple[list[Mark], list[shapely.Polygon]]:
    """The words clear of each other, with leaders that cross none; and the boxes they take.

    They stand outside the cloth where they have room: within ``room`` where it is given, clear of
    ``beside``. Else they stand on the piece. ``names`` are boxes of words that are there already.
    """
    marks: list[Mark] = []
    boxes: list[shapely.Polygon] = []
    leaders: list[shapely.Geometry] = []
    for c in calls:
        tried = [*_outside(c, cloth, room, beside), *_on_piece(c, room)]
        words, leader = next(
            (
                (w, lead)
                for w, lead in tried
                for box in [_box(w)]
                if not any(box.intersects(g) for g in (*names, *boxes, *leaders))
                and not any(lead.intersects(b) for b in (*names, *boxes))
            ),
            next(_on_piece(c, None)),
        )
        box = _box(words)
        boxes.append(box)
        if abs(c.out) >= SLIGHT:
            marks.append(line(c.at, c.at + c.out * c.normal, weight=BOLD))
        shown = shapely.get_coordinates(leader.difference(box))
        if len(shown) > 1:
            leaders.append(shapely.LineString(shown[:2]))
            marks.append(line(*shown[:2], weight=HAIR))
            marks.append(circle(c.at, 0.07, THIN, fill=0.0))
        marks.append(words)
    return marks, boxes


def _box(words: Words) -> shapely.Polygon:
    """The room that words take."""
    return shapely.Polygon(words.corners).buffer(0.1)


Place = tuple[Words, shapely.LineString]
"""Words and the leader to them, which their box still covers in part."""


def _outside(
    c: Callout,
    cloth: shapely.Polygon,
    room: shapely.Geometry | None,
    beside: Sequence[shapely.Geometry],
) -> Iterator[Place]:
    leave = _leave(c.at, c.normal, cloth)
    # in a hollow edge the leader would cross the cloth again
    if c.within or leave > HOLLOW:
        return
    level = abs(c.normal[0]) < 0.5
    anchors: tuple[Anchor, ...] = ("middle", "start", "end")
    sideways: tuple[Anchor, ...] = ("start",) if c.normal[0] > 0 else ("end",)
    for far, anchor in product(np.arange(1.0, 8.0, 0.5), anchors if level else sideways):
        end = c.at + c.normal * (leave + float(far))
        words = _beside(c, end, anchor)
        box = _box(words)
        if box.intersects(cloth) or any(box.intersects(g) for g in beside):
            continue
        if room is None or room.covers(box):
            yield words, shapely.LineString([c.at, end])


def _beside(c: Callout, at: Array, anchor: Anchor) -> Words:
    if abs(c.normal[0]) < 0.5:
        # set to one side the words begin or end beside their leader
        aside = {"middle": 0.0, "start": 0.15, "end": -0.15}[anchor]
        drop = np.array([aside, 0.0 if c.normal[1] > 0 else -0.4])
        return Words(at + drop, c.text, 0.5, bold=True, anchor=anchor)
    return Words(at - [0.0, 0.18], c.text, 0.5, bold=True, anchor=anchor)


def _on_piece(c: Callout, room: shapely.Geometry | None) -> Iterator[Place]:
    level = abs(c.normal[0]) < 0.5
    first: Anchor = "middle" if level or c.within else "start" if c.normal[0] < 0 else "end"
    anchors: tuple[Anchor, ...] = (first, *(a for a in ("start", "middle", "end") if a != first))
    for anchor, deep in product(anchors, (1.0, 1.7, 2.4, 3.1, 3.8, 4.5)):
        at = c.at - deep * c.normal
        words = Words(at - [0.0, 0.18], c.text, 0.5, 0.0, True, anchor, halo=True)
        if room is None or room.covers(shapely.Polygon(words.corners)):
            yield words, shapely.LineString([c.at, at])


def _leave(at: Array, way: Array, cloth: shapely.Polygon) -> float:
    """How far from a place a line leaves the cloth for good along a direction, cm."""
    ray = shapely.LineString([at, at + 60.0 * way])
    crossing = shapely.get_coordinates(shapely.intersection(ray, cloth.exterior))
    return float(((crossing - at) @ way).max()) if len(crossing) else 0.0
