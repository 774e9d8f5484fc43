"""The recut sheet: old and new net line over the cut cloth, what to trim, what is let out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import cloth_as_cut
from pinwright.sheets.arrange import arranged
from pinwright.sheets.changes import Region, Shift, changed, regions, shifts
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import (
    BOLD,
    DASHED,
    FINE,
    HAIR,
    HEAVY,
    THIN,
    Drawing,
    Mark,
    Stroke,
    Words,
    bounds,
    circle,
    hatched,
    line,
    mirrored,
    moved,
    polygon_stroke,
)
from pinwright.sheets.lettering import wrapped
from pinwright.sheets.pdf import LONGEST, MARGIN, POINTS, canvas, finish, paint
from pinwright.sheets.picture import fold_mark, inside, lettering, net_stroke, notch
from pinwright.sheets.tiles import relabelled, tiled
from pinwright.sheets.tiling import Paper, tiling
from pinwright.sheets.words import FittingWords, words_pages

Array = NDArray[np.float64]

KEY_WIDTH = 15.0
"""Width of the key beside a piece, cm."""

HOLLOW = 9.0
"""A leader longer than this, cm, is not drawn."""


def recut_pieces(pieces: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """The pieces a fitting changed whose cloth is cut.

    What follows from them by rule, and what is cut later, is cut anew as it now is: see
    :func:`cut_anew`.
    """
    return tuple(d for d in pieces if _is_cut(d) and changed(d))


def cut_anew(pieces: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """The changed pieces that no cut cloth binds: facings, pocketing, fly, band, interfacings.

    They are cut from the cloth held back for them, so nothing of them can be missing.
    """
    return tuple(d for d in pieces if not _is_cut(d) and changed(d))


def _is_cut(d: Drawn) -> bool:
    return d.cloth is not None or (d.piece.stage == "fitting" and d.piece.follows is None)


def recut_drawing(d: Drawn, heading: Heading, first: int = 1) -> tuple[Drawing, int]:
    """One changed piece with its key beside it, and the next free number."""
    found = regions(d, first)
    before = d.before or d.piece
    cloth = d.cloth or cloth_as_cut(before)
    marks: list[Mark] = []
    for r in found:
        marks += hatch(r.kind, r.area, d.mirror)
    marks += [
        polygon_stroke(cloth, FINE, role="cloth"),
        net_stroke(before, FINE, DASHED),
        net_stroke(d.piece, HEAVY, ()),
        *_old_inside(d),
        *inside(d.piece),
        *(m for n in d.notches for m in notch(n, cut=False)),
    ]
    if d.piece.cut == "fold" and d.piece.fold:
        marks += fold_mark(d.piece, d.piece.edge(d.piece.fold), d.side != "both")
    marks += distances(shifts(before, d.piece), cloth, heading)
    for r in found:
        marks += _number(r)
    drawing = tuple(marks)
    drawing = (mirrored(drawing) if d.mirror else drawing) + lettering(d, [r.area for r in found])
    x1 = bounds(drawing)[2]
    top = bounds(drawing)[3]
    return drawing + moved(key(d, found, heading), x1 + 1.5, top), first + len(found)


def hatch(kind: str, area: shapely.Polygon, mirror: bool = False) -> list[Mark]:
    """Trim: single slanted lines. Reserve used: slanted the other way, broken. Missing: crossed.

    With ``mirror`` the lines slant so that they look the same once the drawing is mirrored.
    """
    slant = -45.0 if mirror else 45.0
    outline = polygon_stroke(area, THIN)
    if kind == "trim":
        lines = [hatched(area, slant, 0.35, THIN, role="trim")]
    elif kind == "use":
        lines = [hatched(area, -slant, 0.22, HAIR, (0.3, 0.12), role="use")]
    else:
        lines = [hatched(area, a, 0.22, FINE, role="lack") for a in (45.0, -45.0)]
    return [outline, *(s for s in lines if s is not None)]


def _old_inside(d: Drawn) -> list[Mark]:
    """Darts, lines and marks where they were, dashed, where they moved."""
    if d.before is None:
        return []
    marks: list[Mark] = []
    for old, new in zip(d.before.darts, d.piece.darts, strict=True):
        a, b = d.before.mouth(old.name)
        ends = d.piece.mouth(new.name)
        gone = max(
            float(np.hypot(*(p - q))) for p, q in ((a, ends[0]), (b, ends[1]), (old.apex, new.apex))
        )
        if gone >= 0.05:
            marks.append(line(a, old.apex, b, weight=THIN, dash=DASHED))
    for x, y in zip(d.before.lines, d.piece.lines, strict=True):
        if x.path.spans != y.path.spans or float(np.abs(x.path.ctrl - y.path.ctrl).max()) >= 0.05:
            marks.append(Stroke((x.path.ctrl,), HAIR, DASHED))
    for m, n in zip(d.before.marks, d.piece.marks, strict=True):
        if float(np.hypot(*(m.at - n.at))) >= 0.05:
            marks.append(circle(m.at, 0.2, HAIR))
    return marks


def distances(moves: Sequence[Shift], cloth: shapely.Polygon, heading: Heading) -> list[Mark]:
    """The distance each named place moved, written outside the cloth with a leader."""
    marks: list[Mark] = []
    taken: list[shapely.Polygon] = []
    said: list[tuple[Shift, str]] = []
    for s in moves:
        text = s.text(heading.unit)
        if not text or any(_same_place(s, other) and text == t for other, t in said):
            continue
        said.append((s, text))
        marks.append(line(s.at, s.at + s.out * s.normal, weight=BOLD))
        if _leave(s.at, s.normal, cloth) > HOLLOW:
            # in a hollow edge the leader would cross the cloth again: the words go inside
            at = s.at - 1.0 * s.normal
            way = "start" if s.normal[0] < 0 else "end"
            marks.append(Words(at, text, 0.5, 0.0, True, way, halo=True))  # type: ignore[arg-type]
            continue
        for far in np.arange(1.0, 8.0, 0.5):
            words = _beside(s, text, _leave(s.at, s.normal, cloth) + float(far))
            box = shapely.Polygon(words.corners).buffer(0.1)
            if not box.intersects(cloth) and not any(box.intersects(t) for t in taken):
                break
        taken.append(box)
        end = words.at - 0.25 * s.normal
        marks.append(line(s.at, end, weight=HAIR))
        marks.append(circle(s.at, 0.07, THIN, fill=0.0))
        marks.append(words)
    return marks


def _same_place(a: Shift, b: Shift) -> bool:
    """Whether two edges that run on smoothly tell the same of the corner they share."""
    return float(np.hypot(*(a.at - b.at))) < 0.01 and float(a.normal @ b.normal) > 0.85


def _beside(s: Shift, text: str, far: float) -> Words:
    at = s.at + s.normal * far
    if abs(s.normal[0]) < 0.5:
        drop = np.array([0.0, 0.0 if s.normal[1] > 0 else -0.4])
        return Words(at + drop, text, 0.5, bold=True, anchor="middle")
    anchor = "start" if s.normal[0] > 0 else "end"
    return Words(at - [0.0, 0.18], text, 0.5, bold=True, anchor=anchor)  # type: ignore[arg-type]


def _leave(at: Array, way: Array, cloth: shapely.Polygon) -> float:
    """How far from a place a line leaves the cloth for good along a direction, cm."""
    ray = shapely.LineString([at, at + 60.0 * way])
    crossing = shapely.get_coordinates(shapely.intersection(ray, cloth.exterior))
    return float(((crossing - at) @ way).max()) if len(crossing) else 0.0


def _number(r: Region) -> list[Mark]:
    """The region's number in a white disc, in the middle of it."""
    inscribed = shapely.maximum_inscribed_circle(r.area)
    inner = r.area.buffer(-0.8 * float(inscribed.length))
    home = inner if not inner.is_empty else r.area
    at = shapely.get_coordinates(shapely.shortest_line(home, r.area.centroid))[0]
    disc = circle(at, 0.42, FINE, fill=1.0)
    return [disc, Words(at - [0.0, 0.18], str(r.number), 0.5, bold=True, anchor="middle")]


