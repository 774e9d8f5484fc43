"""The edge of a piece that stands on the fold: neither cut nor sewn, whatever outline is drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.geometry import curves
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Edge, Piece

Array = NDArray[np.float64]

BEYOND = 20.0
"""So far past its ends, cm, a fold runs on straight: through the allowances beside it."""

ON_IT = 0.01
"""Points this near the fold, cm, lie on it: outlines are polylines so near to their curves."""


def fold_edge(piece: Piece) -> Edge | None:
    """The edge that stands on the fold, None of a piece that has none."""
    return piece.edge(piece.fold) if piece.cut == "fold" and piece.fold else None


def sewn(piece: Piece) -> tuple[tuple[Path, ...], bool]:
    """The net line in order, dart mouths capped, and whether it is closed.

    Open from end to end of the fold where the piece has one: there is no seam.
    """
    paths = piece.outline(caps=True)
    fold = fold_edge(piece)
    if fold is None:
        return paths, True
    # a run, then the cap over the mouth behind it, of every edge in turn
    owners = [e.name for e in piece.edges for _ in range(2 * len(e.runs) - 1)]
    names = [e.name for e in piece.edges]
    at = names.index(fold.name)
    order = [*names[at + 1 :], *names[:at]]
    kept = [p for name in order for p, own in zip(paths, owners, strict=True) if own == name]
    return tuple(kept), False


def off_fold(ring: Array, fold: Edge) -> tuple[Array, ...]:
    """The stretches (k, 2) of an outline (m, 2) that do not lie on a fold run on past its ends."""
    line = curves.flatten(np.concatenate([run.ctrl for run in fold.runs]), ON_IT / 2)
    before, after = line[0] - line[1], line[-1] - line[-2]
    ends = [p + BEYOND * v / float(np.hypot(*v)) for p, v in ((line[0], before), (line[-1], after))]
    return off_line(ring, np.concatenate([ends[:1], line, ends[1:]]), ON_IT)


def off_line(ring: Array, line: Array, near: float) -> tuple[Array, ...]:
    """The stretches (k, 2) of a closed outline that do not lie within ``near`` cm of a line (n, 2).

    All of it, closed, where none of it does.
    """
    if float(np.abs(ring[0] - ring[-1]).max()) < 1e-9:
        ring = ring[:-1]
    closed = np.concatenate([ring, ring[:1]])
    there = shapely.LineString(line)
    on = shapely.distance(shapely.points(closed), there) < near
    middle = shapely.distance(shapely.points((closed[:-1] + closed[1:]) / 2), there) < near
    along = on[:-1] & on[1:] & middle
    if not along.any():
        return (closed,)
    # begin behind the line, so that no stretch is cut in two
    first = int(np.flatnonzero(along)[-1]) + 1
    parts: list[list[Array]] = [[]]
    for k in np.roll(np.arange(len(ring)), -first):
        if along[k]:
            parts.append([])
            continue
        parts[-1] += [closed[k + 1]] if parts[-1] else [closed[k], closed[k + 1]]
    return tuple(np.array(p) for p in parts if p)


def along_fold(fold: Edge, parts: Sequence[Array]) -> tuple[Array, ...]:
    """The fold as it is drawn beside what :func:`off_fold` left of an outline: up to its ends."""
    line = tuple(run.ctrl for run in fold.runs)
    if len(parts) != 1:
        return line
    near, far = sorted(
        (parts[0][0], parts[0][-1]), key=lambda p: float(np.hypot(*(p - fold.first)))
    )
    return (np.stack([near, fold.first]), *line, np.stack([fold.last, far]))
