"""Signs as they are told wherever a person reads them: in the terminal, on paper, on the page."""

from __future__ import annotations

from pinwright.cutting.sentences import capital, small
from pinwright.drape.reading.sign import Cause, Sign

NONE = "No sign of a fault."
WATCHED = "To be watched"
DOUBTED = "Do not go by what follows."


def sign_words(sign: Sign) -> str:
    """A sign in a sentence, with the numbers of the folds that show it on the pictures."""
    seen = f" ({sign.pictured} on the pictures)" if sign.folds else ""
    return f"{capital(sign.says)}{seen}."


def may_need(cause: Cause) -> str:
    """The correction that may remove a sign, and what it is for, in a sentence."""
    return f"It may need: {small(cause.title)} ({cause.kind}), for “{cause.sign}”."
