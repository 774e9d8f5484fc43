"""The map of joined pages: whose garment, how to join them, and where each page lies."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any

import numpy as np

from pinwright.measures.amounts import size
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import Drawing, Stroke, Words
from pinwright.sheets.legend import (
    CHECK_HIGH,
    KEY_HIGH,
    SQUARE,
    KeyRow,
    estimated_words,
    keyed,
    line_rows,
    test_square,
    written,
)
from pinwright.sheets.lettering import width_of
from pinwright.sheets.pdf import POINTS, paint
from pinwright.sheets.tiling import EDGE, OVERLAP, Tile, Tiling


def map_page(
    c: Any,
    t: Tiling,
    heading: Heading,
    size: tuple[float, float],
    what: str,
    rows: Sequence[KeyRow] = (),
) -> None:
    """Paint the map as a page of its own, ``size`` (width, height) cm.

    ``rows`` is what the lines of these pages mean; without any, what they mean on pieces.
    """
    c.saveState()
    c.translate(EDGE * POINTS, EDGE * POINTS)
    w, h = size[0] - 2 * EDGE, size[1] - 2 * EDGE
    top, y = map_head(t, heading, w, h, what, rows)
    paint(c, top)
    bands, scale = map_bands(t, w, y)
    each = ceil(t.rows / bands)
    step_y = t.window[1] - OVERLAP
    for k in range(bands):
        mine = [tile for tile in t.tiles if k * each <= tile.row < (k + 1) * each]
        if not mine:
            continue
        c.saveState()
        c.translate(k * (t.columns * t.window[0] * scale + BAND_GAP) * POINTS, y * POINTS)
        c.scale(scale, scale)
        c.translate(0.0, (k * each * step_y - t.page.height) * POINTS)
        cells = [m for tile in mine for m in map_cell(t, tile, scale)]
        low, high = mine[-1].bottom, mine[0].bottom + t.window[1]
        clip = c.beginPath()
        clip.rect(0, low * POINTS, t.columns * t.window[0] * POINTS, (high - low) * POINTS)
        c.saveState()
        c.clipPath(clip, stroke=0, fill=0)
        for drawing in t.page.drawings:
            strokes = [m for m in drawing if isinstance(m, Stroke) and m.role in _ON_MAP]
            paint(c, [_thin(m, scale) for m in strokes])
        c.restoreState()
        paint(c, cells)
        c.restoreState()
    c.restoreState()
    c.showPage()


BAND_GAP = 0.6
"""Between the bands of a map, cm."""


def map_bands(t: Tiling, w: float, h: float) -> tuple[int, float]:
    """In how many bands of rows, side by side, the map of a tall sheet is largest; its scale."""
    return max(
        (
            (
                n,
                min(
                    (w - (n - 1) * BAND_GAP) / (n * t.columns * t.window[0]),
                    h / (ceil(t.rows / n) * t.window[1]),
                ),
            )
            for n in range(1, min(t.rows, 6) + 1)
        ),
        key=lambda found: found[1],
    )


def map_head(
    t: Tiling, heading: Heading, w: float, h: float, what: str, rows: Sequence[KeyRow] = ()
) -> tuple[Drawing, float]:
    """What stands above the map, from height ``h`` down over ``w`` cm, and the height left."""
    title = f"{heading.garment[:1].upper()}{heading.garment[1:]}, {what}: {len(t.tiles)} pages"
    said = [
        (heading.client, 0.9, True),
        (title, 0.6, True),
        (f"order {heading.order}, {heading.fitting}, {heading.date}", 0.42, False),
    ]
    head, y = written(said, 0.0, h, w)
    y -= 0.4
    hints = (
        "Print at 100 %. Measure the square first. Cut each page along the frame at its left and "
        f"its top, lay it over its neighbours by {size(OVERLAP, heading.unit)} so that rings of "
        "one number meet, and tape it. Empty pages are left out. Mind the shears and the iron."
    )
    beside, _ = written([(hints, 0.34, False)], 10.3, y - KEY_HIGH - 0.5, w - 10.3)
    key = rows or line_rows(heading.unit)
    marks = [*head, *test_square(0.0, y - SQUARE), *keyed(key, 10.3, y - 0.5, w - 10.3), *beside]
    y -= SQUARE + CHECK_HIGH + 0.2
    more = [text for text in (heading.remark, estimated_words(heading)) if text]
    words, y = written([(text, 0.34, True) for text in more], 0.0, y, w)
    marks += words
    return tuple(marks), y - 0.2


def map_cell(t: Tiling, tile: Tile, scale: float) -> Drawing:
    """A page on the map: its frame, hair thin, and its name in the middle of what is its own."""
    x0, y0 = tile.left, tile.bottom
    x1, y1 = x0 + t.window[0], y0 + t.window[1]
    rim = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    wide, high = t.window[0] - 2 * OVERLAP, t.window[1] - 2 * OVERLAP
    letter = min(0.5 / scale, 0.5 * high, wide / width_of(tile.name, 1.0, True))
    at = np.array([(x0 + x1) / 2, (y0 + y1) / 2 - 0.36 * letter])
    return (
        Stroke((rim,), 0.008 / scale, (0.06 / scale, 0.06 / scale), closed=True),
        Words(at, tile.name, letter, bold=True, anchor="middle", halo=True),
    )


def _thin(m: Stroke, scale: float) -> Stroke:
    """A stroke whose line is as thin on the map as it is clear."""
    return Stroke(m.chains, 0.02 / scale, (), m.closed, m.fill)


_ON_MAP = {"cut line", "cloth", "fold edge", "grain"}
"""What the map shows of a piece."""
