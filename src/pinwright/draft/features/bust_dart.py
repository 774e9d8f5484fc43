"""Turning the bust dart: the piece between two mouths turns about the dart's point."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.motion import Motion
from pinwright.pattern.piece import Edge, Piece


def closing(piece: Piece, dart: str) -> Motion:
    """The turn about the dart's point that lays the leg after the mouth on the leg before it."""
    before, after = piece.mouth(dart)
    apex = np.asarray(piece.dart(dart).apex)
    u, v = before - apex, after - apex
    angle = degrees(atan2(v[0] * u[1] - v[1] * u[0], float(v @ u)))
    return Motion.rotation(angle, apex)


def turned_to_armhole(front: Piece, above_notch: float) -> Piece:
    """The front with its bust dart closed in the side seam and opened in the armhole.

    The cloth between both mouths turns about the dart's point, so the angle stays and the side
    seam closes exactly (facts 2.3: dart rotation). The new mouth lies ``above_notch`` cm above
    the front notch, measured along the armhole.

    Raises:
        DraftError: the armhole ends before that.
    """
    turn = closing(front, "bust dart")
    side, hole = front.edge("side"), front.edge("armhole")
    run = hole.runs[0]
    count = hole.stations["front_notch"][1]
    at = run.cumulative[count] + above_notch
    if not 0.0 < at < run.length - 1.0:
        raise DraftError(
            f"jacket: the bust dart cannot open {above_notch:g} cm above the front notch; the "
            f"armhole has only {run.length - run.cumulative[count]:.1f} cm there."
        )
    below, above = run.split(at)
    lower, upper = side.runs
    stations = {
        name: (0, n if which == 0 else lower.spans + n)
        for name, (which, n) in side.stations.items()
    }
    new_side = replace(side, runs=(lower + upper.transformed(turn),), darts=(), stations=stations)
    new_hole: Edge = replace(hole, runs=(below.transformed(turn), above), darts=("bust dart",))
    dart = replace(front.dart("bust dart"), edge="armhole")
    edges = tuple({"side": new_side, "armhole": new_hole}.get(e.name, e) for e in front.edges)
    darts = tuple(dart if d.name == "bust dart" else d for d in front.darts)
    return replace(front, edges=edges, darts=darts)
