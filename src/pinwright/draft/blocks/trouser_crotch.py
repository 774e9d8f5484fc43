"""Crotch curves: as long as the client's own, from waist to fork. All in cm.

McKinney, Gill, Dorie and Roth (2016, facts.md 2.2) warn against crotch curves proportioned to
the hip; here the curve's length is the body's, front and back apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pinwright.draft.blocks.trouser_leg import Point
from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array

FLATTEST, FULLEST = 0.42, 0.8
"""Hollowness: how far the handles reach to where the two end tangents cross."""

DRAW = 0.25
"""Least straight stretch worth drawing between hip line and curve, as a part of the extension."""


@dataclass(frozen=True, slots=True)
class Crotch:
    """A centre or seat line downwards: straight ``top`` from waist to hip, then ``curve``."""

    top: Path
    curve: Path

    @property
    def waist(self) -> Array:
        """The waist end, (2,)."""
        return self.top.start


@dataclass(frozen=True, slots=True)
class Limits:
    """How high the centre may stand over the side waist, cm: usual, and at most."""

    usual: tuple[float, float]
    most: tuple[float, float]


def crotch_curve(hip: Point, lean: float, fork: Array, arrive: Array, hollow: float) -> Path:
    """The curve from the hip line down to the fork, without an inflection.

    Args:
        hip: where it leaves the centre or seat line.
        lean: dx/dy of that line.
        fork: the fork point (2,).
        arrive: unit direction in which the curve arrives there (2,).
        hollow: see ``FLATTEST``; larger lies closer to the corner.

    Raises:
        DraftError: the fork lies so that no curve can be drawn.
    """
    down = np.array([-lean, -1.0]) / (1.0 + lean * lean) ** 0.5
    start = np.array(hip)
    gap = fork - start
    det = float(down[0] * arrive[1] - down[1] * arrive[0])
    along = float(gap[0] * arrive[1] - gap[1] * arrive[0]) / det if abs(det) > 1e-9 else -1.0
    back = float(down[0] * gap[1] - down[1] * gap[0]) / det if abs(det) > 1e-9 else -1.0
    if not (along > 0.5 and back > 0.5):
        raise DraftError(
            "trousers: the hip line lies too near to the crotch line for a crotch curve of this "
            "extension; check body rise and waist to hip."
        )
    straight = along - back
    if straight > DRAW * back:
        turn = start + straight * down
        legs = (back, back)
    else:
        turn, legs = start, (along, back)
    curve = Path.cubic(turn, turn + hollow * legs[0] * down, fork - hollow * legs[1] * arrive, fork)
    return Path.line(start, turn) + curve if turn is not start else curve


def crotch_line(
    wanted: float,
    hip: Point,
    lean: float,
    draw: Callable[[float], Path],
    hollow: float,
    side_y: float,
    limits: Limits,
    measure: str,
) -> Crotch:
    """Centre or seat line of exactly the wanted length.

    The waist end slides along its line first, within its usual height over the side waist; then
    the curve is hollowed or flattened; then the waist end may go to its utmost.

    Args:
        wanted: sewn length, cm.
        hip: the point on the hip line.
        lean: dx/dy of the line above it.
        draw: the curve for a hollowness.
        hollow: the usual hollowness.
        side_y: height of the waist at the side seam.
        limits: of the waist end.
        measure: the body measure the length comes from, for the refusal.

    Raises:
        DraftError: the length cannot be had.
    """
    step = (1.0 + lean * lean) ** 0.5

    def height(curve: Path) -> float:
        return (wanted - curve.length) / step + hip[1] - side_y

    curve = draw(hollow)
    over = height(curve)
    low, high = limits.usual
    if not low <= over <= high:
        want = low if over < low else high
        hollow = _hollow_for(draw, hollow, lambda c: height(c) - want)
        curve = draw(hollow)
        over = height(curve)
        if not limits.most[0] <= over <= limits.most[1]:
            least, most = (wanted - over + m for m in limits.most)
            raise DraftError(
                f"trousers: the {measure.replace('_', ' ')} asks for a crotch line of "
                f"{wanted:.1f} cm, but with this rise and hip it can be {least:.1f} to "
                f"{most:.1f} cm; check {measure}, body_rise and waist_to_hip."
            )
    y = side_y + over
    waist = np.array([hip[0] + lean * (y - hip[1]), y])
    return Crotch(Path.line(waist, hip), curve)


def _hollow_for(draw: Callable[[float], Path], usual: float, miss: Callable[[Path], float]) -> float:
    """Hollowness at which ``miss`` (falling with it) is 0, or the limit on that side."""
    a, fa = usual, miss(draw(usual))
    b = FULLEST if fa > 0.0 else FLATTEST
    fb = miss(draw(b))
    if fa * fb >= 0.0:
        return b
    for _ in range(60):
        c = a - fa * (b - a) / (fb - fa)
        fc = miss(draw(c))
        if abs(fc) < 1e-10:
            return c
        if fc * fb < 0.0:
            a, fa = b, fb
        else:
            fa *= 0.5  # Illinois rule: keeps both ends moving
        b, fb = c, fc
    return b
