"""A buttoned front as it meets its other half: cut off at the centre front, the stand left out.

Of two fronts that lap over, one lies on the other up to the middle of the body; the buttons hold
both there. So each half hangs by its centre line, with a point at the height of every button.
All in cm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pinwright.errors import GeometryError
from pinwright.geometry.path import SLACK, Path
from pinwright.pattern.piece import Array, Edge, Piece, edge

CENTRE = "centre_front"
"""The line so named stands in the middle of the body."""

FAR = 300.0
"""Longer than any piece, cm."""

NEAR_CORNER = 0.02
"""A cut this near to a corner of the piece, cm, goes through the corner."""


@dataclass(frozen=True, slots=True, eq=False)
class Buttoned:
    """A front cut off at its centre line: the new ``edge``, and its stations at the buttons."""

    piece: Piece
    edge: str
    buttons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Place:
    """A place on the net line: the number of its edge and the sewn distance along it, cm."""

    edge: int
    at: float


def buttoned(piece: Piece) -> Buttoned | None:
    """The piece without what lies beyond its centre front; None where it has no buttons there.

    The new edge is called as the line, its stations as the buttons' marks.

    Raises:
        GeometryError: a centre front that does not cross the piece from one edge to another.
    """
    line = next((x for x in piece.lines if x.name == CENTRE), None)
    marks = [m for m in piece.marks if m.kind == "button"]
    if line is None or not marks:
        return None
    first, last = line.path.start, line.path.end
    upper, lower = _place(piece, first, last), _place(piece, last, first)
    kept = max(_kept(piece, upper, lower), _kept(piece, lower, upper), key=_area)
    start, end = kept[-1].last, kept[0].first
    reach = float(np.hypot(*(end - start)))
    along = (end - start) / reach
    heights = sorted((float((m.at - start) @ along), m.name) for m in marks)
    on = [(s, name) for s, name in heights if NEAR_CORNER < s < reach - NEAR_CORNER]
    parts: list[str | Path] = [kept[-1].end]
    here = start
    for s, name in on:
        there = start + s * along
        parts += [Path.line(here, there), name]
        here = there
    parts += [Path.line(here, end), kept[0].start]
    closing = edge(CENTRE, *parts, allowance=0.0, least=0.0)
    lines = tuple(x for x in piece.lines if x is not line)
    named = {e.name for e in kept}
    cut = replace(
        piece,
        edges=(*kept, closing),
        lines=lines,
        darts=tuple(d for d in piece.darts if d.edge in named),
        fold=None,
    )
    return Buttoned(cut, CENTRE, tuple(name for _, name in on))


def _place(piece: Piece, near: Array, far: Array) -> _Place:
    """Where the centre line, drawn on beyond ``near``, meets the net line closest to it."""
    way = (near - far) / float(np.hypot(*(near - far)))
    ray = Path.line(near - FAR * way, near + FAR * way)
    found: list[tuple[float, _Place]] = []
    for i, e in enumerate(piece.edges):
        before = 0.0
        for run in e.runs:
            for s, t in run.intersections(ray):
                found.append((abs(t - FAR), _Place(i, before + s)))
            before += run.length
    if not found:
        raise GeometryError(f"Piece {piece.name}: its centre front does not reach its edges.")
    return min(found, key=lambda item: item[0])[1]


def _kept(piece: Piece, start: _Place, end: _Place) -> tuple[Edge, ...]:
    """The edges from one place on, anticlockwise, to another, the first and the last cut there."""
    n = len(piece.edges)
    i, s = start.edge, start.at
    if s > piece.edges[i].length - NEAR_CORNER:
        i, s = (i + 1) % n, 0.0
    j, t = end.edge, end.at
    if t < NEAR_CORNER:
        j, t = (j - 1) % n, piece.edges[(j - 1) % n].length
    count = (j - i) % n
    edges = [piece.edges[(i + k) % n] for k in range(count + 1)]
    if t < edges[-1].length - NEAR_CORNER:
        edges[-1] = _until(edges[-1], t)
    if s > NEAR_CORNER:
        edges[0] = _from(edges[0], s)
    return tuple(edges)


def _in_run(e: Edge, s: float) -> tuple[int, float]:
    for i, run in enumerate(e.runs):
        if s <= run.length or i == len(e.runs) - 1:
            return i, s
        s -= run.length
    raise GeometryError(f"Edge {e.name}: no place at {s:g} cm.")


def _from(e: Edge, s: float) -> Edge:
    """The edge from a sewn distance on; its new start is called for the edge."""
    i, at = _in_run(e, s)
    run = e.runs[i]
    rest = run.split(at)[1] if at > SLACK else run
    gone = run.spans - rest.spans
    stations = {
        name: (r - i, c - gone if r == i else c)
        for name, (r, c) in e.stations.items()
        if e.distance(name) > s + SLACK
    }
    return replace(
        e,
        start=f"{e.name}_{CENTRE}",
        runs=(rest, *e.runs[i + 1 :]),
        darts=e.darts[i:],
        stations=stations,
        reserve_to=None,
    )


def _until(e: Edge, s: float) -> Edge:
    """The edge up to a sewn distance; its new end is called for the edge."""
    i, at = _in_run(e, s)
    run = e.runs[i]
    part = run.split(at)[0] if at < run.length - SLACK else run
    return replace(
        e,
        end=f"{e.name}_{CENTRE}",
        runs=(*e.runs[:i], part),
        darts=e.darts[:i],
        stations={n: rc for n, rc in e.stations.items() if e.distance(n) < s - SLACK},
        reserve_to=None,
    )


def _area(edges: Sequence[Edge]) -> float:
    """Twice the area within the edges, closed by a straight line, cm²."""
    p = np.concatenate([run.ctrl[:, 0] for e in edges for run in e.runs] + [edges[-1].last[None]])
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]))
