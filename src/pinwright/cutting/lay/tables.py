"""Where every piece of a lay may lie on a grid, and how deep any two overlap there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import shapely

from pinwright.cutting.lay.depths import Depths, Pair, depths
from pinwright.cutting.lay.ground import Ground, Kind, Lattice
from pinwright.cutting.lay.nfp import no_fit
from pinwright.cutting.lay.placing import Field, Template, between

STEP = 0.375
"""Step of the grid, cm: finer ones find shorter places, but fewer of them in the same time."""

MANY = 30
"""With more pieces than this the grid is coarser, so that the tables keep their size."""

WAYS = (6, 2)
"""In so many ways at most a piece may lie, where tables of all would take too long to make."""

EDGE = 1e-6
"""A node so near (cm) to the edge of where a piece may lie is within it."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One way a piece may lie: its kind, the offset of its grid, and its lattice there.

    Along it may lie at the nodes ``begin`` + a multiple of ``every`` only, likewise across.
    """

    kind: Kind
    offset: Pair
    begin: tuple[int, int]
    every: tuple[int, int]


def _step(lattices: Sequence[Lattice], coarse: float) -> float:
    """A step of at most ``coarse`` cm into which the repeat goes a whole number of times."""
    repeats = [by for _, by in lattices if by > 0.0]
    return min(repeats) / ceil(min(repeats) / coarse - 1e-9) if repeats else coarse


def _fewer(kinds: Sequence[Sequence[Kind]], most: float) -> list[list[Kind]]:
    """The ways of pieces, of each the least tilted only where all have more tables than that."""
    found = [list(ks) for ks in kinds]
    for ways in WAYS:
        # half of the pairs of shapes are others turned by half, or the other way round
        if len({(k.body, k.rotation) for ks in found for k in ks}) ** 2 / 4.0 <= most:
            break
        found = [sorted(ks, key=_tilt)[:ways] for ks in kinds]
    return found


def _tilt(kind: Kind) -> float:
    return min(between(kind.said, 0.0), between(kind.said, 180.0))


class Tables:
    """The grid of a field, the ways of its pieces, and depths of every two, made when asked for."""

    def __init__(
        self,
        field: Field,
        templates: Sequence[Template],
        step: float = STEP,
        most: float = np.inf,
    ) -> None:
        """``field`` has no outline. step: of the grid, cm; most: about so many tables."""
        self.field, self.templates = field, tuple(templates)
        self.ground = Ground(field, templates)
        coarse = step * max(1.0, len(self.templates) / MANY)
        kinds = _fewer([self.ground.ways[t.key] for t in self.templates], most)
        every = [k for ks in kinds for k in ks]
        along, across = (
            _step([w for w in lattices if w is not None], coarse)
            for lattices in ([k.along for k in every], [k.across for k in every])
        )
        self.step: Pair = (along, across)
        self.ways = [[self._way(k) for k in ks] for ks in kinds]
        self._pairs: dict[tuple[object, ...], Depths | None] = {}
        self._shut: dict[tuple[int, int], Depths | None] = {}

    def _way(self, kind: Kind) -> Way:
        offset, begin, every = [], [], []
        for lattice, step in zip((kind.along, kind.across), self.step, strict=True):
            if lattice is None:
                lattice = (0.0, step)
            start, by = lattice
            offset.append(start % step)
            begin.append(round((start - start % step) / step))
            every.append(max(1, round(by / step)) if by > 0.0 else 0)
        return Way(kind, (offset[0], offset[1]), (begin[0], begin[1]), (every[0], every[1]))

    def position(self, way: Way, node: tuple[int, int]) -> Pair:
        """Where the origin of a piece lies that stands at a node, cm."""
        x, y = (o + i * s for o, i, s in zip(way.offset, node, self.step, strict=True))
        return x, y

    def node(self, way: Way, x: float, y: float) -> tuple[int, int]:
        """The node nearest to a place, cm."""
        i, j = (round((v - o) / s) for v, o, s in zip((x, y), way.offset, self.step, strict=True))
        return i, j

    def axis(self, way: Way, k: int, length: float) -> range:
        """The nodes on one axis at which a piece is on cloth so long (cm), its flaws apart."""
        limit = (length, self.field.width)[k]
        step, offset = self.step[k], way.offset[k]
        first = ceil((-way.kind.least[k] - offset) / step - EDGE)
        last = int(np.floor((limit - way.kind.most[k] - offset) / step + EDGE))
        begin, every = way.begin[k], way.every[k]
        if every == 0:
            return range(begin, begin + 1) if first <= begin <= last else range(0)
        return range(first + (begin - first) % every, last + 1, every)

    def pair(self, a: tuple[int, int], b: tuple[int, int]) -> Depths | None:
        """How deep piece ``b`` (number, way) overlaps ``a`` at each difference of their nodes."""
        u, v = self.ways[a[0]][a[1]], self.ways[b[0]][b[1]]
        shift = (v.offset[0] - u.offset[0], v.offset[1] - u.offset[1])
        key = (u.kind.body, u.kind.rotation, v.kind.body, v.kind.rotation, *shift)
        if key not in self._pairs:
            self._pairs[key] = self._depths(u.kind, v.kind, shift)
        return self._pairs[key]

    def _depths(self, a: Kind, b: Kind, shift: Pair) -> Depths | None:
        back = (b.body, b.rotation, a.body, a.rotation, -shift[0], -shift[1])
        if back in self._pairs:
            found = self._pairs[back]
            return None if found is None else found.opposite
        return depths(no_fit(a.body, a.rotation, b.body, b.rotation), self.step, shift)

    def shut(self, piece: int, way: int) -> Depths | None:
        """How deep a piece lies in flaws or in what is taken, at each node."""
        key = (piece, way)
        if key not in self._shut:
            w = self.ways[piece][way]
            kind = w.kind
            met = [no_fit(o, 0.0, kind.body, kind.rotation) for o in self.ground.obstacles]
            whole = shapely.union_all(met) if met else shapely.Polygon()
            self._shut[key] = depths(whole, self.step, w.offset)
        return self._shut[key]
