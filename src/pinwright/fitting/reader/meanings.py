"""How an amount is meant: what was said, or a question with what each meaning would do in cm."""

from __future__ import annotations

from collections.abc import Callable

from pinwright.fitting.proposal import MeantAs, Side
from pinwright.fitting.reader.reading import Choice, Item, Question

PAIRED_ROUND = frozenset({"side_seam"})  # two seams in one girth
LIMBS = frozenset({"thigh", "upper_arm"})
NOT_ROUND = frozenset({"shoulder_seam"})

Make = Callable[[MeantAs, float], tuple[Item, ...]]


def show(amount: float) -> str:
    """An amount in cm as a person reads it."""
    return f"{round(amount, 2):g}"


def seam_meanings(
    place: str, label: str, side: Side, amount: float, taken_in: bool, part: str | None, said: str | None
) -> tuple[tuple[MeantAs, str], ...]:
    """The meanings an amount at a seam can have, each with what it would do.

    ``said`` narrows them: "total" leaves the two that are totals. A fold can only take in. The
    two girth meanings differ only where two seams lie in one girth (design §6 a: a fold of 1 at
    each side seam takes 4 from the girth, 1 per seam takes 2).
    """
    seams = 2 if side == "both" and place in PAIRED_ROUND else 1
    edges = 1 if part else 2
    verb = "takes" if taken_in else "adds"
    where = "each " + label if side == "both" and place not in {"centre_back", "seat_seam"} else label
    word = "from" if taken_in else "to"

    def effect(per_seam: float) -> str:
        at_seam = f"{verb} {show(per_seam)} at {where}"
        if place in NOT_ROUND:
            return at_seam
        return f"{at_seam}, {show(per_seam * seams)} {word} the girth"

    found: list[tuple[MeantAs, str]] = []
    edge_words = f"the {part} edge" if part else "each edge"
    if taken_in and part is None and said is None:
        found.append(("fold", f"a pinned fold {show(amount)} deep: {effect(2 * amount)}"))
    if said in {None, "total"}:
        found.append(
            ("removed", f"{show(amount)} of cloth per seam: {effect(amount)}, "
             f"{edge_words} moves {show(amount / edges)}")
        )  # fmt: skip
    if said is None:
        found.append(("edge", f"{show(amount)} at {edge_words}: {effect(edges * amount)}"))
    if seams == 2:
        per = amount / seams
        found.append(
            ("girth", f"{show(amount)} {word} the girth in all: {verb} {show(per)} at {where}, "
             f"{edge_words} moves {show(per / edges)}")
        )  # fmt: skip
    return tuple(found)


def ask_seam(meanings: tuple[tuple[MeantAs, str], ...], what: str, amount: float, make: Make) -> tuple[Item, ...]:
    """The question between the meanings; the reading itself where only one is possible."""
    choices = tuple(Choice(m, sentence, make(m, amount)) for m, sentence in meanings)
    if len(choices) == 1:
        return choices[0].items
    names = ", ".join(str(c.key) for c in choices[:-1]) + f" or {choices[-1].key}"
    return (Question("meant_as", f"{what} {show(amount)}: how is it meant – {names}?", choices),)


def ask_dart(label: str, amount: float, make: Make) -> tuple[Item, ...]:
    """Cloth pinned at a dart: the depth of the fold, or what the dart takes more."""
    choices = (
        Choice("fold", f"a pinned fold {show(amount)} deep: the {label} takes {show(2 * amount)} more",
               make("fold", amount)),
        Choice("intake", f"the {label} takes {show(amount)} more", make("intake", amount)),
    )  # fmt: skip
    return (Question("meant_as", f"{label} pinned {show(amount)}: how is it meant – fold or intake?", choices),)


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
        half = Choice("half", f"{show(size)} on each half, right and left: {show(2 * size)} {more} "
                      "in all", make("girth", 2 * amount))  # fmt: skip
        choices = (girth, half) if side == "both" else (girth,)
    if len(choices) == 1:
        return choices[0].items
    return (Question("meant_as", f"{show(size)} {more} room at the {label}: how is it meant?", choices),)
