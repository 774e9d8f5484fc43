"""The large sheet on the paper people have: A4 or Letter pages that are joined, with a map."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil
from pathlib import Path
from typing import Any, Literal

import numpy as np
import shapely

from pinwright.errors import GeometryError
from pinwright.sheets.arrange import Page, arranged
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
from pinwright.sheets.legend import (
    KEY_HIGH,
    SQUARE,
    estimated_words,
    line_key,
    test_square,
    written,
)
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.pdf import POINTS, canvas, finish, paint
from pinwright.sheets.picture import lettering, picture

Paper = Literal["a4", "letter"]

PAPERS: dict[str, tuple[float, float]] = {"a4": (21.0, 29.7), "letter": (21.59, 27.94)}
"""Width and height, cm (ISO 216; ANSI/ASME Y14.1 A, 8.5 by 11 in)."""

EDGE = 1.0
"""Margin most printers cannot print in, cm."""

OVERLAP = 1.0
"""How far neighbouring pages lie over each other, cm."""


@dataclass(frozen=True, slots=True)
class Tile:
    """A page of the tiling: ``row`` from the top, ``column`` from the left, its corner in cm."""

    row: int
    column: int
    left: float
    bottom: float

    @property
    def name(self) -> str:
        """Row letter and column number, as A1."""
        return f"{_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True, eq=False)
class Tiling:
    """An arrangement cut into pages; ``window`` is what a page shows, cm."""

    page: Page
    tiles: tuple[Tile, ...]
    rows: int
    columns: int
    window: tuple[float, float]


def _letters(row: int) -> str:
    text = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        text = chr(65 + rest) + text
    return text


def tiling(drawings: Sequence[Drawing], paper: Paper) -> Tiling:
    """The drawings arranged so that the fewest pages are needed, and cut into pages.

    Raises:
        GeometryError: an unknown paper.
    """
    if paper not in PAPERS:
        raise GeometryError(f"Paper {paper!r} is not known; it may be {', '.join(PAPERS)}.")
    w, h = (side - 2 * EDGE for side in PAPERS[paper])
    widest = max(b[2] - b[0] for b in map(bounds_of, drawings))
    least = max(1, ceil((widest - OVERLAP) / (w - OVERLAP)))
    best: Tiling | None = None
    for columns in range(least, max(least, 6) + 1):
        pages = arranged(drawings, columns * (w - OVERLAP) + OVERLAP, 1e6, gap=1.0)
        found = _cut(pages[0], w, h)
        if best is None or _trouble(found) < _trouble(best):
            best = found
    assert best is not None
    return best


def _trouble(t: Tiling) -> float:
    """What a tiling costs the table: its pages, and a little for every row of a tall sheet."""
    return len(t.tiles) + 0.25 * t.rows


def _cut(page: Page, w: float, h: float) -> Tiling:
    step_x, step_y = w - OVERLAP, h - OVERLAP
    columns = max(1, ceil((page.width - OVERLAP) / step_x - 1e-9))
    rows = max(1, ceil((page.height - OVERLAP) / step_y - 1e-9))
    there = shapely.STRtree([g for d in page.drawings for g in _covered(d)])
    tiles = []
    for r in range(rows):
        for c in range(columns):
            left, bottom = c * step_x, page.height - r * step_y - h
            window = shapely.box(left, bottom, left + w, bottom + h)
            if len(there.query(window, predicate="intersects")):
                tiles.append(Tile(r, c, left, bottom))
    return Tiling(page, tuple(tiles), rows, columns, (w, h))


def _covered(drawing: Drawing) -> list[shapely.Geometry]:
    """The paper a drawing needs: its outline with what lies inside, its words, its strokes."""
    parts: list[shapely.Geometry] = []
    for m in drawing:
        if isinstance(m, Words):
            parts.append(shapely.Polygon(m.corners))
            continue
        for chain in m.chains:
            points = chain.reshape(-1, 2)
            whole = m.role in ("cut line", "cloth") and len(points) > 3
            parts.append(
                shapely.Polygon(points).buffer(0.05) if whole else shapely.LineString(points)
            )
    return parts


def tiled_sheet(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, paper: Paper = "a4"
) -> Path:
    """All pieces of a garment at 1:1 on A4 or Letter pages, a map and the test square first.

    Raises:
        GeometryError: an unknown paper.
    """
    t = tiling([picture(d) for d in pieces], paper)
    return tiled(path, relabelled(t, pieces), heading, paper, "pieces")


def relabelled(
    t: Tiling, pieces: Sequence[Drawn], besides: Sequence[Sequence[shapely.Geometry]] = ()
) -> Tiling:
    """The tiling with each piece's label set where no page ends, so that one page carries it whole.

    ``besides`` are for each piece the areas its label keeps clear of. A label that fits nowhere
    inside its piece so stays where it was.
    """
    ends = shapely.union_all(page_ends(t))
    drawings = []
    for drawing, (i, dx, dy) in zip(t.page.drawings, t.page.placed, strict=True):
        d = pieces[i]
        flip = np.array([-1.0 if d.mirror else 1.0, 1.0])
        here = shapely.transform(ends, lambda p, dx=dx, dy=dy, f=flip: (p - [dx, dy]) * f)
        beside = besides[i] if besides else ()
        label = moved(lettering(d, [*beside, here]), dx, dy)
        old = [m for m in drawing if m.role == "label"]
        if bounds_of(label)[3] <= bounds_of(drawing)[3] + 1e-9 and old:
            drawing = (*(m for m in drawing if m.role != "label"), *label)
        drawings.append(drawing)
    return replace(t, page=replace(t.page, drawings=tuple(drawings)))


def page_ends(t: Tiling) -> list[shapely.LineString]:
    """Where pages end, right and below: what crosses none of these lines lies on one page."""
    w, h = t.window
    far = t.page.width + t.page.height + w + h
    ends = [
        shapely.LineString([(x, -far), (x, far)])
        for x in (c * (w - OVERLAP) + w for c in range(t.columns - 1))
    ]
    bottoms = (t.page.height - r * (h - OVERLAP) - h for r in range(t.rows - 1))
    return ends + [shapely.LineString([(-far, y), (far, y)]) for y in bottoms]


def tiled(path: Path | str, t: Tiling, heading: Heading, paper: Paper, what: str) -> Path:
    """Any drawings at 1:1 on joined pages."""
    size = PAPERS[paper]
    c, buffer = canvas(heading, f"{what} 1:1, {paper}")
    c.setPageSize((size[0] * POINTS, size[1] * POINTS))
    _map_page(c, t, heading, size, what)
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


def joins(t: Tiling, tile: Tile) -> list[tuple[int, float, float]]:
    """Joining marks on a page: (number, x, y) cm in the page's window.

    The same mark has the same number, and the same place on the whole sheet, on both pages. Each
    join has two marks a quarter in from its ends.
    """
    w, h = t.window
    half = OVERLAP / 2
    across = t.rows * (t.columns - 1)
    found = []
    there = {(other.row, other.column) for other in t.tiles}
    for c, beside in ((tile.column - 1, tile.column - 1), (tile.column, tile.column + 1)):
        if (tile.row, beside) in there:
            x = half if c < tile.column else w - half
            number = 2 * (tile.row * (t.columns - 1) + c) + 1
            found += [(number, x, 0.75 * h), (number + 1, x, 0.25 * h)]
    for r, beside in ((tile.row - 1, tile.row - 1), (tile.row, tile.row + 1)):
        if (beside, tile.column) in there:
            y = h - half if r < tile.row else half
            number = 2 * (across + r * t.columns + tile.column) + 1
            found += [(number, 0.25 * w, y), (number + 1, 0.75 * w, y)]
    return found


def _frame(t: Tiling, tile: Tile, names: dict[tuple[int, int], Tile]) -> Drawing:
    w, h = t.window
    rim = np.array([[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]])
    marks: list[Mark] = [Stroke((rim,), THIN, closed=True)]
    for dr, dc, p, q in (
        (0, -1, (OVERLAP, 0.0), (OVERLAP, h)),
        (0, 1, (w - OVERLAP, 0.0), (w - OVERLAP, h)),
        (-1, 0, (0.0, h - OVERLAP), (w, h - OVERLAP)),
        (1, 0, (0.0, OVERLAP), (w, OVERLAP)),
    ):
        if (tile.row + dr, tile.column + dc) in names:
            marks.append(line(p, q, weight=HAIR, dash=DOTTED))
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


def _map_page(c: Any, t: Tiling, heading: Heading, size: tuple[float, float], what: str) -> None:
    c.saveState()
    c.translate(EDGE * POINTS, EDGE * POINTS)
    w, h = size[0] - 2 * EDGE, size[1] - 2 * EDGE
    top, y = map_head(t, heading, w, h, what)
    paint(c, top)
    bands, scale = map_bands(t, w, y)
    each = ceil(t.rows / bands)
    step_y = t.window[1] - OVERLAP
    for k in range(bands):
        mine = [tile for tile in t.tiles if k * each <= tile.row < (k + 1) * each]
        if not mine:
            continue
        c.saveState()
        c.translate(k * (t.columns * t.window[0] * scale + BAND_GAP) * POINTS, y * POINTS)
        c.scale(scale, scale)
        c.translate(0.0, (k * each * step_y - t.page.height) * POINTS)
        cells = [m for tile in mine for m in map_cell(t, tile, scale)]
        low, high = mine[-1].bottom, mine[0].bottom + t.window[1]
        clip = c.beginPath()
        clip.rect(0, low * POINTS, t.columns * t.window[0] * POINTS, (high - low) * POINTS)
        c.saveState()
        c.clipPath(clip, stroke=0, fill=0)
        for drawing in t.page.drawings:
            strokes = [m for m in drawing if isinstance(m, Stroke) and m.role in _ON_MAP]
            paint(c, [_thin(m, scale) for m in strokes])
        c.restoreState()
        paint(c, cells)
        c.restoreState()
    c.restoreState()
    c.showPage()


BAND_GAP = 0.6
"""Between the bands of a map, cm."""


def map_bands(t: Tiling, w: float, h: float) -> tuple[int, float]:
    """In how many bands of rows, side by side, the map of a tall sheet is largest; its scale."""
    return max(
        (
            (
                n,
                min(
                    (w - (n - 1) * BAND_GAP) / (n * t.columns * t.window[0]),
                    h / (ceil(t.rows / n) * t.window[1]),
                ),
            )
            for n in range(1, min(t.rows, 6) + 1)
        ),
        key=lambda found: found[1],
    )


def map_head(t: Tiling, heading: Heading, w: float, h: float, what: str) -> tuple[Drawing, float]:
    """What stands above the map, from height ``h`` down over ``w`` cm, and the height left."""
    title = f"{heading.garment[:1].upper()}{heading.garment[1:]}, {what}: {len(t.tiles)} pages"
    rows = [
        (heading.client, 0.9, True),
        (title, 0.6, True),
        (f"order {heading.order}, {heading.fitting}, {heading.date}", 0.42, False),
    ]
    head, y = written(rows, 0.0, h, w)
    y -= 0.4
    hints = (
        "Measure the square first. Cut each page along the frame at its left and its top, lay it "
        "over its neighbours by 1 cm so that rings of one number meet, and tape it. Empty pages "
        "are left out. Mind the shears and the iron."
    )
    beside, _ = written([(hints, 0.34, False)], 10.5, y - KEY_HIGH - 0.5, w - 10.5)
    marks = [*head, *test_square(0.0, y - SQUARE), *line_key(10.5, y - 0.5), *beside]
    y -= SQUARE + 0.2
    if heading.estimated:
        words, y = written([(estimated_words(heading), 0.34, True)], 0.0, y, w)
        marks += words
    return tuple(marks), y - 0.2


def map_cell(t: Tiling, tile: Tile, scale: float) -> Drawing:
    """A page on the map: its frame, hair thin, and its name in the middle of what is its own."""
    x0, y0 = tile.left, tile.bottom
    x1, y1 = x0 + t.window[0], y0 + t.window[1]
    rim = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    wide, high = t.window[0] - 2 * OVERLAP, t.window[1] - 2 * OVERLAP
    letter = min(0.5 / scale, 0.5 * high, wide / width_of(tile.name, 1.0, True))
    at = np.array([(x0 + x1) / 2, (y0 + y1) / 2 - 0.36 * letter])
    return (
        Stroke((rim,), 0.008 / scale, (0.06 / scale, 0.06 / scale), closed=True),
        Words(at, tile.name, letter, bold=True, anchor="middle", halo=True),
    )


def _thin(m: Stroke, scale: float) -> Stroke:
    """A stroke whose line is as thin on the map as it is clear."""
    return Stroke(m.chains, 0.02 / scale, (), m.closed, m.fill)


_ON_MAP = {"cut line", "cloth", "grain"}
"""What the map shows of a piece."""
