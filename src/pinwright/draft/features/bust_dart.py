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
    mouth, the armhole below its notch and from there to the dart's mouth, all turned, and the
    armhole beyond the mouth."""

    side_above: Path
    low: Path
    to_mouth: Path
    beyond: Path


def turned_to_armhole(d: FrontDraft, above_notch: float) -> ArmholeDart:
    """The bust dart closed in the side seam and opened in the armhole.

    The cloth between both mouths turns about the dart's point, so the angle stays and the side
    seam closes exactly (facts 2.3: dart rotation). The new mouth lies ``above_notch`` cm above
    the front notch, measured along the armhole.

    Raises:
        DraftError: the armhole ends before that.
    """
    turn = Motion.rotation(-d.dart_angle, d.dart)
    low, high = d.armhole
    if not 0.0 < above_notch < high.length - 4.0:
        raise DraftError(
            f"jacket: the bust dart cannot open {above_notch:g} cm above the front notch; the "
            f"armhole has only {high.length:.1f} cm there."
        )
    to_mouth, beyond = high.split(above_notch)
    side_above = d.side_above.transformed(turn)
    ctrl = side_above.ctrl.copy()
    ctrl[0, 0] = d.side[2].end  # to the last bit
    return ArmholeDart(Path(ctrl), low.transformed(turn), to_mouth.transformed(turn), beyond)
