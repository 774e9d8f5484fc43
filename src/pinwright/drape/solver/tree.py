"""Which fronts a matrix is factored by, what enters each, and which wait for which.

Everything here depends only on which vertices meet. Vertices are numbered by their place in the
order of elimination.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole

PIECES = 6
"""For each thread so many branches at least, so that none waits long for another."""


@dataclass(frozen=True, slots=True, eq=False)
class Tree:
    """Fronts in the order of elimination, children before parents.

    order: (n,) the vertex at each place. first: (f,) the first place of each front. own, later:
    (f,) how many vertices are eliminated in a front, and how many later ones it touches.
    where_ends: (f + 1,), where: their places, own first. pair_ends: (f + 1,), pair, row, column,
    turned: the blocks of the matrix that enter, their place in the front, and whether they lie
    transposed. child_ends: (f + 1,), child: the fronts that enter; into_ends: (f + 1,), into: where
    the later vertices of a front lie in the one it enters. panel_ends: (f + 1,) where its numbers
    lie. work: (f,) multiplications.
    """

    order: Whole
    first: Whole
    own: Whole
    later: Whole
    where_ends: Whole
    where: Whole
    pair_ends: Whole
    pair: Whole
    row: Whole
    column: Whole
    turned: NDArray[np.bool_]
    child_ends: Whole
    child: Whole
    into_ends: Whole
    into: Whole
    panel_ends: Whole
    parent: Whole
    work: Array


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """Branches to be factored as one, and which wait for which.

    todo: fronts of each. parent: the share that waits for it, -1 for none; below: those it waits
    for, children: (k,) how many. ready: those that wait for none, the largest last.
    """

    todo: tuple[Whole, ...]
    parent: tuple[int, ...]
    below: tuple[tuple[int, ...], ...]
    children: Whole
    ready: tuple[int, ...]


@njit(cache=True, nogil=True)
def _joined(
    ends: Whole, owner: Whole, start: Whole, beyond: Whole, most: int
) -> tuple[Whole, Whole, Whole]:
    """Later vertices of each front: their ends (f + 1,) and places, and the parents (f,)."""
    count = len(ends) - 1
    n = ends[count]
    later_ends = np.zeros(count + 1, np.int64)
    later = np.empty(most, np.int64)
    parent = np.full(count, -1, np.int64)
    first_child = np.full(count, -1, np.int64)
    next_child = np.full(count, -1, np.int64)
    mark = np.full(n, -1, np.int64)
    found = np.empty(n, np.int64)
    for f in range(count):
        k = 0
        for v in range(ends[f], ends[f + 1]):
            for q in range(start[v], start[v + 1]):
                o = beyond[q]
                if o >= ends[f + 1] and mark[o] != f:
                    mark[o] = f
                    found[k] = o
                    k += 1
        c = first_child[f]
        while c >= 0:
            for q in range(later_ends[c], later_ends[c + 1]):
                o = later[q]
                if o >= ends[f + 1] and mark[o] != f:
                    mark[o] = f
                    found[k] = o
                    k += 1
            c = next_child[c]
        begin = later_ends[f]
        if begin + k > len(later):
            grown = np.empty(2 * (begin + k), np.int64)
            grown[:begin] = later[:begin]
            later = grown
        later[begin : begin + k] = np.sort(found[:k])
        later_ends[f + 1] = begin + k
        if k:
            p = owner[later[begin]]
            parent[f] = p
            next_child[f] = first_child[p]
            first_child[p] = f
    return later_ends, later[: later_ends[count]], parent


@njit(cache=True, nogil=True)
def _placed(
    ends: Whole,
    later_ends: Whole,
    later: Whole,
    parent: Whole,
    pair_ends: Whole,
    low: Whole,
    high: Whole,
    into: Whole,
    row: Whole,
    column: Whole,
) -> None:
    """Fills where later vertices (of into) and blocks (row, column) lie in their fronts."""
    count = len(ends) - 1
    for f in range(count):
        for q in range(pair_ends[f], pair_ends[f + 1]):
            column[q] = low[q] - ends[f]
            if high[q] < ends[f + 1]:
                row[q] = high[q] - ends[f]
            else:
                mine = later[later_ends[f] : later_ends[f + 1]]
                row[q] = ends[f + 1] - ends[f] + np.searchsorted(mine, high[q])
        p = parent[f]
        if p < 0:
            continue
        theirs = later[later_ends[p] : later_ends[p + 1]]
        k = 0
        for q in range(later_ends[f], later_ends[f + 1]):
            v = later[q]
            if v < ends[p + 1]:
                into[q] = v - ends[p]
            else:
                while theirs[k] < v:
                    k += 1
                into[q] = ends[p + 1] - ends[p] + k


def in_order(
    n: int, first: Whole, second: Whole, parts: Sequence[Whole]
) -> tuple[Whole, Whole, Whole, Whole]:
    """The vertex at each place (n,), where each part begins (f + 1,), and the places (p,) of the
    first and of the second vertices of pairs."""
    order = np.concatenate(parts)
    place = np.empty(n, np.int64)
    place[order] = np.arange(n)
    ends = np.concatenate([[0], np.cumsum([len(v) for v in parts])])
    return order, ends, place[first], place[second]


def later_of(ends: Whole, low: Whole, high: Whole) -> tuple[Whole, Whole, Whole]:
    """The later vertices that each of f fronts touches: their ends (f + 1,) and places, in order;
    and the front that each enters (f,), -1 for none.

    ends: (f + 1,) the places of the vertices that are eliminated in each. low, high: (p,) places of
    vertices that meet, each pair once.
    """
    n, off = int(ends[-1]), low != high
    owner = np.repeat(np.arange(len(ends) - 1), np.diff(ends))
    start = csr_array((np.ones(int(off.sum()), np.int8), (low[off], high[off])), shape=(n, n))
    begin, beyond = start.indptr.astype(np.int64), start.indices.astype(np.int64)
    found: tuple[Whole, Whole, Whole] = _joined(ends, owner, begin, beyond, 8 * n)
    return found


def tree_of(n: int, first: Whole, second: Whole, parts: Sequence[Whole]) -> Tree:
    """The fronts of a matrix with blocks for pairs of n vertices, in the order of parts."""
    order, ends, pa, pb = in_order(n, first, second, parts)
    own = np.diff(ends)
    turned = pa < pb  # the block's row must be the later one
    low, high = np.minimum(pa, pb), np.maximum(pa, pb)
    later_ends, later, parent = later_of(ends, low, high)
    by = np.argsort(low, kind="stable")
    pair_ends = np.searchsorted(low[by], ends)
    into = np.empty(len(later), np.int64)
    row, column = np.empty(len(by), np.int64), np.empty(len(by), np.int64)
    _placed(ends, later_ends, later, parent, pair_ends, low[by], high[by], into, row, column)
    touched = np.diff(later_ends)
    where_ends = np.concatenate([[0], np.cumsum(own + touched)])
    where = np.concatenate(
        [
            np.concatenate(
                [np.arange(ends[f], ends[f + 1]), later[later_ends[f] : later_ends[f + 1]]]
            )
            for f in range(len(own))
        ]
    )
    child = np.argsort(parent, kind="stable")
    child = child[parent[child] >= 0]
    child_ends = np.searchsorted(parent[child], np.arange(len(own) + 1))
    a, b = 3.0 * own, 3.0 * touched
    return Tree(
        order=order,
        first=ends[:-1],
        own=own,
        later=touched,
        where_ends=where_ends,
        where=where,
        pair_ends=pair_ends,
        pair=by,
        row=row,
        column=column,
        turned=turned[by],
        child_ends=child_ends,
        child=child,
        into_ends=later_ends,
        into=into,
        panel_ends=np.concatenate([[0], np.cumsum(9 * own * (own + touched))]),
        parent=parent,
        # the rest stands for what each front costs beside: entering, calls
        work=a**3 / 6.0 + a * a * b / 2.0 + a * b * b / 2.0 + 4.0 * (a + b) ** 2 + 2e4,
    )


def shares(t: Tree, threads: int) -> Shares:
    """Branches of fronts for so many threads."""
    count = len(t.own)
    whole = t.work.copy()
    for f in range(count):
        if t.parent[f] >= 0:
            whole[t.parent[f]] += whole[f]
    most = t.work.sum() / (PIECES * threads) if threads > 1 else np.inf
    # a front heads a branch of its own when the branch is small enough and its parent's is not
    head = np.full(count, -1, np.int64)
    for f in range(count - 1, -1, -1):
        p = t.parent[f]
        if whole[f] > most or p < 0 or whole[p] > most:
            head[f] = f
        else:
            head[f] = head[p]
    heads = np.unique(head)
    number = np.full(count, -1, np.int64)
    number[heads] = np.arange(len(heads))
    todo = tuple(np.flatnonzero(head == h) for h in heads.tolist())
    parent = tuple(
        int(number[head[t.parent[h]]]) if t.parent[h] >= 0 else -1 for h in heads.tolist()
    )
    children = np.bincount([p for p in parent if p >= 0], minlength=len(heads))
    free = np.flatnonzero(children == 0)
    size = np.array([t.work[todo[k]].sum() for k in free.tolist()])
    below = tuple(tuple(q for q, p in enumerate(parent) if p == k) for k in range(len(heads)))
    return Shares(todo, parent, below, children, tuple(free[np.argsort(size)].tolist()))


def updates_laid(t: Tree, s: Shares) -> tuple[Whole, int]:
    """Where what each front leaves lies (f,), and how much room that takes in all.

    Room is taken again once the front that waited is done, so that little of it is ever in use and
    what is in use lies near the core; each share has room of its own.
    """
    at = np.empty(len(t.own), np.int64)
    end = 0
    for todo in s.todo:
        end = _laid(todo, 9 * t.later * t.later, t.child_ends, t.child, at, end)
    return at, end


@njit(cache=True, nogil=True)
def _laid(todo: Whole, size: Whole, child_ends: Whole, child: Whole, at: Whole, begin: int) -> int:
    """Lays each front of a share in the first gap it fits into, from begin on; the end of all."""
    mine = np.zeros(len(size), np.bool_)
    # gaps in order; the last goes on for ever
    low, high = np.empty(len(todo) + 2, np.int64), np.empty(len(todo) + 2, np.int64)
    low[0], high[0] = begin, np.iinfo(np.int64).max
    gaps = 1
    end = begin
    for f in todo:
        mine[f] = True
        k = 0
        while high[k] - low[k] < size[f]:
            k += 1
        at[f] = low[k]
        low[k] += size[f]
        end = max(end, low[k])
        for e in range(child_ends[f], child_ends[f + 1]):
            c = child[e]
            if not mine[c] or size[c] == 0:
                continue
            k = 0
            while high[k] <= at[c]:
                k += 1
            for q in range(gaps, k, -1):
                low[q], high[q] = low[q - 1], high[q - 1]
            low[k], high[k] = at[c], at[c] + size[c]
            gaps += 1
            # gaps that touch are one, and empty ones none
            kept = 0
            for q in range(gaps):
                if high[q] == low[q]:
                    continue
                if kept and high[kept - 1] == low[q]:
                    high[kept - 1] = high[q]
                else:
                    low[kept], high[kept] = low[q], high[q]
                    kept += 1
            gaps = kept
    return end
