"""What lies on a sheet, as plain data in cm, y up: strokes and words. Writers only paint it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.sheets.lettering import width_of

Array = NDArray[np.float64]
Anchor = Literal["start", "middle", "end"]

HAIR, THIN, FINE, BOLD, HEAVY = 0.012, 0.02, 0.035, 0.06, 0.1
"""Widths of lines, cm."""

DASHED = (0.5, 0.22)
DOTTED = (0.06, 0.14)
DASH_DOT = (0.8, 0.15, 0.08, 0.15)


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """Chains of cubics (n, 4, 2) or polylines (m, 2) drawn ``weight`` cm wide.

    ``dash`` lists lengths of strokes and gaps, cm; ``fill`` is a grey from 0 (black) to 1.
    """

    chains: tuple[Array, ...]
    weight: float = FINE
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: float | None = None
    role: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """A line of text at ``at`` (2,), ``size`` cm high, turned by ``angle`` degrees.

    ``halo`` puts white behind it, so that it can be read across lines.
    """

    at: Array
    text: str
    size: float = 0.4
    angle: float = 0.0
    bold: bool = False
    anchor: Anchor = "start"
    halo: bool = False
    role: str = ""

    @property
    def corners(self) -> Array:
        """Corners (4, 2) of the box the text takes."""
        w = width_of(self.text, self.size, self.bold)
        x0 = {"start": 0.0, "middle": -w / 2, "end": -w}[self.anchor]
        box = np.array([[x0, -0.25], [x0 + w, -0.25], [x0 + w, 0.8], [x0, 0.8]])
        box[:, 1] *= self.size
        t = np.radians(self.angle)
        turn = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]])
        corners: Array = box @ turn + self.at
        return corners


Mark = Stroke | Words
Drawing = tuple[Mark, ...]


def line(
    *points: Sequence[float] | Array,
    weight: float = FINE,
    dash: tuple[float, ...] = (),
    role: str = "",
) -> Stroke:
    """A polyline through points."""
    return Stroke(
        (np.array([np.asarray(p, dtype=float) for p in points]),), weight, dash, role=role
    )


def polygon_stroke(
    area: shapely.Polygon, weight: float = FINE, dash: tuple[float, ...] = (), role: str = ""
) -> Stroke:
    """The boundary of an area, closed."""
    rings = [area.exterior, *area.interiors]
    chains = tuple(np.asarray(shapely.get_coordinates(r), dtype=float) for r in rings)
    return Stroke(chains, weight, dash, closed=True, role=role)


def circle(
    at: Array, radius: float, weight: float = FINE, fill: float | None = None, role: str = ""
) -> Stroke:
    """A circle of four cubics (from memory: handles at 0.5523 of the radius)."""
    k = 0.5522847498
    q = np.array([[1.0, 0.0], [1.0, k], [k, 1.0], [0.0, 1.0]])
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    spans = [q]
    for _ in range(3):
        spans.append(spans[-1] @ turn)
    return Stroke((at + radius * np.stack(spans),), weight, closed=True, fill=fill, role=role)


def bounds(drawing: Iterable[Mark]) -> tuple[float, float, float, float]:
    """(x min, y min, x max, y max) of a drawing, cm, by control points; text by its box."""
    points = [
        p
        for mark in drawing
        for p in (
            [mark.corners]
            if isinstance(mark, Words)
            else [chain.reshape(-1, 2) for chain in mark.chains]
        )
    ]
    every = np.concatenate(points)
    low, high = every.min(axis=0), every.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def moved(drawing: Drawing, dx: float, dy: float) -> Drawing:
    """A drawing moved by (dx, dy) cm."""
    shift = np.array([dx, dy])
    return tuple(
        replace(m, at=m.at + shift)
        if isinstance(m, Words)
        else replace(m, chains=tuple(c + shift for c in m.chains))
        for m in drawing
    )


def mirrored(drawing: Drawing) -> Drawing:
    """A drawing mirrored in x = 0; the words stay readable."""
    flip = np.array([-1.0, 1.0])
    swap: dict[Anchor, Anchor] = {"start": "end", "middle": "middle", "end": "start"}
    return tuple(
        replace(m, at=m.at * flip, anchor=swap[m.anchor], angle=-m.angle)
        if isinstance(m, Words)
        else replace(m, chains=tuple(c * flip for c in m.chains))
        for m in drawing
    )


def turned(drawing: Drawing, degrees: float) -> Drawing:
    """A drawing turned about (0, 0), anticlockwise; words turn with it."""
    t = np.radians(degrees)
    turn = np.array([[np.cos(t), np.sin(t)], [-np.sin(t), np.cos(t)]])
    return tuple(
        replace(m, at=m.at @ turn, angle=m.angle + degrees)
        if isinstance(m, Words)
        else replace(m, chains=tuple(c @ turn for c in m.chains))
        for m in drawing
    )


def scaled(drawing: Drawing, factor: float) -> Drawing:
    """A drawing made ``factor`` times as large: places, lines, dashes and words."""
    return tuple(
        replace(m, at=m.at * factor, size=m.size * factor)
        if isinstance(m, Words)
        else replace(
            m,
            chains=tuple(c * factor for c in m.chains),
            weight=m.weight * factor,
            dash=tuple(d * factor for d in m.dash),
        )
        for m in drawing
    )


def hatched(
    area: shapely.Geometry,
    angle: float,
    spacing: float,
    weight: float = THIN,
    dash: tuple[float, ...] = (),
    role: str = "",
) -> Stroke | None:
    """Parallel lines over an area, ``angle`` degrees, ``spacing`` cm; None where none falls."""
    if area.is_empty:
        return None
    x0, y0, x1, y1 = area.bounds
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2])
    reach = float(np.hypot(x1 - x0, y1 - y0)) / 2 + spacing
    t = np.radians(angle)
    along, across = np.array([np.cos(t), np.sin(t)]), np.array([-np.sin(t), np.cos(t)])
    # hatches of neighbouring areas fall on the same lines
    phase = float(centre @ across) % spacing
    steps = np.arange(-reach, reach + spacing, spacing) // spacing * spacing - phase
    ends = centre + steps[:, None, None] * across + np.array([-reach, reach])[None, :, None] * along
    cut = shapely.intersection(shapely.linestrings(ends), area)
    parts = [p for p in shapely.get_parts(cut) if p.geom_type in ("LineString", "MultiLineString")]
    lines = [np.asarray(shapely.get_coordinates(p)) for g in parts for p in shapely.get_parts(g)]
    lines = [p for p in lines if len(p) > 1]
    return Stroke(tuple(lines), weight, dash, role=role) if lines else None
