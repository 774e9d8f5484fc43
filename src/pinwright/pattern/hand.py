"""Right or left: which hand of a pair a piece's drawing is."""

from __future__ import annotations

from typing import Literal

from pinwright.pattern.piece import Piece


def as_drawn(piece: Piece) -> Literal["right", "left"]:
    """Which side's piece the drawing is, seen from the right side of the cloth.

    Centre at the left and side seam at the right is the left front and the right back; a sleeve
    with its back at the left is the right sleeve.
    """
    return "left" if piece.home.startswith(("front", "fly")) else "right"
