"""Hinges of a mesh, which vertices meet over them, and what folds at them weigh: compiled loops.

What they give is told in :mod:`pinwright.drape.solver.stencils`.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from pinwright.drape.data import Array, Whole


@njit(cache=True, nogil=True)
def hinged(triangles: Whole, n: int) -> tuple[Whole, Whole]:
    """The two half edges of each hinge, by the lower of its vertices and then by the higher; half
    edge 3 t + k goes from corner k of triangle t to the next."""
    m = len(triangles)
    ends = np.zeros(n + 1, np.int64)
    low, high = np.empty(3 * m, np.int64), np.empty(3 * m, np.int64)
    for half in range(3 * m):
        t, k = divmod(half, 3)
        a, b = triangles[t, k], triangles[t, (k + 1) % 3]
        low[half], high[half] = min(a, b), max(a, b)
        ends[low[half] + 1] += 1
    for v in range(n):
        ends[v + 1] += ends[v]
    order, at = np.empty(3 * m, np.int64), ends[:-1].copy()
    for half in range(3 * m):
        # into its place among the few of the same vertex
        v = low[half]
        q = at[v]
        while q > ends[v] and high[order[q - 1]] > high[half]:
            order[q] = order[q - 1]
            q -= 1
        order[q] = half
        at[v] += 1
    one, two = np.empty(3 * m, np.int64), np.empty(3 * m, np.int64)
    count = 0
    for q in range(1, 3 * m):
        a, b = order[q - 1], order[q]
        if low[a] == low[b] and high[a] == high[b]:
            one[count], two[count] = a, b
            count += 1
    return one[:count], two[:count]


@njit(cache=True, nogil=True)
def _seen_from(
    triangles: Whole, rest: Array, half: int, start: int, found: Array
) -> tuple[int, float, float]:
    """Of the triangle of a half edge: the corner opposite, how far off the edge it lies and how far
    along it, from start, as parts of the edge. found: takes the edge in its flat (2,)."""
    t, k = divmod(half, 3)
    i, j, o = k, (k + 1) % 3, (k + 2) % 3
    if triangles[t, i] != start:
        i, j = j, i
    along0, along1 = rest[t, j, 0] - rest[t, i, 0], rest[t, j, 1] - rest[t, i, 1]
    off0, off1 = rest[t, o, 0] - rest[t, i, 0], rest[t, o, 1] - rest[t, i, 1]
    square = along0 * along0 + along1 * along1
    found[0], found[1] = along0, along1
    far = abs(along0 * off1 - along1 * off0) / square
    return triangles[t, o], far, (along0 * off0 + along1 * off1) / square


@njit(cache=True, nogil=True)
def folds(
    triangles: Whole, rest: Array, one: Whole, two: Whole
) -> tuple[Whole, Array, Whole, Array]:
    """Hinges: vertices (h, 4), folds (h, 4), sides (3 m,) and turn (3 m, 3)."""
    m, count = len(triangles), len(one)
    corners, fold = np.empty((count, 4), np.int64), np.empty((count, 4))
    sides, turn = np.full(3 * m, -1, np.int64), np.zeros((3 * m, 3))
    edges, far, part = np.empty((2, count, 2)), np.empty((2, count)), np.empty((2, count))
    for h in range(count):
        t, k = divmod(one[h], 3)
        a, b = triangles[t, k], triangles[t, (k + 1) % 3]
        corners[h, 0], corners[h, 1] = min(a, b), max(a, b)
        for side, half in enumerate((one[h], two[h])):
            o, f, p = _seen_from(triangles, rest, half, corners[h, 0], edges[side, h])
            corners[h, 2 + side], far[side, h], part[side, h] = o, f, p
        f1, p1, f2, p2 = far[0, h], part[0, h], far[1, h], part[1, h]
        fold[h, 0] = (1.0 - p1) / f1 + (1.0 - p2) / f2
        fold[h, 1] = p1 / f1 + p2 / f2
        fold[h, 2], fold[h, 3] = -1.0 / f1, -1.0 / f2
    for side, halves in enumerate((one, two)):
        for h in range(count):
            half = halves[h]
            t, k = divmod(half, 3)
            d0, d1 = edges[side, h]
            # the four corners in this triangle's own flat, the other one unfolded into it
            sign = 1.0 if triangles[t, k] == corners[h, 0] else -1.0
            in0, in1 = -sign * d1, sign * d0
            mine, theirs = 2 + side, 3 - side
            p, f, q, g = part[side, h], far[side, h], part[1 - side, h], far[1 - side, h]
            at = (
                (1, d0, d1),
                (mine, p * d0 + f * in0, p * d1 + f * in1),
                (theirs, q * d0 - g * in0, q * d1 - g * in1),
            )
            turn[half] = 0.0
            for c, u, v in at:
                turn[half, 0] += fold[h, c] * 0.5 * u * u
                turn[half, 1] += fold[h, c] * u * v
                turn[half, 2] += fold[h, c] * 0.5 * v * v
            sides[half] = h
    return corners, fold, sides, turn


@njit(cache=True, nogil=True)
def _about(triangles: Whole, hinge: Whole, sides: Whole, t: int, found: Whole) -> None:
    """Takes the corners of a triangle, and for each of its sides the corner beyond it, -1 where
    there is none (6,)."""
    for k in range(3):
        found[k] = triangles[t, k]
        h = sides[t, k]
        found[3 + k] = -1
        if h >= 0:
            own = triangles[t, (k + 2) % 3]
            found[3 + k] = hinge[h, 3] if hinge[h, 2] == own else hinge[h, 2]


@njit(cache=True, nogil=True)
def meeting(triangles: Whole, hinge: Whole, sides: Whole, n: int) -> tuple[Whole, Whole, Whole]:
    """The pairs that meet, the higher first: each vertex with itself, then by the higher and by the
    lower; and where those of each vertex with lower ones begin (n + 1,)."""
    m = len(triangles)
    here = np.empty(6, np.int64)
    ends = np.zeros(n + 1, np.int64)
    for t in range(m):
        _about(triangles, hinge, sides, t, here)
        for a in here:
            for b in here:
                if a > b >= 0:
                    ends[a + 1] += 1
    for v in range(n):
        ends[v + 1] += ends[v]
    lower, at = np.empty(ends[n], np.int64), ends[:-1].copy()
    for t in range(m):
        _about(triangles, hinge, sides, t, here)
        for a in here:
            for b in here:
                if a > b >= 0:
                    lower[at[a]] = b
                    at[a] += 1
    first, second = np.empty(n + len(lower), np.int64), np.empty(n + len(lower), np.int64)
    first[:n] = second[:n] = np.arange(n)
    begin, mark = np.empty(n + 1, np.int64), np.full(n, -1, np.int64)
    begin[0] = n
    for v in range(n):
        count = 0
        for q in range(ends[v], ends[v + 1]):
            b = lower[q]
            if mark[b] != v:
                mark[b] = v
                lower[ends[v] + count] = b
                count += 1
        begin[v + 1] = begin[v] + count
        second[begin[v] : begin[v + 1]] = np.sort(lower[ends[v] : ends[v] + count])
        first[begin[v] : begin[v + 1]] = v
    return first[: begin[n]], second[: begin[n]], begin


@njit(cache=True, nogil=True)
def pair_of(second: Whole, begin: Whole, a: int, b: int) -> int:
    """The number of a pair of vertices that meet."""
    if a == b:
        return a
    low, row = min(a, b), begin[max(a, b)]
    return int(row + np.searchsorted(second[row : begin[max(a, b) + 1]], low))


@njit(cache=True, nogil=True)
def weighed(
    triangles: Whole,
    hinge: Whole,
    fold: Array,
    sides: Whole,
    weight: Array,
    second: Whole,
    begin: Whole,
) -> Array:
    """For each pair (p,) what folds weigh there: weight (m, 3, 3) is of the folds at the sides of a
    triangle, each with each."""
    found = np.zeros(begin[-1])
    here, by = np.empty(6, np.int64), np.zeros((3, 6))
    for t in range(len(triangles)):
        _about(triangles, hinge, sides, t, here)
        by[:] = 0.0
        for k in range(3):
            h = sides[t, k]
            if h < 0:
                continue
            for q in range(4):
                at = 3 + k
                for c in range(3):
                    if here[c] == hinge[h, q]:
                        at = c
                by[k, at] += fold[h, q]
        for a in range(6):
            for b in range(a + 1):
                if here[a] < 0 or here[b] < 0:
                    continue
                total = 0.0
                for i in range(3):
                    for j in range(3):
                        total += by[i, a] * weight[t, i, j] * by[j, b]
                if total == 0.0:
                    continue
                # two of its corners that are one vertex count both ways
                if a != b and here[a] == here[b]:
                    total *= 2.0
                found[pair_of(second, begin, here[a], here[b])] += total
    return found


@njit(cache=True, nogil=True)
def corners_of(triangles: Whole, second: Whole, begin: Whole) -> tuple[Whole, Whole, Whole, Whole]:
    """In which triangles each pair lies, from where on (p + 1,), and at which of their corners: of
    the first of the pair, and of the second."""
    many = 6 * len(triangles)
    one, other = (0, 1, 2, 1, 2, 2), (0, 1, 2, 0, 0, 1)
    pair, ends = np.empty(many, np.int64), np.zeros(begin[-1] + 1, np.int64)
    for q in range(many):
        t, k = divmod(q, 6)
        pair[q] = pair_of(second, begin, triangles[t, one[k]], triangles[t, other[k]])
        ends[pair[q] + 1] += 1
    for p in range(begin[-1]):
        ends[p + 1] += ends[p]
    triangle, a, b = np.empty(many, np.int64), np.empty(many, np.int64), np.empty(many, np.int64)
    at = ends[:-1].copy()
    for q in range(many):
        t, k = divmod(q, 6)
        to = at[pair[q]]
        at[pair[q]] += 1
        triangle[to], a[to], b[to] = t, one[k], other[k]
        if triangles[t, other[k]] > triangles[t, one[k]]:
            a[to], b[to] = other[k], one[k]
    return ends, triangle, a, b
