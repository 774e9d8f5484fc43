"""What is shown of a hung garment that has been read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Hung, Surface
from pinwright.drape.pictures.scale import Quantity
from pinwright.drape.pictures.shown import FoldLine, Shown, Spot, standing
from pinwright.drape.reading.levels import Level, Plumb
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.regions import regions
from pinwright.drape.reading.sign import Sign
from pinwright.figure.landmarks import Landmarks
from pinwright.measures.amounts import SLIGHT, said
from pinwright.measures.units import LengthUnit

ROUND = 6.0
"""How far about a fold its ground is looked for, cm."""


def shown_of(
    garment: str,
    hung: Hung,
    reading: Reading,
    marks: Landmarks | None = None,
    unit: LengthUnit = "cm",
    figure: Surface | None = None,
    signs: Sequence[Sign] = (),
) -> Shown:
    """A garment with all that was read of it. marks: the landmarks of the body it hangs on, with
    which its levels and plumbs are drawn where she stands. figure: what is shown as her body, if it
    is not the surface that the cloth hangs on; signs: what the judge says of it."""
    levels, plumbs = standing(marks) if marks is not None and hung.pose == "standing" else ((), {})
    triangles = hung.shell.triangles
    spots = tuple(
        Spot(
            p.title,
            np.unique(triangles[r.triangles]),
            p.strain_across,
            p.strain_along,
            p.gap,
            p.pressure,
            p.touched,
        )
        for p, r in zip(reading.places, regions(hung), strict=True)
    )
    tree = cKDTree(hung.points)
    folds = tuple(
        FoldLine(
            deepening(f.line, hung.points, reading.gap, tree), f.length, f.depth, f.where(unit)
        )
        for f in reading.folds
    )
    fields: dict[Quantity, Array] = {
        "strain across": reading.across,
        "strain along": reading.along,
        "gap": reading.gap,
        "pressure": reading.pressure,
    }
    return Shown(
        garment,
        hung,
        fields,
        spots,
        folds,
        tuple(_levels(reading, unit)) if hung.pose == "standing" else (),
        levels,
        plumbs,
        figure,
        signs,
        reading.doubts,
    )


def deepening(line: Array, points: Array, gap: Array, tree: cKDTree) -> Array:
    """A fold's line (k, 3) turned so that its deeper end comes last: that where it stands further
    off the body than the cloth round it does, over a third of its length."""
    part = max(1, len(line) // 3)
    depth = []
    for end in (line[:part], line[-part:]):
        _, on = tree.query(end)
        ground = [float(gap[near].mean()) for near in tree.query_ball_point(end, ROUND)]
        depth.append(float(gap[on].mean() - np.mean(ground)))
    return line if depth[1] >= depth[0] else line[::-1]


def _levels(reading: Reading, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    """Hems and balance lines by their heights, side seams and creases by how far off plumb."""
    for level in (*reading.levels.hems, *reading.levels.lines):
        yield f"{level.title}, over the floor", _heights(level, unit)
    for plumb in (*reading.levels.seams, *reading.levels.creases):
        yield plumb.title, _off(plumb, unit)


def _heights(level: Level, unit: LengthUnit) -> str:
    """Lowest and highest place of a line."""
    if level.within < SLIGHT[unit]:
        return said(level.lowest, unit)
    return f"{said(level.lowest, unit)} to {said(level.highest, unit)}"


def _off(plumb: Plumb, unit: LengthUnit) -> str:
    """The most by which a line is off a plumb held to its upper end."""
    if not plumb.at:
        return "not seen"
    where = max(plumb.at, key=lambda k: abs(plumb.at[k]))
    off = plumb.at[where]
    if abs(off) < SLIGHT[unit]:
        return "plumb"
    return f"{plumb.words[0 if off > 0.0 else 1]}, {said(abs(off), unit)} at the {where}"
