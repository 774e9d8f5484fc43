"""How an amount is meant: what was said, or a question with what each meaning would do in cm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from pinwright.fitting.proposal import MeantAs, Side
from pinwright.fitting.reader.places import PAIRED
from pinwright.fitting.reader.reading import Choice, Item, Question

PAIRED_ROUND = frozenset({"side_seam"})  # two seams in one girth
LIMBS = frozenset({"thigh", "upper_arm"})
NOT_ROUND = frozenset({"shoulder_seam"})

_ROUND = {"inseam": "round the leg", "sleeve_seam": "round the sleeve"}


@dataclass(frozen=True)
class Meaning:
    """One meaning of an amount at a seam: what it would do, and as what it is then proposed."""

    key: str
    sentence: str
    meant_as: MeantAs
    amount: float


Make = Callable[[MeantAs, float], tuple[Item, ...]]


def show(amount: float) -> str:
    """An amount in cm as a person reads it."""
    return f"{round(amount, 2):g}"


def seam_meanings(
    place: str,
    label: str,
    side: Side,
    amount: float,
    taken_in: bool,
    part: str | None,
    said: str | None,
    on_leg: bool = False,
) -> tuple[Meaning, ...]:
    """The meanings an amount at a seam can have, each with what it would do.

    ``said`` narrows them: "total" leaves the two that are totals. A fold can only take in. The
    two girth meanings differ only where two seams lie in one girth (design §6 a: a fold of 1 at
    each side seam takes 4 from the girth, 1 per seam takes 2). Where one edge alone moves, a fold
    is given as the cloth it removes, twice its depth, and per edge is the same as removed.
    ``on_leg``: at the levels named the seam goes round one leg, not round the body.
    """
    seams = 2 if side == "both" and place in PAIRED_ROUND and not on_leg else 1
    goes_round = "round the leg" if on_leg else _ROUND.get(place)
    edges = 1 if part else 2
    verb, word = ("takes", "from") if taken_in else ("adds", "to")
    where = f"each {label}" if side == "both" and place in PAIRED else f"the {label}"
    edge = f"the {part} edge" if part else "each edge"

    def effect(per_seam: float) -> str:
        text = f"{verb} {show(per_seam)} at {where}"
        if place not in NOT_ROUND:
            text += f", {show(per_seam * seams)} {goes_round or word + ' the girth'}"
        return f"{text}; {edge} moves {show(per_seam / edges)}"

    found: list[Meaning] = []
    if taken_in and said is None:
        means: tuple[MeantAs, float] = ("removed", 2 * amount) if part else ("fold", amount)
        found.append(
            Meaning("fold", f"a fold pinned {show(amount)} deep {effect(2 * amount)}", *means)
        )
    found.append(
        Meaning("removed", f"{show(amount)} of cloth per seam {effect(amount)}", "removed", amount)
    )
    if said is None and part is None:
        found.append(
            Meaning("edge", f"{show(amount)} per edge {effect(2 * amount)}", "edge", amount)
        )
    if seams == 2:
        found.append(
            Meaning(
                "girth", f"{show(amount)} of girth in all {effect(amount / 2)}", "girth", amount
            )
        )
    return tuple(found)


def ask_seam(
    meanings: tuple[Meaning, ...], what: str, amount: float, make: Make
) -> tuple[Item, ...]:
    """The question between the meanings; the reading itself where only one is possible."""
    choices = tuple(Choice(m.key, m.sentence, make(m.meant_as, m.amount)) for m in meanings)
    if len(choices) == 1:
        return choices[0].items
    names = ", ".join(c.key for c in choices[:-1]) + f" or {choices[-1].key}"
    return (Question("meant_as", f"{what} {show(amount)}: how is it meant – {names}?", choices),)


def ask_dart(label: str, amount: float, make: Make) -> tuple[Item, ...]:
    """Cloth pinned at a dart: the depth of the fold, or what the dart takes more."""
    deep = f"a fold pinned {show(amount)} deep: the {label} takes {show(2 * amount)} more"
    choices = (
        Choice("fold", deep, make("fold", amount)),
        Choice("intake", f"the {label} takes {show(amount)} more", make("intake", amount)),
    )  # fmt: skip
    return (
        Question(
            "meant_as", f"{label} pinned {show(amount)}: how is it meant – fold or intake?", choices
        ),
    )


def ask_fullness(
    region: str, label: str, side: Side, amount: float, via: str | None, make: Make
) -> tuple[Item, ...]:
    """More or less room in a region, its meaning not said; ``amount`` signed."""
    size, more = abs(amount), "more" if amount > 0 else "less"
    halves = 2 if side == "both" else 1
    girth = Choice("girth", f"{show(size)} {more} round the {label} in all", make("girth", amount))
    choices: tuple[Choice, ...]
    if via == "side_seam":
        edge = Choice("edge", f"{show(size)} at each edge of each side seam: "
                      f"{show(2 * halves * size)} {more} in all", make("edge", amount))  # fmt: skip
        seam = Choice("removed", f"{show(size)} at each side seam: {show(halves * size)} {more} "
                      "in all", make("girth", halves * amount))  # fmt: skip
        choices = (edge, seam, girth) if halves == 2 else (edge, girth)
    elif via is not None or region in LIMBS:
        edge = Choice("edge", f"{show(size)} at each edge of the seam: {show(2 * size)} {more} "
                      "round it", make("edge", amount))  # fmt: skip
        choices = (girth, edge)
    else:
        half = Choice("half", f"{show(size)} on each of the two halves: {show(2 * size)} {more} "
                      "in all", make("girth", 2 * amount))  # fmt: skip
        choices = (girth, half) if side == "both" else (girth,)
    if len(choices) == 1:
        return choices[0].items
    return (
        Question("meant_as", f"{show(size)} {more} room at the {label}: how is it meant?", choices),
    )
