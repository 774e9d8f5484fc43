"""Kernels that find where cloth lies near itself and on which side it belongs, for some variants.

What is computed is that of :mod:`pinwright.drape.solver.places`, rounded alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pinwright.drape.gpu.cloth import Cloth, Shell
from pinwright.drape.gpu.crossing import THROUGH, Crossings
from pinwright.drape.gpu.kinds import (
    Int,
    Numbers2,
    Points2,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.gpu.launching import blocks, each
from pinwright.drape.gpu.layers import Lying
from pinwright.drape.gpu.laying import real, whole
from pinwright.drape.gpu.seeing import Seeing, Sheet, Sight, mixed, place_on
from pinwright.drape.gpu.sorting import summed
from pinwright.drape.solver import places
from pinwright.drape.solver.acting import Setting

wp.set_module_options({"enable_backward": False, "fuse_fp": False})

number = wp.float64

MARGIN = wp.constant(wp.float64(places.MARGIN))


@wp.kernel
def measured_sides(cloth: Cloth, of: Whole, far: Numbers2) -> None:
    """Rest lengths of sides (B, ends), cm; of: three times a triangle they are in and a corner."""
    b, q = wp.tid()
    t = of[q] / 3
    corner = of[q] % 3
    s = cloth.slopes[b, t]
    # the slopes of two corners are the inverse of the flat sides that lead to them
    turned = wp.abs(s[1, 0] * s[2, 1] - s[1, 1] * s[2, 0])
    u = s[2, 0]
    v = s[2, 1]
    if corner == 1:
        u += s[1, 0]
        v += s[1, 1]
    elif corner == 2:
        u = s[1, 0]
        v = s[1, 1]
    far[b, q] = wp.sqrt(u * u + v * v) / turned


@wp.func
def stays(
    b: Int,
    v: Int,
    h: Int,
    apart: wp.float64,
    shell: Shell,
    sight: Sight,
    state: Whole2,
    passing: Whole2,
) -> wp.bool:
    """Whether what a vertex sees before it (0) or behind it (1) is a place."""
    met = sight.met[b, v][h]
    if met < 0 or passing[b, v] != 0:
        return False
    t = shell.triangles[met]
    for c in range(3):
        if passing[b, t[c]] != 0:
            return False
    if h == 1 and state[b, v] == THROUGH:
        return True
    return sight.distance[b, v][h] < apart + MARGIN


@wp.kernel
def numbered(
    which: Whole,
    shell: Shell,
    sight: Sight,
    state: Whole2,
    passing: Whole2,
    lying: Lying,
    start: Whole2,
) -> None:
    """How many places each vertex has, start (B, n + 1)."""
    row, v = wp.tid()
    b = which[row]
    many = wp.int32(0)
    for h in range(2):
        if stays(b, v, h, lying.apart[b], shell, sight, state, passing):
            many += 1
    start[b, v] = many
    if v == 0:
        start[b, start.shape[1] - 1] = 0
        lying.least[b] = number(0.0)


@wp.kernel
def chosen(
    which: Whole,
    shell: Shell,
    sight: Sight,
    state: Whole2,
    passing: Whole2,
    lying: Lying,
    start: Whole2,
    x: Points2,
    where: Points2,
) -> None:
    """The places of each vertex, from where they start; and where the cloth was then."""
    row, v = wp.tid()
    b = which[row]
    where[b, v] = x[b, v]
    if v == 0:
        lying.count[b] = start[b, start.shape[1] - 1]
    p = start[b, v]
    for h in range(2):
        if stays(b, v, h, lying.apart[b], shell, sight, state, passing):
            t = shell.triangles[sight.met[b, v][h]]
            way = mixed(sight.out, b, t, place_on(x, b, v, t))
            size = wp.length(way)
            if h == 1 and state[b, v] == THROUGH:
                # so far a step may always go
                lying.least[b] = number(0.1) * lying.apart[b]
            else:
                size = sight.side[b, v][h] * size
            lying.vertex[b, p] = v
            lying.corners[b, p] = t
            lying.out[b, p] = way / size
            p += 1


class Places:
    """Finds the places of some of many variants, in arrays that stay.

    settings: of the variants, shell and cloth: the same as they are on the device. there: who is
    whose neighbour. lying: takes what is found.
    """

    def __init__(
        self,
        settings: Sequence[Setting],
        shell: Any,
        cloth: Any,
        there: places.Sheet,
        lying: Any,
    ) -> None:
        s = settings[0].stencils
        many, n = len(settings), s.n
        self.shell, self.lying, self.n = shell, lying, n
        sheet = self.sheet = Sheet()
        for name in ("start", "beside", "near_start", "near"):
            setattr(sheet, name, whole(getattr(there, name)))
        sheet.sides = wp.array(there.sides.astype(np.int32), dtype=wp.vec2i)
        sheet.far = wp.zeros((many, len(there.which)), dtype=wp.float64)
        each(measured_sides, many, [cloth, whole(there.which), sheet.far], len(there.which))
        sheet.reach = real([max(t.apart + places.MARGIN, places.DEPTH) for t in settings])
        self.seeing = Seeing(many, n, len(s.triangles), shell, sheet)
        self.crossings = Crossings(many, n, len(there.sides), self.seeing)
        nowhere = np.zeros(n, np.bool_)
        passing = [nowhere if t.passing is None else t.passing for t in settings]
        self._passing = wp.array(np.stack(passing).astype(np.int32), dtype=wp.int32)
        self._start = wp.zeros((many, n + 1), dtype=wp.int32)
        self._vertices = wp.full(many, n, dtype=wp.int32)

    def find(self, which: Any, many: int, x: Any, where: Any, desk: Any) -> None:
        """The places of many variants at x (B, n, 3), which where (B, n, 3) takes."""
        self.seeing.see(which, many, x, desk)
        self.crossings.find(which, many, x)
        shell, sight, lying, start = self.shell, self.seeing.sight, self.lying, self._start
        asked = [which, shell, sight, self.crossings.crossing.state, self._passing, lying, start]
        each(numbered, many, asked, self.n)
        blocks(summed, many, 1, [which, self._vertices, start])
        each(chosen, many, [*asked, x, where], self.n)
