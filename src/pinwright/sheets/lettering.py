"""Words on paper: which letters the built-in type can print, and how wide they run.

PDF sheets use the Helvetica every PDF reader has, with the 1252 code page: western European
accents print as they are; other letters lose their accent (Ł becomes L) or, failing that, print
as "?". SVG sheets carry the words unchanged.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from reportlab.pdfbase.pdfmetrics import stringWidth

REGULAR, BOLD_FACE = "Helvetica", "Helvetica-Bold"

_PLAIN = {
    "−": "-", "→": "to", "≥": ">=", "≤": "<=", "′": "'", "″": '"', "Ł": "L", "ł": "l",
    "Đ": "D", "đ": "d", "ı": "i", "½": "½", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "\u202f": " ", "\u2009": " ",
}  # fmt: skip

AMOUNT = re.compile(r"(?<=\d) (?=\d+/\d+\b)|(?<=\d) (?=(?:cm|mm|in|kg|lb)\b|%)")
"""The spaces within an amount, at which no line is broken: "26 3/8 in", "0.5 %"."""


def printable(text: str) -> str:
    """The text as the built-in type can print it."""
    return "".join(_letter(c) for c in unicodedata.normalize("NFC", text))


@lru_cache(maxsize=4096)
def _letter(c: str) -> str:
    c = _PLAIN.get(c, c)
    try:
        c.encode("cp1252")
    except UnicodeEncodeError:
        base = unicodedata.normalize("NFKD", c).encode("ascii", "ignore").decode()
        return base or "?"
    return c if c.isprintable() else " "


@lru_cache(maxsize=8192)
def width_of(text: str, size: float, bold: bool = False) -> float:
    """How wide a line of text runs, in the unit of ``size``."""
    return float(stringWidth(printable(text), BOLD_FACE if bold else REGULAR, 1000.0)) * size / 1000


def wrapped(text: str, size: float, width: float, bold: bool = False) -> list[str]:
    """The text broken at spaces into lines no wider than ``width``.

    An amount stays with its unit. A word that is wider by itself is broken after a hyphen, or where
    it must be.
    """
    lines: list[str] = []
    for word in _words(text, size, width, bold):
        first, *rest = _cut(word, size, width, bold)
        if lines and width_of(f"{lines[-1]} {first}", size, bold) <= width:
            lines[-1] += f" {first}"
        else:
            lines.append(first)
        lines += rest
    return lines or [""]


def _words(text: str, size: float, width: float, bold: bool) -> Iterator[str]:
    """The words of a text, an amount that has room in ``width`` being one word."""
    for joined in AMOUNT.sub("\0", text).split():
        word = joined.replace("\0", " ")
        if width_of(word, size, bold) <= width:
            yield word
        else:
            yield from joined.split("\0")


def _cut(word: str, size: float, width: float, bold: bool) -> list[str]:
    """A word in parts no wider than ``width``; one letter at least."""
    if len(word) < 2 or width_of(word, size, bold) <= width:
        return [word]
    fits = max(
        (k for k in range(1, len(word)) if width_of(word[:k], size, bold) <= width), default=1
    )
    at = word.rfind("-", 1, fits) + 1 or fits
    return [word[:at], *_cut(word[at:], size, width, bold)]
