"""Drawings laid side by side in rows on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinwright.sheets.ink import Drawing, bounds, moved

GAP = 2.0
"""Paper between two pieces, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """A page of placed drawings; its lower left corner is (0, 0), sizes in cm."""

    drawings: tuple[Drawing, ...]
    width: float
    height: float


def arranged(
    drawings: Sequence[Drawing], width: float = 90.0, longest: float = 480.0, gap: float = GAP
) -> tuple[Page, ...]:
    """Pages of rows filled from the top left, the tallest pieces first, each row as tall as its
    tallest.

    A piece wider than ``width`` has a page to itself that wide; a page grows to at most
    ``longest`` cm.
    """
    sized = [(bounds(d), d) for d in drawings]
    sized.sort(key=lambda item: item[0][1] - item[0][3])
    rows: list[tuple[float, list[tuple[float, Drawing, tuple[float, float, float, float]]]]] = []
    used: list[float] = []
    for box, drawing in sized:
        w, h = box[2] - box[0], box[3] - box[1]
        for i, (height, row) in enumerate(rows):
            if used[i] + gap + w <= width and h <= height + 1e-9:
                row.append((used[i] + gap, drawing, box))
                used[i] += gap + w
                break
        else:
            rows.append((h, [(0.0, drawing, box)]))
            used.append(w)
    pages: list[Page] = []
    start = 0
    while start < len(rows):
        end, total = start, 0.0
        while end < len(rows) and (end == start or total + gap + rows[end][0] <= longest):
            total += rows[end][0] + (gap if end > start else 0.0)
            end += 1
        placed: list[Drawing] = []
        y = total
        for height, row in rows[start:end]:
            placed += [moved(drawing, x - box[0], y - height - box[1]) for x, drawing, box in row]
            y -= height + gap
        pages.append(Page(tuple(placed), max(used[start:end]), total))
        start = end
    return tuple(pages)
