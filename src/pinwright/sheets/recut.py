"""The recut sheet: old and new net line over the cut cloth, what to trim, what is let out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import cloth_as_cut
from pinwright.cutting.cutline import net_polygon
from pinwright.sheets.arrange import Page, arranged
from pinwright.sheets.callouts import callouts, set_out
from pinwright.sheets.changes import Region, changed, notch_moves, only_moved, regions
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import (
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
    line,
    mirrored,
    moved,
)
from pinwright.sheets.pages import page_number
from pinwright.sheets.pdf import LONGEST, MARGIN, POINTS, canvas, finish, paint
from pinwright.sheets.picture import (
    fold_marks,
    inside,
    lettering,
    net_stroke,
    notch,
    opening,
    outline_stroke,
)
from pinwright.sheets.recut_key import hatch, key, key_pages, letter, recut_rows
from pinwright.sheets.tiles import relabelled, tiled
from pinwright.sheets.tiling import Paper, Tiling, page_room, tiling
from pinwright.sheets.words import FittingWords, words_fit, words_pages

Array = NDArray[np.float64]


def recut_pieces(pieces: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """The pieces a fitting changed whose cloth is cut.

    What follows from them by rule, and what is cut later, is cut anew as it now is: see
    :func:`cut_anew`.
    """
    return tuple(d for d in pieces if _is_cut(d) and changed(d))


def cut_anew(pieces: Sequence[Drawn]) -> tuple[Drawn, ...]:
    """The changed pieces that no cut cloth binds: facings, pocketing, fly, band, interfacings.

    They are cut from the cloth held back for them, so nothing of them can be missing. One that only
    lies elsewhere, as a patch pocket set lower, has not changed.
    """
    return tuple(
        d
        for d in pieces
        if not _is_cut(d)
        and changed(d)
        and not (d.before is not None and only_moved(d.before, d.piece))
    )


def _is_cut(d: Drawn) -> bool:
    return d.cloth is not None or (d.piece.stage == "fitting" and d.piece.follows is None)


def recut_drawing(d: Drawn, heading: Heading, first: int = 1) -> tuple[Drawing, int]:
    """One changed piece with its key beside it, and the next free number of its areas."""
    found = regions(d, first)
    calls, boxes = set_out(callouts(d, heading.unit), _cloth(d), names=_names(d))
    shown = (*piece_drawing(d, found), *_handed(d, calls))
    drawing = shown + lettering(d, [*(r.area for r in found), *boxes])
    x1, top = bounds(drawing)[2:]
    return drawing + moved(key(d, found, heading), x1 + 1.5, top), first + len(found)


def _cloth(d: Drawn) -> shapely.Polygon:
    return d.cloth or cloth_as_cut(d.before or d.piece)


def _names(d: Drawn) -> list[shapely.Polygon]:
    """The boxes of the names of lines."""
    return [shapely.Polygon(m.corners) for m in inside(d.piece) if isinstance(m, Words)]


def _handed(d: Drawn, marks: Sequence[Mark]) -> Drawing:
    return mirrored(tuple(marks)) if d.mirror else tuple(marks)


def piece_drawing(d: Drawn, found: Sequence[Region]) -> Drawing:
    """The piece over its cloth with its areas, without words about what moved and its label."""
    before = d.before or d.piece
    marks: list[Mark] = []
    for r in found:
        marks += hatch(r.kind, r.area, d.mirror)
    marks += [
        outline_stroke(shapely.get_coordinates(_cloth(d).exterior), before, FINE, "cloth"),
        net_stroke(before, FINE, DASHED),
        net_stroke(d.piece, HEAVY, ()),
        *_old_inside(d),
        *inside(d.piece),
        *(m for n in d.notches for m in notch(n, cut=False)),
    ]
    for old, _, _ in notch_moves(d):
        ticks = (m for m in notch(old, cut=False) if isinstance(m, Stroke))
        marks += [replace(m, weight=HAIR, dash=(0.1, 0.08)) for m in ticks]
    marks += fold_marks(d, shapely.get_coordinates(_cloth(d).exterior))
    for r in found:
        marks += _lettered(r)
    return _handed(d, marks)


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
            marks += (
                opening(x, net_polygon(d.before), old=True)
                if x.kind == "opening"
                else [Stroke((x.path.ctrl,), HAIR, DASHED)]
            )
    for m, n in zip(d.before.marks, d.piece.marks, strict=True):
        if float(np.hypot(*(m.at - n.at))) >= 0.05:
            marks.append(circle(m.at, 0.2, HAIR))
    return marks


def _lettered(r: Region) -> list[Mark]:
    """The region's letter in a white disc, in the middle of it."""
    inscribed = shapely.maximum_inscribed_circle(r.area)
    inner = r.area.buffer(-0.8 * float(inscribed.length))
    home = inner if not inner.is_empty else r.area
    at = shapely.get_coordinates(shapely.shortest_line(home, r.area.centroid))[0]
    disc = circle(at, 0.42, FINE, fill=1.0)
    return [disc, Words(at - [0.0, 0.18], letter(r.number), 0.5, bold=True, anchor="middle")]


