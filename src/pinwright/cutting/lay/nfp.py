"""Where two shapes overlap, and where a shape lies inside another: no-fit and inner-fit regions.

The no-fit region of A and B holds every shift of B by which the two overlap: the Minkowski sum of
A and of B turned about its origin (Bennell and Oliveira 2008, "The geometry of nesting problems:
a tutorial"). It is made with Clipper in whole units of 1e-6 cm.

Every shape is drawn in by ``SLACK`` so that an exact fit is a region and not a line; two pieces
may therefore stand up to 4e-6 cm too close.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from itertools import count

import numpy as np
import pyclipper
import shapely

from pinwright.cutting.lay.convolution import Units, cycles
from pinwright.cutting.lay.outward import simplified
from pinwright.cutting.lay.placing import Array, Template, turned

UNIT = 1e-6
"""The whole unit of the Minkowski sums, cm."""

SLACK = 2e-6
"""By so much every shape is drawn in, cm."""

COARSE = 0.03
"""An outline may be simplified by going outward so far, cm."""

_numbers = count()


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A shape that takes up cloth, at rotation 0.

    ``points`` (n, 2), anticlockwise, is the outline grown by half the gap and simplified outward;
    ``true`` is the cloth it takes, without the gap, for the edges of the cloth.
    """

    points: Array
    true: shapely.Polygon
    number: int = field(default_factory=lambda: next(_numbers))

    def bounds(self, rotation: float) -> tuple[float, float, float, float]:
        """Least x, least y, most x, most y of the true shape when turned, cm."""
        p = turned(shapely.get_coordinates(self.true), rotation)
        (x0, y0), (x1, y1) = p.min(axis=0), p.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)


GRID = 1e-6
"""Of corners, cm, where a union is not found without one."""


def body(template: Template, gap: float) -> Body:
    """The cloth that a template takes, what is held back round it included."""
    return body_in(template.taken, gap)


def body_in(taken: shapely.Geometry, gap: float) -> Body:
    """The body of the cloth that is taken, a polygon in cm."""
    return _body(shapely.to_wkb(taken), gap)


def body_of(outline: Array, gap: float) -> Body | None:
    """The body of a flaw or of what is cut already, (n, 2) in cm; None if it has no area."""
    whole = shapely.make_valid(shapely.Polygon(outline))
    grown = whole.buffer(1e-4) if whole.area < 1e-6 else whole
    hull = grown if grown.geom_type == "Polygon" else grown.convex_hull
    return None if hull.is_empty or hull.area <= 0.0 else _body(shapely.to_wkb(hull), gap)


@lru_cache(maxsize=4096)
def _body(wkb: bytes, gap: float) -> Body:
    whole = max(shapely.get_parts(shapely.from_wkb(wkb)), key=lambda p: float(p.area))
    true = shapely.Polygon(whole.exterior)
    grown = true
    if gap > 0.0:
        # Exact beside straight edges; round corners chords of 22.5 degrees, of at most half as
        # much again where an arc is no whole number of them, that never come inside the gap.
        chords = true.buffer(gap / 2.0 / np.cos(0.75 * np.pi / 8.0), quad_segs=4)
        sides = true.buffer(gap / 2.0, join_style="mitre", mitre_limit=100.0)
        grown = max(shapely.get_parts(chords.intersection(sides)), key=lambda p: float(p.area))
    ring = shapely.get_coordinates(shapely.orient_polygons(shapely.Polygon(grown.exterior)))[:-1]
    coarse = shapely.Polygon(simplified(ring, COARSE))
    return Body(_drawn_in(coarse), true)


