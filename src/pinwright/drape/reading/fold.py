"""A fold of hung cloth, and what a cutter is told of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pinwright.drape.data import Array
from pinwright.drape.reading.cloth import SLEEVE
from pinwright.drape.reading.words import about
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

View = Literal["front", "back", "right", "left", "inside"]
Way = Literal["horizontal", "vertical", "diagonal"]

ALONG_ARM = {"horizontal": "crosswise", "vertical": "lengthwise", "diagonal": "slanting"}
"""The ways of a fold as they are called on a sleeve, which need not hang plumb."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a part of a fold lies: by the nearest named place ("" where nothing is named), how far
    off it, cm, and which way."""

    name: str = ""
    apart: float = 0.0
    lies: Literal["at", "near", "above", "below"] = "at"

    def told(self, unit: LengthUnit) -> str:
        """It in words: "the fork", "near the fork", "14 cm above the fork"."""
        if not self.name or self.lies == "at":
            return self.name
        way = self.lies if self.lies == "near" else f"{about(self.apart, unit)} {self.lies}"
        return f"{way} {self.name}"


@dataclass(frozen=True, slots=True, eq=False)
class Fold:
    """One fold.

    kind: "fold", or "hem flare" of one that runs out at the hem. home: of the panel it is on, as
    "front" or "sleeve"; view: from where it is seen; "inside": between the legs, or under an arm.
    way, angle: from level as seen, degrees, positive where it rises away from the middle of the
    front or back (of a side: to the front); on a sleeve from across the arm. start, end: (3,) cm,
    the lower end first (of a horizontal one that nearer the middle); ends: where these are; middle:
    where halfway is. towards: what each end ("" nothing) points to. pulled: how far the cloth is
    stretched about each end, as a fraction. line: (k, 3) cm.
    """

    kind: Literal["fold", "hem flare"]
    home: str
    view: View
    side: str
    way: Way
    angle: float
    length: float
    depth: float
    start: Array
    end: Array
    ends: tuple[Spot, Spot]
    middle: Spot
    towards: tuple[str, str]
    pulled: tuple[float, float]
    line: Array

    @property
    def on(self) -> str:
        """The part of the garment that it is on, in words."""
        if self.home == SLEEVE:
            part = "outside" if self.view in ("right", "left") else self.view
            return f"{part} of the {self.side} sleeve"
        if self.view == "inside":
            return f"inside of the {self.side} leg"
        if self.view in ("right", "left"):
            return f"{self.view} side"
        return f"{self.side} {self.view}" if self.side else self.view

    @property
    def aims(self) -> tuple[str, ...]:
        """What it points to, each once."""
        return tuple(dict.fromkeys(t for t in self.towards if t))

    def run(self, unit: LengthUnit = "cm") -> str:
        """Where it runs from and to, and what it points to, in words."""
        a, b = self.ends
        at = self.middle if self.way == "horizontal" else a
        if a.told(unit) == b.told(unit):
            where = f" {'at ' if at.lies == 'at' else ''}{at.told(unit)}" if at.name else ""
        elif a.name == b.name:
            where = f" {_about_one(a, b, unit)}"
        else:
            where = f" from {a.told(unit)} to {b.told(unit)}"
        return where + (f", points to {' and '.join(self.aims)}" if self.aims else "")

    def where(self, unit: LengthUnit = "cm") -> str:
        """What kind of fold it is and where, in words."""
        if self.home == SLEEVE:
            return f"{ALONG_ARM[self.way]} {self.kind} on the {self.on}{self.run(unit)}"
        tilt = f" ({abs(self.angle):.0f}° off level)" if self.way == "diagonal" else ""
        return f"{self.way} {self.kind}{tilt} on the {self.on}{self.run(unit)}"

    def size(self, unit: LengthUnit = "cm") -> str:
        """How long and deep it is, in words."""
        return f"{about(self.length, unit)} long, {said(self.depth, unit)} deep"

    def says(self, unit: LengthUnit = "cm") -> str:
        """The fold in a sentence."""
        return f"{self.where(unit)}: {self.size(unit)}"


def _about_one(a: Spot, b: Spot, unit: LengthUnit) -> str:
    """Where a fold runs whose ends lie otherwise about one place, in words."""
    beside = ("at", "near")
    if a.lies in beside and b.lies in beside:
        return f"at {a.name}"
    if a.lies == b.lies:
        return f"from {about(a.apart, unit).split()[0]} to {b.told(unit)}"
    if b.lies in beside:
        return f"from {a.told(unit)} {'up' if a.lies == 'below' else 'down'} to it"
    return f"from {a.told(unit)} to {about(b.apart, unit)} {b.lies} it"
