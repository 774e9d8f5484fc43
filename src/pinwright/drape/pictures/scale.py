"""What is coloured on a hung garment: quantities, the steps between their colours, their words.

The colours are our own: from straw over rose and mauve to slate blue, each darker than the one
before by as much in CIE lightness (ISO/CIE 11664-4), so that a grey print keeps their order. Along
the way yellow turns to blue, which those who confuse red and green tell apart. Darker is more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from pinwright.measures.amounts import said
from pinwright.measures.units import CM_PER_INCH, LengthUnit

Array = NDArray[np.float64]
Colours = NDArray[np.uint8]
Quantity = Literal["strain across", "strain along", "gap", "pressure"]

QUANTITIES: tuple[Quantity, ...] = ("strain across", "strain along", "gap", "pressure")

RAMP = np.array(
    [
        [96.0, -2.0, 16.0],
        [84.5, 6.0, 24.0],
        [73.0, 18.0, 14.0],
        [61.5, 20.0, -4.0],
        [50.0, 8.0, -26.0],
    ]
)
"""L*, a*, b* along the ramp, evenly spaced; black lines and letters can be read on all of it."""

WHITE = np.array([0.95047, 1.0, 1.08883])
"""The white of sRGB, D65 (IEC 61966-2-1)."""

TO_RGB = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
"""XYZ to linear sRGB (IEC 61966-2-1)."""

STRAINS = (-0.01, 0.01, 0.02, 0.03, 0.05, 0.08)
"""Within 1 % cloth is as it was cut, as far as a cutter minds (our judgement)."""

GAPS: Mapping[LengthUnit, tuple[float, ...]] = {
    "cm": (0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0),
    "in": tuple(CM_PER_INCH * v for v in (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0)),
}

PRESSURES = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 4.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """The steps of a quantity: one colour more than there are ``steps``.

    steps: in the quantity's own unit (strain as a fraction, gap cm, pressure kPa), rising.
    labels: the same in words, without the unit. unit: as the legend says it.
    """

    quantity: Quantity
    steps: tuple[float, ...]
    labels: tuple[str, ...]
    unit: str

    @property
    def title(self) -> str:
        """What the legend is headed with."""
        return f"{TITLES[self.quantity]}, {self.unit}"

    @property
    def colours(self) -> Colours:
        """sRGB of each band: (k, 3)."""
        return ramp(len(self.steps) + 1)

    def bands(self, values: Array) -> NDArray[np.int64]:
        """The band of each value, 0 at the lowest; a value on a step belongs above it."""
        return np.searchsorted(np.array(self.steps), values, side="right").astype(np.int64)


TITLES: Mapping[Quantity, str] = {
    "strain across": "Stretch across the grain",
    "strain along": "Stretch along the grain",
    "gap": "Gap between body and cloth",
    "pressure": "Pressure on the body",
}


def scale_of(quantity: Quantity, unit: LengthUnit = "cm") -> Scale:
    """The steps of a quantity in the unit of the client: the same for every garment and client."""
    if quantity == "gap":
        steps = GAPS[unit]
        words = tuple(said(v, unit).removesuffix(f" {unit}").removesuffix(".0") for v in steps)
        return Scale(quantity, steps, words, unit)
    if quantity == "pressure":
        return Scale(quantity, PRESSURES, tuple(f"{v:g}" for v in PRESSURES), "kPa")
    signed = tuple(f"{100.0 * v:+g}".replace("-", "\N{MINUS SIGN}") for v in STRAINS)
    return Scale(quantity, STRAINS, signed, "%")


def remarkable(quantity: Quantity, value: float) -> bool:
    """Whether a value is out of the band in which cloth is at ease: any gap is."""
    if quantity == "gap":
        return True
    if quantity == "pressure":
        return value >= PRESSURES[0]
    return not STRAINS[0] < value < STRAINS[1]


def told(quantity: Quantity, value: float, unit: LengthUnit = "cm") -> str:
    """A value in words: "+3.1 %", "1.5 cm", "0.42 kPa"."""
    if quantity == "gap":
        return said(value, unit)
    if quantity == "pressure":
        return f"{value:.2f} kPa"
    percent = round(100.0 * value, 1) + 0.0
    return f"{percent:+.1f} %".removeprefix("+" if percent == 0.0 else "").replace(
        "-", "\N{MINUS SIGN}"
    )


def ramp(count: int) -> Colours:
    """So many colours from the lightest to the darkest, evenly apart in lightness: (count, 3)."""
    at = np.linspace(0.0, len(RAMP) - 1.0, count)
    lab = np.stack([np.interp(at, np.arange(len(RAMP)), RAMP[:, k]) for k in range(3)], axis=1)
    f = (lab[:, 0] + 16.0) / 116.0
    xyz = np.stack([f + lab[:, 1] / 500.0, f, f - lab[:, 2] / 200.0], axis=1)
    # no colour here is so dark that CIE's straight part begins
    linear = np.clip((WHITE * xyz**3) @ TO_RGB.T, 0.0, 1.0)
    coded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    found: Colours = np.rint(255.0 * coded).astype(np.uint8)
    return found
