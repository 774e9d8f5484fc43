"""Our bodice and sleeve beside the handbooks', on the same measures, point by point."""

from __future__ import annotations

from dataclasses import replace
from math import asin, degrees, hypot

import numpy as np

from pinwright.draft import style
from pinwright.draft.blocks.bodice import bodice
from pinwright.draft.blocks.jacket import Ease, jacket_plan
from pinwright.geometry.motion import Motion
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record

from .handbook import BunkaBlock, school_sleeve, triangle_width
from .sewing import draft

HANDBOOK_EASE = Ease(
    bust=12.0,
    hip=6.0,
    waist=6.0,
    waist_in=0.0,
    shoulder=0.0,
    armhole=0.0,
    cap=(1 / 3, 1 / 3),
    upper_arm=(4.0, 20.0),
    wrist=8.0,
)
"""The handbook block's own ease: bust 12 round, waist 6, nothing at shoulder and armhole."""

Row = tuple[str, float, float]


def bodice_rows(bust: float, waist: float) -> list[Row]:
    """(point, handbook's, ours) in cm and degrees, for a client 160 tall with back length 38.

    Everything but height, bust, waist, hip and back length is estimated, as for any client who
    was measured no further.
    """
    book = BunkaBlock(bust, waist, 38.0)
    client = complete(
        read_record(
            {
                "height": 160.0,
                "bust_girth": bust,
                "waist_girth": waist,
                "hip_girth": bust + 7.0,
                "back_waist_length": 38.0,
            }
        )
    )
    plan = replace(jacket_plan(client, style("jacket").choose({})), ease=HANDBOOK_EASE)
    d = bodice(plan)
    back, front, level = d.back, d.front, d.levels
    neck_b, neck_f = back.neck.start, front.neck.start
    tip_b, tip_f = back.shoulder[0].start, front.shoulder.start
    under, closed = back.side[2].end, front.side_above.end
    before, after = front.side[2].end, front.side_above.start
    mouth = hypot(*(after - before))
    about_bust_point = 2 * degrees(asin(mouth / (2 * hypot(*(before - front.bust_point)))))
    # the front's underarm with its dart closed again
    sewn = Motion.rotation(-front.dart_angle, front.dart).apply(closed)
    half = float(under[0] + sewn[0])
    return [
        ("half width at the bust line", book.half_width, half),
        ("bust line below the back neck point", book.bust_line, level.nape - level.underarm),
        ("back width", book.back_width, back.over_back),
        ("front width", book.front_width, front.over_front),
        ("side seam from the centre back", book.side_from_centre_back, float(under[0])),
        ("back neck width", book.back_neck_width, float(neck_b[0])),
        ("back neck rise", book.back_neck_rise, float(neck_b[1]) - level.nape),
        ("front neck width", book.front_neck_width, float(neck_f[0])),
        ("front neck depth", book.front_neck_depth, float(neck_f[1] - front.neck.end[1])),
        (
            "front neck point above the bust line",
            book.front_rise,
            float(neck_f[1]) - level.underarm,
        ),
        ("front shoulder length", book.front_shoulder, front.shoulder.length),
        (
            "front shoulder end above the bust line",
            book.front_tip_above_bust_line,
            float(tip_f[1]) - level.underarm,
        ),
        (
            "back shoulder end above the bust line",
            book.back_tip_above_bust_line,
            float(tip_b[1]) - level.underarm,
        ),
        ("back shoulder end from the centre", book.back_tip_x, float(tip_b[0])),
        ("bust point from the centre", book.bust_point_x, float(front.bust_point[0])),
        (
            "shoulder dart intake",
            book.shoulder_dart,
            float(np.hypot(*(back.shoulder[0].end - back.shoulder[1].start))),
        ),
        ("bust dart about the bust point, degrees", book.bust_dart, about_bust_point),
        (
            "front armhole depth, dart in the side",
            book.front_armhole_depth_dart_in_side,
            float(tip_f[1] - closed[1]),
        ),
    ]


def sleeve_rows() -> list[Row]:
    """(size, handbook's, ours) of the loose jacket's sleeve of our test client, cm."""
    g = draft()
    hole, cap = g.facts["armhole"], g.facts["cap_height"]
    e = g.piece("sleeve").edge("cap")
    half_front = e.runs[0].cumulative[e.stations["shoulder"][1]]
    half_back = e.length - half_front
    height, width, _ = school_sleeve(hole)
    return [
        ("cap height, school sleeve", height, cap),
        ("cap height, shirt AH/6", hole / 6.0, cap),
        ("cap height, shirt AH/4", hole / 4.0, cap),
        ("cap height, AH/3 (set-in)", hole / 3.0, cap),
        ("cap height, AH/4 + 2.5 (old Bunka)", hole / 4.0 + 2.5, cap),
        ("sleeve width, school sleeve", width, g.facts["sleeve_width"]),
        (
            "sleeve width by the cap triangle at our cap height, half caps as sides",
            triangle_width(half_front, half_back, cap),
            g.facts["sleeve_width"],
        ),
    ]
