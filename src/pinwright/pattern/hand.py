"""Right or left: which hand of a pair a piece's drawing is."""

from __future__ import annotations

from typing import Literal

from pinwright.pattern.piece import Layer, Piece

INWARD: tuple[Layer, ...] = ("facing", "lining")
"""Worn with the right side towards the body."""


def as_drawn(piece: Piece) -> Literal["right", "left"]:
    """Which side's piece the drawing is, seen from the right side of the cloth.

    Centre at the left and side seam at the right is the left front and the right back; a sleeve
    with its back at the left is the right sleeve. A facing or lining is worn with its right side
    inwards, so that its drawing, seen from it, is the other side's.
    """
    left = piece.home.startswith(("front", "fly"))
    return "left" if left != (piece.layer in INWARD) else "right"
