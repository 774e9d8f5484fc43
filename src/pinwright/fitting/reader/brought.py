"""A pattern that was brought in, as the reader knows it: what it is called, what it can have done.

Our own drafts have their places by the table in ``places``; a brought-in pattern has those its
user named, and only the pattern itself tells which corrections they can take.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pinwright.fitting.proposal import GarmentName
from pinwright.fitting.reader.phrases import Word, read_words
from pinwright.fitting.reader.places import BOTH_GARMENTS, IN_GARMENT, PLACE_GARMENTS, Rule

NAME: GarmentName = "brought"


@dataclass(frozen=True)
class Brought:
    """A brought-in pattern: its title, and why it ``cannot`` have a (kind, place) corrected.

    What does not stand in ``cannot`` it can; the reasons are sentences.
    """

    title: str = "brought-in pattern"
    cannot: Mapping[tuple[str, str], str] = field(default_factory=dict)

    @property
    def called(self) -> frozenset[str]:
        """The words of its title that mean nothing else in a notebook ("skirt")."""
        return frozenset(w.value for w in read_words(self.title) if _free(w))

    @property
    def kinds(self) -> frozenset[str]:
        """Words for our own garments in its title: an "old jacket" is a jacket too."""
        return frozenset(w.value for w in read_words(self.title) if w.tag == "garment")

    def can(self, kind: str, place: str) -> bool:
        """Whether a correction of this kind can be made there."""
        return (kind, place) not in self.cannot

    def places(self, rule: Rule) -> tuple[str, ...]:
        """The places a rule can be about: its own, else what our garments call it ("hem")."""
        if self.can(rule.kind, rule.place) and rule.place in _REAL:
            return (rule.place,)
        ours = (IN_GARMENT.get((rule.place, g), rule.place) for g in BOTH_GARMENTS)
        return tuple(p for p in dict.fromkeys(ours) if p in _REAL and self.can(rule.kind, p))

    def why_not(self, rule: Rule, label: str) -> str:
        """Why a rule cannot be followed on it, to go on a line: small, without the full stop."""
        if rule.place not in _REAL:
            return f"no {label} is among the places named for the {self.title}"
        said = self.cannot[rule.kind, rule.place].rstrip(".")
        return said[:1].lower() + said[1:]

    @property
    def on_legs(self) -> bool:
        """Whether it has legs, so that low down its seams go round one of them."""
        return self.can("let_out", "inseam")


_REAL = frozenset(PLACE_GARMENTS) - {"hem", "pocket"}  # words for the places of two garments


def with_title(
    words: tuple[Word, ...], garments: tuple[str, ...], brought: Brought
) -> tuple[Word, ...]:
    """The words of a line, those that name the brought-in pattern marked as its garment.

    A word for one of our garments is its own where the order has none of ours ("old jacket").
    """
    if NAME not in garments:
        return words
    called, kinds = brought.called, brought.kinds - set(garments)
    return tuple(
        replace(w, tag="garment", value=NAME)
        if (_free(w) and w.value in called) or (w.tag == "garment" and w.value in kinds)
        else w
        for w in words
    )


def _free(word: Word) -> bool:
    return word.tag == "unknown" and not word.numeric
