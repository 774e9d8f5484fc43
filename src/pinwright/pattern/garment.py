"""A garment: its pieces, the seams that join them, and what they must measure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from pinwright.pattern.layout import Layout
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Junction, Ref, Seam, Target


@dataclass(frozen=True, slots=True)
class PlaceEdge:
    """An edge that a place on the figure falls on; ``part`` is "front" or "back" (or "sleeve")."""

    part: str
    piece: str
    edge: str


@dataclass(frozen=True, eq=False)
class Garment:
    """One half of a garment (right and left share it while they are equal).

    ``places`` resolves places on the figure to this garment's own edges; ``facts`` are numbers
    of the draft that corrections and sheets use (cm or degrees); ``estimated`` names the body
    measures that the draft used without their having been taken.

    Raises:
        ValueError: a seam, junction or place names a piece or edge that is not there.
    """

    style: str
    title: str
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    junctions: tuple[Junction, ...] = ()
    targets: tuple[Target, ...] = ()
    places: Mapping[str, tuple[PlaceEdge, ...]] = field(default_factory=dict)
    facts: Mapping[str, float] = field(default_factory=dict)
    choices: Mapping[str, object] = field(default_factory=dict)
    estimated: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("places", "facts", "choices"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))
        refs: list[tuple[str, Ref]] = [(s.name, r) for s in self.seams for r in (*s.a, *s.b)]
        refs += [(n, Ref(e.piece, e.edge)) for n, es in self.places.items() for e in es]
        for j in self.junctions:
            for c in (j.a, j.b):
                if c is not None:
                    refs += [(j.name, Ref(c.piece, c.edge)), (j.name, Ref(c.piece, c.across))]
        for where, ref in refs:
            if ref.piece not in self._names:
                raise ValueError(f"{self.style}: {where} names piece {ref.piece}, not there")
            self.piece(ref.piece).edge(ref.edge)

    @cached_property
    def _names(self) -> dict[str, int]:
        return {p.name: i for i, p in enumerate(self.pieces)}

    @cached_property
    def layout(self) -> Layout:
        """All curves of the garment packed in arrays, built once."""
        return Layout(self.pieces)

    def piece(self, name: str) -> Piece:
        """The piece called ``name``; raises KeyError when there is none."""
        return self.pieces[self._names[name]]

    def has(self, name: str) -> bool:
        """Whether there is a piece called ``name``."""
        return name in self._names

    @property
    def plural(self) -> bool:
        """Whether the garment's title is said of many, as trousers are."""
        return self.title.endswith("s") and not self.title.endswith("ss")

    @property
    def owns(self) -> str:
        """The garment as it begins "has": "jacket has", "trousers have"."""
        return f"{self.title} {'have' if self.plural else 'has'}"

    def seam(self, name: str) -> Seam:
        """The seam called ``name``; raises KeyError when there is none."""
        for s in self.seams:
            if s.name == name:
                return s
        raise KeyError(f"{self.style} has no seam {name}")


Derive = Callable[[Mapping[str, Piece], Garment], tuple[Piece, ...]]
"""From the pieces of a half by name, and its garment, to those that follow them by rule."""
