"""What the engine is given: plain outlines, grown outwards, standing for one or more templates.

A template in a repeat is swept by it, so that it can afterwards be moved up to its place in the
repeat without meeting a neighbour. Templates on the fold stand together in a frame, since the
engine cannot be told to keep anything in place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity

from pinwright.cutting.lay.placing import (
    Array,
    Field,
    Phase,
    Placement,
    Template,
    covered,
    lying,
    turned,
)

TRIM = 0.01
"""Outlines are simplified to this (cm), always outwards: fewer corners, a faster engine."""

FEW = 40
"""An outline with no more corners than this is given as it is."""

HAIR = 5e-5
"""A mitred buffer may fall short of what was asked at sharp corners, by up to 2e-5 cm (seen)."""

WALL = 0.02
"""Thickness (cm) of the frame that holds the pieces on the fold in place."""

CLOSE = 0.01
"""A piece that leaves less than this (cm) across the cloth fits exactly, as the engine sees it."""


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """An outline (m, 2) for the engine, and the templates in it as they lie in it.

    What is ``pinned`` takes the whole width and must lie at y = 0 exactly. Where a
    ``cut_end`` comes to lie, there the cloth begins: see :mod:`pinwright.cutting.lay.flaw_frame`.
    """

    shape: Array
    rotations: tuple[float, ...]
    members: tuple[tuple[Template, Placement], ...]
    pinned: bool = False
    cut_end: bool = False


def whole(poly: shapely.Geometry) -> shapely.Polygon:
    """The largest part of a shape, its holes filled."""
    parts = [p for p in shapely.get_parts(poly) if isinstance(p, shapely.Polygon)]
    return shapely.Polygon(max(parts, key=lambda p: float(p.area)).exterior)


def extent(template: Template, rotation: float) -> tuple[float, float]:
    """Size (along, across) in cm of the cloth a template takes when it lies so."""
    x0, y0, x1, y1 = affinity.rotate(template.taken, rotation, origin=(0, 0)).bounds
    return float(x1 - x0), float(y1 - y0)


def fitting(template: Template, field: Field) -> tuple[float, ...]:
    """The allowed rotations in which the template, and its sweep, is not wider than the cloth."""
    room = field.width + 1e-6 - sweeps(template, field)[1]
    return tuple(r for r in template.rotations if extent(template, r)[1] <= room)


def phase_of(template: Template, axis: str) -> Phase | None:
    """The template's first phase on an axis."""
    return next((p for p in template.phases if p.axis == axis), None)


def sweeps(template: Template, field: Field) -> tuple[float, float]:
    """How far (along, across), cm, the template must be free to move up to its repeat."""
    along, across = field.repeat
    return (
        along if phase_of(template, "along") is not None else 0.0,
        across if phase_of(template, "across") is not None and not template.on_fold else 0.0,
    )


def swept(poly: shapely.Polygon, by: tuple[float, float]) -> shapely.Polygon:
    """The polygon and all it passes over when moved by (x, 0) and then by (0, y)."""
    for step in ((by[0], 0.0), (0.0, by[1])):
        if step == (0.0, 0.0):
            continue
        ring = np.asarray(poly.exterior.coords)
        move = np.array(step)
        sides = np.stack([ring[:-1], ring[1:], ring[1:] + move, ring[:-1] + move], axis=1)
        parts = [shapely.Polygon(s) for s in sides]
        parts = [p for p in parts if p.area > 0.0]
        poly = whole(shapely.union_all([poly, affinity.translate(poly, *step), *parts]))
    return poly


