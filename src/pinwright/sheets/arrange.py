"""Drawings laid side by side in rows on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinwright.sheets.ink import Drawing, bounds, moved

GAP = 2.0
"""Paper between two pieces, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """A page of placed drawings; its lower left corner is (0, 0), sizes in cm.

    ``placed`` tells of each which of the drawings given it is and how far (cm) it was moved.
    """

    drawings: tuple[Drawing, ...]
    width: float
    height: float
    placed: tuple[tuple[int, float, float], ...] = ()


def arranged(
    drawings: Sequence[Drawing], width: float = 90.0, longest: float = 480.0, gap: float = GAP
) -> tuple[Page, ...]:
    """Pages of rows filled from the top left, the tallest pieces first, each row as tall as its
    tallest.

    A piece wider than ``width`` has a page to itself that wide; a page grows to at most
    ``longest`` cm.
    """
    sized = [(bounds(d), i) for i, d in enumerate(drawings)]
    sized.sort(key=lambda item: item[0][1] - item[0][3])
    rows: list[tuple[float, list[tuple[float, int, tuple[float, float, float, float]]]]] = []
    used: list[float] = []
    for box, i in sized:
        w, h = box[2] - box[0], box[3] - box[1]
        for r, (height, row) in enumerate(rows):
            if used[r] + gap + w <= width and h <= height + 1e-9:
                row.append((used[r] + gap, i, box))
                used[r] += gap + w
                break
        else:
            rows.append((h, [(0.0, i, box)]))
            used.append(w)
    pages: list[Page] = []
    start = 0
    while start < len(rows):
        end, total = start, 0.0
        while end < len(rows) and (end == start or total + gap + rows[end][0] <= longest):
            total += rows[end][0] + (gap if end > start else 0.0)
            end += 1
        placed: list[tuple[int, float, float]] = []
        y = total
        for height, row in rows[start:end]:
            placed += [(i, x - box[0], y - height - box[1]) for x, i, box in row]
            y -= height + gap
        there = tuple(moved(drawings[i], dx, dy) for i, dx, dy in placed)
        pages.append(Page(there, max(used[start:end]), total, tuple(placed)))
        start = end
    return tuple(pages)
