"""Kernels that find where cloths are through themselves, for some variants.

What is computed is that of :mod:`pinwright.drape.solver.places`, rounded alike: sides that pass
through triangles, and from there over the sheet the vertices on the wrong side of what they see
behind them, but for the flanks of ridges.
"""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu.blocks import BLOCK
from pinwright.drape.gpu.cloth import Shell
from pinwright.drape.gpu.gridding import Grid
from pinwright.drape.gpu.kinds import (
    Flats2,
    Int,
    Numbers2,
    Points2,
    Twos2,
    Vec3,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.gpu.launching import blocks, each, on_card
from pinwright.drape.gpu.seeing import Seeing, Sheet, Sight
from pinwright.drape.solver import places

wp.set_module_options({"enable_backward": False, "fuse_fp": False})

number = wp.float64

ABOUT = wp.constant(wp.float64(places.ABOUT))
RIDGE = wp.constant(wp.float64(places.RIDGE))

# what is known of a vertex that may be on the wrong side of what it sees behind it
SEED = wp.constant(1)
MAY = wp.constant(2)
BACK = wp.constant(3)
THROUGH = wp.constant(4)

WALKS, LANES = 1024, 32
"""So many ways over the sheet are looked for at once on a card, each by one of so many threads:
those of a warp would wait for each other."""


@wp.struct
class Crossing:
    """Where variants may be through themselves, in arrays that stay.

    state: (B, n). crossed: (B,) whether any. task, tasks: vertices whose way over the sheet is
    looked for, n times the variant and which, and how many. parent: (W, n) -1, length, queue: (W,
    n) to work in.
    """

    state: Whole2
    crossed: Whole
    task: Whole
    tasks: Whole
    parent: Whole2
    length: Numbers2
    queue: Whole2


@wp.kernel
def begun(which: Whole, crossing: Crossing) -> None:
    """Nothing is through itself."""
    row, v = wp.tid()
    b = which[row]
    crossing.state[b, v] = 0
    if v == 0:
        crossing.crossed[b] = 0
    if row == 0 and v == 0:
        crossing.tasks[0] = 0


@wp.func
def turned(a: Vec3, b: Vec3, c: Vec3, d: Vec3) -> wp.bool:
    """Whether the volume of four points has the sign +."""
    return wp.dot(a - d, wp.cross(b - d, c - d)) > number(0.0)


@wp.func
def along(low: wp.float64, size: wp.float64, count: Int, p: wp.float64) -> Int:
    """In which of so many cells p is."""
    return wp.clamp(wp.int32((p - low) / size), 0, count - 1)


@wp.func
def beyond(ball: wp.vec4d, low: Vec3, high: Vec3) -> wp.bool:
    """Whether a triangle lies off a box, along one of the ways."""
    wide = ball[3]
    return (
        (ball[0] + wide < low[0] or ball[0] - wide > high[0])
        or (ball[1] + wide < low[1] or ball[1] - wide > high[1])
        or (ball[2] + wide < low[2] or ball[2] - wide > high[2])
    )


@wp.kernel
def pierced(
    which: Whole,
    x: Points2,
    shell: Shell,
    sheet: Sheet,
    grid: Grid,
    sight: Sight,
    crossing: Crossing,
) -> None:
    """Marks sides and the triangles they pass through, without a vertex in common."""
    row, e = wp.tid()
    b = which[row]
    i0 = sheet.sides[e][0]
    i1 = sheet.sides[e][1]
    # sides of others pass through no triangles
    if sight.close[b, i0] == 0 and sight.close[b, i1] == 0:
        return
    one = x[b, i0]
    two = x[b, i1]
    lo = wp.min(one, two)
    hi = wp.max(one, two)
    low = grid.low[b]
    size = grid.cell[b]
    count = grid.count[b]
    most = grid.widest[b]
    at = wp.vec3i(0, 0, 0)
    until = wp.vec3i(0, 0, 0)
    for k in range(3):
        at[k] = along(low[k], size, count[k], lo[k] - most)
        until[k] = along(low[k], size, count[k], hi[k] + most)
    for i in range(at[0], until[0] + 1):
        for j in range(at[1], until[1] + 1):
            cell = (i * count[1] + j) * count[2]
            first = grid.start[b, cell + at[2]]
            for q in range(first, grid.start[b, cell + until[2] + 1]):
                ball = grid.by_cell[b, q]
                if beyond(ball, lo, hi):
                    continue
                t = shell.triangles[grid.order[b, q]]
                if i0 == t[0] or i0 == t[1] or i0 == t[2]:
                    continue
                if i1 == t[0] or i1 == t[1] or i1 == t[2]:
                    continue
                p0 = x[b, t[0]]
                p1 = x[b, t[1]]
                p2 = x[b, t[2]]
                if turned(p0, p1, p2, one) == turned(p0, p1, p2, two):
                    continue
                turn = turned(one, two, p0, p1)
                if turned(one, two, p1, p2) == turn and turned(one, two, p2, p0) == turn:
                    crossing.state[b, i0] = SEED
                    crossing.state[b, i1] = SEED
                    crossing.state[b, t[0]] = SEED
                    crossing.state[b, t[1]] = SEED
                    crossing.state[b, t[2]] = SEED
                    crossing.crossed[b] = 1


# from seeds over the sheet, through vertices that may be through (1 SEED, 2 MAY, 3 BACK): what is
# reached does not hang on the order in which threads come
_FOLLOWED = (
    BLOCK
    + """
PW_SHARED int more;
const int n = met.shape[1];
int* own = state.data + wp::int64(b) * n;
const wp::int64 first = wp::int64(b) * n;
for (int v = lane; v < n; v += width) {
    const bool may = met.data[first + v][1] >= 0 && side.data[first + v][1] < 0.0
        && facing.data[first + v][1] < -0.2;
    own[v] = may ? (own[v] == 1 ? 3 : 2) : 0;
}
if (lane == 0) more = 1;
PW_MEET;
while (more) {
    PW_MEET;
    if (lane == 0) more = 0;
    PW_MEET;
    for (int v = lane; v < n; v += width) {
        if (own[v] != 2) continue;
        for (int q = start.data[v]; q < start.data[v + 1]; ++q)
            if (((volatile int*)own)[beside.data[q]] == 3) {
                own[v] = 3;
                more = 1;
                break;
            }
    }
    PW_MEET;
}
"""
)


@wp.func_native(_FOLLOWED)
def _followed(
    b: Int,
    met: Twos2,
    side: Flats2,
    facing: Flats2,
    start: Whole,
    beside: Whole,
    state: Whole2,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def followed(which: Whole, sheet: Sheet, sight: Sight, crossing: Crossing, width: Int) -> None:
    """Vertices that may be through what they see behind them, reached from where sides pass
    through triangles: a block a variant."""
    b = which[wp.tid() / width]
    if crossing.crossed[b] == 0:
        return
    _followed(
        b,
        sight.met,
        sight.side,
        sight.facing,
        sheet.start,
        sheet.beside,
        crossing.state,
        wp.tid() % width,
        width,
    )


@wp.kernel
def listed(which: Whole, crossing: Crossing) -> None:
    """Lists the vertices whose way over the sheet is to be looked for, in any order."""
    row, v = wp.tid()
    b = which[row]
    if crossing.state[b, v] == BACK:
        at = wp.atomic_add(crossing.tasks, 0, 1)
        crossing.task[at] = b * crossing.state.shape[1] + v


@wp.func
def of_a_ridge(
    walk: Int,
    b: Int,
    v: Int,
    target: wp.vec3i,
    x: Points2,
    out: Points2,
    sheet: Sheet,
    crossing: Crossing,
) -> wp.bool:
    """Whether the sheet between a vertex and a triangle bends outwards round what is between them:
    as the processor does it."""
    parent = crossing.parent[walk]
    length = crossing.length[walk]
    queue = crossing.queue[walk]
    parent[v] = v
    length[v] = number(0.0)
    queue[0] = v
    known = wp.int32(1)
    hit = wp.int32(-1)
    done = wp.int32(0)
    last = wp.int32(1)
    # ring by ring; of those in the ring that reaches it, the last is taken
    while done < known and hit < 0:
        for place in range(done, last):
            p = queue[place]
            for q in range(sheet.start[p], sheet.start[p + 1]):
                o = sheet.beside[q]
                far = length[p] + sheet.far[b, q]
                if parent[o] < 0 and far <= ABOUT:
                    parent[o] = p
                    length[o] = far
                    queue[known] = o
                    known += 1
                    if o == target[0] or o == target[1] or o == target[2]:
                        hit = o
        done = last
        last = known
    bulge = number(0.0)
    if hit >= 0:
        middle = hit
        while length[middle] > number(0.5) * length[hit]:
            middle = parent[middle]
        off = x[b, middle] - number(0.5) * (x[b, v] + x[b, hit])
        bulge = wp.dot(off, out[b, middle])
    for q in range(known):
        parent[queue[q]] = -1
    return bulge > RIDGE


@wp.kernel
def walked(
    x: Points2, shell: Shell, sheet: Sheet, sight: Sight, crossing: Crossing, lanes: Int
) -> None:
    """Says which of the vertices listed are on the wrong side: those that are of no ridge."""
    if wp.tid() % lanes != 0:
        return
    walk = wp.tid() / lanes
    at = walk
    while at < crossing.tasks[0]:
        b = crossing.task[at] / x.shape[1]
        v = crossing.task[at] % x.shape[1]
        target = shell.triangles[sight.met[b, v][1]]
        if not of_a_ridge(walk, b, v, target, x, sight.out, sheet, crossing):
            crossing.state[b, v] = THROUGH
        at += crossing.parent.shape[0]


class Crossings:
    """Finds where many cloths are through themselves, in arrays that stay; sides: how many."""

    def __init__(self, many: int, n: int, sides: int, seeing: Seeing) -> None:
        self.n, self.sides, self.seeing = n, sides, seeing
        c = self.crossing = Crossing()
        c.state = wp.zeros((many, n), dtype=wp.int32)
        c.crossed, c.tasks = wp.zeros(many, dtype=wp.int32), wp.zeros(1, dtype=wp.int32)
        c.task = wp.zeros(many * n, dtype=wp.int32)
        walks, self.lanes = (WALKS, LANES) if on_card() else (1, 1)
        c.parent = wp.full((walks, n), -1, dtype=wp.int32)
        c.length = wp.zeros((walks, n), dtype=wp.float64)
        c.queue = wp.zeros((walks, n), dtype=wp.int32)

    def find(self, which: Any, many: int, x: Any) -> None:
        """Where those of many variants at x (B, n, 3) are, which have been looked at."""
        shell, sheet, c = self.seeing.shell, self.seeing.sheet, self.crossing
        grid, sight = self.seeing.grid, self.seeing.sight
        each(begun, many, [which, c], self.n)
        each(pierced, many, [which, x, shell, sheet, grid, sight, c], self.sides)
        blocks(followed, many, 1, [which, sheet, sight, c])
        each(listed, many, [which, c], self.n)
        each(walked, len(c.parent) * self.lanes, [x, shell, sheet, sight, c, self.lanes])
