"""How garments hang on the client's figure, on paper: pictures to scale, signs, places, levels."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from PIL import Image
from reportlab.lib.utils import ImageReader

from pinwright.cutting.sentences import capital
from pinwright.drape.pictures.paint import few_tones
from pinwright.drape.pictures.picture import LookedAt, Picture, extent, picture
from pinwright.drape.pictures.scale import Quantity, remarkable, told
from pinwright.drape.pictures.shown import CAUTION, Shown
from pinwright.drape.reading.doubts import left_over
from pinwright.drape.reading.told import (
    WATCHED,
    before_signs,
    doubted,
    may_need,
    no_sign,
    opposites,
    sign_words,
)
from pinwright.errors import GeometryError
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.sheets.columns import GAP, Cell, Section, heading, paragraph, row, set_in_columns
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import FINE, Drawing, Words, bounds, moved, scaled
from pinwright.sheets.lay_sheet import SCALES
from pinwright.sheets.layers import finished, seen_on
from pinwright.sheets.legend import written
from pinwright.sheets.pdf import POINTS, canvas, paint
from pinwright.sheets.tiling import EDGE, PAPERS, Paper

PICTURED: tuple[Quantity, ...] = ("strain across", "strain along", "gap")
"""What has a page of pictures; pressure stands in the table."""

PRINT = 0.26
"""Letters of the pictures, cm: 7.4 points, so that the bodies are as large as they can be."""

LETTER = 0.34
"""Letters of tables, cm: 9.6 points."""

AT = (0.55, 0.68, 0.8, 0.89, 1.0)
"""Where the columns of the places end, as parts of the width."""


def drape_sheet(
    garments: Sequence[LookedAt],
    heading: Heading,
    paper: Paper = "a4",
) -> bytes:
    """Hung garments as PDF: of each a page of four views by strain across and along the grain and
    by gap, then its signs and the corrections for them, what was read at its places, levels and
    folds, how well it is at rest, cautions.

    Pages lie on their side; the scale is stated, and every picture has its bar. What is printed is
    in the unit of the heading.

    Raises:
        GeometryError: an unknown paper, or no garment.
    """
    if paper not in PAPERS:
        raise GeometryError(f"Paper {paper!r} is not known; it may be {', '.join(PAPERS)}.")
    if not garments:
        raise GeometryError("Nothing hangs on the figure; hang a garment first.")
    high, wide = (side - 2 * EDGE for side in PAPERS[paper])
    c, buffer = canvas(heading, "how it hangs")
    pages: list[tuple[Drawing, Picture | None, float, tuple[float, float]]] = []
    for seen in garments:
        start = 0
        for quantity in PICTURED:
            head, top = _head(seen.shown, heading, wide, high, "")
            room = (wide, top - 0.4)
            start, shown = fitted(seen, quantity, heading.unit, room, start)
            scale = SCALES[start]
            x0, y0, x1, y1 = _box(shown, scale)
            dx = (room[0] - (x1 - x0)) / 2.0 - x0
            dy = (room[1] - (y1 - y0)) / 2.0 - y0
            marks = moved(scaled(shown.marks, 1.0 / scale), dx, dy)
            under = np.array([wide, high - 1.1])
            drawn = Words(under, f"drawn 1:{scale}", 0.4, bold=True, anchor="end")
            pages.append(((*head, drawn, *marks), shown, float(scale), (dx, dy)))
        head, top = _head(seen.shown, heading, wide, high, "what was read")
        column = (wide - GAP) / 2.0
        sections = _told(seen.shown, heading.unit, column)
        for text in set_in_columns(sections, column, top - 0.3):
            pages.append(((*head, *text), None, 1.0, (0.0, 0.0)))
    for k, (drawing, shown_, by, at) in enumerate(pages, 1):
        c.setPageSize((PAPERS[paper][1] * POINTS, PAPERS[paper][0] * POINTS))
        c.translate(EDGE * POINTS, EDGE * POINTS)
        if shown_ is not None:
            _colours(c, shown_, by, at)
        of = f"page {k} of {len(pages)}"
        paint(c, (*drawing, Words(np.array([wide, high - 0.5]), of, 0.36, anchor="end")))
        c.showPage()
    c.save()
    return finished(buffer.getvalue(), seen_on(c))


def fitted(
    seen: LookedAt,
    quantity: Quantity,
    unit: LengthUnit,
    room: tuple[float, float],
    start: int = 0,
) -> tuple[int, Picture]:
    """The largest of SCALES, from number ``start`` on, at which the picture fits ``room`` (width,
    height) cm, as its number, and the picture, its letters of their size on paper."""
    for k, scale in enumerate(SCALES[start:], start):
        across, up = (v / scale for v in extent(seen, quantity, unit, PRINT * scale))
        if across <= room[0] and up <= room[1]:
            return k, picture(seen, quantity, unit, PRINT * scale)
    raise GeometryError("The garment does not fit the paper at any scale.")


def _box(p: Picture, scale: float) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = bounds(p.marks)
    return x0 / scale, y0 / scale, x1 / scale, y1 / scale


def _colours(c: Any, p: Picture, scale: float, at: tuple[float, float]) -> None:
    """Put the colours of a picture under what is drawn over them."""
    high, wide = (n / p.per_cm / scale for n in p.pixels.shape[:2])
    x = p.left / scale + at[0]
    y = p.top / scale + at[1] - high
    few = few_tones(Image.fromarray(p.pixels))
    image = ImageReader(few.convert("RGB"))
    c.drawImage(image, x * POINTS, y * POINTS, wide * POINTS, high * POINTS)


def _head(
    shown: Shown, heading: Heading, wide: float, high: float, what: str
) -> tuple[Drawing, float]:
    """Whose garment hangs, of which order, when; and where it ends."""
    name = f"{heading.client}: the {shown.garment} on the figure" + (f", {what}" if what else "")
    rows = [
        (name, 0.6, True),
        (f"order {heading.order}, {heading.fitting}, {heading.date}", 0.4, False),
    ]
    return written(rows, 0.0, high, 0.85 * wide)


def _told(shown: Shown, unit: LengthUnit, width: float) -> list[Section]:
    """All that was read, in columns of a width, cm."""
    found = [_signs(shown, width)]
    if shown.places:
        found.append(_places(shown, unit, width))
    if shown.levels:
        rows = tuple(
            row([(capital(name), 0.0, "start"), (words, 1.0, "end")], width, LETTER)
            for name, words in shown.levels
        )
        found.append(Section(heading("Levels and plumb lines", width), rows))
    if shown.folds:
        folds = (
            f"{k}.  {capital(f.words)} ({said(f.length, unit)} long, {said(f.depth, unit)} deep)"
            for k, f in enumerate(shown.folds, 1)
        )
        found.append(_section("Folds, by their numbers on the pictures", folds, width))
    found.append(_section("At rest", (rest_words(shown),), width))
    found.append(_section("To bear in mind", shown.elsewhere, width, bold=1))
    return found


def _signs(shown: Shown, width: float) -> Section:
    """The caution, doubts, then the signs with what may help them, the worst first."""
    blocks = [paragraph(CAUTION, width, LETTER)]
    doubts = doubted(shown.doubts, shown.hung.remarks)
    if doubts:
        blocks.append(paragraph(" ".join(doubts), width, LETTER, bold=True))
    faults = [s for s in shown.signs if s.wrong]
    if faults:
        pulled = before_signs(shown.hung.remarks)
        blocks += [paragraph(r, width, LETTER, bold=True, over=0.2) for r in pulled]
    for k, s in enumerate(faults, 1):
        blocks.append(paragraph(f"{k}.  {sign_words(s)}", width, LETTER, bold=True, over=0.2))
        blocks += [paragraph(may_need(c), width, LETTER, over=0.05) for c in s.causes]
    blocks += [paragraph(text, width, LETTER, over=0.2) for text in opposites(shown.signs)]
    if not faults:
        blocks.append(paragraph(no_sign(shown.hung.remarks), width, LETTER))
    for s in shown.signs:
        if not s.wrong:
            blocks.append(paragraph(f"{WATCHED}: {sign_words(s)}", width, LETTER))
    return Section(heading("Signs, the worst first", width), tuple(blocks))


def _section(title: str, sentences: Iterable[str], width: float, bold: int = 0) -> Section:
    blocks = tuple(
        paragraph(text, width, LETTER, bold=k < bold) for k, text in enumerate(sentences)
    )
    return Section(heading(title, width), blocks)


def _places(shown: Shown, unit: LengthUnit, width: float) -> Section:
    """Every place with what was read there, as means over it; in bold what is not at ease."""
    order: tuple[Quantity, ...] = ("strain across", "strain along", "gap", "pressure")
    blocks = []
    for p in shown.places:
        words = [told(q, p.value(q), unit).removesuffix(" kPa").removesuffix(" %") for q in order]
        words.append(p.percent)
        odd = any(remarkable(q, p.value(q)) for q in order if q.startswith("strain"))
        blocks.append(row(_cells(p.title, words), width, LETTER, bold=odd))
    head = row(
        _cells("place", ["across, %", "along, %", "gap", "kPa", "on, %"]), width, LETTER, True, FINE
    )
    key = (
        "Means over each place. Across and along: how much longer the cloth is there than it was "
        "cut, across and along its grain; in bold where that is 1 % or more either way. Gap: from "
        "skin to cloth. kPa: how hard the body presses where it touches, and on "
        "how much of the place."
    )
    notes = (paragraph(key, width, LETTER),)
    return Section(heading("Place by place", width), tuple(blocks), head, notes)


def _cells(name: str, amounts: Sequence[str]) -> list[Cell]:
    return [(name, 0.0, "start"), *((a, x, "end") for a, x in zip(amounts, AT, strict=True))]


def rest_words(shown: Shown) -> str:
    """How well the cloth is at rest, in a sentence."""
    rest = shown.hung.rest
    where = f" on {rest.card}" if rest.card else ""
    took = f"after {rest.steps} steps in {rest.seconds:.1f} s{where}"
    return capital(f"{left_over(rest.residual)}, {took}.")
