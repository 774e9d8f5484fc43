"""The in-seam side pocket: where its opening lies on the side seam. All in cm."""

from __future__ import annotations

from pinwright.errors import DraftError
from pinwright.pattern.piece import Line, Piece

OPENING = "pocket opening"
"""Name of the line that marks the opening on the front."""

LEAST_TOP = 1.5
"""Least distance of the opening's top from the waist seam, so that a bar tack can be set."""


def opening(front: Piece, top_above_hip: float, length: float) -> Line:
    """The opening, lying exactly on the front's side seam.

    Args:
        front: a piece with an edge "side" that runs upwards and has a station "hip".
        top_above_hip: how far its top lies above the hip station, along the seam.
        length: length of the opening, along the seam.

    Raises:
        DraftError: the opening does not lie on the seam below the waist.
    """
    side = front.edge("side")
    (seam,) = side.runs
    top = side.distance("hip") + top_above_hip
    room = seam.length - top
    if room < LEAST_TOP - 1e-9 or top - length < 1.0:
        raise DraftError(
            f"{front.title}: a pocket opening of {length:.1f} cm whose top is {room:.1f} cm below "
            f"the waist seam does not fit; leave at least {LEAST_TOP:.1f} cm above it."
        )
    return Line(OPENING, "opening", seam.between(top - length, top))
