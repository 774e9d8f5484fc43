"""The unit of an amount: what was said, what the order has, or a question with both in cm."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import pairwise

from pinwright.fitting.reader import meanings
from pinwright.fitting.reader.amounts import Unit
from pinwright.fitting.reader.clauses import Clause
from pinwright.fitting.reader.proposing import branching
from pinwright.fitting.reader.reading import Item
from pinwright.fitting.reader.said import Told

Read = Callable[[Told], tuple[Item, ...]]
_SHORT: dict[Unit, str] = {"cm": "cm", "mm": "mm", "inch": "in"}


def doubtful_units(clause: Clause, clauses: Iterable[Clause], unit: Unit) -> tuple[Unit, ...]:
    """The units an amount of ``clause`` that names none can be in, the order's first.

    In an order kept in cm a fraction of quarters or eighths, or inches said for another amount of
    the line, make every amount without unit doubtful; millimetres only those of the same thing.
    In an order kept in inches nothing is doubtful.
    """
    if unit != "cm":
        return (unit,)
    found: list[Unit] = [unit]
    for other in clauses:
        for word in other.words:
            amount = word.amount
            if amount is None:
                continue
            if amount.unit == "inch" or (amount.unit is None and amount.inch_like):
                found.append("inch")
            elif amount.unit == "mm" and not clause.own("subject"):
                found.append("mm")
    return tuple(dict.fromkeys(found))


def with_unit(told: Told, read: Read) -> tuple[Item, ...]:
    """Decide the unit, and whether "in" behind the number is one; ask where it can be either."""
    if not told.amount.maybe_inch:
        return _bare(told, read)
    inch = replace(told, amount=replace(told.amount, unit="inch", maybe_inch=False))
    as_said = replace(told.amount, maybe_inch=False)
    particle = replace(told, amount=as_said, acts=(told.acts - {"pin"}) | {"in"})
    own = {w.value for w in told.clause.all("act")}
    inches = f"{float(told.amount.value):g} in = {meanings.show(inch.cm)} cm"
    said = told.line[told.amount.start : told.amount.end]
    if told.amount.in_each and own:
        placed = replace(told, amount=replace(as_said, unit=told.unit))
        if told.unit == "inch":
            return read(placed)
        return branching(
            "unit",
            f"“{said} …”: centimetres there, or inches?",
            (
                ("cm", f"{meanings.show(placed.cm)} cm", lambda: read(placed)),
                ("inch", inches, lambda: read(inch)),
            ),
        )
    if own & {"take", "gather"} or (own == {"pin"} and _noun_behind(told.clause)):
        return _bare(replace(told, amount=as_said), read)
    if own - {"nip", "pin"}:
        return read(inch)
    taken_in = f"{meanings.show(particle.cm)} cm taken in"
    return branching(
        "unit",
        f"“{said}”: taken in, or inches?",
        (
            ("taken_in", taken_in, lambda: _bare(particle, read)),
            ("inch", inches, lambda: read(inch)),
        ),
    )


def _bare(told: Told, read: Read) -> tuple[Item, ...]:
    """An amount that names no unit: the order's, or a question where that is doubtful."""
    amount = told.amount
    if amount.unit is not None or amount.value == 0 or len(told.units) == 1:
        return read(told)
    said = told.line[amount.start : amount.end].lstrip("+-−– ")

    def in_unit(unit: Unit) -> Told:
        return replace(told, amount=replace(amount, unit=unit))

    def branch(unit: Unit) -> tuple[str, str, Callable[[], tuple[Item, ...]]]:
        there = in_unit(unit)
        as_said, size = f"{said} {_SHORT[unit]}", f"{round(there.cm, 3):g} cm"
        sentence = size if as_said == size else f"{as_said} = {size}"
        return unit, sentence, lambda: read(there)

    sizes = " or ".join(f"{_SHORT[u]} ({round(in_unit(u).cm, 3):g} cm)" for u in told.units)
    return branching(
        "unit",
        f"“{said}”: {sizes}?",
        tuple(branch(u) for u in told.units),
        "unit",
        kept=told.words,
    )


def _noun_behind(clause: Clause) -> bool:
    """Whether the amount is followed by a noun: "pinned 1 in each side seam"."""
    for word, after in pairwise(clause.words):
        if word.tag == "amount":
            return after.tag in {"subject", "side", "level"}
    return False
