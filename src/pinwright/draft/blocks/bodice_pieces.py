"""Back and front of the jacket as pieces: edges with stations, darts, lines and marks."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pinwright.draft.blocks.bodice import BackDraft, FrontDraft, Levels
from pinwright.draft.features.bust_dart import turned_to_armhole
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Dart, Edge, Line, Mark, Mouth, Piece, edge

SIDE_RESERVE_BACK, SIDE_RESERVE_FRONT = 2.0, 1.0
SHOULDER_RESERVE_BACK = 1.5
ARMHOLE_RESERVE = 0.5
HEM_TURN_UP, HEM_RESERVE, HEM_LEAST = 4.0, 3.0, 1.5
"""Allowances and reserves in cm (common practice; sources 3.5)."""


def hem_edge(start: str, path: Path, end: str) -> Edge:
    """A hem with the allowance that is turned up and the reserve below it."""
    return edge(
        "hem", start, path, end, allowance=HEM_TURN_UP, reserve=HEM_RESERVE, least=HEM_LEAST
    )


def upright(
    name: str, x: float, stops: tuple[tuple[str, float], ...], allowance: float, least: float
) -> Edge:
    """An upright edge through named heights, from the first to the last."""
    parts: list[str | Path | Mouth] = [stops[0][0]]
    for (_, y0), (stop, y1) in pairwise(stops):
        parts += [Path.line((x, y0), (x, y1)), stop]
    return edge(name, *parts, allowance=allowance, least=least)


def level_line(name: str, y: float, x0: float, x1: float) -> Line:
    """A balance line across a piece at a height."""
    return Line(name, "balance", Path.line((x0, y), (x1, y)))


def back_piece(d: BackDraft, levels: Levels, mouth: float) -> Piece:
    """The back, cut on the fold, with its shoulder dart.

    ``mouth`` is the distance above the waist along the side seam where the bust dart's lower leg
    meets it: there the bust is measured. The station "yoke" of the armhole and "blade" of the
    centre are where a yoke would part it.
    """
    to_bust, above = d.side[2].split(mouth)
    bust_y = float(to_bust.end[1])
    under, notch = d.side[2].end, d.armhole[0].end
    edges = (
        upright(
            "centre",
            0.0,
            (
                ("neck_centre", float(d.neck.end[1])),
                ("blade", d.blade),
                ("underarm_level", float(under[1])),
                ("bust", bust_y),
                ("waist", 0.0),
                ("hip", levels.hip),
                ("hem_centre", float(d.hem.start[1])),
            ),
            allowance=0.0,
            least=0.0,
        ),
        hem_edge("hem_centre", d.hem, "hem_side"),
        edge(
            "side",
            "hem_side",
            d.side[0],
            "hip",
            d.side[1],
            "waist",
            to_bust,
            "bust",
            above,
            "underarm",
            reserve=SIDE_RESERVE_BACK,
        ),
        edge(
            "armhole",
            "underarm",
            d.armhole[0],
            "back_notch",
            d.armhole[1],
            "yoke",
            d.armhole[2],
            "shoulder_tip",
            reserve=ARMHOLE_RESERVE,
        ),
        edge(
            "shoulder",
            "shoulder_tip",
            d.shoulder[0],
            Mouth("shoulder dart"),
            d.shoulder[1],
            "neck_point",
            reserve=SHOULDER_RESERVE_BACK,
        ),
        edge("neck", "neck_point", d.neck, "neck_centre"),
    )
    return Piece(
        "back",
        "Back",
        edges,
        grain=np.array([[6.0, levels.hip], [6.0, d.blade - 4.0]]),
        cut="fold",
        darts=(Dart("shoulder dart", "shoulder", d.dart, "shoulder_dart"),),
        lines=(
            level_line("blade", d.blade, 0.0, float(notch[0])),
            level_line("underarm", float(under[1]), 0.0, float(under[0])),
            level_line("waist", 0.0, 0.0, float(d.side[2].start[0])),
            level_line("hip", levels.hip, 0.0, float(d.side[1].start[0])),
        ),
        fold="centre",
    )


def front_piece(
    d: FrontDraft, levels: Levels, stand: float, dart_below_notch: float | None = None
) -> Piece:
    """The front with its bust dart and the button stand beyond the centre.

    The dart opens in the side seam, or ``dart_below_notch`` cm below the front notch in the
    armhole. The side's station "bust" is the mouth of the dart on its lower leg, or where that
    mouth was.
    """
    side: tuple[str | Path | Mouth, ...] = (Mouth("bust dart"), d.side_above, "underarm")
    hole: tuple[str | Path | Mouth, ...] = (d.armhole[0], "front_notch", d.armhole[1])
    if dart_below_notch is not None:
        turned = turned_to_armhole(d, dart_below_notch)
        side = (turned.side_above, "underarm")
        hole = (turned.below, Mouth("bust dart"), turned.to_notch, "front_notch", turned.beyond)
    mouth_edge = "side" if dart_below_notch is None else "armhole"
    neck = d.neck.end
    bust_y = float(d.side[2].end[1])
    # the last of the side, turned with a dart in the armhole
    under_y = float(next(p for p in reversed(side) if isinstance(p, Path)).end[1])
    hem_y = float(d.hem.start[1])
    edges = (
        upright(
            "front_edge",
            -stand,
            (
                ("front_top", float(neck[1])),
                ("underarm_level", under_y),
                ("bust", bust_y),
                ("waist", 0.0),
                ("hip", levels.hip),
                ("hem_front", hem_y),
            ),
            allowance=1.0,
            least=0.6,
        ),
        hem_edge("hem_front", d.hem, "hem_side"),
        edge(
            "side",
            "hem_side",
            d.side[0],
            "hip",
            d.side[1],
            "waist",
            d.side[2],
            "bust",
            *side,
            reserve=SIDE_RESERVE_FRONT,
        ),
        edge(
            "armhole",
            "underarm",
            *hole,
            "shoulder_tip",
            reserve=ARMHOLE_RESERVE,
        ),
        edge("shoulder", "shoulder_tip", d.shoulder, "neck_point"),
        edge("neck", "neck_point", d.neck, "neck_centre"),
        edge("stand_top", "neck_centre", Path.line(neck, (-stand, float(neck[1]))), "front_top"),
    )
    return Piece(
        "front",
        "Front",
        edges,
        grain=np.array([[5.0, levels.hip], [5.0, d.bust_point[1] - 8.0]]),
        cut="pair",
        darts=(Dart("bust dart", mouth_edge, d.dart, "bust_dart"),),
        lines=(
            Line("centre_front", "balance", Path.line((0.0, float(neck[1])), (0.0, hem_y))),
            level_line("bust", float(d.bust_point[1]), 0.0, float(d.bust_point[0])),
            level_line("waist", 0.0, -stand, float(d.side[2].start[0])),
            level_line("hip", levels.hip, -stand, float(d.side[1].start[0])),
        ),
        marks=(Mark("bust point", "bust_point", d.bust_point),),
    )
