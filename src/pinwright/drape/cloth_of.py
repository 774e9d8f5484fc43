"""The handle of a cloth of the order: as tested, as likened, or guessed from its name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Protocol

from pinwright.cutting.sentences import capital
from pinwright.drape.cloth import CONSTANTS, Handle, Row, Source, read_table, row
from pinwright.drape.cloth_readings import (
    BAND,
    LENGTHS,
    READINGS,
    Readings,
    cautions,
    from_tests,
    worked,
)
from pinwright.errors import MeasureError, OrderError
from pinwright.measures.units import LengthUnit, parse_length

MIDDLE = "wool suiting, middle weight"
"""What a cloth is taken to be when neither its name nor its layer says more."""

NOT_WOVEN = ("jersey", "knit", "knitted", "fleece", "ponte", "interlock", "leather", "felt", "lace")
"""Words for what the table has nothing like: it is of woven cloth."""


class HandleGiven(Protocol):
    """What an order says of a cloth's handle: constants, readings and ``like``, as written."""

    @property
    def given(self) -> Mapping[str, float | str]:
        """What is written, by key."""


class OrderedCloth(Protocol):
    """A cloth as far as its handle goes; see :class:`pinwright.workshop.order.Cloth`."""

    @property
    def name(self) -> str:
        """What it is called; may be empty."""

    @property
    def layer(self) -> str:
        """What it is for: shell, lining, ..."""

    @property
    def handle(self) -> HandleGiven | None:
        """What is said of its handle; None where nothing is."""


def handle_of(cloth: OrderedCloth, unit: LengthUnit = "cm") -> tuple[Handle, str | None]:
    """The handle of an order's cloth, and what is to be said of it: assumed, worked out of its
    tests, less than sure.

    ``unit`` is the client's: that of a reading without a unit, and of what is said.

    Raises:
        OrderError: a reading or constant that cannot be, one given twice, or a cloth to be like
            that the table does not have.
    """
    name = cloth.name or f"the {cloth.layer}"
    given = {} if cloth.handle is None else dict(cloth.handle.given)
    like = given.pop("like", None)
    base = row(str(like)) if like is not None else guessed(cloth.name, cloth.layer)
    constants = {k: float(given[k]) for k in CONSTANTS if k in given}
    readings = _readings(name, given, unit)
    said = Source(tuple(constants), "read", BAND, "as the order gives it")
    start = base.handle.having(name, constants, said) if constants else base.handle
    steps = worked(name, readings, start, unit)
    for step in steps:
        if step.constant in constants:
            raise OrderError(
                f"Cloth {name}: {step.constant} is given and its test too; leave one of them out."
            )
    made = from_tests(name, readings, start, unit, "the workshop's own test")
    sums = [f"As tested: {' '.join(s.says for s in steps)}"] if steps else []
    told = [*sums, *cautions(readings, unit)]
    if like is None:
        known = {*constants, *(s.constant for s in steps)}
        told[:0] = _assumed(name, cloth.name, base, known)
    return made, " ".join(told) or None


def guessed(name: str, layer: str = "shell") -> Row:
    """The cloth of the table that a name sounds like, or else the name and what it is for.

    The name with most words of the table's goes first, then the one that stands last ("crepe
    lining" is a lining); fibres decide only without one, the first named ("wool and silk" is
    wool). Without any it is wool of middle weight.
    """
    words = re.findall(r"[a-z]+", name.lower().replace("è", "e").replace("ê", "e"))
    found = _named(words) or _named([*words, layer])
    if found:
        return max(found, key=lambda f: f[:2])[2]
    table = read_table()
    fibres = [(at, r) for r in table.values() for f in r.fibres if (at := _stands(f, words)) >= 0]
    return min(fibres, key=lambda f: f[0])[1] if fibres else table[MIDDLE]


def _named(words: list[str]) -> list[tuple[int, int, Row]]:
    """Cloths of the table whose words stand in a name: how many, where they end, which."""
    return [
        (len(phrase.split()), at, r)
        for r in read_table().values()
        for phrase in (*r.words, r.handle.name)
        if (at := _stands(phrase, words)) >= 0
    ]


def _stands(phrase: str, words: list[str]) -> int:
    """The place in ``words`` where a phrase ends; -1 where it is not. Plurals count."""
    parts = re.findall(r"[a-z]+", phrase)
    for i in range(len(words) - len(parts), -1, -1):
        if all(w in (p, p + "s") for p, w in zip(parts, words[i : i + len(parts)], strict=True)):
            return i + len(parts)
    return -1


def _assumed(name: str, written: str, base: Row, known: set[str]) -> list[str]:
    missing = [c for c in CONSTANTS if c not in known]
    if not missing:
        return []
    name = capital(name)
    if not known:
        told = (
            f"{name}: how it hangs was not tested; it is taken to hang like {base.handle.name}. "
            'Test it, or say what it is like ([cloth.handle] like = "...").'
        )
    else:
        words = [c.replace("_", " ") for c in missing]
        listed = " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
        told = f"{name}: {listed} not tested, assumed as of {base.handle.name}."
    unlike = next((w for w in re.findall(r"[a-z]+", written.lower()) if w in NOT_WOVEN), None)
    if unlike is not None:
        told += f" The table has woven cloth only, nothing like {unlike}."
    return [told]


def _readings(name: str, given: Mapping[str, float | str], unit: LengthUnit) -> Readings:
    found: dict[str, float] = {}
    for what in READINGS:
        if what not in given:
            continue
        value = given[what]
        if what in LENGTHS:
            try:
                found[what] = parse_length(value, unit, f"Cloth {name}: {what}")
            except MeasureError as err:
                raise OrderError(str(err)) from err
        else:
            found[what] = float(value)
    return Readings(**found)
