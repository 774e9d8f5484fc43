"""Which places of the cloth lie near which vertices, and on which side they belong.

A vertex meets at most one place of the cloth before its outside and one behind its inside: the
nearest that is not its neighbour in the sheet.

Which side. A place stays on the side of the vertex where it is, and steps are kept so short that
none comes through. Where cloth is through itself already, sides of triangles pass through other
triangles; from there the sheet is followed over the vertices that see the other layer within DEPTH
behind them, turned against them. These are pushed back: outside lies to outside. Where the sheet
between the two is shorter than ABOUT it tells whether they are the flanks of a ridge, which lie
inside to inside and are left as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.stencils import Stencils
from pinwright.drape.surfaces import angled_normals, on_triangle

Flags = NDArray[np.bool_]

DEPTH = 1.5
"""Cloth that is through itself is pushed back from no deeper, cm."""

MARGIN = 0.8
"""Places are known that are farther by so much than layers may lie, cm."""

RINGS = 1
"""A triangle within so many sides from a vertex is its neighbour in the sheet."""

ABOUT = 12.0
"""So far over the sheet it is looked for what lies between two layers, cm."""

RIDGE = 1.0
"""What stands out so far between two flanks is a ridge, cm; less may be the bottom of a fold that
is through itself, as at a crotch or an armpit."""


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """What of a shell does not change: who is whose neighbour.

    start (n + 1,), beside: vertices one side off. near_start (n + 1,), near: within RINGS. sides:
    (e, 2) of triangles, and their rest lengths far with beside, cm.
    """

    start: Whole
    beside: Whole
    far: Array
    near_start: Whole
    near: Whole
    sides: Whole


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where vertices meet cloth.

    vertex: (p,). corners: (p, 3) of the triangle met. out: (p, 3) unit, from the triangle to the
    side where the vertex is or belongs. through: (p,) whether it is on the wrong side.
    """

    vertex: Whole
    corners: Whole
    out: Array
    through: Flags

    def at(self, some: Flags) -> Flags:
        """Which of them some vertices (n,) are at, themselves or as corners."""
        found = some[self.vertex]
        for corner in self.corners.T:
            found |= some[corner]
        return found

    def those(self, which: Flags | Whole) -> Places:
        """Some of them."""
        return Places(self.vertex[which], self.corners[which], self.out[which], self.through[which])


