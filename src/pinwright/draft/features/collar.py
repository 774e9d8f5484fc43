"""The one-piece shirt collar, drafted to the real neckline."""

from __future__ import annotations

from math import cos, degrees, pi, sin

import numpy as np

from pinwright.draft.blocks.bodice_curves import vec
from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Line, Piece, edge
from pinwright.pattern.seam import Corner, Give, Junction, Ref, Seam, Station, Stretch

STAND_SHARE = 0.42
"""Share of the collar's width at centre back that stands; the rest falls (common practice)."""


def spread(stand: float, fall: float) -> float:
    """How much longer half the outer edge must be than half the neck edge, cm.

    The fall reaches ``fall - stand`` beyond the neck seam; half the neck turns through a quarter
    circle behind, and the shoulders' slope gives back about half: (fall - stand) * pi / 4
    (common practice, from memory).
    """
    return (fall - stand) * pi / 4.0


def collar(front_neck: float, back_neck: float, width: float, point: float) -> Piece:
    """Half the collar with its centre back on the fold.

    Args:
        front_neck: length of the front neckline from the centre front to the shoulder, cm.
        back_neck: length of the back neckline from the shoulder to the centre back, cm.
        width: at the centre back, cm.
        point: how far the collar's point reaches beyond a square front end, cm.

    The neck edge is an arc exactly as long as the neckline, level at the centre back; it drops
    to the front as far as the outer edge needs (:func:`spread`).

    Raises:
        DraftError: a neckline too short for a collar of that width.
    """
    length = front_neck + back_neck
    stand = STAND_SHARE * width
    angle = spread(stand, width - stand) / width
    if length < 1.5 * width:
        raise DraftError(
            f"jacket: half the neckline is {length:.1f} cm, too short for a collar {width:g} cm "
            "wide; check neck_base_girth."
        )
    radius = length / angle
    arc = Path.arc((0.0, -radius), radius, 90.0 + degrees(angle), -degrees(angle))
    # an arc of cubics is a hair off the circle's length: put that into the radius
    radius *= length / arc.length
    neck = Path.arc((0.0, -radius), radius, 90.0 + degrees(angle), -degrees(angle))
    front, back = neck.split(front_neck)
    start, top = neck.start, vec(0.0, float(neck.end[1]) + width)
    along, up = vec(cos(angle), sin(angle)), vec(-sin(angle), cos(angle))
    tip = start + (width + 0.3 * point) * up - point * along
    reach = float(np.hypot(*(top - tip)))
    outer = Path.cubic(top, top - vec(0.42 * reach, 0.0), tip + 0.30 * reach * along, tip)
    fold_y = float(neck.end[1]) + stand
    return Piece(
        "collar",
        "Collar",
        (
            edge("neck", "neck_front", front, "shoulder", back, "neck_centre"),
            edge(
                "centre",
                "neck_centre",
                Path.line(neck.end, top),
                "outer_centre",
                allowance=0.0,
                least=0.0,
            ),
            edge("outer", "outer_centre", outer, "collar_point"),
            edge("front", "collar_point", Path.line(tip, start), "neck_front"),
        ),
        grain=np.array([[-3.0, fold_y - 2.0], [-3.0, fold_y + 3.0]]),
        cut="fold",
        lines=(
            Line(
                "roll",
                "fold",
                Path.cubic(
                    vec(0.0, fold_y),
                    vec(-0.45 * length, fold_y),
                    start + 0.3 * length * along + 0.5 * stand * up,
                    start,
                ),
            ),
        ),
        fold="centre",
        stage="after",
        fall=True,
    )


def neck_seam(upper: str) -> Seam:
    """The collar to the neckline from the front end to the centre back; ``upper`` has the neck."""
    return Seam(
        "neck",
        "neck",
        (Ref("collar", "neck"),),
        (Ref("front", "neck", reverse=True), Ref(upper, "neck")),
        (
            Station("front", "neck_front", "front.neck_centre"),
            Station("shoulder", "shoulder", "front.neck_point", 1),
            Station("centre_back", "neck_centre", f"{upper}.neck_centre"),
        ),
        (Stretch(), Stretch()),
        anchor="front",
        gives=(Give("a", "end", 1),),
        title="neck seam",
    )


def collar_junctions() -> tuple[Junction, ...]:
    """The collar's edges are square to its fold."""
    return (
        Junction("collar neck at the fold", Corner("collar", "neck", "centre"), angle=90.0),
        Junction("collar edge at the fold", Corner("collar", "outer", "centre"), angle=90.0),
    )
