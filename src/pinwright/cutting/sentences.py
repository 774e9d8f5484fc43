"""Small helpers for sentences a cutter reads."""

from __future__ import annotations

from collections.abc import Sequence


def listed(words: Sequence[str]) -> str:
    """Words as they are said one after another: "front, back and sleeve"."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def capital(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]


def small(text: str) -> str:
    """The text with a small letter first, to go on within a sentence."""
    return text[:1].lower() + text[1:]
