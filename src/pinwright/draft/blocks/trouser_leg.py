"""Side seam and inseam: the long curves of a trouser leg, drawn as x over height. All in cm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.cubic import lengths
from pinwright.geometry.curves import cut_at
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array

Point = tuple[float, float]

EXACT = 1e-9
"""Lengths that must agree are solved to this, cm."""


def common_slope(below: float, above: float, height_below: float, height_above: float) -> float:
    """Slope dx/dy at a point where two stretches meet: no overshoot, no wobble.

    The weighted harmonic mean of the two chord slopes, 0 where they lean opposite ways.
    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, from memory.
    """
    if below * above <= 0.0:
        return 0.0
    w1 = 2.0 * height_above + height_below
    w2 = height_above + 2.0 * height_below
    return (w1 + w2) / (w1 / below + w2 / above)


def knee_slope(shin: float, thigh: float, shin_height: float, thigh_height: float) -> float:
    """Slope dx/dy at the knee, from the chord slopes below and above it.

    1.5 times the shin's: its curvature then runs out to nothing at the knee and front and back
    have the same shin. Where the thigh does not open by as much, the two slopes' mean.
    """
    if shin * thigh > 0.0 and abs(thigh) >= 1.5 * abs(shin):
        return 1.5 * shin
    return common_slope(shin, thigh, shin_height, thigh_height)


def hip_slope(
    at_knee: float, thigh: float, top: float, thigh_height: float, top_height: float
) -> float:
    """Slope dx/dy at the hip, from the knee's slope and the chord slopes below and above the hip.

    Upright would make the hip the widest place but turn the seam sharply just above it; the slope
    that bends it evenly leaves the widest place lower. ``EVEN`` of the way to the latter.
    """
    upright = common_slope(thigh, top, thigh_height, top_height)
    # Curvature alike below and above, running out to nothing at the waist (a C2 spline's row).
    down, up = 1.0 / thigh_height, 1.0 / top_height
    even = (3.0 * (thigh * down + 0.5 * top * up) - at_knee * down) / (2.0 * down + 1.5 * up)
    return upright + EVEN * min(0.06, max(-0.06, even - upright))


EVEN = 0.6
"""See :func:`hip_slope`; it puts the widest place about 0.1 cm outside the hip, below it."""


def rising(p: Point, slope_p: float, q: Point, slope_q: float) -> Array:
    """One cubic (1, 4, 2) from ``p`` up (or down) to ``q``, height even in the parameter.

    Slopes are dx/dy. As x is then a cubic of the height, the point at a level is known exactly.
    """
    third = (q[1] - p[1]) / 3.0
    return np.array(
        [[p, (p[0] + slope_p * third, p[1] + third), (q[0] - slope_q * third, q[1] - third), q]]
    )


def _length(cubic: Array) -> float:
    return float(lengths(cubic)[0])


HOLLOWED = 0.75
"""How much steeper than its chord the inseam leaves the fork; 1 would be a parabola. BLOCK hollows
it by 0.75 at hip 94."""


@dataclass(frozen=True, slots=True)
class SideSeam:
    """The side seam upwards, cut where both sides of it must meet; its slopes dx/dy at the knee
    and at the waist."""

    shin: Path
    thigh: Path
    seat: Path
    top: Path
    knee_slope: float
    waist_slope: float

    @property
    def waist(self) -> Array:
        """The waist end, (2,)."""
        return self.top.end

    @property
    def lengths(self) -> tuple[float, float, float, float]:
        """Stretches hem-knee, knee-crotch, crotch-hip and hip-waist, cm."""
        return self.shin.length, self.thigh.length, self.seat.length, self.top.length


def side_seam(
    hem: Point,
    knee: Point,
    hip: Point,
    waist_in: float,
    rise: float,
    crotch_y: float,
    match: SideSeam | None = None,
) -> SideSeam:
    """The side seam from a hem it meets squarely, through knee and hip, to the waist.

    Args:
        hem, knee, hip: points it passes through.
        waist_in: how far the waist end lies inside the hip, may be negative.
        rise: how high the waist end stands over the hip.
        crotch_y: level of the crotch line, where the seam is cut.
        match: the side it is sewn to; hip and waist are then walked to the same lengths above the
            knee, and the crotch notch with them.

    Raises:
        DraftError: no such seam exists.
    """
    shin_slope = (knee[0] - hem[0]) / (knee[1] - hem[1])
    chord_top = -waist_in / rise
    hip_y = hip[1]
    want = None if match is None else match.thigh.length + match.seat.length
    for _ in range(12):
        chord = (hip[0] - knee[0]) / (hip_y - knee[1])
        if match is not None:
            at_knee = match.knee_slope  # so that both have the same shin
        else:
            at_knee = knee_slope(shin_slope, chord, knee[1] - hem[1], hip_y - knee[1])
        at_hip = hip_slope(at_knee, chord, chord_top, hip_y - knee[1], rise)
        below = rising(knee, at_knee, (hip[0], hip_y), at_hip)
        if want is None:
            break
        miss = want - _length(below)
        if abs(miss) < EXACT:
            break
        hip_y += miss
    if match is None:
        up = (crotch_y - knee[1]) / (hip_y - knee[1])
        thigh, seat = (Path(part[None]) for part in cut_at(below[0], [up]))
    else:
        thigh, seat = Path(below).split(match.thigh.length)
    along = None if match is None else match.top.length
    top, slope = _top((hip[0], hip_y), at_hip, waist_in, rise, along)
    return SideSeam(Path(rising(hem, 0.0, knee, at_knee)), thigh, seat, Path(top), at_knee, slope)


def _top(
    hip: Point, at_hip: float, waist_in: float, rise: float, length: float | None
) -> tuple[Array, float]:
    """The hip curve up to the waist, as high as it is to rise or, where length is told, so long.

    Its curvature runs out to nothing at the waist, as a hip curve is drawn (common practice).
    """
    if abs(waist_in) >= 0.7 * rise:
        raise DraftError(
            f"trousers: the side seam would move {abs(waist_in):.1f} cm in {rise:.1f} cm from "
            "hip to waist; check waist and hip girths and arcs."
        )
    for _ in range(20):
        chord = -waist_in / rise
        slope = 1.5 * chord - 0.5 * at_hip
        curve = rising(hip, at_hip, (hip[0] - waist_in, hip[1] + rise), slope)
        miss = 0.0 if length is None else length - _length(curve)
        if abs(miss) < EXACT:
            break
        rise += miss
    return curve, slope


@dataclass(frozen=True, slots=True)
class Inseam:
    """The inseam downwards from the fork; its slopes dx/dy at the knee and at the fork."""

    high: Path
    thigh: Path
    shin: Path
    knee_slope: float
    fork_slope: float

    @property
    def fork(self) -> Array:
        """The fork point, (2,)."""
        return self.high.start


def inseam(
    hem: Point,
    knee: Point,
    fork: Point,
    match: Inseam | None = None,
    shorter: float = 0.0,
) -> Inseam:
    """The inseam: evenly hollowed from fork to knee, square to the hem.

    Args:
        hem, knee: points it passes through.
        fork: the fork point; with ``match`` its height is only a first guess.
        match: the inseam it is sewn to; the fork is lowered or raised until the seam is
            ``shorter`` (cm) than it above the thigh notch and equal below.
        shorter: see ``match``.

    Raises:
        DraftError: no such seam exists.
    """
    shin_slope = (knee[0] - hem[0]) / (knee[1] - hem[1])
    want = None if match is None else match.high.length + match.thigh.length - shorter
    y = fork[1]
    for _ in range(30):
        if not y > knee[1] + 5.0:
            raise DraftError("trousers: the fork would lie at the knee; check body rise and knee.")
        chord = (fork[0] - knee[0]) / (y - knee[1])
        if match is not None:
            at_knee = match.knee_slope
        else:
            at_knee = knee_slope(shin_slope, chord, knee[1] - hem[1], y - knee[1])
        # Near the parabola, the evenest hollow; a wide leg still leaves the fork a little inwards.
        at_fork = min(chord + HOLLOWED * (chord - at_knee), -0.03)
        above = rising((fork[0], y), at_fork, knee, at_knee)
        if want is None:
            break
        miss = want - _length(above)
        if abs(miss) < EXACT:
            break
        y += miss
    whole = Path(above)
    notch = whole.length / 3.0 if match is None else whole.length - match.thigh.length
    high, thigh = whole.split(notch)
    return Inseam(high, thigh, Path(rising(knee, at_knee, hem, 0.0)), at_knee, at_fork)


def direction(slope: float, up: bool) -> Array:
    """Unit direction along a line of slope dx/dy, upwards or downwards, (2,)."""
    size = (1.0 + slope * slope) ** 0.5
    sign = 1.0 if up else -1.0
    return np.array([sign * slope / size, sign / size])


def leftwards_square(slope: float) -> Array:
    """Unit direction to the left at right angles to a line of slope dx/dy, (2,)."""
    size = (1.0 + slope * slope) ** 0.5
    return np.array([-1.0 / size, slope / size])
