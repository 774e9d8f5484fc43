"""What a lay uses, how near that is to the least there could be, and where cloth is wasted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity

from pinwright.cutting.lay.placing import Array, Field, Lay, Template, covered

CELL = 1.0
"""Waste is looked for on squares of this size, cm; narrower cloth is of no use."""

LEAST_WASTE = 30.0
"""Empty rectangles smaller than this (cm2) are not named."""

Rectangle = tuple[float, float, float, float]
"""(x0, y0, x1, y1) on the field, cm: from along, from across, to along, to across."""


@dataclass(frozen=True, slots=True)
class Measured:
    """Figures of a lay, cm, cm2 and parts of one.

    ``density`` is the area of the cut outlines through all plies as a part of the cloth used;
    ``held`` the area held back round pieces cut after the fitting. No lay of these pieces on this
    width is shorter than ``bound``. ``waste`` is all cloth used that is neither piece nor held
    back (one ply), ``usable`` what of it is at least 1 cm wide, ``end`` what of that
    reaches the end of the cloth used, ``rectangles`` the largest empty ones.
    """

    length: float
    density: float
    bound: float
    held: float
    waste: float
    usable: float
    end: float
    rectangles: tuple[Rectangle, ...]

    @property
    def over(self) -> float:
        """By what part the lay is longer than the bound."""
        return self.length / self.bound - 1.0 if self.bound > 0.0 else 0.0


def measured(lay: Lay, rectangles: int = 3) -> Measured:
    """The figures of a lay; at most so many empty rectangles are named."""
    field = lay.field
    known = {t.key: t for t in lay.templates}
    here = [known[p.key] for p in lay.placements]
    plies = 2 if field.folded else 1
    used = cloth(field, lay.length)
    whole = float(used.area)
    cut = sum(t.area * t.plies for t in here)
    free = used.difference(shapely.union_all(_taken(lay)))
    opened = free.buffer(-CELL / 2.0).buffer(CELL / 2.0).intersection(free)
    at_end = float(used.bounds[2]) - CELL
    return Measured(
        length=lay.length,
        density=cut / (whole * plies) if whole > 0.0 else 0.0,
        bound=lower_bound(here, field),
        held=sum(float(t.taken.area) - t.area for t in here if t.kept > 0.0),
        waste=float(free.area),
        usable=float(opened.area),
        end=sum(float(p.area) for p in shapely.get_parts(opened) if p.bounds[2] > at_end),
        rectangles=empty_rectangles(free, used.bounds, rectangles),
    )


def cloth(field: Field, length: float) -> shapely.Geometry:
    """The cloth used: up to ``length``, within a remnant's outline, without flaws and taken."""
    used: shapely.Geometry = shapely.box(0.0, 0.0, length, field.width)
    if field.outline is not None:
        outline = shapely.Polygon(field.outline)
        x0, y0, _, y1 = outline.bounds
        used = outline.intersection(shapely.box(min(x0, 0.0), y0, length, y1))
    lost = [shapely.box(*f) for f in field.flaws] + [shapely.Polygon(o) for o in field.taken]
    return used.difference(shapely.union_all(lost)) if lost else used


def lost_across(field: Field, length: float) -> float:
    """How much of the first ``length`` cm is lost to flaws that leave nothing across, cm."""
    boxes = [(max(x0, 0.0), y0, min(x1, length), y1) for x0, y0, x1, y1 in field.flaws]
    boxes = [b for b in boxes if b[0] < b[2]]
    ends = sorted({x for b in boxes for x in (b[0], b[2])})
    lost = 0.0
    for a, b in pairwise(ends):
        reached = 0.0
        for _, y0, _, y1 in sorted((f for f in boxes if f[0] <= a and f[2] >= b), key=_low):
            if y0 - reached > CELL:
                break
            reached = max(reached, y1)
        lost += b - a if reached > field.width - CELL else 0.0
    return lost


def _low(box: Rectangle) -> float:
    return box[1]


def _taken(lay: Lay) -> list[shapely.Geometry]:
    known = {t.key: t for t in lay.templates}
    return [covered(known[p.key], p) for p in lay.placements]


def lower_bound(templates: Sequence[Template], field: Field) -> float:
    """A length (cm) below which no lay of the templates on this width can be.

    The largest of: the longest piece; the area; and, at every place along the cloth, that the
    cuts across the pieces lying there, gaps included, cannot add up to more than the width. Any
    dual feasible function of the cuts may be added up instead of the cuts themselves; those of
    Fekete and Schepers (2001, Mathematical Programming 91, from memory) are tried, of which the
    simplest says that two cuts longer than half the width do not stand side by side. Flaws and
    repeats only lengthen a lay and are left out.
    """
    if not templates:
        return 0.0
    width = field.width if field.outline is None else float(np.ptp(field.outline[:, 1]))
    room = width + field.gap
    longest, profiles = 0.0, []
    for t in templates:
        ways = [_cuts(t, r) for r in sorted({r % 180.0 for r in t.rotations})]
        longest = max(longest, min(float(dx.sum()) for dx, _, _ in ways))
        profiles.append([(dx, (m + field.gap) / room, (c + field.gap) / room) for dx, m, c in ways])
    area = sum(min(float(dx @ mean) for dx, mean, _ in ways) for ways in profiles)
    best = max(longest, area)
    for dual in _duals():
        total = sum(min(float(dx @ dual(least)) for dx, _, least in ways) for ways in profiles)
        best = max(best, total)
    return best


