"""Interfacing and undercollar: what lies behind the shell, following it by rule."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Edge, Piece, edge

SHY = 0.3
"""How much the undercollar is smaller at its outer edge, so that the seam rolls under, cm."""


def interfacing(piece: Piece, name: str, title: str) -> Piece:
    """Interfacing with the piece's own net line and no allowance (common practice, fusible)."""
    edges = tuple(replace(e, allowance=0.0, reserve=0.0, least=0.0) for e in piece.edges)
    return replace(
        piece,
        name=name,
        title=title,
        edges=edges,
        layer="interfacing",
        lines=(),
        marks=(),
        follows=piece.name,
        stage="after",
    )


def undercollar(collar: Piece) -> Piece:
    """The undercollar: shy of the collar at its outer edge, cut as a pair on the bias with a seam
    at the centre back (common practice)."""
    outer, front, centre = (collar.edge(n) for n in ("outer", "front", "centre"))
    whole = front.runs[0]
    short = whole.between(SHY, whole.length)
    stem = centre.runs[0]
    stem = stem.between(0.0, stem.length - SHY)
    run = outer.runs[0]
    # each control point is moved by its share of what both ends move
    n = run.spans
    share = (np.arange(n)[:, None] + np.array([0.0, 1 / 3, 2 / 3, 1.0])) / n
    at_centre, at_point = stem.end - run.start, short.start - run.end
    shift = (1.0 - share)[..., None] * at_centre + share[..., None] * at_point
    new_outer = replace(outer, runs=(Path(run.ctrl + shift),))
    edges: tuple[Edge, ...] = (
        collar.edge("neck"),
        edge("centre", "neck_centre", stem, "outer_centre"),
        new_outer,
        replace(front, runs=(short,)),
    )
    middle = (stem.start + stem.end) / 2.0 + [-5.0, 0.0]
    half = np.array([2.0, 2.0])
    return replace(
        collar,
        name="undercollar",
        title="Undercollar",
        edges=edges,
        cut="pair",
        fold=None,
        grain=np.array([middle - half, middle + half]),
        lines=(),
        follows="collar",
    )
