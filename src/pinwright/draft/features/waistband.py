"""The waistband: half of it, from centre front to centre back, straight or shaped. All in cm."""

from __future__ import annotations

from math import degrees

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Cut, Edge, Line, Piece, edge

STRAIGHT = 2e-6
"""A band whose two long edges differ by less than this is drawn straight."""


def waistband(
    front: float, back: float, depth: float, top: float | None = None, centre_back: str = "seam"
) -> Piece:
    """Half a waistband; its lower edge "seam" is sewn to the trousers.

    Args:
        front, back: length of the seam edge from centre front to side, and on to centre back.
        depth: depth of the finished band.
        top: length of the upper edge; None draws the band straight. A shaped band is part of a
            ring (the flattened strip of a cone): both long edges are arcs about one centre, the
            ends square to both.
        centre_back: "seam" or "fold".

    Raises:
        DraftError: a top edge the ring cannot have.
    """
    length = front + back
    if top is None or abs(top - length) < STRAIGHT:
        lower, upper = _straight(length, depth)
    else:
        lower, upper = _ring(length, top, depth)
    to_side, to_back = lower.split(front)
    end, start = lower.end, lower.start
    fold = centre_back == "fold"
    cut: Cut = "fold" if fold else "pair"
    edges: tuple[Edge, ...] = (
        edge("seam", "band_front", to_side, "side", to_back, "band_centre"),
        edge(
            "centre",
            *("band_centre", Path.line(end, upper.start), "top_centre"),
            reserve=0.0 if fold else 3.0,
        ),
        edge("top", "top_centre", upper, "top_front"),
        edge("front", "top_front", Path.line(upper.end, start), "band_front"),
    )
    side = lower.at(front)
    across = lower.normal(front) * depth
    across_line = Line("side", "balance", Path.line(side, side + across))
    return Piece(
        "band",
        "waistband",
        edges,
        np.array([[2.0, depth / 2.0], [min(12.0, 0.6 * length), depth / 2.0]]),
        cut=cut,
        fold="centre" if fold else None,
        lines=(across_line,),
        stage="after",
    )


def _straight(length: float, depth: float) -> tuple[Path, Path]:
    return Path.line((0.0, 0.0), (length, 0.0)), Path.line((length, depth), (0.0, depth))


def _ring(length: float, top: float, depth: float) -> tuple[Path, Path]:
    """Two arcs about one centre: radii in proportion to their lengths."""
    if not 0.6 * length < top < 1.4 * length:
        raise DraftError(
            f"waistband: an upper edge of {top:.1f} cm does not go with a lower one of "
            f"{length:.1f} cm; it may be {0.6 * length:.1f} to {1.4 * length:.1f} cm."
        )
    radius = depth * length / abs(length - top)
    turn = degrees(length / radius)
    if top < length:  # narrower above: the ring opens upwards
        centre, inner = (0.0, radius), radius - depth
        return (
            Path.arc(centre, radius, -90.0, turn),
            Path.arc(centre, inner, -90.0 + turn, -turn),
        )
    centre, outer = (0.0, -radius), radius + depth
    return Path.arc(centre, radius, 90.0, -turn), Path.arc(centre, outer, 90.0 - turn, turn)
