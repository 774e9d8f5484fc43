"""From a rule to the proposal: of which garment, on which side, how the amount is meant."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from pinwright.fitting.proposal import (
    GarmentName,
    MeantAs,
    OptionValue,
    Proposal,
    Side,
    as_options,
)
from pinwright.fitting.reader import meanings
from pinwright.fitting.reader.brought import NAME
from pinwright.fitting.reader.places import (
    IN_GARMENT,
    KIND_GARMENTS,
    LEVEL_GARMENT,
    NOUNS,
    ON_LEG,
    PAIRED,
    PLACE_GARMENTS,
    Rule,
)
from pinwright.fitting.reader.reading import Choice, Item, Question
from pinwright.fitting.reader.said import Told
from pinwright.fitting.reader.subject import NotReadError, Subject

LEAST_MEASURE = 20.0  # cm; at a seam, or unsigned with no action, from here on a measure
LEAST_BAND = 40.0  # cm; an unsigned amount from here on is a measured waist, not a change

Branch = tuple[str, str, Callable[[], tuple[Item, ...]]]


def branching(
    about: str,
    text: str,
    branches: Iterable[Branch],
    group: str = "",
    kept: tuple[str, ...] = (),
) -> tuple[Item, ...]:
    """A question over the branches that can be read; no question where one is left.

    With ``kept`` words a branch that cannot be read stays in the question, as the choice to keep
    them as text. Raises NotReadError (the first reason) when none can be read.
    """
    choices: list[Choice] = []
    reason: NotReadError | None = None
    for key, sentence, read in branches:
        try:
            choices.append(Choice(key, sentence, read()))
        except NotReadError as error:
            reason = reason or error
            if kept:
                why = f"Kept as text: {error}."
                choices.append(Choice(key, f"{sentence}: kept as text, {error}", (), kept, why))
    if not any(c.items for c in choices):
        raise reason or NotReadError("nothing in it can be read")
    if len(choices) == 1:
        return choices[0].items
    return (Question(about, text, tuple(choices), group),)


def with_garment(
    told: Told, subject: Subject, name: str, part: str | None, rule: Rule, pinned: bool
) -> tuple[Item, ...]:
    """Proposals for a rule, with the questions of side, garment and meaning still open.

    ``pinned``: the cloth was pinned, so at a dart the depth of the fold may be meant. Raises
    NotReadError where no garment of the order has the place.
    """
    before = told.clause.side_so_far
    if before is not None and not told.side_said and rule.place in PAIRED:
        one: Side = "right" if before == "right" else "left"
        label = NOUNS[name].label

        def on(side: Side) -> Callable[[], tuple[Item, ...]]:
            sided = replace(told, side=side, side_said=True)
            return lambda: with_garment(sided, subject, name, part, rule, pinned)

        return branching(
            "side",
            f"{label}: both sides, or {one} only like what was said before it?",
            (("both", "both sides", on("both")), (one, f"the {one} only", on(one))),
        )
    its = told.brought.places(rule) if NAME in told.garments else ()
    possible = PLACE_GARMENTS[rule.place]
    if rule.kind in KIND_GARMENTS:
        possible = KIND_GARMENTS[rule.kind][0]
    possible += (NAME,) if its else ()
    said, its = _garment_said(told, rule, its)
    label = NOUNS[name].label
    if len(said) > 1:
        names = " and ".join(_shown(told, g) for g in sorted(said, reverse=True))
        raise NotReadError(f"it names {names} for one amount")
    if not its and (said == {NAME} or told.garments == (NAME,)):
        _there(said, told)
        raise NotReadError(told.brought.why_not(rule, label))
    named = {g for word in said for g in told.garments_called(word)}
    _there(said, told)
    for garment in said:
        if not named & set(possible):
            if rule.kind in KIND_GARMENTS:
                raise NotReadError(f"{KIND_GARMENTS[rule.kind][1]}, not {garment}")
            raise NotReadError(f"{garment} {'have' if garment == 'trousers' else 'has'} no {label}")
    left = [g for g in possible if g in told.garments and (not said or g in named)]
    if not left and rule.kind in KIND_GARMENTS:
        raise NotReadError(f"{KIND_GARMENTS[rule.kind][1]}, and there is none in this order")
    if not left:
        raise NotReadError(f"no garment in this order has a {label}")
    cues = {LEVEL_GARMENT[v] for _, v in subject.span if v in LEVEL_GARMENT}
    cues |= {subject.only} if subject.only is not None else set()
    if cues:  # a brought-in pattern can have any level
        left = [g for g in left if {g} == cues or g == NAME]
        if not left:
            raise NotReadError(f"the levels named are not on the {label}")
    elif told.clause.garment_so_far is not None and not said:
        so_far = told.garments_called(told.clause.garment_so_far)
        left = [g for g in left if g in so_far] or left

    def read(garment: GarmentName, place: str) -> Callable[[], tuple[Item, ...]]:
        return lambda: _with_meaning(
            told, subject, label, part, replace(rule, place=place), garment, pinned
        )

    branches: list[Branch] = []
    for g in left:
        places = its if g == NAME else (IN_GARMENT.get((rule.place, g), rule.place),)
        for place in places:
            what = label if len(places) == 1 else place.replace("_", " ")
            key = g if len(places) == 1 else place
            branches.append((key, f"the {what} of the {told.title(g)}", read(g, place)))
    listed = " or ".join(sentence.removeprefix(f"the {label} ") for _, sentence, _ in branches)
    return branching("garment", f"{label}: {listed}?", branches, f"garment:{name}")


def _garment_said(told: Told, rule: Rule, its: tuple[str, ...]) -> tuple[set[str], tuple[str, ...]]:
    """The words of a clause for a garment, and the places of a brought-in pattern they leave.

    "Jacket hem" of a skirt whose hem was named so is what the place is called.
    """
    said = {w.value for w in told.clause.all("garment")}
    for word in said - set(told.garments):
        place = IN_GARMENT.get((rule.place, word))
        if place in its:
            return (said - {word}) | {NAME}, (place,)
    return said, its


def _there(said: set[str], told: Told) -> None:
    """Raises NotReadError where the order has no garment that is called so."""
    for word in said - set(told.garments):
        raise NotReadError(f"there {'are' if word == 'trousers' else 'is'} no {word} in this order")


def _shown(told: Told, word: str) -> str:
    return told.brought.title if word == NAME else word


def _with_meaning(
    told: Told,
    subject: Subject,
    label: str,
    part: str | None,
    rule: Rule,
    garment: GarmentName,
    pinned: bool,
) -> tuple[Item, ...]:
    options: dict[str, OptionValue] = dict(subject.span)
    size = told.cm
    if part is not None:
        if rule.kind == "let_out" and part in {"front", "back"}:
            options["part"] = part
        elif rule.kind == "waistband_gather" and part in {"front", "back"}:
            options["stretch"] = part
        elif rule.kind == "hem" and rule.place in {"trouser_hem", "jacket_hem"}:
            options[part] = rule.sign * size
            return (Proposal("hem_level", rule.place, told.side, 0.0, "level",
                             as_options(options), told.pins, garment),)  # fmt: skip
        else:
            raise NotReadError(f"“{part}” does not go with the {label} here")
    if subject.via is not None and rule.kind == "fullness":
        options["via"] = subject.via

    def make(meant_as: MeantAs, amount: float) -> tuple[Item, ...]:
        return (Proposal(rule.kind, rule.place, told.side, amount, meant_as,
                         as_options(options), told.pins, garment),)  # fmt: skip

    signed = rule.sign * size
    if rule.kind == "let_out":
        on_legs = told.brought.on_legs if garment == NAME else garment == "trousers"
        return _seam(told, subject, label, part, rule, size, make, on_legs)
    if rule.kind == "fullness":
        return _fullness(told, subject, label, rule, signed, make)
    if rule.meant_as == "intake":
        if told.meant == "fold" and rule.sign > 0:
            return make("fold", signed)
        if told.meant is None and pinned:
            return meanings.ask_dart(label, size, make)
    if rule.meant_as == "measure" and size < LEAST_BAND:
        raise NotReadError(f"a waist of {meanings.show(size)} cm cannot be what was measured")
    round_it = rule.kind == "waistband_length" and told.meant == "girth"  # "1 tighter all round"
    if told.meant not in {None, "total"} and not round_it:
        raise NotReadError(f"“{told.meant}” does not go with the {label} here")
    if rule.kind == "body_length" and subject.at is None:
        return _ask_at(told, rule, signed, garment)
    if subject.at is not None:
        options["at"] = subject.at
    if rule.kind == "waistband_gather" and "stretch" not in options:
        return _ask_stretch(told, rule, signed, garment)
    if rule.meant_as is None:
        raise NotReadError(f"the {label} needs a meaning of its amount")
    return make(rule.meant_as, signed)


def _seam(
    told: Told,
    subject: Subject,
    label: str,
    part: str | None,
    rule: Rule,
    size: float,
    make: meanings.Make,
    on_legs: bool,
) -> tuple[Item, ...]:
    signed = rule.sign * size
    if size >= LEAST_MEASURE:
        raise NotReadError(f"{meanings.show(size)} cm is a measure, not a change of the {label}")
    if told.meant in {"fold", "edge", "removed", "girth"}:
        if told.meant == "fold" and rule.sign > 0:
            raise NotReadError("a fold takes in; it cannot let out")
        if told.meant == "girth" and rule.place in meanings.NOT_ROUND:
            raise NotReadError(f"a {label} does not go round the body")
        known: dict[str, MeantAs] = {
            "fold": "fold", "edge": "edge", "removed": "removed", "girth": "girth",
        }  # fmt: skip
        return make(known[told.meant], signed)
    at = {value for name, value in subject.span if name != "shape"}
    found = meanings.seam_meanings(
        rule.place, label, told.side, size, rule.sign < 0, part, told.meant,
        on_leg=on_legs and bool(at) and at <= ON_LEG,
    )  # fmt: skip
    verb = "taken in" if rule.sign < 0 else "let out"

    def signed_make(meant_as: MeantAs, amount: float) -> tuple[Item, ...]:
        return make(meant_as, rule.sign * amount)

    return meanings.ask_seam(found, f"{label} {verb}", size, signed_make)


def _fullness(
    told: Told, subject: Subject, label: str, rule: Rule, signed: float, make: meanings.Make
) -> tuple[Item, ...]:
    if told.meant in {"total", "girth"} or "girth" in subject.said.lower():
        return make("girth", signed)
    if told.meant == "edge":
        return make("edge", signed)
    if told.meant is not None:
        raise NotReadError(f"“{told.meant}” does not go with room at the {label}")
    return meanings.ask_fullness(rule.place, label, told.side, signed, subject.via, make)


def _ask_stretch(told: Told, rule: Rule, signed: float, garment: GarmentName) -> tuple[Item, ...]:
    choices = tuple(
        Choice(
            part,
            f"{meanings.show(signed)} gathered into the {part} of the band",
            (Proposal(rule.kind, rule.place, told.side, signed, "length",
                      as_options({"stretch": part}), told.pins, garment),),
        )
        for part in ("front", "back")
    )  # fmt: skip
    return (Question("stretch", "gathered into the front or the back of the band?", choices),)


def _ask_at(told: Told, rule: Rule, signed: float, garment: GarmentName) -> tuple[Item, ...]:
    def at(level: str) -> tuple[Item, ...]:
        return (Proposal(rule.kind, rule.place, told.side, signed, "level",
                         as_options({"at": level}), told.pins, garment),)  # fmt: skip

    moved = meanings.show(abs(signed))
    verb = "lengthened" if signed > 0 else "shortened"
    choices = (
        Choice(
            "waist",
            f"{verb} {moved} at the waist line: what lies below it moves; cloth "
            "already cut cannot, the next draft does",
            at("waist"),
        ),
        Choice("hem", f"{verb} {moved} at the hem: nothing else moves", at("hem")),
    )
    return (Question("at", f"jacket {verb} {moved}: at which line?", choices),)
