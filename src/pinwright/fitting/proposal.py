"""What a note at a fitting proposes: one correction, at one place, by one amount."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Side = Literal["both", "right", "left"]
MeantAs = Literal["edge", "fold", "removed", "girth", "intake", "level", "length", "measure"]
Pins = Literal["in", "before"]
GarmentName = Literal["trousers", "jacket", "brought"]
OptionValue = str | float
Options = tuple[tuple[str, OptionValue], ...]


def as_options(values: Mapping[str, OptionValue]) -> Options:
    """Options in the frozen form of a proposal: pairs sorted by name."""
    return tuple(sorted(values.items()))


@dataclass(frozen=True)
class Proposal:
    """One correction as a note proposes it, before any garment has been looked at.

    ``amount`` is signed, in cm, with the sign of the catalogue entry ``kind`` (a seam: + lets
    out, − takes in; a hem: + longer; …). ``meant_as`` says how the amount is meant: ``edge``
    each edge moves by it; ``fold`` depth of a pinned fold (each edge moves by it, twice that is
    removed); ``removed`` cloth removed or added at each named seam in all; ``girth`` the whole
    change round the body; ``intake`` of a dart; ``level`` vertical; ``length`` along a line;
    ``measure`` an absolute value. ``pins`` says whether it was read with the pins of the same
    fitting in or before them; None when nothing was said. ``garment`` is None only for a place
    that belongs to no one garment.
    """

    kind: str
    place: str
    side: Side
    amount: float
    meant_as: MeantAs
    options: Options = ()
    pins: Pins | None = None
    garment: GarmentName | None = None

    def option(self, name: str) -> OptionValue | None:
        """The option called ``name``, or None."""
        return dict(self.options).get(name)
