"""What a note asks of pieces and cloth: the state it would make, and what is missing in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pinwright.cutting.cloth import STEP
from pinwright.cutting.remedies import Remedy
from pinwright.cutting.reserve import Shortfall
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, fit
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.pattern.garment import Garment
from pinwright.workshop.cloth import MISSING, Cloths, Lacks, Short, lacks, short_of_cloth, sides

ROUNDS = 3
"""How often a split or a shift is enlarged by what it still leaves missing."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A note's corrections made on the pieces, and the cloth they are held against.

    ``ledger`` ends with ``made``, what the note asks for; ``before`` is what was lacking without.
    """

    garment: Garment
    ledger: tuple[Correction, ...]
    made: tuple[Correction, ...]
    fitted: Fitted
    cloth: Cloths
    before: Lacks
    unit: LengthUnit

    def with_more(self, more: Sequence[Correction], cloth: Cloths | None = None) -> Wanted:
        """With further corrections, and other cloth for some pieces."""
        ledger = (*self.ledger, *more)
        return replace(
            self,
            ledger=ledger,
            made=(*self.made, *more),
            fitted=fit(self.garment, ledger) if more else self.fitted,
            cloth={**self.cloth, **(cloth or {})},
        )


def worst_of(short: Sequence[Short]) -> list[Short]:
    """One shortage an edge and side, its worst stretch, the greatest first.

    What right and left lack alike is one shortage of both, though other corrections make the
    halves differ elsewhere.
    """
    worst: dict[tuple[str, str, str], Short] = {}
    for s, p, x in short:
        key = (s, p, x.edge)
        if key not in worst or worst[key][2].missing < x.missing:
            worst[key] = (s, p, x)
    for (s, p, e), (_, _, x) in list(worst.items()):
        twin = worst.get(("left", p, e)) if s == "right" else None
        if twin is not None and _alike(x, twin[2]):
            del worst["right", p, e], worst["left", p, e]
            longer = max(x, twin[2], key=lambda one: one.to_s - one.from_s)
            worst["both", p, e] = ("both", p, longer)
    return sorted(worst.values(), key=lambda item: -item[2].missing)


def _alike(a: Shortfall, b: Shortfall) -> bool:
    """Whether the same is missing right and left, to what scissors can do.

    The stretches must have an end or their length in common: an edge that was lengthened on one
    side is counted from there.
    """
    return abs(a.missing - b.missing) <= MISSING and any(
        abs(u - v) <= STEP
        for u, v in (
            (a.from_s, b.from_s),
            (a.to_s, b.to_s),
            (a.to_s - a.from_s, b.to_s - b.from_s),
        )
    )


def newly_short(wanted: Wanted) -> list[Short]:
    """Shortages that were not there before the note, or were smaller."""
    return [
        (s, p, x)
        for s, p, x in short_of_cloth(wanted.fitted, wanted.cloth)
        if any(x.missing > wanted.before.get((one, p, x.edge), 0.0) + MISSING for one in sides(s))
    ]


def left_missing(short: Short, tried: Wanted, wanted: Wanted) -> tuple[float, str]:
    """What is still missing at a shortage, and where a trial makes another edge short."""
    side, piece, x = short
    now = lacks(short_of_cloth(tried.fitted, tried.cloth))
    was = lacks(short_of_cloth(wanted.fitted, wanted.cloth))
    own = max(
        now.get((s, piece, x.edge), 0.0) - max(wanted.before.get((s, piece, x.edge), 0.0), 0.0)
        for s in sides(side)
    )
    for (s, p, e), lack in now.items():
        allowed = max(was.get((s, p, e), 0.0), wanted.before.get((s, p, e), 0.0)) + MISSING
        if (p, e) != (piece, x.edge) and lack > allowed:
            title = wanted.garment.piece(p).title.lower()
            return own, f"{said(lack, wanted.unit)} at the {title}'s {e.replace('_', ' ')}"
    return own, ""


def shortage(short: Short, garment: Garment, unit: LengthUnit) -> str:
    """One shortage in words: "1.6 cm at the right trouser front's side"."""
    side, piece, x = short
    title = garment.piece(piece).title.lower()
    who = title if side == "both" else f"{side} {title}"
    return f"{said(x.missing, unit)} at the {who}'s {x.edge.replace('_', ' ')}"


@dataclass(frozen=True, eq=False)
class Offer:
    """An option for one shortage, with what taking it does.

    ``corrections`` are added to the ledger, ``cloth`` replaces the cloth of the pieces it names.
    Both are empty for what the cutter does without moving a net line.
    """

    remedy: Remedy
    corrections: tuple[Correction, ...] = ()
    cloth: Cloths | None = None


def failed(offer: Offer, why: str) -> Offer:
    """The option as it cannot be taken, and why."""
    r = offer.remedy
    text = f"{r.text.rstrip('.')}; tried, but {why[:1].lower()}{why[1:].rstrip('.')}."
    return Offer(replace(r, text=text, feasible=False))
