"""What a check says: value, target, tolerance, verdict, and where to look."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["good", "look", "wrong"]
Bound = Literal["near", "least", "most"]


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    ``value`` and ``target`` in ``unit``; the verdict is "good" within ``tolerance``, else
    "wrong" ("look" for matters of judgement). ``bound`` says whether the target is to be met, or
    is the least or the most that the value may be. ``where`` names the piece and place to draw at.
    """

    name: str
    group: str
    where: str
    value: float
    target: float
    tolerance: float
    verdict: Verdict
    unit: str = "cm"
    says: str = ""
    side: str = "both"
    bound: Bound = "near"

    @property
    def off(self) -> float:
        """Value minus target."""
        return self.value - self.target


def judged(
    name: str,
    group: str,
    where: str,
    value: float,
    target: float,
    tolerance: float,
    *,
    unit: str = "cm",
    says: str = "",
    soft: bool = False,
) -> Check:
    """A check judged by its tolerance; ``soft`` ones ask to look instead of failing."""
    within = abs(value - target) <= tolerance + 1e-9
    verdict: Verdict = "good" if within else ("look" if soft else "wrong")
    return Check(name, group, where, value, target, tolerance, verdict, unit, says)


def named_on(title: str, what: str) -> str:
    """A place on a piece, small, with no word said twice: "trouser front dart", "yoke seam"."""
    piece = title.lower()
    last = piece.split()[-1]
    return f"{piece} seam" if what == last else f"{piece} {what.removeprefix(f'{last} ')}"
