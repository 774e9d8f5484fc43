"""A sleeve made wider or narrower under the arm while its cap still fits the same armhole."""

from __future__ import annotations

import numpy as np

from pinwright.fitting.response import Sketch
from pinwright.geometry.cubic import lengths
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array


def keep_cap_length(sketch: Sketch, cap: EdgeKey) -> float:
    """Lower the cap by what keeps its length after what the sketch already does to its ends.

    The cap sinks in proportion to height over the underarm, so it stays level at its top and its
    underarm points stay. Returns the drop in cm per unit (about 1 for each 1.5-2 gained in width;
    sources 2.3, from memory).
    """
    layout = sketch.layout
    ids = layout.span_ids(cap)
    base = layout.ctrl[ids]
    foot = float(min(base[0, 0, 1], base[-1, 3, 1]))
    top = float(base[..., 1].max())
    sunk = np.zeros_like(base)
    sunk[..., 1] = -np.clip((base[..., 1] - foot) / (top - foot), 0.0, None)
    wider = growth(base, sketch.ctrl[ids])
    if abs(wider) < 1e-12:
        return 0.0
    drop = -wider / growth(base, sunk)
    sketch.ctrl[ids] += drop * sunk
    rows = layout.piece_aux[cap[0]]
    inside = layout.aux[rows]
    sketch.aux[rows, 1] -= drop * np.clip((inside[:, 1] - foot) / (top - foot), 0.0, 1.0)
    return float(drop * -sunk[..., 1].min())


def growth(base: Array, move: Array) -> float:
    """Change of length per unit of a displacement, to first order."""
    step = 1e-4
    longer = lengths(base + step * move).sum() - lengths(base - step * move).sum()
    return float(longer) / (2 * step)
