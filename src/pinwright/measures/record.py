"""The record of what was taped: read from plain values, refused with a reason, never changed."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from pinwright.errors import MeasureError
from pinwright.measures import plausibility
from pinwright.measures.plausibility import MeasureWarning
from pinwright.measures.terms import TERMS, Term
from pinwright.measures.units import (
    CM_PER_INCH,
    LengthUnit,
    parse_angle,
    parse_length,
    parse_weight,
)

__all__ = ["SIDES", "MeasureWarning", "Record", "Side", "read_record", "split_side", "warnings"]

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True, slots=True)
class Record:
    """Measurements as given, in cm (kg, deg where the term says so); make it with read_record.

    taped: value by key as it was given ("shoulder_slope_left" or "shoulder_slope").
    given: value by term; where it was taped by side, the mean of the two sides.
    sides: term -> {"left": value, "right": value} for the terms taped by side, both filled: a
    side that was not taped takes the term's plain value, or else the other side's.
    """

    taped: Mapping[str, float]
    given: Mapping[str, float]
    sides: Mapping[str, Mapping[str, float]]

    def __hash__(self) -> int:
        return hash(frozenset(self.taped.items()))

    def __reduce__(self) -> tuple[object, ...]:
        return _assemble, (dict(self.taped),)

    def retaken(self, measures: Mapping[str, object], unit: LengthUnit = "cm") -> Record:
        """The record with some measures taken anew; a plain value replaces both its sides."""
        new = read_record(measures, unit).taped
        kept = {key: v for key, v in self.taped.items() if split_side(key)[0] not in new}
        return _assemble({**kept, **new})


def split_side(key: str) -> tuple[str, Side | None]:
    """Split "shoulder_slope_left" into ("shoulder_slope", "left"); a plain term has side None."""
    for side in SIDES:
        stem = key.removesuffix(f"_{side}")
        if stem != key:
            return stem, side
    return key, None


def _assemble(taped: dict[str, float]) -> Record:
    given: dict[str, float] = {}
    by_side: dict[str, dict[str, float]] = {}
    for key, value in taped.items():
        term, side = split_side(key)
        if side is None:
            given[term] = value
        else:
            by_side.setdefault(term, {})[side] = value
    sides: dict[str, Mapping[str, float]] = {}
    for term, apart in by_side.items():
        other = given.get(term, next(iter(apart.values())))
        left, right = (apart.get(side, other) for side in SIDES)
        sides[term] = MappingProxyType({"left": left, "right": right})
        given[term] = (left + right) / 2.0
    return Record(MappingProxyType(taped), MappingProxyType(given), MappingProxyType(sides))


def _read(term: Term, key: str, value: object, unit: LengthUnit) -> float:
    if term.unit == "cm":
        size = parse_length(value, unit, key)
    elif term.unit == "deg":
        size = parse_angle(value, key)
    else:
        size = parse_weight(value, key)
    if term.low <= size <= term.high:
        return size
    shown, shown_in = 1.0, str(term.unit)
    if term.unit == "cm" and unit == "in":
        shown, shown_in = CM_PER_INCH, "in"
    low, high = (round(v / shown, 0 if shown_in == "in" else 9) for v in (term.low, term.high))
    raise MeasureError(
        f"{key}: {size / shown:g} {shown_in} is not possible; allowed is {low:g} to {high:g} "
        f"{shown_in}{_meant(term, size, unit) if term.unit == 'cm' else ''}."
    )


def _meant(term: Term, size: float, unit: LengthUnit) -> str:
    """What an impossible length, cm, was likely meant as: in another unit it would be usual."""
    typed = size / CM_PER_INCH if unit == "in" else size
    ways = {"cm": typed, "in": typed * CM_PER_INCH, "m": typed * 100.0}
    for way, cm in ways.items():
        if way != unit and term.usual_low <= cm <= term.usual_high:
            told = cm / CM_PER_INCH if unit == "in" else cm
            return f"; {typed:g} {way} would be {told:.1f} {unit}"
    return ""


def _term(key: object) -> Term:
    if not isinstance(key, str):
        raise MeasureError(f"{key!r} is not the name of a measure; see `pinwright measures`.")
    name, side = split_side(key)
    if name not in TERMS:
        near = difflib.get_close_matches(name.lower().replace(" ", "_"), TERMS, n=1, cutoff=0.6)
        ending = f"_{side}" if side and near and TERMS[near[0]].sided else ""
        hint = f"did you mean {near[0]}{ending}?" if near else "see `pinwright measures`."
        raise MeasureError(f'"{key}" is not a measure; {hint}')
    if side and not TERMS[name].sided:
        raise MeasureError(f"{key}: {name} has no left and right; give {name} once.")
    return TERMS[name]


def read_record(measures: Mapping[str, object], unit: LengthUnit = "cm") -> Record:
    """Read a record from term -> value (number, or text such as "34 5/8 in").

    Sided terms may also be given as term_left and term_right. unit: that of bare lengths.
    Raises MeasureError on unknown terms (with the nearest one), on values that cannot be read,
    and on impossible values; implausible ones are left to warnings().
    """
    return _assemble({key: _read(_term(key), key, v, unit) for key, v in measures.items()})


def warnings(record: Record) -> tuple[MeasureWarning, ...]:
    """What is implausible or inconsistent in a record, each with its reason; empty when all fits.

    Looks at usual ranges, at measures that must agree with each other, at left against right, and
    at girths far from what the others predict in the bdims women.
    """
    return (
        *plausibility.unusual(record.taped),
        *plausibility.uneven(record.sides),
        *plausibility.inconsistent(record.given),
        *plausibility.unlikely(record.given),
    )
