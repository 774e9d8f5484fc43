"""Smooth cubics through sampled points, straight runs kept straight.

Least squares with re-parametrisation, split where the error is greatest.

References
----------
P. J. Schneider, An algorithm for automatically fitting digitized curves, Graphics Gems, 1990
(from memory). Here the handles are free at a corner and keep the direction only inside a run.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry.nearest import nearest
from pinwright.geometry.path import Path

Array = NDArray[np.float64]

TOLERANCE = 0.05
"""How far the fitted curve may pass from a sampled point, cm."""

STEP = 0.25
"""Sampled runs are fitted at points so far apart, cm."""

STRAIGHT_RUN = 8.0
"""A part of a run at least so long (cm) that does not bend is drawn straight."""

LONGEST_HANDLE = 0.7
"""Of its run: the handle of an arc of 270 degrees is (4/3) tan(67.5°) / 4.71 = 0.68 of the arc."""

_ROUNDS = 12
_LEAST = 4


def resampled(pts: Array, step: float = STEP) -> Array:
    """Points (k, 2) evenly along a polyline (m, 2), ends kept, about ``step`` cm apart."""
    legs = np.hypot(*np.diff(pts, axis=0).T)
    keep = np.concatenate([[True], legs > 1e-9])
    pts = pts[keep]
    along = np.concatenate([[0.0], np.cumsum(legs[legs > 1e-9])])
    if not along[-1] > 0.0:
        raise GeometryError("A run of an outline has no length.")
    s = np.linspace(0.0, along[-1], max(2, round(along[-1] / step) + 1))
    return np.stack([np.interp(s, along, pts[:, i]) for i in (0, 1)], axis=1)


def fitted(pts: Array, tolerance: float = TOLERANCE) -> Path:
    """A path from the first of the points (m, 2) to the last, within ``tolerance`` cm of each.

    Where points scatter more than that about any smooth curve it is only as near as it can be;
    :func:`deviation` says how near.

    Raises:
        GeometryError: fewer than two points, or all the same.
    """
    if len(pts) < 2:
        raise GeometryError(f"A run needs two points at least; this one has {len(pts)}.")
    pts = np.asarray(pts, dtype=float)
    found: list[tuple[float, Path]] = []
    for finer in (1, 2, 5):
        run = resampled(pts, STEP / finer)
        spans = _straights(run, tolerance, None, None)
        spans[0][0], spans[-1][3] = run[0], run[-1]
        path = Path(np.stack(spans))
        found.append((deviation(path, pts), path))
        if found[-1][0] <= tolerance:
            break
    return min(found, key=lambda f: f[0])[1]


def deviation(path: Path, pts: Array) -> float:
    """The greatest distance, cm, of points (m, 2) from a path."""
    return max(nearest(path.ctrl, p)[2] for p in pts)


def bend(pts: Array) -> tuple[float, float]:
    """(bend, scatter), cm, of a run of points (m, 2) against its best straight line.

    The bend is how far the best polynomial of degree five over the line leaves it, which single
    points hardly move; the scatter is the greatest distance of a point from that line or the chord.
    """
    chord = pts[-1] - pts[0]
    size = float(np.hypot(*chord))
    if size < 1e-9:
        return float("inf"), float("inf")
    t, n = chord / size, np.array([-chord[1], chord[0]]) / size
    x, y = (pts - pts[0]) @ t, (pts - pts[0]) @ n
    if len(pts) < 3:
        return 0.0, 0.0
    u = 2.0 * x / size - 1.0
    line = np.polyval(np.polyfit(u, y, 1), u)
    scatter = float(np.abs(y - line).max())
    scatter = max(scatter, float(np.abs(y).max()))
    if len(pts) < 9:
        return scatter, scatter
    return float(np.abs(np.polyval(np.polyfit(u, y, 5), u) - line).max()), scatter


def is_straight(pts: Array, tolerance: float) -> bool:
    """Whether a run of points cannot be told from a straight line."""
    bent, scatter = bend(pts)
    return bent <= tolerance / 4.0 and scatter <= tolerance


def _straights(
    run: Array, tolerance: float, into: Array | None, out_of: Array | None
) -> list[Array]:
    """Spans (4, 2) of a run whose ends leave along ``into`` and arrive along ``out_of``, if given.

    A straight run is sought first, and the rest drawn so that it flows into it.
    """
    if into is None and out_of is None and is_straight(run, tolerance):
        return [cb.line(run[0], run[-1])]
    found = _longest_straight(run, tolerance)
    if found is None:
        return _curve(run, tolerance, into, out_of)
    i, j = found
    way = _line_through(run[i : j + 1])
    spans: list[Array] = []
    a = run[0] if i == 0 else _foot(run[i], run[i : j + 1], way)
    b = run[-1] if j == len(run) - 1 else _foot(run[j], run[i : j + 1], way)
    if i > 0:
        spans += _straights(np.concatenate([run[:i], a[None]]), tolerance, into, way)
    spans.append(cb.line(a, b))
    if j < len(run) - 1:
        spans += _straights(np.concatenate([b[None], run[j + 1 :]]), tolerance, way, out_of)
    return spans


def _line_through(pts: Array) -> Array:
    """Direction of travel (2,) of the best line through points."""
    centred = pts - pts.mean(axis=0)
    way: Array = np.linalg.svd(centred, full_matrices=False)[2][0]
    return way if float(way @ (pts[-1] - pts[0])) > 0 else -way


def _foot(p: Array, pts: Array, way: Array) -> Array:
    middle = pts.mean(axis=0)
    out: Array = middle + float((p - middle) @ way) * way
    return out


def _longest_straight(run: Array, tolerance: float) -> tuple[int, int] | None:
    """First and last index of the longest straight part, if it is long enough."""
    legs = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    best: tuple[int, int] | None = None
    size = STRAIGHT_RUN
    i = 0
    while i < len(run) - 1 and legs[-1] - legs[i] >= size - 1e-9:
        j = int(np.searchsorted(legs, legs[i] + size - 1e-9))
        grown = False
        while j < len(run) and is_straight(run[i : j + 1], tolerance):
            best, size, grown = (i, j), float(legs[j] - legs[i]) + 1e-6, True
            j += 1
        i += 1 if grown else 2
    return best


def _curve(run: Array, tolerance: float, into: Array | None, out_of: Array | None) -> list[Array]:
    span, errors = _cubic(run, into, out_of)
    if float(errors.max()) <= tolerance:
        return [span]
    if len(run) <= _LEAST:
        # a bend sharper than the points tell: as they stand
        return [cb.line(a, b) for a, b in pairwise(run)]
    at = int(np.clip(errors.argmax(), 2, len(run) - 3)) if len(run) > 5 else len(run) // 2
    way = _tangent(run, at)
    return [
        *_curve(run[: at + 1], tolerance, into, way),
        *_curve(run[at:], tolerance, way, out_of),
    ]


def _tangent(run: Array, at: int) -> Array:
    """Direction of travel at a point, by parabolas through the points within about 1.5 cm."""
    lo, hi = max(0, at - 6), min(len(run), at + 7)
    k = np.arange(lo, hi) - at
    d = np.array([np.polyfit(k, run[lo:hi, i], 2 if len(k) > 3 else 1)[-2] for i in (0, 1)])
    out: Array = d / float(np.hypot(*d))
    return out


def _cubic(run: Array, into: Array | None, out_of: Array | None) -> tuple[Array, Array]:
    """The best cubic (4, 2) from the first to the last point, and each point's distance.

    A handle left free goes where the points pull it. Where the points are too few to tell it, or
    pull it back from the next of them or too far, it is laid along the leg to that one: a curve
    that runs out past a corner and comes back to it crosses its neighbour there.
    """
    first, last = _way(run[0], run[1]), _way(run[-2], run[-1])
    unknown = (2 if into is None else 1) + (2 if out_of is None else 1)
    if 2 * (len(run) - 2) < unknown:
        into, out_of = first if into is None else into, last if out_of is None else out_of
    span, errors = _nearest_cubic(run, into, out_of)
    longest = LONGEST_HANDLE * _length(run)
    if into is None and first is not None and _astray(span[1] - span[0], first, longest):
        return _cubic(run, first, out_of)
    if out_of is None and last is not None and _astray(span[3] - span[2], last, longest):
        return _cubic(run, into, last)
    return span, errors


def _astray(handle: Array, way: Array, longest: float) -> bool:
    return float(handle @ way) <= 0.0 or float(np.hypot(*handle)) > longest


def _length(run: Array) -> float:
    return float(np.hypot(*np.diff(run, axis=0).T).sum())


def _way(a: Array, b: Array) -> Array | None:
    """Direction (2,) from one point to another, None where they are one."""
    size = float(np.hypot(*(b - a)))
    return (b - a) / size if size > 0.0 else None


def _nearest_cubic(run: Array, into: Array | None, out_of: Array | None) -> tuple[Array, Array]:
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    u = u / u[-1]
    span = _least_squares(run, u, into, out_of)
    for _ in range(_ROUNDS):
        u = _nearer(span, run, u)
        span = _least_squares(run, u, into, out_of)
    u = _nearer(span, run, u)
    away = cb.points(span[None], u)[0] - run
    return span, np.hypot(away[:, 0], away[:, 1])


def _least_squares(run: Array, u: Array, into: Array | None, out_of: Array | None) -> Array:
    """Handles that bring the cubic nearest to the points at parameters ``u``."""
    p0, p3 = run[0], run[-1]
    chord = float(np.hypot(*(p3 - p0)))
    longest = LONGEST_HANDLE * _length(run)
    v = 1.0 - u
    b1, b2 = 3 * u * v * v, 3 * u * u * v
    rest = run - (v**3 + b1)[:, None] * p0 - (u**3 + b2)[:, None] * p3
    columns: list[Array] = []
    for weight, way in ((b1, into), (b2, None if out_of is None else -out_of)):
        if way is None:
            zero = np.zeros_like(weight)
            columns += [np.stack([weight, zero], 1).ravel(), np.stack([zero, weight], 1).ravel()]
        else:
            columns.append((weight[:, None] * way).ravel())
    found = np.linalg.lstsq(np.stack(columns, axis=1), rest.ravel(), rcond=None)[0].tolist()
    handles: list[Array] = []
    for way in (into, None if out_of is None else -out_of):
        if way is None:
            handles.append(np.array([found.pop(0), found.pop(0)]))
        else:
            size = found.pop(0)
            # one that turned back would make a loop, a longer one a fold: a third of the chord
            handles.append(way * (size if 1e-3 * chord < size < longest else chord / 3.0))
    return np.stack([p0, p0 + handles[0], p3 + handles[1], p3])


def _nearer(span: Array, run: Array, u: Array) -> Array:
    """One Newton step of each parameter towards the foot of its point."""
    at = cb.points(span[None], u)[0] - run
    d1 = cb.derivatives(span[None], u)[0]
    d2 = cb.second_derivatives(span[None], u)[0]
    slope = (at * d1).sum(axis=1)
    curve = (d1 * d1).sum(axis=1) + (at * d2).sum(axis=1)
    step = np.where(curve > 1e-12, slope / np.where(curve > 1e-12, curve, 1.0), 0.0)
    moved = np.clip(u - step, 0.0, 1.0)
    moved[0], moved[-1] = 0.0, 1.0
    # parameters must stay in order, or the curve would double back
    out: Array = np.maximum.accumulate(moved)
    return out
