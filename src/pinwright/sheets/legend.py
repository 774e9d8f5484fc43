"""The title block: whose garment, which fitting, what the lines mean, and the test square."""

from __future__ import annotations

import numpy as np

from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import (
    BOLD,
    DASH_DOT,
    DASHED,
    FINE,
    THIN,
    Drawing,
    Mark,
    Stroke,
    Words,
    circle,
    line,
)

SQUARE = 10.0
"""Side of the test square, cm."""


def test_square(x: float, y: float) -> Drawing:
    """A square of 10 cm with its lower left corner at (x, y), ticked every cm."""
    corners = np.array([[x, y], [x + SQUARE, y], [x + SQUARE, y + SQUARE], [x, y + SQUARE]])
    marks: list[Mark] = [Stroke((corners,), FINE, closed=True, role="test square")]
    for k in range(1, 10):
        long = 0.5 if k == 5 else 0.3
        marks.append(line((x + k, y), (x + k, y + long), weight=THIN))
        marks.append(line((x, y + k), (x + long, y + k), weight=THIN))
    for row, (text, size, bold) in enumerate(
        (
            ("10 cm", 0.9, True),
            ("must measure 10.0 cm both ways", 0.4, False),
            ("print at 100 %, never “fit to page”", 0.4, False),
            ("1 in =", 0.35, False),
        )
    ):
        at = np.array([x + SQUARE / 2, y + 6.8 - row * 0.95])
        marks.append(Words(at, text, size, bold=bold, anchor="middle"))
    x0, y0 = x + SQUARE / 2 - 1.27, y + 3.2
    inch = ((x0, y0 + 0.2), (x0, y0), (x0 + 2.54, y0), (x0 + 2.54, y0 + 0.2))
    marks.append(line(*inch, weight=THIN))
    return tuple(marks)


def line_key(x: float, y: float) -> Drawing:
    """What each kind of line means, downwards from (x, y), 9.6 cm wide and 6.2 cm high."""
    rows: tuple[tuple[Mark, str], ...] = (
        (line((x, y), (x + 3, y), weight=BOLD), "cut line: cut here"),
        (line((x, y), (x + 3, y), weight=FINE, dash=DASHED), "net line: sew here"),
        (line((x, y), (x + 3, y), weight=THIN, dash=DASH_DOT), "balance line"),
        (line((x, y), (x + 3, y), weight=BOLD, dash=DASH_DOT), "fold: do not cut"),
        (line((x + 1.5, y - 0.1), (x + 1.5, y + 0.4), weight=BOLD), "notch, cut 0.5 cm in at most"),
        (circle(np.array([x + 1.5, y + 0.1]), 0.18, THIN), "thread mark: reserve, do not cut"),
        (line((x, y), (x + 3, y), weight=FINE), "with arrow heads: grain"),
    )
    marks: list[Mark] = []
    for k, (sample, text) in enumerate(rows):
        drop = np.array([0.0, -0.85 * k])
        if isinstance(sample, Stroke):
            moved = tuple(c + drop for c in sample.chains)
            marks.append(Stroke(moved, sample.weight, sample.dash, sample.closed))
        marks.append(Words(np.array([x + 3.5, y - 0.13]) + drop, text, 0.42))
    return tuple(marks)


def title_block(heading: Heading) -> tuple[Drawing, float, float]:
    """Heading, key of lines and test square in a strip: (drawing, width, height) cm."""
    width, height = 44.0, 11.0
    marks: list[Mark] = [
        Words(np.array([0.0, 9.6]), heading.client, 1.2, bold=True),
        Words(
            np.array([0.0, 8.1]),
            f"{heading.garment[:1].upper()}{heading.garment[1:]}",
            0.9,
            bold=True,
        ),
        Words(np.array([0.0, 6.9]), f"order {heading.order}", 0.6),
        Words(np.array([0.0, 6.0]), f"{heading.fitting}, {heading.date}", 0.6),
        Words(np.array([0.0, 4.2]), "Allowances are drawn in. Check the test square", 0.42),
        Words(np.array([0.0, 3.6]), "before anything is cut, and keep fingers", 0.42),
        Words(np.array([0.0, 3.0]), "clear of the shears.", 0.42),
        *line_key(17.0, 9.6),
        *test_square(33.0, 0.5),
    ]
    return tuple(marks), width, height
