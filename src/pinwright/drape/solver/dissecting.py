"""In which order the rows of a shell are eliminated: nested dissection by small cuts.

Each part is cut in two across the directions in which it is long, and by how far a vertex lies from
one end of it; what separates the halves is the smallest set of vertices that touches every pair
across the cut (a vertex cover from a matching of the pairs: König's theorem, as in Pothen & Fan
1990, ACM TOMS 16(4)). The smallest cut that leaves even halves is taken. So fronts stay small and
the chain of them, which a device with many cores must go along one by one, short.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole

LEAF = 40
"""A part of so many vertices is not cut further."""

SMALL = 300
"""Of a part of no more vertices only halves are tried."""


OUTSIDE, LOW, HIGH, CUT = -1, 0, 1, 2


def dissected(graph: csr_array, x: Array) -> list[Whole]:
    """Parts of the vertices in the order of elimination.

    graph: (n, n), which vertices meet, symmetric. x: (n, 3) cm, where they are, roughly.
    """
    start, beside = graph.indptr.astype(np.int64), graph.indices.astype(np.int64)
    order, ends = _in_parts(start, beside, np.ascontiguousarray(x))
    return np.split(order, ends[:-1])[::-1]


@njit(cache=True, nogil=True)
def _in_parts(start: Whole, beside: Whole, x: Array) -> tuple[Whole, Whole]:
    """The vertices part by part, the last to be eliminated first, and where each part ends."""
    n = len(start) - 1
    order, ends = np.empty(n, np.int64), np.empty(n, np.int64)
    done, many = 0, 0
    # what is still to be cut, each part's vertices in order
    left = np.arange(n)
    todo = np.empty((n + 2, 2), np.int64)
    todo[0, 0], todo[0, 1] = 0, n
    deep = 1 if n else 0
    side, mate = np.full(n, OUTSIDE, np.int8), np.full(n, -1, np.int64)
    came, seen = np.empty(n, np.int64), np.full(n + 1, -1, np.int64)
    while deep:
        deep -= 1
        begin, end = todo[deep]
        v = left[begin:end].copy()
        if len(v) <= LEAF:
            order[done : done + len(v)] = v
            done += len(v)
            ends[many] = done
            many += 1
            continue
        found = _halved(start, beside, x, v, side, mate, came, seen)
        cut = v[found == CUT]
        if len(cut):
            order[done : done + len(cut)] = cut
            done += len(cut)
            ends[many] = done
            many += 1
        low, high = v[found == LOW], v[found == HIGH]
        middle, end = begin + len(high), begin + len(high) + len(low)
        left[begin:middle], left[middle:end] = high, low
        for a, b in ((begin, middle), (middle, end)):
            if b > a:
                todo[deep, 0], todo[deep, 1] = a, b
                deep += 1
    return order, ends[:many]


@njit(cache=True, nogil=True)
def _halved(
    start: Whole,
    beside: Whole,
    x: Array,
    v: Whole,
    side: NDArray[np.int8],
    mate: Whole,
    came: Whole,
    seen: Whole,
) -> NDArray[np.int8]:
    """On which side of a cut vertices v (k,) lie, or that they are it; the last four as in
    :func:`_cut`."""
    count = len(v)
    side[v] = LOW
    reached = _reached(start, beside, v[0], count, side)
    if len(reached) < count:
        side[v] = HIGH
        side[reached] = LOW
        apart = side[v]
        side[v] = OUTSIDE
        return apart
    middle, spread = np.zeros(3), np.zeros((3, 3))
    for i in v:
        for a in range(3):
            middle[a] += x[i, a] / count
    off = np.empty((count, 3))
    for k in range(count):
        for a in range(3):
            off[k, a] = x[v[k], a] - middle[a]
    for a in range(3):
        for b in range(3):
            spread[a, b] = (off[:, a] * off[:, b]).sum()
    _, turn = np.linalg.eigh(spread)
    ranks = np.empty((3, count), np.int64)
    for k in range(2):
        way = turn[:, 2 - k]
        far = off[:, 0] * way[0] + off[:, 1] * way[1] + off[:, 2] * way[2]
        ranks[k] = v[np.argsort(far, kind="mergesort")]
    ranks[2] = _reached(start, beside, reached[-1], count, side)
    best, found = np.inf, np.empty(count, np.int8)
    for rank in ranks:
        # small parts are many, and little hangs on how they are cut
        for share in (0.4, 0.5, 0.6):
            if share != 0.5 and count <= SMALL:
                continue
            first = int(share * count)
            side[rank[:first]] = LOW
            side[rank[first:]] = HIGH
            cut = _cut(start, beside, rank[:first], side, mate, came, seen)
            low = first
            for i in rank[:first]:
                low -= side[i] == CUT
            uneven = abs(2 * low + cut - count) / count
            cost = cut * (1.0 + 0.5 * uneven)
            if cost < best:
                best, found = cost, side[v]
    side[v] = OUTSIDE
    return found


@njit(cache=True, nogil=True)
def _reached(start: Whole, beside: Whole, first: int, count: int, side: NDArray[np.int8]) -> Whole:
    """The vertices of a part that hang together with the first, the farthest last."""
    found = np.empty(count, np.int64)
    side[first] = CUT
    found[0] = first
    k, end = 0, 1
    while k < end:
        for q in range(start[found[k]], start[found[k] + 1]):
            o = beside[q]
            if side[o] == LOW:
                side[o] = CUT
                found[end] = o
                end += 1
        k += 1
    for k in range(end):
        side[found[k]] = LOW
    return found[:end]


@njit(cache=True, nogil=True)
def _cut(
    start: Whole,
    beside: Whole,
    low: Whole,
    side: NDArray[np.int8],
    mate: Whole,
    came: Whole,
    seen: Whole,
) -> int:
    """Puts the fewest vertices that touch every pair of LOW with HIGH to CUT: how many.

    low: (k,) the vertices that are LOW. mate, came: (n,), seen: (n + 1,) to work in: mate is -1
    all over and left so, seen nowhere more than at its end.
    """
    edge = np.empty(len(low), np.int64)
    count = 0
    for v in low:
        for q in range(start[v], start[v + 1]):
            if side[beside[q]] == HIGH:
                edge[count] = v
                count += 1
                break
    queue = np.empty(count, np.int64)
    mark = seen[-1] + 1
    seen[-1] += count + 1
    # augmenting paths from each vertex in turn, the shortest first
    for k in range(count + 1):
        head, tail = 0, 0
        if k < count:
            queue[0] = edge[k]
            tail = 1
            if mate[edge[k]] >= 0:
                continue
        else:
            # at the last all that could not be matched, to tell what they reach
            for j in range(count):
                if mate[edge[j]] < 0:
                    queue[tail] = edge[j]
                    seen[edge[j]] = mark + k
                    tail += 1
        end = -1
        while head < tail and end < 0:
            v = queue[head]
            head += 1
            for q in range(start[v], start[v + 1]):
                o = beside[q]
                if side[o] != HIGH or seen[o] == mark + k:
                    continue
                seen[o] = mark + k
                came[o] = v
                if mate[o] < 0:
                    end = o
                    break
                queue[tail] = mate[o]
                seen[mate[o]] = mark + k
                tail += 1
        while end >= 0:
            v = came[end]
            before = mate[v]
            mate[end], mate[v] = v, end
            end = before
    cut = 0
    for j in range(count):
        v = edge[j]
        o = mate[v]
        if o < 0:
            continue
        side[o if seen[o] == mark + count else v] = CUT
        cut += 1
    for j in range(count):
        v = edge[j]
        if mate[v] >= 0:
            mate[mate[v]] = -1
            mate[v] = -1
    return cut
