"""The fly: facing and shield from the finished front. All in cm.

Women's trousers lap right over left: the facing turns in on the right front, the shield stands
under it on the left (common practice).
"""

from __future__ import annotations

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece

FACING_WIDTH = 4.0
SHIELD_WIDTH = 4.5
FACING_BELOW = 1.0
"""How far the facing goes on below the end of the fly."""
SHIELD_BELOW = 2.0


def fly_length(front: Piece) -> float:
    """Length of the fly along the centre front, from the waist seam."""
    edge = front.edge("centre")
    return edge.runs[0].cumulative[edge.stations["fly_end"][1]]


def _centre(front: Piece, below: float) -> Path:
    edge = front.edge("centre")
    end = fly_length(front) + below
    if not end < edge.length - 0.5:
        raise DraftError(
            f"{front.title}: the fly ends {edge.length - end + below:.1f} cm above the fork; "
            f"at least {below + 0.5:.1f} cm are needed."
        )
    return edge.runs[0].between(0.0, end)


def _top(front: Piece, width: float) -> Path:
    """The waist from ``width`` beside the centre to the centre."""
    run = front.edge("waist").runs[-1]
    return run.between(max(0.0, run.length - width), run.length)


def _across(front: Piece) -> Array:
    """Unit direction from the centre line into the front at the waist, (2,)."""
    down = front.edge("centre").runs[0].start_tangent
    return np.array([-down[1], down[0]])


def fly_facing(front: Piece) -> Piece:
    """The facing: along the centre front, its free edge parallel and rounded to the fly's end."""
    centre = _centre(front, FACING_BELOW)
    top = _top(front, FACING_WIDTH)
    down = centre.start_tangent
    straight = max(2.0, fly_length(front) - 4.5)
    turn = top.start + down * straight
    under = Path.hermite(centre.end, _across(front), turn, -down, 0.45, 0.55)
    free = Path.line(turn, top.start)
    return Piece(
        "fly_facing",
        "fly facing (right front)",
        (
            Edge("centre", "waist_centre", "fly_foot", (centre,)),
            Edge("under", "fly_foot", "fly_turn", (under,)),
            Edge("free", "fly_turn", "waist_inner", (free,)),
            Edge("waist", "waist_inner", "waist_centre", (top,)),
        ),
        _grain(centre, _across(front), 0.5 * FACING_WIDTH),
        cut="single",
        layer="shell",
        home=front.home,
        follows=front.name,
    )


def fly_shield(front: Piece) -> Piece:
    """The shield: double, cut on the fold that stands ``SHIELD_WIDTH`` inside the centre front."""
    centre = _centre(front, SHIELD_BELOW)
    across, down = _across(front), centre.start_tangent
    corner = centre.start + SHIELD_WIDTH * across
    foot = corner + down * float((centre.end - corner) @ down)
    return Piece(
        "fly_shield",
        "fly shield (left front)",
        (
            Edge("centre", "waist_centre", "shield_foot", (centre,)),
            Edge("under", "shield_foot", "fold_foot", (Path.line(centre.end, foot),)),
            Edge("fold", "fold_foot", "fold_top", (Path.line(foot, corner),), allowance=0.0),
            Edge("waist", "fold_top", "waist_centre", (Path.line(corner, centre.start),)),
        ),
        _grain(centre, across, 0.5 * SHIELD_WIDTH),
        cut="fold",
        fold="fold",
        home=front.home,
        follows=front.name,
    )


def _grain(centre: Path, across: Array, beside: float) -> Array:
    down = centre.start_tangent
    start = centre.start + beside * across + 2.0 * down
    return np.stack([start + 0.5 * centre.length * down, start])
