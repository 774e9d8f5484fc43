"""Length of the body, at one of its balance lines."""

from __future__ import annotations

from itertools import chain

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.edges import DOWN, corner, edges_at, piece_with
from pinwright.fitting.hem import lower
from pinwright.fitting.places import closed, pieces_at_home
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment

LEVELS = ("bust", "waist", "hip", "hem")
SPREAD = 8.0
"""Cloth is added over at most this many cm above the line, so that no curve gets a kink."""
LEAST = 2.0
ABOVE = {"bust": "below the bust dart", "waist": "above the waist", "hip": "above the hip"}


def at_hem(garment: Garment) -> Response:
    """Lower the hem one cm all round; each seam runs on along its own line."""
    if "armhole" not in garment.places:
        raise CorrectionError(
            f"The {garment.owns} no body length; change the hem, the rise or the crotch depth."
        )
    sketch = Sketch(garment)
    for key in [*edges_at(garment, "front", "hem"), *edges_at(garment, "back", "hem")]:
        lower(sketch, key, ((0.0, 1.0),))
    return closed(sketch)


def lengthen_cut(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Cloth already cut gets longer or shorter at its hem only.

    Raises:
        CorrectionError: another line is asked for.
    """
    at = str(options.get("at", "waist"))
    if at != "hem":
        raise CorrectionError(
            f"Body length at the {at}: cloth already cut has no seam there to lengthen or "
            "shorten it; do it at the hem now, and at this line in the next draft."
        )
    return at_hem(garment)


def lengthen_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Add one cm to front and back alike, just above the line ``at`` (below the bust dart).

    Everything below goes down by it as it is: no width changes anywhere.

    Raises:
        CorrectionError: the dart or the line above leaves less than 2 cm to do it in.
    """
    at = str(options.get("at", "waist"))
    if at == "hem":
        return at_hem(garment)
    top, low = zone(garment, at)
    sketch = Sketch(garment)
    names = [*pieces_at_home(garment, "front"), *pieces_at_home(garment, "back")]
    sketch.field(names, ramp_field(DOWN, up=(top, low)))
    if at in ("bust", "waist"):
        sketch.effect("back_length", 1.0)
    return closed(sketch)


def zone(garment: Garment, at: str) -> tuple[float, float]:
    """Heights between which the cloth is added, from the top down, the same in front and back."""
    side = piece_with(garment, "front", "side", "waist")
    waist = float(corner(garment, side, "waist")[1])
    clear = _clear(garment)
    if at == "bust":
        top, low = clear, max(clear - SPREAD, waist)
    elif at == "waist":
        top, low = min(waist + SPREAD, clear), waist
    else:
        low = float(corner(garment, piece_with(garment, "front", "side", "hip"), "hip")[1])
        top = min(low + SPREAD, waist)
    if top - low < LEAST:
        raise CorrectionError(
            f"Body length at the {at}: between the bust dart and the waist there are "
            f"{clear - waist:.1f} cm; at least {LEAST:g} cm are needed to change the length "
            f"{ABOVE[at]}."
        )
    return top, low


def _clear(garment: Garment) -> float:
    """Height (cm) below which no dart, armhole or dart point lies, on front and back."""
    ys = []
    for home in ("front", "back"):
        ys.append(
            float(corner(garment, piece_with(garment, home, "side", "underarm"), "underarm")[1])
        )
        for name in pieces_at_home(garment, home):
            piece = garment.piece(name)
            for dart in piece.darts:
                ys += [float(p[1]) for p in chain(piece.mouth(dart.name), [np.asarray(dart.apex)])]
    return min(ys)


ENTRIES = (
    Entry(
        kind="body_length",
        title="Body longer or shorter",
        plus="longer",
        signs=(
            "folds round the back waist that run to the side seams: shorter above the waist",
            "waist, pockets or hem lie too high: longer above them",
        ),
        places=("body",),
        usual=(-2.0, 2.0),
        limit=(-5.0, 6.0),
        meanings=("level",),
        one_sided=False,
        options=(
            Option(
                "at",
                "just above the waist or the hip, below the bust dart (bust), or at the hem",
                LEVELS,
                "waist",
            ),
        ),
        sources=(
            "shorten the whole bodice, not a wedge, when the folds run to the side seams "
            "(sources 3.2, R)",
        ),
        effects="back length by the amount at bust and waist; the hem goes down with it",
        companions=("pockets and buttons below the line",),
        order=11,
        cut=lengthen_cut,
        next_draft=lengthen_next,
    ),
)
