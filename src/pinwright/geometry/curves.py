"""Ways to lay down cubics: lines, arcs, a smooth curve through points, one cubic by its ends."""

from __future__ import annotations

from math import ceil, radians, sin, sqrt, tan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb

Array = NDArray[np.float64]

ARC_STEP_DEG = 15.0
"""Widest arc given to one cubic: keeps the radius within 6e-9 of its value."""


def point(p: ArrayLike, what: str = "point") -> Array:
    """``p`` as a finite float array (2,)."""
    a = np.asarray(p, dtype=np.float64)
    if a.shape != (2,) or not np.isfinite(a).all():
        raise GeometryError(f"{what} must be two finite numbers (x, y), not {p!r}.")
    return a


def unit(v: ArrayLike, what: str = "direction") -> Array:
    """``v`` scaled to length 1; raises GeometryError when it has no length."""
    a = point(v, what)
    size = float(np.hypot(a[0], a[1]))
    if not size > 0.0:
        raise GeometryError(f"{what} has no length, so it points nowhere: {a.tolist()}.")
    return np.asarray(a / size, dtype=np.float64)


def direction(span: Array, u: float) -> Array:
    """Unit tangent (2,) of one cubic, the limit where the derivative vanishes (folded handles)."""
    d = cb.derivatives(span[None], np.array([u]))[0, 0]
    size = float(np.hypot(d[0], d[1]))
    scale = float(np.abs(span - span[0]).max())
    if size > 1e-12 * scale and size > 0.0:
        return np.asarray(d / size, dtype=np.float64)
    if scale == 0.0:
        raise GeometryError(f"A span without length at {span[0].tolist()} has no direction.")
    sign = -1.0 if u > 0.5 else 1.0  # beyond the middle the curve is seen arriving
    d = cb.second_derivatives(span[None], np.array([u]))[0, 0] * sign
    if float(np.hypot(d[0], d[1])) <= 1e-12 * scale:
        d = span[3] - span[0]
    return unit(d, "tangent")


def polyline(pts: ArrayLike) -> Array:
    """Straight cubics (k-1, 4, 2) through the points (k, 2); k at least 2."""
    p = _points(pts, "polyline")
    leg = (p[1:] - p[:-1]) / 3.0
    return np.stack([p[:-1], p[:-1] + leg, p[1:] - leg, p[1:]], axis=1)


def arc_radial_error(step_deg: float) -> float:
    """Largest relative radial error of one cubic over an arc of ``step_deg``, all of it outward.

    The squared radius is 1 + (4/27) sin⁶(θ/4) / cos²(θ/4) at most for handles (4/3) tan(θ/4):
    Goldapp, Computer Aided Geometric Design 8 (1991), from memory; the tests measure it.
    """
    quarter = radians(step_deg) / 4.0
    square = (4.0 / 27.0) * sin(quarter) ** 6 / (1.0 - sin(quarter) ** 2)
    return square / (1.0 + sqrt(1.0 + square))


def arc(centre: ArrayLike, radius: float, start_deg: float, sweep_deg: float) -> Array:
    """Cubics along a circular arc from ``start_deg``, turning left for a positive sweep.

    A circle is not a polynomial: with at most ``ARC_STEP_DEG`` to a cubic the radius is right
    within 6e-9 of itself, ends and tangents exactly.
    """
    c = point(centre, "arc: the centre")
    if not (np.isfinite(radius) and radius > 0.0):
        raise GeometryError(f"arc: the radius must be more than 0 cm, not {radius}.")
    if not (np.isfinite([start_deg, sweep_deg]).all() and 0.0 < abs(sweep_deg) <= 360.0):
        raise GeometryError(
            f"arc: start {start_deg} and sweep {sweep_deg} must be finite, the sweep not 0 and at "
            "most 360 degrees either way."
        )
    n = ceil(abs(sweep_deg) / ARC_STEP_DEG - 1e-9)
    angles = np.radians(start_deg + sweep_deg * np.arange(n + 1) / n)
    handle = (4.0 / 3.0) * tan(radians(sweep_deg / n) / 4.0)
    radial = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    along = np.stack([-radial[:, 1], radial[:, 0]], axis=1) * handle
    ring = np.stack(
        [radial[:-1], radial[:-1] + along[:-1], radial[1:] - along[1:], radial[1:]], axis=1
    )
    return np.asarray(c + radius * ring, dtype=np.float64)


def hermite(
    p0: ArrayLike,
    t0: ArrayLike,
    p1: ArrayLike,
    t1: ArrayLike,
    pull0: float = 1.0 / 3.0,
    pull1: float = 1.0 / 3.0,
) -> Array:
    """One cubic (1, 4, 2) by its ends and the directions there; handle = pull × chord.

    Directions point along the travel at both ends; their size is ignored.
    """
    a, b = point(p0, "hermite: the start"), point(p1, "hermite: the end")
    chord = float(np.hypot(*(b - a)))
    if not chord > 0.0:
        raise GeometryError(f"hermite: start and end are the same point {a.tolist()}.")
    if not (np.isfinite([pull0, pull1]).all() and pull0 >= 0.0 and pull1 >= 0.0):
        raise GeometryError(f"hermite: pulls must be 0 or more, not {pull0} and {pull1}.")
    d0 = unit(t0, "hermite: the start direction") * (pull0 * chord)
    d1 = unit(t1, "hermite: the end direction") * (pull1 * chord)
    return np.stack([a, a + d0, b - d1, b])[None]


