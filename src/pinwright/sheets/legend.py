"""The title block: whose garment, which fitting, what the lines mean, and the test square."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.measures.units import CM_PER_INCH, LengthUnit
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
    moved,
)
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.picture import arrow, opening_sample

SQUARE = 10.0
"""Side of the test square, cm."""


def test_square(x: float, y: float) -> Drawing:
    """A square of 10 cm with its lower left corner at (x, y), ticked every cm, over a line of 4 in.

    The line reaches ``CHECK_HIGH`` cm below it.
    """
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
            ("and the line below 4 inches", 0.4, False),
        )
    ):
        at = np.array([x + SQUARE / 2, y + 6.4 - row * 0.95])
        marks.append(Words(at, text, size, bold=bold, anchor="middle"))
    return (*marks, *inch_line(x, y - 0.35))


INCHES = 4
"""Length of the check line, in."""

CHECK_HIGH = 1.15
"""How far the check line with its figures reaches below the test square, cm."""


def inch_line(x: float, y: float) -> Drawing:
    """A line of 4 in to the right from (x, y), ticked downwards at inches, halves, quarters."""
    end = x + INCHES * CM_PER_INCH
    marks: list[Mark] = [line((x, y), (end, y), weight=FINE, role="check line")]
    for k in range(4 * INCHES + 1):
        at = x + k * CM_PER_INCH / 4
        deep = 0.4 if k % 4 == 0 else 0.28 if k % 2 == 0 else 0.16
        marks.append(line((at, y), (at, y - deep), weight=THIN))
        if k % 4 == 0 and k:
            last = k == 4 * INCHES
            text = f"{k // 4} in" if last else str(k // 4)
            foot = np.array([at - 0.12, y - 0.72])
            marks.append(Words(foot, text, 0.4, bold=last, anchor="end"))
    return tuple(marks)


NOTCH_DEEP: dict[LengthUnit, str] = {"cm": "0.5 cm", "in": "1/8 in"}
"""How deep a notch is cut at most: less than the least allowance, 0.6 cm."""

KeyRow = tuple[Drawing, str]
"""A sample drawn along the first 3 cm from (0, 0), and what it means."""

ROW = 0.85
"""Height of a row of the key, cm."""

KEY_HIGH = 8 * ROW + 0.25
"""Height of the key of lines, cm."""


def line_rows(unit: LengthUnit = "cm") -> tuple[KeyRow, ...]:
    """What each kind of line means on a sheet of pieces."""
    along = ((0.0, 0.0), (3.0, 0.0))
    return (
        ((line(*along, weight=BOLD),), "cut line: cut here"),
        ((line(*along, weight=FINE, dash=DASHED),), "net line: sew here"),
        ((line(*along, weight=THIN, dash=DASH_DOT),), "balance line"),
        ((line(*along, weight=BOLD, dash=DASH_DOT),), "fold: do not cut"),
        (
            (line((1.5, -0.1), (1.5, 0.4), weight=BOLD),),
            f"notch, cut {NOTCH_DEEP[unit]} deep at most",
        ),
        ((circle(np.array([1.5, 0.1]), 0.18, THIN),), "ring: reserve, do not cut"),
        (opening_sample(), "pocket opening, end to end"),
        (tuple(arrow(np.array(along))), "grain"),
    )


def keyed(rows: Sequence[KeyRow], x: float, y: float, width: float = 9.6) -> Drawing:
    """Samples with their meaning beside them, ``ROW`` cm each, downwards from (x, y).

    A meaning too long for ``width`` cm is set smaller.
    """
    marks: list[Mark] = []
    for k, (sample, text) in enumerate(rows):
        size = min(0.42, 0.42 * (width - 3.5) / width_of(text, 0.42))
        marks += moved(sample, x, y - ROW * k)
        marks.append(Words(np.array([x + 3.5, y - 0.13 - ROW * k]), text, size))
    return tuple(marks)


def line_key(x: float, y: float, unit: LengthUnit = "cm") -> Drawing:
    """The key of a sheet of pieces, downwards from (x, y), 9.6 cm wide, ``KEY_HIGH`` high."""
    return keyed(line_rows(unit), x, y)


def written(
    rows: Sequence[tuple[str, float, bool]], x: float, y: float, width: float
) -> tuple[Drawing, float]:
    """Lines of (text, size, bold) from (x, y) downwards, each broken to ``width`` cm; and where
    they end.

    The first baseline stands its own size below ``y``.
    """
    marks: list[Mark] = []
    for text, size, bold in rows:
        for part in wrapped(text, size, width, bold):
            y -= size
            marks.append(Words(np.array([x, y]), part, size, bold=bold))
            y -= 0.45 * size
    return tuple(marks), y


def whose(heading: Heading) -> list[tuple[str, float, bool]]:
    """Client, garment, order and fitting as lines for :func:`written`."""
    return [
        (heading.client, 1.0, True),
        (f"{heading.garment[:1].upper()}{heading.garment[1:]}", 0.8, True),
        (f"order {heading.order}", 0.55, False),
        (f"{heading.fitting}, {heading.date}", 0.55, False),
    ]


def estimated_words(heading: Heading) -> str:
    """The measures the draft used without their having been taped; empty when there are none."""
    return f"Estimated, not taped: {', '.join(heading.estimated)}." if heading.estimated else ""


COLUMN = 16.0
"""Width of the heading beside the key of lines, cm."""

KEY_LEFT = 17.0
"""Where the key of lines begins beside the heading, cm."""


def title_block(heading: Heading) -> tuple[Drawing, float, float]:
    """Heading, key of lines and test square in a strip: (drawing, width, height) cm.

    The strip is 12 cm high, and higher where the heading needs it.
    """
    caution = (
        "Print at 100 %. Allowances are drawn in. Check the test square before anything is cut, "
        "and keep fingers clear of the shears."
    )
    rows = [*whose(heading), (caution, 0.42, False)]
    if heading.remark:
        rows.append((heading.remark, 0.42, True))
    if heading.estimated:
        rows.append((estimated_words(heading), 0.38, True))
    words, end = written(rows, 0.0, 0.0, COLUMN)
    width, height = 44.0, max(12.0, 0.5 - end)
    marks = (
        *moved(words, 0.0, height - 0.2),
        *line_key(KEY_LEFT, height - 1.4, heading.unit),
        *test_square(33.0, height - 0.5 - SQUARE),
    )
    return marks, width, height
