"""Drawings as the pages of a PDF held in memory."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import Drawing, Words
from pinwright.sheets.layers import finished, seen_on
from pinwright.sheets.pdf import POINTS, canvas, paint
from pinwright.sheets.tiling import EDGE


def paged(
    drawings: Sequence[Drawing], heading: Heading, what: str, size: tuple[float, float]
) -> bytes:
    """A PDF with a page a drawing, cm from the lower left corner of what printers can print on.

    what: names the sheet in the document's title. size: width and height of the paper, cm.
    """
    c, buffer = canvas(heading, what)
    for drawing in drawings:
        page(c, drawing, size)
    c.save()
    return finished(buffer.getvalue(), seen_on(c))


def page_number(k: int, count: int, width: float) -> Words:
    """Which page of how many this is, at the foot of paper ``width`` cm wide, at the right."""
    return Words(np.array([width - EDGE, 0.5]), f"page {k} of {count}", 0.3, anchor="end")


def page(c: Any, drawing: Drawing, size: tuple[float, float]) -> None:
    """A page of a canvas; drawing and size as those of :func:`paged`."""
    c.setPageSize((size[0] * POINTS, size[1] * POINTS))
    c.translate(EDGE * POINTS, EDGE * POINTS)
    paint(c, drawing)
    c.showPage()
