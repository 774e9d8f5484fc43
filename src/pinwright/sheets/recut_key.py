"""What stands on a recut sheet in letters and lines: the key beside a piece and of joined pages."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from pinwright.measures.units import LengthUnit
from pinwright.sheets.callouts import inner_words
from pinwright.sheets.changes import Region
from pinwright.sheets.columns import GAP as COLUMN_GAP
from pinwright.sheets.columns import Block, Section, paragraph, set_in_columns
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import (
    DASHED,
    FINE,
    HAIR,
    HEAVY,
    THIN,
    Drawing,
    Mark,
    Words,
    circle,
    hatched,
    line,
    moved,
    polygon_stroke,
)
from pinwright.sheets.legend import KeyRow
from pinwright.sheets.lettering import wrapped
from pinwright.sheets.picture import opening_sample
from pinwright.sheets.tiling import EDGE, PAPERS, Paper

KEY_WIDTH = 15.0
"""Width of the key beside a piece, cm."""

LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""Letters of the areas: small, for R and L are sides, and none that is read as a figure."""

SHEARS = "Mind the shears: chalk first, measure, then cut."

NOTHING = "Nothing to trim and no reserve used."


def letter(number: int) -> str:
    """The letter of the area with a number from 1: a to z, then aa, ab; notes have the numbers."""
    said = ""
    while number:
        number, k = divmod(number - 1, len(LETTERS))
        said = LETTERS[k] + said
    return said


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


def recut_rows() -> tuple[KeyRow, ...]:
    """What each kind of line means on a recut sheet."""
    along = ((0.0, 0.1), (3.0, 0.1))
    patch = shapely.box(0.0, -0.15, 3.0, 0.35)
    was = [line((x, -0.2), (x, 0.3), weight=HAIR, dash=(0.15, 0.1)) for x in (0.3, 2.0)]
    return (
        ((line(*along, weight=HEAVY),), "new net line: sew here"),
        ((line(*along, weight=FINE, dash=DASHED),), "old net line, as drafted"),
        ((line(*along, weight=FINE),), "cloth as it was cut"),
        (tuple(hatch("trim", patch)), "trim away"),
        (tuple(hatch("use", patch)), "reserve used: now in the garment"),
        (tuple(hatch("lack", patch)), "cloth is missing"),
        (
            (
                line((1.0, -0.2), (1.0, 0.4), weight=FINE),
                line((2.0, -0.2), (2.0, 0.4), weight=HAIR, dash=(0.1, 0.08)),
            ),
            "notch, and broken where it was",
        ),
        (
            (*opening_sample(), *was, line((0.3, -0.15), (2.0, -0.15), weight=HAIR, dash=DASHED)),
            "pocket opening, and thin where it was",
        ),
    )


def region_row(r: Region, unit: LengthUnit, width: float, size: float = 0.45) -> Block:
    """The letter of an area, its hatching and what is to be done there, ``width`` cm wide."""
    y = -size - 0.2
    marks: list[Mark] = [
        circle(np.array([0.42, y + 0.15]), 0.38, FINE),
        Words(np.array([0.42, y]), letter(r.number), 0.45, bold=True, anchor="middle"),
        *hatch(r.kind, shapely.box(1.1, y - 0.15, 2.3, y + 0.45)),
    ]
    for part in wrapped(r.text(unit), size, width - 2.6, r.kind == "lack"):
        marks.append(Words(np.array([2.6, y]), part, size, bold=r.kind == "lack"))
        y -= 1.4 * size
    return tuple(marks), -y - 0.9 * size + 0.1


def told(
    d: Drawn, found: Sequence[Region], unit: LengthUnit, width: float, size: float = 0.45
) -> list[Block]:
    """What is to be done on a piece, one block each: its areas, then what moved inside it."""
    rows = [region_row(r, unit, width, size) for r in found]
    said = [*([] if found else [NOTHING]), *inner_words(d, unit)]
    return [*rows, *(paragraph(text, width, size) for text in said)]


def key(d: Drawn, found: Sequence[Region], heading: Heading) -> Drawing:
    """What the letters and lines mean, from (0, 0) downwards, ``KEY_WIDTH`` cm wide."""
    rows = [paragraph(d.title, KEY_WIDTH, 0.9, True)]
    if d.side != "both":
        rows.append(paragraph(f"{d.side.upper()} ONLY", KEY_WIDTH, 0.8, True))
    rows += [
        paragraph(text, KEY_WIDTH, 0.45)
        for text in (
            heading.client,
            f"order {heading.order}, {heading.garment}",
            f"{heading.fitting}, {heading.date}",
            d.count,
        )
    ]
    rows += [((), 0.4), *told(d, found, heading.unit, KEY_WIDTH), ((), 0.4)]
    rows += [((*moved(sample, 0.0, -0.45), _meaning(text)), 0.7) for sample, text in recut_rows()]
    rows += [
        paragraph(text, KEY_WIDTH, 0.38, bold, 0.2)
        for text, bold in ((_distances(heading.unit), False), (SHEARS, True))
    ]
    marks: list[Mark] = []
    y = 0.0
    for drawing, high in rows:
        marks += moved(drawing, 0.0, y)
        y -= high
    return tuple(marks)


def _distances(unit: LengthUnit) -> str:
    named = "cm" if unit == "cm" else "inches"
    return f"Distances in {named}, square to the old net line. The grain stays as it was cut."


def _meaning(text: str) -> Words:
    return Words(np.array([3.4, -0.5]), text, 0.42)


def key_pages(
    shown: Sequence[tuple[Drawn, Sequence[Region]]], heading: Heading, paper: Paper
) -> list[Drawing]:
    """What the letters on all the pieces mean, in two columns, for pages of joined sheets."""
    w, h = (side - 2 * EDGE for side in PAPERS[paper])
    width = (w - COLUMN_GAP) / 2
    sections = [
        Section(
            paragraph(d.title, width, 0.5, True, 0.3),
            tuple(told(d, found, heading.unit, width, 0.38)),
        )
        for d, found in shown
    ]
    rows = [
        ("What the letters on the pieces mean", 0.7, True),
        (f"{heading.client}, order {heading.order}, {heading.garment}, {heading.fitting}, "
         f"{heading.date}", 0.34, False),
        (f"{_distances(heading.unit)} {SHEARS}", 0.34, False),
    ]  # fmt: skip
    head: list[Mark] = []
    high = h
    for text, size, bold in rows:
        drawing, tall = paragraph(text, w, size, bold)
        head += moved(drawing, 0.0, high)
        high -= tall
    pages = set_in_columns(sections, width, high - 0.3)
    return [(*head, *page) for page in pages]
