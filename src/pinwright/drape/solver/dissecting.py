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


def dissected(graph: csr_array, x: Array) -> list[Whole]:
    """Parts of the vertices in the order of elimination.

    graph: (n, n), which vertices meet, symmetric. x: (n, 3) cm, where they are, roughly.
    """
    n = graph.shape[0]
    start, beside = graph.indptr.astype(np.int64), graph.indices.astype(np.int64)
    side = np.full(n, OUTSIDE, np.int8)
    mate = np.full(n, -1, np.int64)
    out: list[Whole] = []
    todo = [np.arange(n)]
    while todo:
        v = todo.pop()
        if len(v) <= LEAF:
            if len(v):
                out.append(v)
            continue
        cut, low, high = _halved(start, beside, x, v, side, mate)
        if len(cut):
            out.append(cut)
        todo += [high, low]
    return out[::-1]


OUTSIDE, LOW, HIGH, CUT = -1, 0, 1, 2


def _halved(
    start: Whole, beside: Whole, x: Array, v: Whole, side: NDArray[np.int8], mate: Whole
) -> tuple[Whole, Whole, Whole]:
    """What separates, and the halves: numbers of vertices. side, mate: (n,) to work in."""
    off = x[v] - x[v].mean(axis=0)
    _, turn = np.linalg.eigh(off.T @ off)
    ranks = [v[np.argsort(off @ turn[:, k], kind="stable")] for k in (2, 1)]
    side[v] = LOW
    reached = _reached(start, beside, v[0], len(v), side)
    if len(reached) < len(v):
        rest = np.setdiff1d(v, reached)
        side[v] = OUTSIDE
        return np.empty(0, np.int64), np.sort(reached), rest
    ranks.append(_reached(start, beside, reached[-1], len(v), side))
    best: tuple[float, NDArray[np.int8]] | None = None
    # small parts are many, and little hangs on how they are cut
    for rank in ranks:
        for share in (0.4, 0.5, 0.6) if len(v) > SMALL else (0.5,):
            first = int(share * len(v))
            side[rank[:first]] = LOW
            side[rank[first:]] = HIGH
            cut = _cut(start, beside, rank[:first], side, mate)
            low = first - int((side[rank[:first]] == CUT).sum())
            uneven = abs(2 * low + cut - len(v)) / len(v)
            cost = cut * (1.0 + 0.5 * uneven)
            if best is None or cost < best[0]:
                best = cost, side[v]
    assert best is not None
    found = best[1]
    side[v] = OUTSIDE
    return v[found == CUT], v[found == LOW], v[found == HIGH]


@njit(cache=True)
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


@njit(cache=True)
def _cut(start: Whole, beside: Whole, low: Whole, side: NDArray[np.int8], mate: Whole) -> int:
    """Puts the fewest vertices that touch every pair of LOW with HIGH to CUT: how many.

    low: (k,) the vertices that are LOW. mate: (n,) to work in, -1 all over, left so.
    """
    edge = np.empty(len(low), np.int64)
    count = 0
    for v in low:
        for q in range(start[v], start[v + 1]):
            if side[beside[q]] == HIGH:
                edge[count] = v
                count += 1
                break
    n = len(side)
    came = np.empty(n, np.int64)
    seen = np.full(n, -1, np.int64)
    queue = np.empty(count, np.int64)
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
                    seen[edge[j]] = k
                    tail += 1
        end = -1
        while head < tail and end < 0:
            v = queue[head]
            head += 1
            for q in range(start[v], start[v + 1]):
                o = beside[q]
                if side[o] != HIGH or seen[o] == k:
                    continue
                seen[o] = k
                came[o] = v
                if mate[o] < 0:
                    end = o
                    break
                queue[tail] = mate[o]
                seen[mate[o]] = k
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
        side[o if seen[o] == count else v] = CUT
        cut += 1
    for j in range(count):
        v = edge[j]
        if mate[v] >= 0:
            mate[mate[v]] = -1
            mate[v] = -1
    return cut
