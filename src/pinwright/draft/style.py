"""What a garment style declares: its choices, and the functions that draft it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pinwright.errors import OrderError, meant
from pinwright.measures.estimate import Body
from pinwright.pattern.garment import Derive, Garment

Choices = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Choice:
    """A choice a style offers: one of ``allowed`` words, or a number from ``low`` to ``high``.

    ``unit`` is "cm", "count" or "" for words and yes/no.
    """

    name: str
    default: str | float | bool
    help: str
    allowed: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    unit: str = ""

    def check(self, style: str, value: object) -> str | float | bool:
        """The value, checked.

        Raises:
            OrderError: a value the style does not offer.
        """
        if isinstance(self.default, bool):
            if isinstance(value, bool):
                return value
            raise OrderError(
                f"{style}: {self.name} is {value!r}; it may be true or false ({self.help})."
            )
        if self.allowed:
            if isinstance(value, str) and value in self.allowed:
                return value
            raise OrderError(
                f"{style}: {self.name} is {value!r}; it may be one of {', '.join(self.allowed)}."
            )
        if isinstance(value, int | float) and not isinstance(value, bool):
            number = float(value)
            if self.low <= number <= self.high:
                return number
        raise OrderError(
            f"{style}: {self.name} is {value!r}; it may be a number from {self.low:g} to "
            f"{self.high:g}{' ' + self.unit if self.unit else ''}."
        )


@dataclass(frozen=True, slots=True)
class Style:
    """A garment style.

    ``block`` drafts the fitted shapes and their seams, ``finish`` adds features and the pieces
    sewn to them, ``derive`` gives the pieces that follow by rule from finished ones (facings,
    pocketing, interfacing).
    """

    name: str
    title: str
    summary: str
    choices: tuple[Choice, ...]
    measures: tuple[str, ...]
    block: Callable[[Body, Choices], Garment]
    finish: Callable[[Garment, Body, Choices], Garment]
    derive: Derive

    def choose(self, given: Mapping[str, object]) -> dict[str, object]:
        """All choices, the given ones checked and the others at their defaults.

        Raises:
            OrderError: an unknown choice, with the nearest known one, or a bad value.
        """
        known = {c.name: c for c in self.choices}
        for name in given:
            if name not in known:
                hint = meant(name, known)
                raise OrderError(
                    f"{self.name}: there is no choice {name!r}.{hint} "
                    f"The choices are {', '.join(sorted(known))}."
                )
        return {
            c.name: c.check(self.name, given[c.name]) if c.name in given else c.default
            for c in self.choices
        }
