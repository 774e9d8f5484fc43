"""The lay on paper: a drawing to scale with its words and the list of its pieces."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely

from pinwright.cutting.sentences import capital
from pinwright.errors import GeometryError
from pinwright.measures.amounts import at_least, needed, size
from pinwright.measures.units import CM_PER_INCH, LengthUnit
from pinwright.sheets.columns import GAP, HEAD, Block, Section, set_in_columns
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import (
    BOLD,
    DOTTED,
    FINE,
    THIN,
    Drawing,
    Mark,
    Stroke,
    Words,
    bounds,
    hatched,
    line,
    moved,
    polygon_stroke,
    scaled,
)
from pinwright.sheets.lay_picture import LayDrawing, lay_parts
from pinwright.sheets.lay_signs import (
    Sizes,
    repeat_every,
    usable,
)
from pinwright.sheets.lay_words import LaidCloth, cloth_title, cut_list, facts, instructions
from pinwright.sheets.legend import written
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.pages import page, page_number
from pinwright.sheets.pdf import canvas, finish
from pinwright.sheets.tiling import EDGE, PAPERS, Paper

SCALES = (5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 300, 500)
"""Scales a lay may be drawn at, 1 to so many: the largest that fits the paper."""

LETTER = 0.3
"""Height of letters on a lay drawn to scale, cm: 0.22 cm of capital."""

FOOT = 2.1
"""Room for the scale bar and the key under the drawing, cm."""


def lay_sheet(
    path: Path | str, lays: Sequence[LaidCloth], heading: Heading, paper: Paper = "a4"
) -> Path:
    """The lays to scale, each on a page with its words and its list of pieces on the next.

    Pages lie on their side. The scale is stated and drawn as a bar.

    Raises:
        GeometryError: an unknown paper, or no lay.
    """
    if paper not in PAPERS:
        raise GeometryError(f"Paper {paper!r} is not known; it may be {', '.join(PAPERS)}.")
    if not lays:
        raise GeometryError("There is no lay to draw; lay the pieces first.")
    high, wide = PAPERS[paper]
    c, buffer = canvas(heading, "the lay")
    pages: list[Drawing] = []
    for k, cloth in enumerate(lays):
        head, top = _head(cloth, heading, k, len(lays), wide - 2 * EDGE, high - 2 * EDGE)
        room = (wide - 2 * EDGE, top - FOOT - 0.3)
        scale, parts = fitted(cloth, heading.unit, room)
        picture = scaled(parts.whole, 1.0 / scale)
        box = bounds(picture)
        dx = (room[0] - (box[2] - box[0])) / 2 - box[0]
        dy = FOOT + (room[1] - (box[3] - box[1])) / 2 - box[1]
        drawn = (*head, *moved(picture, dx, dy), *_foot(cloth, scale, heading.unit, room[0]))
        pages.append(drawn)
        pages += _words_pages(cloth, parts, heading, wide - 2 * EDGE, high - 2 * EDGE)
    for k, shown in enumerate(pages, 1):
        number = moved((page_number(k, len(pages), wide),), -EDGE, -EDGE)
        page(c, (*shown, *number), (wide, high))
    return finish(c, buffer, path)


def fitted(cloth: LaidCloth, unit: LengthUnit, room: tuple[float, float]) -> tuple[int, LayDrawing]:
    """The largest scale at which the picture fits ``room`` (width, height) cm, and the picture."""
    x0, y0, x1, y1 = usable(cloth.lay).bounds
    for scale in SCALES:
        if (x1 - x0) / scale > room[0] or (y1 - y0) / scale > room[1]:
            continue
        parts = lay_parts(cloth.lay, cloth.on_table, Sizes(scale, LETTER, unit))
        box = bounds(parts.whole)
        fits = (box[2] - box[0]) / scale <= room[0] and (box[3] - box[1]) / scale <= room[1]
        if fits or scale == SCALES[-1]:
            return scale, parts
    raise GeometryError(
        f"The lay is {needed(cloth.lay.length, unit)} long; a drawing on this paper reaches "
        f"{at_least(room[0] * SCALES[-1], unit)} at 1:{SCALES[-1]}."
    )


def _head(
    cloth: LaidCloth, heading: Heading, k: int, count: int, w: float, h: float
) -> tuple[Drawing, float]:
    """Whose lay, of which cloth, with its figures at the right; and where it ends."""
    of = f" {k + 1} of {count}" if count > 1 else ""
    rows = [
        (heading.client, 0.75, True),
        (f"The lay{of}: {cloth_title(cloth, heading.unit)}", 0.6, True),
        (
            f"{capital(heading.garment)}, order {heading.order}, {heading.fitting}, {heading.date}",
            0.4,
            False,
        ),
    ]
    marks, y = written(rows, 0.0, h, 0.72 * w)
    right: list[Mark] = []
    at = h
    for j, text in enumerate(facts(cloth, heading.unit)):
        letter = 0.6 if j == 0 else 0.42
        at -= letter
        right.append(Words(np.array([w, at]), text, letter, bold=j == 0, anchor="end"))
        at -= 0.5 * letter
    return (*marks, *right), min(y, at)


def _foot(cloth: LaidCloth, scale: int, unit: LengthUnit, w: float) -> Drawing:
    """The scale bar, and what the signs of this lay mean."""
    bar, reach = scale_bar(scale, unit)
    marks: list[Mark] = list(moved(bar, 0.0, 0.9))
    x, y = max(reach + 1.6, 6.0), 1.25
    for sample, text in key_signs(cloth, scale, unit):
        long = 1.6 + width_of(text, 0.34) + 0.7
        if x + long > w:
            x, y = max(reach + 1.6, 6.0), y - 0.62
        marks += moved(sample, x, y)
        marks.append(Words(np.array([x + 1.6, y - 0.12]), text, 0.34))
        x += long
    return tuple(marks)


def scale_bar(scale: int, unit: LengthUnit) -> tuple[Drawing, float]:
    """A bar of round lengths of cloth at this scale, with its figures, and how far it reaches."""
    one = 1.0 if unit == "cm" else CM_PER_INCH
    steps = (10.0, 20.0, 25.0, 50.0, 100.0, 200.0) if unit == "cm" else (6.0, 12.0, 36.0, 72.0)
    step = next((s for s in steps if s * one / scale >= 0.9), steps[-1])
    part = step * one / scale
    count = max(2, min(5, int(5.0 / part)))
    marks: list[Mark] = []
    for k in range(count):
        box = np.array([[k, 0.0], [k + 1, 0.0], [k + 1, 0.0], [k, 0.0]]) * part
        box[2:, 1] = 0.2
        marks.append(
            Stroke((box,), THIN, closed=True, fill=0.0 if k % 2 == 0 else 1.0, role="scale bar")
        )
    for k in range(count + 1):
        text = f"{k * step:g}" + (f" {unit}" if k == count else "")
        anchor = "middle" if k < count else "start"
        at = np.array([k * part - (0.0 if k < count else 0.15), -0.42])
        marks.append(Words(at, text, 0.34, anchor=anchor))  # type: ignore[arg-type]
    marks.append(Words(np.array([0.0, 0.38]), f"drawn 1:{scale}", 0.5, bold=True))
    return tuple(marks), count * part + width_of(f"{count * step:g} {unit}", 0.34)


def key_signs(cloth: LaidCloth, scale: int, unit: LengthUnit) -> list[tuple[Drawing, str]]:
    """A sample and its meaning for every sign this lay has."""
    f, lay = cloth.lay.field, cloth.lay
    z = Sizes(scale)
    head = np.array([[1.05, 0.12], [1.35, 0.0], [1.05, -0.12]])
    rows: list[tuple[Drawing, str]] = [
        ((line((0, 0), (1.3, 0), weight=BOLD),), "cut line"),
        (
            (line((0, 0), (1.05, 0), weight=FINE), Stroke((head,), FINE, closed=True, fill=0.0)),
            "grain, head at the top of the garment",
        ),
    ]
    if any(t.stage == "after" for t in lay.templates):
        rows.append(((line((0, 0), (1.3, 0), weight=FINE),), "thin: cut after the fitting"))
    if any(t.kept > 0.0 for t in lay.templates):
        rows.append(((line((0, 0), (1.3, 0), weight=FINE, dash=(0.18, 0.1)),), "hold back to here"))
    for step, way in zip(f.repeat, ("along", "across"), strict=True):
        if step > 0.0:
            nth = repeat_every(step, z)
            each = f", every {nth}th line" if nth > 3 else ("", "", ", every 2nd line",
                                                            ", every 3rd line")[nth]  # fmt: skip
            # drawn as on the lay: the repeat along is told by lines across, and the other way round
            ends = ((0.65, -0.08), (0.65, 0.4)) if way == "along" else ((0, 0), (1.3, 0))
            sample = line(*ends, weight=THIN, dash=tuple(d / 2 for d in DOTTED))
            rows.append(((sample,), f"repeat {way}{each}"))
    patch = shapely.box(0.1, -0.16, 1.2, 0.2)
    if f.flaws:
        crossed = [m for a in (45.0, -45.0) if (m := hatched(patch, a, 0.12, THIN))]
        rows.append(((*crossed, polygon_stroke(patch, FINE)), "flaw"))
    if f.taken:
        struck = hatched(patch, 45.0, 0.25, THIN)
        rows.append((((struck,) if struck else ()) + (polygon_stroke(patch, FINE),), "taken"))
    if f.outline is None:
        if cloth.on_table.selvedge > 0.0:
            rows.append(((line((0, 0), (1.3, 0), weight=THIN, dash=(0.15, 0.08)),),
                         f"selvedge, {size(cloth.on_table.selvedge, unit)} not used"))  # fmt: skip
        end = line((0.65, -0.08), (0.65, 0.4), weight=FINE, dash=(0.2, 0.1))
        rows.append(((end,), "end of what is used"))
    return rows


def _words_pages(
    cloth: LaidCloth, parts: LayDrawing, heading: Heading, w: float, h: float
) -> list[Drawing]:
    """Instructions and the list of pieces in two columns, on as many pages as they take."""
    column = (w - GAP) / 2
    head, top = written(
        [
            (f"{heading.client}: {cloth_title(cloth, heading.unit)}", 0.6, True),
            (f"{capital(heading.garment)}, order {heading.order}, {heading.fitting}", 0.4, False),
        ],
        0.0, h, w,
    )  # fmt: skip
    # smaller letters where they save a page
    return min(
        (
            [(*head, *p) for p in _set_list(cloth, parts, heading, column, top - 0.3, letter)]
            for letter in (0.46, 0.42, 0.38)
        ),
        key=len,
    )


def _set_list(
    cloth: LaidCloth,
    parts: LayDrawing,
    heading: Heading,
    column: float,
    high: float,
    text_size: float,
) -> list[Drawing]:
    """Those columns, ``high`` cm, in letters of one size, page after page."""
    sections = [
        Section(
            _block("Before the shears", HEAD, True, column),
            tuple(
                _block(text, text_size, False, column, f"{k}")
                for k, text in enumerate(instructions(cloth, heading.unit), 1)
            ),
        )
    ]
    for title, rows in cut_list(parts.pieces):
        lines = tuple(_block(text, text_size, False, column, "box") for text in rows)
        sections.append(Section(_block(f"{title}: {len(rows)}", HEAD, True, column), lines))
    # a list stands whole where a column can hold it
    return set_in_columns(sections, column, high, least=2, whole=1.0)


def _block(text: str, letter: float, bold: bool, width: float, before: str = "") -> Block:
    """A paragraph hung from (0, 0), after a number or a box to tick; and its height."""
    indent = 0.9 if before else 0.0
    marks: list[Mark] = []
    y = -0.35 if bold else -0.1
    for k, part in enumerate(wrapped(text, letter, width - indent, bold)):
        y -= letter
        if k == 0 and before == "box":
            side = 0.42
            foot = y - 0.04
            box = np.array([[0.0, foot], [side, foot], [side, foot + side], [0.0, foot + side]])
            marks.append(Stroke((box,), FINE, closed=True))
        elif k == 0 and before:
            marks.append(Words(np.array([0.0, y]), before, letter, bold=True))
        marks.append(Words(np.array([indent, y]), part, letter, bold=bold))
        y -= 0.35 * letter
    return tuple(marks), -y + (0.1 if bold else 0.06)
