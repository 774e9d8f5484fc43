"""A sheet longer than a page may be, in several pages at 1:1 that are joined end to end.

PDF pages reach 14,400 points, 508 cm (ISO 32000-1, annex C). ``UserUnit`` would go further, but
readers disagree on it, so a longer sheet is split and nothing is scaled.
"""

from __future__ import annotations

import numpy as np

from pinwright.sheets.ink import DASHED, FINE, THIN, Drawing, Mark, Words, circle, line

LONGEST = 500.0
"""Longest side of a page, cm."""

LAP = 2.0
"""How far neighbouring strips show the same, cm; the join line is in the middle of it."""


def stretches(
    length: float, first: float = LONGEST, longest: float = LONGEST
) -> tuple[tuple[float, float], ...]:
    """From where to where each page shows a sheet ``length`` cm long.

    ``first`` is the room on the first page, ``longest`` on the others. Neighbours overlap by
    ``LAP``; the last page shows half a lap at least.
    """
    found = [(0.0, min(first, length))]
    while found[-1][1] < length - 1e-9:
        start = found[-1][1] - LAP
        found.append((start, min(start + longest, length)))
    return tuple(found)


def join_lines(
    stretch: tuple[float, float], whole: float, low: float, high: float, number: int
) -> Drawing:
    """The join lines of a page, x along the sheet and y from ``low`` to ``high``, cm.

    number: of the page, from 0. Join k lies between page k and page k + 1, and stands on both.
    """
    marks: list[Mark] = []
    if number:
        marks += _join(stretch[0] + LAP / 2, low, high, number)
    if stretch[1] < whole - 1e-9:
        marks += _join(stretch[1] - LAP / 2, low, high, number + 1)
    return tuple(marks)


def _join(x: float, low: float, high: float, number: int) -> list[Mark]:
    marks: list[Mark] = [line((x, low), (x, high), weight=THIN, dash=DASHED, role="join")]
    for share in (0.1, 0.5, 0.9):
        y = low + share * (high - low)
        at = np.array([x, y])
        marks += [
            circle(at, 0.4, FINE, role="join"),
            line((x - 0.6, y), (x + 0.6, y), weight=THIN, role="join"),
            line((x, y - 0.6), (x, y + 0.6), weight=THIN, role="join"),
        ]
    text = f"join {number}: lay this line on its twin on the other page, ring on ring"
    at = np.array([x - 0.2, low + 0.14 * (high - low)])
    marks.append(Words(at, text, 0.6, 90.0, True, role="join"))
    return marks
