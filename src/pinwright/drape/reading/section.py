"""Sections of a surface with a level plane, as lines one can lay a tape along."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.drape.data import Array, Whole

OFF = 1e-7
"""A level that a vertex lies in is cut so much higher, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """A line of a section.

    points: (k, 3) cm; of a closed one the first is the last. flat: length on the flat cloth, cm
    (0 where the surface has none).
    """

    points: Array
    closed: bool
    flat: float = 0.0

    @property
    def length(self) -> float:
        """How long it is, cm."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())

    @property
    def middle(self) -> Array:
        """The middle (3,) of its points by length, cm."""
        step = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        half = (self.points[1:] + self.points[:-1]) / 2.0
        found: Array = step @ half / max(float(step.sum()), 1e-12)
        return found


def hull_girth(points: Array) -> float:
    """The length of a taut tape round points (k, 2) or (k, 3) of one level, cm."""
    return float(shapely.convex_hull(shapely.multipoints(points[:, :2])).length)


def section(
    points: Array, triangles: Whole, level: float, rest: Array | None = None
) -> tuple[Loop, ...]:
    """The lines at a level of a surface, the longest first.

    points: (n, 3) cm; triangles: (m, 3); rest: (m, 3, 2) their flat corners, where they have them.
    """
    z = points[:, 2] - level
    z = np.where(np.abs(z) < OFF, OFF, z)
    above = z[triangles] > 0.0
    cut = np.flatnonzero(above.any(axis=1) & ~above.all(axis=1))
    if not len(cut):
        return ()
    f, up = triangles[cut], above[cut]
    # the corner that lies alone on its side, and the two across
    alone = np.where(up.sum(axis=1) == 1, np.argmax(up, axis=1), np.argmin(up, axis=1))
    row = np.arange(len(cut))
    a = f[row, alone]
    ends = []
    flats = []
    for k in (1, 2):
        other = (alone + k) % 3
        b = f[row, other]
        t = z[a] / (z[a] - z[b])
        ends.append((np.minimum(a, b) * len(points) + np.maximum(a, b), a, b, t))
        if rest is not None:
            r = rest[cut]
            flats.append(r[row, alone] + t[:, None] * (r[row, other] - r[row, alone]))
    step = np.linalg.norm(flats[1] - flats[0], axis=1) if flats else np.zeros(len(cut))
    keys = np.concatenate([ends[0][0], ends[1][0]])
    knots, number = np.unique(keys, return_inverse=True)
    spots = np.zeros((len(knots), 3))
    for j, (_, u, v, t) in enumerate(ends):
        spots[number[j * len(cut) : (j + 1) * len(cut)]] = points[u] + t[:, None] * (
            points[v] - points[u]
        )
    chains = chained(number[: len(cut)], number[len(cut) :])
    loops = [
        Loop(spots[nodes], nodes[0] == nodes[-1] and len(nodes) > 2, float(step[links].sum()))
        for nodes, links in chains
    ]
    return tuple(sorted(loops, key=lambda x: -x.length))


def chained(a: Whole, b: Whole) -> list[tuple[list[int], list[int]]]:
    """Links between nodes a (k,) and b (k,) as chains: their nodes, and their links, in order.

    A closed chain ends with the node it began with. Where more than two links meet, chains end or
    pass as they come.
    """
    beside: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for k, (i, j) in enumerate(zip(a.tolist(), b.tolist(), strict=True)):
        beside[i].append((k, j))
        beside[j].append((k, i))
    used = np.zeros(len(a), dtype=bool)
    found = []
    starts = [n for n, links in beside.items() if len(links) != 2] + list(beside)
    for start in starts:
        while True:
            node, nodes, links = start, [start], []
            while True:
                step = next(((k, j) for k, j in beside[node] if not used[k]), None)
                if step is None:
                    break
                used[step[0]] = True
                links.append(step[0])
                node = step[1]
                nodes.append(node)
                if node == start or len(beside[node]) > 2:
                    break
            if not links:
                break
            found.append((nodes, links))
    return found
