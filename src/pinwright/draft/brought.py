"""The style of garments brought in from old paper patterns: they are read, never drafted."""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.draft.style import Choices, Style
from pinwright.errors import DraftError
from pinwright.measures.estimate import Body
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

NAME = "brought"


def block(body: Body, choices: Choices) -> Garment:
    """There is no rule to draft it by.

    Raises:
        DraftError: always.
    """
    raise DraftError(
        "A garment of the style brought has no drafting rules; its pieces must stand in the order, "
        "as `pinwright bring-in` writes them. Restore the order from a copy or bring them in again."
    )


def finish(garment: Garment, body: Body, choices: Choices) -> Garment:
    """Nothing is added."""
    return garment


def derive(pieces: Mapping[str, Piece], garment: Garment) -> tuple[Piece, ...]:
    """No piece follows by rule."""
    return ()


STYLE = Style(
    name=NAME,
    title="brought-in pattern",
    summary="Pieces of an old pattern, brought in from a drawing or a photograph.",
    choices=(),
    measures=(),
    block=block,
    finish=finish,
    derive=derive,
)
