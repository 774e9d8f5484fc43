"""The client's figure on paper for the fitting: from all four sides to scale, and what it tells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from pinwright.cutting.sentences import capital
from pinwright.errors import GeometryError
from pinwright.figure.ease import Ease
from pinwright.figure.figure import Figure
from pinwright.figure.pictures import SIDES, drawing
from pinwright.figure.seen import Seen, seen
from pinwright.measures.units import LengthUnit
from pinwright.sheets.columns import GAP, set_in_columns
from pinwright.sheets.drawn import Heading
from pinwright.sheets.figure_tables import told
from pinwright.sheets.ink import Drawing, Words, bounds, moved, scaled
from pinwright.sheets.lay_sheet import SCALES, scale_bar
from pinwright.sheets.legend import written
from pinwright.sheets.lettering import wrapped
from pinwright.sheets.pages import paged
from pinwright.sheets.tiling import EDGE, PAPERS, Paper

FOOT = 1.6
"""Room for the scale bar and the caution under the drawing, cm."""

LETTER = 0.36
"""Letters of the caution under the drawing, cm: 10 points."""


def figure_sheet(
    figure: Figure,
    eases: Mapping[str, Sequence[Ease]],
    opinions: Sequence[str],
    caution: str,
    heading: Heading,
    paper: Paper = "a4",
) -> bytes:
    """The figure as PDF: a page with its four views, then its measures and what it tells.

    Pages lie on their side. eases: by garment. opinions, caution: sentences. What is printed is in
    the unit of the heading. The scale is stated and drawn as a bar.

    Raises:
        GeometryError: an unknown paper.
    """
    if paper not in PAPERS:
        raise GeometryError(f"Paper {paper!r} is not known; it may be {', '.join(PAPERS)}.")
    high, wide = (side - 2 * EDGE for side in PAPERS[paper])
    column = (wide - GAP) / 2.0
    unit = heading.unit
    small, top = _head(heading, wide, high, 0.6)
    sections = told(figure, eases, opinions, unit, column)
    pages = set_in_columns(sections, column, top - 0.3)
    count = len(pages) + 1
    drawings: list[Drawing] = [_views(figure, caution, heading, wide, high)]
    drawings += [(*small, *page) for page in pages]
    numbered = [
        (*page, Words(np.array([wide, high - 0.5]), f"page {k} of {count}", 0.36, anchor="end"))
        for k, page in enumerate(drawings, 1)
    ]
    return paged(numbered, heading, "the figure", PAPERS[paper][::-1])


def _head(heading: Heading, wide: float, high: float, letter: float) -> tuple[Drawing, float]:
    """Whose figure, of which order, when; and where it ends."""
    garments = f"{capital(heading.garment)}, " if heading.garment else ""
    rows = [
        (f"{heading.client}: the figure", letter, True),
        (f"{garments}order {heading.order}, {heading.fitting}, {heading.date}", 0.4, False),
    ]
    return written(rows, 0.0, high, 0.85 * wide)


def _views(figure: Figure, caution: str, heading: Heading, wide: float, high: float) -> Drawing:
    """The page with the four views, in the middle of what head and foot leave."""
    head, top = _head(heading, wide, high, 0.75)
    views = tuple(seen(figure.points, figure.faces, figure.marks, side) for side in SIDES)
    room = (wide, top - FOOT - 0.2)
    scale, picture = fitted(views, figure, heading.unit, room)
    x0, y0, x1, y1 = bounds(picture)
    dx = (room[0] - (x1 - x0)) / 2.0 - x0
    dy = FOOT + (room[1] - (y1 - y0)) / 2.0 - y0
    bar, reach = scale_bar(scale, heading.unit)
    x = reach + 1.6
    lines = wrapped(caution, LETTER, wide - x, bold=True)
    words = [
        Words(np.array([x, 1.0 - 0.5 * k]), part, LETTER, bold=True) for k, part in enumerate(lines)
    ]
    return (*head, *moved(picture, dx, dy), *moved(bar, 0.15, 0.7), *words)


def fitted(
    views: Sequence[Seen], figure: Figure, unit: LengthUnit, room: tuple[float, float]
) -> tuple[int, Drawing]:
    """The largest scale at which the views fit ``room`` (width, height) cm, and these drawn so."""
    for scale in SCALES:
        picture = scaled(drawing(views, figure.marks, unit, scale=scale), 1.0 / scale)
        x0, y0, x1, y1 = bounds(picture)
        if x1 - x0 <= room[0] and y1 - y0 <= room[1]:
            return scale, picture
    raise GeometryError("The figure does not fit the paper at any scale.")
