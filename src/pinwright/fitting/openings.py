"""Lines that lie on a seam (pocket openings) follow it, and slide along it."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.response import Sketch
from pinwright.geometry.cubic import points, subcurve
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array, Line

ON_SEAM = 0.02
"""A line this near (cm) to a seam all along lies on it."""


def seam_under(sketch: Sketch, piece: str, line: Line) -> EdgeKey | None:
    """The edge of a piece that an opening lies on, or None."""
    probe = points(line.path.ctrl, np.array([0.0, 0.5, 1.0])).reshape(-1, 2)
    for e in sketch.garment.piece(piece).edges:
        for run in e.runs:
            if all(run.nearest(p)[1] < ON_SEAM for p in probe):
                return piece, e.name
    return None


def follow_seams(sketch: Sketch) -> None:
    """Openings that lie on a seam that moves go with it, stretch by stretch."""
    layout = sketch.layout
    for p in sketch.garment.pieces:
        if not sketch.ctrl[layout.piece_spans[p.name]].any():
            continue
        for line in p.lines:
            if line.kind != "opening":
                continue
            key = seam_under(sketch, p.name, line)
            if key is None or not sketch.ctrl[layout.span_ids(key)].any():
                continue
            rows = layout.aux_index[p.name, "line", line.name]
            moved = [_carried(sketch, key, span) for span in line.path.ctrl]
            sketch.aux[rows] += np.concatenate(moved)


def _carried(sketch: Sketch, key: EdgeKey, span: Array) -> Array:
    """How an edge carries a span (4, 2) lying on one of its own: the same cut of the same cubic."""
    ids = sketch.layout.span_ids(key)
    best, found = np.inf, (0, 0.0, 1.0)
    for row in ids:
        base = sketch.layout.ctrl[row]
        u0, u1 = _param(base, span[0]), _param(base, span[3])
        cut = subcurve(base[None], np.array([u0]), np.array([u1]))[0]
        off = float(np.abs(cut - span).max())
        if off < best:
            best, found = off, (int(row), u0, u1)
    row, u0, u1 = found
    return np.asarray(subcurve(sketch.ctrl[row][None], np.array([u0]), np.array([u1]))[0])


def _param(cubic: Array, p: Array) -> float:
    """Parameter of the point of a cubic (4, 2) nearest to ``p`` (2,)."""
    u = np.linspace(0.0, 1.0, 33)
    at = points(cubic[None], u)[0]
    best = float(u[int(np.argmin(((at - p) ** 2).sum(axis=1)))])
    width = 1.0 / 32
    for _ in range(12):
        u = np.clip(best + width * np.linspace(-1.0, 1.0, 9), 0.0, 1.0)
        at = points(cubic[None], u)[0]
        best = float(u[int(np.argmin(((at - p) ** 2).sum(axis=1)))])
        width /= 4
    return best


def slide(sketch: Sketch, piece: str, line: Line, down_at_top: float, down_at_foot: float) -> None:
    """Slide the ends of an opening along the seam by so much per unit, downwards.

    Each control point moves along the line's own direction there, by an amount running evenly
    from the upper end to the lower.
    """
    ctrl = line.path.ctrl
    upward = bool(ctrl[-1, 3, 1] >= ctrl[0, 0, 1])
    total = line.path.length
    s = 0.0
    out = np.zeros_like(ctrl)
    for i, span in enumerate(ctrl):
        size = float(np.hypot(*(span[3] - span[0])))
        for end, handle, at in ((0, 1, s), (3, 2, s + size)):
            share = min(at / total, 1.0)
            share = share if upward else 1.0 - share  # 0 at the foot, 1 at the top
            amount = down_at_foot + (down_at_top - down_at_foot) * share
            along = span[handle] - span[end]
            along = along / float(np.hypot(*along)) * (1.0 if end == 0 else -1.0)
            v = -amount * along if upward else amount * along
            out[i, end] += v
            out[i, handle] += v
        s += size
    sketch.aux[sketch.layout.aux_index[piece, "line", line.name]] += out.reshape(-1, 2)


def opening(sketch: Sketch, piece: str, name: str) -> Line:
    """A line of a piece by name.

    Raises:
        CorrectionError: the piece has none.
    """
    for line in sketch.garment.piece(piece).lines:
        if line.name == name:
            return line
    raise CorrectionError(
        f"The {sketch.garment.owns} no {name.replace('_', ' ')} marked on the {piece}."
    )
