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

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit, prange
from scipy.sparse import coo_array, csr_array

from pinwright.drape.data import Array, Flags, Whole
from pinwright.drape.solver.seeing import Desk, nearest_place, seen
from pinwright.drape.solver.stencils import Stencils

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

    start (n + 1,), beside: vertices one side off; far: the rest lengths of these sides, cm, which
    are those of corners of triangles ``which``. near_start (n + 1,), near: triangles within RINGS.
    sides: (e, 2) of triangles.
    """

    start: Whole
    beside: Whole
    far: Array
    which: Whole
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


def _long(s: Stencils) -> Array:
    """Rest lengths of the sides that begin at the corners of triangles (3 m,), cm."""
    # the slopes of two corners are the inverse of the flat sides that lead to them
    (a, b), (c, d) = s.slopes[:, 1].T, s.slopes[:, 2].T
    turned = np.abs(a * d - b * c)
    sides = np.hypot(c, d), np.hypot(a + c, b + d), np.hypot(a, b)
    found: Array = (np.stack(sides, axis=1) / turned[:, None]).ravel()
    return found


def sheet_of(s: Stencils) -> Sheet:
    """The neighbours in a shell."""
    t = s.triangles
    tails, heads = t.ravel(), np.roll(t, -1, axis=1).ravel()
    low, high = np.minimum(tails, heads), np.maximum(tails, heads)
    keys, first = np.unique(low * s.n + high, return_index=True)
    sides = np.stack([keys // s.n, keys % s.n], axis=1)
    a, b = np.concatenate([sides[:, 0], sides[:, 1]]), np.concatenate([sides[:, 1], sides[:, 0]])
    # 0 would not be kept
    graph = csr_array(coo_array((np.concatenate([first + 1] * 2), (a, b)), shape=(s.n, s.n)))
    graph.sort_indices()
    which: Whole = graph.data.astype(np.int64) - 1
    reach = csr_array((np.ones(len(which)), graph.indices, graph.indptr), shape=(s.n, s.n))
    one = reach
    for _ in range(RINGS - 1):
        reach = reach @ one + one
    corners = (np.ones(t.size), (t.ravel(), np.repeat(np.arange(len(t)), 3)))
    of = csr_array(coo_array(corners, shape=(s.n, len(t))))
    near = reach @ of + of
    near.sort_indices()
    return Sheet(
        graph.indptr.astype(np.int64),
        graph.indices.astype(np.int64),
        _long(s)[which],
        which,
        near.indptr.astype(np.int64),
        near.indices.astype(np.int64),
        sides,
    )


def sliding(keys: Whole, sheet: Sheet) -> Whole:
    """Pairs of vertices, and those with who is beside either in the sheet: layers that slide along
    each other soon join these. As numbers, the higher times how many vertices there are and the
    lower, in order."""
    n = len(sheet.start) - 1
    high, low = np.divmod(np.unique(keys), n)
    found = [np.stack([high, low])]
    for stays, goes in ((high, low), (low, high)):
        first, count = sheet.start[goes], sheet.start[goes + 1] - sheet.start[goes]
        run = np.repeat(first - np.cumsum(count) + count, count) + np.arange(count.sum())
        found.append(np.stack([np.repeat(stays, count), sheet.beside[run]]))
    one, two = np.concatenate(found, axis=1)
    apart = one != two
    pairs: Whole = np.unique((np.maximum(one, two) * n + np.minimum(one, two))[apart])
    return pairs


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
    seed: Flags,
) -> None:
    """Sets seed (n,) at sides and the triangles they pass through, without a vertex in common.

    close: (n,) which vertices have other triangles near them: sides of others pass through none.
    """
    most = 0.0
    for t in range(len(wide)):
        most = max(most, wide[t])
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
                        for o in (i0, i1, a, b, c):
                            seed[o] = True


@njit(cache=True, parallel=True)
def _all_pierced(
    x: Array,
    sides: Whole,
    triangles: Whole,
    middle: Array,
    wide: Array,
    start: Whole,
    order: Whole,
    low: Array,
    cell: Array,
    count: Whole,
    close: Flags,
    seed: Flags,
) -> None:
    """The same of many cloths."""
    for b in prange(len(x)):
        _pierced(
            x[b],
            sides,
            triangles,
            middle[b],
            wide[b],
            start[b],
            order[b],
            low[b],
            cell[b],
            count,
            close[b],
            seed[b],
        )


@njit(cache=True)
def _volume(x: Array, a: int, b: int, c: int, d: int) -> float:
    """Six times the volume of four points, with its sign."""
    u0, u1, u2 = x[a, 0] - x[d, 0], x[a, 1] - x[d, 1], x[a, 2] - x[d, 2]
    v0, v1, v2 = x[b, 0] - x[d, 0], x[b, 1] - x[d, 1], x[b, 2] - x[d, 2]
    w0, w1, w2 = x[c, 0] - x[d, 0], x[c, 1] - x[d, 1], x[c, 2] - x[d, 2]
    return float(u0 * (v1 * w2 - v2 * w1) + u1 * (v2 * w0 - v0 * w2) + u2 * (v0 * w1 - v1 * w0))


@njit(cache=True)
def _of_a_ridge(
    v: int,
    target: Whole,
    x: Array,
    out: Array,
    start: Whole,
    beside: Whole,
    far: Array,
    parent: Whole,
    length: Array,
) -> bool:
    """Whether the sheet between a vertex and a triangle bends outwards round what is between them.

    The way is by fewest sides and no longer than ABOUT; without one it is no ridge. parent, length:
    (n,) to work in; parent is -1 everywhere, and is left so.
    """
    parent[v], length[v] = v, 0.0
    queue = [v]
    hit, done, last = -1, 0, 1
    # ring by ring; of those in the ring that reaches it, the last is taken
    while done < len(queue) and hit < 0:
        for place in range(done, last):
            p = queue[place]
            for q in range(start[p], start[p + 1]):
                o = beside[q]
                if parent[o] >= 0 or length[p] + far[q] > ABOUT:
                    continue
                parent[o] = p
                length[o] = length[p] + far[q]
                queue.append(o)
                if o == target[0] or o == target[1] or o == target[2]:
                    hit = o
        done, last = last, len(queue)
    bulge = 0.0
    if hit >= 0:
        middle = hit
        while length[middle] > 0.5 * length[hit]:
            middle = parent[middle]
        for k in range(3):
            bulge += (x[middle, k] - 0.5 * (x[v, k] + x[hit, k])) * out[middle, k]
    for o in queue:
        parent[o] = -1
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


@njit(cache=True, parallel=True)
def _through(
    which: Whole,
    x: Array,
    out: Array,
    triangles: Whole,
    met: Whole,
    side: Array,
    facing: Array,
    seed: Flags,
    start: Whole,
    beside: Whole,
    far: Array,
    through: Flags,
) -> None:
    """Sets through (k, n, 2) where vertices are on the wrong side of what they see behind them.

    which: (c,) the cloths that may be through themselves. seed: (k, n) where sides pass through
    triangles. far: (c, sides) rest lengths, cm.
    """
    for one in prange(len(which)):
        b = which[one]
        may = (met[b, :, 1] >= 0) & (side[b, :, 1] < 0.0) & (facing[b, :, 1] < -0.2)
        back = _followed(seed[b], may, start, beside)
        parent, length = np.full(x.shape[1], -1), np.empty(x.shape[1])
        for v in range(x.shape[1]):
            if back[v]:
                at = triangles[met[b, v, 1]]
                through[b, v, 1] = not _of_a_ridge(
                    v, at, x[b], out[b], start, beside, far[one], parent, length
                )


@njit(cache=True, parallel=True)
def _chosen(
    x: Array,
    out: Array,
    triangles: Whole,
    met: Whole,
    side: Array,
    keep: Flags,
    through: Flags,
    vertex: Whole,
    corners: Whole,
    way: Array,
    wrong: Flags,
    count: Whole,
) -> None:
    """Fills the places of k cloths that are kept: (k, 2 n) vertices and whether they are through,
    (k, 2 n, 3) corners and ways, and how many there are (k,)."""
    for b in prange(len(x)):
        w, r = np.empty(3), np.empty(3)
        p = 0
        for v in range(x.shape[1]):
            for h in range(2):
                if not keep[b, v, h]:
                    continue
                t = met[b, v, h]
                vertex[b, p], corners[b, p] = v, triangles[t]
                wrong[b, p] = through[b, v, h]
                nearest_place(x[b], v, triangles[t, 0], triangles[t, 1], triangles[t, 2], w, r)
                size = 0.0
                for k in range(3):
                    way[b, p, k] = 0.0
                    for c in range(3):
                        way[b, p, k] += w[c] * out[b, triangles[t, c], k]
                    size += way[b, p, k] ** 2
                size = np.sqrt(size) if wrong[b, p] else side[b, v, h] * np.sqrt(size)
                for k in range(3):
                    way[b, p, k] /= size
                p += 1
        count[b] = p


def places_of(
    sheets: Sequence[Sheet], triangles: Whole, x: Array, apart: Array, desk: Desk
) -> list[Places]:
    """Where each of k cloths at x (k, n, 3), which have the same triangles, comes near itself:
    nearer than apart (k,), cm, and MARGIN, or through it."""
    s = sheets[0]
    many, n = x.shape[:2]
    reach = np.maximum(apart + MARGIN, DEPTH)
    look, grid, out = seen(x, triangles, s.near_start, s.near, reach, desk)
    seed = np.zeros((many, n), np.bool_)
    _all_pierced(
        x,
        s.sides,
        triangles,
        grid.middle,
        grid.wide,
        grid.start,
        grid.order,
        grid.low,
        grid.cell,
        grid.count,
        look.close,
        seed,
    )
    through = np.zeros((many, n, 2), np.bool_)
    crossed = np.flatnonzero(seed.any(axis=1))
    if len(crossed):
        _through(
            crossed,
            x,
            out,
            triangles,
            look.met,
            look.side,
            look.facing,
            seed,
            s.start,
            s.beside,
            np.stack([sheets[k].far for k in crossed.tolist()]),
            through,
        )
    keep = (look.met >= 0) & (through | (look.distance < apart[:, None, None] + MARGIN))
    most = int(keep.sum(axis=(1, 2)).max())
    vertex, wrong = np.empty((many, most), np.int64), np.empty((many, most), np.bool_)
    corners, way = np.empty((many, most, 3), np.int64), np.empty((many, most, 3))
    count = np.empty(many, np.int64)
    _chosen(
        x, out, triangles, look.met, look.side, keep, through, vertex, corners, way, wrong, count
    )
    return [
        Places(vertex[k, :p].copy(), corners[k, :p].copy(), way[k, :p].copy(), wrong[k, :p].copy())
        for k, p in enumerate(count.tolist())
    ]
