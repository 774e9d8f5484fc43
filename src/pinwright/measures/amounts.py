"""Lengths as a person is told them: in the unit of the order, to what a tape shows.

Everything is reckoned in cm; only here does it become words, to 0.1 cm or to 1/8 in (see
:func:`pinwright.measures.units.format_length`). What is written for other programs stays in cm.
"""

from __future__ import annotations

from math import ceil, floor

from pinwright.measures.units import CM_PER_INCH, LengthUnit, format_length

SLIGHT: dict[LengthUnit, float] = {"cm": 0.05, "in": CM_PER_INCH / 16}
"""What is smaller, cm, a tape does not show: it would be rounded to nothing."""

OVER = 0.05
"""So much past a whole step, cm, is not a step more: half of what a tape shows."""

_EIGHTH = CM_PER_INCH / 8


def said(cm: float, unit: LengthUnit = "cm") -> str:
    """A length that was found or is asked for: "2.0 cm", "-0.5 cm", "5/8 in".

    What would round to nothing keeps two decimals: "0.04 cm", "0.02 in".

    Raises:
        MeasureError: it is not a finite number.
    """
    if 0.0 < abs(cm) < SLIGHT[unit]:
        return f"{cm if unit == 'cm' else cm / CM_PER_INCH:.2f} {unit}"
    return format_length(cm, unit)


def amount(cm: float, unit: LengthUnit = "cm") -> str:
    """How much something moved, without sign: "1.5" where the order is in cm, else "5/8 in"."""
    return said(abs(cm), unit).removesuffix(" cm")


def size(cm: float, unit: LengthUnit = "cm") -> str:
    """How long or wide something is, no tenth where there is none: "150 cm", "2.5 cm", "59 in"."""
    return format_length(cm, unit).replace(".0 cm", " cm")


def needed(cm: float, unit: LengthUnit = "cm") -> str:
    """A length that is taken, never less than it is: whole cm, or eighths of an inch."""
    if unit == "cm":
        return f"{ceil(cm - OVER)} cm"
    return format_length(ceil((cm - OVER) / _EIGHTH) * _EIGHTH, unit)


def at_least(cm: float, unit: LengthUnit = "cm") -> str:
    """A length that there is or that cannot be undercut, never more than it is; see `needed`."""
    if unit == "cm":
        return f"{floor(cm + OVER)} cm"
    return format_length(floor((cm + OVER) / _EIGHTH) * _EIGHTH, unit)


def to_step(cm: float, unit: LengthUnit = "cm") -> float:
    """A length, cm, as it is told: to 0.1 cm, or to 1/8 in."""
    step = 0.1 if unit == "cm" else _EIGHTH
    return round(cm / step) * step


def area(cm2: float, unit: LengthUnit = "cm") -> str:
    """How much cloth something takes, cm2 told whole: "120 cm²", "19 in²"."""
    return f"{cm2 if unit == 'cm' else cm2 / CM_PER_INCH**2:.0f} {unit}²"
