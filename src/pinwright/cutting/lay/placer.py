"""Laying piece after piece, each as near the cut end as it goes, in many orders.

The bottom-left rule on no-fit regions (Burke, Hellier, Kendall and Whitwell 2006, "A new
bottom-left-fill heuristic algorithm for the two-dimensional irregular packing problem"), which
keeps pinned pieces, flaws, remnants, the fold and the repeat exactly, where the strip-packing
engine cannot. The order of laying is improved by exchanges while there is time.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np

from pinwright.cutting.lay.ground import Ground, Put, Regions, put_of
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template

Stop = Callable[[], bool]
Score = tuple[float, float, float]
"""Area (cm2) left out, length (cm), and the mean end of the pieces, weighted by area."""

RULES: tuple[tuple[str, float], ...] = (
    ("end", 1.0),
    ("end", -1.0),
    ("start", 1.0),
    ("start", -1.0),
)
"""A piece goes where its end, or its start, lies nearest the cut end; then low (1) or high (-1)."""

STALE = 60
"""After so many exchanges without gain the order is shaken."""


def laid(
    templates: Sequence[Template],
    field: Field,
    seconds: float,
    seed: int = 0,
    stop: Stop | None = None,
) -> Lay:
    """A lay of templates on a field, the best found in about ``seconds`` s; never from none.

    On a field with a length or an outline, pieces for which no room is left are left out of the
    placements: see :func:`left_out`. There as much area as possible is laid. ``stop`` is asked
    between pieces, and ends the search with the best so far; one order is always finished.

    Raises:
        LayError: on a field without an outline, a piece that fits nowhere whatever the length.
    """
    return _searched(field, (), (), 0.0, tuple(templates), seconds, seed, stop)


def filled(
    base: Lay | Field,
    templates: Sequence[Template],
    seconds: float = 3.0,
    seed: int = 0,
    stop: Stop | None = None,
) -> Lay:
    """More templates laid into what a lay leaves free; what lies there stays exactly.

    The lay gets longer only if there is no other way; its length never gets less, since the cloth
    is cut off already. See :func:`laid` for what is left out.

    Raises:
        LayError: a piece that fits nowhere whatever the length.
    """
    if isinstance(base, Field):
        return laid(templates, base, seconds, seed, stop)
    return _searched(
        base.field,
        base.templates,
        base.placements,
        base.length,
        tuple(templates),
        seconds,
        seed,
        stop,
    )


def left_out(lay: Lay) -> tuple[Template, ...]:
    """The templates of a lay for which there was no room."""
    there = {p.key for p in lay.placements}
    return tuple(t for t in lay.templates if t.key not in there)


@dataclass(frozen=True, slots=True)
class _Run:
    """One order laid: for every step the regions before it, what lay there, and what was put."""

    order: tuple[int, ...]
    rule: tuple[str, float]
    before: tuple[tuple[Regions, tuple[Put, ...]], ...]
    puts: tuple[Put | None, ...]
    score: Score


class _Search:
    def __init__(
        self,
        ground: Ground,
        templates: Sequence[Template],
        pinned: tuple[Put, ...],
        least: float,
        until: Callable[[], bool],
    ) -> None:
        self.ground, self.templates, self.pinned = ground, templates, pinned
        self.least, self.until = least, until
        self.areas = [t.area for t in templates]
        self.weight = max(sum(self.areas), 1e-9)

    def run(
        self, order: tuple[int, ...], rule: tuple[str, float], old: _Run | None = None
    ) -> _Run | None:
        """The order laid; None if it is worse than ``old`` for certain, or time is up.

        Up to the first difference from ``old`` nothing is worked out anew.
        """
        same = 0
        if old is not None and old.rule == rule:
            while same < len(order) and order[same] == old.order[same]:
                same += 1
        before = list(old.before[:same]) if old is not None else []
        puts = list(old.puts[:same]) if old is not None else []
        if old is not None and same and same < len(old.before):
            regions, there = dict(old.before[same][0]), old.before[same][1]
        else:
            regions, there = {}, self.pinned
        for step in range(same, len(order)):
            if old is not None and self.until():
                return None
            before.append((dict(regions), there))
            found = self._put(order[step], rule, there, regions)
            puts.append(found)
            if found is None:
                continue
            there = (*there, found)
            if old is not None and old.score[0] <= 0.0 and found.end > old.score[1] + 1e-6:
                return None
        return _Run(order, rule, tuple(before), tuple(puts), self._score(order, puts))

    def _put(
        self, i: int, rule: tuple[str, float], there: tuple[Put, ...], regions: Regions
    ) -> Put | None:
        best: tuple[tuple[float, float, float], Put] | None = None
        for kind in self.ground.ways[self.templates[i].key]:
            spots = self.ground.spots(kind, self.ground.free(kind, there, regions))
            if len(spots) == 0:
                continue
            xs = np.round(spots[:, 0], 4)
            k = int(np.lexsort((rule[1] * spots[:, 1], xs))[0])
            x, y = float(spots[k, 0]), float(spots[k, 1])
            end, start = x + kind.most[0], x + kind.least[0]
            low = y + kind.least[1] if rule[1] > 0.0 else -(y + kind.most[1])
            by = (end, start, low) if rule[0] == "end" else (start, end, low)
            by = (round(by[0], 4), round(by[1], 4), by[2])
            if best is None or by < best[0]:
                best = (by, Put(kind, x, y))
        return None if best is None else best[1]

    def _score(self, order: tuple[int, ...], puts: Sequence[Put | None]) -> Score:
        out, length, mean = 0.0, self.least, 0.0
        for i, p in zip(order, puts, strict=True):
            if p is None:
                out += self.areas[i]
            else:
                length = max(length, p.end)
                mean += self.areas[i] * p.end / self.weight
        return round(out, 6), round(length, 4), mean

    def best(self, seed: int) -> _Run:
        """The best run found: from several orders by size, then by exchanges in the best."""
        rng = random.Random(seed)
        best: _Run | None = None
        for order in self._orders():
            for rule in RULES:
                if best is not None and self.until():
                    return best
                # A fresh order shares nothing, but is given up once it is longer than the best.
                found = self.run(order, rule) if best is None else self._fresh(order, rule, best)
                if found is not None and (best is None or found.score < best.score):
                    best = found
        assert best is not None
        now, stale = best, 0
        while len(self.templates) > 1 and not self.until():
            tried = self.run(_exchanged(now.order, rng), now.rule, now)
            if tried is not None and tried.score <= now.score:
                stale = 0 if tried.score < now.score else stale + 1
                now = tried
            else:
                stale += 1
            if now.score < best.score:
                best = now
            if stale > STALE:
                now, stale = self._shaken(best, rng) or now, 0
        return best

    def _fresh(self, order: tuple[int, ...], rule: tuple[str, float], best: _Run) -> _Run | None:
        bar = _Run((-1,) * len(order), rule, (), (), best.score)
        return self.run(order, rule, bar)

    def _shaken(self, best: _Run, rng: random.Random) -> _Run | None:
        order = best.order
        for _ in range(3):
            order = _exchanged(order, rng)
        loose = _Run((-1,) * len(order), best.rule, (), (), (best.score[0], np.inf, np.inf))
        return self.run(order, rng.choice(RULES), loose)

    def _orders(self) -> list[tuple[int, ...]]:
        sizes = [_size(t) for t in self.templates]
        n = range(len(self.templates))
        found = [
            tuple(sorted(n, key=lambda i: -self.areas[i])),
            tuple(sorted(n, key=lambda i: -sizes[i][0])),
            tuple(sorted(n, key=lambda i: (-sizes[i][1], -sizes[i][0]))),
            tuple(sorted(n, key=lambda i: -sizes[i][0] * sizes[i][1])),
        ]
        return list(dict.fromkeys(found))


def _size(t: Template) -> tuple[float, float]:
    x0, y0, x1, y1 = t.taken.bounds
    return float(x1 - x0), float(y1 - y0)


def _exchanged(order: tuple[int, ...], rng: random.Random) -> tuple[int, ...]:
    """Two pieces exchanged, or one moved elsewhere in the order."""
    found = list(order)
    i, j = rng.sample(range(len(found)), 2) if len(found) > 1 else (0, 0)
    if rng.random() < 0.5:
        found[i], found[j] = found[j], found[i]
    else:
        found.insert(j, found.pop(i))
    return tuple(found)


def _searched(
    field: Field,
    there: tuple[Template, ...],
    placements: tuple[Placement, ...],
    least: float,
    templates: tuple[Template, ...],
    seconds: float,
    seed: int,
    stop: Stop | None,
) -> Lay:
    began = perf_counter()
    ground = Ground(field, (*there, *templates), least)
    if field.outline is None:
        endless = ground if field.length is None else Ground(replace(field, length=None), templates)
        endless.refuse(templates)
    known = {t.key: t for t in there}
    pinned = tuple(put_of(ground, known[p.key], p) for p in placements)

    def until() -> bool:
        return perf_counter() - began > seconds or (stop is not None and stop())

    search = _Search(ground, templates, pinned, max([least, *(p.end for p in pinned)]), until)
    run = search.best(seed)
    new = tuple(
        Placement(templates[i].key, p.x, p.y, p.kind.said)
        for i, p in zip(run.order, run.puts, strict=True)
        if p is not None
    )
    return Lay(
        field,
        (*there, *templates),
        (*placements, *new),
        max([least, *(p.end for p in run.puts if p is not None)]),
        perf_counter() - began,
        "placer",
    )
