"""The net line of a panel as a ring of vertices, the wedges of its darts cut out. All in cm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.drape.along import at_lengths
from pinwright.drape.data import Array, Whole
from pinwright.drape.spacing import SAME
from pinwright.pattern.piece import Piece

CLOSED = 0.02
"""A dart whose mouth is no wider than this, cm, is taken as closed: nothing is cut out."""


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """A ring of vertices, anticlockwise: points (n, 2); edges and legs as in ``data.Panel``."""

    points: Array
    edges: Mapping[str, tuple[Whole, ...]]
    legs: Mapping[str, tuple[Whole, Whole]]


def grain_of(piece: Piece) -> Array:
    """Unit vector (2,) along the warp, upwards as the piece is worn."""
    way = piece.grain[1] - piece.grain[0]
    return np.asarray(way / float(np.hypot(*way)))


def leg_steps(piece: Piece, edge: float) -> dict[str, int]:
    """Into how many sides of about ``edge`` cm the legs of each dart are parted."""
    found: dict[str, int] = {}
    for dart in piece.darts:
        legs = [float(np.hypot(*(p - dart.apex))) for p in piece.mouth(dart.name)]
        found[dart.name] = max(2, round(max(legs) / edge))
    return found


def net_line(piece: Piece, knots: Mapping[str, Array], steps: Mapping[str, int]) -> Net:
    """The ring of a piece with vertices at the given sewn distances of its edges.

    Args:
        piece: the piece as it hangs.
        knots: for each edge the sewn distances of its vertices, ends included, ascending, cm.
        steps: how many sides each leg of a dart has.
    """
    spans: list[Array] = []
    where: list[tuple[Whole, Array, Array]] = []
    fixed: list[tuple[int, Array]] = []
    edges: dict[str, tuple[Whole, ...]] = {}
    legs: dict[str, tuple[Whole, Whole]] = {}
    order: list[Whole] = []
    n = done = 0
    for e in piece.edges:
        runs: list[Whole] = []
        low = 0.0
        for i, run in enumerate(e.runs):
            s = knots[e.name]
            s = s[(s >= low - 2.0 * SAME) & (s <= low + run.length + 2.0 * SAME)] - low
            s[0], s[-1] = 0.0, run.length
            low += run.length
            sums = np.asarray(run.cumulative)
            span = np.clip(np.searchsorted(sums, s, side="right") - 1, 0, run.spans - 1)
            # the last vertex of a run is the first of what follows
            ids = np.arange(n, n + len(s))
            where.append((span[:-1] + done, s[:-1] - sums[span[:-1]], np.diff(sums)[span[:-1]]))
            order.append(ids[:-1])
            spans.append(run.ctrl)
            done += run.spans
            n += len(s) - 1
            runs.append(ids)
            if i == len(e.darts):
                continue
            a, b, apex = run.end, e.runs[i + 1].start, np.asarray(piece.dart(e.darts[i]).apex)
            if float(np.hypot(*(b - a))) <= CLOSED:
                continue
            k = steps[e.darts[i]]
            t = np.arange(k + 1)[:, None] / k
            first = np.arange(n, n + k + 1)
            second = np.arange(n + 2 * k, n + k - 1, -1)
            fixed.append((n, a + t[:-1] * (apex - a)))
            fixed.append((n + k, apex + t[:-1] * (b - apex)))
            legs[e.darts[i]] = (first, second)
            n += 2 * k
        edges[e.name] = tuple(runs)
    points = np.empty((n, 2))
    span, s, whole = (np.concatenate(x) for x in zip(*where, strict=True))
    points[np.concatenate(order)] = at_lengths(np.concatenate(spans), span, s, whole)
    for at, xy in fixed:
        points[at : at + len(xy)] = xy
    return Net(points, {k: tuple(r % n for r in v) for k, v in edges.items()}, legs)


def places(piece: Piece, knots: Mapping[str, Array], net: Net) -> dict[str, tuple[Array, Whole]]:
    """For each edge the sewn distances of its vertices, a mouth twice, and the vertices, cm."""
    found: dict[str, tuple[Array, Whole]] = {}
    for e in piece.edges:
        low = 0.0
        at: list[Array] = []
        s = knots[e.name]
        for run in e.runs:
            at.append(s[(s >= low - 2.0 * SAME) & (s <= low + run.length + 2.0 * SAME)])
            low += run.length
        found[e.name] = (np.concatenate(at), np.concatenate(net.edges[e.name]))
    return found