def recut_sheet(
    path: Path | str,
    pieces: Sequence[Drawn],
    heading: Heading,
    words: FittingWords,
    paper: Paper = "a4",
) -> Path:
    """The fitting in words, then a 1:1 page for every piece that changed."""
    c, buffer = canvas(heading, "recut")
    number = 1
    shown: list[Page] = []
    for d in recut_pieces(pieces):
        drawing, number = recut_drawing(d, heading, number)
        shown += arranged([drawing], 1e6, LONGEST)
    said, margin = words_fit(words, heading, paper)
    count = said + len(shown)
    words_pages(c, words, heading, paper, margin, count)
    for k, page in enumerate(shown, said + 1):
        wide = page.width + 2 * MARGIN
        c.setPageSize((wide * POINTS, (page.height + 2 * MARGIN) * POINTS))
        paint(c, [page_number(k, count, wide)])
        c.translate(MARGIN * POINTS, MARGIN * POINTS)
        for placed in page.drawings:
            paint(c, placed)
        c.showPage()
    return finish(c, buffer, path)


def recut_tiles(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, paper: Paper = "a4"
) -> Path | None:
    """The changed pieces of the recut sheet on joined A4 or Letter pages, None without any.

    What lines and letters mean stands on the first pages, and the words about what moved keep to
    the pages that the pieces need anyway.
    """
    shown, number = [], 1
    for d in recut_pieces(pieces):
        found = regions(d, number)
        shown.append((d, found))
        number += len(found)
    if not shown:
        return None
    bare = [piece_drawing(d, found) + lettering(d, [r.area for r in found]) for d, found in shown]
    t, besides = called(tiling(bare, paper), shown, heading)
    t = relabelled(t, [d for d, _ in shown], besides)
    return tiled(path, t, heading, paper, "recut", recut_rows(), key_pages(shown, heading, paper))


Shown = Sequence[tuple[Drawn, Sequence[Region]]]


def called(
    t: Tiling, shown: Shown, heading: Heading
) -> tuple[Tiling, list[list[shapely.Geometry]]]:
    """The tiling with the words about what moved, each whole on a page that is there already.

    And for each piece what its label keeps clear of: its areas and those words.
    """
    pages = page_room(t)
    flips = [np.array([-1.0 if d.mirror else 1.0, 1.0]) for d, _ in shown]
    home = {i: np.array([dx, dy]) for i, dx, dy in t.page.placed}
    cloths = {
        i: shapely.transform(_cloth(shown[i][0]), lambda p, at=at, f=flips[i]: p * f + at)
        for i, at in home.items()
    }
    taken: list[shapely.Geometry] = []
    besides: list[list[shapely.Geometry]] = [[] for _ in shown]
    drawings = []
    for drawing, (i, _, _) in zip(t.page.drawings, t.page.placed, strict=True):
        d, found = shown[i]

        def own(
            g: shapely.Geometry, at: Array = home[i], flip: Array = flips[i]
        ) -> shapely.Geometry:
            return shapely.transform(g, lambda p: (p - at) * flip)

        labels = [
            shapely.Polygon(m.corners)
            for m in drawing
            if isinstance(m, Words)
            and m.role == "label"
            and not cloths[i].covers(shapely.Polygon(m.corners))
        ]
        others = [own(g) for g in (*(c for k, c in cloths.items() if k != i), *taken, *labels)]
        calls, boxes = set_out(callouts(d, heading.unit), _cloth(d), own(pages), others, _names(d))
        drawings.append((*drawing, *moved(_handed(d, calls), *home[i])))
        taken += [shapely.transform(b, lambda p, at=home[i], f=flips[i]: p * f + at) for b in boxes]
        besides[i] = [*(r.area for r in found), *boxes]
    return replace(t, page=replace(t.page, drawings=tuple(drawings))), besides
