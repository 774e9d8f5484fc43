"""Cloth spread across a piece: level displacement, weighted across and by height."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from pinwright.fitting.response import Field, Sketch
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import Width

Weights = Callable[[Array], tuple[Array, Array]]


def bands(knots: Sequence[tuple[float, float]]) -> Weights:
    """Weight by height through knots (y, weight), rising in y, eased between; with its slope.

    Below the first and above the last the weight stays.
    """
    ys = np.array([k[0] for k in knots])
    ws = np.array([k[1] for k in knots])

    def weight(y: Array) -> tuple[Array, Array]:
        i = np.clip(np.searchsorted(ys, y, side="right") - 1, 0, len(ys) - 2)
        gap = ys[i + 1] - ys[i]
        v = np.clip((y - ys[i]) / gap, 0.0, 1.0)
        rise = ws[i + 1] - ws[i]
        return ws[i] + rise * v * v * (3 - 2 * v), rise * 6 * v * (1 - v) / gap

    return weight


def spread(p: Array, u: Array, slope: Array, w: Array, g: Array) -> tuple[Array, Array]:
    """Level displacement u(x) w(y) of points (k, 2) and its Jacobian, from weights and slopes."""
    zero = np.zeros(len(p))
    jac = np.stack([np.stack([slope * w, u * g], axis=1), np.stack([zero, zero], axis=1)], axis=1)
    return np.stack([u * w, zero], axis=1), jac


def edge_field(sketch: Sketch, key: EdgeKey, move: Field) -> None:
    """Displace one edge by a field; its neighbours are not taken along."""
    ids = sketch.layout.span_ids(key)
    base = sketch.layout.ctrl[ids]
    for end, handle in ((0, 1), (3, 2)):
        v, jac = move(base[:, end])
        arm = base[:, handle] - base[:, end]
        sketch.ctrl[ids, end] += v
        sketch.ctrl[ids, handle] += v + np.einsum("nij,nj->ni", jac, arm)


def width_effects(sketch: Sketch, pieces: Sequence[str], move: Field) -> None:
    """Declare what a level displacement does to the widths measured on ``pieces``."""
    layout = sketch.layout
    for target in sketch.garment.targets:
        change = 0.0
        for part in target.parts:
            if isinstance(part, Width) and part.piece in pieces:
                ends = [layout.station_row(part.piece, n) for n in (part.start, part.end)]
                a, b = (layout.ctrl[row, col] for row, col in ends)
                va, vb = move(np.stack([a, b]))[0]
                change += float((vb - va) @ (b - a)) / float(np.hypot(*(b - a)))
        if change:
            sketch.effect(target.name, change * target.factor)
