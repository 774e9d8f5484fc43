"""How far the cloth stands off the body, and its girth against the body's, level by level.

The cloth's middle lies half its thickness off what it touches: the gap is from the skin to the
cloth's inside, and a girth of the cloth's middle is longer than its inside by 2 pi times half the
thickness (geometry of a closed line and the one beside it).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.drape.data import Hung
from pinwright.drape.reading.cloth import TRUNK, at_home
from pinwright.drape.reading.nearest import Nearest, nearest
from pinwright.drape.reading.section import Loop, hull_girth, section

LEAST = 20.0
"""A line of a section that is shorter (cm) is no girth of cloth."""


@dataclass(frozen=True, slots=True)
class Girth:
    """A garment's girth at a level, cm.

    place: the level; side: "" round the trunk, else the leg. cloth: along its inside as it hangs;
    taut: a tape laid round it; flat: the same line on the flat pieces; body: a tape round the
    body within, 0 where there is none. open: the line does not close (a front that is not sewn).
    """

    place: str
    side: str
    level: float
    cloth: float
    taut: float
    flat: float
    body: float
    open: bool = False

    @property
    def ease(self) -> float:
        """What the flat pieces have over the body, cm."""
        return self.flat - self.body

    @property
    def strain(self) -> float:
        """How much longer the line hangs than it is flat, as a fraction."""
        return (self.cloth - self.flat) / self.flat if self.flat > 0.0 else 0.0


def gaps(hung: Hung) -> Nearest:
    """What of the body lies nearest to each vertex; distance: from skin to cloth, cm, less inside.

    Over a hollow it is the distance to its rim; beside an arm it may be to the arm.
    """
    found = nearest(hung.points, hung.body)
    return Nearest(found.distance - hung.thickness / 2.0, found.points, found.triangle)


def _of_body(inside: list[Loop], around: Loop) -> float:
    """A tape round the body's lines that lie within the cloth's, cm."""
    if len(around.points) < 4:
        return 0.0
    ring = shapely.Polygon(around.points[:, :2])
    hull = shapely.convex_hull(ring)
    mine = [x.points for x in inside if hull.contains(shapely.Point(x.middle[:2]))]
    return hull_girth(np.concatenate(mine)) if mine else 0.0


ROUND = 0.9
"""Cloth that is open (a front) still goes round where it is so much of the tape about it."""


def girths(hung: Hung, levels: Mapping[str, float]) -> tuple[Girth, ...]:
    """The girths of trunk and legs at named levels, cm over the floor; sleeves are left out."""
    shell = hung.shell
    mine = at_home(hung, TRUNK)
    found = []
    for place, level in levels.items():
        lines = [
            x
            for x in section(hung.points, shell.triangles[mine], level, shell.rest[mine])
            if x.length > LEAST
        ]
        body = [x for x in section(hung.body.points, hung.body.triangles, level) if x.length > 5.0]
        for x in lines:
            if not x.closed and x.length < ROUND * hull_girth(x.points):
                continue  # the level runs out over an edge, as over a waist that dips in front
            across = float(x.middle[0])
            legs = len(lines) > 1 and abs(across) > np.ptp(x.points[:, 0]) / 4.0
            half = np.pi * hung.thickness
            found.append(
                Girth(
                    place=place,
                    side=("left" if across > 0.0 else "right") if legs else "",
                    level=level,
                    cloth=x.length - (half if x.closed else 0.0),
                    taut=hull_girth(x.points) - half,
                    flat=x.flat,
                    body=_of_body(body, x),
                    open=not x.closed,
                )
            )
    return tuple(found)
