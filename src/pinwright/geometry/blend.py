"""Smoothing a corner, and measures of how fair a line runs."""

from __future__ import annotations

from math import acos, cos

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry.path import Path

Array = NDArray[np.float64]

MEETING = 1e-6
"""Ends this close, cm, count as one corner."""

_PROBES = np.linspace(0.0, 1.0, 33)


def round_pull(turn_deg: float) -> float:
    """Handle over chord with which one cubic turns evenly through ``turn_deg``: 1/(3 cos²(θ/4)).

    It is the usual circle handle (4/3) tan(θ/4) R over the chord 2 R sin(θ/2); 1/3 when straight.
    """
    return 1.0 / (3.0 * cos(np.radians(turn_deg) / 4.0) ** 2)


def g1_blend(a: Path, b: Path, reach: float) -> Path:
    """``a`` then ``b`` with the corner between them replaced by one smooth cubic.

    The cubic runs from ``reach`` cm before the corner to ``reach`` cm beyond it (along the paths)
    and shares both tangents; the rest of ``a`` and ``b`` is unchanged. Where the two already meet
    smoothly and straight, it lies on them.

    Raises GeometryError when the ends do not meet within ``MEETING``, or ``reach`` is not more
    than 0 and less than both lengths, or the corner doubles back on itself (180 degrees).
    """
    gap = float(np.hypot(*(b.start - a.end)))
    if gap > MEETING:
        raise GeometryError(
            f"g1_blend: the paths must meet, but their ends are {gap:.6g} cm apart."
        )
    if not 0.0 < reach < min(a.length, b.length):
        raise GeometryError(
            f"g1_blend: the reach must be more than 0 and less than both paths "
            f"({a.length:.6g} and {b.length:.6g} cm), not {reach:.6g} cm."
        )
    before, after = a.split(a.length - reach)[0], b.split(reach)[1]
    t0, t1 = before.end_tangent, after.start_tangent
    turn = float(np.degrees(acos(min(1.0, max(-1.0, float(t0 @ t1))))))
    if turn > 179.0:
        raise GeometryError(f"g1_blend: the corner turns back by {turn:.4g} degrees; at most 179.")
    pull = round_pull(turn)
    return before + Path.hermite(before.end, t0, after.start, t1, pull, pull) + after


def kinks(path: Path, threshold_deg: float = 0.1) -> list[tuple[float, float]]:
    """Joints where the tangent breaks by more than ``threshold_deg``: (s cm, signed degrees)."""
    out: list[tuple[float, float]] = []
    for i in range(path.spans - 1):
        p, q = Path(path.ctrl[i : i + 1]).end_tangent, Path(path.ctrl[i + 1 : i + 2]).start_tangent
        turn = float(np.degrees(np.arctan2(p[0] * q[1] - p[1] * q[0], p @ q)))
        if abs(turn) > threshold_deg:
            out.append((path.cumulative[i + 1], turn))
    return out


def curvature_samples(path: Path) -> Array:
    """Signed curvature, 1/cm, at 33 places a span (33 n,), in order; both sides of each joint."""
    out: Array = cb.curvature(path.ctrl, _PROBES).ravel()
    return out


def inflections(path: Path, threshold: float = 1e-4) -> int:
    """How often the path changes between turning left and turning right.

    Stretches with less curvature than ``threshold`` (1/cm) count as straight and as neither; the
    usual 1e-4 is a radius of 100 m.
    """
    bend = curvature_samples(path)
    side = np.sign(bend[np.abs(bend) > threshold])
    return int(np.count_nonzero(side[1:] != side[:-1]))


def wobble(path: Path) -> float:
    """Length times the total variation of the curvature: L ∫ |dκ/ds| ds, a pure number.

    0 for a straight line or an arc, whatever the size; a curve whose curvature rises once and
    falls once has 2 L (κmax - κmin) at most; every further wave adds to it. Jumps of curvature at
    joints count, breaks of tangent do not (see ``kinks``). Curvature is sampled at 33 places a
    span, so a wave between samples is missed. Our own measure; curvature variation as a measure
    of fairness: Moreton & Séquin, SIGGRAPH 1992 (from memory).
    """
    return path.length * float(np.abs(np.diff(curvature_samples(path))).sum())
