"""The trouser front: crease upright at x = 0, centre at the left, side at the right. All in cm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.draft.blocks import trouser_rules as rules
from pinwright.draft.blocks.trouser_crotch import Crotch, Fork, Limits, crotch_line
from pinwright.draft.blocks.trouser_leg import Inseam, SideSeam, inseam, leftwards_square, side_seam
from pinwright.draft.blocks.trouser_plan import TrouserPlan
from pinwright.draft.blocks.trouser_waist import waist_ends, waist_without_darts
from pinwright.draft.features.waist_dart import Waist, WaistDart, waist_with_darts
from pinwright.pattern.piece import Array

HOLLOW = 0.62
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
    to = Fork((centre_x, p.hip_y), leg.fork, leftwards_square(leg.fork_slope), 0.0)

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
            to,
            lean,
            HOLLOW,
            float(side.waist[1]),
            HEIGHTS,
            "front_crotch_length",
        )

    darts_wanted = rules.front_darts(intake, centre_in) if darts else ()
    side_in = intake - centre_in - sum(darts_wanted)
    if darts_wanted:
        side, crotch = attempt(side_in)
        wanted = front_darts(side.waist, crotch.waist, darts_wanted, p.side_top)
        waist = waist_with_darts(*waist_ends(side, crotch), wanted, sewn)
    else:
        side, crotch, waist = waist_without_darts(attempt, side_in, sewn)
    return Half(side, leg, crotch, waist, centre_x)


def front_darts(
    side: Array, centre: Array, intakes: tuple[float, ...], side_top: float
) -> list[WaistDart]:
    """The front dart stands on the crease (BLOCK); a second one half way from there to the side."""
    size = rules.dart_lengths(side_top)[0]
    places = [(0.0, "front dart")]
    if len(intakes) == 2:
        places.insert(0, (0.5 * float(side[0]), "front dart outer"))
    return [
        WaistDart(
            name,
            np.array([x, _between(side, centre, x) - size]),
            np.array([0.0, 1.0]),
            intake,
            size,
            "front_waist_dart",
        )
        for (x, name), intake in zip(places, intakes, strict=True)
    ]


def _between(side: Array, centre: Array, x: float) -> float:
    """Height at ``x`` of the straight line from centre to side."""
    (x0, y0), (x1, y1) = centre.tolist(), side.tolist()
    return float(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
