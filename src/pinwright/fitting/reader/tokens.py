"""Cutting a line of the notebook into tokens; nothing but blanks is lost."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

TokenSort = Literal["word", "number", "fraction", "bad_number", "sign", "mark"]

_DIGITS = frozenset("0123456789")
_GLYPHS = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4),
    "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_SAME = {"’": "'", "‘": "'", "“": '"', "”": '"', "″": '"', "−": "-", "–": "-", "—": "-", "⁄": "/"}


@dataclass(frozen=True)
class Token:
    """One token: ``text`` in lower case, ``start``/``end`` in the line, ``value`` of a number."""

    sort: TokenSort
    text: str
    start: int
    end: int
    value: Fraction | None = None


def tokenise(line: str) -> tuple[Token, ...]:
    """Words, numbers ("1.5", "1,5", ".5"), fractions ("5/8", "½"), signs and marks, in order.

    A comma between two digits without a blank is a decimal comma. ``+`` and ``-`` are signs where
    they stand before a number and after no word or number; a hyphen inside a word or between a
    number and a word only joins; between two numbers it makes a range, which is a ``bad_number``
    (one amount is wanted). "1-1/2" is the mixed number, not a range.
    """
    text = "".join(_SAME.get(c, c) for c in line)
    low = "".join(c.lower() if len(c.lower()) == 1 else c for c in text)
    tokens: list[Token] = []
    i = 0
    quoted = False
    while i < len(low):
        c = low[i]
        if c.isspace():
            i += 1
        elif _starts_number(low, i):
            token = _number(low, i)
            tokens.append(token)
            i = token.end
        elif c in _GLYPHS:
            tokens.append(Token("fraction", c, i, i + 1, Fraction(*_GLYPHS[c])))
            i += 1
        elif c.isnumeric():
            j = i
            while j < len(low) and low[j].isnumeric() and low[j] not in _DIGITS:
                j += 1
            tokens.append(Token("bad_number", low[i:j], i, j))
            i = j
        elif c.isalpha():
            j = i + 1
            while j < len(low) and (low[j].isalpha() or _apostrophe_inside(low, j)):
                j += 1
            tokens.append(Token("word", low[i:j], i, j))
            i = j
        elif c in "+-":
            sort = _sign_or_mark(low, i)
            if sort is not None:
                tokens.append(Token(sort, c, i, i + 1))
            i += 1
        else:
            mark = _quote(c, tokens, i, quoted)
            if c == '"' and mark != c:
                quoted = not quoted
            tokens.append(Token("mark", mark, i, i + 1))
            i += 1
    return tuple(_ranges(tokens, low))


def _quote(c: str, tokens: list[Token], i: int, quoted: bool) -> str:
    """An inch or foot mark right behind a number; else a quotation mark, which says nothing."""
    behind = bool(tokens) and tokens[-1].value is not None and tokens[-1].end == i
    if c == '"':
        return c if behind and not quoted else "'"
    if c == "'" and behind:
        return "foot"
    return c


def _apostrophe_inside(s: str, j: int) -> bool:
    return s[j] == "'" and j + 1 < len(s) and s[j + 1].isalpha()


def _starts_number(s: str, i: int) -> bool:
    if s[i] in _DIGITS:
        return True
    before = s[i - 1] if i else " "
    return s[i] == "." and i + 1 < len(s) and s[i + 1] in _DIGITS and before not in _DIGITS


def _run(s: str, i: int) -> int:
    while i < len(s) and s[i] in _DIGITS:
        i += 1
    return i


def _number(s: str, i: int) -> Token:
    j = _run(s, i)
    if s[j : j + 1] == "/" and s[j + 1 : j + 2] in _DIGITS and j > i:
        k = _run(s, j + 1)
        over, under = int(s[i:j]), int(s[j + 1 : k])
        if under == 0:
            return Token("bad_number", s[i:k], i, k)
        return Token("fraction", s[i:k], i, k, Fraction(over, under))
    if s[j : j + 1] in {".", ","} and s[j + 1 : j + 2] in _DIGITS:
        k = _run(s, j + 1)
        return Token("number", s[i:k], i, k, Fraction("0" + s[i:k].replace(",", ".")))
    if s[j : j + 2] in {"st", "nd", "rd", "th"} and not s[j + 2 : j + 3].isalpha():
        return Token("bad_number", s[i : j + 2], i, j + 2)
    return Token("number", s[i:j], i, j, Fraction(int(s[i:j])))


def _sign_or_mark(s: str, i: int) -> TokenSort | None:
    before = s[i - 1] if i else " "
    after = s[i + 1] if i + 1 < len(s) else " "
    if before.isalpha() and after.isalpha() and s[i] == "-":
        return None  # side-seam
    if (before.isnumeric() and after.isalpha()) and s[i] == "-":
        return None  # 5-mm
    if before.isspace() or before in "(,;:/":
        rest = s[i + 1 :].lstrip()
        if s[i] == "+" and _number_follows(rest):
            return "sign"
        if s[i] == "-" and not after.isspace() and _number_follows(rest):
            return "sign"
    return "mark"


def _number_follows(rest: str) -> bool:
    if not rest:
        return False
    if rest[0].isnumeric() or (rest[0] == "." and rest[1:2] in _DIGITS):
        return True
    word = rest.split()[0] if rest.split() else ""
    return word.rstrip(",.;:") in {"half", "quarter", "one", "two", "three", "four", "five"}


def _ranges(tokens: list[Token], s: str) -> list[Token]:
    """Join number-hyphen-number into one token; "1-1/2" stays a mixed number."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        if (
            i + 2 < len(tokens)
            and tokens[i].value is not None
            and tokens[i + 1].text == "-"
            and tokens[i + 2].value is not None
            and tokens[i + 2].start - tokens[i].end == 1
        ):
            first, last = tokens[i], tokens[i + 2]
            mixed = first.sort == "number" and last.sort == "fraction" and _proper(last)
            if mixed and first.value is not None and first.value.denominator == 1:
                out.extend((first, last))
            else:
                out.append(Token("bad_number", s[first.start : last.end], first.start, last.end))
            i += 3
        else:
            out.append(tokens[i])
            i += 1
    return out


def _proper(token: Token) -> bool:
    return token.value is not None and 0 < token.value < 1
