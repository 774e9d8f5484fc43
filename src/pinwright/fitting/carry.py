"""What the next garment inherits: corrections that belong to the figure, in their fuller form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import response
from pinwright.measures import Body
from pinwright.pattern.garment import Garment


def remaining(
    correction: Correction, garment: Garment, then: Mapping[str, float], body: Body
) -> Correction:
    """A carried correction less what re-taken measures already contain.

    ``then`` holds the body measures (cm) the correction was made against. Where the correction
    moves a target by e and the body measure of that target has itself changed by d in the same
    direction since, only e - d is left (never turned round). Example (design 6): body 74.5,
    finished 76, taken in 2; re-taped at 72.5 the whole correction is already in the measure.
    """
    e = entry(correction.kind)
    if e.components != ("amount",) or not then:
        return correction
    options = tuple(sorted(correction.options.items(), key=lambda item: item[0]))
    unit = response(garment, (correction.kind, correction.place, "amount", options, "next"))
    share = 1.0
    for target in garment.targets:
        rate = unit.effects.get(target.name, 0.0)
        effect = rate * correction.amount
        if not effect or target.measure not in then:
            continue
        change = body[target.measure] - then[target.measure]
        share = min(share, max(0.0, min(1.0, 1.0 - change / effect)))
    return correction.scaled(share) if share != 1.0 else correction


def inherited(ledger: Iterable[Correction]) -> tuple[Correction, ...]:
    """The corrections of a finished order that the next garment starts from, in "next" form."""
    return tuple(replace(c, form="next") for c in ledger if c.belongs_to == "figure")
