"""Flaws as one piece for the engine, which cannot be told to keep off a place.

The flaws are joined, by thin bars to the nearer edge of the cloth and along it, to a wall across
the cut end. The wall takes the whole width, so the frame cannot move across, and where it comes
to stand along is taken for the cut end. A bar shuts off no more than a line between a flaw and
the edge; what it costs is what a piece lying across that line would have saved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

import numpy as np
import shapely

from pinwright.cutting.lay.items import WALL, Item
from pinwright.cutting.lay.placing import Array, Field, Lay, Placement, covered

START = 0.01
"""What ends before this (cm) stands before the cut end."""

Box = tuple[float, float, float, float]


def met(field: Field, length: float) -> tuple[Box, ...]:
    """The flaws that begin within the first ``length`` cm of the cloth."""
    return tuple(f for f in field.flaws if f[0] < length)


def flaw_frame(flaws: Sequence[Box], field: Field, low: bool = True) -> Item | None:
    """The frame of flaws, grown by half the gap; None where it would shut off some cloth whole.

    Its x = 0 is the cut end. It reaches ``WALL`` past the lower and the upper edge. Of a flaw
    that is as near to the one edge as to the other ``low`` decides.
    """
    half = field.gap / 2.0
    bottom, top = -half, field.width + half
    # At the cut end there is no gap to keep; the grown pieces reach half of it past theirs.
    parts: list[shapely.Geometry] = [shapely.box(-half - WALL, bottom - WALL, -half, top + WALL)]
    reach = {"low": 0.0, "high": 0.0}
    for x0, y0, x1, y1 in flaws:
        box = shapely.box(x0 - half, max(y0 - half, bottom), x1 + half, min(y1 + half, top))
        parts.append(box)
        under, over = y0, field.width - y1
        down = under < over if abs(under - over) > 1.0 else low
        edge = "low" if down else "high"
        reach[edge] = max(reach[edge], x1)
        middle = (x0 + x1) / 2.0
        ends = (bottom - WALL, y0) if down else (y1, top + WALL)
        parts.append(shapely.box(middle - WALL / 2.0, ends[0], middle + WALL / 2.0, ends[1]))
    for edge, y in (("low", bottom - WALL), ("high", top)):
        if reach[edge] > 0.0:
            parts.append(shapely.box(-half - WALL, y, reach[edge], y + WALL))
    whole = shapely.union_all(parts)
    if whole.geom_type != "Polygon" or len(whole.interiors) > 0:
        return None
    ring = whole.exterior
    points: Array = np.asarray(shapely.get_coordinates(ring.simplify(1e-9)))[:-1]
    return Item(
        points if shapely.is_ccw(ring) else points[::-1], (0.0,), (), pinned=True, cut_end=True
    )


def span(lay: Lay, p: Placement) -> tuple[float, float]:
    """From where to where along the cloth a piece, and what is held back round it, lies, cm."""
    x0, _, x1, _ = covered(lay.template(p.key), p).bounds
    return float(x0), float(x1)


def behind_the_end(lay: Lay) -> Lay:
    """The lay, measured, with what stands before the cut end moved behind its other end.

    It is moved as one block, by whole repeats where a piece is matched along the cloth.
    """
    spans = {p.key: span(lay, p) for p in lay.placements}
    before = {k for k, (_, end) in spans.items() if end <= START}
    rest = [end for k, (_, end) in spans.items() if k not in before]
    if not before:
        return replace(lay, length=max(rest))
    start = max([0.0, *rest, *(f[2] for f in lay.field.flaws)]) + lay.field.gap
    by = start - min(spans[k][0] for k in before)
    repeat = lay.field.repeat[0]
    if repeat > 0.0 and any(q.axis == "along" for t in lay.templates for q in t.phases):
        by = repeat * ceil(by / repeat - 1e-9)
    moved = tuple(replace(p, x=p.x + by) if p.key in before else p for p in lay.placements)
    return replace(lay, placements=moved, length=max(spans[k][1] for k in before) + by)
