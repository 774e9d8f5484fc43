"""Lines drawn on a panel, as chains of triangle sides: balance lines, creases, plumbs. All in cm.

A line keeps clear of what is near beside it, since two rows of points close together make narrow
triangles: where it runs along the net line it is the net line, where it runs along another line
it is left to that one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from pinwright.drape.data import Array, Whole
from pinwright.pattern.piece import Piece

KINDS = ("plumb", "crease", "balance")
"""Kinds of line that are kept, the first the surest."""

NEAR = 0.42
"""A line is along another where it is nearer than this part of a triangle's side."""

SHORT = 0.8
"""Lines shorter than this part of a triangle's side are not kept."""

FLAT = 0.02
"""How far the polyline of a net line may be off it where lines are cut to it, cm."""

Drawn = tuple[str, Array]
"""A line by its name and its points (k, 2)."""


def drawn(piece: Piece) -> tuple[Drawn, ...]:
    """The lines of a piece, each cut to the longest part of it that lies on the cloth."""
    lines = [x for kind in KINDS for x in piece.lines if x.kind == kind]
    if not lines:
        return ()
    cloth = shapely.Polygon(_outline(piece)).buffer(1e-6)
    found: list[Drawn] = []
    for line in lines:
        on = cloth.intersection(shapely.LineString(line.path.flatten(FLAT)))
        parts = [g for g in shapely.get_parts(on) if g.geom_type == "LineString"]
        if parts:
            found.append((line.name, shapely.get_coordinates(max(parts, key=lambda g: g.length))))
    return tuple(found)


def soft_places(piece: Piece, lines: Sequence[Drawn]) -> dict[str, tuple[float, ...]]:
    """Sewn distances on each edge that should be vertices: its stations, and the ends of lines."""
    found: dict[str, list[float]] = {}
    ends = [xy[i] for _, xy in lines for i in (0, -1)]
    for e in piece.edges:
        at = [e.distance(x) for x in e.stations]
        points = [e.first, e.last, *(piece.point(f"{e.name}:{x}") for x in e.stations)]
        for p in ends:
            if min(float(np.hypot(*(p - q))) for q in points) < 2.0 * FLAT:
                continue
            before = 0.0
            for run in e.runs:
                flat = run.flatten(FLAT)
                if float(shapely.LineString(flat).distance(shapely.Point(p))) < 2.0 * FLAT:
                    at.append(before + run.nearest(p)[0])
                before += run.length
        found[e.name] = at
    return {name: tuple(at) for name, at in found.items()}


def _outline(piece: Piece) -> Array:
    """The net line flattened, (n, 2), the darts cut out."""
    parts: list[Array] = []
    for e in piece.edges:
        for i, run in enumerate(e.runs):
            parts.append(run.flatten(FLAT)[:-1])
            if i < len(e.darts):
                parts.append(np.stack([run.end, piece.dart(e.darts[i]).apex]))
    return np.concatenate(parts)


@dataclass(slots=True)
class _Chain:
    """A line while it is laid out: its nodes are (distance along it, vertex)."""

    name: str
    line: shapely.LineString
    nodes: list[tuple[float, int]] = field(default_factory=list)

    def near(self, s: float, reach: float) -> int | None:
        """The vertex of the node that is nearest to a place, none beyond ``reach``."""
        at, vertex = min(self.nodes, key=lambda node: abs(node[0] - s))
        return vertex if abs(at - s) < reach else None


class _Laid:
    """The lines laid out so far on a ring of vertices (n, 2)."""

    def __init__(self, ring: Array, edge: float) -> None:
        self.ring = ring
        self.edge = edge
        self.shape = shapely.LinearRing(ring)
        self.extra: list[Array] = []
        self.chains: list[_Chain] = []
        self.walks: dict[str, Whole] = {}

    def new(self, p: Array) -> int:
        """A vertex inside the panel."""
        self.extra.append(p)
        return len(self.ring) + len(self.extra) - 1

    def nearest(self, p: Array) -> tuple[int, float]:
        """The vertex of the ring nearest to a point, and how far off, cm."""
        d = np.hypot(*(self.ring - p).T)
        i = int(d.argmin())
        return i, float(d[i])


def embedded(ring: Array, lines: Sequence[Drawn], edge: float) -> tuple[Array, Mapping[str, Whole]]:
    """Points inside the panel for its lines, and each line as a chain of vertices.

    Args:
        ring: the vertices of the net line, (n, 2).
        lines: the lines as they lie on the cloth.
        edge: wanted side of the triangles, cm.

    Returns:
        Points (k, 2), numbered on from the ring's, and for each line that is kept the vertices
        along it; neighbours there must be joined by sides of triangles.
    """
    laid = _Laid(ring, edge)
    for name, xy in lines:
        _lay(laid, name, xy)
    chains = dict(laid.walks)
    for chain in laid.chains:
        chains[chain.name] = _filled(laid, chain)
    extra = np.array(laid.extra).reshape(-1, 2)
    return extra, chains


