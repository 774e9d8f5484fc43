"""Why a hung garment's reading cannot be trusted: no rest, cloth in the body, too much strain."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pinwright.drape.data import Array, Hung
from pinwright.drape.reading.cloth import vertex_areas
from pinwright.drape.reading.strain import Strain, peak_of
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

UNREST = 0.1
"""With more left over on a point of the mesh than a tenth of its weight, the cloth may still move
visibly; see :class:`~pinwright.drape.data.Rest`."""

TOO_FAR = 0.2
"""Woven cloth tears at 15 to 30 % along its threads (common practice): no garment wears so."""

DEEP = 0.3
"""Cloth so far inside the body, cm, is not lying on it."""

SOME = 0.01
"""Less of the cloth inside is a matter of the body's facets."""


def doubts(hung: Hung, stretch: Strain, gap: Array, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """What is wrong with a garment's rest, in sentences with their lengths in a unit; gap: (n,) cm
    at its vertices."""
    return tuple(_doubts(hung, stretch, gap, unit))


def left_over(residual: float) -> str:
    """How much force is left over where the cloth is not quite at rest, in words: the root mean
    square of that on a point of the mesh, of a point's mean weight."""
    much = f"{residual:.2g} times" if residual >= 1.0 else f"{100.0 * residual:.2g} % of"
    return f"the force left over on a point of its mesh is {much} a point's weight"


def _doubts(hung: Hung, stretch: Strain, gap: Array, unit: LengthUnit) -> Iterator[str]:
    """The sentences, one by one."""
    if hung.rest.stopped:
        yield "It was stopped before it hung at rest."
    elif hung.rest.residual > UNREST:
        yield f"It does not hang at rest: {left_over(hung.rest.residual)}."
    area = vertex_areas(hung.points, hung.shell.triangles)
    inside = float(area[gap < -DEEP].sum()) / max(float(area.sum()), 1e-12)
    if inside > SOME:
        yield (
            f"{inside:.0%} of the cloth lies inside the body, up to "
            f"{said(-float(np.min(gap)), unit)} deep."
        )
    peak = max(peak_of(stretch.along, stretch.area), peak_of(stretch.across, stretch.area))
    if peak > TOO_FAR:
        yield f"A hundredth of it is stretched by more than {peak:.0%}, which no cloth bears."
