"""Trousers with a fly, a waistband and side pockets: loose, regular or slim."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pinwright.draft.blocks.trouser_back import back
from pinwright.draft.blocks.trouser_front import front
from pinwright.draft.blocks.trouser_pieces import back_piece, front_piece, hem
from pinwright.draft.blocks.trouser_plan import MEASURES, TrouserPlan, eased, girth_at, number, plan
from pinwright.draft.blocks.trouser_seams import (
    JUNCTIONS,
    PLACES,
    banded,
    block_seams,
    targets,
    waist_seam,
)
from pinwright.draft.features.side_pocket import OPENING, opening
from pinwright.draft.features.waistband import waistband
from pinwright.draft.style import Choice, Choices, Style
from pinwright.errors import DraftError, GeometryError
from pinwright.makingup.band_interfacing import band_interfacing, band_underlap
from pinwright.makingup.fly import fly_facing, fly_length, fly_shield
from pinwright.makingup.pocket import pocket_bag, pocket_bearer
from pinwright.makingup.trouser_lining import trouser_front_lining
from pinwright.measures.estimate import Body
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

CHOICES = (
    Choice("fit", "regular", "ease round hip, waist and leg", ("slim", "regular", "loose")),
    Choice("waist", "darts", "how the waist is taken in", ("darts", "eased")),
    Choice(
        "gather_front", 0.0, "cloth gathered into the whole front band", low=0, high=20, unit="cm"
    ),
    Choice(
        "gather_back", 0.0, "cloth gathered into the whole back band", low=0, high=24, unit="cm"
    ),
    Choice(
        "band", "straight", "band above the waist, or shaped from it down", ("straight", "shaped")
    ),
    Choice("band_depth", 4.0, "depth of the finished band", low=2.0, high=8.0, unit="cm"),
    Choice("band_centre_back", "seam", "centre back of the band", ("seam", "fold")),
    Choice("pocket", "side", "pockets", ("side", "none")),
    Choice("pocket_top", 4.0, "opening below the waist seam", low=1.5, high=10.0, unit="cm"),
    Choice("pocket_length", 15.5, "length of the opening", low=12.0, high=20.0, unit="cm"),
    Choice("hem", "plain", "hem turned up inside, or a turn-up outside", ("plain", "turn-up")),
    Choice("turn_up", 4.0, "depth of the turn-up", low=2.0, high=8.0, unit="cm"),
    Choice(
        "hem_round", 0.0, "hem round the leg; 0 for the rule of the fit", low=0, high=90, unit="cm"
    ),
    Choice("above_floor", 1.5, "hem above the floor, heels worn", low=0.0, high=40.0, unit="cm"),
    Choice("lining", "none", "fronts lined, or not", ("none", "front to knee")),
)


def block(body: Body, choices: Choices) -> Garment:
    """Front and back with their seams, as drafted from the measures.

    Raises:
        DraftError: no trousers can be drafted from these measures and choices.
    """
    chosen = STYLE.choose(choices)
    p = plan(body, chosen)
    darts = chosen["waist"] == "darts"
    turned = hem(str(chosen["hem"]), number(chosen, "turn_up"))
    try:
        front_half = front(p, darts)
        back_half = back(p, front_half, darts)
        pieces = (front_piece(front_half, p, turned), back_piece(back_half, p, turned))
    except GeometryError as error:
        raise DraftError(
            f"trousers: no clean curves can be drawn from these measures ({error})"
        ) from error
    return Garment(
        style="trousers",
        title="trousers",
        pieces=pieces,
        seams=block_seams(),
        junctions=JUNCTIONS,
        targets=targets(body, p, pieces[0], pieces[1]),
        places=PLACES,
        facts={
            **_facts(p, chosen, pieces[0]),
            "body_rise": body["body_rise"],
            "waist_level": p.hip_y + body["waist_to_hip"],
        },
        choices=chosen,
        estimated=tuple(m for m in MEASURES if m in body.estimated),
    )


def finish(garment: Garment, body: Body, choices: Choices) -> Garment:
    """Mark the pockets and set the band to the waist that is there.

    Raises:
        DraftError: a pocket or band these pieces cannot have.
    """
    chosen = STYLE.choose(choices)
    facts = dict(garment.facts)
    piece = garment.piece("front")
    if chosen["pocket"] == "side":
        line = opening(piece, facts["pocket_top_above_hip"], facts["pocket_length"])
        kept = tuple(x for x in piece.lines if x.name != OPENING)
        piece = replace(piece, lines=(*kept, line))
    other = garment.piece("back")
    front_ease, back_ease = eased(chosen, "front"), eased(chosen, "back")
    front_band = piece.edge("waist").length - front_ease
    back_band = other.edge("waist").length - back_ease
    top = worn = None
    depth = number(chosen, "band_depth")
    if chosen["band"] == "shaped":
        seam_depth = facts["waist_depth"]
        worn = girth_at(body, seam_depth - depth)
        change = girth_at(body, seam_depth) - worn
        top = front_band + back_band - change / 2.0
    band = waistband(front_band, back_band, depth, top, str(chosen["band_centre_back"]))
    return replace(
        garment,
        pieces=(piece, other, band),
        seams=(*garment.seams, waist_seam(front_ease, back_ease)),
        targets=banded(garment.targets, front_ease + back_ease, worn),
    )


def derive(pieces: Mapping[str, Piece], garment: Garment) -> tuple[Piece, ...]:
    """Pocketing, fly, interfacing and lining, from the pieces as they are now."""
    piece, other, band = pieces["front"], pieces["back"], pieces["band"]
    found: list[Piece] = []
    if garment.choices.get("pocket") == "side":
        found += [pocket_bag(piece), pocket_bearer(other, piece)]
    found += [fly_facing(piece), fly_shield(piece), band_interfacing(band), band_underlap(band)]
    if garment.choices.get("lining") == "front to knee":
        found.append(trouser_front_lining(piece))
    return tuple(found)


def _facts(p: TrouserPlan, chosen: Choices, piece: Piece) -> dict[str, float]:
    """Numbers of the draft that corrections and sheets use, cm."""
    top = number(chosen, "pocket_top")
    facts = {
        "waist_depth": p.depth,
        "band_depth": number(chosen, "band_depth"),
        "fly_length": fly_length(piece),
        "hem_above_floor": number(chosen, "above_floor"),
        "turn_up": number(chosen, "turn_up") if chosen["hem"] == "turn-up" else 0.0,
        "hip_level": p.hip_y,
        "crotch_level": p.crotch_y,
        "knee_level": p.knee_y,
        "hem_level": p.hem_y,
    }
    if chosen["pocket"] == "side":
        side = piece.edge("side")
        facts |= {
            "pocket_top": top,
            "pocket_length": number(chosen, "pocket_length"),
            "pocket_top_above_hip": side.length - side.distance("hip") - top,
        }
    return facts


STYLE = Style(
    name="trousers",
    title="trousers",
    summary="Trousers with crease, fly, band and side pockets, cut to the client's crotch lengths.",
    choices=CHOICES,
    measures=MEASURES,
    block=block,
    finish=finish,
    derive=derive,
)
