"""Shoulder: its slope, each side by itself."""

from __future__ import annotations

import numpy as np

from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.edges import (
    DOWN,
    along_end,
    between,
    corner,
    edges_at,
    move_apexes,
    move_edges,
    piece_with,
    widths_moved,
)
from pinwright.fitting.places import closed
from pinwright.fitting.response import Field, Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array


def slope(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Lower the shoulder end by one cm; the neck point and the neckline stay.

    The shoulder leaves the neck in its drafted direction and bends down to its end (three
    eighths of the way down in the middle), so the neck still runs through and the collar is not
    touched.
    With the armhole slid (default) the underarm goes down the side seam by the same cm, so the
    armhole keeps its round and the sleeve still fits. With the armhole kept the underarm stays
    and the armhole gets shorter; the sleeve follows.
    """
    whole = str(options.get("armhole", "slide")) == "slide"
    sketch = Sketch(garment)
    for home in ("front", "back"):
        shoulder = piece_with(garment, home, "shoulder", "shoulder_tip")
        tip = corner(garment, shoulder, "shoulder_tip")
        neck = corner(garment, shoulder, "neck_point")
        low = piece_with(garment, home, "armhole", "underarm")
        under = corner(garment, low, "underarm")
        side = piece_with(garment, home, "side", "underarm")
        last = garment.layout.edges[side].end == "underarm"
        start = -along_end(garment, side, last) if whole else 0.0 * DOWN
        hole = between(start, DOWN, float(under[1]), float(tip[1]))
        turn = drooped(float(neck[0]), float(tip[0]))
        move_edges(
            sketch, {**dict.fromkeys(edges_at(garment, home, "armhole"), hole), shoulder: turn}
        )
        move_apexes(sketch, shoulder, turn)
    widths_moved(sketch, ("bust",))
    return closed(sketch)


def drooped(neck: float, tip: float) -> Field:
    """Down by nothing at ``neck`` (x, cm), by one at ``tip``: 2 u^2 - u^3 of the way u between.

    At the neck it has no slope, at the tip that of the straight line, so the armhole's angle
    there changes as if the shoulder had been turned about the neck point.
    """

    def move(p: Array) -> tuple[Array, Array]:
        raw = (p[:, 0] - neck) / (tip - neck)
        u = np.clip(raw, 0.0, 1.0)
        slope = np.where(raw <= 1 + 1e-9, (4.0 * u - 3.0 * u * u) / (tip - neck), 0.0)
        jac = np.zeros((len(p), 2, 2))
        jac[:, :, 0] = DOWN[None] * slope[:, None]
        return DOWN[None] * (2.0 * u * u - u**3)[:, None], jac

    return move


ENTRIES = (
    Entry(
        kind="shoulder_slope",
        title="Shoulder more or less sloping",
        plus="more sloping: the shoulder end goes down",
        signs=(
            "drag lines from the armpit to the shoulder, folds below the armhole: more sloping",
            "folds from the shoulder end to the centre, seam stands off near the neck: squarer",
        ),
        places=("shoulder",),
        usual=(-1.0, 1.5),
        limit=(-3.0, 3.0),
        meanings=("level",),
        options=(
            Option(
                "armhole",
                "slide the whole armhole, so that the sleeve still fits, or keep the underarm",
                ("slide", "keep"),
                "slide",
            ),
        ),
        sources=(
            "lower the whole armhole, shoulder end and underarm by the same amount; the side seam "
            "shortens by it (sources 3.2, R)",
            "0.6-1.5 usual (sources 3.2, amount from memory)",
        ),
        effects="armhole slid: side seams shorter by the amount at the underarm; no girth",
        companions=("sleeve when the armhole is kept", "shoulder pad"),
        order=22,
        cut=slope,
    ),
)
