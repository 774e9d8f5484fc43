"""Seams: two runs of edges sewn to each other, where they must hold and where they may give."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

SeamKind = Literal["plain", "cap", "neck", "band", "yoke", "centre"]


@dataclass(frozen=True, slots=True)
class Ref:
    """An edge of a piece in a run; ``reverse`` when the seam runs against the edge."""

    piece: str
    edge: str
    reverse: bool = False


@dataclass(frozen=True, slots=True)
class Station:
    """A place where both sides of a seam must meet: names of points or stations on a and on b.

    ``notch`` is the number of notches cut there (0: none, as at the ends).
    """

    name: str
    a: str
    b: str
    notch: int = 0


@dataclass(frozen=True, slots=True)
class Stretch:
    """The planned difference, length of a minus length of b, between two stations, in cm.

    ``low`` and ``high`` bound what ease, gathers or iron work may take up there.
    """

    planned: float = 0.0
    low: float = 0.0
    high: float = 0.0


def ease_limits(stretches: Iterable[Stretch]) -> tuple[float, float]:
    """Least and most difference (a minus b, cm) that stretches may take up together.

    What is planned is always within the limits, also where a stretch names none.
    """
    low = high = 0.0
    for s in stretches:
        low += min(s.low, s.planned)
        high += max(s.high, s.planned)
    return low, high


@dataclass(frozen=True, slots=True)
class Give:
    """Where a seam's difference may go.

    ``on`` side "a" or "b", at its "start" or "end", the net line's end slides along the seam
    itself by at most ``low`` (shortening, cm, <= 0) to ``high`` (lengthening, cm). Lower ``rank``
    gives first.
    """

    on: Literal["a", "b"]
    at: Literal["start", "end"]
    rank: int = 1
    low: float = -4.0
    high: float = 4.0


@dataclass(frozen=True, slots=True)
class Seam:
    """Two runs sewn together, matched at stations from start to end.

    ``stretches`` has one entry fewer than ``stations``; ``anchor`` names the station that balance
    holds still; at least one ranked give says where a difference goes. ``stitch`` is an ISO 4915
    type, ``seam_type`` an ISO 4916 one. ``mirror`` marks a seam between the right and the left
    half of the same piece (a centre seam).
    """

    name: str
    kind: SeamKind
    a: tuple[Ref, ...]
    b: tuple[Ref, ...]
    stations: tuple[Station, ...]
    stretches: tuple[Stretch, ...]
    anchor: str
    gives: tuple[Give, ...]
    stitch: str = "301"
    seam_type: str = "1.01"
    mirror: bool = False
    title: str = ""

    def __post_init__(self) -> None:
        if len(self.stations) != len(self.stretches) + 1 or len(self.stations) < 2:
            raise ValueError(f"seam {self.name}: one stretch between each two stations")
        if self.anchor not in {s.name for s in self.stations}:
            raise ValueError(f"seam {self.name}: anchor {self.anchor} is not one of its stations")
        if not self.gives:
            raise ValueError(f"seam {self.name}: no give; say where a difference goes")
        if not self.title:
            object.__setattr__(self, "title", self.name.replace("_", " "))


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of a piece: the edge that must run through, and the seam edge it runs across."""

    piece: str
    edge: str
    across: str


@dataclass(frozen=True, slots=True)
class Junction:
    """Where an edge must run smoothly across a closed seam, or square to a fold.

    With ``b`` the two interior angles must add to ``angle`` (180 degrees for a smooth
    run-through); without it the one interior angle must be ``angle`` (90 at a fold or an edge
    that meets its mirror image). ``share`` is the part of a kink that corner ``a`` gives up, the
    rest is ``b``'s.
    """

    name: str
    a: Corner
    b: Corner | None = None
    angle: float = 180.0
    share: float = 0.5


@dataclass(frozen=True, slots=True)
class Width:
    """A distance on a piece between two of its points or stations (names as in Piece.point)."""

    piece: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Sewn:
    """The sewn length of an edge (darts closed)."""

    piece: str
    edge: str


@dataclass(frozen=True, slots=True)
class Target:
    """A finished measure the garment must have: ``factor`` times the sum of ``parts``, in cm.

    ``body`` is the client's measure, ``ease`` what the style adds; ``measure`` names the body
    measurement. Declared effects of corrections move it.
    """

    name: str
    measure: str
    body: float
    ease: float
    parts: tuple[Width | Sewn, ...]
    factor: float = 2.0
    tolerance: float = 0.2

    @property
    def value(self) -> float:
        """Body plus ease, cm."""
        return self.body + self.ease
