"""Which edges make up the same girth: what one of them lacks the others may take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from pinwright.cutting.cutline import right_of
from pinwright.cutting.reserve import Shortfall
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Sewn, Target

EdgeName = tuple[str, str]
"""(piece, edge)."""

NEAR = 1.0
"""A level so near the end of a stretch, cm, counts as on it."""


def girths_at(
    short: Shortfall, pieces: Mapping[str, Piece], targets: Sequence[Target]
) -> dict[str, frozenset[EdgeName]]:
    """The girths that a short stretch helps to make up, each with all its edges.

    A girth is a target measured across its pieces. Those whose level lies on the stretch count;
    when none does, the nearest on the edge. Only pieces in ``pieces`` are looked at: give one
    side's, since what one leg lacks the other cannot give.
    """
    found: list[tuple[float, str, frozenset[EdgeName]]] = []
    for target in targets:
        reached = reached_by(target, pieces)
        for piece, edge, s in reached:
            if (piece, edge) == (short.piece, short.edge):
                away = max(short.from_s - s, s - short.to_s, 0.0)
                found.append((away, target.name, frozenset((p, e) for p, e, _ in reached)))
    if not found:
        return {}
    near = max(NEAR, min(away for away, _, _ in found) + 1e-6)
    return {name: edges for away, name, edges in found if away <= near}


def mates(
    short: Shortfall, pieces: Mapping[str, Piece], targets: Sequence[Target]
) -> tuple[EdgeName, ...]:
    """The other edges that are part of every girth the short stretch helps to make up."""
    sets = list(girths_at(short, pieces, targets).values())
    common = frozenset.intersection(*sets) if sets else frozenset()
    return tuple(sorted(common - {(short.piece, short.edge)}))


def reached_by(target: Target, pieces: Mapping[str, Piece]) -> list[tuple[str, str, float]]:
    """(piece, edge, distance along it) where a girth ends on its edges; empty for a length."""
    out: list[tuple[str, str, float]] = []
    for part in target.parts:
        piece = pieces.get(part.piece)
        if piece is None:
            return []
        if isinstance(part, Sewn):
            e = piece.edge(part.edge)
            names = (f"{e.name}:{e.start}", f"{e.name}:{e.end}")
            corners = (e.start, e.end)
        else:
            names = corners = (part.start, part.end)
        across = piece.point(names[1]) - piece.point(names[0])
        if abs(across[0]) <= abs(across[1]):
            return []
        for corner in corners:
            where = _upright(piece, corner, skip=part.edge if isinstance(part, Sewn) else None)
            if where is not None:
                out.append((piece.name, *where))
    return out


def _upright(piece: Piece, name: str, skip: str | None) -> tuple[str, float] | None:
    """The edge a point lies on and where; of two that meet there the one that runs up and down."""
    want, _, point = name.rpartition(":")
    best: tuple[float, str, float] | None = None
    for e in piece.edges:
        if point not in (e.start, e.end, *e.stations) or e.name == skip:
            continue
        if want and e.name != want and point in piece.edge(want).stations:
            continue
        run, end = (0, False) if point == e.start else (len(e.runs) - 1, True)
        if point in e.stations:
            at: tuple[float, float] = (1.0, e.distance(point))
        else:
            t = e.runs[run].end_tangent if end else e.runs[run].start_tangent
            at = (abs(float(right_of(np.asarray(t))[0])), e.distance(point))
        if best is None or at[0] > best[0]:
            best = (at[0], e.name, at[1])
    return None if best is None else (best[1], best[2])