def grown(poly: shapely.Polygon, gap: float, rotations: Sequence[float] = (0.0,)) -> Array:
    """An outline with few corners that holds the polygon and half the gap round it.

    Never wider or longer, as it may lie, than the polygon and half the gap at each end.
    """
    trim = TRIM if len(poly.exterior.coords) > FEW else 0.0
    found, by = poly, gap / 2.0 + trim
    if by > 0.0:
        found = poly.buffer(by + HAIR, join_style="mitre", mitre_limit=2.0).simplify(trim)
    for r in rotations:
        x0, y0, x1, y1 = affinity.rotate(poly, r, origin=(0, 0)).bounds
        g = gap / 2.0
        room = shapely.box(x0 - g, y0 - g, x1 + g, y1 + g)
        found = found.intersection(affinity.rotate(room, -r, origin=(0, 0)))
    ring = whole(found).exterior
    points: Array = np.asarray(shapely.get_coordinates(ring.simplify(1e-9)))[:-1]
    return points if shapely.is_ccw(ring) else points[::-1]


def single(template: Template, field: Field) -> Item:
    """The item of a template that lies where it likes."""
    rotations = fitting(template, field)
    shape = swept(whole(template.taken), sweeps(template, field))
    return Item(
        grown(shape, field.gap, rotations), rotations, ((template, Placement(template.key, 0, 0)),)
    )


def frame(row: Sequence[tuple[Template, float]], field: Field) -> Item:
    """Templates in a row on the fold, held at y = 0 by a thin base and a wall across the cloth.

    row: each with its rotation, 0 or 180.
    """
    reach = field.gap + 2.0 * WALL
    members: list[tuple[Template, Placement]] = []
    stood: shapely.Geometry = shapely.Polygon()
    shapes: list[shapely.Polygon] = []
    for template, rotation in row:
        lies = Placement(template.key, 0.0, 0.0, rotation)
        poly = swept(whole(covered(template, lies)), sweeps(template, field))
        x = _moved_up(stood, poly, reach)
        stood = shapely.union(stood, affinity.translate(poly, x, 0.0))
        members.append((template, replace(lies, x=x)))
        shapes.append(shapely.Polygon(grown(affinity.translate(poly, x, 0.0), field.gap)))
    half = field.gap / 2.0
    outer = shapely.union_all(shapes)
    x0, _, x1, _ = outer.bounds
    # The wall stands at the row's end: everything else is to one side of it.
    base = shapely.box(x0, -half - WALL, x1, -half + WALL)
    wall = shapely.box(x0, -half - WALL, x0 + WALL, field.width + half)
    shape = whole(shapely.union_all([outer, base, wall]))
    points: Array = np.asarray(shapely.get_coordinates(shape.exterior.simplify(1e-9)))[:-1]
    if not shapely.is_ccw(shape.exterior):
        points = points[::-1]
    return Item(points, (0.0,), tuple(members), pinned=True)


def _moved_up(stood: shapely.Geometry, poly: shapely.Polygon, gap: float) -> float:
    """How far along the next piece of a row may stand, by halving; the row lies to its left."""
    if stood.is_empty:
        return -float(poly.bounds[0])
    far = float(stood.bounds[2] - poly.bounds[0]) + gap
    near = float(stood.bounds[0] - poly.bounds[0])
    x = far
    for step in np.arange(far, near, -1.0):
        if affinity.translate(poly, float(step), 0.0).distance(stood) < gap:
            break
        x = float(step)
    low = x - 1.0
    while x - low > 0.005:
        middle = (x + low) / 2.0
        if affinity.translate(poly, middle, 0.0).distance(stood) < gap:
            low = middle
        else:
            x = middle
    return x


def put(item: Item, x: float, y: float, rotation: float, field: Field) -> list[Placement]:
    """The templates of an item laid at (x, y), each moved up to its place in the repeat."""
    found = []
    for template, within in item.members:
        at = turned(np.array([within.x, within.y]), rotation) + np.array([x, y])
        lies = Placement(template.key, 0.0, 0.0, within.rotation + rotation)
        for k, axis, by in zip((0, 1), ("along", "across"), sweeps(template, field), strict=True):
            phase = phase_of(template, axis)
            if by > 0.0 and phase is not None:
                point = float((lying(template, np.array(phase.at), lies) + at)[k])
                way = 1.0 if np.cos(np.radians(rotation)) > 0.0 else -1.0
                at[k] += way * (way * (phase.residue - point) % by)
        found.append(replace(lies, x=float(at[0]), y=float(at[1])))
    return found