def key(d: Drawn, found: Sequence[Region], heading: Heading) -> Drawing:
    """What the numbers and lines mean, from (0, 0) downwards, ``KEY_WIDTH`` cm wide."""
    marks: list[Mark] = []
    y = -1.0

    def say(text: str, size: float, bold: bool = False, indent: float = 0.0) -> None:
        nonlocal y
        for part in wrapped(text, size, KEY_WIDTH - indent, bold):
            marks.append(Words(np.array([indent, y]), part, size, bold=bold))
            y -= 1.4 * size

    say(d.title, 0.9, True)
    y -= 0.1
    if d.side != "both":
        say(f"{d.side.upper()} ONLY", 0.8, True)
    for text in (heading.client, f"order {heading.order}, {heading.garment}",
                 f"{heading.fitting}, {heading.date}", d.count):  # fmt: skip
        say(text, 0.45)
    y -= 0.5
    for r in found:
        marks.append(circle(np.array([0.42, y + 0.15]), 0.38, FINE))
        marks.append(Words(np.array([0.42, y - 0.01]), str(r.number), 0.45, bold=True,
                           anchor="middle"))  # fmt: skip
        patch = shapely.box(1.1, y - 0.15, 2.3, y + 0.45)
        marks += hatch(r.kind, patch)
        say(r.text(heading.unit), 0.45, r.kind == "lack", 2.6)
        y -= 0.25
    if not found:
        say("Nothing to trim and no reserve used.", 0.45)
    y -= 0.4
    for weight, dash, text in (
        (HEAVY, (), "new net line"),
        (FINE, DASHED, "old net line, as drafted"),
        (FINE, (), "cloth as it was cut"),
    ):
        marks.append(line((0.0, y + 0.12), (2.3, y + 0.12), weight=weight, dash=dash))
        say(text, 0.42, indent=2.6)
    for kind, text in (
        ("trim", "trim away"),
        ("use", "reserve used: the garment now takes this cloth"),
        ("lack", "cloth is missing"),
    ):
        marks += hatch(kind, shapely.box(0.0, y - 0.12, 2.3, y + 0.36))
        say(text, 0.42, indent=2.6)
    y -= 0.3
    unit = "cm" if heading.unit == "cm" else "inches"
    say(f"Distances in {unit}, square to the old net line. The grain stays as it was cut.", 0.38)
    say("Mind the shears: chalk first, measure, then cut.", 0.38, True)
    return tuple(marks)