@lru_cache(maxsize=32768)
def no_fit(a: Body, ra: float, b: Body, rb: float) -> shapely.Geometry:
    """Shifts of ``b`` (turned by ``rb``) by which it overlaps ``a`` (turned by ``ra``), cm.

    Both turned about their origins, degrees. A polygon or several; a hole is a place inside ``a``
    where ``b`` fits but into which it could not be pushed.
    """
    if a.number > b.number:
        return shapely.transform(no_fit(b, rb, a, ra), np.negative)
    pair = _pair(a, b, (rb - ra) % 360.0)
    return shapely.transform(pair, lambda c: turned(c, ra)) if ra % 360.0 else pair


@lru_cache(maxsize=32768)
def _pair(a: Body, b: Body, turn: float) -> shapely.Geometry:
    return _filled(_units(a.points), -_units(turned(b.points, turn)), pyclipper.PFT_NONZERO)


def inside_box(
    b: Body, rotation: float, length: float, width: float
) -> tuple[float, float, float, float] | None:
    """Shifts (x0, y0, x1, y1) that keep ``b`` on 0..length by 0..width; None if it is too large."""
    x0, y0, x1, y1 = b.bounds(rotation)
    low_x, high_x, low_y, high_y = -x0, length - x1, -y0, width - y1
    if high_x < low_x - SLACK or high_y < low_y - SLACK:
        return None
    return low_x, low_y, max(low_x, high_x), max(low_y, high_y)


def inside_outline(b: Body, rotation: float, outline: Array) -> shapely.Geometry:
    """Shifts that keep ``b``, without the gap, inside an outline (n, 2) of any shape; maybe empty.

    Round such a shift, and nowhere else, the convolution with the outline run clockwise winds
    the other way, unless the outline lies inside the shape.
    """
    whole = shapely.orient_polygons(shapely.Polygon(outline))
    x0, y0, x1, y1 = b.bounds(rotation)
    u0, v0, u1, v1 = whole.bounds
    if x1 - x0 > u1 - u0 + SLACK or y1 - y0 > v1 - v0 + SLACK:
        return shapely.Polygon()
    ring = shapely.get_coordinates(shapely.orient_polygons(b.true))[:-1]
    small = _drawn_in(shapely.Polygon(simplified(ring, COARSE)))
    clockwise = _units(shapely.get_coordinates(whole)[:-1])[::-1]
    return _filled(clockwise, -_units(turned(small, rotation)), pyclipper.PFT_NEGATIVE)


def _drawn_in(shape: shapely.Polygon) -> Array:
    found = shape.buffer(-SLACK, join_style="mitre", mitre_limit=10.0)
    whole = max(shapely.get_parts(found), key=lambda p: float(p.area))
    points: Array = shapely.get_coordinates(shapely.orient_polygons(whole))[:-1]
    return points


def _filled(p: Units, q: Units, rule: int) -> shapely.Geometry:
    joint = pyclipper.Pyclipper()
    joint.AddPaths([c.tolist() for c in cycles(p, q)], pyclipper.PT_SUBJECT, True)
    return _polygons(joint.Execute(pyclipper.CT_UNION, rule, rule))


def _units(points: Array) -> Units:
    return np.rint(points / UNIT).astype(np.int64)


def _polygons(rings: list[list[list[int]]]) -> shapely.Geometry:
    """Clipper's rings, outer ones anticlockwise and holes clockwise, as one geometry in cm."""
    outer: list[Array] = []
    holes: list[Array] = []
    for ring in rings:
        found = np.array(ring, dtype=float) * UNIT
        (outer if pyclipper.Orientation(ring) else holes).append(found)
    if not outer:
        return shapely.Polygon()
    if len(outer) == 1:
        return shapely.Polygon(outer[0], holes)
    made = []
    for bound in outer:
        whole = shapely.Polygon(bound)
        within = [h for h in holes if whole.covers(shapely.Point(h[0]))]
        made.append(shapely.Polygon(bound, within))
    try:
        return shapely.unary_union(made)
    except shapely.errors.GEOSException:
        # nearly touching sides: on a grid far finer than the cloth is cut the union is always found
        return shapely.unary_union([shapely.make_valid(p) for p in made], grid_size=GRID)
