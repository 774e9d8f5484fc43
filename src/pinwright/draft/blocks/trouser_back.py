"""The trouser back: crease upright at x = 0, seat at the left, side at the right. All in cm."""

from __future__ import annotations

import numpy as np

from pinwright.draft.blocks import trouser_rules as rules
from pinwright.draft.blocks.trouser_crotch import Crotch, Fork, Limits, crotch_line
from pinwright.draft.blocks.trouser_front import Half
from pinwright.draft.blocks.trouser_leg import SideSeam, inseam, leftwards_square, side_seam
from pinwright.draft.blocks.trouser_plan import TrouserPlan
from pinwright.draft.blocks.trouser_waist import Top, waist_ends, waist_without_darts
from pinwright.draft.features.waist_dart import WaistDart, waist_with_darts
from pinwright.pattern.piece import Array

HOLLOW = 0.7
"""Usual hollowness of the seat curve: passes about 4.25 from the corner at hip 94 (BLOCK)."""

HEIGHTS = Limits(usual=(0.0, 4.5), most=(-3.0, 9.0))
"""Centre back over the side waist: BLOCK 2; a flat seat needs less, a full one more."""


def back(p: TrouserPlan, front: Half, darts: bool) -> Half:
    """Draw the back to the front it is sewn to.

    Raises:
        DraftError: measures from which no back can be drawn.
    """
    half = (p.back_hip + p.back_fork) / 2.0
    side_x = half - rules.crease_from_middle()
    centre_x = side_x - p.back_hip
    leg = inseam(
        (-p.back_hem, p.hem_y),
        (-p.back_knee, p.knee_y),
        (-half - rules.crease_from_middle(), p.crotch_y - 0.5),
        front.inseam,
        rules.INSEAM_STRETCH,
    )
    arrive = leftwards_square(leg.fork_slope)
    sewn = p.back_waist + p.back_gather
    intake = p.back_hip - sewn

    def seam(side_in: float) -> SideSeam:
        return side_seam(
            (p.back_hem, p.hem_y),
            (p.back_knee, p.knee_y),
            (side_x, p.hip_y),
            side_in,
            p.side_top,
            p.crotch_y,
            front.side,
        )

    def seat(side: SideSeam, lean: float) -> Crotch:
        return crotch_line(
            p.back_crotch,
            Fork(
                (centre_x, float(side.top.start[1])),
                leg.fork,
                arrive,
                p.ease.seat_above * p.side_top,
            ),
            lean,
            HOLLOW,
            float(side.waist[1]),
            HEIGHTS,
            "back_crotch_length",
        )

    def attempt(side_in: float) -> Top:
        side = seam(side_in)
        return side, seat(side, lean)

    side_in = rules.back_side_in(intake)
    side = seam(side_in)
    lean = 0.13
    for _ in range(2):
        across, up = (seat(side, lean).waist - side.waist).tolist()
        lean = rules.seat_angle(up, -across)
    crotch = seat(side, lean)
    centre_in = float(crotch.waist[0]) - centre_x
    intakes = rules.back_darts(intake - centre_in - side_in) if darts else ()
    if intakes:
        wanted = back_darts(side.waist, crotch.waist, intakes, p.side_top)
        waist = waist_with_darts(*waist_ends(side, crotch), wanted, sewn)
    else:
        side, crotch, waist = waist_without_darts(attempt, intake - centre_in, sewn)
    return Half(side, leg, crotch, waist, centre_x)


def back_darts(
    side: Array, centre: Array, intakes: tuple[float, ...], side_top: float
) -> list[WaistDart]:
    """Back darts square to the waist, at its middle or its thirds; the inner one is the longer.

    Source: BLOCK for lengths and number; thirds (sources 2.2, school draft).
    """
    outer_length, inner_length = rules.dart_lengths(side_top)
    chord = centre - side
    axis = np.array([chord[1], -chord[0]]) / float(np.hypot(*chord))
    places = [(0.5, "back dart", inner_length)]
    if len(intakes) == 2:
        places = [(1.0 / 3.0, "back dart", outer_length)]
        places.append((2.0 / 3.0, "back dart inner", inner_length))
    return [
        WaistDart(name, side + share * chord - size * axis, axis, intake, size, "back_waist_dart")
        for (share, name, size), intake in zip(places, intakes, strict=True)
    ]
