"""Line drawings of the client's figure: from a side, or all four in a row, as SVG in cm.

Classes: ``figure`` (the whole), ``figure-body``, ``figure-turning``, ``figure-level``,
``figure-leader``, ``figure-plumb``, ``figure-floor``, ``figure-point``, ``figure-words``. For a
page (no ``scale``) lines and words are in ``currentColor``, and letters are such that they can be
read when the drawing stands :data:`NARROW` px wide; for paper the drawing has its width and height
in mm, and letters and pens their size on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pinwright.errors import MeasureError, meant
from pinwright.figure.body.model import Array, Whole
from pinwright.figure.landmarks import Landmarks
from pinwright.figure.picture_parts import (
    BETWEEN,
    LEADER,
    NAMED,
    OVER,
    PRINT,
    columns,
    standing,
)
from pinwright.figure.seen import Seen, seen
from pinwright.figure.shadow import Side
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.sheets.ink import Drawing, bounds
from pinwright.sheets.svg import elements, slug

SIDES: tuple[Side, ...] = ("front", "back", "left", "right")

LEVELS = ("neck", "bust", "under_bust", "waist", "top_hip", "hip", "fork", "knee", "ankle")
"""The levels that are drawn unless others are asked for; ``neck`` is that of the nape."""

PAIRED = ("mid_thigh", "knee", "ankle")
"""Levels that each leg has for itself."""

WANTED = (*LEVELS, "plumb")
"""What is drawn besides the body: names of levels, ``plumb`` and ``points`` (landmarks)."""

ALIKE = 0.5
"""Levels of the two legs that differ by no more, cm, are drawn as one."""

NARROW, NARROW_ROW = 320.0, 640.0
"""How wide a page may show a view, or the row, px of CSS, and its words are still read."""

READ = 10.0
"""The least size of letters that is read on a screen, px of CSS (common practice)."""

SLIM = 0.35
"""A body is lettered as if it were at least so wide, as a part of its height."""


def view(
    points: Array,
    faces: Whole,
    marks: Landmarks,
    side: Side,
    unit: LengthUnit = "cm",
    wanted: Sequence[str] = WANTED,
    scale: float | None = None,
    name: str = "figure",
) -> str:
    """The figure from one side as SVG; its user unit is the cm of the body.

    points, faces, marks: see :func:`pinwright.figure.seen.seen`. wanted: see :data:`WANTED`.
    scale: how many times smaller it is printed; left out, it is for a page. name: begins the ids,
    so that several drawings may stand on one page.

    Raises:
        MeasureError: something is wanted that there is not.
    """
    return svg((seen(points, faces, marks, side),), marks, unit, wanted, scale, name)


def row(
    points: Array,
    faces: Whole,
    marks: Landmarks,
    unit: LengthUnit = "cm",
    wanted: Sequence[str] = WANTED,
    scale: float | None = None,
    name: str = "figure",
) -> str:
    """The figure from all four sides on one floor, its levels drawn through; see :func:`view`.

    At 1:10 a figure of up to 177 cm stands on A4 laid across.
    """
    every = tuple(seen(points, faces, marks, side) for side in SIDES)
    return svg(every, marks, unit, wanted, scale, name)


def heights(
    marks: Landmarks, side: Side | None = None, wanted: Sequence[str] = LEVELS
) -> tuple[tuple[str, float], ...]:
    """The wanted levels as they are named and their heights, cm, from the top down.

    side: a leg's own levels are told from its side; else as one where the legs are alike.

    Raises:
        MeasureError: a level is wanted that there is not.
    """
    known = {"neck": float(marks["back_neck_point"][2]), **marks.levels}
    found: list[tuple[str, float]] = []
    for key in wanted:
        called = key.replace("_", " ")
        if key in PAIRED:
            left, right = known[f"{key}_left"], known[f"{key}_right"]
            if side in ("left", "right"):
                found.append((called, left if side == "left" else right))
            elif abs(left - right) > ALIKE:
                found += [(f"left {called}", left), (f"right {called}", right)]
            else:
                found.append((called, (left + right) / 2.0))
        elif key in known:
            found.append((called, known[key]))
        else:
            hint = meant(key, [*known, *PAIRED, "plumb", "points"])
            raise MeasureError(f'The figure has no level "{key}".{hint}')
    return tuple(sorted(found, key=lambda level: -level[1]))


def drawing(
    views: Sequence[Seen],
    marks: Landmarks,
    unit: LengthUnit = "cm",
    wanted: Sequence[str] = WANTED,
    scale: float | None = None,
) -> Drawing:
    """What is seen, side by side on one floor, in cm of the body; see :func:`view` and :func:`row`.

    To look once where both a view and the row are drawn, or one for a page and one for paper.
    """
    levels, labels = _labelled(views, marks, unit, wanted)
    return standing(views, levels, labels, wanted, _letter(views, labels, scale))


def _labelled(
    views: Sequence[Seen], marks: Landmarks, unit: LengthUnit, wanted: Sequence[str]
) -> tuple[tuple[tuple[str, float], ...], list[tuple[str, str]]]:
    """The wanted levels, and their heights in words."""
    one = views[0].side if len(views) == 1 else None
    levels = heights(marks, one, [w for w in wanted if w not in ("plumb", "points")])
    return levels, [(who, said(height, unit)) for who, height in levels]


def svg(
    views: Sequence[Seen],
    marks: Landmarks,
    unit: LengthUnit = "cm",
    wanted: Sequence[str] = WANTED,
    scale: float | None = None,
    name: str = "figure",
) -> str:
    """What is seen, side by side on one floor, as SVG; see :func:`drawing`."""
    one = views[0].side if len(views) == 1 else None
    levels, labels = _labelled(views, marks, unit, wanted)
    letter = _letter(views, labels, scale)
    marks_drawn = standing(views, levels, labels, wanted, letter)
    x0, y0, x1, y1 = bounds(marks_drawn)
    edge = 0.4 * letter
    left, top = round(x0 - edge, 2), round(y1 + edge, 2)
    w, h = x1 - left + edge, top - y0 + edge
    key = slug(name, one or "row")
    real = f' width="{w * 10 / scale:.2f}mm" height="{h * 10 / scale:.2f}mm"' if scale else ""
    title = f"The client's figure: {NAMED[one].lower() if one else 'from all sides'}"
    body = "\n".join(elements(marks_drawn, left, top, "#000" if scale else "currentColor"))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="figure" id="{key}" role="img" '
        f'aria-labelledby="{key}-title" aria-describedby="{key}-desc"{real} '
        f'viewBox="0 0 {w:.2f} {h:.2f}">\n'
        f'<title id="{key}-title">{escape(title)}</title>\n'
        f'<desc id="{key}-desc">{escape(_told(views, marks, labels, wanted, unit))}</desc>\n'
        f"{body}\n</svg>\n"
    )


def _told(
    views: Sequence[Seen],
    marks: Landmarks,
    labels: Sequence[tuple[str, str]],
    wanted: Sequence[str],
    unit: LengthUnit,
) -> str:
    """The drawing in words, for those who do not see it."""
    sides = ", ".join(NAMED[v.side].lower() for v in views)
    told = [f"Outline of the figure, {said(marks.levels['top'], unit)} tall, seen from: {sides}."]
    if labels:
        told.append(f"Heights over the floor: {', '.join(' '.join(both) for both in labels)}.")
    if "plumb" in wanted:
        middle = any(v.side in ("front", "back") for v in views)
        told += ["The centre line is drawn."] if middle else []
        beside = any(v.side in ("left", "right") for v in views)
        told += ["The plumb falls from the side neck point."] if beside else []
    if "points" in wanted:
        told.append("The landmarks are marked.")
    return " ".join(told)


def _letter(views: Sequence[Seen], labels: Sequence[tuple[str, str]], scale: float | None) -> float:
    """The size of letters, cm of the body: as printed, or as it is read on a narrow page."""
    if scale is not None:
        return PRINT * scale
    narrow = NARROW if len(views) == 1 else NARROW_ROW
    whole = sum(v.outline.bounds[2] - v.outline.bounds[0] for v in views)
    # a side view is lettered as the others are, though it is narrower
    whole = max(whole, SLIM * views[0].outline.bounds[3])
    # all that is not body grows with the letters: ends of levels, leaders, labels, gaps
    beside = 0.8 + 2.0 * OVER + (len(views) - 1) * BETWEEN
    beside += LEADER + sum(columns(labels)) if labels else 0.0
    letter: float = whole / (narrow / READ - beside)
    return letter
