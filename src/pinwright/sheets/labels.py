"""Where a block of words fits on a piece without covering what is drawn there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from pinwright.sheets.ink import Words
from pinwright.sheets.lettering import width_of

Array = NDArray[np.float64]

LEADING = 1.35


@dataclass(frozen=True, slots=True)
class TextLine:
    """A line of a label: its words, height in cm, and whether it is bold."""

    text: str
    size: float
    bold: bool = False


def block_size(lines: Sequence[TextLine], scale: float = 1.0) -> tuple[float, float]:
    """Width and height of a block of lines, cm."""
    width = max(width_of(t.text, t.size * scale, t.bold) for t in lines)
    return width, sum(t.size * scale * LEADING for t in lines)


def label(
    lines: Sequence[TextLine],
    area: shapely.Polygon,
    drawn_there: Sequence[shapely.Geometry],
    outside: float,
) -> tuple[Words, ...]:
    """The label set where it fits best inside ``area``, clear of ``drawn_there``.

    Tried in turn: as it is, with several entries on a line, smaller; on a narrow piece the name
    large and the rest small beside it; level, upright, and along the piece. When nothing fits it
    is set small above the piece, above height ``outside``.
    """
    whole = [lines, _gathered(lines, 3), _gathered(lines, 2)]
    closest = [*whole, _gathered(lines, 1)]
    tried = [(s, b) for s in (1.5, 1.2, 1.0, 0.8) for b in whole]
    tried += [
        (1.0, _name_first(lines, size, n, small))
        for small in SMALL
        for size in (0.9, 0.75, 0.65)
        for n in (3, 2, 1)
    ]
    tried += [(s, b) for s in (0.65, 0.5) for b in closest]
    room = area.buffer(-0.25)
    taken = shapely.union_all(list(drawn_there)) if drawn_there else shapely.Polygon()
    clear = shapely.difference(room, taken)
    x0, y0, x1, y1 = area.bounds
    angles = (0.0, *_along(area)) if x1 - x0 > 2 * (y1 - y0) else (0.0, 90.0, *_along(area))
    for scale, block in tried:
        size = block_size(block, scale)
        for angle in angles:
            at = _spot(clear, *size, angle, area)
            if at is not None:
                return _set(block, at, scale, angle)
    _, height = block_size(lines, 0.5)
    return _set(lines, np.array([(x0 + x1) / 2, outside + 0.3 + height / 2]), 0.5, 0.0)


SMALL = (0.4, 0.3)
"""Heights of what stands beside a large name on a narrow piece, cm, the first that fits."""


def _name_first(lines: Sequence[TextLine], size: float, count: int, small: float) -> list[TextLine]:
    """The name (with its R or L) ``size`` cm high, the rest small on ``count`` lines under it."""
    k = 2 if len(lines[0].text) == 1 else 1
    name = TextLine("  ".join(t.text for t in lines[:k]), size, True)
    rest = [TextLine(t.text, small) for t in lines[k:]]
    return _gathered([name, *rest], count + 1)


def _along(area: shapely.Polygon) -> tuple[float, ...]:
    """The direction of a long piece, degrees from -90 to 90; none for a squat one."""
    box = shapely.get_coordinates(shapely.oriented_envelope(area))
    sides = np.diff(box[:3], axis=0)
    size = np.hypot(sides[:, 0], sides[:, 1])
    if size.max() < 2.0 * size.min():
        return ()
    x, y = sides[int(np.argmax(size))]
    angle = float(np.degrees(np.arctan2(y, x)))
    return (angle - 180.0 if angle > 90.0 else angle + 180.0 if angle <= -90.0 else angle,)


def _gathered(lines: Sequence[TextLine], count: int) -> list[TextLine]:
    """The lines joined to ``count`` longer ones, the title keeping its own when there is room."""
    if len(lines) <= count:
        return list(lines)
    if count == 1:
        small = min(t.size for t in lines)
        return [TextLine("  ·  ".join(t.text for t in lines), small, True)]
    head, rest = lines[0], lines[1:]
    groups = np.array_split(np.arange(len(rest)), count - 1)
    joined = [
        TextLine("  ·  ".join(rest[i].text for i in g), max(rest[i].size for i in g))
        for g in groups
    ]
    return [head, *joined]


def _spot(
    free: shapely.Geometry, w: float, h: float, angle: float, area: shapely.Polygon
) -> Array | None:
    """Centre of the best place for a box of this size, None where it does not fit."""
    free = affinity.rotate(free, -angle, origin=(0.0, 0.0))
    x0, y0, x1, y1 = free.bounds if not free.is_empty else (0.0, 0.0, 0.0, 0.0)
    if x1 - x0 < w or y1 - y0 < h:
        return None
    xs = np.linspace(x0 + w / 2, x1 - w / 2, max(2, min(30, int((x1 - x0 - w) / 0.4) + 2)))
    ys = np.linspace(y0 + h / 2, y1 - h / 2, max(2, min(30, int((y1 - y0 - h) / 0.4) + 2)))
    gx, gy = (g.ravel() for g in np.meshgrid(xs, ys))
    boxes = shapely.box(gx - w / 2, gy - h / 2, gx + w / 2, gy + h / 2)
    shapely.prepare(free)
    fits = np.flatnonzero(shapely.contains(free, boxes))
    if not len(fits):
        return None
    # room all round counts up to 2 cm; beyond that the middle of the piece is better
    room = np.minimum(shapely.distance(boxes[fits], free.boundary), 2.0)
    t = np.radians(angle)
    turn = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]])
    centres = np.stack([gx[fits], gy[fits]], axis=1) @ turn
    middle = np.array(area.centroid.coords[0])
    away = np.hypot(*(centres - middle).T)
    best: Array = centres[int(np.argmax(room - 0.04 * away))]
    return best


def _set(lines: Sequence[TextLine], at: Array, scale: float, angle: float) -> tuple[Words, ...]:
    _, height = block_size(lines, scale)
    t = np.radians(angle)
    down = np.array([np.sin(t), -np.cos(t)])
    words = []
    y = -height / 2
    for entry in lines:
        size = entry.size * scale
        base = y + size * (LEADING + 0.72) / 2
        words.append(
            Words(at + down * base, entry.text, size, angle, entry.bold, "middle", role="label")
        )
        y += size * LEADING
    return tuple(words)
