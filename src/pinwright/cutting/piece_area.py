"""How much cloth the pieces of a garment take, and drafts of it for a body of few measures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.habits import times_cut
from pinwright.draft.style import Style
from pinwright.errors import PinwrightError
from pinwright.fitting.ledger import settle
from pinwright.measures import complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Layer, Piece

SCATTERED = (
    "back_waist_length",
    "arm_length",
    "inside_leg",
    "body_rise",
    "waist_to_hip",
    "thigh_girth",
    "knee_girth",
    "ankle_girth",
    "upper_arm_girth",
    "wrist_girth",
)
"""Measures that decide how much cloth is needed; drawn about their estimates when not taped."""

LEAST_DRAFTS = 5
"""Fewer scattered drafts than this tell no error."""


@dataclass(frozen=True, slots=True)
class Areas:
    """The cut cloth of one garment in one layer: its area, cm2, and its longest piece, cm.

    ``longest`` is measured along the grain.
    """

    area: float
    longest: float


def piece_area(piece: Piece) -> float:
    """All the cloth cut for a piece of a garment, cm2: allowances and reserve included.

    Raises:
        GeometryError: the net line crosses itself.
    """
    return float(shapely.Polygon(cut_line(piece)).area) * times_cut(piece)


def along_grain(piece: Piece) -> float:
    """How long the cut piece lies along the grain, cm; a piece on the fold is unfolded."""
    outline = cut_line(piece)
    grain = piece.grain[1] - piece.grain[0]
    unit = grain / float(np.hypot(grain[0], grain[1]))
    reach = outline @ unit
    if piece.cut == "fold" and piece.fold is not None:
        a, b = piece.edge(piece.fold).first, piece.edge(piece.fold).last
        axis = (b - a) / float(np.hypot(*(b - a)))
        other = 2.0 * np.outer((outline - a) @ axis, axis) - (outline - a) + a
        reach = np.concatenate([reach, other @ unit])
    return float(reach.max() - reach.min())


def areas(pieces: Iterable[Piece]) -> dict[Layer, Areas]:
    """Cloth by layer; the pieces of one half, as a garment holds them (a pair counts as two)."""
    found: dict[Layer, Areas] = {}
    for p in pieces:
        had = found.get(p.layer, Areas(0.0, 0.0))
        found[p.layer] = Areas(had.area + piece_area(p), max(had.longest, along_grain(p)))
    return found


def all_pieces(style: Style, garment: Garment) -> tuple[Piece, ...]:
    """The garment's pieces and those that follow from them by rule."""
    return (*garment.pieces, *style.derive({p.name: p for p in garment.pieces}, garment))


def drafted_areas(
    style: Style, choices: Mapping[str, object], measures: Mapping[str, object]
) -> dict[Layer, Areas]:
    """Draft a garment from these measures (cm; the rest estimated) and measure its cloth.

    Raises:
        PinwrightError: a measure is impossible or the style cannot be drafted.
    """
    body = complete(read_record(measures), (style.name,))
    chosen = style.choose(choices)
    garment = settle(style.finish(style.block(body, chosen), body, chosen))
    return areas(all_pieces(style, garment))


def scattered(measures: Mapping[str, float], rng: np.random.Generator) -> dict[str, float]:
    """The measures (cm) of somebody who has these, with lengths and limbs of her own.

    What was not taped is drawn from a normal distribution about its estimate, with that estimate's
    standard error: people of the same height and girths differ by so much.
    """
    body = complete(read_record(measures))
    drawn = {
        t: float(rng.normal(body[t], body.standard_error(t)))
        for t in SCATTERED
        if body.is_estimated(t)
    }
    return {**measures, **drawn}


def scattered_areas(
    style: Style,
    choices: Mapping[str, object],
    measures: Mapping[str, float],
    drafts: int,
    seed: int = 1,
) -> list[dict[Layer, Areas]]:
    """Cloth of so many drafts of a garment for people of these measures (cm).

    People whom the style refuses are left out.

    Raises:
        PinwrightError: fewer than five of them could be drafted; it is what the last refusal says.
    """
    rng = np.random.default_rng(seed)
    found: list[dict[Layer, Areas]] = []
    refusal: PinwrightError | None = None
    for _ in range(drafts):
        try:
            found.append(drafted_areas(style, choices, scattered(measures, rng)))
        except PinwrightError as error:
            refusal = error
    if refusal is not None and len(found) < LEAST_DRAFTS:
        raise refusal
    return found
