"""Where the vertices of the net lines stand: as many on both sides of every seam. All in cm.

What must be a vertex on one side (a corner, a station of the seam, the mouth of a dart) is one on
the other too, at the same part of the way between the stations. Other named places and the ends
of balance lines become vertices where that makes no short side.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from math import isfinite

import numpy as np

from pinwright.drape.data import Array
from pinwright.drape.hanging import Hanging, Key
from pinwright.drape.sewing import Join, Run, Stretch
from pinwright.pattern.piece import Edge

SAME = 1e-7
"""Places of an edge nearer than this, cm, are one."""

HARD = 0.12
"""Two that must be vertices, one on each side of a seam, meet where they are this part of a
triangle's side apart: the shift is less than the ease that a seam takes up unseen."""

SOFT = 0.4
"""A named place takes a vertex that is within this part of a triangle's side."""

EdgeKey = tuple[Key, str]


@dataclass(frozen=True, slots=True, eq=False)
class Spaced:
    """``knots``: sewn distances of the vertices on each edge, ascending, ends included, cm.
    ``pairs``: for each join the distances along run a and along run b, (k, 2), cm, in order, and
    of each whether it is welded."""

    knots: Mapping[EdgeKey, Array]
    pairs: tuple[tuple[Array, tuple[bool, ...]], ...]


def spaced(
    hung: Hanging, joined: Sequence[Join], soft: Mapping[EdgeKey, Sequence[float]], edge: float
) -> Spaced:
    """Places for the vertices of every edge, about ``edge`` cm apart.

    Args:
        hung: what hangs.
        joined: what is sewn to what.
        soft: places of edges, sewn distances, that should be vertices.
        edge: wanted side of the triangles, cm.
    """
    knots: dict[EdgeKey, list[float]] = {}
    pairs: list[tuple[Array, tuple[bool, ...]]] = []
    for join in joined:
        rows: list[tuple[float, float]] = []
        held: list[bool] = []
        for stretch in join.stretches:
            nodes = _nodes(stretch, join.a, join.b, soft, edge)
            steps = _steps(nodes, edge)
            rows += steps
            held += [join.whole or i in (0, len(steps) - 1) for i in range(len(steps))]
        if not join.whole:
            held[0] = held[-1] = False
        pairs.append((np.array(rows), tuple(held)))
        for column, run in ((0, join.a), (1, join.b)):
            for part in run:
                low, high = part.at - SAME, part.at + part.edge.length + SAME
                here = [part.along(r[column]) for r in rows if low <= r[column] <= high]
                knots.setdefault((part.key, part.edge.name), []).extend(here)
    for key, piece in hung.pieces.items():
        for e in piece.edges:
            if (key, e.name) in knots:
                continue
            at = _with_soft(_ends(e), soft.get((key, e.name), ()), edge)
            knots[key, e.name] = [s for s, _ in _steps([(s, s) for s in at], edge)]
    return Spaced(
        {
            key: _once(values, hung.pieces[key[0]].edge(key[1]).length)
            for key, values in knots.items()
        },
        tuple(pairs),
    )


def _ends(e: Edge) -> list[float]:
    """Sewn distances at which the runs of an edge begin and end."""
    return list(accumulate((run.length for run in e.runs), initial=0.0))


def _nodes(
    s: Stretch, a: Run, b: Run, soft: Mapping[EdgeKey, Sequence[float]], edge: float
) -> list[tuple[float, float]]:
    """Places that are vertices on both sides, in order, the ends of the stretch included."""
    per = (s.b1 - s.b0) / (s.a1 - s.a0)
    nodes = [(s.a0, s.b0), (s.a1, s.b1)]
    hard_a, hard_b = _marks(a, s.a0, s.a1), _marks(b, s.b0, s.b1)
    met: set[float] = set()
    for x in hard_a:
        y = s.b0 + per * (x - s.a0)
        other = min(hard_b, key=lambda z: abs(z - y), default=float("inf"))
        if isfinite(other) and abs(other - y) < HARD * edge and other not in met:
            met.add(other)
            y = other
        nodes.append((x, y))
    nodes += [(s.a0 + (y - s.b0) / per, y) for y in hard_b if y not in met]
    wanted = [
        *((x, s.b0 + per * (x - s.a0)) for x in _soft(a, s.a0, s.a1, soft)),
        *((s.a0 + (y - s.b0) / per, y) for y in _soft(b, s.b0, s.b1, soft)),
    ]
    for x, y in wanted:
        if min(max(abs(x - p), abs(y - q)) for p, q in nodes) > SOFT * edge:
            nodes.append((x, y))
    return sorted(nodes)


def _marks(run: Run, low: float, high: float) -> list[float]:
    """Corners and mouths of darts within a stretch of a run."""
    found: list[float] = []
    for part in run:
        for s in _ends(part.edge):
            found.append(part.at + (part.edge.length - s if part.reverse else s))
    return [float(x) for x in _once([x for x in found if low + SAME < x < high - SAME])]


def _soft(
    run: Run, low: float, high: float, soft: Mapping[EdgeKey, Sequence[float]]
) -> list[float]:
    found = [
        part.at + (part.edge.length - s if part.reverse else s)
        for part in run
        for s in soft.get((part.key, part.edge.name), ())
    ]
    return [x for x in found if low < x < high]


def _with_soft(hard: Sequence[float], soft: Sequence[float], edge: float) -> list[float]:
    found = list(hard)
    for s in soft:
        if min(abs(s - x) for x in found) > SOFT * edge:
            found.append(s)
    return sorted(found)


def _steps(nodes: Sequence[tuple[float, float]], edge: float) -> list[tuple[float, float]]:
    """The nodes and, between them, even steps of about ``edge`` on the longer side."""
    found = [nodes[0]]
    for (a0, b0), (a1, b1) in pairwise(nodes):
        n = max(1, round(max(a1 - a0, b1 - b0) / edge))
        found += [(a0 + (a1 - a0) * i / n, b0 + (b1 - b0) * i / n) for i in range(1, n)]
        found.append((a1, b1))
    return found


def _once(values: Sequence[float], whole: float | None = None) -> Array:
    """Ascending, each place once; the ends exact where the whole length is given."""
    s = np.sort(np.asarray(values, dtype=np.float64))
    if not len(s):
        return s
    once: Array = s[np.concatenate([[True], np.diff(s) > SAME])]
    if whole is not None:
        once[0], once[-1] = 0.0, whole
    return once
