"""The patch pocket as a piece, from the lines drawn for it on the front."""

from __future__ import annotations

import numpy as np

from pinwright.draft.features.patch_pocket import OPENING, POCKET
from pinwright.pattern.piece import Piece, edge

TURN_IN = 3.0
"""Hem turned in at a pocket's opening, cm (common practice)."""


def patch_pocket(front: Piece) -> Piece:
    """The pocket: stitched along the front's line, hemmed at its opening.

    Raises:
        KeyError: the front has no patch pocket.
    """
    opening, stitch = front.line(OPENING).path, front.line(POCKET).path
    middle = (opening.start + opening.end) / 2.0
    down = np.array([opening.end[1] - opening.start[1], opening.start[0] - opening.end[0]])
    down = down / float(np.hypot(*down))
    return Piece(
        "patch_pocket",
        "Patch pocket",
        (
            edge("stitched", "opening_front", stitch, "opening_side"),
            edge("opening", "opening_side", opening.reversed(), "opening_front", allowance=TURN_IN),
        ),
        grain=np.array([middle + 11.0 * down, middle + 2.0 * down]),
        cut="pair",
        home="front",
        follows="front",
        stage="after",
    )
