"""Turning the bust dart: the cloth between two mouths turns about the dart's point."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees

import numpy as np

from pinwright.draft.blocks.bodice import FrontDraft
from pinwright.errors import DraftError
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece


def closing(piece: Piece, dart: str) -> Motion:
    """The turn about the dart's point that lays the leg after the mouth on the leg before it."""
    before, after = piece.mouth(dart)
    apex = np.asarray(piece.dart(dart).apex)
    u, v = before - apex, after - apex
    angle = degrees(atan2(v[0] * u[1] - v[1] * u[0], float(v @ u)))
    return Motion.rotation(angle, apex)


@dataclass(frozen=True, slots=True)
class ArmholeDart:
    """Edges of a front whose dart opens in the armhole: the side above the level of the former
    mouth and the armhole below the dart, both turned, and the armhole from the dart to its notch
    and beyond it, which stay."""

    side_above: Path
    below: Path
    to_notch: Path
    beyond: Path


def turned_to_armhole(d: FrontDraft, below_notch: float) -> ArmholeDart:
    """The bust dart closed in the side seam and opened in the armhole.

    The cloth between both mouths turns about the dart's point, so the angle stays and the side
    seam closes exactly (sources 2.3: dart rotation). The new mouth lies ``below_notch`` cm below
    the front notch, measured along the armhole: there the dart meets the armhole steeply enough
    to be deepened later.

    Raises:
        DraftError: the armhole ends before that.
    """
    turn = Motion.rotation(-d.dart_angle, d.dart)
    low, beyond = d.armhole
    if not 0.0 < below_notch < low.length - 3.0:
        raise DraftError(
            f"jacket: the bust dart cannot open {below_notch:g} cm below the front notch; the "
            f"armhole has only {low.length:.1f} cm there."
        )
    below, to_notch = low.split(low.length - below_notch)
    side_above = d.side_above.transformed(turn)
    ctrl = side_above.ctrl.copy()
    ctrl[0, 0] = d.side[2].end  # to the last bit
    return ArmholeDart(Path(ctrl), below.transformed(turn), to_notch, beyond)
