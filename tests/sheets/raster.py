"""Looks at a PDF page as pdfium draws it: grey values on a grid of known pitch. Tests only."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray

POINTS = 72 / 2.54


@dataclass
class Seen:
    """Ink from 0 (white) to 1 (black), first row at the top; ``left`` and ``bottom`` of the part
    looked at, cm on the page, ``pitch`` cm a pixel."""

    ink: NDArray[np.float64]
    left: float
    bottom: float
    pitch: float

    def at(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Ink at points (n, 2) cm on the page, of the nearest pixel."""
        column = np.floor((points[:, 0] - self.left) / self.pitch).astype(int)
        row = len(self.ink) - 1 - np.floor((points[:, 1] - self.bottom) / self.pitch).astype(int)
        found: NDArray[np.float64] = self.ink[row, column]
        return found


def look(
    path: Path,
    page: int = 0,
    box: tuple[float, float, float, float] | None = None,
    dpi: float = 300.0,
) -> Seen:
    """A page, or its part (x0, y0, x1, y1) cm from the lower left corner."""
    document: Any = pypdfium2.PdfDocument(path)
    sheet = document[page]
    w, h = (v / POINTS for v in sheet.get_size())
    x0, y0, x1, y1 = box or (0.0, 0.0, w, h)
    crop = tuple(v * POINTS for v in (x0, y0, w - x1, h - y1))
    image = sheet.render(scale=dpi / 72.0, crop=crop, grayscale=True).to_numpy()
    grey = image.reshape(image.shape[0], image.shape[1]).astype(float)
    return Seen(1.0 - grey / 255.0, x0, y0, 2.54 / dpi)


def long_lines(ink: NDArray[np.float64], least: int) -> list[float]:
    """Middles, in pixels, of columns that hold more ink than ``least`` full pixels."""
    total = ink.sum(axis=0)
    found: list[float] = []
    k = 0
    while k < len(total):
        if total[k] >= least:
            end = k
            while end < len(total) and total[end] >= 0.2 * least:
                end += 1
            begin = k
            while begin > 0 and total[begin - 1] >= 0.2 * least:
                begin -= 1
            run = total[begin:end]
            found.append(begin + 0.5 + float(run @ np.arange(len(run)) / run.sum()))
            k = end
        else:
            k += 1
    return found
