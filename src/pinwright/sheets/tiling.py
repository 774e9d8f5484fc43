"""A large sheet cut into the pages people have: A4, Letter or A3, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

import numpy as np
import shapely

from pinwright.errors import GeometryError
from pinwright.sheets.arrange import Page, arranged
from pinwright.sheets.ink import Drawing, Words, moved
from pinwright.sheets.ink import bounds as bounds_of

Paper = Literal["a4", "letter", "a3"]

PAPERS: dict[str, tuple[float, float]] = {
    "a4": (21.0, 29.7),
    "letter": (21.59, 27.94),
    "a3": (29.7, 42.0),
}
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
    return _shifted(best, w, h)


_STEP = 2.0
"""How far apart the places are that are tried for a sheet on its pages, cm."""


def _shifted(t: Tiling, w: float, h: float) -> Tiling:
    """The same sheet set down or to the right on its pages where that needs fewer of them."""
    spare_x = t.columns * (w - OVERLAP) + OVERLAP - t.page.width
    spare_y = t.rows * (h - OVERLAP) + OVERLAP - t.page.height
    for dx, dy in (
        *((0.0, float(d)) for d in np.arange(_STEP, spare_y, _STEP)),
        *((float(d), 0.0) for d in np.arange(_STEP, spare_x, _STEP)),
    ):
        found = _cut(_set_off(t.page, dx, dy), w, h)
        if _trouble(found) < _trouble(t):
            t = found
    return t


def _set_off(page: Page, dx: float, dy: float) -> Page:
    """The sheet ``dx`` cm further right and ``dy`` cm further down."""
    return Page(
        tuple(moved(d, dx, 0.0) for d in page.drawings),
        page.width + dx,
        page.height + dy,
        tuple((i, x + dx, y) for i, x, y in page.placed),
    )


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
    return Tiling(page, _needed(tiles, there, w, h), rows, columns, (w, h))


def _needed(tiles: list[Tile], there: shapely.STRtree, w: float, h: float) -> tuple[Tile, ...]:
    """The pages without those that show nothing but what their neighbours show too."""
    windows = {t: shapely.box(t.left, t.bottom, t.left + w, t.bottom + h) for t in tiles}
    kept = list(tiles)
    for t in reversed(tiles):
        beside = [
            windows[o]
            for o in kept
            if o != t and abs(o.row - t.row) <= 1 and abs(o.column - t.column) <= 1
        ]
        alone = windows[t].difference(shapely.union_all(beside).buffer(1e-3))
        if not len(there.query(alone, predicate="intersects")):
            kept.remove(t)
    return tuple(kept)


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


def page_room(t: Tiling) -> shapely.Geometry:
    """Where words lie whole on one page that is there and clear of the joining marks."""
    w, h = t.window
    windows = [shapely.box(p.left, p.bottom, p.left + w, p.bottom + h) for p in t.tiles]
    ends = [end.buffer(0.05) for end in page_ends(t)]
    return shapely.union_all(windows).difference(shapely.union_all([*ends, *join_boxes(t)]))


def join_boxes(t: Tiling) -> list[shapely.Polygon]:
    """The paper that the joining marks with their numbers take."""
    return [
        shapely.box(x - 0.6, y - 1.1, x + 1.6, y + 0.6)
        for tile in t.tiles
        for _, dx, dy in joins(t, tile)
        for x, y in [(tile.left + dx, tile.bottom + dy)]
    ]


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
