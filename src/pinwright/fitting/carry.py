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
    girths = {t.name: t.measure for t in reversed(garment.targets) if t.factor == 2.0 and t.measure}
    one = {measure: name for name, measure in girths.items()}
    moved = [
        {t: e for t, e in _girth_effects(c, garment).items() if one.get(girths.get(t, "")) == t}
        for c, _ in carried
    ]
    # corrections made against the same taped value are taken together
    twice: dict[tuple[str, float], float] = {}
    for target in one.values():
        totals: dict[float, float] = {}
        for effects, (_, known) in zip(moved, carried, strict=True):
            if girths[target] in known and target in effects:
                then = known[girths[target]]
                totals[then] = totals.get(then, 0.0) + effects[target]
        for then, total in totals.items():
            share = (body[girths[target]] - then) / total if total else 0.0
            twice[target, then] = total * min(max(share, 0.0), 1.0)
    found: list[Correction] = []
    for (correction, known), effects in zip(carried, moved, strict=True):
        keys = {t: (t, known.get(girths[t], 0.0)) for t in effects}
        take = 0.0
        if effects and all(abs(twice.get(k, 0.0)) > 1e-9 for k in keys.values()):
            take = min(max(0.0, min(twice[keys[t]] / e, 1.0)) for t, e in effects.items())
            for t, e in effects.items():
                twice[keys[t]] -= take * e
        if take < 1.0 - 1e-9:
            found.append(correction.scaled(1.0 - take) if take else correction)
    left: dict[str, float] = {}
    for (target, _), amount in twice.items():
        left[target] = left.get(target, 0.0) + amount
    return (*found, *_given_back(left, garment))


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
