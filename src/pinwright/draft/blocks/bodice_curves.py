"""The curves of a bodice: armhole, side seam, hem, neck. Directions follow the edge's travel."""

from __future__ import annotations

from math import atan2, cos, degrees, radians, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from pinwright.geometry.path import Path

Array = NDArray[np.float64]


def vec(x: float, y: float) -> Array:
    """A point or direction (2,)."""
    return np.array([x, y])


def turned(v: Array, degrees_: float) -> Array:
    """The vector turned anticlockwise."""
    c, s = cos(radians(degrees_)), sin(radians(degrees_))
    return np.array([c * v[0] - s * v[1], s * v[0] + c * v[1]])


def left(v: Array) -> Array:
    """The vector turned a quarter to the left: the next edge at a square corner."""
    return np.array([-v[1], v[0]])


def right(v: Array) -> Array:
    """The vector turned a quarter to the right: the edge before, at a square corner."""
    return np.array([v[1], -v[0]])


def armhole(
    underarm: Array, out: Array, pitch: Array, tip: Array, arrive: Array
) -> tuple[Path, Path]:
    """The armhole from the underarm to the shoulder end, in its part below and above the pitch.

    It leaves the underarm along ``out``, passes the pitch point, where the piece is narrowest
    across, and arrives at the tip along ``arrive`` (square to the shoulder). The upper part is
    drawn like an arc: it leaves the pitch by as much to the one side of its chord as it arrives
    to the other. Both parts share tangent and, within the handles' limits, curvature at the pitch,
    so that the hollow is round and runs out evenly towards the shoulder.
    """
    chord = tip - pitch
    lean = degrees(atan2(chord[0], chord[1]))
    end = degrees(atan2(arrive[0], arrive[1]))
    # as an arc would, but near enough to upright that the pitch stays the narrowest place
    at_pitch = min(max(2.0 * lean - end, -14.0), 5.0)
    t = vec(sin(radians(at_pitch)), cos(radians(at_pitch)))
    across, up = abs(underarm[0] - pitch[0]), abs(pitch[1] - underarm[1])
    size = float(np.hypot(*chord))
    p2 = tip - 0.34 * size * arrive
    # both parts have one curvature at the pitch: the square handle below goes as far as that asks
    low_handle, handle = 0.60 * up, 0.36 * size
    ahead = max(_beside(t, p2 - pitch), 0.0)
    base, rate = _beside(t, underarm - pitch), _beside(t, across * out)
    square = (ahead * (low_handle / handle) ** 2 - base) / rate
    p1 = underarm + min(max(square, 0.62), 0.76) * across * out
    bend = _beside(t, p1 - pitch) / low_handle**2
    handle = min(max(sqrt(ahead / max(bend, 1e-9)), 0.22 * size), 0.5 * size)
    low = Path.cubic(underarm, p1, pitch - low_handle * t, pitch)
    return low, Path.cubic(pitch, pitch + handle * t, p2, tip)


def _beside(direction: Array, v: Array) -> float:
    """How far ``v`` points to the right of a unit direction."""
    return float(direction[1] * v[0] - direction[0] * v[1])


def side(
    underarm: float, hip: float, hem: float, at_waist: float, at_hip: float, at_hem: float
) -> tuple[Path, Path, Path]:
    """The side seam from the hem up, in parts hem to hip, hip to waist, waist to underarm.

    Heights ``underarm``, ``hip`` and ``hem`` are above the waist at 0; ``at_...`` say how far out
    from the underarm the seam stands there. Front and back draw the same curve, so they agree.
    """
    whole = Path.through(np.array([[at_hem, hem], [at_hip, hip], [at_waist, 0.0], [0.0, underarm]]))
    return Path(whole.ctrl[:1]), Path(whole.ctrl[1:2]), Path(whole.ctrl[2:])


def hem(start: Array, end: Array, side_tangent: Array) -> Path:
    """The hem from the centre, square to it, to the side, square to the side seam.

    Level until near the side; where the side flares it rises there as far as it swings.
    """
    width = float(end[0] - start[0])
    arrive = right(side_tangent)
    return Path.cubic(
        start,
        start + vec(0.5 * width, 0.0),
        end - min(HEM_SWING, 0.4 * width) * arrive,
        end,
    )


HEM_SWING = 8.0
"""Length, cm, over which a hem rises to be square to a flared side seam."""


def front_neck(neck_point: Array, leave: Array, centre: Array) -> Path:
    """The front neckline from the neck point, leaving along ``leave``, to the centre, level."""
    across, down = neck_point[0] - centre[0], neck_point[1] - centre[1]
    return Path.cubic(
        neck_point, neck_point + 0.60 * down * leave, centre + vec(0.56 * across, 0.0), centre
    )


def back_neck(neck_point: Array, leave: Array, centre: Array) -> Path:
    """The back neckline from the neck point, leaving along ``leave``, to the nape, level."""
    across, down = neck_point[0] - centre[0], neck_point[1] - centre[1]
    return Path.cubic(
        neck_point, neck_point + 0.95 * down * leave, centre + vec(0.52 * across, 0.0), centre
    )
