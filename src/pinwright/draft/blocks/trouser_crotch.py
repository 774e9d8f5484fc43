"""Crotch curves: as long as the client's own, from waist to fork. All in cm.

McKinney, Gill, Dorie and Roth (2016, sources 2.2) warn against crotch curves proportioned to
the hip; here the curve's length is the body's, front and back apart.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot

import numpy as np

from pinwright.draft.blocks.trouser_leg import Point
from pinwright.errors import DraftError
from pinwright.geometry.curves import cut_at
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array

FLATTEST, FULLEST = 0.42, 0.8
"""Hollowness: how far the handles reach to where the two end tangents cross."""

DRAW = 0.25
"""Least straight stretch worth drawing between hip line and curve, as a part of the extension."""

LEAST = 0.5
"""Least distance of either end of the curve from where its end tangents cross, cm."""

BEGIN = 0.8
"""The curve begins where the way down to the corner is this part of the way across; where the
hip line lies lower than that, the curve begins above it (BLOCK: the seat line is left half way
between crotch line and waist)."""


@dataclass(frozen=True, slots=True)
class Crotch:
    """A centre or seat line downwards: ``top`` from waist to hip line, ``curve`` on to the fork.

    ``lean`` is dx/dy of its straight part."""

    top: Path
    curve: Path
    lean: float

    @property
    def waist(self) -> Array:
        """The waist end, (2,)."""
        return self.top.start


@dataclass(frozen=True, slots=True)
class Limits:
    """How high the centre may stand over the side waist, cm: usual, and at most."""

    usual: tuple[float, float]
    most: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Curve:
    """A drawn crotch curve: where it leaves the straight line, and its parts above (if any) and
    below the hip line."""

    begin: Array
    above: Path | None
    below: Path

    @property
    def length(self) -> float:
        """Sewn length of both parts, cm."""
        return self.below.length + (self.above.length if self.above is not None else 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Fork:
    """What a crotch curve must run through.

    ``hip`` on the hip line; ``fork`` (2,), where it arrives in the unit direction ``arrive``;
    ``room`` is how far above the hip line it may begin, cm.
    """

    hip: Point
    fork: Array
    arrive: Array
    room: float


def crotch_curve(to: Fork, lean: float, hollow: float) -> Curve:
    """The curve from the straight centre line down to the fork, without an inflection.

    Args:
        to: what it must run through.
        lean: dx/dy of the straight line.
        hollow: see ``FLATTEST``; larger lies closer to the corner.

    Raises:
        DraftError: the fork lies so that no curve can be drawn.
    """
    down = np.array([-lean, -1.0]) / (1.0 + lean * lean) ** 0.5
    hip = np.array(to.hip)
    along, back = _legs(hip, down, to)
    if along > 0.0 and along - back > DRAW * back:
        turn = hip + (along - back) * down
        return Curve(
            hip, None, Path.line(hip, turn) + Path(_bow(turn, down, to, back, back, hollow))
        )
    lift = min(BEGIN * back - along, to.room)
    if lift < 1.0 and along > LEAST:
        return Curve(hip, None, Path(_bow(hip, down, to, along, back, hollow)))
    shift, y = 0.0, to.hip[1]
    before: tuple[float, float] | None = None
    for _ in range(20):
        begin = hip + np.array([shift, 0.0]) - lift * down
        along, back = _legs(begin, down, to)
        if not (along > LEAST and back > LEAST):
            raise DraftError(
                "trousers: the hip line lies too near to the crotch line for a crotch curve of "
                "this extension; check body_rise and waist_to_hip."
            )
        curve = _bow(begin, down, to, along, back, hollow)
        u = at_height(curve[0], y)
        x = x_at(curve[0], u)
        miss = x - to.hip[0]
        if abs(miss) < 1e-10:
            break
        # The curve moves nearly as the line does: the first guess of the secant's rate.
        rate = 1.0 if before is None else (miss - before[1]) / (shift - before[0])
        before = (shift, miss)
        shift -= miss / (rate if rate > 0.1 else 1.0)
    above, below = (Path(part[None]) for part in cut_at(curve[0], [u]))
    return Curve(begin, above, below)


def _legs(start: Array, down: Array, to: Fork) -> tuple[float, float]:
    """Distances from start and fork to where the two end tangents cross."""
    gap, arrive = to.fork - start, to.arrive
    det = float(down[0] * arrive[1] - down[1] * arrive[0])
    along = float(gap[0] * arrive[1] - gap[1] * arrive[0]) / det if abs(det) > 1e-9 else -1.0
    back = float(down[0] * gap[1] - down[1] * gap[0]) / det if abs(det) > 1e-9 else -1.0
    return along, back


def _bow(start: Array, down: Array, to: Fork, along: float, back: float, hollow: float) -> Array:
    leave, come = hollow * along * down, hollow * back * to.arrive
    return np.stack([start, start + leave, to.fork - come, to.fork])[None]


def x_at(cubic: Array, u: float) -> float:
    """x of a cubic (4, 2) at a parameter."""
    v = 1.0 - u
    x0, x1, x2, x3 = cubic[:, 0].tolist()
    return float(v * v * (v * x0 + 3.0 * u * x1) + u * u * (3.0 * v * x2 + u * x3))


def at_height(cubic: Array, y: float) -> float:
    """Parameter at which a falling cubic (4, 2) passes a height (Newton)."""
    y0, y1, y2, y3 = (cubic[:, 1] - y).tolist()
    a, b, c = y3 - 3 * y2 + 3 * y1 - y0, 3 * (y2 - 2 * y1 + y0), 3 * (y1 - y0)
    u = min(0.5, y0 / max(-c, 1e-9))
    for _ in range(30):
        miss = ((a * u + b) * u + c) * u + y0
        if abs(miss) < 1e-12:
            break
        u -= miss / ((3.0 * a * u + 2.0 * b) * u + c)
    return float(u)


def crotch_line(
    wanted: float,
    to: Fork,
    lean: float,
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
        to: what the curve must run through.
        lean: dx/dy of the straight line above it.
        hollow: the usual hollowness.
        side_y: height of the waist at the side seam.
        limits: of the waist end.
        measure: the body measure the length comes from, for the refusal.

    Raises:
        DraftError: the length cannot be had.
    """
    step = hypot(1.0, lean)

    def height(curve: Curve) -> float:
        return (wanted - curve.length) / step + float(curve.begin[1]) - side_y

    curve = crotch_curve(to, lean, hollow)
    over = height(curve)
    low, high = limits.usual
    if not low <= over <= high:
        want = low if over < low else high
        hollow = _hollow_for(
            lambda h: height(crotch_curve(to, lean, h)) - want, hollow, over - want
        )
        curve = crotch_curve(to, lean, hollow)
        over = height(curve)
        if not limits.most[0] <= over <= limits.most[1]:
            least, most = (wanted - over + m for m in limits.most)
            raise DraftError(
                f"trousers: the {measure.replace('_', ' ')} asks for a crotch line of "
                f"{wanted:.1f} cm, but with this rise and hip it can be {least:.1f} to "
                f"{most:.1f} cm; check {measure}, body_rise and waist_to_hip."
            )
    y = side_y + over
    waist = np.array([curve.begin[0] + lean * (y - curve.begin[1]), y])
    if not y > float(curve.begin[1]) + 1.0:
        raise DraftError(
            f"trousers: a crotch line of {wanted:.1f} cm ends below the hip; check {measure}."
        )
    top = Path.line(waist, curve.begin)
    return Crotch(top if curve.above is None else top + curve.above, curve.below, lean)


def _hollow_for(miss: Callable[[float], float], usual: float, at_usual: float) -> float:
    """Hollowness at which ``miss`` (falling with it) is 0, or the limit on that side."""
    a, fa = usual, at_usual
    b = FULLEST if fa > 0.0 else FLATTEST
    fb = miss(b)
    if fa * fb >= 0.0:
        return b
    for _ in range(60):
        c = a - fa * (b - a) / (fb - fa)
        fc = miss(c)
        if abs(fc) < 1e-10:
            return c
        if fc * fb < 0.0:
            a, fa = b, fb
        else:
            fa *= 0.5  # Illinois rule: keeps both ends moving
        b, fb = c, fc
    return b
