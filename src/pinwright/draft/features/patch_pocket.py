"""What is placed on the front: the patch pocket and the buttons."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pinwright.draft.blocks.bodice_curves import vec
from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Line, Mark, Piece

OPENING, POCKET = "patch_pocket_opening", "patch_pocket"
ROUND = 1.8
"""Radius of a pocket's lower corners, cm."""

CLEAR_OF_HEM, CLEAR_OF_CENTRE, CLEAR_OF_SIDE = 5.0, 2.5, 1.5
"""Least distances, cm: the pocket stays clear of the turned-up hem, the buttons and the side."""


def with_patch_pocket(front: Piece, width: float, below_waist: float) -> Piece:
    """The front with a patch pocket drawn on it: its opening, and the line it is stitched along.

    Args:
        front: the front piece.
        width: of the pocket, cm; it is 2 cm deeper than wide where the jacket is long enough.
        below_waist: height of the opening below the waist, cm.

    The pocket is centred a little behind the bust point, where the hand finds it (common
    practice), and kept clear of centre front, side and hem.

    Raises:
        DraftError: the front is too small for the pocket.
    """
    side = min(float(front.point("side:waist")[0]), float(front.point("side:hip")[0]))
    hem = float(front.point("hem_front")[1])
    room = side - CLEAR_OF_SIDE - CLEAR_OF_CENTRE
    depth = min(width + 2.0, -below_waist - hem - CLEAR_OF_HEM)
    if room < width or depth < 0.6 * width:
        raise DraftError(
            f"jacket: a patch pocket {width:g} cm wide and {0.6 * width:.1f} cm deep does not fit "
            f"below the waist of a front {side:.1f} cm wide with its hem {-hem:.1f} cm below the "
            "waist; choose a smaller pocket_width or a longer jacket."
        )
    centre = float(front.mark("bust point").at[0]) + 1.0
    x0 = min(max(centre - width / 2.0, CLEAR_OF_CENTRE), side - CLEAR_OF_SIDE - width)
    x1, y1 = x0 + width, -below_waist
    y0 = y1 - depth
    stitch = (
        Path.line((x0, y1), (x0, y0 + ROUND))
        + Path.arc((x0 + ROUND, y0 + ROUND), ROUND, 180.0, 90.0)
        + Path.line((x0 + ROUND, y0), (x1 - ROUND, y0))
        + Path.arc((x1 - ROUND, y0 + ROUND), ROUND, 270.0, 90.0)
        + Path.line((x1, y0 + ROUND), (x1, y1))
    )
    return replace(
        front,
        lines=(
            *front.lines,
            Line(OPENING, "opening", Path.line((x0, y1), (x1, y1))),
            Line(POCKET, "stitch", stitch),
        ),
        marks=(
            *front.marks,
            Mark("pocket corner front", "corner", vec(x0, y1)),
            Mark("pocket corner side", "corner", vec(x1, y1)),
        ),
    )


def with_buttons(front: Piece, count: int, below_neck: float, hip: float) -> Piece:
    """The front with buttons down its centre front, the last a hand above the hip level.

    Evenly spaced; ``below_neck`` is the first one's distance below the neckline, cm.
    """
    top = float(front.point("neck_centre")[1]) - below_neck
    heights = np.linspace(top, hip + 6.0, count)
    marks = tuple(
        Mark(f"button {i + 1}", "button", vec(0.0, float(y))) for i, y in enumerate(heights)
    )
    return replace(front, marks=(*front.marks, *marks))
