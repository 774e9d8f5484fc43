"""Side seam and inseam: the long curves of a trouser leg, drawn as x over height. All in cm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.cubic import lengths
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


def rising(p: Point, slope_p: float, q: Point, slope_q: float) -> Path:
    """One cubic from ``p`` up (or down) to ``q`` on which height runs evenly with the parameter.

    Slopes are dx/dy. As x is then a cubic of the height, the point at a level is known exactly.
    """
    third = (q[1] - p[1]) / 3.0
    return Path.cubic(
        p, (p[0] + slope_p * third, p[1] + third), (q[0] - slope_q * third, q[1] - third), q
    )


def _length(path: Path) -> float:
    return float(lengths(path.ctrl)[0])


@dataclass(frozen=True, slots=True)
class SideSeam:
    """The side seam upwards, cut where both sides of it must meet; ``waist_slope`` dx/dy."""

    shin: Path
    thigh: Path
    seat: Path
    top: Path
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
    top_length: float,
    crotch_y: float,
    match: SideSeam | None = None,
) -> SideSeam:
    """The side seam from a hem it meets squarely, through knee and hip, to the waist.

    Args:
        hem, knee, hip: points it passes through.
        waist_in: how far the waist end lies inside the hip, may be negative.
        top_length: length along the seam from hip to waist.
        crotch_y: level of the crotch line, where the seam is cut.
        match: the side it is sewn to; the hip is then walked to the same length above the knee,
            and the crotch notch with it.

    Raises:
        DraftError: no such seam exists.
    """
    shin_slope = (knee[0] - hem[0]) / (knee[1] - hem[1])
    chord_top = -waist_in / top_length
    hip_y = hip[1]
    want = None if match is None else match.thigh.length + match.seat.length
    for _ in range(12):
        chord = (hip[0] - knee[0]) / (hip_y - knee[1])
        at_knee = common_slope(shin_slope, chord, knee[1] - hem[1], hip_y - knee[1])
        at_hip = common_slope(chord, chord_top, hip_y - knee[1], top_length)
        below = rising(knee, at_knee, (hip[0], hip_y), at_hip)
        if want is None:
            break
        miss = want - _length(below)
        if abs(miss) < EXACT:
            break
        hip_y += miss
    shin = rising(hem, 0.0, knee, at_knee)
    if match is None:
        thigh, seat = Path(below.ctrl), below
        thigh, seat = below.split(below.distance_at(0, (crotch_y - knee[1]) / (hip_y - knee[1])))
    else:
        thigh, seat = below.split(match.thigh.length)
    top, slope = _top((hip[0], hip_y), at_hip, waist_in, top_length)
    return SideSeam(shin, thigh, seat, top, slope)


def _top(hip: Point, at_hip: float, waist_in: float, length: float) -> tuple[Path, float]:
    """The hip curve up to the waist, of a given length; it ends a little more upright than an arc
    would, as a hip curve is drawn (common practice)."""
    if abs(waist_in) >= 0.7 * length:
        raise DraftError(
            f"trousers: the side seam would move {abs(waist_in):.1f} cm in {length:.1f} cm from "
            "hip to waist; check waist and hip girths and arcs."
        )
    rise = (length**2 - waist_in**2) ** 0.5
    for _ in range(20):
        chord = -waist_in / rise
        slope = chord + 0.25 * (chord - at_hip)
        path = rising(hip, at_hip, (hip[0] - waist_in, hip[1] + rise), slope)
        miss = length - _length(path)
        if abs(miss) < EXACT:
            break
        rise += miss
    return path, slope


@dataclass(frozen=True, slots=True)
class Inseam:
    """The inseam downwards from the fork; ``fork_slope`` is dx/dy at the fork."""

    high: Path
    thigh: Path
    shin: Path
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
        at_knee = common_slope(shin_slope, chord, knee[1] - hem[1], y - knee[1])
        # A parabola is the evenest hollow; a wide leg still leaves the fork a little inwards.
        at_fork = min(2.0 * chord - at_knee, -0.03)
        above = rising((fork[0], y), at_fork, knee, at_knee)
        if want is None:
            break
        miss = want - _length(above)
        if abs(miss) < EXACT:
            break
        y += miss
    notch = above.length / 3.0 if match is None else above.length - match.thigh.length
    high, thigh = above.split(notch)
    return Inseam(high, thigh, rising(knee, at_knee, hem, 0.0), at_fork)


def direction(slope: float, up: bool) -> Array:
    """Unit direction along a line of slope dx/dy, upwards or downwards, (2,)."""
    size = (1.0 + slope * slope) ** 0.5
    sign = 1.0 if up else -1.0
    return np.array([sign * slope / size, sign / size])


def leftwards_square(slope: float) -> Array:
    """Unit direction to the left at right angles to a line of slope dx/dy, (2,)."""
    size = (1.0 + slope * slope) ** 0.5
    return np.array([-1.0 / size, slope / size])
