"""A lay made shorter: the cloth is drawn in, and overlapping pieces are moved until none is left.

A piece that overlaps goes where it overlaps least, looked for over the whole cloth at once; what
overlaps again and again comes to weigh more (guided local search: Egeblad, Nielsen and Odgaard
2007, "Fast neighborhood search for two- and three-dimensional nesting problems", European Journal
of Operational Research 183; on tables of depths: see :mod:`pinwright.cutting.lay.depths`). Places
in a repeat, the fold, and flaws are kept by construction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from pinwright.cutting.lay.depths import Depths, Grid
from pinwright.cutting.lay.placing import Lay, Placement, between
from pinwright.cutting.lay.tables import Tables
from pinwright.cutting.lay.verify import faults

Place = tuple[int, int, int]
"""How a piece lies: number of its way, node along, node across."""

Stop = Callable[[], bool]
Tell = Callable[[float], None]

PATIENCE = 40
"""After so many rounds in which the overlap got no less, the search begins from elsewhere."""

DRAWN_IN = 0.003
"""By this part the cloth is drawn in once a lay is found."""

LESS = 0.98
"""An overlap has become less when it is at most this part of what it was."""

HEAVIER, LIGHTER = 1.2, 0.95
"""What an overlap's weight is multiplied by, at the least, while it lasts, and once it is gone."""

KEPT = 10
"""So many of the best failed tries are kept to begin from."""


