"""Drawings painted on PDF pages at 1:1, with real Béziers, and the one large sheet of a garment."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from pinwright.sheets.arrange import Page, arranged
from pinwright.sheets.drawn import Drawn, Heading
from pinwright.sheets.ink import Drawing, Mark, Stroke, Words, moved, turned
from pinwright.sheets.layers import closed, finished, in_layers, opened, seen_on
from pinwright.sheets.legend import KEY_LEFT, title_block
from pinwright.sheets.lettering import BOLD_FACE, REGULAR, printable, width_of
from pinwright.sheets.pen import trace
from pinwright.sheets.picture import picture
from pinwright.sheets.strips import LONGEST as LONGEST
from pinwright.sheets.strips import join_lines, stretches
from pinwright.sheets.writing import write_whole

POINTS = 72.0 / 2.54
"""PDF points to the cm."""

MARGIN = 1.5
"""Blank paper round the large sheet, cm."""


class PdfPen:
    """Draws into a reportlab path; coordinates in cm."""

    def __init__(self, path: Any) -> None:
        self.path = path

    def move(self, x: float, y: float) -> None:
        """Set the pen down."""
        self.path.moveTo(x * POINTS, y * POINTS)

    def line(self, x: float, y: float) -> None:
        """Draw straight."""
        self.path.lineTo(x * POINTS, y * POINTS)

    def curve(self, ax: float, ay: float, bx: float, by: float, x: float, y: float) -> None:
        """Draw a cubic."""
        k = POINTS
        self.path.curveTo(ax * k, ay * k, bx * k, by * k, x * k, y * k)

    def close(self) -> None:
        """Close the outline."""
        self.path.close()


def canvas(heading: Heading, what: str) -> tuple[Any, BytesIO]:
    """A canvas writing to memory, the same bytes for the same drawings every time."""
    buffer = BytesIO()
    c = Canvas(buffer, pageCompression=1, invariant=1)
    c.setTitle(printable(f"{heading.garment}, {what}: order {heading.order}"))
    c.setAuthor("pinwright")
    c.setSubject(printable(f"{heading.client}, {heading.fitting}, {heading.date}"))
    return c, buffer


def paint(c: Any, marks: Iterable[Mark]) -> None:
    """Paint a drawing, cm from the canvas origin, each mark in the layer of its role."""
    for layer, stretch in in_layers(marks):
        if layer is not None:
            opened(c, layer)
        for m in stretch:
            if isinstance(m, Words):
                _paint_words(c, m)
            else:
                _paint_stroke(c, m)
        if layer is not None:
            closed(c)


def _paint_stroke(c: Any, m: Stroke) -> None:
    path = c.beginPath()
    trace(m.chains, PdfPen(path), m.closed)
    c.setLineWidth(m.weight * POINTS)
    c.setLineJoin(1)
    c.setDash([d * POINTS for d in m.dash], 0) if m.dash else c.setDash()
    c.setStrokeGray(0.0)
    if m.fill is not None:
        c.setFillGray(m.fill)
    c.drawPath(path, stroke=1 if m.weight > 0.0 else 0, fill=0 if m.fill is None else 1)


def _paint_words(c: Any, m: Words) -> None:
    text = printable(m.text)
    width = width_of(m.text, m.size, m.bold)
    c.saveState()
    c.translate(float(m.at[0]) * POINTS, float(m.at[1]) * POINTS)
    c.rotate(m.angle)
    x = {"start": 0.0, "middle": -width / 2, "end": -width}[m.anchor]
    if m.halo:
        c.setFillGray(1.0)
        pad = 0.12 * m.size
        c.rect(
            (x - pad) * POINTS,
            (-0.22 * m.size - pad) * POINTS,
            (width + 2 * pad) * POINTS,
            (0.96 * m.size + 2 * pad) * POINTS,
            stroke=0,
            fill=1,
        )
    c.setFillGray(0.0)
    c.setFont(BOLD_FACE if m.bold else REGULAR, m.size * POINTS)
    c.drawString(x * POINTS, 0.0, text)
    c.restoreState()


def finish(c: Any, buffer: BytesIO, path: Path | str) -> Path:
    """Close the document, list its layers, ask for 100 % in print, and write it whole."""
    c.save()
    return write_whole(path, finished(buffer.getvalue(), seen_on(c)))


def laid_out(pieces: Sequence[Drawn], width: float, longest: float) -> tuple[Page, ...]:
    """The pieces' drawings arranged on pages."""
    return arranged([picture(d) for d in pieces], width, longest)


def sheet_number(number: int, high: float) -> Drawing:
    """Which sheet of several it is, from 0, over the key of a heading so high; the first has none.

    The test square at the right must stay clear.
    """
    if not number:
        return ()
    at = np.array([KEY_LEFT, high - 0.6])
    return (Words(at, f"sheet {number + 1}", 0.5, bold=True),)


def large_sheet(
    path: Path | str, pieces: Sequence[Drawn], heading: Heading, width: float = 90.0
) -> Path:
    """All pieces of a garment side by side at 1:1 on one large sheet ``width`` cm wide.

    Where one page would pass what PDF allows, the next rows go on on a second one; a piece that is
    longer by itself goes on over several pages with join lines. The first page carries the test
    square.
    """
    c, buffer = canvas(heading, "pieces 1:1")
    block, block_w, block_h = title_block(heading)
    room = LONGEST - 2 * MARGIN
    front = block_h + 1.0
    for number, page in enumerate(laid_out(pieces, width, room - front)):
        w = max(page.width, block_w)
        shown = stretches(page.height, room - front, room)
        for k, (a, b) in enumerate(shown):
            lead = front if k == 0 else 0.0
            c.setPageSize(((w + 2 * MARGIN) * POINTS, (b - a + lead + 2 * MARGIN) * POINTS))
            c.translate(MARGIN * POINTS, MARGIN * POINTS)
            c.saveState()
            if len(shown) > 1:
                frame = c.beginPath()
                frame.rect(-MARGIN * POINTS, 0, (w + 2 * MARGIN) * POINTS, (b - a) * POINTS)
                c.clipPath(frame, stroke=0, fill=0)
            # stretches are counted from the top of the sheet
            c.translate(0.0, (b - page.height) * POINTS)
            for drawing in page.drawings:
                paint(c, drawing)
            joins = turned(join_lines((a, b), page.height, 0.0, w, k), -90.0)
            paint(c, moved(joins, 0.0, page.height))
            c.restoreState()
            if k == 0:
                c.translate(0.0, (b + 1.0) * POINTS)
                paint(c, (*block, *sheet_number(number, block_h)))
            c.showPage()
    return finish(c, buffer, path)
