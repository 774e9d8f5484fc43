"""Kernels that find what of a cloth its vertices see before and behind them, for some variants.

What is computed is that of :mod:`pinwright.drape.solver.seeing`, rounded alike: no products are
fused with sums here, for which of two triangles is met where both are as near is rounding.
"""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.cloth import Shell
from pinwright.drape.gpu.kinds import (
    Flats2,
    Int,
    Numbers,
    Numbers2,
    Points,
    Points2,
    Quads2,
    Triples,
    Twos,
    Twos2,
    Vec3,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.gpu.launching import blocks, each
from pinwright.drape.gpu.layers import on_triangle
from pinwright.drape.gpu.sorting import Desk, gathered, place_of, put
from pinwright.drape.solver import seeing

wp.set_module_options({"enable_backward": False, "fuse_fp": False})

number = wp.float64

BESIDE = wp.constant(wp.float64(seeing.BESIDE))

CELLS = 1 << 17
"""So many cells a grid has at most; where it would have more, they are wider."""


@wp.struct
class Sheet:
    """Who is whose neighbour: see :class:`places.Sheet`. far: (B, ends of sides) cm. reach: (B,)
    so far a vertex looks, cm."""

    start: Whole
    beside: Whole
    far: Numbers2
    near_start: Whole
    near: Whole
    sides: Twos
    reach: Numbers


@wp.struct
class Grid:
    """Triangles by the cell of their middles.

    low: (B,) its corner, cell: (B,) how wide its cells are, widest: (B,) the triangle, cm. count:
    (B,) cells along each way, cells: (B,) in all. start: (B, CELLS + 1), order: (B, m) the
    triangles. ball: (B, m) middles and how far corners are from them, cm; by_cell: in that order.
    """

    low: Points
    cell: Numbers
    widest: Numbers
    count: Triples
    cells: Whole
    start: Whole2
    order: Whole2
    ball: Quads2
    by_cell: Quads2


@wp.struct
class Sight:
    """What vertices see before and behind them, (B, n): see :class:`seeing.Seen`; out: which way
    the cloth faces."""

    out: Points2
    met: Twos2
    side: Flats2
    facing: Flats2
    distance: Flats2
    close: Whole2


@wp.func
def place_on(x: Points2, b: Int, v: Int, t: wp.vec3i) -> Vec3:
    """Weights of the corners of a triangle at its nearest place to a vertex."""
    at = on_triangle(x[b, v], x[b, t[0]], x[b, t[1]], x[b, t[2]])
    return wp.vec3d(number(1.0) - at[0] - at[1], at[0], at[1])


@wp.func
def mixed(a: Points2, b: Int, t: wp.vec3i, w: Vec3) -> Vec3:
    """What corners of a triangle have, by their weights."""
    return w[0] * a[b, t[0]] + w[1] * a[b, t[1]] + w[2] * a[b, t[2]]


@wp.func
def off_place(x: Points2, b: Int, v: Int, t: wp.vec3i, w: Vec3) -> Vec3:
    """From a place of a triangle to a vertex."""
    return x[b, v] - w[0] * x[b, t[0]] - w[1] * x[b, t[1]] - w[2] * x[b, t[2]]


@wp.func
def facing(x: Points2, b: Int, v: Int, shell: Shell) -> Vec3:
    """Which way the cloth faces at a vertex: its triangles by their angles there."""
    found = wp.vec3d(number(0.0), number(0.0), number(0.0))
    for q in range(shell.around[v], shell.around[v + 1]):
        t = shell.triangles[shell.around_triangle[q]]
        corner = shell.around_corner[q]
        first = x[b, t[0]]
        one = x[b, t[1]] - first
        two = x[b, t[2]] - first
        across = wp.cross(one, two)
        size = wp.length(across)
        if size > number(0.0):
            between = wp.dot(one, two)
            angle = wp.atan2(size, between)
            if corner > 0:
                other = wp.atan2(size, wp.dot(one, one) - between)
                # the third angle is what the other two leave of two right ones
                angle = wp.where(corner == 1, other, number(wp.PI) - angle - other)
            found += (angle * across) / size
    size = wp.length(found)
    if size > number(0.0):
        found = found / size
    return found


@wp.kernel
def surveyed(which: Whole, x: Points2, shell: Shell, sight: Sight, grid: Grid) -> None:
    """Which way cloths face; middles of triangles and how far their corners are from them."""
    row, j = wp.tid()
    b = which[row]
    if j < x.shape[1]:
        sight.out[b, j] = facing(x, b, j, shell)
    if j < shell.triangles.shape[0]:
        t = shell.triangles[j]
        middle = (x[b, t[0]] + x[b, t[1]] + x[b, t[2]]) / number(3.0)
        most = number(0.0)
        for c in range(3):
            most = wp.max(most, wp.length_sq(x[b, t[c]] - middle))
        grid.ball[b, j] = wp.vec4d(middle[0], middle[1], middle[2], wp.sqrt(most))


# lows, highs turned round, and widths: of all the greatest is looked for
_BOX = (
    BLOCK
    + """
PW_SHARED double most[7][256];
const int n = x.shape[1], m = ball.shape[1];
const double* at = (const double*)(x.data) + 3 * wp::int64(b) * n;
const double* middles = (const double*)(ball.data) + 4 * wp::int64(b) * m;
for (int t = lane; t < 256; t += width) {
    double own[7] = {-1e300, -1e300, -1e300, -1e300, -1e300, -1e300, 0.0};
    for (int v = t; v < n; v += 256)
        for (int k = 0; k < 3; ++k) {
            const double p = at[3 * v + k];
            own[k] = -p > own[k] ? -p : own[k];
            own[3 + k] = p > own[3 + k] ? p : own[3 + k];
        }
    for (int u = t; u < m; u += 256) {
        const double p = middles[4 * u + 3];
        own[6] = p > own[6] ? p : own[6];
    }
    for (int k = 0; k < 7; ++k) most[k][t] = own[k];
}
PW_MEET;
for (int half = 128; half > 0; half /= 2) {
    for (int t = lane; t < half; t += width)
        for (int k = 0; k < 7; ++k)
            most[k][t] = most[k][t] > most[k][t + half] ? most[k][t] : most[k][t + half];
    PW_MEET;
}
if (lane == 0) {
    double size = reach.data[b] + most[6][0];
    int count[3] = {1, 1, 1};
    for (int tries = 0; tries < 100; ++tries) {
        double all = 1.0;
        for (int k = 0; k < 3; ++k) {
            const double far = (most[3 + k][0] - (-most[k][0] - 1e-6)) / size;
            count[k] = far < room ? (int)far + 1 : room;
            all *= count[k];
        }
        if (all <= room) break;
        size *= 1.25;
    }
    for (int k = 0; k < 3; ++k) {
        low.data[b][k] = -most[k][0] - 1e-6;
        shape.data[b][k] = count[k];
    }
    cell.data[b] = size;
    widest.data[b] = most[6][0];
    cells.data[b] = count[0] * count[1] * count[2];
}
PW_MEET;
int* own = start.data + wp::int64(b) * start.shape[1];
for (int q = lane; q <= cells.data[b]; q += width) own[q] = 0;
"""
)


@wp.func_native(_BOX)
def _boxed(
    b: Int,
    x: Points2,
    ball: Quads2,
    reach: Numbers,
    room: Int,
    low: Points,
    cell: Numbers,
    widest: Numbers,
    shape: Triples,
    cells: Whole,
    start: Whole2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def boxed(which: Whole, x: Points2, reach: Numbers, grid: Grid, width: Int) -> None:
    """The grids, with nothing in them: a block a variant."""
    b = which[wp.tid() / width]
    _boxed(
        b,
        x,
        grid.ball,
        reach,
        grid.start.shape[1] - 1,
        grid.low,
        grid.cell,
        grid.widest,
        grid.count,
        grid.cells,
        grid.start,
        wp.tid() % width,
        width,
    )


@wp.func
def cell_at(grid: Grid, b: Int, p: Vec3) -> wp.vec3i:
    """In which cell a point is, along each way; the outermost for what is beyond."""
    at = (p - grid.low[b]) / grid.cell[b]
    count = grid.count[b]
    return wp.vec3i(
        wp.clamp(wp.int32(at[0]), 0, count[0] - 1),
        wp.clamp(wp.int32(at[1]), 0, count[1] - 1),
        wp.clamp(wp.int32(at[2]), 0, count[2] - 1),
    )


@wp.func
def middle_of(ball: wp.vec4d) -> Vec3:
    """The middle of a triangle."""
    return wp.vec3d(ball[0], ball[1], ball[2])


@wp.kernel
def celled(which: Whole, grid: Grid, desk: Desk) -> None:
    """Puts triangles into their cells."""
    row, t = wp.tid()
    b = which[row]
    at = cell_at(grid, b, middle_of(grid.ball[b, t]))
    count = grid.count[b]
    put(desk, grid.start, b, t, (at[0] * count[1] + at[1]) * count[2] + at[2])


@wp.kernel
def ordered(which: Whole, grid: Grid, desk: Desk) -> None:
    """Triangles and their middles by cell, in order."""
    row, t = wp.tid()
    b = which[row]
    at = place_of(desk, grid.start, b, t)
    grid.order[b, at] = t
    grid.by_cell[b, at] = grid.ball[b, t]


@wp.kernel
def seen(which: Whole, x: Points2, shell: Shell, sheet: Sheet, grid: Grid, sight: Sight) -> None:
    """What vertices see but for what is beside them, and whether anything is within reach."""
    row, v = wp.tid()
    b = which[row]
    reach = sheet.reach[b]
    here = x[b, v]
    out = sight.out[b, v]
    near = sheet.near_start[v]
    last = sheet.near_start[v + 1]
    met = wp.vec2i(-1, -1)
    side = wp.vec2d(number(0.0), number(0.0))
    face = wp.vec2d(number(0.0), number(0.0))
    distance = wp.vec2d(reach, reach)
    close = wp.int32(0)
    at = cell_at(grid, b, here)
    count = grid.count[b]
    for i in range(wp.max(0, at[0] - 1), wp.min(count[0], at[0] + 2)):
        for j in range(wp.max(0, at[1] - 1), wp.min(count[1], at[1] + 2)):
            cell = (i * count[1] + j) * count[2]
            first = grid.start[b, cell + wp.max(0, at[2] - 1)]
            for q in range(first, grid.start[b, cell + wp.min(count[2], at[2] + 2)]):
                ball = grid.by_cell[b, q]
                most = reach + ball[3]
                if wp.length_sq(here - middle_of(ball)) > most * most:
                    continue
                t = grid.order[b, q]
                if near < last and sheet.near[wp.lower_bound(sheet.near, near, last, t)] == t:
                    continue
                corners = shell.triangles[t]
                w = place_on(x, b, v, corners)
                r = off_place(x, b, v, corners, w)
                d = wp.length(r)
                if d < reach:
                    close = 1
                if d >= distance[0] and d >= distance[1]:
                    continue
                there = mixed(sight.out, b, corners, w)
                own = wp.dot(r, out)
                size = wp.length(there)
                if size < number(1e-3):
                    continue
                other = wp.dot(r, there) / size
                # edge to edge they do not lie on each other
                if wp.abs(other) < BESIDE * d or wp.abs(own) < BESIDE * d:
                    continue
                h = wp.int32(1)
                if own < number(0.0):
                    h = wp.int32(0)
                if d < distance[h]:
                    distance[h] = d
                    met[h] = t
                    side[h] = number(-1.0)
                    if other >= number(0.0):
                        side[h] = number(1.0)
                    face[h] = wp.dot(out, there) / size
    sight.met[b, v] = met
    sight.side[b, v] = side
    sight.facing[b, v] = face
    sight.distance[b, v] = distance
    sight.close[b, v] = close


class Seeing:
    """What vertices see, in arrays that stay.

    shell: as on the device, of n vertices and m triangles. sheet: as ``Sheet``.
    """

    def __init__(self, many: int, n: int, m: int, shell: Any, sheet: Any) -> None:
        self.shell, self.sheet, self.n, self.m = shell, sheet, n, m

        def room(count: int, dtype: Any) -> Any:
            return wp.zeros((many, count), dtype=dtype)

        def one(dtype: Any) -> Any:
            return wp.zeros(many, dtype=dtype)

        grid = self.grid = Grid()
        grid.low, grid.cell, grid.widest = one(wp.vec3d), one(wp.float64), one(wp.float64)
        grid.count, grid.cells = one(wp.vec3i), one(wp.int32)
        grid.start, grid.order = room(CELLS + 1, wp.int32), room(m, wp.int32)
        grid.ball, grid.by_cell = room(m, wp.vec4d), room(m, wp.vec4d)
        sight = self.sight = Sight()
        sight.out, sight.met, sight.close = (room(n, t) for t in (wp.vec3d, wp.vec2i, wp.int32))
        sight.side, sight.facing, sight.distance = (room(n, wp.vec2d) for _ in range(3))

    def see(self, which: Any, many: int, x: Any, desk: Any) -> None:
        """What the vertices of many variants at x (B, n, 3) see; desk: to sort triangles on."""
        grid, sight, shell, sheet = self.grid, self.sight, self.shell, self.sheet
        each(surveyed, many, [which, x, shell, sight, grid], max(self.n, self.m))
        blocks(boxed, many, 1, [which, x, sheet.reach, grid])
        each(celled, many, [which, grid, desk], self.m)
        gathered(which, many, desk, self.m, grid.cells, grid.start)
        each(ordered, many, [which, grid, desk], self.m)
        each(seen, many, [which, x, shell, sheet, grid, sight], self.n)
