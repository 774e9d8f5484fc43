"""How much of the cloth becomes pieces, from lays that were measured.

What decides it is in how many rows the pieces would lie at best: two trouser legs beside two
others go into one row until they are just too wide, and then take a good part of a second.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PUBLISHED = (0.75, 0.85)
"""Share of the cloth that becomes pieces (sources 5.3: "75-85 %", from memory)."""

ALIKE = 0.04
"""Lays whose rows differ by less, as a part of one, are averaged."""

LAID = ("shell", "lining")
"""Layers that were laid to measure how densely they lie; what goes with them lies as they do."""

FEWEST = 4
"""From fewer lays of the same garments nothing is told; all lays are taken together then."""


@dataclass(frozen=True, slots=True)
class Density:
    """Area of the pieces over usable cloth: mean and standard deviation of one lay.

    ``freedom`` are the degrees of freedom that ``sd`` is known with; 0 is the published rule, its
    range taken as 95 %. ``source`` says where it is from.
    """

    mean: float
    sd: float
    freedom: int
    source: str


RULE = Density(
    sum(PUBLISHED) / 2.0,
    (PUBLISHED[1] - PUBLISHED[0]) / 2.0 / 1.96,
    0,
    "published rule, 75 to 85 % (from memory)",
)


@dataclass(frozen=True, slots=True)
class Measured:
    """A lay that was measured, of one layer of these garments (sorted by name).

    ``layer`` "shell" is that with the facings. ``rows`` is area / (usable width x longest piece),
    with the cloth held back round it: how many rows as long as the longest piece the pieces would
    fill without any waste. ``density`` is what came of it.
    """

    garments: tuple[str, ...]
    rows: float
    density: float
    layer: str = "shell"


def density_at(
    measured: Sequence[Measured], garments: Sequence[str], layers: Sequence[str], rows: float
) -> Density:
    """How densely these garments' pieces lie that would fill so many rows.

    From lays of the same layer of the same garments, or of all that were measured; the published
    rule for layers that were not laid. Between lays it is interpolated; the standard deviation is
    that of each lay about what the others say. More rows never take less cloth, since what fits on
    a cloth fits on a wider one.
    """
    mine = tuple(sorted(garments))
    layer = next((name for name in LAID if name in layers), "")
    laid = [m for m in measured if m.layer == layer]
    same = [m for m in laid if m.garments == mine]
    found = same if len(same) >= FEWEST else laid
    if len(found) < FEWEST:
        return RULE
    at = np.array([m.rows for m in found])
    density = np.array([m.density for m in found])
    left = [
        density[i] - _between(np.delete(at, i), np.delete(density, i), float(at[i]))
        for i in range(len(at))
    ]
    words = f"lays of the {layer} of " + (
        " with ".join(mine) if found is same else "other garments"
    )
    return Density(
        _between(at, density, rows),
        float(np.sqrt(np.mean(np.square(left)))),
        len(found) - 1,
        f"{words}, measured",
    )


def _between(at: Array, density: Array, rows: float) -> float:
    """The density at so many rows; beyond the lays that were measured, the outermost's."""
    order = np.argsort(at)
    groups: list[list[int]] = []
    for i in order:
        if groups and at[i] <= at[groups[-1][0]] * (1.0 + ALIKE):
            groups[-1].append(int(i))
        else:
            groups.append([int(i)])
    x = np.array([at[g].mean() for g in groups])
    y = np.array([density[g].mean() for g in groups])
    taken = np.maximum.accumulate(x / y)
    nearest = float(np.clip(rows, x[0], x[-1]))
    return nearest / float(np.interp(nearest, x, taken))
