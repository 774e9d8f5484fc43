"""Facings: what is turned in at the front edge."""

from __future__ import annotations

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece, edge

AT_HEM, AT_SHOULDER = 7.0, 4.0
"""Width of the front facing beyond the centre front at the hem and along the shoulder, cm."""


def front_facing(front: Piece) -> Piece:
    """The front facing: it repeats the front edge, stand and neckline, and is cut to an inner edge.

    Width 7 at the hem and 4 along the shoulder (common practice). The edges sewn to the front are
    the front's own, so they follow whatever was done to it.
    """
    hem, shoulder = front.edge("hem").runs[0], front.edge("shoulder").runs[-1]
    stand = float(front.point("neck_centre")[0] - front.point("front_top")[0])
    below = hem.between(0.0, min(AT_HEM + stand, 0.6 * hem.length))
    whole = shoulder.length
    above = shoulder.between(max(whole - AT_SHOULDER, 0.3 * whole), whole)
    foot, top = below.end, above.start
    t = above.start_tangent
    rise = float(top[1] - foot[1])
    square = np.array([t[1], -t[0]])
    # straight up from the hem, then out to the shoulder, square to it
    reach = max(float(top[0] - foot[0]), 0.0) / max(float(square[0]), 0.2)
    reach = min(max(reach, 0.15 * rise), 0.4 * rise)
    inner = Path.cubic(foot, foot + np.array([0.0, 0.5 * rise]), top - reach * square, top)
    turned = front.edge("hem")
    return Piece(
        "front_facing",
        "Front facing",
        (
            front.edge("front_edge"),
            edge(
                "hem",
                "hem_front",
                below,
                "facing_hem",
                allowance=turned.allowance,
                reserve=turned.reserve,
                least=turned.least,
            ),
            edge("inner", "facing_hem", inner, "facing_shoulder"),
            edge("shoulder", "facing_shoulder", above, "neck_point"),
            front.edge("neck"),
            front.edge("stand_top"),
        ),
        grain=foot + np.array([[-3.0, 6.0], [-3.0, 26.0]]),
        cut="pair",
        layer="facing",
        home="front",
        follows="front",
        stage="after",
    )
