"""The trouser front and back as pieces, from their net lines. All in cm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.draft.blocks.trouser_crotch import at_height, x_at
from pinwright.draft.blocks.trouser_front import Half
from pinwright.draft.blocks.trouser_plan import TrouserPlan
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Edge, Line, Piece, edge


@dataclass(frozen=True, slots=True)
class Hem:
    """Cloth below the hem line: turned up (``allowance``) and kept for letting down (``reserve``).

    ``folds`` are the levels below the hem line, cm, at which a turn-up is folded again.
    """

    allowance: float
    reserve: float
    folds: tuple[float, ...] = ()


HEM_RESERVE = 5.0
TURN_UP_RESERVE = 2.0


def hem(kind: str, depth: float) -> Hem:
    """Plain hem or turn-up.

    Plain: allowance 1 and reserve 5, all turned up inside. Turn-up of ``depth``: the leg goes on
    below the hem line, up the outside by the depth, down behind it by the depth, and 1 to sew.
    The leg meets the hem squarely, so what is folded up lies on the leg without a pleat.
    Source: common practice (sources 3.5: hem 4 to 6).
    """
    if kind == "turn-up":
        return Hem(2.0 * depth + 1.0, TURN_UP_RESERVE, (depth, 2.0 * depth))
    return Hem(1.0, HEM_RESERVE)


def front_piece(half: Half, p: TrouserPlan, hem: Hem) -> Piece:
    """The front: side reserve 1 (common practice), fly end marked on the centre."""
    top, (below, fork) = half.crotch.top, _fly(half.crotch.curve)
    centre = edge(
        "centre", "waist_centre", top, "hip", below, "fly_end", fork, "fork", allowance=1.0
    )
    return _piece("front", "trouser front", centre, half, p, hem, side_reserve=1.0)


def back_piece(half: Half, p: TrouserPlan, hem: Hem) -> Piece:
    """The back: reserves seat 3, side 2, inseam 1 (common practice; sources 3.5).

    At the fork nothing is kept beyond the allowance: the seat's reserve tapers from the hip, the
    inseam's from the thigh (sources 3.5: seat seam 3-4 tapering to 1 at the crotch).
    """
    seat = edge(
        "seat",
        *("waist_centre", half.crotch.top, "hip", half.crotch.curve, "fork"),
        reserve=3.0,
        reserve_to=("hip", "fork", 0.0),
    )
    return _piece("back", "trouser back", seat, half, p, hem, side_reserve=2.0, inseam_reserve=1.0)


def _fly(curve: Path) -> tuple[Path, Path]:
    """The front crotch curve cut at the end of the fly.

    The fly ends where the curve begins to turn in earnest: after its straight part, or else at
    0.28 of the way from hip line to fork (common practice: 2 to 3 below the hip line).
    """
    if curve.spans > 1:
        return Path(curve.ctrl[:1]), Path(curve.ctrl[1:])
    return curve.split(0.28 * curve.length)


def _piece(
    name: str,
    title: str,
    centre: Edge,
    half: Half,
    p: TrouserPlan,
    hem: Hem,
    side_reserve: float,
    inseam_reserve: float = 0.0,
) -> Piece:
    side, leg = half.side, half.inseam
    left, right = leg.shin.end, side.shin.start
    crease = np.array([0.0, p.hem_y])
    edges = (
        centre,
        edge(
            "inseam",
            *("fork", leg.high, "thigh", leg.thigh, "knee", leg.shin, "hem_in"),
            reserve=inseam_reserve,
            reserve_to=("thigh", "fork", 0.0) if inseam_reserve else None,
        ),
        edge(
            "hem",
            *("hem_in", Path.line(left, crease), "crease", Path.line(crease, right), "hem_side"),
            allowance=hem.allowance,
            reserve=hem.reserve,
            least=1.0,
        ),
        edge(
            "side",
            *("hem_side", side.shin, "knee", side.thigh, "crotch", side.seat),
            *("hip", side.top, "waist_side"),
            reserve=side_reserve,
        ),
        edge("waist", "waist_side", *half.waist.parts, "waist_centre"),
    )
    hip, crotch = float(side.top.start[1]), float(side.seat.start[1])
    curve = half.crotch.curve.ctrl[-1]
    x_crotch = x_at(curve, at_height(curve, crotch)) if leg.fork[1] < crotch else leg.fork[0]
    levels = [
        ("hip", float(half.crotch.curve.start[0]), float(side.top.start[0]), hip),
        ("crotch", float(x_crotch), float(side.seat.start[0]), crotch),
        ("knee", float(leg.shin.start[0]), float(side.thigh.start[0]), p.knee_y),
    ]
    lines = [Line(level, "balance", Path.line((x0, y), (x1, y))) for level, x0, x1, y in levels]
    lines.append(Line("crease", "crease", Path.line(crease, (0.0, hip))))
    for i, below in enumerate(hem.folds):
        y = p.hem_y - below
        lines.append(Line(f"turn-up fold {i + 1}", "fold", Path.line((left[0], y), (right[0], y))))
    grain = np.array([[0.0, p.hem_y + 8.0], [0.0, crotch]])
    return Piece(name, title, edges, grain, darts=half.waist.darts, lines=tuple(lines))
