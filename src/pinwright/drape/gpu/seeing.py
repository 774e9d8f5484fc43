"""Kernels that find what of a cloth its vertices see before and behind them, for some variants.

What is computed is that of :mod:`pinwright.drape.solver.seeing`, rounded alike: no products are
fused with sums here, for which of two triangles is met where both are as near is rounding.
"""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu.cloth import Shell
from pinwright.drape.gpu.gridding import Grid, cell_at, grid_of, gridded, middle_of
from pinwright.drape.gpu.kinds import (
    Flats2,
    Int,
    Numbers,
    Numbers2,
    Points2,
    Twos,
    Twos2,
    Vec3,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.gpu.launching import each
from pinwright.drape.gpu.layers import on_triangle
from pinwright.drape.solver import seeing

wp.set_module_options({"enable_backward": False, "fuse_fp": False})

number = wp.float64

BESIDE = wp.constant(wp.float64(seeing.BESIDE))


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

        def room(dtype: Any) -> Any:
            return wp.zeros((many, n), dtype=dtype)

        self.grid = grid_of(many, m)
        sight = self.sight = Sight()
        sight.out, sight.met, sight.close = (room(t) for t in (wp.vec3d, wp.vec2i, wp.int32))
        sight.side, sight.facing, sight.distance = (room(wp.vec2d) for _ in range(3))

    def see(self, which: Any, many: int, x: Any, desk: Any) -> None:
        """What the vertices of many variants at x (B, n, 3) see; desk: to sort triangles on."""
        grid, sight, shell, sheet = self.grid, self.sight, self.shell, self.sheet
        each(surveyed, many, [which, x, shell, sight, grid], max(self.n, self.m))
        gridded(which, many, x, sheet.reach, grid, desk)
        each(seen, many, [which, x, shell, sheet, grid, sight], self.n)
