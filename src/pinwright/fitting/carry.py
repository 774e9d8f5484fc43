"""What the next garment inherits: corrections that belong to the figure, in their fuller form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import response
from pinwright.measures import Body
from pinwright.pattern.garment import Garment

COUNTER: Mapping[str, Mapping[str, Mapping[str, object]]] = {
    "trousers": {
        "waist": {"from": "waist", "to": "hip", "shape": "taper"},
        "hip": {"from": "hip"},
    },
    "jacket": {
        "bust": {"from": "underarm", "to": "waist", "shape": "taper"},
        "waist": {"from": "waist"},
        "hip": {"from": "hip"},
    },
}
"""Where on the side seam a girth counted twice is given back, so that no other girth moves."""

LEFT = 0.02
"""What is counted twice by less than this (cm) is left."""


def remaining(
    carried: Sequence[tuple[Correction, Mapping[str, float]]], garment: Garment, body: Body
) -> tuple[Correction, ...]:
    """Carried corrections less what re-taken measures already contain.

    Each comes with the body measures (cm) it was made against. Where the corrections together
    move a girth by e and the body measure of that girth has itself changed by d in the same
    direction since, d of it (never more than e) would count twice. A correction that moves only
    re-taken girths is made smaller by it, in order; what is left over, because its corrections
    also move girths that were not re-taken, is given back at that level of the side seam alone.

    Example (design 6): body 74.5, finished 76, taken in 2; re-taped at 72.5 the whole correction
    is already in the measure, and the next finished waist is 74 again.
    """
    girths = {t.measure: t for t in reversed(garment.targets) if t.factor == 2.0 and t.measure}
    moved = [_girth_effects(c, garment) for c, _ in carried]
    twice: dict[str, float] = {}
    for measure, target in girths.items():
        total = sum(m.get(target.name, 0.0) for m in moved)
        then = next((known[measure] for _, known in carried if measure in known), None)
        if total and then is not None:
            share = (body[measure] - then) / total
            twice[target.name] = total * min(max(share, 0.0), 1.0)
    found: list[Correction] = []
    for (correction, _), effects in zip(carried, moved, strict=True):
        mine = {t: e for t, e in effects.items() if any(g.name == t for g in girths.values())}
        take = 0.0
        if mine and all(abs(twice.get(t, 0.0)) > 1e-9 for t in mine):
            take = min(max(0.0, min(twice[t] / e, 1.0)) for t, e in mine.items())
            for t, e in mine.items():
                twice[t] -= take * e
        if take < 1.0 - 1e-9:
            found.append(correction.scaled(1.0 - take) if take else correction)
    return (*found, *_given_back(twice, garment))


def _girth_effects(correction: Correction, garment: Garment) -> dict[str, float]:
    """What a correction does to the garment's girths, cm (half of it when on one side only)."""
    options = tuple(sorted(correction.options.items(), key=lambda item: item[0]))
    share = 1.0 if correction.side == "both" else 0.5
    found: dict[str, float] = {}
    for component, amount in correction.amounts.items():
        key = (correction.kind, correction.place, component, options, correction.form)
        for target, rate in response(garment, key).effects.items():
            found[target] = found.get(target, 0.0) + share * rate * amount
    return {t: e for t, e in found.items() if abs(e) > 1e-6}


def _given_back(twice: Mapping[str, float], garment: Garment) -> list[Correction]:
    found = []
    for target, amount in twice.items():
        options = COUNTER.get(garment.style, {}).get(target)
        if options is None or abs(amount) <= LEFT:
            continue
        unit = Correction("let_out", "side_seam", "both", {"amount": 1.0}, options, "next")
        rate = _girth_effects(unit, garment)[target]
        found.append(
            replace(
                unit.scaled(-amount / rate),
                belongs_to="record",
                said=f"the {target} was taped anew; what it already contains is not carried",
            )
        )
    return found


def inherited(ledger: Iterable[Correction]) -> tuple[Correction, ...]:
    """The corrections of a finished order that the next garment starts from, in "next" form."""
    return tuple(replace(c, form="next") for c in ledger if c.belongs_to == "figure")