def _lay(laid: _Laid, name: str, xy: Array) -> None:
    edge, line = laid.edge, shapely.LineString(xy)
    size = float(line.length)
    if size < SHORT * edge:
        return
    s = np.linspace(0.0, size, max(8, int(6.0 * size / edge)) + 1)
    at = shapely.line_interpolate_point(line, s)
    clear = shapely.distance(laid.shape, at) >= NEAR * edge
    low, high = _longest(clear)
    if high <= low or s[high - 1] - s[low] < 0.5 * edge:
        _walk(laid, name, line)
        return
    chain = _Chain(name, line)
    for here, end in ((float(s[low]), 0.0), (float(s[high - 1]), size)):
        p = shapely.get_coordinates(line.interpolate(end))[0]
        vertex, off = laid.nearest(p)
        if abs(here - end) < 0.9 * edge and off < NEAR * edge:
            chain.nodes.append((end, vertex))
        else:
            chain.nodes.append((here, -1))
    if chain.nodes[0][1] == chain.nodes[1][1] != -1:
        return
    part = shapely.get_coordinates(at[low:high])
    for other in laid.chains:
        beside = shapely.distance(other.line, shapely.points(part)) < NEAR * edge
        if float(beside.mean()) > 0.3:
            return
    _cross(laid, chain)
    laid.chains.append(chain)


def _cross(laid: _Laid, chain: _Chain) -> None:
    """Give a line common vertices with those it crosses or ends at."""
    reach = 0.45 * laid.edge
    for other in laid.chains:
        met = [
            shapely.get_coordinates(g)[0]
            for g in shapely.get_parts(chain.line.intersection(other.line))
            if not g.is_empty
        ]
        for at, known in chain.nodes:
            p = chain.line.interpolate(at)
            if known == -1 and not met and float(other.line.distance(p)) < reach:
                met.append(
                    shapely.get_coordinates(other.line.interpolate(other.line.project(p)))[0]
                )
        for p in met:
            here, there = (float(x.line.project(shapely.Point(p))) for x in (chain, other))
            if not _within(chain, here, reach) or not _within(other, there, reach):
                continue
            vertex = other.near(there, reach)
            own = chain.near(here, reach)
            if vertex is None:
                vertex = laid.new(p) if own is None or own == -1 else own
                other.nodes.append((there, vertex))
            if own == -1:
                i = min(range(2), key=lambda k: abs(chain.nodes[k][0] - here))
                chain.nodes[i] = (here, vertex)
            elif own is None:
                chain.nodes.append((here, vertex))
    for i, (at, known) in enumerate(chain.nodes):
        if known == -1:
            chain.nodes[i] = (at, laid.new(shapely.get_coordinates(chain.line.interpolate(at))[0]))


def _within(chain: _Chain, s: float, reach: float) -> bool:
    ends = [at for at, _ in chain.nodes]
    return min(ends) - reach < s < max(ends) + reach


def _filled(laid: _Laid, chain: _Chain) -> Whole:
    """The vertices of a line: its nodes, and even steps between them."""
    nodes = sorted(chain.nodes)
    found = [nodes[0][1]]
    for (s0, _), (s1, vertex) in pairwise(nodes):
        if vertex == found[-1]:
            continue
        n = max(1, round((s1 - s0) / laid.edge))
        inner = chain.line.interpolate
        for i in range(1, n):
            p = inner(s0 + (s1 - s0) * i / n)
            if float(laid.shape.distance(p)) > 0.3 * laid.edge:
                found.append(laid.new(shapely.get_coordinates(p)[0]))
        found.append(vertex)
    return np.array(found)


def _walk(laid: _Laid, name: str, line: shapely.LineString) -> None:
    """Take a line that runs along the net line as the vertices there, if it does all the way."""
    ends = shapely.get_coordinates(line)[[0, -1]]
    first, last = (laid.nearest(p)[0] for p in ends)
    n = len(laid.ring)
    on = (first + np.arange((last - first) % n + 1)) % n
    back = (first - np.arange((first - last) % n + 1)) % n
    way = on if len(on) <= len(back) else back
    off = shapely.distance(line, shapely.points(laid.ring[way]))
    if len(way) > 1 and float(off.max()) < NEAR * laid.edge:
        laid.walks[name] = way


def _longest(flags: np.typing.NDArray[np.bool_]) -> tuple[int, int]:
    """The longest stretch of true flags, from its first to beyond its last."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    if not len(edges):
        return 0, 0
    starts, ends = edges[::2], edges[1::2]
    i = int((ends - starts).argmax())
    return int(starts[i]), int(ends[i])
