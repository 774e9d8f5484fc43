"""A sign of a hung garment, and the corrections of the catalogue that are for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from pinwright.cutting.sentences import listed
from pinwright.drape.reading.words import sided
from pinwright.fitting.catalogue import entry

Kind = Literal["strained", "short", "gapes", "fold", "dart", "swings", "leans", "not level"]

PRACTICE = "common practice"

LESS: Mapping[str, tuple[str, ...]] = {
    "body_length": ("folds round the back waist",),
    "bust_dart_intake": ("loose cloth under",),
    "crotch_depth": ("loose cloth hanging",),
    "fork_extension": ("loose cloth",),
    "front_rise": ("frown",),
    "fullness": ("loose vertical",),
    "let_out": ("loose vertical",),
    "neck_point": ("the neck gapes",),
    "pass_back": ("creases under the collar",),
    "seat_wedge": ("loose folds",),
    "shoulder_slope": ("folds from the shoulder end",),
    "sleeve_pitch": ("folds at the front",),
    "waist_dart_intake": ("drag lines",),
    "waistband_length": ("band stands off",),
}
"""Kind -> how its signs begin that ask for a negative amount; all others ask for a positive one."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause: the kind of the catalogue's entry, and the sign it declares."""

    kind: str
    sign: str

    @property
    def title(self) -> str:
        """The entry's title."""
        return entry(self.kind).title

    @property
    def way(self) -> int:
        """1 where the sign asks for a positive amount of the correction, -1 for a negative."""
        return -1 if self.sign.startswith(LESS.get(self.kind, ("\0",))) else 1

    @property
    def asks(self) -> str:
        """What the sign asks for, in its own last words: "lengthen"."""
        return self.sign.rpartition(": ")[2]


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign.

    side: "right", "left", "right and left" where both are alike, "" of the middle or all round.
    amount and tolerance in unit ("cm", or "" for a fraction); seen: what is seen there, without a
    stop; folds: numbers of the folds of the reading that show it, from 1; source: where
    the tolerance comes from; wrong: over the tolerance of a fault, else only told.
    """

    kind: Kind
    place: str
    side: str
    amount: float
    tolerance: float
    unit: str
    seen: str
    causes: tuple[Cause, ...] = ()
    folds: tuple[int, ...] = ()
    source: str = PRACTICE
    wrong: bool = True

    @property
    def title(self) -> str:
        """The place with its side."""
        return sided(self.place, self.side)

    @property
    def part(self) -> str:
        """The part of the garment that its place names, "front" or "back"; "" neither or both."""
        found = {"front", "back"} & set(self.place.replace(",", "").split())
        return found.pop() if len(found) == 1 else ""

    def places(self, cause: Cause) -> tuple[str, ...]:
        """Where on the garment a cause of it would be corrected: the entry's own places, but for
        those of the other part."""
        wrong = {"front": "back", "back": "front"}.get(self.part)
        return tuple(p for p in entry(cause.kind).places if wrong not in p.split("_"))

    @property
    def says(self) -> str:
        """The sign in a sentence without a stop."""
        return f"{self.title}: {self.seen}"

    @property
    def pictured(self) -> str:
        """Which folds of the pictures show it: "fold 3", "folds 2 and 5"; "" none."""
        if not self.folds:
            return ""
        return f"fold{'s' if len(self.folds) > 1 else ''} {listed([str(n) for n in self.folds])}"

    @property
    def over(self) -> float:
        """How many times its tolerance it is: by this signs are put in order."""
        return self.amount / self.tolerance


def cause(kind: str, begins: str) -> Cause:
    """A cause by its entry and how its sign begins; KeyError where the entry declares none such."""
    for sign in entry(kind).signs:
        if sign.startswith(begins):
            return Cause(kind, sign)
    raise KeyError(f"{kind} declares no sign that begins {begins!r}")


def causes(some: Iterable[tuple[str, str]]) -> tuple[Cause, ...]:
    """Causes by entry and how its sign begins, each once."""
    return tuple(dict.fromkeys(cause(*c) for c in some))
