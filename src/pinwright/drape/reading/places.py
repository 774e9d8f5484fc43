"""What a garment reads at each of its places: strain, gap and pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Hung
from pinwright.drape.reading.pressure import TOUCHES
from pinwright.drape.reading.regions import Region, regions
from pinwright.drape.reading.strain import Strain, mean_of, peak_of
from pinwright.drape.reading.words import sided

GATHERED = 0.03
"""Cloth that is sewn in by more than this part shorter is gathered; less is eased in (common
practice)."""


@dataclass(frozen=True, slots=True)
class Place:
    """What is read at a place.

    Strains as fractions: means by area, and the peak that 99 % of the area stays under. gap: cm
    from skin to cloth, mean by area, least and most. pressure: kPa, the mean where it touches;
    touched: the part of the area that touches. area: cm2, flat.
    """

    name: str
    side: str
    area: float
    strain_along: float
    strain_along_peak: float
    strain_across: float
    strain_across_peak: float
    shear: float
    gap: float
    gap_least: float
    gap_most: float
    pressure: float
    touched: float

    @property
    def title(self) -> str:
        """The place with its side."""
        return sided(self.name, self.side)

    @property
    def gathered(self) -> bool:
        """Whether more cloth is sewn in there than lies flat."""
        return self.strain_across < -GATHERED


def places(hung: Hung, stretch: Strain, gap: Array, press: Array) -> tuple[Place, ...]:
    """Every place of a garment, read; gap (n,) cm and press (n,) kPa at its vertices."""
    return tuple(_read(hung, r, stretch, gap, press) for r in regions(hung))


def _read(hung: Hung, region: Region, stretch: Strain, gap: Array, press: Array) -> Place:
    """One place, read."""
    t = region.triangles
    area = stretch.area[t]
    corner = hung.shell.triangles[t].ravel()
    some, number = np.unique(corner, return_inverse=True)
    weight: Array = np.asarray(np.bincount(number, np.repeat(area / 3.0, 3)), dtype=float)
    touched = press[some] > TOUCHES
    return Place(
        name=region.name,
        side=region.side,
        area=float(area.sum()),
        strain_along=mean_of(stretch.along[t], area),
        strain_along_peak=peak_of(stretch.along[t], area),
        strain_across=mean_of(stretch.across[t], area),
        strain_across_peak=peak_of(stretch.across[t], area),
        shear=mean_of(np.abs(stretch.shear[t]), area),
        gap=mean_of(gap[some], weight),
        gap_least=float(gap[some].min()),
        gap_most=float(gap[some].max()),
        pressure=mean_of(press[some][touched], weight[touched]),
        touched=float(weight[touched].sum() / max(float(weight.sum()), 1e-12)),
    )
