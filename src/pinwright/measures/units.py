"""Lengths as people write them: centimetres by default, inches with fractions read and shown."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from pinwright.errors import MeasureError

CM_PER_INCH = 2.54
KG_PER_POUND = 0.45359237

LengthUnit = Literal["cm", "in"]

_UNITS = {
    "": 0.0,
    "cm": 1.0,
    "mm": 0.1,
    "m": 100.0,
    "in": CM_PER_INCH,
    "inch": CM_PER_INCH,
    "inches": CM_PER_INCH,
    '"': CM_PER_INCH,
    "″": CM_PER_INCH,
    "”": CM_PER_INCH,
}
_VULGAR = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_LENGTH = re.compile(
    r"""(?P<sign>[-+−]?)\s*
        (?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<num>\d+)\s*/\s*(?P<den>\d+)   # 34 5/8, 34-5/8
          |(?P<only_num>\d+)\s*/\s*(?P<only_den>\d+)                       # 5/8
          |(?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+))                           # 92, 92.5, 92,5
        \s*(?P<unit>[^\d\s.]*)\.?""",
    re.VERBOSE,
)
_PLAIN = re.compile(r"([-+−]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*([^\d\s]*)")


def _number(value: float, what: str) -> float:
    if isinstance(value, bool) or not math.isfinite(value):
        raise MeasureError(f"{what}: {value!r} is not a number.")
    return float(value)


def parse_length(value: object, unit: LengthUnit = "cm", what: str = "length") -> float:
    """Read a length and return it in cm.

    value: a number, or text such as "92", "92.5 cm", "34 5/8 in", '34 5/8"', "34⅝ in", "168 mm".
    unit: the unit of a bare number. what: the name used in the refusal.
    Raises MeasureError when the text is no length. The sign is kept: ranges are judged elsewhere.
    """
    if isinstance(value, int | float):
        return _number(value, what) * _UNITS[unit]
    if not isinstance(value, str):
        raise MeasureError(f"{what}: {value!r} is not a length; write 92, 92.5 cm or 34 5/8 in.")
    text = value.strip()
    for sign, written in _VULGAR.items():
        text = text.replace(sign, f" {written}")
    match = _LENGTH.fullmatch(text.strip())
    if match is None or match["unit"].lower() not in _UNITS:
        raise MeasureError(f'{what}: "{value}" is not a length; write 92, 92.5 cm or 34 5/8 in.')
    scale = _UNITS[match["unit"].lower()] or _UNITS[unit]
    if match["decimal"] is not None:
        size = float(match["decimal"].replace(",", "."))
    else:
        num = int(match["num"] or match["only_num"])
        den = int(match["den"] or match["only_den"])
        if den == 0:
            raise MeasureError(f'{what}: "{value}" divides by nothing; write a fraction like 5/8.')
        size = float(int(match["whole"] or 0) + Fraction(num, den))
    return -size * scale if match["sign"] in ("-", "−") else size * scale


def _parse_plain(value: object, what: str, units: dict[str, float], example: str) -> float:
    if isinstance(value, int | float):
        return _number(value, what)
    match = _PLAIN.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or match[3].lower().rstrip(".") not in units:
        shown = f'"{value}"' if isinstance(value, str) else repr(value)
        raise MeasureError(f"{what}: {shown} cannot be read; write {example}.")
    size = float(match[2].replace(",", ".")) * units[match[3].lower().rstrip(".")]
    return -size if match[1] in ("-", "−") else size


def parse_angle(value: object, what: str = "angle") -> float:
    """Read an angle in degrees: 21, "21", "21 deg", "21°". Raises MeasureError."""
    units = {"": 1.0, "deg": 1.0, "degree": 1.0, "degrees": 1.0, "°": 1.0}
    return _parse_plain(value, what, units, "degrees such as 21 or 21 deg")


def parse_weight(value: object, what: str = "weight") -> float:
    """Read a body weight in kg: 62, "62 kg", "137 lb". Raises MeasureError."""
    units = {"": 1.0, "kg": 1.0, "lb": KG_PER_POUND, "lbs": KG_PER_POUND}
    return _parse_plain(value, what, units, "kilograms such as 62 or 62 kg, or 137 lb")


def format_length(cm: float, unit: LengthUnit = "cm") -> str:
    """Show a length in cm: to 0.1 cm ("92.0 cm"), or to the nearest 1/8 inch ("36 1/4 in").

    Raises MeasureError when the length is not a finite number.
    """
    cm = _number(cm, "length")
    if unit == "cm":
        return f"{round(cm, 1) + 0.0:.1f} cm"
    eighths = round(abs(cm) / CM_PER_INCH * 8)
    sign = "-" if cm < 0 and eighths else ""
    whole, rest = divmod(eighths, 8)
    if not rest:
        return f"{sign}{whole} in"
    part = Fraction(rest, 8)
    lead = f"{whole} " if whole else ""
    return f"{sign}{lead}{part.numerator}/{part.denominator} in"
