"""Outlines for the tests of the lay, and a strategy that makes simple polygons of any form."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import strategies as st

from pinwright.cutting.lay.placing import Array, Lay, Placement, Template, placed


def square(side: float) -> Array:
    return box(side, side)


def box(along: float, across: float) -> Array:
    return np.array([(0.0, 0.0), (along, 0.0), (along, across), (0.0, across)])


def ell(arm: float = 10.0, thick: float = 4.0) -> Array:
    """An L: a square of side ``arm`` less the square above and right of its two arms."""
    return np.array(
        [(0.0, 0.0), (arm, 0.0), (arm, thick), (thick, thick), (thick, arm), (0.0, arm)]
    )


def template(key: str, outline: Array, **more: object) -> Template:
    return Template(key, "coat", key, "both", outline, **more)  # type: ignore[arg-type]


def polygon(points: Array) -> shapely.Polygon:
    return shapely.Polygon(points)


def areas(lay: Lay) -> list[shapely.Polygon]:
    """Every piece as it lies, in the order of the placements."""
    return [shapely.Polygon(placed(lay.template(p.key), p)) for p in lay.placements]


def at(lay: Lay, key: str) -> Placement:
    return next(p for p in lay.placements if p.key == key)


@st.composite
def star_shaped(draw: st.DrawFn) -> Array:
    """A simple polygon of 4 to 9 corners round a middle, often hollow, 4 to 40 cm large."""
    n = draw(st.integers(4, 9))
    steps = np.array(draw(st.lists(st.floats(0.3, 1.0), min_size=n, max_size=n)))
    angles = np.cumsum(steps) / steps.sum() * 2.0 * np.pi
    radii = np.array(draw(st.lists(st.floats(2.0, 20.0), min_size=n, max_size=n)))
    found: Array = np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1)
    return found


def curved(outline: Array, corners: int = 12) -> Array:
    """The outline with rounded corners, many points: what a drawn cut line looks like."""
    round_ = shapely.Polygon(outline).buffer(1.5, quad_segs=corners)
    ring = shapely.Polygon(round_.exterior)
    found: Array = shapely.get_coordinates(shapely.orient_polygons(ring))[:-1]
    return found
