"""Closed outlines: area polygon, self crossings, and the outline moved out edge by edge."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry import curves
from pinwright.geometry.path import Path
from pinwright.geometry.trim import self_crossings

Array = NDArray[np.float64]

CLOSING = 1e-6
"""Widest gap, cm, between one path's end and the next one's start around an outline."""


def _closed(paths: Sequence[Path]) -> None:
    if not paths:
        raise GeometryError("An outline needs at least one path; none was given.")
    for i, (before, after) in enumerate(pairwise([*paths, paths[0]])):
        gap = float(np.hypot(*(after.start - before.end)))
        if gap > CLOSING:
            raise GeometryError(
                f"An outline must close: path {i} ends at {before.end.tolist()}, {gap:.6g} cm from "
                f"the start of the next at {after.start.tolist()}."
            )


def polygon(paths: Sequence[Path], tolerance: float = 0.01) -> shapely.Polygon:
    """Polygon of the closed run of ``paths``, every chord within ``tolerance`` cm of its curve.

    It may be invalid (shapely's word) when the outline crosses itself: see ``self_crossing``.
    Raises GeometryError when the paths do not close within ``CLOSING``.
    """
    _closed(paths)
    pts = np.concatenate([path.flatten(tolerance)[:-1] for path in paths])
    if len(pts) < 3:
        raise GeometryError(f"An outline needs three corners at least; this one has {len(pts)}.")
    return shapely.Polygon(pts)


def signed_area(paths: Sequence[Path]) -> float:
    """Area inside the closed run of ``paths``, cm², exact; positive when it runs anticlockwise.

    Green's theorem on each cubic, ½ ∮ (x dy - y dx), with the products of Bernstein polynomials
    integrated in closed form.
    """
    _closed(paths)
    origin = paths[0].start
    total = 0.0
    for path in paths:
        rel = path.ctrl - origin
        total += float(np.einsum("ni,ij,nj->", rel[:, :, 0], _GREEN, rel[:, :, 1]))
    return total


# ∫ (B_i B_j' - B_i' B_j)/2 du for cubic Bernstein polynomials, so that x·G·y is the area swept.
_GREEN = np.array([[0, 6, 3, 1], [-6, 0, 3, 3], [-3, -3, 0, 6], [-1, -3, -6, 0]]) / 20.0


def self_crossing(paths: Sequence[Path]) -> list[Array]:
    """Points (2,) where the closed outline meets itself other than where neighbours join."""
    _closed(paths)
    chain = Path(np.concatenate([path.ctrl for path in _snapped(paths)]))
    n = chain.spans
    places = self_crossings(chain.ctrl, _smooth_joints(chain))
    points: list[Array] = []
    for start, end in places:
        # With a handle folded into the end the curve stands still at the joint: only the length
        # along it tells the joint from a crossing, the parameters there are good to 1e-5 or so.
        round_ = _legs(chain.ctrl, end, n) + _legs(chain.ctrl, 0.0, start)
        if min(_legs(chain.ctrl, start, end), round_) <= CLOSING:
            continue
        span = min(int(start), n - 1)
        point = curves.at(chain.ctrl[span], start - span)
        if not any(np.hypot(*(point - p)) < CLOSING for p in points):
            points.append(point)
    return points


def _legs(ctrl: Array, start: float, end: float) -> float:
    """Length, cm, of the control legs from one place (span + u) on to another.

    The curve is no longer than they are. Counted no further than is needed to pass ``CLOSING``.
    """
    total = 0.0
    for k in range(int(start), len(ctrl)):
        u0, u1 = max(start - k, 0.0), min(end - k, 1.0)
        if u1 <= u0 or total > CLOSING:
            break
        total += float(np.hypot(*np.diff(cb.subcurve(ctrl[k], u0, u1), axis=0).T).sum())
    return total


def _smooth_joints(chain: Path) -> NDArray[np.bool_]:
    """Joints whose two spans turn so little that they cannot meet again."""
    legs = np.diff(chain.ctrl, axis=1)
    flags = np.zeros(chain.spans - 1, dtype=np.bool_)
    for i in range(chain.spans - 1):
        fan = np.concatenate([legs[i], legs[i + 1]])
        fan = fan[np.abs(fan).max(axis=1) > 0.0]
        middle = fan.sum(axis=0)
        # All legs within 90 degrees of one direction: the two spans together are a graph over it.
        flags[i] = bool((fan @ middle > 0.0).all())
    return flags


def _snapped(paths: Sequence[Path]) -> list[Path]:
    """The same paths with each start put exactly on the end before it."""
    out: list[Path] = []
    for before, path in zip([paths[-1], *paths[:-1]], paths, strict=True):
        ctrl = path.ctrl.copy()
        ctrl[0, 0] = before.end
        out.append(Path(ctrl))
    return out


def offset_outline(
    paths: Sequence[Path],
    distances: Sequence[float],
    tolerance: float = 0.005,
    mitre_limit: float = 4.0,
) -> list[Path]:
    """Each path of a closed outline moved out by its own distance (cm, 0 or more), corners met.

    The outline runs either way round; out is away from its area. Neighbours are cut where their
    parallels cross, or run on straight along their tangents until they meet; where they would
    meet further from the corner than ``mitre_limit`` times the larger distance (or nowhere), a
    straight step joins the two. Corner treatments belong to cutting, not here.

    Raises GeometryError when the outline does not close, has no area, when the numbers of paths
    and distances differ, a distance is negative, or a path is cut away altogether.
    """
    if len(paths) != len(distances):
        raise GeometryError(
            f"offset_outline: {len(paths)} paths need as many distances, not {len(distances)}."
        )
    if not all(np.isfinite(d) and d >= 0.0 for d in distances):
        raise GeometryError(f"offset_outline: distances must be 0 cm or more: {list(distances)}.")
    area = signed_area(paths)
    if area == 0.0:
        raise GeometryError("offset_outline: the outline encloses no area, so it has no outside.")
    out = -1.0 if area > 0.0 else 1.0
    moved = [
        path.offset(out * d, "mitre", tolerance, mitre_limit)
        for path, d in zip(paths, distances, strict=True)
    ]
    steps: list[Path | None] = []
    for i in range(len(moved)):
        j = (i + 1) % len(moved)
        limit = mitre_limit * max(distances[i], distances[j])
        moved[i], step, moved[j] = _meet(moved[i], moved[j], paths[i].end, limit, i)
        steps.append(step)
    return [path if step is None else path + step for path, step in zip(moved, steps, strict=True)]


def _meet(
    a: Path, b: Path, corner: Array, limit: float, index: int
) -> tuple[Path, Path | None, Path]:
    """``a`` and ``b`` cut or lengthened to one point, or joined by a step when they cannot be."""
    if np.hypot(*(b.start - a.end)) <= 1e-9:
        return a, None, b
    found = a.intersections(b)
    if found:
        s, t = max(found, key=lambda hit: hit[0] - hit[1])
        if s < 1e-6 or t > b.length - 1e-6:
            raise GeometryError(
                f"offset_outline: nothing is left of path {index} or its neighbour."
            )
        return (
            a if s > a.length - 1e-6 else a.split(s)[0],
            None,
            b if t < 1e-6 else b.split(t)[1],
        )
    p, q, into, out_of = a.end, b.start, a.end_tangent, -b.start_tangent
    cross = float(into[0] * out_of[1] - into[1] * out_of[0])
    gap = q - p
    if abs(cross) > 1e-9:
        run_a = float(gap[0] * out_of[1] - gap[1] * out_of[0]) / cross
        run_b = float(gap[0] * into[1] - gap[1] * into[0]) / cross
        meeting = p + run_a * into
        if run_a >= 0.0 and run_b >= 0.0 and np.hypot(*(meeting - corner)) <= limit:
            return _run_on(a, run_a), None, _run_on(b.reversed(), run_b).reversed()
    return a, Path.line(p, q), b


def _run_on(path: Path, length: float) -> Path:
    return path.extended(end=length) if length > 1e-9 else path
