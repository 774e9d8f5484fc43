"""Pockets: moved up or down, across, and their opening longer or shorter."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.openings import opening, slide
from pinwright.fitting.places import closed, pieces_at_home
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array

SIDE_OPENING = "pocket opening"
PATCH, PATCH_OPENING = "patch_pocket", "patch_pocket_opening"
CORNER = 2.5
"""A patch pocket's lower corners stay as they are when it is made wider, cm."""


def move(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The pocket one cm lower.

    A side pocket's opening slides down the side seam, bag and bearer with it; a patch pocket goes
    down as it is, straight on grain.
    """
    sketch = Sketch(garment)
    if place == "side_pocket":
        _side(sketch, top=1.0, length=0.0)
    else:
        _shift_patch(sketch, np.array([0.0, -1.0]))
    return closed(sketch)


def across(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The patch pocket one cm towards the side seam."""
    sketch = Sketch(garment)
    _shift_patch(sketch, np.array([1.0, 0.0]))
    return closed(sketch)


def lengthen(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The opening one cm longer: a side pocket's at its lower end, a patch pocket's at both."""
    sketch = Sketch(garment)
    if place == "side_pocket":
        _side(sketch, top=0.0, length=1.0)
    else:
        _widen_patch(sketch)
    return closed(sketch)


def _side(sketch: Sketch, top: float, length: float) -> None:
    """Lower the top of the side opening by ``top`` and lengthen it downwards by ``length``."""
    facts = sketch.garment.facts
    if "pocket_top" not in facts:
        raise CorrectionError(f"The {sketch.garment.owns} no side pocket.")
    sketch.facts["pocket_top"] = top
    if "pocket_top_above_hip" in facts:
        sketch.facts["pocket_top_above_hip"] = -top
    if length:
        sketch.facts["pocket_length"] = length
    for name in pieces_at_home(sketch.garment, "front"):
        for line in sketch.garment.piece(name).lines:
            if line.name == SIDE_OPENING:
                slide(sketch, name, line, top, top + length)


def _patch(sketch: Sketch) -> tuple[str, dict[tuple[str, str], Array]]:
    """The piece a patch pocket is drawn on, and its lines and marks as drafted.

    Raises:
        CorrectionError: there is none.
    """
    layout = sketch.layout
    for p in sketch.garment.pieces:
        lines = [("line", x.name) for x in p.lines if x.name in (PATCH, PATCH_OPENING)]
        if lines:
            marks = [("mark", m.name) for m in p.marks if m.name.startswith("pocket corner")]
            return p.name, {w: layout.aux[layout.aux_index[(p.name, *w)]] for w in lines + marks}
    raise CorrectionError(f"The {sketch.garment.owns} no patch pocket.")


def _shift_patch(sketch: Sketch, by: Array) -> None:
    piece, found = _patch(sketch)
    for what, name in found:
        sketch.move_inside(piece, what, name, by)


def _widen_patch(sketch: Sketch) -> None:
    """One cm wider at the opening, half on each side; the rounded corners keep their shape."""
    piece, found = _patch(sketch)
    line = opening(sketch, piece, PATCH_OPENING)
    x0, x1 = sorted((float(line.path.start[0]), float(line.path.end[0])))
    inset = min(CORNER, 0.4 * (x1 - x0))
    lo, hi = x0 + inset, x1 - inset
    for (what, name), pts in found.items():
        rows = sketch.layout.aux_index[piece, what, name]
        sketch.aux[rows, 0] += np.clip((pts[:, 0] - lo) / (hi - lo), 0.0, 1.0) - 0.5
    for fact in ("pocket_width", "patch_pocket_width"):
        if fact in sketch.garment.facts:
            sketch.facts[fact] = 1.0


ENTRIES = (
    Entry(
        kind="pocket_move",
        title="Pocket lower or higher",
        plus="lowers the opening",
        signs=("the hand has to be lifted into the pocket: lower", "it cannot be reached: raise"),
        places=("side_pocket", "patch_pocket"),
        usual=(-1.5, 2.0),
        limit=(-2.5, 8.0),
        meanings=("level",),
        sources=(
            "opening lowered 1.5: bag, bearer, flap, notches drop 1.5 (sources 3.3, M)",
            "1.5 left above a side opening for its bar tack (common practice)",
        ),
        effects="no girth or length",
        order=70,
        companions=("bag", "bearer", "stay"),
        belongs_to="style",
        cut=move,
    ),
    Entry(
        kind="pocket_across",
        title="Patch pocket towards side or centre",
        plus="moves it towards the side seam",
        signs=("pocket sits too near the front edge: towards the side",),
        places=("patch_pocket",),
        usual=(-1.5, 1.5),
        limit=(-4.0, 4.0),
        meanings=("length",),
        sources=("common practice",),
        effects="no girth or length",
        order=71,
        belongs_to="style",
        cut=across,
    ),
    Entry(
        kind="pocket_opening",
        title="Pocket opening longer or shorter",
        plus="lengthens it",
        signs=("the hand is caught: longer", "the pocket gapes: shorter"),
        places=("side_pocket", "patch_pocket"),
        usual=(-1.5, 2.0),
        limit=(-4.0, 5.0),
        meanings=("length",),
        sources=("common practice", "bag and bearer follow the opening (sources 3.3, M)"),
        effects="no girth or length",
        order=72,
        companions=("bag", "bearer", "stay"),
        belongs_to="style",
        cut=lengthen,
    ),
)
