"""A lay made shorter: the cloth is drawn in, and overlapping pieces are moved until none is left.

A piece that overlaps goes where it overlaps least, looked for over the whole cloth at once; what
overlaps again and again comes to weigh more (guided local search: Egeblad, Nielsen and Odgaard
2007, "Fast neighborhood search for two- and three-dimensional nesting problems", European Journal
of Operational Research 183; on tables of depths: see :mod:`pinwright.cutting.lay.depths`). Places
in a repeat, the fold, and flaws are kept by construction. Every core searches; all go on from the
shortest lay that any of them has found.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial
from itertools import pairwise
from time import perf_counter

import numpy as np

from pinwright.cutting.lay.apart import made_ready as apart_ready
from pinwright.cutting.lay.compact import pulled_apart
from pinwright.cutting.lay.moving import all_depths, room_for, rounds, seeded
from pinwright.cutting.lay.overlaps import Overlaps, Whole, overlaps_of
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, between
from pinwright.cutting.lay.tables import STEP, Tables
from pinwright.cutting.lay.verify import faults

Stop = Callable[[], bool]
Tell = Callable[[float], None]
Scattered = Callable[[float], Whole]
Alike = Callable[[Whole, Whole], bool]

PATIENCE = 40
"""After so many rounds in which the overlap got no less, the search begins from elsewhere."""

AT_ONCE = 10
"""So many rounds go on before it is asked whether there is time for more."""

LONG_ENOUGH = 8.0
"""In less time (s) the grid is twice as coarse."""

TABLES = 60.0
"""So many tables of depths are made at most for each second that there is: a quarter of it."""

DRAWN_IN = 0.003
"""By this part the cloth is drawn in once a lay is found."""

DEEP, MANY = 2.5, 3
"""Pieces that overlap no deeper (cm), and in sum no more than so often as much, may lie apart off
the grid."""

AFRESH = 300
"""After so many failed tries at one length all begin afresh, from scattered pieces."""

DRAWN_IN_AFRESH = 0.001
"""By this part shorter than the shortest lay is then what is sought at once: what is longer would
be of no use."""

KEPT = 10
"""So many of the best failed tries are kept to begin from, no two of them alike."""

MAIN, ALIKE = 0.2, 4.5
"""Two tries are alike where each main piece lies the same way and at most so far (cm) from where it
lies in the other: one that has so large a part of the largest one's area. Else those that are kept
soon are all the same, but for the small pieces."""

STALE = 1.5
"""By so much more a failed try is taken to overlap once a shorter lay is sought."""

LARGE = 0.6
"""Of the larger pieces, so large a part of all, two are exchanged."""


def shortened(
    lay: Lay,
    seconds: float,
    seed: int = 0,
    tell: Tell | None = None,
    stop: Stop | None = None,
    cores: int = 1,
) -> Lay:
    """The best lay found from this one in about so many seconds; never longer, never unsound.

    Not for remnants: the lay's field must have no outline. ``tell`` hears of every shorter length,
    from any of as many threads as ``cores``.
    """
    if len(lay.placements) < 2 or lay.field.outline is not None:
        return lay
    made_ready()
    end = perf_counter() + seconds

    def until() -> bool:
        return perf_counter() > end or (stop is not None and stop())

    grid = _Grid(lay, STEP if seconds >= LONG_ENOUGH else 2.0 * STEP, TABLES * seconds, cores)
    found = _Found(lay, grid.near(lay), tell, grid.alike)
    searches = [_Search(grid, found, seed + k, until) for k in range(cores)]
    threads = [threading.Thread(target=search.run, daemon=True) for search in searches[1:]]
    for thread in threads:
        thread.start()
    searches[0].run()
    for thread in threads:
        thread.join()
    for search in searches:
        if search.wrong is not None:
            raise search.wrong
    return replace(found.soundest(), seconds=lay.seconds + seconds)


@cache
def made_ready() -> None:
    """Compiles the search where that has not been done on this machine, which takes seconds."""
    box = np.array([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)])
    two = tuple(Template(str(i), "", "", "both", box) for i in range(2))
    lay = Lay(Field(2.0), two, (Placement("0", 0.0, 0.0), Placement("1", 4.0, 0.0)), 6.0)
    grid, places = _Grid(lay), np.array([(0, 0, 0), (2, 0, 0)])
    seeded(0)
    found = _Found(lay, places, None, grid.alike)
    _Search(grid, found, 0, lambda: False).separated(places, 4.0)
    apart_ready()


class _Found:
    """What all searches have found so far.

    lays: each shorter than the one before. line: how often they have begun afresh; of this line
    are length, of its shortest lay; target, the length sought now; places, of the pieces of its
    last lay on the grid; failed, tries that are worth going on from, how much each overlapped and
    where its pieces lay, no two of them alike; and tries, how many have failed at the length sought
    now.
    """

    def __init__(self, lay: Lay, places: Whole, tell: Tell | None, alike: Alike) -> None:
        self.lays, self.tell, self.alike = [lay], tell, alike
        self.lock = threading.Lock()
        self.line, self.length = 0, lay.length
        self.target, self.places = (1.0 - DRAWN_IN) * lay.length, places
        self.failed: list[tuple[float, Whole]] = []
        self.tries = 0

    def shorter(self, line: int, lay: Lay, target: float, places: Whole) -> None:
        """A search has brought the pieces apart on cloth so long."""
        with self.lock:
            if lay.length < self.lays[-1].length - 1e-6:
                self.lays.append(lay)
                if self.tell is not None:
                    self.tell(lay.length)
            if line == self.line and min(target, lay.length) <= self.target:
                self.target = (1.0 - DRAWN_IN) * min(target, lay.length)
                self.length = min(self.length, lay.length)
                self.places, self.tries = places, 0
                self.failed = [(STALE * over, there) for over, there in self.failed]

    def longer(
        self, line: int, target: float, least: float, places: Whole, scattered: Scattered
    ) -> None:
        """A search has not: at the least they overlapped so much, at these places.

        scattered: gives places (n, 3) on cloth so long (cm), should that have been one too many.
        """
        with self.lock:
            if line != self.line or target > self.target:
                return
            alike = [self.alike(there, places) for _, there in self.failed]
            both = list(zip(self.failed, alike, strict=True))
            if all(least < over for (over, _), same in both if same):
                others = [tried for tried, same in both if not same]
                self.failed = sorted([*others, (least, places)], key=_first)[:KEPT]
            self.tries += 1
            if self.tries >= AFRESH:
                self.line, self.length = self.line + 1, self.lays[-1].length
                self.target = (1.0 - DRAWN_IN_AFRESH) * self.length
                self.places, self.failed, self.tries = scattered(self.length), [], 0

    def soundest(self) -> Lay:
        """The shortest lay without a fault."""
        return next((x for x in self.lays[:0:-1] if not faults(x)), self.lays[0])


def _first(tried: tuple[float, Whole]) -> float:
    return tried[0]


class _Grid:
    """What does not change while pieces are moved: where they may lie, and how they overlap."""

    def __init__(self, lay: Lay, step: float = STEP, most: float = np.inf, cores: int = 1) -> None:
        known = {t.key: t for t in lay.templates}
        self.of = lay
        self.templates = tuple(known[p.key] for p in lay.placements)
        self.tables = Tables(replace(lay.field, length=None), self.templates, step, most)
        self.overlaps: Overlaps = overlaps_of(self.tables, cores)
        self.ways = [w for there in self.tables.ways for w in there]
        area = np.array([t.taken.area for t in self.templates])
        # what is large is harder to place: its overlaps count for more
        size = np.sqrt(area[:, None] * area[None, :])
        self.size = size / size.max()
        order = np.argsort(-area, kind="stable")
        self.large: Whole = order[: max(2, round(LARGE * len(area)))]
        self.main: Whole = np.flatnonzero(area >= MAIN * area.max())
        self._nodes: tuple[float, Whole] | None = None

    def near(self, lay: Lay) -> Whole:
        """The places (n, 3) nearest to where pieces lie."""
        return np.array([self._nearest(i, p) for i, p in enumerate(lay.placements)])

    def _nearest(self, i: int, p: Placement) -> tuple[int, int, int]:
        ways = self.tables.ways[i]
        k = min(range(len(ways)), key=lambda k: between(ways[k].kind.said, p.rotation))
        return (int(self.overlaps.first_way[i]) + k, *self.tables.node(ways[k], p.x, p.y))

    def nodes(self, length: float) -> Whole:
        """The nodes (W, 6) on cloth so long: first, last and step, along and across."""
        # many tries, one after another, are at the same length
        known = self._nodes
        if known is None or known[0] != length:
            known = self._nodes = (length, self._nodes_on(length))
        return known[1]

    def _nodes_on(self, length: float) -> Whole:
        found = []
        for way in self.ways:
            along, across = (self.tables.axis(way, k, length) for k in (0, 1))
            found.append(
                [v for r in (along, across) for v in (r.start, r[-1] if r else -1, r.step)]
            )
            if not along or not across:
                found[-1] = [0, -1, 1, 0, -1, 1]
        return np.array(found, np.int64)

    def lay(self, places: Whole) -> Lay:
        """The lay with pieces at places (n, 3)."""
        placements, ends = [], [0.0]
        for t, (v, a, b) in zip(self.templates, places.tolist(), strict=True):
            way = self.ways[v]
            x, y = self.tables.position(way, (a, b))
            placements.append(Placement(t.key, x, y, way.kind.said))
            ends.append(x + way.kind.most[0])
        said = f"{self.of.way}, separated" if self.of.way else "separated"
        return replace(self.of, placements=tuple(placements), length=max(ends), way=said)

    def scattered(self, length: float, rng: np.random.Generator) -> Whole:
        """Places (n, 3) by chance on cloth so long."""
        nodes, found = self.nodes(length), []
        for a, b in pairwise(self.overlaps.first_way.tolist()):
            v = int(rng.choice([v for v in range(a, b) if nodes[v, 1] >= nodes[v, 0]]))
            place = [
                rng.choice(np.arange(nodes[v, k], nodes[v, k + 1] + 1, nodes[v, k + 2]))
                for k in (0, 3)
            ]
            found.append((v, *place))
        return np.array(found, np.int64)

    def alike(self, a: Whole, b: Whole) -> bool:
        """Whether the main pieces lie about the same at places (n, 3) as at others."""
        a, b = a[self.main], b[self.main]
        apart = np.abs(a[:, 1:] - b[:, 1:]) * self.tables.step
        return bool((a[:, 0] == b[:, 0]).all() and apart.max() <= ALIKE)

    def exchanged(self, places: Whole, rng: np.random.Generator) -> Whole:
        """Two of the larger pieces exchanged, about their middles, each turned by chance."""
        found = places.copy()
        pair = rng.choice(self.large, 2, replace=False)
        middle = [self._middle(*places[i]) for i in pair]
        for i, (x, y) in zip(pair, middle[::-1], strict=True):
            v = int(rng.integers(self.overlaps.first_way[i], self.overlaps.first_way[i + 1]))
            half = (np.array(self.ways[v].kind.least) + self.ways[v].kind.most) / 2.0
            node = self.tables.node(self.ways[v], x - float(half[0]), y - float(half[1]))
            found[i] = (v, *node)
        return found

    def _middle(self, v: int, a: int, b: int) -> tuple[float, float]:
        x, y = self.tables.position(self.ways[v], (int(a), int(b)))
        half = (np.array(self.ways[v].kind.least) + self.ways[v].kind.most) / 2.0
        return x + float(half[0]), y + float(half[1])


class _Search:
    """One of the searches that go on side by side."""

    def __init__(self, grid: _Grid, found: _Found, seed: int, until: Stop) -> None:
        self.grid, self.found, self.seed, self.until = grid, found, seed, until
        self.rng = np.random.default_rng(seed)
        self.wrong: BaseException | None = None
        self.line = 0

    def run(self) -> None:
        """Makes the lay shorter until there is no more time."""
        try:
            seeded(self.seed)
            self._run()
        except BaseException as e:  # raised again in the thread of the caller
            self.wrong = e

    def _run(self) -> None:
        found = self.found
        target, places = found.target, found.places
        hard = False
        while not self.until():
            apart, least, places = self.separated(places, target)
            if not np.isfinite(least):
                return
            # while each try succeeds it would only cost time
            hard = hard or not apart
            tighter = self._tighter(places) if hard else None
            lay = tighter or (self.grid.lay(places) if apart else None)
            if lay is None:
                scattered = partial(self.grid.scattered, rng=self.rng)
                found.longer(self.line, target, least, places, scattered)
            else:
                places = places if tighter is None else self.grid.near(tighter)
                found.shorter(self.line, lay, target, places)
            with found.lock:
                mine = lay is not None and found.places is places
                target, self.line = found.target, found.line
                places = self._from() if not mine else places
            if not mine:
                places = self.grid.exchanged(places, self.rng)

    def _tighter(self, places: Whole) -> Lay | None:
        """A shorter lay than any found, off the grid, where pieces at places (n, 3) overlap but
        little or not at all; None where there is none."""
        o = self.grid.overlaps
        over = np.zeros((len(places), len(places)))
        all_depths(o, places, over)
        if over.max() * o.unit > DEEP or np.triu(over).sum() * o.unit > MANY * DEEP:
            return None
        lay, below = self.grid.lay(places), self.found.length
        if over.max() == 0.0:
            below = min(below, lay.length)
        return pulled_apart(lay, below, self.until)

    def _from(self) -> Whole:
        """One of the best failed tries, or the shortest lay there is."""
        failed = self.found.failed
        if not failed:
            return self.found.places
        which = int(abs(self.rng.normal()) * len(failed) / 3.0)
        return failed[min(which, len(failed) - 1)][1]

    def separated(self, places: Whole, length: float) -> tuple[bool, float, Whole]:
        """Whether pieces could be brought apart on cloth so long, from these places (n, 3).

        If not, how much they overlapped at the least, and where they lay then; infinite where a
        piece is longer than that.
        """
        grid = self.grid
        nodes = grid.nodes(length)
        ways = zip(grid.overlaps.first_way[:-1], grid.overlaps.first_way[1:], strict=True)
        if not all((nodes[a:b, 1] >= nodes[a:b, 0]).any() for a, b in ways):
            return False, np.inf, places
        now = np.array([self._within(p, nodes) for p in places])
        over = np.zeros((len(now), len(now)))
        all_depths(grid.overlaps, now, over)
        weight, best, state = grid.size.copy(), now.copy(), np.array([1e300, 0.0])
        room = room_for(grid.overlaps, nodes)
        while state[1] < PATIENCE and not self.until():
            if rounds(
                grid.overlaps,
                nodes,
                grid.size,
                now,
                over,
                weight,
                best,
                state,
                AT_ONCE,
                PATIENCE,
                room,
            ):
                return True, 0.0, now
            if self.found.target < length - 1e-9 or self.found.line != self.line:
                break
        return False, float(state[0]), best

    def _within(self, place: Whole, nodes: Whole) -> Whole:
        """The allowed node nearest to a place, in another way where it may not lie in its own."""
        v, a, b = (int(x) for x in place)
        if nodes[v, 1] < nodes[v, 0]:
            piece = int(self.grid.overlaps.piece[v])
            own = range(*self.grid.overlaps.first_way[piece : piece + 2])
            v = next(k for k in own if nodes[k, 1] >= nodes[k, 0])
        return np.array([v, _nearest(a, *nodes[v, :3]), _nearest(b, *nodes[v, 3:])])


def _nearest(node: int, first: int, last: int, step: int) -> int:
    """The allowed node nearest to one."""
    return int(first + step * min(max(round((node - first) / step), 0), (last - first) // step))
