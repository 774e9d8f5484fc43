"""In which order the rows of a shell are eliminated: nested dissection by small cuts.

Each part is cut in two across the directions in which it is long, and by how far a vertex lies from
one end of it; what separates the halves is the smallest set of vertices that touches every pair
across the cut (a vertex cover from a matching of the pairs: König's theorem, as in Pothen & Fan
1990, ACM TOMS 16(4)). The smallest cut that leaves even halves is taken. So fronts stay small and
the chain of them, which a device with many cores must go along one by one, short.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, maximum_bipartite_matching

from pinwright.drape.data import Array, Whole

LEAF = 40
"""A part of so many vertices is not cut further."""

SMALL = 300
"""Of a part of no more vertices only halves are tried."""


def dissected(graph: csr_array, x: Array) -> list[Whole]:
    """Parts of the vertices in the order of elimination.

    graph: (n, n), which vertices meet, symmetric. x: (n, 3) cm, where they are, roughly.
    """
    out: list[Whole] = []
    todo = [np.arange(graph.shape[0])]
    while todo:
        v = todo.pop()
        if len(v) <= LEAF:
            if len(v):
                out.append(v)
            continue
        cut, low, high = _halved(graph, x, v)
        if len(cut):
            out.append(cut)
        todo += [high, low]
    return out[::-1]


def _halved(graph: csr_array, x: Array, v: Whole) -> tuple[Whole, Whole, Whole]:
    """What separates, and the halves: numbers of vertices."""
    part = csr_array(graph[v][:, v])
    off = x[v] - x[v].mean(axis=0)
    _, turn = np.linalg.eigh(off.T @ off)
    ranks = [np.argsort(off @ turn[:, k], kind="stable") for k in (2, 1)]
    reached = breadth_first_order(part, 0, directed=False, return_predecessors=False)
    if len(reached) == len(v):
        last = int(reached[-1])
        order = breadth_first_order(part, last, directed=False, return_predecessors=False)
        ranks.append(order.astype(np.int64))
    else:
        rest = np.setdiff1d(np.arange(len(v)), reached)
        return np.empty(0, np.int64), v[reached], v[rest]
    best: tuple[float, Whole] | None = None
    # small parts are many, and little hangs on how they are cut
    for rank in ranks:
        for share in (0.4, 0.5, 0.6) if len(v) > SMALL else (0.5,):
            side: Whole = np.ones(len(v), np.int64)
            side[rank[: int(share * len(v))]] = 0
            cut = _cover(part, side)
            side[cut] = 2
            uneven = abs(int((side == 0).sum()) - int((side == 1).sum())) / len(v)
            cost = len(cut) * (1.0 + 0.5 * uneven)
            if best is None or cost < best[0]:
                best = cost, side
    assert best is not None
    found = best[1]
    return v[found == 2], v[found == 0], v[found == 1]


def _cover(part: csr_array, side: Whole) -> Whole:
    """The fewest vertices that touch every pair of one of side 0 with one of side 1."""
    rows = np.repeat(np.arange(len(side)), np.diff(part.indptr))
    across = (side[rows] == 0) & (side[part.indices] == 1)
    low, to_low = np.unique(rows[across], return_inverse=True)
    high, to_high = np.unique(part.indices[across], return_inverse=True)
    if not len(low):
        return np.empty(0, np.int64)
    pairs = csr_array(
        (np.ones(len(to_low), np.int8), (to_low, to_high)), shape=(len(low), len(high))
    )
    mate = maximum_bipartite_matching(pairs, perm_type="column")
    mate_of = np.full(len(high), -1)
    mate_of[mate[mate >= 0]] = np.flatnonzero(mate >= 0)
    # reached from unmatched vertices of side 0 by alternating paths
    seen_low, seen_high = mate < 0, np.zeros(len(high), bool)
    front = np.flatnonzero(seen_low)
    while len(front):
        to = np.unique(pairs[front].indices)
        to = to[~seen_high[to]]
        seen_high[to] = True
        back = mate_of[to]
        back = back[back >= 0]
        front = back[~seen_low[back]]
        seen_low[front] = True
    found: Whole = np.concatenate([low[~seen_low], high[seen_high]])
    return found