def _duals() -> list[Callable[[Array], Array]]:
    """Dual feasible functions of Fekete and Schepers: u^(eps) and u^(k); all non-decreasing."""

    def large_whole(eps: float) -> Callable[[Array], Array]:
        def f(u: Array) -> Array:
            found: Array = np.where(u > 1.0 - eps + 1e-9, 1.0, np.where(u < eps + 1e-9, 0.0, u))
            return found

        return f

    def in_parts(k: int) -> Callable[[Array], Array]:
        def f(u: Array) -> Array:
            found: Array = np.maximum(np.floor((k + 1) * u - 1e-9), 0.0) / k
            return found

        return f

    return [large_whole(float(e)) for e in np.linspace(0.05, 0.5, 19)] + [
        in_parts(k) for k in range(1, 7)
    ]


def _cuts(template: Template, rotation: float, step: float = 0.5) -> tuple[Array, Array, Array]:
    """Steps along what a template takes (k,), and the mean and least cut across in each, cm.

    Between the corners of a polygon the cut changes evenly, so both are exact.
    """
    taken = affinity.rotate(template.taken, rotation, origin=(0, 0))
    xs = np.unique(shapely.get_coordinates(taken)[:, 0])
    xs = xs[np.concatenate([[True], np.diff(xs) > 1e-7])]
    _, y0, _, y1 = taken.bounds
    a, b = xs[:-1], xs[1:]
    first, second = (
        np.asarray(shapely.length(shapely.intersection(_across(a + q * (b - a), y0, y1), taken)))
        for q in (0.25, 0.75)
    )
    at_a, at_b = 1.5 * first - 0.5 * second, 1.5 * second - 0.5 * first
    pieces = [
        (np.linspace(p, q, n + 1), np.linspace(u, v, n + 1))
        for p, q, u, v in zip(a, b, at_a, at_b, strict=True)
        for n in [max(1, int(np.ceil((q - p) / step)))]
    ]
    dx = np.concatenate([np.diff(x) for x, _ in pieces])
    mean = np.concatenate([(c[1:] + c[:-1]) / 2.0 for _, c in pieces])
    least = np.concatenate([np.minimum(c[1:], c[:-1]) for _, c in pieces])
    return dx, mean, least


def _across(x: Array, y0: float, y1: float) -> NDArray[np.object_]:
    low, high = np.full_like(x, y0 - 1.0), np.full_like(x, y1 + 1.0)
    lines: NDArray[np.object_] = shapely.linestrings(
        np.stack([np.stack([x, low], axis=-1), np.stack([x, high], axis=-1)], axis=1)
    )
    return lines


def empty_rectangles(
    free: shapely.Geometry, bounds: tuple[float, float, float, float], count: int
) -> tuple[Rectangle, ...]:
    """The largest empty rectangles of free cloth, one after another, in whole centimetres."""
    x0, y0, x1, y1 = bounds
    nx, ny = int((x1 - x0) / CELL), int((y1 - y0) / CELL)
    if nx < 1 or ny < 1 or free.is_empty:
        return ()
    # Counted from the end of the cloth used, where most of what is left lies.
    left = x1 - CELL * (np.arange(nx) + 1)
    low = y0 + CELL * np.arange(ny)
    X, Y = np.meshgrid(left, low, indexing="ij")
    shapely.prepare(free)
    empty = shapely.covers(free, shapely.box(X, Y, X + CELL, Y + CELL))
    found: list[Rectangle] = []
    while len(found) < count:
        i0, j0, i1, j1 = _largest(empty)
        if (i1 - i0) * (j1 - j0) * CELL * CELL < LEAST_WASTE:
            break
        empty[i0:i1, j0:j1] = False
        found.append(
            (
                float(x1 - CELL * i1),
                float(y0 + CELL * j0),
                float(x1 - CELL * i0),
                float(y0 + CELL * j1),
            )
        )
    return tuple(found)


def _largest(empty: NDArray[np.bool_]) -> tuple[int, int, int, int]:
    """Rows and columns (i0, j0, i1, j1) of the largest rectangle of true cells.

    Row by row, the largest rectangle under a histogram, by the usual stack.
    """
    best, where = 0, (0, 0, 0, 0)
    heights = np.zeros(empty.shape[1], dtype=np.int64)
    for i, row in enumerate(empty):
        heights = np.where(row, heights + 1, 0)
        stack: list[tuple[int, int]] = []
        for j, h in enumerate([*heights.tolist(), 0]):
            start = j
            while stack and stack[-1][1] >= h:
                start, tall = stack.pop()
                if tall * (j - start) > best:
                    best, where = tall * (j - start), (i - tall + 1, start, i + 1, j)
            if h:
                stack.append((start, h))
    return where
