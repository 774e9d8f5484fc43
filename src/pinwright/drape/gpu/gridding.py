"""Kernels that lay triangles into a grid by their middles, for some variants.

What is computed is that of :mod:`pinwright.drape.solver.seeing`, rounded alike.
"""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.kinds import (
    Int,
    Numbers,
    Points,
    Points2,
    Quads2,
    Triples,
    Vec3,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.gpu.launching import blocks, each
from pinwright.drape.gpu.sorting import Desk, gathered, place_of, put

wp.set_module_options({"enable_backward": False, "fuse_fp": False})

CELLS = 1 << 17
"""So many cells a grid has at most; where it would have more, they are wider."""


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
            count[k] = far > 0.0 ? (far < room ? (int)far + 1 : room) : 1;
            all *= count[k];
        }
        if (all <= room) break;
        // where cloth is nowhere any more, one cell
        count[0] = count[1] = count[2] = 1;
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


def grid_of(many: int, m: int) -> Any:
    """Room for the grids of many variants of m triangles."""
    found = Grid()
    for name, dtype in (
        ("low", wp.vec3d),
        ("cell", wp.float64),
        ("widest", wp.float64),
        ("count", wp.vec3i),
        ("cells", wp.int32),
    ):
        setattr(found, name, wp.zeros(many, dtype=dtype))
    found.start = wp.zeros((many, CELLS + 1), dtype=wp.int32)
    found.order = wp.zeros((many, m), dtype=wp.int32)
    found.ball, found.by_cell = (wp.zeros((many, m), dtype=wp.vec4d) for _ in range(2))
    return found


def gridded(which: Any, many: int, x: Any, reach: Any, grid: Any, desk: Any) -> None:
    """Lays the triangles of many variants into their grids; reach (B,): so far it is looked, cm."""
    m = grid.ball.shape[1]
    blocks(boxed, many, 1, [which, x, reach, grid])
    each(celled, many, [which, grid, desk], m)
    gathered(which, many, desk, m, grid.cells, grid.start)
    each(ordered, many, [which, grid, desk], m)