def through(
    pts: ArrayLike, start_tangent: ArrayLike | None = None, end_tangent: ArrayLike | None = None
) -> Array:
    """C2 interpolating cubic spline through points (k, 2), chord-length parameters.

    Given end directions are kept exactly (unit speed there); an end left free is natural (no
    curvature). Two points and no directions make the straight line.

    References
    ----------
    Farin, Curves and Surfaces for CAGD, chapter on C2 cubic spline interpolation (from memory).
    """
    p = _points(pts, "through")
    chords = np.hypot(*(p[1:] - p[:-1]).T)
    if not (chords > 0.0).all():
        i = int(np.argmin(chords))
        raise GeometryError(f"through: points {i} and {i + 1} coincide at {p[i].tolist()}.")
    n = len(p)
    system = np.zeros((n, n))
    right = np.zeros((n, 2))
    inner = np.arange(1, n - 1)
    before, after = chords[:-1], chords[1:]
    system[inner, inner - 1] = after
    system[inner, inner] = 2.0 * (before + after)
    system[inner, inner + 1] = before
    slopes = (p[1:] - p[:-1]) / chords[:, None]
    right[1:-1] = 3.0 * (after[:, None] * slopes[:-1] + before[:, None] * slopes[1:])
    if start_tangent is None:
        system[0, :2] = 2.0, 1.0
        right[0] = 3.0 * slopes[0]
    else:
        system[0, 0] = 1.0
        right[0] = unit(start_tangent, "through: the start direction")
    if end_tangent is None:
        system[-1, -2:] = 1.0, 2.0
        right[-1] = 3.0 * slopes[-1]
    else:
        system[-1, -1] = 1.0
        right[-1] = unit(end_tangent, "through: the end direction")
    velocity = np.linalg.solve(system, right)
    third = chords[:, None] / 3.0
    return np.stack(
        [p[:-1], p[:-1] + velocity[:-1] * third, p[1:] - velocity[1:] * third, p[1:]], 1
    )


def split_evenly(ctrl: Array, max_length: float) -> Array:
    """The same curve with each cubic cut into equal lengths of at most ``max_length`` cm."""
    if not max_length > 0.0:
        raise GeometryError(f"subdivided: the longest span must be more than 0 cm: {max_length}.")
    pieces: list[Array] = []
    for span, length in zip(ctrl, cb.lengths(ctrl).tolist(), strict=True):
        n = max(1, ceil(length / max_length - 1e-9))
        if n == 1:
            pieces.append(span[None])
            continue
        cuts = [cb.param_at_length(span, length * k / n) for k in range(1, n)]
        pieces.append(cut_at(span, cuts))
    return np.concatenate(pieces)


def cut_at(span: Array, cuts: list[float]) -> Array:
    """One cubic (4, 2) cut at ascending parameters inside (0, 1): (len(cuts) + 1, 4, 2)."""
    u = np.array([0.0, *cuts, 1.0])
    out = cb.subcurve(span, u[:-1], u[1:])
    out[1:, 0] = out[:-1, 3]  # neighbours share their point to the last bit
    out[0, 0], out[-1, 3] = span[0], span[3]
    return out


def flatten(ctrl: Array, tolerance: float) -> Array:
    """Polyline (m, 2) whose chords stay within ``tolerance`` cm of the curve, ends included.

    A chord over a parameter step h misses by at most h²/8 · max|P''|, and |P''| is at most six
    times the larger second difference of the control points, so the count is proven, not tried.
    """
    if not tolerance > 0.0:
        raise GeometryError(f"flatten: the tolerance must be more than 0 cm, not {tolerance}.")
    bend = ctrl[:, 2:] - 2.0 * ctrl[:, 1:3] + ctrl[:, :2]
    worst = 6.0 * np.sqrt((bend**2).sum(axis=2).max(axis=1))
    counts = np.maximum(1, np.ceil(np.sqrt(worst / (8.0 * tolerance)) - 1e-9)).astype(int)
    span = np.repeat(np.arange(len(ctrl)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    u = (np.arange(len(span)) - first) / counts[span]
    pts = cb.points(ctrl[span], u[:, None])[:, 0]
    pts[u == 0.0] = ctrl[:, 0]
    return np.concatenate([pts, ctrl[-1:, 3]])


def _points(pts: ArrayLike, what: str) -> Array:
    p = np.asarray(pts, dtype=np.float64)
    if p.ndim != 2 or p.shape[1] != 2 or len(p) < 2:
        raise GeometryError(f"{what} needs at least two points (k, 2), not shape {p.shape}.")
    if not np.isfinite(p).all():
        raise GeometryError(f"{what}: a point is not finite: {p.tolist()}.")
    return p


def at(span: Array, u: float) -> Array:
    """Point (2,) of one cubic (4, 2) at ``u``."""
    place: Array = cb.points(span[None], np.array([u]))[0, 0]
    return place
