"""What the device does to factor the stiffness of a shell, worked out once: fronts and tasks.

The multifrontal method as in :mod:`pinwright.drape.solver.fronts`. Fronts of one level do not wait
for each other; each level is gathered from its children, then factored in panels of PANEL columns.
A panel takes away what those left of it in its group leave; after a group, what is right of it is
brought up to date in tiles of TILE by TILE, so that it is read and written once for a group. A
launch is a range of tasks; every variant does the same tasks.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numba import njit
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.dissecting import dissected
from pinwright.drape.solver.stencils import Stencils
from pinwright.drape.solver.tree import in_order, later_of

PANEL = 32
"""Columns that are factored at once."""

GROUP = 4
"""Panels after which what lies right of them is brought up to date."""

TILE = 64


Span = tuple[int, int]
"""The first of some tasks, and how many."""


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """Fronts first to first + fronts. gather, entered: (first, how many) tasks and pairs.

    groups: for each, the tasks of the diagonal block and of the rest of each of its panels, and
    those of the update after them.
    """

    first: int
    fronts: int
    gather: Span
    entered: Span
    groups: tuple[tuple[tuple[tuple[Span, Span], ...], Span], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """All that depends only on which vertices meet.

    table: (fronts, 6) where a front's numbers lie, rows of its own, all its rows, where the
    inverses of its panels, its vector, its vertices lie. vertices: of each front, its own first.
    child_ends: (fronts + 1,), child: the fronts that enter, into: where the map of each lies in
    maps, which says for each vertex of a front which later vertex of the child it is, or -1.
    pair, place, width, turned: for each pair of vertices in the order of levels, its number, where
    its block lies, the row length there, whether it lies transposed. tasks: (k, 3). numbers,
    inverses, vectors: how many in all. order: the vertices that are eliminated together, the first
    first.
    """

    n: int
    table: Whole
    vertices: Whole
    child_ends: Whole
    child: Whole
    into: Whole
    maps: Whole
    pair: Whole
    place: Whole
    width: Whole
    turned: Whole
    tasks: Whole
    levels: tuple[Level, ...]
    numbers: int
    inverses: int
    vectors: int
    order: tuple[Whole, ...]


def plan_of(
    s: Stencils, x: Array, more: Whole | None = None, order: tuple[Whole, ...] | None = None
) -> Plan:
    """The plan for a shell that lies about at x (n, 3) cm.

    more: (k, 2) pairs of vertices that meet besides, the higher first. order: in which parts the
    vertices are eliminated (``Plan.order``), if that is known from almost the same pairs.
    """
    n, first, second = s.n, s.first, s.second
    if more is not None and len(more):
        first, second = (
            np.concatenate([a, b]) for a, b in ((first, more[:, 0]), (second, more[:, 1]))
        )
    if order is None:
        off = first != second
        a = np.concatenate([first[off], second[off]])
        b = np.concatenate([second[off], first[off]])
        graph = csr_array((np.ones(len(a), np.int8), (a, b)), shape=(n, n))
        order = tuple(dissected(graph, x))
    later, children, level = _fronts(n, first, second, order)
    count = len(order)
    by_level = np.argsort(level, kind="stable")
    number = np.empty(count, np.int64)
    number[by_level] = np.arange(count)
    parts, later = [order[k] for k in by_level], [later[k] for k in by_level]
    children = [[int(number[c]) for c in children[k]] for k in by_level]
    level = level[by_level]

    own = np.array([len(p) for p in parts])
    size = own + np.array([len(p) for p in later])
    rows = 3 * size
    panels = -(-3 * own // PANEL)

    def starts(k: Whole) -> Whole:
        found: Whole = np.concatenate([[0], np.cumsum(k)])
        return found

    at, inverse, vector, vertex = (
        starts(rows * rows),
        starts(panels * PANEL * PANEL),
        starts(rows),
        starts(size),
    )
    table = np.stack([at[:-1], 3 * own, rows, inverse[:-1], vector[:-1], vertex[:-1]], axis=1)
    vertices = np.concatenate([np.concatenate([p, q]) for p, q in zip(parts, later, strict=True)])
    child = np.array([c for of in children for c in of], np.int64)
    child_ends = starts(np.array([len(c) for c in children]))
    maps, into = _maps(n, vertices, vertex, own, child_ends, child)

    # where each pair of vertices enters: in the front that eliminates the earlier of both
    rank, owner, slot = np.empty(n, np.int64), np.empty(n, np.int64), np.empty(n, np.int64)
    done = 0
    for k in number.tolist():  # in the order of elimination
        rank[parts[k]] = np.arange(done, done + own[k])
        owner[parts[k]] = k
        done += int(own[k])
    turned = rank[first] < rank[second]
    early, late = np.where(turned, first, second), np.where(turned, second, first)
    enters = owner[early]
    pair = np.argsort(level[enters] * count + enters, kind="stable")
    enters = enters[pair]
    cuts = np.searchsorted(enters, np.arange(count + 1))
    place = np.empty(len(pair), np.int64)
    for k in range(count):
        slot[parts[k]] = np.arange(own[k])
        slot[later[k]] = np.arange(own[k], size[k])
        q = pair[cuts[k] : cuts[k + 1]]
        place[cuts[k] : cuts[k + 1]] = at[k] + 3 * slot[late[q]] * rows[k] + 3 * slot[early[q]]

    fronts = starts(np.bincount(level))
    count_of, spans = _tasks(fronts, own, rows, panels, np.empty((0, 3), np.int64))
    tasks = np.empty((count_of, 3), np.int64)
    _tasks(fronts, own, rows, panels, tasks)
    entering = np.stack([cuts[fronts[:-1]], cuts[fronts[1:]] - cuts[fronts[:-1]]], axis=1)
    levels = _levels(fronts, panels, spans, entering)
    return Plan(
        n=n,
        table=table,
        vertices=vertices,
        child_ends=child_ends,
        child=child,
        into=into,
        maps=maps,
        pair=pair,
        place=place,
        width=rows[enters],
        turned=turned[pair].astype(np.int64),
        tasks=tasks,
        levels=levels,
        numbers=int(at[-1]),
        inverses=int(inverse[-1]),
        vectors=int(vector[-1]),
        order=order,
    )


@njit(cache=True, nogil=True)
def _maps(
    n: int, vertices: Whole, vertex: Whole, own: Whole, child_ends: Whole, child: Whole
) -> tuple[Whole, Whole]:
    """Which later vertex of a child each vertex of a front is, or -1, and where each map begins."""
    into = np.empty(len(child), np.int64)
    size = 0
    for f in range(len(own)):
        for c in range(child_ends[f], child_ends[f + 1]):
            into[c] = size
            size += vertex[f + 1] - vertex[f]
    maps = np.empty(size, np.int64)
    place = np.full(n, -1, np.int64)
    for f in range(len(own)):
        mine = vertices[vertex[f] : vertex[f + 1]]
        for c in range(child_ends[f], child_ends[f + 1]):
            k = child[c]
            theirs = vertices[vertex[k] + own[k] : vertex[k + 1]]
            for q in range(len(theirs)):
                place[theirs[q]] = q
            for q in range(len(mine)):
                maps[into[c] + q] = place[mine[q]]
            for v in theirs:
                place[v] = -1
    return maps, into


@njit(cache=True, nogil=True)
def _tiles(tasks: Whole, at: int, front: int, begin: int, end: int) -> int:
    """Enters tiles on and under the diagonal of rows and columns from begin to end: where they
    end. Where there is no room they are only counted."""
    for r in range(begin, end, TILE):
        for c in range(begin, r + 1, TILE):
            if at < len(tasks):
                tasks[at] = front, r, c
            at += 1
    return at


@njit(cache=True, nogil=True)
def _tasks(
    fronts: Whole, own: Whole, rows: Whole, panels: Whole, tasks: Whole
) -> tuple[int, Whole]:
    """Enters the tasks of all levels, which begin at ``fronts``: how many; and where those that
    are done at once begin, in the order of :func:`_levels`. Without room they are only counted."""
    cuts, many, at = [0], len(tasks), 0
    for deep in range(len(fronts) - 1):
        first, past = fronts[deep], fronts[deep + 1]
        for k in range(first, past):
            at = _tiles(tasks, at, k, 0, rows[k])
        cuts.append(at)
        most = panels[first:past].max()
        for g in range(0, most, GROUP):
            for p in range(g, min(g + GROUP, most)):
                for k in range(first, past):
                    if panels[k] > p:
                        if at < many:
                            tasks[at] = k, min(PANEL * (p + 1), 3 * own[k]), p
                        at += 1
                cuts.append(at)
                for k in range(first, past):
                    if panels[k] > p:
                        for r in range(min(PANEL * (p + 1), 3 * own[k]), rows[k], TILE):
                            if at < many:
                                tasks[at] = k, r, p
                            at += 1
                cuts.append(at)
            for k in range(first, past):
                if panels[k] > g:
                    at = _tiles(tasks, at, k, min(PANEL * (g + GROUP), 3 * own[k]), rows[k])
            cuts.append(at)
    return at, np.array(cuts)


def _levels(fronts: Whole, panels: Whole, cuts: Whole, entering: Whole) -> tuple[Level, ...]:
    """The levels, of which each begins at ``fronts``; cuts: where tasks begin that are done at
    once, one after another; entering: (levels, 2) the pairs that enter."""
    spans = iter(zip(cuts.tolist(), np.diff(cuts).tolist(), strict=False))
    levels = []
    for deep, (first, past) in enumerate(pairwise(fronts.tolist())):
        gather, groups, most = next(spans), [], int(panels[first:past].max())
        for g in range(0, most, GROUP):
            steps = tuple((next(spans), next(spans)) for _ in range(g, min(g + GROUP, most)))
            groups.append((steps, next(spans)))
        begin, many = entering[deep].tolist()
        levels.append(Level(first, past - first, gather, (begin, many), tuple(groups)))
    return tuple(levels)


def _fronts(
    n: int, first: Whole, second: Whole, parts: tuple[Whole, ...]
) -> tuple[list[Whole], list[list[int]], Whole]:
    """For each part the later vertices it touches, what enters it, and its level."""
    order, ends, one, two = in_order(n, first, second, parts)
    cuts, met, parent = later_of(ends, np.minimum(one, two), np.maximum(one, two))
    later = np.split(order[met], cuts[1:-1])
    children: list[list[int]] = [[] for _ in parts]
    level = np.zeros(len(parts), np.int64)
    for k, p in enumerate(parent.tolist()):
        if p >= 0:
            children[p].append(k)
            level[p] = max(level[p], level[k] + 1)
    return later, children, level
