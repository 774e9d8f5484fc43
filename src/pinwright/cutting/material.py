"""A cloth as it comes to the table: width, selvedges, direction, repeat, flaws, shrinkage.

Coordinates on a cloth: x along it from its cut end, y across it from the lower selvedge, in cm;
on a folded cloth y is counted from the fold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pinwright.pattern.piece import Layer

Direction = Literal["none", "nap", "print"]
LayKind = Literal["open", "folded"]
Shrink = Literal["first", "scaled", "done"]


@dataclass(frozen=True, slots=True)
class Repeat:
    """The repeat of a stripe, check or print, cm along and across; 0 where there is none.

    A dominant line lies ``from_start`` from the cut end and ``from_selvedge`` from the selvedge
    (from the fold on a folded cloth). ``turns`` says that the repeat is the same seen from the
    other end, so a piece may be turned by 180 degrees about a dominant line.
    """

    along: float = 0.0
    across: float = 0.0
    from_start: float = 0.0
    from_selvedge: float = 0.0
    turns: bool = False


@dataclass(frozen=True, slots=True)
class Flaw:
    """A rectangle of cloth not to be used: from and to along, from and to across, cm."""

    along: tuple[float, float]
    across: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Remnant:
    """A piece of cloth left from elsewhere: its outline as corners (along, across), cm."""

    name: str
    outline: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Material:
    """A cloth of the order. Lengths in cm, shrinkage in per cent, ``price`` for a metre.

    ``selvedge`` is what is not used at each side, ``length`` how much there is (None: as much as
    is needed), ``gap`` what is kept between pieces, ``tilt`` by how many degrees small inner
    pieces may lie off the grain, ``hold_back`` what is kept round a piece cut only after the
    fitting. ``shrink`` "first" shrinks the cloth before it is cut, "scaled" cuts every piece so
    much larger, "done" says the cloth is shrunk already.
    """

    layer: Layer = "shell"
    garments: tuple[str, ...] = ()
    name: str = ""
    width: float = 150.0
    selvedge: float = 1.0
    length: float | None = None
    direction: Direction = "none"
    right_side: Literal["up", "down"] = "up"
    lay: LayKind = "open"
    gap: float = 0.3
    tilt: float = 0.0
    hold_back: float = 1.0
    repeat: Repeat = Repeat()
    match: tuple[str, ...] | None = None
    flaws: tuple[Flaw, ...] = ()
    remnants: tuple[Remnant, ...] = ()
    shrink_along: float = 0.0
    shrink_across: float = 0.0
    shrink: Shrink = "first"
    fray: Literal["firm", "loose"] = "firm"
    price: float | None = None

    @property
    def usable(self) -> float:
        """Width without the selvedges, cm; of a folded cloth from the fold to one selvedge."""
        if self.lay == "folded":
            return self.width / 2.0 - self.selvedge
        return self.width - 2.0 * self.selvedge

    @property
    def one_way(self) -> bool:
        """Whether every piece must lie the same way up."""
        return self.direction != "none"
