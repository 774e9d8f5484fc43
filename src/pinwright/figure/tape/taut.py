"""The tape drawn taut in a plane: it lies on the body and bridges its hollows.

In the plane of a section the shortest curve that stays outside is the convex hull of the part of
the section it has to go round: closed for a girth, open between two points.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.errors import GeometryError
from pinwright.figure.tape.section import Array, Loop, enclosed


def hull(points: Array) -> Array:
    """The convex hull of points (k, 2), anticlockwise, corners only (Andrew's monotone chain)."""
    order = np.lexsort((points[:, 1], points[:, 0]))
    sorted_points: list[list[float]] = points[order].tolist()
    lower = _half(sorted_points)
    upper = _half(sorted_points[::-1])
    found = lower[:-1] + upper[:-1]
    return np.array(found if found else lower[:1])


def _half(points: list[list[float]]) -> list[list[float]]:
    found: list[list[float]] = []
    for x, y in points:
        while len(found) > 1:
            (ax, ay), (bx, by) = found[-2], found[-1]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                break
            found.pop()
        found.append([x, y])
    return found


def length(curve: Array) -> float:
    """The length of an open curve (k, 2) or (k, 3), cm."""
    return float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum())


def girth(points: Array) -> float:
    """The taut length round points (k, 2), cm."""
    return round_length(hull(points))


def along_to(curve: Array, p: Array) -> float:
    """How far along an open curve (k, 2) its point nearest to p (2,) lies, cm."""
    step = np.diff(curve, axis=0)
    size = np.linalg.norm(step, axis=1)
    part = np.clip(((p - curve[:-1]) * step).sum(axis=1) / np.maximum(size, 1e-12) ** 2, 0.0, 1.0)
    away = np.linalg.norm(curve[:-1] + part[:, None] * step - p, axis=1)
    k = int(np.argmin(away))
    return float(size[:k].sum() + part[k] * size[k])


def first(curve: Array, cm: float) -> Array:
    """An open curve (k, 2 or 3) from its start for so many cm."""
    reach = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1))])
    end = [np.interp(cm, reach, curve[:, k]) for k in range(curve.shape[1])]
    found: Array = np.concatenate([curve[reach < cm], [end]])
    return found


def round_length(curve: Array) -> float:
    """The length of a closed curve (k, 2), cm; the last point is joined to the first."""
    return float(np.linalg.norm(np.roll(curve, -1, axis=0) - curve, axis=1).sum())


def furthest(curve: Array, axis: int, value: float, sign: float) -> Array:
    """Where a closed curve (k, 2) has the coordinate ``axis`` at a value: (2,).

    Of several such places the one with the greatest sign x (the other coordinate). Raises
    GeometryError where the curve does not come there.
    """
    after = np.roll(curve, -1, axis=0)
    a, b = curve[:, axis] - value, after[:, axis] - value
    hit = np.flatnonzero((np.minimum(a, b) <= 0.0) & (np.maximum(a, b) >= 0.0))
    if not len(hit):
        raise GeometryError(f"the section does not reach {value:.1f} cm.")
    rise = a[hit] - b[hit]
    part = np.where(rise == 0.0, 0.0, a[hit] / np.where(rise == 0.0, 1.0, rise))
    other = 1 - axis
    at = curve[hit, other] + part * (after[hit, other] - curve[hit, other])
    ends = np.where(rise == 0.0, after[hit, other], at)  # an edge along the line: both its ends
    best = max((*at.tolist(), *ends.tolist()), key=lambda t: sign * t)
    return np.array([value, best]) if axis == 0 else np.array([best, value])


def _foot(curve: Array, p: Array) -> tuple[int, float, float]:
    """Of the place on a closed curve nearest p: its edge, how far along (0 to 1), its distance."""
    edge = np.roll(curve, -1, axis=0) - curve
    square = np.einsum("ij,ij->i", edge, edge)
    along = np.einsum("ij,ij->i", p - curve, edge) / np.where(square == 0.0, 1.0, square)
    along = along.clip(0.0, 1.0)
    away = np.linalg.norm(curve + along[:, None] * edge - p, axis=1)
    i = int(np.argmin(away))
    return i, float(along[i]), float(away[i])


