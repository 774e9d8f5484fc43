"""A hung garment with all that is shown of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from pinwright.drape.data import Array, Hung, Surface, Whole
from pinwright.drape.pictures.scale import Quantity, remarkable, told
from pinwright.drape.reading.doubts import UNREST
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.told import after_signs
from pinwright.figure.landmarks import Landmarks
from pinwright.figure.pictures import SIDES, heights
from pinwright.figure.shadow import Side, flat
from pinwright.measures.units import LengthUnit

CAUTION = (
    "A picture from a model, not a promise: cloth, seams and body are reckoned, and the fitting "
    "decides."
)


MODEL = (
    "Not in the model: friction, breath, flesh that gives, what is worn under or over it, and "
    "cloth that meets cloth but between trouser legs. A waist is held where it is worn, a jacket "
    "straight under the nape."
)

COMMON = (CAUTION, MODEL)
"""What must be said of every garment."""

NO_PRESSURE = told("pressure", 0.0)

HARDLY = 0.05
"""A place is hardly touched where less of it is: what presses there may be a single point."""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A place of the garment and what was read there, as means over it.

    title: the place with its side. vertices: (k,) of the cloth that lie there. Strain as a
    fraction, gap cm, pressure kPa where it touches; touched: the part of its area that does.
    """

    title: str
    vertices: Whole
    strain_across: float
    strain_along: float
    gap: float
    pressure: float
    touched: float = 1.0

    def value(self, quantity: Quantity) -> float:
        """What was read of a quantity."""
        found = {
            "strain across": self.strain_across,
            "strain along": self.strain_along,
            "gap": self.gap,
            "pressure": self.pressure,
        }
        return found[quantity]

    @property
    def percent(self) -> str:
        """How much of it touches, in whole percents."""
        return "<1" if 0.0 < self.touched < 0.01 else f"{100.0 * self.touched:.0f}"

    def words(self, quantity: Quantity, unit: LengthUnit = "cm") -> str:
        """The same in words; of a pressure, on how much of the place it is."""
        said = told(quantity, self.value(quantity), unit)
        if quantity != "pressure" or not 0.0 < self.touched < 0.995 or said == NO_PRESSURE:
            return said
        return f"{said} on {self.percent.replace('<', 'under ')} %"


@dataclass(frozen=True, slots=True, eq=False)
class FoldLine:
    """A fold: its line (k, 3) cm from the shallow to the deeper end, length and depth in cm, and
    what a cutter says of it."""

    points: Array
    length: float
    depth: float
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What the pictures, the sheet and the page show of one hung garment.

    fields: quantity -> its values at the vertices (n,); strain as a fraction, gap cm, pressure
    kPa; not a number where there is none. folds are numbered in their order. levels: of the
    garment, as name and words. body_levels: names and heights, cm, from the top down; plumbs: side
    she is seen from -> where in the picture a plumb hangs, and from what height; none of them in a
    pose in which she does not stand, see :func:`standing`. figure: what is shown as her body, where
    the surface that the cloth hangs on is only a part of it, or finer than is needed. signs: of
    faults, the worst first; doubts: why none of it can be trusted.
    """

    garment: str
    hung: Hung
    fields: Mapping[Quantity, Array]
    places: Sequence[Spot] = ()
    folds: Sequence[FoldLine] = ()
    levels: Sequence[tuple[str, str]] = ()
    body_levels: Sequence[tuple[str, float]] = ()
    plumbs: Mapping[Side, tuple[float, float]] = field(default_factory=dict)
    figure: Surface | None = None
    signs: Sequence[Sign] = ()
    doubts: Sequence[str] = ()

    @property
    def body(self) -> Surface:
        """The body that is shown under the cloth."""
        return self.hung.body if self.figure is None else self.figure

    @property
    def cautions(self) -> tuple[str, ...]:
        """What must stand beside every picture: sentences."""
        return (*self._cautions, *self.hung.remarks)

    @property
    def elsewhere(self) -> tuple[str, ...]:
        """The same where doubts and signs stand in sentences of their own."""
        return (*self._cautions, *after_signs(self.hung.remarks))

    @property
    def _cautions(self) -> tuple[str, ...]:
        h = self.hung
        found = [*COMMON]
        if h.shell.left_out:
            found.append(f"Left out: {'; '.join(h.shell.left_out)}.")
        if h.rest.stopped:
            found.append("It was stopped before the cloth was at rest.")
        elif h.rest.residual > UNREST:
            found.append("The cloth is not at rest yet: do not go by folds and levels.")
        return tuple(found)


def standing(
    marks: Landmarks,
) -> tuple[tuple[tuple[str, float], ...], dict[Side, tuple[float, float]]]:
    """The body's levels and plumbs of a standing figure, as in its own pictures."""
    plumbs: dict[Side, tuple[float, float]] = {}
    for side in SIDES:
        if side in ("left", "right"):
            x, z, _ = flat(marks[f"side_neck_point_{side}"], side)
        else:
            x, z = flat(marks["fork"], side)[0], marks.levels["top"]
        plumbs[side] = (float(x), float(z))
    return heights(marks), plumbs


def worst(places: Sequence[Spot], quantity: Quantity, count: int = 4) -> list[Spot]:
    """The places where a quantity is greatest, of a strain either way, the worst first; none
    where cloth is at ease, and of a pressure none that is hardly touched."""
    known = [
        p
        for p in places
        if np.isfinite(p.value(quantity))
        and remarkable(quantity, p.value(quantity))
        and (quantity != "pressure" or p.touched >= HARDLY)
    ]
    signed = quantity.startswith("strain")
    known.sort(key=lambda p: -(abs(p.value(quantity)) if signed else p.value(quantity)))
    return known[:count]


def hem(hung: Hung) -> list[Array]:
    """The edges that are called hems, as lines (k, 3) cm."""
    lines = []
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        for name, runs in panel.edges.items():
            if "hem" in name.split("_") or name == "hem":
                lines += [hung.points[vertices[run]] for run in runs if len(run) > 1]
    return lines


def lowest(shown: Shown) -> float:
    """How far under the floor the cloth reaches, cm, 0 or less: a hem that heels were planned for
    hangs lower than her bare feet."""
    return min(0.0, float(shown.hung.points[:, 2].min()))
