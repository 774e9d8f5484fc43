"""Amounts as they are written or dictated: "1,5", "5/8 in", "a cm and a half", "one and a half"."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from pinwright.fitting.reader.tokens import Token

Unit = Literal["cm", "mm", "inch"]
CM_PER: dict[Unit, Fraction] = {
    "cm": Fraction(1),
    "mm": Fraction(1, 10),
    "inch": Fraction(254, 100),  # international inch, exact by definition (1959)
}
_UNITS: dict[str, Unit] = {
    "cm": "cm", "cms": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm",
    "centimeters": "cm", "mm": "mm", "millimetre": "mm", "millimetres": "mm",
    "millimeter": "mm", "millimeters": "mm", "inch": "inch", "inches": "inch",
    "ins": "inch", '"': "inch",
}  # fmt: skip
_ONES = {
    "zero": 0, "nought": 0, "nil": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
    "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
    "thirteen": 13,
    "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "eighth": 8,
    "eighths": 8, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
_SIDES = frozenset({"r", "l", "right", "left"})
# "in all" is no unit; "in each" may be one, or may say where.
_IN_PHRASE = frozenset({"all", "total", "girth", "circumference", "length", "width"})
_IN_WHERE = frozenset({"each", "every", "the", "both", "either"})
NUMBER_WORDS = frozenset(_ONES) | frozenset(_TENS) | frozenset(_PARTS) | {"point"}


@dataclass(frozen=True)
class Amount:
    """An amount as said: ``value`` in its ``unit`` (None: the unit of the order), its sign.

    ``maybe_inch``: the word "in" follows and may be the unit or may mean taken in; ``in_each``:
    it stands before "each", "the" …, and may be a preposition as well. ``inch_like``: a fraction
    as it is said of inches and not of centimetres (quarters, eighths, a written "1 1/2").
    """

    value: Fraction
    unit: Unit | None
    sign: Literal["+", "-"] | None
    maybe_inch: bool
    start: int
    end: int
    in_each: bool = False
    inch_like: bool = False

    def cm(self, unit: Unit) -> float:
        """The size in cm, without sign; ``unit`` is the order's, used where none was said."""
        return float(self.value * CM_PER[self.unit or unit])


def amount_at(tokens: tuple[Token, ...], i: int) -> tuple[Amount, int] | None:
    """The amount that begins at token ``i`` and the index after it, or None."""
    first = i
    sign: Literal["+", "-"] | None = None
    t = _text(tokens, i)
    if t in {"+", "-"} and tokens[i].sort == "sign":
        sign, i = ("+" if t == "+" else "-"), i + 1
    elif t in {"plus", "minus"} and _value(tokens, i + 1) is not None:
        sign, i = ("+" if t == "plus" else "-"), i + 1
    if _is_pronoun(tokens, i):
        return None
    found = _value(tokens, i)
    if found is None:
        return None
    value, j, exact_fraction = found
    inch_like = exact_fraction and _said_of_inches(value, tokens[i:j])
    unit, j, maybe = _unit(tokens, j, exact_fraction)
    tail = _and_part(tokens, j)
    if tail is not None and value.denominator == 1:
        value, j = value + tail[0], tail[1]
        inch_like = tail[0].denominator > 2
        if unit is None and not maybe:
            unit, j, maybe = _unit(tokens, j, True)
    in_each = maybe and _text(tokens, j) in _IN_WHERE
    start, end = tokens[first].start, tokens[j - 1].end
    return Amount(value, unit, sign, maybe, start, end, in_each, inch_like), j


def _said_of_inches(value: Fraction, said: tuple[Token, ...]) -> bool:
    """Whether a fraction is one of inches: not a half, nor, in words, one and a half."""
    if value.denominator > 2:
        return True
    written = said[-1]
    return written.sort == "fraction" and not (len(said) == 1 and written.text in {"1/2", "½"})


def _text(tokens: tuple[Token, ...], i: int) -> str:
    return tokens[i].text if 0 <= i < len(tokens) else ""


def _is_pronoun(tokens: tuple[Token, ...], i: int) -> bool:
    """The "one" of "the left one", "this one", "each one"."""
    if _text(tokens, i) != "one":
        return False
    before = _text(tokens, i - 1)
    return before in {"this", "that", "the", "other", "each", "which"} or (
        before in {"left", "right"} and _text(tokens, i - 2) == "the"
    )