def recut_sheet(
    path: Path | str,
    pieces: Sequence[Drawn],
    heading: Heading,
    words: FittingWords,
    paper: Paper = "a4",
) -> Path:
    """The fitting in words, then a 1:1 page for every piece that changed."""
    c, buffer = canvas(heading, "recut")
    words_pages(c, words, heading, paper)
    number = 1
    for d in recut_pieces(pieces):
        drawing, number = recut_drawing(d, heading, number)
        for page in arranged([drawing], 1e6, LONGEST):
            c.setPageSize(((page.width + 2 * MARGIN) * POINTS, (page.height + 2 * MARGIN) * POINTS))
            c.translate(MARGIN * POINTS, MARGIN * POINTS)
            for placed in page.drawings:
                paint(c, placed)
            c.showPage()
    return finish(c, buffer, path)


def recut_tiles(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, paper: Paper = "a4"
) -> Path | None:
    """The changed pieces of the recut sheet on joined A4 or Letter pages, None without any."""
    drawings, besides = [], []
    number = 1
    shown = recut_pieces(pieces)
    for d in shown:
        besides.append([r.area for r in regions(d, number)])
        drawing, number = recut_drawing(d, heading, number)
        drawings.append(drawing)
    if not drawings:
        return None
    t = relabelled(tiling(drawings, paper), shown, besides)
    return tiled(path, t, heading, paper, "recut")
