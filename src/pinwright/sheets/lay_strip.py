"""The lay at 1:1: a strip as wide as the cloth, to be laid on it or run through a plotter."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor
from pathlib import Path

import numpy as np

from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.material import Material
from pinwright.measures.amounts import needed, size
from pinwright.measures.units import LengthUnit
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import FINE, Drawing, Mark, Stroke, Words, line, moved, turned
from pinwright.sheets.lay_picture import lay_parts
from pinwright.sheets.lay_signs import (
    Sizes,
    cloth_edges,
    cloth_end,
    edge_names,
    ticks,
    usable,
    word,
)
from pinwright.sheets.lay_words import LaidCloth, cloth_title, facts, instructions
from pinwright.sheets.legend import title_block, written
from pinwright.sheets.pdf import POINTS, canvas, finish, paint
from pinwright.sheets.strips import LONGEST, join_lines, stretches

LETTER = 1.2
"""Height of letters on the strip, cm: read from where the cutter stands."""

RIM = 1.0
"""Blank paper before the heading and past the end, cm."""

LEAD, TAIL = 6.5, 3.0
"""Paper between the heading and the cut end, and past what is used, cm."""


def lay_strip(
    path: Path | str,
    lay: Lay,
    material: Material,
    heading: Heading,
    inner: Mapping[str, Drawing] | None = None,
) -> Path:
    """The lay at 1:1 on a page exactly as wide as the cloth (or its half, folded).

    The cloth runs up the page from its cut end, its lower edge (the fold) at the right; the
    heading and the test square stand before the cut end. A strip longer than 500 cm goes on over
    several pages with join lines, never scaled. ``inner`` is drawn inside the pieces, by key, in
    the coordinates of their templates. Cloth narrower than the heading gets a wider page.
    """
    sizes = Sizes(1.0, LETTER, heading.unit, turn=90.0, shaded=False)
    parts = lay_parts(lay, material, sizes, inner, signs=False)
    if lay.field.outline is None:
        start, end = 0.0, cloth_end(lay, sizes)
        low, high = cloth_edges(lay, material)
    else:
        start, low, end, high = usable(lay).bounds
    head, wide, tall = _heading(LaidCloth(lay, material), heading)
    signs = strip_signs(lay, material, start, end, low, high, heading.unit)
    front = RIM + tall + LEAD
    page_wide = max(high - low, wide + 2 * RIM)
    upright = turned(moved((*parts.whole, *signs), -start, 0.0), 90.0)
    c, buffer = canvas(heading, "the lay 1:1")
    whole = end - start
    shown = stretches(whole, LONGEST - front - TAIL, LONGEST - TAIL)
    for k, (a, b) in enumerate(shown):
        lead = front if k == 0 else 0.0
        rest = TAIL if k == len(shown) - 1 else 0.0
        c.setPageSize((page_wide * POINTS, (lead + b - a + rest) * POINTS))
        if k == 0:
            paint(c, moved(head, RIM, RIM + tall))
        c.saveState()
        frame = c.beginPath()
        foot = lead - LEAD if k == 0 else 0.0
        frame.rect(0, foot * POINTS, page_wide * POINTS, (lead + b - a + rest - foot) * POINTS)
        c.clipPath(frame, stroke=0, fill=0)
        # turned by a quarter, y runs to the left from the cloth's lower edge at the right
        c.translate((page_wide + low) * POINTS, (lead - a) * POINTS)
        paint(c, upright)
        paint(c, turned(join_lines((a, b), whole, low, high, k), 90.0))
        c.restoreState()
        c.showPage()
    return finish(c, buffer, path)


def _heading(cloth: LaidCloth, heading: Heading) -> tuple[Drawing, float, float]:
    """What stands before the cut end, from its upper left corner; its width and height, cm."""
    block, wide, tall = title_block(heading)
    rows = [
        (f"The lay 1:1: {cloth_title(cloth, heading.unit)}", 1.0, True),
        ("; ".join(facts(cloth, heading.unit)), 0.7, False),
        *(
            (text, 0.5, False)
            for text in (*_lines(cloth, heading.unit), *instructions(cloth, heading.unit))
        ),
    ]
    words, end = written(rows, 0.0, -tall - 0.5, wide)
    return (*moved(block, 0.0, -tall), *words), wide, -end + 0.5


def _lines(cloth: LaidCloth, unit: LengthUnit) -> list[str]:
    """What the lines of the cloth on the strip mean, beside those of the key."""
    ways = zip(cloth.lay.field.repeat, ("along", "across"), strict=True)
    repeat = " and ".join(f"{size(step, unit)} {way}" for step, way in ways if step > 0.0)
    found = [f"Thin dotted lines: the repeat of the cloth, every {repeat}."] if repeat else []
    if cloth.material.selvedge > 0.0 and cloth.lay.field.outline is None:
        wide = size(cloth.material.selvedge, unit)
        found.append(f"Dashed along a selvedge: {wide} that are not used.")
    return found


def strip_signs(
    lay: Lay,
    material: Material,
    start: float,
    end: float,
    low: float,
    high: float,
    unit: LengthUnit,
) -> Drawing:
    """Ruler and words of the strip, all within the width of the cloth.

    The ruler stands in a selvedge: the lower one, or the upper one of folded cloth. Words on edges
    and the arrow of nap or print stand before the cut end, what is used past its end.
    """
    step, _, one = ticks(unit)
    at_fold = lay.field.folded
    edge, inward = (high, -1.0) if at_fold else (low, 1.0)
    marks: list[Mark] = []
    for k in range(floor((end - start) / step + 1e-9) + 1):
        x = start + k * step
        marks.append(line((x, edge), (x, edge + inward * 0.8), weight=FINE, role="lay ruler"))
        if k:
            text = f"{k * step / one:g} {unit}"
            foot = edge + 0.25 if inward > 0 else edge - 0.25 - 0.5
            marks.append(Words(np.array([x + 0.15, foot]), text, 0.65, role="lay ruler"))
    remnant = lay.field.outline is not None
    names = (f"remnant {lay.field.name}".rstrip(), "") if remnant else edge_names(lay)
    # before the cut end the page reads level: words stand at -90 degrees on the lay
    for y, text, anchor in ((low + 0.4, names[0], "end"), (high - 0.4, names[1], "start")):
        marks.append(word((start - 1.6, y), text, 1.0, anchor, True, -90.0))  # type: ignore[arg-type]
    marks.append(word((start - 1.6, (low + high) / 2), "cut end", 1.0, "middle", True, -90.0))
    if material.direction != "none":
        y = (low + high) / 2
        marks += [
            line((start - 6.0, y), (start - 4.2, y), weight=0.3, role="lay cloth"),
            Stroke(
                (
                    np.array(
                        [[start - 4.4, y + 0.9], [start - 2.6, y], [start - 4.4, y - 0.9]]
                    ),
                ),
                FINE,
                closed=True,
                fill=0.0,
                role="lay cloth",
            ),
            word(
                (start - 5.2, y - 1.5), f"{material.direction}: all tops this way", 1.2, "start",
                True, -90.0,
            ),
        ]  # fmt: skip
    if lay.field.outline is None:
        said = f"used {needed(lay.length, unit)}"
        marks.append(word((end + 0.8, (low + high) / 2), said, 1.2, "middle", True, -90.0))
    return tuple(marks)