def sheet_of(s: Stencils) -> Sheet:
    """The neighbours in a shell."""
    t = s.triangles
    tails, heads = t.ravel(), np.roll(t, -1, axis=1).ravel()
    # the slopes of two corners are the inverse of the flat sides that lead to them
    flat = np.concatenate([np.zeros((len(t), 2, 1)), np.linalg.inv(s.slopes[:, 1:])], axis=2)
    long = np.linalg.norm(np.roll(flat, -1, axis=2) - flat, axis=1).ravel()
    low, high = np.minimum(tails, heads), np.maximum(tails, heads)
    keys, first = np.unique(low * s.n + high, return_index=True)
    sides = np.stack([keys // s.n, keys % s.n], axis=1)
    a, b = np.concatenate([sides[:, 0], sides[:, 1]]), np.concatenate([sides[:, 1], sides[:, 0]])
    graph = csr_array(coo_array((np.concatenate([long[first]] * 2), (a, b)), shape=(s.n, s.n)))
    graph.sort_indices()
    reach = csr_array((np.ones_like(graph.data), graph.indices, graph.indptr), shape=(s.n, s.n))
    one = reach
    for _ in range(RINGS - 1):
        reach = reach @ one + one
    return Sheet(
        graph.indptr.astype(np.int64),
        graph.indices.astype(np.int64),
        graph.data,
        reach.indptr.astype(np.int64),
        reach.indices.astype(np.int64),
        sides,
    )


@njit(cache=True)
def nearest_place(x: Array, v: int, a: int, b: int, c: int, w: Array, r: Array) -> float:
    """Weights w (3,) of the nearest place of a triangle, r (3,) from it to v; the distance."""
    w[1], w[2], _ = on_triangle(x[v], x[a], x[b], x[c])
    w[0] = 1.0 - w[1] - w[2]
    q = 0.0
    for k in range(3):
        r[k] = x[v, k] - w[0] * x[a, k] - w[1] * x[b, k] - w[2] * x[c, k]
        q += r[k] * r[k]
    return float(np.sqrt(q))


@njit(cache=True)
def _gridded(middle: Array, low: Array, cell: float, count: Whole) -> tuple[Whole, Whole]:
    """(cells + 1,) starts and (m,) triangles by the cell of their middles."""
    m = len(middle)
    start = np.zeros(count[0] * count[1] * count[2] + 1, np.int64)
    where = np.empty(m, np.int64)
    for t in range(m):
        i = int((middle[t, 0] - low[0]) / cell)
        j = int((middle[t, 1] - low[1]) / cell)
        k = int((middle[t, 2] - low[2]) / cell)
        where[t] = (i * count[1] + j) * count[2] + k
        start[where[t] + 1] += 1
    for q in range(len(start) - 1):
        start[q + 1] += start[q]
    fill = start.copy()
    order = np.empty(m, np.int64)
    for t in range(m):
        order[fill[where[t]]] = t
        fill[where[t]] += 1
    return start, order


@njit(cache=True, parallel=True)
def _middles(x: Array, triangles: Whole, middle: Array, wide: Array) -> None:
    """Fills the middles of triangles (m, 3) and how far their corners are from them (m,)."""
    for t in prange(len(triangles)):
        most = 0.0
        for k in range(3):
            middle[t, k] = (
                x[triangles[t, 0], k] + x[triangles[t, 1], k] + x[triangles[t, 2], k]
            ) / 3.0
        for c in range(3):
            size = 0.0
            for k in range(3):
                size += (x[triangles[t, c], k] - middle[t, k]) ** 2
            most = max(most, size)
        wide[t] = np.sqrt(most)


@njit(cache=True, parallel=True)
def _seen(
    x: Array,
    out: Array,
    triangles: Whole,
    middle: Array,
    wide: Array,
    start: Whole,
    order: Whole,
    low: Array,
    cell: float,
    count: Whole,
    near_start: Whole,
    near: Whole,
    reach: float,
    met: Whole,
    side: Array,
    facing: Array,
    distance: Array,
    close: Flags,
) -> None:
    """Fills for each vertex the triangle met (n, 2) before it and behind it, -1 for none; on which
    side of it the vertex is; how they face (cosine), the distance, and whether any is close (n,).

    middle, wide: of triangles in the order of the grid.
    """
    for v in prange(len(x)):
        w = np.empty(3)
        r = np.empty(3)
        at = np.empty(3, np.int64)
        for h in range(2):
            met[v, h] = -1
            distance[v, h] = reach
        own_near = near[near_start[v] : near_start[v + 1]]
        for k in range(3):
            at[k] = int((x[v, k] - low[k]) / cell)
        for i in range(max(0, at[0] - 1), min(count[0], at[0] + 2)):
            for j in range(max(0, at[1] - 1), min(count[1], at[1] + 2)):
                row = (i * count[1] + j) * count[2]
                first, last = max(0, at[2] - 1), min(count[2], at[2] + 2)
                for q in range(start[row + first], start[row + last]):
                    d0 = x[v, 0] - middle[q, 0]
                    d1 = x[v, 1] - middle[q, 1]
                    d2 = x[v, 2] - middle[q, 2]
                    most = reach + wide[q]
                    if d0 * d0 + d1 * d1 + d2 * d2 > most * most:
                        continue
                    t = order[q]
                    a, b, c = triangles[t, 0], triangles[t, 1], triangles[t, 2]
                    if v in (a, b, c):
                        continue
                    beside = False
                    for o in own_near:
                        if o in (a, b, c):
                            beside = True
                            break
                    if beside:
                        continue
                    d = nearest_place(x, v, a, b, c, w, r)
                    if d < reach:
                        close[v] = True
                    if d >= distance[v, 0] and d >= distance[v, 1]:
                        continue
                    own = 0.0
                    other = 0.0
                    face = 0.0
                    size = 0.0
                    for k in range(3):
                        there = w[0] * out[a, k] + w[1] * out[b, k] + w[2] * out[c, k]
                        own += r[k] * out[v, k]
                        other += r[k] * there
                        face += out[v, k] * there
                        size += there * there
                    size = np.sqrt(size)
                    if size < 1e-3:
                        continue
                    other /= size
                    face /= size
                    # beside each other, edge to edge, they do not lie on each other
                    if abs(other) < 0.3 * d or abs(own) < 0.3 * d:
                        continue
                    h = 0 if own < 0.0 else 1
                    if d < distance[v, h]:
                        distance[v, h] = d
                        met[v, h] = t
                        side[v, h] = 1.0 if other >= 0.0 else -1.0
                        facing[v, h] = face


@njit(cache=True)
def _pierced(
    x: Array,
    sides: Whole,
    triangles: Whole,
    middle: Array,
    wide: Array,
    start: Whole,
    order: Whole,
    low: Array,
    cell: float,
    count: Whole,
    close: Flags,
) -> Whole:
    """(k, 2): sides and the triangles they pass through, without a vertex in common.

    close: (n,) which vertices have other triangles near them: sides of others pass through none.
    """
    most = 0.0
    for t in range(len(wide)):
        most = max(most, wide[t])
    found = [(0, 0) for _ in range(0)]
    at = np.empty(3, np.int64)
    until = np.empty(3, np.int64)
    for e in range(len(sides)):
        i0, i1 = sides[e, 0], sides[e, 1]
        if not (close[i0] or close[i1]):
            continue
        for k in range(3):
            at[k] = max(0, int((min(x[i0, k], x[i1, k]) - most - low[k]) / cell))
            until[k] = min(count[k] - 1, int((max(x[i0, k], x[i1, k]) + most - low[k]) / cell))
        for i in range(at[0], until[0] + 1):
            for j in range(at[1], until[1] + 1):
                row = (i * count[1] + j) * count[2]
                for q in range(start[row + at[2]], start[row + until[2] + 1]):
                    apart = False
                    for k in range(3):
                        lo, hi = min(x[i0, k], x[i1, k]), max(x[i0, k], x[i1, k])
                        if middle[q, k] + wide[q] < lo or middle[q, k] - wide[q] > hi:
                            apart = True
                    if apart:
                        continue
                    t = order[q]
                    a, b, c = triangles[t, 0], triangles[t, 1], triangles[t, 2]
                    if i0 in (a, b, c) or i1 in (a, b, c):
                        continue
                    if (_volume(x, a, b, c, i0) > 0.0) == (_volume(x, a, b, c, i1) > 0.0):
                        continue
                    one = _volume(x, i0, i1, a, b) > 0.0
                    if (_volume(x, i0, i1, b, c) > 0.0) == one and (
                        _volume(x, i0, i1, c, a) > 0.0
                    ) == one:
                        found.append((e, t))
    made = np.empty((len(found), 2), np.int64)
    for q in range(len(found)):
        made[q, 0] = found[q][0]
        made[q, 1] = found[q][1]
    return made


@njit(cache=True)
def _volume(x: Array, a: int, b: int, c: int, d: int) -> float:
    """Six times the volume of four points, with its sign."""
    u0, u1, u2 = x[a, 0] - x[d, 0], x[a, 1] - x[d, 1], x[a, 2] - x[d, 2]
    v0, v1, v2 = x[b, 0] - x[d, 0], x[b, 1] - x[d, 1], x[b, 2] - x[d, 2]
    w0, w1, w2 = x[c, 0] - x[d, 0], x[c, 1] - x[d, 1], x[c, 2] - x[d, 2]
    return float(u0 * (v1 * w2 - v2 * w1) + u1 * (v2 * w0 - v0 * w2) + u2 * (v0 * w1 - v1 * w0))


@njit(cache=True)
def _of_a_ridge(
    v: int, target: Whole, x: Array, out: Array, start: Whole, beside: Whole, far: Array
) -> bool:
    """Whether the sheet between a vertex and a triangle bends outwards round what is between them.

    The way is by fewest sides and no longer than ABOUT; without one it is no ridge.
    """
    parent = {v: v}
    length = {v: 0.0}
    ring = [v]
    hit = -1
    while len(ring) and hit < 0:
        grown = [0 for _ in range(0)]
        for p in ring:
            for q in range(start[p], start[p + 1]):
                o = beside[q]
                if o in parent or length[p] + far[q] > ABOUT:
                    continue
                parent[o] = p
                length[o] = length[p] + far[q]
                grown.append(o)
                if o == target[0] or o == target[1] or o == target[2]:
                    hit = o
        ring = grown
    if hit < 0:
        return False
    middle = hit
    while length[middle] > 0.5 * length[hit]:
        middle = parent[middle]
    bulge = 0.0
    for k in range(3):
        bulge += (x[middle, k] - 0.5 * (x[v, k] + x[hit, k])) * out[middle, k]
    return bulge > RIDGE


@njit(cache=True)
def _followed(seed: Flags, may: Flags, start: Whole, beside: Whole) -> Flags:
    """Vertices that may, reached over the sheet from seeds through others that may."""
    found = seed & may
    queue = [v for v in range(len(may)) if found[v]]
    while len(queue):
        v = queue.pop()
        for q in range(start[v], start[v + 1]):
            o = beside[q]
            if may[o] and not found[o]:
                found[o] = True
                queue.append(o)
    return found


@njit(cache=True)
def _ways(x: Array, out: Array, vertex: Whole, corners: Whole) -> Array:
    """Which way the cloth faces at the places that vertices meet (p, 3)."""
    w, r = np.empty(3), np.empty(3)
    way = np.zeros((len(vertex), 3))
    for p in range(len(vertex)):
        nearest_place(x, vertex[p], corners[p, 0], corners[p, 1], corners[p, 2], w, r)
        for c in range(3):
            for k in range(3):
                way[p, k] += w[c] * out[corners[p, c], k]
    return way


def places(sheet: Sheet, triangles: Whole, x: Array, apart: float) -> Places:
    """Where cloth at x (n, 3) comes near cloth, nearer than apart and MARGIN or through it."""
    out = angled_normals(x, triangles)
    middle, wide = np.empty((len(triangles), 3)), np.empty(len(triangles))
    _middles(x, triangles, middle, wide)
    reach = max(apart + MARGIN, DEPTH)
    cell = reach + float(wide.max())
    low = x.min(axis=0) - 1e-6
    count = ((x.max(axis=0) - low) / cell).astype(np.int64) + 1
    start, order = _gridded(middle, low, cell, count)
    n = len(x)
    met, side = np.empty((n, 2), np.int64), np.zeros((n, 2))
    facing, distance = np.zeros((n, 2)), np.empty((n, 2))
    grid = (middle[order], wide[order], start, order, low, cell, count)
    close = np.zeros(n, np.bool_)
    near = (sheet.near_start, sheet.near, reach)
    _seen(x, out, triangles, *grid, *near, met, side, facing, distance, close)
    through = np.zeros((n, 2), np.bool_)
    crossed = _pierced(x, sheet.sides, triangles, *grid, close)
    if len(crossed):
        may = (met[:, 1] >= 0) & (side[:, 1] < 0.0) & (facing[:, 1] < -0.2)
        seed = np.zeros(n, np.bool_)
        seed[sheet.sides[crossed[:, 0]]] = True
        seed[triangles[crossed[:, 1]]] = True
        back = _followed(seed, may, sheet.start, sheet.beside)
        for v in np.flatnonzero(back).tolist():
            back[v] = not _of_a_ridge(
                v, triangles[met[v, 1]], x, out, sheet.start, sheet.beside, sheet.far
            )
        through[:, 1] = back
    keep = (met >= 0) & (through | (distance < apart + MARGIN))
    vertex, which = np.nonzero(keep)
    corners = triangles[met[keep]]
    way = _ways(x, out, vertex, corners)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    way *= np.where(through[keep], 1.0, side[keep])[:, None]
    return Places(vertex, corners, way, through[vertex, which])
