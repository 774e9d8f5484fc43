"""Outlines from a photograph of paper patterns on a plain ground, measured by a known square."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import contourpy
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError
from scipy import ndimage

from pinwright.bringin.fit import TOLERANCE
from pinwright.bringin.outline import LEAST_AREA, Outline, from_samples
from pinwright.bringin.square import Calibration, calibrated
from pinwright.errors import OrderError

Array = NDArray[np.float64]

LEAST_CONTRAST = 25.0
"""Paper and ground must differ by this many of 256 levels of grey."""

LARGEST = 60_000_000
"""Pictures of more pixels than this are not read."""

CORNER = 25.0
"""A photographed edge turns at a corner by more degrees than this within 1.6 cm."""


def read_grey(path: Path) -> Array:
    """A picture as levels of grey 0 to 255 (rows, columns), turned as its camera says.

    Raises:
        OrderError: no such file, no picture, or too large.
    """
    try:
        with Image.open(path) as image:
            if image.width * image.height > LARGEST:
                raise OrderError(
                    f"{path} has {image.width} x {image.height} pixels; at most "
                    f"{LARGEST // 1_000_000} million are read. Make it smaller first."
                )
            return np.asarray(ImageOps.exif_transpose(image).convert("L"), dtype=np.float64)
    except FileNotFoundError as err:
        raise OrderError(f"There is no file {path}.") from err
    except (UnidentifiedImageError, OSError, Image.DecompressionBombError) as err:
        raise OrderError(f"{path} cannot be read as a picture ({err}).") from err


def photo_outlines(
    grey: Array,
    square_cm: float,
    corners: Sequence[tuple[float, float]] | None = None,
    tolerance: float = TOLERANCE,
    corner: float = CORNER,
) -> tuple[list[Outline], Calibration, list[str]]:
    """The paper patterns in a picture, largest first, cm; the calibration; remarks.

    The ground is what lies along the picture's border; paper is what differs from it, lighter or
    darker. A known square that lies beside the paper is left out.

    Raises:
        OrderError: no square, no paper, or a pattern that runs out of the picture.
        GeometryError: an outline that crosses itself.
    """
    calibration = calibrated(grey, square_cm, corners)
    rings, remarks = _rings(grey, calibration)
    outlines = []
    for i, ring in enumerate(rings, start=1):
        points = calibration.to_cm(ring)
        outlines.append(from_samples(points, tolerance, corner, where=f"Outline {i}"))
        out = calibration.uncertainty(ring)
        remarks.append(
            f"Outline {i}: curves within {outlines[-1].fit:.3f} cm of the picture's edge; its "
            f"greatest length may be out by {out:.2f} cm through the square's corners."
        )
    return outlines, calibration, remarks


def _rings(grey: Array, calibration: Calibration) -> tuple[list[Array], list[str]]:
    """The edges of the papers, (k, 2) pixels each, and remarks."""
    border = np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
    ground = float(np.median(border))
    away = np.abs(ndimage.gaussian_filter(grey, 0.7) - ground)
    level = _between(away)
    if level < LEAST_CONTRAST / 2:
        raise OrderError(
            f"Paper and ground differ by {2 * level:.0f} levels of grey of 256; lay the paper on a "
            f"ground that differs by {LEAST_CONTRAST:.0f} at least."
        )
    labels, _ = ndimage.label(away > level)
    least = LEAST_AREA * calibration.per_cm**2
    rings: list[tuple[float, Array]] = []
    cut_off = 0
    for i, window in enumerate(ndimage.find_objects(labels), start=1):
        rows, columns = window[0], window[1]
        if (rows.stop - rows.start) * (columns.stop - columns.start) < least:
            continue
        mask = ndimage.binary_fill_holes(labels[window] == i)
        if float(mask.sum()) < least or _is_square(mask, (rows, columns), calibration):
            continue
        if 0 in (rows.start, columns.start) or (rows.stop, columns.stop) == grey.shape:
            cut_off += 1
            continue
        if rows.stop == grey.shape[0] or columns.stop == grey.shape[1]:
            cut_off += 1
            continue
        rings.append((float(mask.sum()), _edge(away, mask, (rows, columns))))
    if not rings:
        raise OrderError(
            "The pattern runs out of the picture; take it again with ground all round it."
            if cut_off
            else "No paper was found that stands out from the ground; lay it on a plain darker or "
            "lighter one."
        )
    rings.sort(key=lambda r: -r[0])
    told = [f"{cut_off} shapes at the picture's border were left out."] if cut_off else []
    return [r for _, r in rings], told


def _between(away: Array) -> float:
    """The level that best parts two heaps of values (Otsu 1979, from memory)."""
    counts, edges = np.histogram(away, bins=256)
    middle = (edges[:-1] + edges[1:]) / 2
    below = np.cumsum(counts)
    above = below[-1] - below
    sums = np.cumsum(counts * middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = below * above * (sums / below - (sums[-1] - sums) / above) ** 2
    spread = np.nan_to_num(spread)
    best = int(np.argmax(spread))
    low = sums[best] / max(below[best], 1)
    high = (sums[-1] - sums[best]) / max(above[best], 1)
    return float(low + high) / 2.0


def _is_square(
    mask: NDArray[np.bool_], window: tuple[slice, slice], calibration: Calibration
) -> bool:
    """Whether a shape is the known square itself, lying beside the paper."""
    x, y = calibration.corners.T
    area = 0.5 * abs(float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()))
    row, column = y.mean() - window[0].start, x.mean() - window[1].start
    inside = 0 <= row < mask.shape[0] and 0 <= column < mask.shape[1]
    return inside and bool(mask[int(row), int(column)]) and float(mask.sum()) < 1.15 * area


def _edge(away: Array, mask: NDArray[np.bool_], window: tuple[slice, slice]) -> Array:
    """The edge of one paper, between its own level and the ground's, (k, 2) pixels."""
    pad = 4
    rows = slice(max(window[0].start - pad, 0), window[0].stop + pad)
    columns = slice(max(window[1].start - pad, 0), window[1].stop + pad)
    part = away[rows, columns]
    whole = np.zeros(part.shape, dtype=bool)
    top, left = window[0].start - rows.start, window[1].start - columns.start
    whole[top : top + mask.shape[0], left : left + mask.shape[1]] = mask
    core = ndimage.binary_erosion(whole, iterations=3)
    wide = ndimage.binary_dilation(whole, iterations=3)
    paper = float(np.median(part[core])) if core.any() else float(np.median(part[whole]))
    # what lies on the paper (the square, writing) and other papers beside it are levelled
    z = np.where(core, paper, np.where(wide, np.minimum(part, paper), 0.0))
    lines = [np.asarray(line) for line in contourpy.contour_generator(z=z).lines(paper / 2)]
    corner = np.array([columns.start, rows.start], dtype=np.float64)
    return np.asarray(max(lines, key=len) + corner, dtype=np.float64)