def shortened(
    lay: Lay,
    seconds: float,
    seed: int = 0,
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> Lay:
    """The best lay found from this one in about so many seconds; never longer, never unsound.

    Not for remnants: the lay's field must have no outline. ``tell`` hears of every shorter length.
    """
    if len(lay.placements) < 2 or lay.field.outline is not None:
        return lay
    end = perf_counter() + seconds

    def until() -> bool:
        return perf_counter() > end or (stop is not None and stop())

    search = _Separation(lay, seed, until)
    best, target = lay, lay.length
    failed: list[tuple[float, list[Place]]] = []
    while not until():
        if search.separated(target):
            found = search.lay(lay)
            if found.length < best.length - 1e-6 and not faults(found):
                best = found
                if tell is not None:
                    tell(best.length)
            target, failed = (1.0 - DRAWN_IN) * min(target, found.length), []
        else:
            failed = sorted([*failed, (search.least, list(search.places))], key=_first)[:KEPT]
            search.begin_again([places for _, places in failed])
    return replace(best, seconds=lay.seconds + seconds)


def _first(tried: tuple[float, list[Place]]) -> float:
    return tried[0]


class _Separation:
    def __init__(self, lay: Lay, seed: int, until: Stop) -> None:
        known = {t.key: t for t in lay.templates}
        self.templates = tuple(known[p.key] for p in lay.placements)
        self.tables = Tables(replace(lay.field, length=None), self.templates)
        self.rng = np.random.default_rng(seed)
        self.until = until
        self.n = len(self.templates)
        self.places = [self._nearest(i, p) for i, p in enumerate(lay.placements)]
        self.weight = np.ones((self.n, self.n), dtype=np.float32)
        size = np.sqrt(np.array([t.taken.area for t in self.templates]))
        pairs = np.sqrt(size[:, None] * size[None, :])
        # what is large is harder to place: its overlaps count for more in the sum
        self.count = (pairs / pairs.max()).astype(np.float32)
        self.least = np.inf

    def _nearest(self, i: int, p: Placement) -> Place:
        ways = self.tables.ways[i]
        k = min(range(len(ways)), key=lambda k: between(ways[k].kind.said, p.rotation))
        return (k, *self.tables.node(ways[k], p.x, p.y))

    def lay(self, of: Lay) -> Lay:
        """The lay as the pieces stand now."""
        placements, ends = [], [0.0]
        for i, (k, a, b) in enumerate(self.places):
            way = self.tables.ways[i][k]
            x, y = self.tables.position(way, (a, b))
            placements.append(Placement(self.templates[i].key, x, y, way.kind.said))
            ends.append(x + way.kind.most[0])
        way_said = f"{of.way}, separated" if of.way else "separated"
        return replace(of, placements=tuple(placements), length=max(ends), way=way_said)

    def separated(self, length: float) -> bool:
        """Whether the pieces could be brought apart on cloth so long.

        If not they are left as they overlapped least, ``least`` in sum.
        """
        if not self._drawn_in(length):
            self.least = np.inf
            return False
        self.weight[:] = 1.0
        self.least, best, stale = np.inf, list(self.places), 0
        while stale < PATIENCE and not self.until():
            overlap = self._overlaps()
            total = float((overlap * self.count).sum()) + sum(map(self._shut, range(self.n)))
            if total <= 0.0:
                return True
            stale = 0 if total < LESS * self.least else stale + 1
            if total < self.least:
                self.least, best = total, list(self.places)
            self._weigh(overlap)
            for j in self.rng.permutation(self.n):
                if self._overlapping(int(j)):
                    self._move(int(j), length)
        self.places = best
        return False

    def _drawn_in(self, length: float) -> bool:
        """Every piece on the cloth; False if one is too long for it."""
        for i, (k, a, b) in enumerate(self.places):
            way = self.tables.ways[i][k]
            xs, ys = (self.tables.axis(way, axis, length) for axis in (0, 1))
            if not xs or not ys:
                return False
            self.places[i] = (k, _within(a, xs), _within(b, ys))
        return True

    def _weigh(self, overlap: Grid) -> None:
        most = float(overlap.max())
        if most > 0.0:
            up = self.weight * (HEAVIER + (2.0 - HEAVIER) * overlap / most)
            down = np.maximum(1.0, LIGHTER * self.weight)
            self.weight = np.where(overlap > 0.0, up, down).astype(np.float32)

    def _depth(self, i: int, j: int) -> float:
        (k, a, b), (m, c, d) = self.places[i], self.places[j]
        table = self.tables.pair((i, k), (j, m))
        return 0.0 if table is None else table.at(c - a, d - b)

    def _shut(self, j: int) -> float:
        k, a, b = self.places[j]
        table = self.tables.shut(j, k)
        return 0.0 if table is None else table.at(a, b)

    def _overlaps(self) -> Grid:
        found = np.zeros((self.n, self.n), dtype=np.float32)
        for i in range(self.n):
            for j in range(i):
                found[i, j] = found[j, i] = self._depth(i, j)
        return found

    def _overlapping(self, j: int) -> bool:
        return self._shut(j) > 0.0 or any(self._depth(i, j) > 0.0 for i in range(self.n) if i != j)

    def _move(self, j: int, length: float) -> None:
        """The piece goes where it overlaps least; one of those places by chance."""
        least, found = np.inf, self.places[j]
        for k in range(len(self.tables.ways[j])):
            way = self.tables.ways[j][k]
            xs, ys = (self.tables.axis(way, axis, length) for axis in (0, 1))
            if not xs or not ys:
                continue
            map_ = self._map(j, k, xs, ys)
            low = float(map_.min())
            if low > least + 1e-6 or (low > least - 1e-6 and self.rng.random() < 0.5):
                continue
            at = np.flatnonzero(map_.ravel() <= low + 1e-6)
            a, b = divmod(int(at[self.rng.integers(len(at))]), len(ys))
            least, found = low, (k, xs[a], ys[b])
        self.places[j] = found

    def _map(self, j: int, k: int, xs: range, ys: range) -> Grid:
        """How deep a piece would overlap, weighted, at each of these nodes."""
        found = np.zeros((len(xs), len(ys)), dtype=np.float32)
        shut = self.tables.shut(j, k)
        if shut is not None:
            # twice the heaviest: a flaw does not give way
            _add(found, shut, (0, 0), xs, ys, 2.0 * float(self.weight[j].max()))
        for i in range(self.n):
            if i == j:
                continue
            m, a, b = self.places[i]
            table = self.tables.pair((i, m), (j, k))
            if table is not None:
                _add(found, table, (a, b), xs, ys, float(self.weight[i, j]))
        return found

    def begin_again(self, tried: list[list[Place]]) -> None:
        """From one of the best tries, two of the larger pieces exchanged."""
        which = min(int(abs(self.rng.normal()) * len(tried) / 3.0), len(tried) - 1)
        self.places = list(tried[which])
        by_size = sorted(range(self.n), key=lambda i: -self.templates[i].area)
        large = by_size[: max(2, round(0.6 * self.n))]
        i, j = (int(v) for v in self.rng.choice(large, 2, replace=False))
        at = [self._middle(v) for v in (i, j)]
        for v, (x, y) in ((i, at[1]), (j, at[0])):
            ways = self.tables.ways[v]
            k = int(self.rng.integers(len(ways)))
            half = (np.array(ways[k].kind.least) + ways[k].kind.most) / 2.0
            node = self.tables.node(ways[k], x - float(half[0]), y - float(half[1]))
            self.places[v] = (k, *node)

    def _middle(self, v: int) -> tuple[float, float]:
        k, a, b = self.places[v]
        way = self.tables.ways[v][k]
        x, y = self.tables.position(way, (a, b))
        half = (np.array(way.kind.least) + way.kind.most) / 2.0
        return x + float(half[0]), y + float(half[1])


def _within(node: int, allowed: range) -> int:
    """The allowed node nearest to one."""
    which = round((node - allowed.start) / allowed.step)
    return allowed[min(max(which, 0), len(allowed) - 1)]


def _add(
    map_: Grid, table: Depths, at: tuple[int, int], xs: range, ys: range, weight: float
) -> None:
    """A table of depths, with its origin at a node, added to a map over some nodes."""
    slices: list[tuple[slice, slice]] = []
    for first, size, origin, nodes in zip(
        table.first, table.values.shape, at, (xs, ys), strict=True
    ):
        begin = origin + first
        # numbers of the nodes that lie within the table
        low = max(0, -((nodes.start - begin) // nodes.step))
        high = min(len(nodes), (begin + size - 1 - nodes.start) // nodes.step + 1)
        if low >= high:
            return
        start = nodes.start + low * nodes.step - begin
        stop = start + (high - low - 1) * nodes.step + 1
        slices.append((slice(low, high), slice(start, stop, nodes.step)))
    (a, c), (b, d) = slices
    part: NDArray[np.float32] = table.values[c, d]
    map_[a, b] += np.float32(weight) * part
