"""The trouser front: crease upright at x = 0, centre at the left, side at the right. All in cm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from pinwright.draft.blocks import trouser_rules as rules
from pinwright.draft.blocks.trouser_crotch import Crotch, Limits, crotch_curve, crotch_line
from pinwright.draft.blocks.trouser_leg import Inseam, SideSeam, inseam, leftwards_square, side_seam
from pinwright.draft.blocks.trouser_plan import TrouserPlan
from pinwright.draft.blocks.trouser_waist import waist_ends, waist_without_darts
from pinwright.draft.features.waist_dart import Waist, WaistDart, waist_with_darts

HOLLOW = 0.56
"""Usual hollowness of the front crotch curve: passes about 3 from the corner at hip 94 (BLOCK)."""

HEIGHTS = Limits(usual=(-2.5, 1.0), most=(-6.0, 5.0))
"""Centre front over the side waist: usually level or up to 2.5 lower (common practice)."""


@dataclass(frozen=True, slots=True)
class Half:
    """The net lines of a front or back; ``centre_x`` where its centre or seat line cuts the hip."""

    side: SideSeam
    inseam: Inseam
    crotch: Crotch
    waist: Waist
    centre_x: float


def front(p: TrouserPlan, darts: bool) -> Half:
    """Draw the front from the plan.

    Raises:
        DraftError: measures from which no front can be drawn.
    """
    half = (p.front_hip + p.front_fork) / 2.0
    side_x = half - rules.crease_from_middle()
    centre_x = side_x - p.front_hip
    leg = inseam(
        (-p.front_hem, p.hem_y),
        (-p.front_knee, p.knee_y),
        (-half - rules.crease_from_middle(), p.crotch_y),
    )
    sewn = p.front_waist + p.front_gather
    intake = p.front_hip - sewn
    centre_in = rules.front_centre_in(intake)
    lean = centre_in / p.side_top
    hip = (centre_x, p.hip_y)
    curve = partial(crotch_curve, hip, lean, leg.fork, leftwards_square(leg.fork_slope))

    def attempt(side_in: float) -> tuple[SideSeam, Crotch]:
        side = side_seam(
            (p.front_hem, p.hem_y),
            (p.front_knee, p.knee_y),
            (side_x, p.hip_y),
            side_in,
            p.side_top,
            p.crotch_y,
        )
        return side, crotch_line(
            p.front_crotch,
            hip,
            lean,
            curve,
            HOLLOW,
            float(side.waist[1]),
            HEIGHTS,
            "front_crotch_length",
        )

    dart = rules.front_dart(intake) if darts else 0.0
    side_in = intake - centre_in - dart
    if dart > 0.0:
        side, crotch = attempt(side_in)
        wanted = _front_dart(side.waist, crotch.waist, dart, p.side_top)
        waist = waist_with_darts(*waist_ends(side, crotch, lean), [wanted], sewn)
    else:
        side, crotch, waist = waist_without_darts(attempt, lean, side_in, sewn)
    return Half(side, leg, crotch, waist, centre_x)


def _front_dart(
    side: np.ndarray, centre: np.ndarray, intake: float, side_top: float
) -> WaistDart:
    """The front dart stands on the crease (BLOCK)."""
    length = rules.dart_lengths(side_top)[0]
    top = float(np.interp(0.0, [centre[0], side[0]], [centre[1], side[1]]))
    return WaistDart(
        "front dart",
        np.array([0.0, top - length]),
        np.array([0.0, 1.0]),
        intake,
        length,
        "front_waist_dart",
    )
