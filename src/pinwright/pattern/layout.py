"""All curves of a garment packed in two arrays, so that corrections are sums of arrays.

``ctrl`` (n, 4, 2) holds the spans of every edge, ``aux`` (m, 2) the control points of everything
drawn inside the pieces (apexes, lines, marks, grain). An index says which rows belong to what.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Line, Piece

EdgeKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class RunEnd:
    """One end of an edge in the pack: its span, and whether the span's last point is meant."""

    span: int
    last: bool


class Layout:
    """The pack of a garment's half: base arrays and the index into them."""

    def __init__(self, pieces: tuple[Piece, ...]) -> None:
        self.pieces = pieces
        ctrl: list[Array] = []
        aux: list[Array] = []
        self.runs: dict[EdgeKey, tuple[tuple[int, int], ...]] = {}
        self.piece_spans: dict[str, slice] = {}
        self.piece_aux: dict[str, slice] = {}
        self.aux_index: dict[tuple[str, str, str], slice] = {}
        self.edges: dict[EdgeKey, Edge] = {}
        self.neighbours: dict[tuple[EdgeKey, bool], tuple[EdgeKey, bool]] = {}
        self.follow_cache: dict[tuple[EdgeKey, bool], tuple[NDArray[np.intp], Array]] = {}
        n = m = 0
        for piece in pieces:
            n0, m0 = n, m
            for e in piece.edges:
                key = (piece.name, e.name)
                self.edges[key] = e
                spans = []
                for run in e.runs:
                    ctrl.append(run.ctrl)
                    spans.append((n, n + run.spans))
                    n += run.spans
                self.runs[key] = tuple(spans)
            for here, after in zip(piece.edges, piece.edges[1:] + piece.edges[:1], strict=True):
                a, b = (piece.name, here.name), (piece.name, after.name)
                self.neighbours[a, True] = (b, False)
                self.neighbours[b, False] = (a, True)
            for what, name, pts in _inside(piece):
                aux.append(pts)
                self.aux_index[piece.name, what, name] = slice(m, m + len(pts))
                m += len(pts)
            self.piece_spans[piece.name] = slice(n0, n)
            self.piece_aux[piece.name] = slice(m0, m)
        self.ctrl: Array = np.concatenate(ctrl)
        self.aux: Array = np.concatenate(aux)
        self.ctrl.setflags(write=False)
        self.aux.setflags(write=False)
        chord = self.ctrl[:, 3] - self.ctrl[:, 0]
        thirds = self.ctrl[:, 0, None] + chord[:, None] * np.array([1 / 3, 2 / 3])[None, :, None]
        self.straight: NDArray[np.bool_] = (
            np.abs(self.ctrl[:, 1:3] - thirds).max(axis=(1, 2)) < 1e-9
        )

    def run_end(self, key: EdgeKey, last: bool) -> RunEnd:
        """The span at an edge's start or end."""
        runs = self.runs[key]
        return RunEnd(runs[-1][1] - 1, True) if last else RunEnd(runs[0][0], False)

    def span_ids(self, key: EdgeKey) -> NDArray[np.intp]:
        """The rows of an edge's spans in order, mouths skipped, (k,)."""
        return np.concatenate([np.arange(a, b) for a, b in self.runs[key]])

    def boundary(self, key: EdgeKey, station: str) -> int:
        """How many spans of the edge come before a station, start or end point.

        Raises:
            KeyError: the edge has no such station.
        """
        e = self.edges[key]
        runs = self.runs[key]
        if station == e.start:
            return 0
        if station == e.end:
            return sum(b - a for a, b in runs)
        run, count = e.stations[station]
        return sum(b - a for a, b in runs[:run]) + count

    def station_row(self, piece: str, point: str) -> tuple[int, int]:
        """Row and column in ``ctrl`` of a named corner or station ("edge:station" if shared)."""
        want_edge, _, want = point.rpartition(":")
        for (owner, name), e in self.edges.items():
            if owner != piece or (want_edge and name != want_edge):
                continue
            runs = self.runs[owner, name]
            if e.start == want:
                return runs[0][0], 0
            if e.end == want:
                return runs[-1][1] - 1, 3
            if want in e.stations:
                run, count = e.stations[want]
                a, b = runs[run]
                return (a + count, 0) if a + count < b else (b - 1, 3)
        raise KeyError(f"piece {piece} has no point {point}")

    def pieces_from(self, ctrl: Array, aux: Array) -> tuple[Piece, ...]:
        """The pieces with other arrays; a piece whose rows equal the base is the same object."""
        return tuple(self.piece_from(p, ctrl, aux) for p in self.pieces)

    def piece_from(self, piece: Piece, ctrl: Array, aux: Array) -> Piece:
        """One piece with other arrays, the same object where nothing moved."""
        s, t = self.piece_spans[piece.name], self.piece_aux[piece.name]
        if np.array_equal(ctrl[s], self.ctrl[s]) and np.array_equal(aux[t], self.aux[t]):
            return piece
        edges = tuple(self._edge_from(piece.name, e, ctrl) for e in piece.edges)

        def at(what: str, name: str) -> Array:
            return aux[self.aux_index[piece.name, what, name]].copy()

        return replace(
            piece,
            edges=edges,
            darts=tuple(replace(d, apex=at("apex", d.name)[0]) for d in piece.darts),
            lines=tuple(self._line_from(piece.name, line, aux) for line in piece.lines),
            marks=tuple(replace(m, at=at("mark", m.name)[0]) for m in piece.marks),
            grain=at("grain", ""),
        )

    def _edge_from(self, piece: str, e: Edge, ctrl: Array) -> Edge:
        runs = self.runs[piece, e.name]
        first, last = runs[0][0], runs[-1][1]
        if np.array_equal(ctrl[first:last], self.ctrl[first:last]):
            return e
        return replace(e, runs=tuple(Path.trusted(ctrl[a:b].copy()) for a, b in runs))

    def _line_from(self, piece: str, line: Line, aux: Array) -> Line:
        rows = self.aux_index[piece, "line", line.name]
        if np.array_equal(aux[rows], self.aux[rows]):
            return line
        return replace(line, path=Path.trusted(aux[rows].copy().reshape(-1, 4, 2)))


def _inside(piece: Piece) -> list[tuple[str, str, Array]]:
    rows: list[tuple[str, str, Array]] = [("grain", "", np.asarray(piece.grain, dtype=float))]
    rows += [("apex", d.name, np.asarray(d.apex, dtype=float)[None]) for d in piece.darts]
    rows += [("line", x.name, x.path.ctrl.reshape(-1, 2)) for x in piece.lines]
    rows += [("mark", m.name, np.asarray(m.at, dtype=float)[None]) for m in piece.marks]
    return rows
