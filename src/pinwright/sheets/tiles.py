"""The large sheet on the paper people have: A4, Letter or A3 pages that are joined, with a map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
import shapely

from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import (
    DOTTED,
    HAIR,
    THIN,
    Drawing,
    Mark,
    Stroke,
    Words,
    circle,
    line,
    moved,
)
from pinwright.sheets.ink import bounds as bounds_of
from pinwright.sheets.legend import KeyRow
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.pdf import POINTS, canvas, finish, paint
from pinwright.sheets.picture import lettering, picture
from pinwright.sheets.tilemap import map_page
from pinwright.sheets.tiling import (
    EDGE,
    OVERLAP,
    PAPERS,
    Paper,
    Tile,
    Tiling,
    join_boxes,
    joins,
    page_ends,
    tiling,
)


def tiled_sheet(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, paper: Paper = "a4"
) -> Path:
    """All pieces of a garment at 1:1 on A4, Letter or A3 pages, a map and the test square first.

    Raises:
        GeometryError: an unknown paper.
    """
    t = tiling([picture(d) for d in pieces], paper)
    return tiled(path, relabelled(t, pieces), heading, paper, "pieces")


def relabelled(
    t: Tiling, pieces: Sequence[Drawn], besides: Sequence[Sequence[shapely.Geometry]] = ()
) -> Tiling:
    """The tiling with each piece's label, and what is said on its fold, set where no page ends, so
    that one page carries it whole, and clear of the joining marks.

    ``besides`` are for each piece the areas its label keeps clear of. A label that fits nowhere
    inside its piece so stays where it was.
    """
    ends = shapely.union_all([*page_ends(t), *join_boxes(t)])
    drawings = []
    for drawing, (i, dx, dy) in zip(t.page.drawings, t.page.placed, strict=True):
        d = pieces[i]
        flip = np.array([-1.0 if d.mirror else 1.0, 1.0])
        here = shapely.transform(ends, lambda p, dx=dx, dy=dy, f=flip: (p - [dx, dy]) * f)
        beside = list(besides[i]) if besides else []
        drawing = tuple(_along_bracket(m, drawing, ends) for m in drawing)
        beside += [
            shapely.transform(
                shapely.Polygon(m.corners), lambda p, dx=dx, dy=dy, f=flip: (p - [dx, dy]) * f
            )
            for m in drawing
            if isinstance(m, Words) and m.role == "fold"
        ]
        label = moved(lettering(d, [*beside, here]), dx, dy)
        old = [m for m in drawing if m.role == "label"]
        if bounds_of(label)[3] <= bounds_of(drawing)[3] + 1e-9 and old:
            drawing = (*(m for m in drawing if m.role != "label"), *label)
        drawings.append(drawing)
    return replace(t, page=replace(t.page, drawings=tuple(drawings)))


def _along_bracket(m: Mark, drawing: Drawing, ends: shapely.Geometry) -> Mark:
    """The words on a fold slid along its bracket to where they are clear of ``ends``."""
    if not isinstance(m, Words) or m.role != "fold":
        return m
    bars = (s.chains[0] for s in drawing if isinstance(s, Stroke) and s.role == "fold")
    bar = next(c for c in bars if len(c) == 4)
    t = (bar[3] - bar[0]) / float(np.hypot(*(bar[3] - bar[0])))
    spare = float(np.hypot(*(bar[3] - bar[0]))) - width_of(m.text, m.size, m.bold)
    for far in np.arange(0.0, max(spare / 2 - 0.1, 0.01), 0.25):
        for way in (1.0, -1.0):
            there = replace(m, at=m.at + way * far * t)
            # the white behind the words reaches a little further than they do
            if not shapely.Polygon(there.corners).buffer(0.15 * m.size).intersects(ends):
                return there
    return m


def tiled(
    path: Path | str,
    t: Tiling,
    heading: Heading,
    paper: Paper,
    what: str,
    rows: Sequence[KeyRow] = (),
    before: Sequence[Drawing] = (),
) -> Path:
    """Any drawings at 1:1 on joined pages.

    ``rows`` is what their lines mean; without any, what they mean on pieces. ``before`` are pages
    that stand between the map and the joined pages.
    """
    size = PAPERS[paper]
    c, buffer = canvas(heading, f"{what} 1:1, {paper}")
    c.setPageSize((size[0] * POINTS, size[1] * POINTS))
    map_page(c, t, heading, size, what, rows)
    for drawing in before:
        c.setPageSize((size[0] * POINTS, size[1] * POINTS))
        c.translate(EDGE * POINTS, EDGE * POINTS)
        paint(c, drawing)
        c.showPage()
    boxes = [bounds_of(d) for d in t.page.drawings]
    names = {(tile.row, tile.column): tile for tile in t.tiles}
    for number, tile in enumerate(t.tiles):
        c.setPageSize((size[0] * POINTS, size[1] * POINTS))
        c.saveState()
        c.translate(EDGE * POINTS, EDGE * POINTS)
        paint(c, _frame(t, tile, names))
        paint(c, _margin_words(t, tile, heading, number))
        clip = c.beginPath()
        clip.rect(0, 0, t.window[0] * POINTS, t.window[1] * POINTS)
        c.clipPath(clip, stroke=0, fill=0)
        c.translate(-tile.left * POINTS, -tile.bottom * POINTS)
        for drawing, box in zip(t.page.drawings, boxes, strict=True):
            if (
                box[0] < tile.left + t.window[0]
                and box[2] > tile.left
                and box[1] < tile.bottom + t.window[1]
                and box[3] > tile.bottom
            ):
                paint(c, drawing)
        c.restoreState()
        c.showPage()
    return finish(c, buffer, path)


def _frame(t: Tiling, tile: Tile, names: dict[tuple[int, int], Tile]) -> Drawing:
    w, h = t.window
    rim = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    marks: list[Mark] = [Stroke((rim,), THIN, closed=True, role="paper frame")]
    for dr, dc, p, q in (
        (0, -1, (OVERLAP, 0.0), (OVERLAP, h)),
        (0, 1, (w - OVERLAP, 0.0), (w - OVERLAP, h)),
        (-1, 0, (0.0, h - OVERLAP), (w, h - OVERLAP)),
        (1, 0, (0.0, OVERLAP), (w, OVERLAP)),
    ):
        if (tile.row + dr, tile.column + dc) in names:
            marks.append(line(p, q, weight=HAIR, dash=DOTTED, role="paper frame"))
    for number, x, y in joins(t, tile):
        sideways = x in (OVERLAP / 2, w - OVERLAP / 2)
        there = np.array([x, y])
        marks += [
            circle(there, 0.28, THIN),
            line((x - 0.45, y), (x + 0.45, y), weight=THIN),
            line((x, y - 0.45), (x, y + 0.45), weight=THIN),
        ]
        at = np.array([x, y - 0.85]) if sideways else np.array([x + 0.6, y - 0.15])
        anchor: Literal["middle", "start"] = "middle" if sideways else "start"
        marks.append(Words(at, str(number), 0.42, bold=True, anchor=anchor))
    w2, h2 = w / 2, h / 2
    for dr, dc, x, y, angle in (
        (0, -1, -0.25, h2, 90.0),
        (0, 1, w + 0.5, h2, 90.0),
        (-1, 0, 0.8 * w, h + 0.2, 0.0),
        (1, 0, w2, -0.5, 0.0),
    ):
        other = names.get((tile.row + dr, tile.column + dc))
        if other:
            text = f"joins {other.name}"
            marks.append(Words(np.array([x, y]), text, 0.32, angle, anchor="middle"))
    return tuple(marks)


def _margin_words(t: Tiling, tile: Tile, heading: Heading, number: int) -> Drawing:
    w, h = t.window
    said = (
        f"{heading.client}, order {heading.order}, {heading.garment}, {heading.fitting}, "
        f"{heading.date}"
    )
    return (
        Words(np.array([0.0, h + 0.2]), tile.name, 0.6, bold=True),
        Words(np.array([1.6, h + 0.2]), _shortened(said, 0.3, 0.8 * w - 3.0), 0.3),
        Words(np.array([w, -0.5]), f"page {number + 1} of {len(t.tiles)}", 0.3, anchor="end"),
    )


def _shortened(text: str, size: float, width: float) -> str:
    """A line no wider than ``width`` cm; what is left out shows as dots."""
    first = wrapped(text, size, width - width_of(" ...", size))[0]
    return text if width_of(text, size) <= width else f"{first} ..."
