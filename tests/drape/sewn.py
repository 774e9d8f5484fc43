"""Garments and what is measured on their shells, for the tests of meshing."""

from __future__ import annotations

from collections import Counter
from functools import cache

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.drape.cloth import handle
from pinwright.drape.data import Shell
from pinwright.drape.garb import Garb
from pinwright.drape.meshing import shell_of
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from tests.fitting.drafts import ORDINARY
from tests.fitting.drafts import draft as drafted_half

Array = NDArray[np.float64]
Whole = NDArray[np.int64]


def pieces_of(garment: Garment) -> dict[str, Piece]:
    return {p.name: p for p in garment.pieces}


def garb_of(garment: Garment) -> Garb:
    """It as drafted, right and left alike, in a cloth that hangs well."""
    pieces = pieces_of(garment)
    return Garb(garment, pieces, pieces, handle("wool suiting, middle weight"))


@cache
def draft(variant: str) -> Garment:
    return drafted_half(variant, *ORDINARY.values())


@cache
def shell(variant: str, edge: float) -> Shell:
    g = draft(variant)
    return shell_of(g, pieces_of(g), pieces_of(g), edge)


def net_polygon(piece: Piece) -> shapely.Polygon:
    """The net outline with the wedges of its darts cut out, true to 0.001 cm."""
    ring: list[Array] = []
    for e in piece.edges:
        for i, run in enumerate(e.runs):
            ring.append(run.flatten(0.001)[:-1])
            if i < len(e.darts):
                ring.append(np.array([run.end, piece.dart(e.darts[i]).apex]))
    return shapely.Polygon(np.concatenate(ring))


def euler(s: Shell) -> int:
    """Vertices less sides and triangles."""
    t = s.triangles
    sides = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    return s.n - len(np.unique(sides, axis=0)) + len(t)


def directed(s: Shell) -> Counter[tuple[int, int]]:
    t = s.triangles
    sides = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    return Counter((int(a), int(b)) for a, b in sides)


def loops(s: Shell) -> list[list[int]]:
    """The holes of the cloth, each walked round with the cloth at one side.

    Where two fronts meet in a button alone the walk goes over from one to the other.
    """
    third = {}
    for a, b, c in s.triangles.tolist():
        third[a, b], third[b, c], third[c, a] = c, a, b
    left = {side for side in third if side[::-1] not in third}
    found = []
    while left:
        side = min(left)
        loop: list[int] = []
        while side in left:
            left.remove(side)
            loop.append(side[0])
            v, w = side[1], third[side]
            while (w, v) in third:
                w = third[w, v]
            others = [b for a, b in left if a == v and b != w]
            side = (v, others[0] if others else w)
        found.append(loop)
    return found


def row(s: Shell, piece: str, side: str, edge: str) -> Whole:
    """Shell numbers of the vertices along an edge, each once."""
    panel, ids = s.at(piece, side)  # type: ignore[arg-type]
    found = ids[np.concatenate(panel.edges[edge])]
    return np.asarray(found[np.concatenate([[True], np.diff(found) != 0])])


def run_length(points: Array) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())
