"""Trials of the catalogue on a draft: every correction by usual amounts, and random ledgers."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from pinwright.check import all_checks, failures
from pinwright.draft import all_styles
from pinwright.errors import CorrectionError, PinwrightError
from pinwright.fitting.catalogue import all_entries
from pinwright.fitting.correction import Correction, Entry, Form, Sides, one_leg
from pinwright.fitting.ledger import fit, response, settle
from pinwright.measures import Body
from pinwright.pattern.garment import Garment

SHARES = (0.5, 1.0, -0.5, -1.0)
"""Half and full usual amounts, both ways."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of one ledger: status "good", "refused" or "wrong", and what it says."""

    name: str
    status: str
    says: str = ""


def drafted(style_name: str, body: Body, choices: Mapping[str, object] | None = None) -> Garment:
    """A settled draft.

    Raises:
        PinwrightError: the style cannot be drafted for this body.
    """
    style = all_styles()[style_name]
    chosen = style.choose(choices or {})
    return settle(style.finish(style.block(body, chosen), body, chosen))


def usual(e: Entry, share: float) -> float:
    """A share of an entry's usual amount: positive towards its upper end, negative its lower."""
    low, high = e.usual
    return share * high if share > 0 else -share * low


def applicable(garment: Garment, e: Entry, options: Mapping[str, object]) -> Iterator[str]:
    """The places of an entry that a garment has."""
    pairs = tuple(sorted(options.items(), key=lambda item: item[0]))
    for place in e.places:
        try:
            for component in e.components:
                response(garment, (e.kind, place, component, pairs, "cut"))
        except CorrectionError:
            continue
        yield place


def singles(garment: Garment) -> Iterator[tuple[str, Correction]]:
    """Every correction the garment has a place for, by half and full usual amounts both ways."""
    for e in all_entries().values():
        forms: tuple[Form, ...] = ("cut", "next") if e.next_draft is not None else ("cut",)
        for options in option_sets(e):
            said = "".join(f", {k} {v}" for k, v in options.items())
            for place, form, share, component in product(
                applicable(garment, e, options), forms, SHARES, e.components
            ):
                amount = usual(e, share)
                if not amount:
                    continue
                sides: tuple[Sides, ...] = ("both",)
                if e.one_sided and share == 1.0 and not options:
                    sides = ("both", "right")
                for side in sides:
                    yield (
                        f"{e.kind} {place}{said}{'' if side == 'both' else ', one side'}",
                        Correction(
                            e.kind,
                            place,
                            side,
                            {component: amount},
                            _for_side(e, place, side, options),
                            form=form,
                        ),
                    )


def _for_side(e: Entry, place: str, side: str, options: dict[str, object]) -> dict[str, object]:
    """The options as a note for one side gets them: one leg alone keeps its fork."""
    if side != "both" and one_leg(e, place, options):
        return {**options, "fork": "stays"}
    return options


def option_sets(e: Entry) -> Iterator[dict[str, object]]:
    """No option, then each word of each option alone, then a run from each level to the next."""
    yield {}
    for o in e.options:
        for word in o.allowed:
            if word != o.default:
                yield {o.name: word}
    names = {o.name: o for o in e.options}
    if {"from", "to", "shape"} <= set(names):
        for a, b in (("waist", "hip"), ("hip", "knee"), ("underarm", "waist"), ("fork", "knee")):
            for shape in ("constant", "taper"):
                yield {"from": a, "to": b, "shape": shape}
                yield {"from": b, "to": a, "shape": shape}


def random_ledger(garment: Garment, rng: random.Random) -> tuple[Correction, ...]:
    """One to eight corrections within usual amounts, with options, on one side or both."""
    entries = list(all_entries().values())
    found: list[Correction] = []
    count = rng.randint(1, 8)
    while len(found) < count:
        e = rng.choice(entries)
        options = rng.choice(list(option_sets(e))) if rng.random() < 0.5 else {}
        places = list(applicable(garment, e, options))
        if not places:
            continue
        component = rng.choice(e.components)
        amount = round(rng.uniform(*e.usual), 2)
        side = rng.choice(("both", "right", "left")) if e.one_sided else "both"
        if amount:
            place = rng.choice(places)
            found.append(
                Correction(
                    e.kind,
                    place,
                    "right" if side == "right" else "left" if side == "left" else "both",
                    {component: amount},
                    _for_side(e, place, side, options),
                    form="next" if rng.random() < 0.2 else "cut",
                )
            )
    return tuple(found)


def attempt(name: str, garment: Garment, ledger: tuple[Correction, ...]) -> Trial:
    """Replay, true and check one ledger; anything but good or refused with a reason is wrong."""
    try:
        fitted = fit(garment, ledger)
    except PinwrightError as err:
        return Trial(name, "refused", str(err))
    wrong = failures(all_checks(fitted))
    if wrong:
        what = "; ".join(f"{c.side} {c.name}: {c.value:.3f} for {c.target:.3f}" for c in wrong)
        said = ", ".join(
            f"{c.kind} {c.place} {c.side} {dict(c.amounts)} {dict(c.options)} {c.form}"
            for c in ledger
        )
        return Trial(name, "wrong", f"[{said}] {what}")
    if fitted.refused:
        return Trial(name, "refused", fitted.refused[0].reason)
    return Trial(name, "good")