def _value(tokens: tuple[Token, ...], i: int) -> tuple[Fraction, int, bool] | None:
    """Value, index after, and whether it ended in a written fraction."""
    if not 0 <= i < len(tokens):
        return None
    token = tokens[i]
    if token.sort == "number" and token.value is not None:
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        if (
            after is not None
            and after.sort == "fraction"
            and after.value is not None
            and after.value < 1
            and token.value.denominator == 1
        ):
            return token.value + after.value, _past_of_a(tokens, i + 2), True
        return token.value, i + 1, False
    if token.sort == "fraction" and token.value is not None:
        return token.value, _past_of_a(tokens, i + 1), True
    if token.sort == "word":
        return _spoken(tokens, i)
    return None


def _spoken(tokens: tuple[Token, ...], i: int) -> tuple[Fraction, int, bool] | None:
    word = _text(tokens, i)
    if word == "half" or word == "quarter":
        return Fraction(1, _PARTS[word]), _past_of_a(tokens, i + 1), True
    if word in {"a", "an"}:
        part = _text(tokens, i + 1)
        if part in {"half", "third", "quarter", "eighth", "sixteenth"}:
            return Fraction(1, _PARTS[part]), _past_of_a(tokens, i + 2), True
        if part in _UNITS and tokens[i + 1].sort == "word":
            return Fraction(1), i + 1, False
        return None
    if word == "point":
        return _decimals(tokens, i, Fraction(0))
    whole: int | None = None
    j = i
    if word in _TENS:
        whole, j = _TENS[word], i + 1
        if 0 < _ONES.get(_text(tokens, j), 0) < 10:
            whole, j = whole + _ONES[_text(tokens, j)], j + 1
    elif word in _ONES:
        whole, j = _ONES[word], i + 1
    if whole is None:
        return None
    part = _text(tokens, j)
    if part in _PARTS and whole > 0 and (part != "half" or whole == 1):
        return Fraction(whole, _PARTS[part]), _past_of_a(tokens, j + 1), True
    if part == "point":
        return _decimals(tokens, j, Fraction(whole)) or (Fraction(whole), j, False)
    return Fraction(whole), j, False


def _decimals(
    tokens: tuple[Token, ...], i: int, whole: Fraction
) -> tuple[Fraction, int, bool] | None:
    """The digits after a spoken "point"."""
    digits = ""
    j = i + 1
    while _ONES.get(_text(tokens, j), 10) < 10:
        digits += str(_ONES[_text(tokens, j)])
        j += 1
    if not digits:
        return None
    return whole + Fraction(int(digits), 10 ** len(digits)), j, False


def _past_of_a(tokens: tuple[Token, ...], i: int) -> int:
    """Skip "of", "a", "an" where a unit follows: half a cm, three quarters of an inch."""
    j = i
    while _text(tokens, j) in {"of", "a", "an"} and j - i < 2:
        j += 1
    return j if _text(tokens, j) in _UNITS else i


def _unit(tokens: tuple[Token, ...], j: int, after_fraction: bool) -> tuple[Unit | None, int, bool]:
    word = _text(tokens, j)
    if word in _UNITS:
        return _UNITS[word], j + 1, False
    if word == "foot" and _text(tokens, j + 1) == "'":  # written as two single marks
        return "inch", j + 2, False
    if word == "in" and _text(tokens, j + 1) not in _IN_PHRASE:
        if _value(tokens, j + 1) is not None:
            return None, j, False  # "1 in 2 weeks"
        sure = after_fraction and _text(tokens, j + 1) not in _IN_WHERE
        return ("inch", j + 1, False) if sure else (None, j + 1, True)
    return None, j, False


def _and_part(tokens: tuple[Token, ...], j: int) -> tuple[Fraction, int] | None:
    """The "and a half" of "one and a half"; not the "and half" of "R one and half L"."""
    if _text(tokens, j) not in {"and", "&"}:
        return None
    k = j + 1
    with_article = _text(tokens, k) in {"a", "an"}
    if with_article:
        k += 1
    token = tokens[k] if k < len(tokens) else None
    if token is None:
        return None
    if token.sort == "fraction" and token.value is not None and token.value < 1:
        value, end = token.value, k + 1
    elif token.text in {"half", "third", "quarter", "eighth"}:
        value, end = Fraction(1, _PARTS[token.text]), k + 1
    elif token.text == "three" and _text(tokens, k + 1) in {"quarters", "eighths"}:
        value, end = Fraction(3, _PARTS[_text(tokens, k + 1)]), k + 2
    else:
        return None
    if not with_article and _text(tokens, end) in _SIDES:
        return None
    return value, end