def parted(curve: Array, a: Array, b: Array) -> tuple[Array, Array]:
    """A closed curve as the open ones from a to b and from b to a, each at its nearest place."""
    i, s, _ = _foot(curve, a)
    j, t, _ = _foot(curve, b)

    def at(k: int, part: float) -> Array:
        found: Array = curve[k] + part * (curve[(k + 1) % len(curve)] - curve[k])
        return found

    def run(k: int, first: Array, last: Array, steps: int) -> Array:
        between = curve[(k + 1 + np.arange(steps)) % len(curve)]
        return np.concatenate([first[None], between, last[None]])

    n = len(curve)
    there, back = (j - i) % n, (i - j) % n
    if i == j:
        there, back = (0, n) if s <= t else (n, 0)
    pa, pb = at(i, s), at(j, t)
    return run(i, pa, pb, there), run(j, pb, pa, back)


def nearest(loops: Sequence[Loop], *places: Array) -> Loop:
    """The loop that comes nearest to one place (3,), or to several in sum.

    Raises GeometryError when there is none.
    """
    if not loops:
        raise GeometryError("the plane misses the figure.")
    return min(loops, key=lambda loop: sum(_foot(loop.space, p)[2] for p in places))


def between(loops: Sequence[Loop], p: Array, q: Array) -> Array:
    """The part of a section from p to q (3,) on the side of +v: (k, 2) in a plane through both.

    It is the stretch of one loop, the nearest to p and q, found by following it: nothing that is
    not joined to both ends (a chin over the shoulder) comes in. Of the two stretches it is the one
    further out, which is the one with more area between itself and the chord.
    """
    loop = nearest(loops, p, q)
    there, back = parted(loop.flat, _place(loop, p), _place(loop, q))
    # +v lies to the left of the chord: outside of it a stretch and the chord back run clockwise
    return min((there, back[::-1]), key=enclosed)


def _place(loop: Loop, p: Array) -> Array:
    """A point in space (3,) at its nearest place of a loop, in the plane: (2,)."""
    i, s, _ = _foot(loop.space, p)
    found: Array = loop.flat[i] + s * (loop.flat[(i + 1) % len(loop.flat)] - loop.flat[i])
    return found


def strip(loops: Sequence[Loop], end: float) -> Array:
    """The points of a section with 0 <= u <= end: (k, 2), those on the two borders with them."""
    found = [np.empty((0, 2))]
    for loop in loops:
        a, b = loop.flat, np.roll(loop.flat, -1, axis=0)
        found.append(a[(a[:, 0] >= 0.0) & (a[:, 0] <= end)])
        for border in (0.0, end):
            hit = (a[:, 0] < border) != (b[:, 0] < border)
            part = (border - a[hit, 0]) / (b[hit, 0] - a[hit, 0])
            found.append(a[hit] + part[:, None] * (b[hit] - a[hit]))
    return np.concatenate(found)


def over(points: Array, end: float) -> Array:
    """The taut curve (k, 2) from (0, 0) to (end, 0) over the points with v >= 0."""
    ends = np.array([[0.0, 0.0], [end, 0.0]])
    curve = hull(np.concatenate([ends, points[points[:, 1] > 0.0]]))
    last = int(np.flatnonzero((curve == ends[1]).all(axis=1))[0])
    # anticlockwise from there the hull comes back over the top, and the chord is its last edge
    found: Array = np.roll(curve, -last, axis=0)[::-1]
    return found


def along(curve: Array, axis: int, value: float) -> float:
    """How far along an open curve (k, 2 or 3) its coordinate first reaches a value, cm.

    Raises GeometryError if it never does.
    """
    c = curve[:, axis] - value
    hit = np.flatnonzero((c[:-1] * c[1:] <= 0.0) & (c[:-1] != c[1:]))
    if not len(hit):
        raise GeometryError(f"the tape does not come to {value:.1f} cm.")
    i = int(hit[0])
    step = float(np.linalg.norm(curve[i + 1] - curve[i]))
    return length(curve[: i + 1]) + step * float(c[i] / (c[i] - c[i + 1]))
