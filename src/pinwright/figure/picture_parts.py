"""What a line drawing of the figure is made of: body, levels with their labels, plumb, points.

Lines are told apart by width and dashes alone, so that they hold in black and white. Widths, gaps
and words go by the size of the letters; everything is in cm of the body, the floor at 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from scipy.optimize import isotonic_regression

from pinwright.figure.body.model import Array
from pinwright.figure.rounding import rounded
from pinwright.figure.seen import Seen
from pinwright.figure.shadow import Side
from pinwright.sheets.ink import Drawing, Mark, Stroke, Words, circle, line, moved
from pinwright.sheets.lettering import width_of

NAMED: Mapping[Side, str] = {
    "front": "Front",
    "back": "Back",
    "left": "Left side",
    "right": "Right side",
}

PRINT = 0.3
"""The size of letters on paper, cm: 8.5 points."""

BODY, TURNING, THIN = 0.14, 0.085, 0.055
"""Widths of lines as parts of the letters' size: on paper 0.42, 0.25 and 0.17 mm."""

DASH, DASH_DOT = (0.8, 0.5), (2.2, 0.5, 0.25, 0.5)
"""Strokes and gaps of a level and of the plumb, as parts of the letters' size."""

TINT = 0.94
"""The grey that fills the body: it stays a body in black and white, and lines stay clear on it."""

LINE = 1.3
"""From one label to the next, as a part of the letters' size."""

OVER, LEADER, COLUMN, BETWEEN = 1.0, 2.2, 0.8, 4.0
"""How far a level runs past the body, how wide leaders are, the gap before a height, and the gap
between bodies in a row, as parts of the letters' size."""


def spread(at: Sequence[float], room: float) -> Array:
    """Places (m,) as near as can be to those asked for, from the top down, ``room`` apart.

    Least squares with the order kept: isotonic regression (Barlow et al. 1972).
    """
    steps = room * np.arange(len(at))
    apart: Array = isotonic_regression(np.asarray(at) + steps, increasing=False).x - steps
    return apart


def standing(
    views: Sequence[Seen],
    levels: Sequence[tuple[str, float]],
    labels: Sequence[tuple[str, str]],
    wanted: Sequence[str],
    letter: float,
) -> Drawing:
    """Bodies side by side on one floor, the levels drawn through and labelled at the right.

    levels: names and heights, cm, from the top down; labels: what is written of each.
    """
    marks: list[Mark] = []
    over: list[Mark] = []
    at = 0.0
    for v in views:
        x0, _, x1, _ = v.outline.bounds
        along = round(at - x0, 2)
        marks += moved(shape(v, letter), along, 0.0)
        over += moved(besides(v, wanted, letter), along, 0.0)
        at += x1 - x0 + BETWEEN * letter
    left, right = -OVER * letter, at - (BETWEEN - OVER) * letter
    thin, dash = THIN * letter, tuple(d * letter for d in DASH)
    marks.append(line((left, 0.0), (right, 0.0), weight=thin, role="figure floor"))
    for _, z in levels:
        marks.append(line((left, z), (right, z), weight=thin, dash=dash, role="figure level"))
    if labels:
        names, figures = columns(labels)
        start = right + LEADER * letter
        end = start + (names + figures) * letter
        places = spread([z for _, z in levels], LINE * letter)
        for (_, z), y, (who, height) in zip(levels, places, labels, strict=True):
            knee, foot = (right + 0.2 * letter, z), (start - 0.8 * letter, y)
            ends = (knee, foot, (start - 0.3 * letter, y))
            marks.append(line((right, z), *ends, weight=thin, role="figure leader"))
            base = y - 0.35 * letter
            over.append(Words(np.array([start, base]), who, letter, role="figure words"))
            words = Words(np.array([end, base]), height, letter, anchor="end", role="figure words")
            over.append(words)
    return (*marks, *over)


def columns(labels: Sequence[tuple[str, str]]) -> tuple[float, float]:
    """How wide the names and the heights are, with the gap between, for letters of size 1."""
    names = max(width_of(who, 1.0) for who, _ in labels)
    return names + COLUMN, max(width_of(height, 1.0) for _, height in labels)


def shape(v: Seen, letter: float) -> Drawing:
    """Fill, outline and the lines inside."""
    rings = [v.outline.exterior, *v.outline.interiors]
    chains = tuple(rounded(shapely.get_coordinates(r)) for r in rings)
    shape = Stroke(chains, BODY * letter, closed=True, fill=TINT, role="figure body")
    inside = tuple(rounded(c) for c in v.lines)
    return (shape, Stroke(inside, TURNING * letter, role="figure turning")) if inside else (shape,)


def besides(v: Seen, wanted: Sequence[str], letter: float) -> Drawing:
    """The plumb or middle line, the landmarks, and the words under the floor."""
    found: list[Mark] = []
    x0, _, x1, _ = v.outline.bounds
    under = -1.3 * letter
    if "plumb" in wanted:
        x, high = (float(c) for c in v.plumb)
        middle = v.side in ("front", "back")
        start = high + 0.6 * letter if middle else high
        dash = tuple(d * letter for d in DASH_DOT)
        foot = (x, -0.35 * letter)
        found.append(line((x, start), foot, weight=THIN * letter, dash=dash, role="figure plumb"))
        if not middle:
            found.append(circle(v.plumb, 0.2 * letter, THIN * letter, 0.0, "figure point"))
        who = f"centre {v.side}" if middle else "plumb"
        base = np.array([x, under])
        found.append(Words(base, who, letter, anchor="middle", role="figure words"))
        under -= LINE * letter
    if "points" in wanted:
        for at in v.points.values():
            found.append(circle(at, 0.2 * letter, THIN * letter, 1.0, "figure point"))
    base = np.array([(x0 + x1) / 2.0, under])
    found.append(
        Words(base, NAMED[v.side], letter, bold=True, anchor="middle", role="figure words")
    )
    return tuple(found)
