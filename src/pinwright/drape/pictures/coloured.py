"""One side of a hung garment as points of colour: body in calico, cloth in bands of a scale."""

from __future__ import annotations

from typing import Any

import numpy as np
from contourpy import contour_generator

from pinwright.drape.data import Array
from pinwright.drape.pictures.looked import JUMP, Frame, Looked
from pinwright.drape.pictures.raster import Flags, behind, softened, tinted
from pinwright.drape.pictures.scale import Colours, Scale

PAPER = 255

TONES = np.array(
    [
        [255.0, 255.0, 255.0, 0.0],
        [243.0, 242.0, 240.0, 0.3],
        [140.0, 136.0, 134.0, 0.2],
        [255.0, 255.0, 255.0, 0.11],
        [60.0, 58.0, 56.0, 0.0],
    ]
)
"""By what is foremost: its sRGB, and how much shading may take of it. The body is paler than
calico, so that the cloth stands before it in grey print too; the cloth is white where nothing is
known of it, and is shaded by less than from one band to the next. Last the line behind an edge."""

EDGE = 2
"""How wide that line is, points of colour."""


def coloured(look: Looked, values: Array, scale: Scale) -> Colours:
    """The picture (high, wide, 3), sRGB. values: (n,) of the cloth's vertices."""
    found = np.full((*look.kind.shape, 3), PAPER, dtype=np.uint8)
    field = look.sampled(values)
    band = scale.bands(np.nan_to_num(field)).astype(np.int8)
    band[np.isnan(field)] = -1
    edge = behind(look.near, look.kind, JUMP, EDGE)
    tinted(look.kind, look.light, band, scale.colours, TONES, edge, found)
    return found


def contours(look: Looked, values: Array, scale: Scale) -> list[tuple[int, Array]]:
    """Lines along which a field is as much as a step: the step's number, and (k, 2) cm of the
    picture, in which they are drawn through; none across a fold or an edge of the cloth."""
    field = look.sampled(values)
    masked = np.ma.masked_array(field, ~np.isfinite(field) | look.torn)
    x, y = _middles(look.frame)
    lines: Any = contour_generator(x, y, masked, corner_mask=True)
    return [(k, line) for k, step in enumerate(scale.steps) for line in lines.lines(step)]


def rims(where: Flags, frame: Frame) -> list[Array]:
    """The outline of a part of the picture as closed lines (k, 2) cm, smooth to half a point."""
    x, y = _middles(frame)
    lines: Any = contour_generator(x, y, softened(where))
    found: list[Array] = lines.lines(0.5)
    return found


def _middles(frame: Frame) -> tuple[Array, Array]:
    x: Array = frame.left + (np.arange(frame.wide, dtype=np.float64) + 0.5) / frame.per_cm
    y: Array = frame.top - (np.arange(frame.high, dtype=np.float64) + 0.5) / frame.per_cm
    return x, y
