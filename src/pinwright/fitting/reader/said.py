"""What one clause says, in the reader's terms: amount, side, actions, meaning, pins."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from pinwright.fitting.proposal import GarmentName, Pins, Side
from pinwright.fitting.reader.amounts import Amount, Unit
from pinwright.fitting.reader.brought import NAME, Brought
from pinwright.fitting.reader.clauses import TOO, Clause
from pinwright.fitting.reader.subject import NotReadError


@dataclass(frozen=True)
class Told:
    """Everything a clause told, before its rule is chosen."""

    clause: Clause
    line: str
    garments: tuple[GarmentName, ...]
    unit: Unit
    units: tuple[Unit, ...]  # an amount without unit can be in
    side: Side
    side_said: bool
    amount: Amount
    acts: frozenset[str]
    meant: str | None
    pins: Pins | None
    brought: Brought = field(default_factory=Brought)

    def garments_called(self, word: str) -> frozenset[str]:
        """The garments a word of the line names: one of ours, and a brought-in one called so."""
        too = NAME in self.garments and word in self.brought.kinds
        return frozenset({word, NAME} if too else {word})

    def title(self, garment: GarmentName) -> str:
        """What a garment is called."""
        return self.brought.title if garment == NAME else garment

    @property
    def cm(self) -> float:
        """The size in cm, without sign."""
        return self.amount.cm(self.unit)

    @property
    def words(self) -> tuple[str, ...]:
        """The words of the clause as written, but for those that say nothing."""
        return tuple(self.line[w.start : w.end] for w in self.clause.words if w.tag != "fill")


def told_by(
    clause: Clause,
    line: str,
    garments: tuple[GarmentName, ...],
    units: tuple[Unit, ...],
    side: Side | None,
    brought: Brought,
) -> Told:
    """What the clause says; ``side`` overrides its own. Raises NotReadError on a muddle.

    ``units``: what an amount without unit can be in, the order's unit first.
    """
    amounts = [w.amount for w in clause.words if w.amount is not None]
    if len(amounts) != 1:
        raise NotReadError(
            "it has no amount" if not amounts else "it has two amounts for one thing"
        )
    if any(w.tag == "unknown" and w.numeric for w in clause.words):
        raise NotReadError("it has a number the reader cannot use")
    meant = {w.value for w in clause.all("mean")}
    if "total" in meant and len(meant) > 1:
        meant.discard("total")
    if len(meant) > 1:
        raise NotReadError(f"it says {' and '.join(sorted(meant))} of one amount")
    pins = {w.value for w in clause.all("pins")}
    if len(pins) > 1:
        raise NotReadError("it says the pins were in and not in")
    return Told(
        clause,
        line,
        garments,
        units[0],
        units,
        side or side_of(clause) or "both",
        side is not None or side_of(clause) is not None,
        amounts[0],
        _acts(clause, amounts[0]),
        next(iter(meant), None),
        "in" if pins == {"in"} else "before" if pins else None,
        brought,
    )


def side_of(clause: Clause) -> Side | None:
    """The side a clause speaks of, None when it names none. Raises NotReadError on a muddle."""
    said = [w.value for w in clause.all("side")]
    right, left, both = said.count("right"), said.count("left"), said.count("both")
    if right and left:
        if right > 1 or left > 1:
            raise NotReadError("it names the sides more than once for one amount")
        return "both"
    if both and (right or left):
        raise NotReadError("it names one side and both sides for one amount")
    if right:
        return "right"
    if left:
        return "left"
    return "both" if both else None


def _acts(clause: Clause, amount: Amount) -> frozenset[str]:
    """The actions said, with verbs and their particles joined and mere strengthening dropped."""
    acts = {TOO.get(w.value, w.value) for w in clause.all("act")} - {"towards_point"}
    for said, meant in (("nip", "in"), ("swung", "swing")):
        if said in acts:
            acts = (acts - {said}) | {meant}
    if "in_word" in acts and len(acts) > 1 and _before_noun(clause, "in_word"):
        acts.discard("in_word")  # "1 longer in the sleeve": a preposition
    for verb, particle, joined in (
        ("take", "in_word", "in"), ("take", "up", "take_up"), ("take", "outward", "take_out"),
        ("take", "take_out", "take_out"), ("take", "off", "off"), ("take", "more", "take"),
        ("let", "outward", "out"), ("let", "out", "out"), ("let", "down", "down"),
        ("pin", "in_word", "pin"), ("pin", "outward", "pin"), ("pin", "up", "pick_up"),
        ("gather", "in_word", "gather"), ("ease", "in_word", "ease"),
        ("more", "lengthwise", "longer"), ("less", "lengthwise", "shorter"),
        ("longer", "lengthwise", "longer"), ("shorter", "lengthwise", "shorter"),
        ("gather", "more", "gather"),
        ("gather", "less", "gather_less"), ("in", "in_word", "in"),
        ("shorter", "off", "shorter"), ("up", "off", "up"),
        ("taper", "in", "taper"), ("taper", "in_word", "taper"), ("taper", "narrower", "taper"),
        ("taper", "take", "taper"), ("take", "forward", "forward"),
        ("take", "backward", "backward"), ("take", "down", "down"),
    ):  # fmt: skip
        if {verb, particle} <= acts:
            acts = (acts - {verb, particle}) | {joined}
    if "take" in acts and amount.maybe_inch:
        acts = (acts - {"take"}) | {"in"}
    if "pin" in acts and len(acts) > 1:
        acts.discard("pin")
    if acts - {"more"}:
        acts.discard("more")
    if acts - {"swing"}:
        acts.discard("swing")
    if "let" in acts:
        raise NotReadError("it does not say whether to let out or down")
    if amount.sign is not None:
        acts.add("plus" if amount.sign == "+" else "minus")
    return frozenset(acts)


def _before_noun(clause: Clause, act: str) -> bool:
    for word, after in pairwise(clause.words):
        if word.tag == "act" and word.value == act:
            return after.tag in {"subject", "level", "part", "side"}
    return False
