"""Seams, run-throughs, finished measures and places of trousers. All in cm."""

from __future__ import annotations

from dataclasses import replace

from pinwright.draft.blocks.trouser_plan import TrouserPlan
from pinwright.draft.blocks.trouser_rules import INSEAM_STRETCH
from pinwright.measures.estimate import Body
from pinwright.pattern.garment import PlaceEdge
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import (
    Corner,
    Give,
    Junction,
    Ref,
    Seam,
    Sewn,
    Station,
    Stretch,
    Target,
    Width,
)

SEAM_LENGTH = 0.1
"""A seam between the halves must have the body's length within this, cm (design 8)."""

BAND_EASE = 0.5
"""What the waist may differ from its planned ease into the band, to a half front or back
(common practice)."""

JUNCTIONS = (
    Junction(
        "waist at the side", Corner("front", "waist", "side"), Corner("back", "waist", "side")
    ),
    Junction("hem at the side", Corner("front", "hem", "side"), Corner("back", "hem", "side")),
    Junction(
        "hem at the inseam", Corner("front", "hem", "inseam"), Corner("back", "hem", "inseam")
    ),
    Junction("fork", Corner("front", "centre", "inseam"), Corner("back", "seat", "inseam")),
    Junction("waist at the centre front", Corner("front", "waist", "centre"), angle=90.0),
    Junction("waist at the centre back", Corner("back", "waist", "seat"), angle=90.0),
)
"""Seams that must run on smoothly across others (sources 3.4)."""


def _both(part_edge: str) -> tuple[PlaceEdge, PlaceEdge]:
    return PlaceEdge("front", "front", part_edge), PlaceEdge("back", "back", part_edge)


PLACES = {
    "side_seam": _both("side"),
    "inseam": _both("inseam"),
    "trouser_hem": _both("hem"),
    "waist": _both("waist"),
    "front_crotch_seam": (PlaceEdge("front", "front", "centre"),),
    "seat_seam": (PlaceEdge("back", "back", "seat"),),
    "front_fork": (PlaceEdge("front", "front", "centre"), PlaceEdge("front", "front", "inseam")),
    "back_fork": (PlaceEdge("back", "back", "seat"), PlaceEdge("back", "back", "inseam")),
    "front_waist_dart": (PlaceEdge("front", "front", "waist"),),
    "back_waist_dart": (PlaceEdge("back", "back", "waist"),),
}
"""Places on the figure as this garment's edges."""


def _station(name: str, notch: int = 0) -> Station:
    return Station(name, name, name, notch)


def block_seams() -> tuple[Seam, ...]:
    """Side, inseam, centre front and seat.

    Which place holds and which gives: side holds at the hip, inseam at the knee, both centre
    seams at the fork; the back gives (trade practice).
    """
    side = Seam(
        "side",
        "plain",
        (Ref("front", "side"),),
        (Ref("back", "side"),),
        (
            Station("hem", "hem_side", "hem_side"),
            _station("knee", 1),
            _station("crotch"),
            _station("hip", 1),
            Station("waist", "waist_side", "waist_side"),
        ),
        (Stretch(),) * 4,
        "hip",
        (Give("b", "end"), Give("b", "start")),
        title="side seam",
    )
    inseam = Seam(
        "inseam",
        "plain",
        (Ref("front", "inseam"),),
        (Ref("back", "inseam"),),
        (
            Station("fork", "fork", "fork"),
            _station("thigh", 1),
            _station("knee", 1),
            Station("hem", "hem_in", "hem_in"),
        ),
        (Stretch(INSEAM_STRETCH, 0.0, 1.0), Stretch(), Stretch()),
        "knee",
        (Give("b", "start"), Give("b", "end")),
    )
    centre = _mirror(
        "front_centre",
        "front",
        "centre",
        (_station("hip", 1), _station("fly_end", 1)),
        "centre front",
    )
    seat = _mirror("seat", "back", "seat", (_station("hip", 2),), "seat seam")
    return side, inseam, centre, seat


def _mirror(name: str, piece: str, edge: str, inner: tuple[Station, ...], title: str) -> Seam:
    ref = (Ref(piece, edge),)
    stations = (Station("waist", "waist_centre", "waist_centre"), *inner, _station("fork"))
    return Seam(
        name,
        "centre",
        ref,
        ref,
        stations,
        (Stretch(),) * (len(stations) - 1),
        "fork",
        (Give("a", "start"),),
        mirror=True,
        title=title,
    )


def waist_seam(front_ease: float, back_ease: float) -> Seam:
    """Trousers to band, from centre front to centre back, with what is eased or gathered in.

    Args:
        front_ease, back_ease: length of the trouser top less the band, half front and half back.
    """
    return Seam(
        "waist",
        "band",
        (Ref("front", "waist", reverse=True), Ref("back", "waist")),
        (Ref("band", "seam"),),
        (
            Station("centre_front", "front.waist_centre", "band_front"),
            Station("side", "front.waist_side", "side", 1),
            Station("centre_back", "back.waist_centre", "band_centre"),
        ),
        tuple(
            Stretch(planned, max(0.0, planned - BAND_EASE), planned + BAND_EASE)
            for planned in (front_ease, back_ease)
        ),
        "centre_front",
        (Give("a", "start"),),
        title="waist seam",
    )


def waist_target(p: TrouserPlan) -> Target:
    """The sewn top of the trousers before easing or gathering into the band."""
    return Target(
        "waist",
        "worn_waist_girth",
        p.girth,
        p.ease.waist + 2.0 * (p.front_gather + p.back_gather),
        (Sewn("front", "waist"), Sewn("back", "waist")),
    )


def banded(
    found: tuple[Target, ...], eased: float, worn: float | None = None
) -> tuple[Target, ...]:
    """The targets once there is a band: the waist is the band's, the trouser top is its own.

    The top may take up or give the ease that its seam to the band allows on each half, front and
    back, so its tolerance is that; the band is what goes round the client. A waist is taped where
    the band is worn: a straight band stands there with the edge sewn to the trousers, a shaped one
    hangs below it and comes there with its upper edge.

    Args:
        found: the block's targets.
        eased: ease and gathers of the top into the band, half round, cm.
        worn: body girth at the worn waist where the band hangs below it (shaped), else None, cm.
    """
    out: list[Target] = []
    for t in found:
        if t.name != "waist":
            out.append(t)
            continue
        band = Sewn("band", "seam" if worn is None else "top")
        body = t.body if worn is None else worn
        out.append(replace(t, body=body, ease=t.ease - 2.0 * eased, parts=(band,)))
        out.append(replace(t, name="trouser_top", tolerance=4.0 * BAND_EASE + 0.2))
    return tuple(out)


def targets(body: Body, p: TrouserPlan, front: Piece, back: Piece) -> tuple[Target, ...]:
    """The finished measures. Ease that no rule fixes (thigh, knee, hem) is what the draft gives."""
    thigh = (Width("front", "fork", "side:crotch"), Width("back", "fork", "side:crotch"))
    knee = (Width("front", "inseam:knee", "side:knee"), Width("back", "inseam:knee", "side:knee"))
    hem = (Width("front", "hem_in", "hem_side"), Width("back", "hem_in", "hem_side"))
    length = p.front_crotch - body["front_crotch_length"]
    seat_length = p.back_crotch - body["back_crotch_length"]
    return (
        waist_target(p),
        Target(
            "hip",
            "hip_girth",
            body["hip_girth"],
            p.ease.hip,
            (Width("front", "centre:hip", "side:hip"), Width("back", "seat:hip", "side:hip")),
        ),
        _leg("thigh", "thigh_girth", body["thigh_girth"], thigh, _wide(thigh, front, back)),
        _leg("knee", "knee_girth", body["knee_girth"], knee, 2.0 * (p.front_knee + p.back_knee)),
        _leg("hem", "ankle_girth", body["ankle_girth"], hem, 2.0 * (p.front_hem + p.back_hem)),
        Target(
            "front_crotch",
            "front_crotch_length",
            body["front_crotch_length"],
            length,
            (Sewn("front", "centre"),),
            1.0,
            SEAM_LENGTH,
        ),
        Target(
            "back_crotch",
            "back_crotch_length",
            body["back_crotch_length"],
            seat_length,
            (Sewn("back", "seat"),),
            1.0,
            SEAM_LENGTH,
        ),
        _leg(
            "side_length",
            "outside_leg",
            body["outside_leg"],
            (Sewn("front", "side"),),
            front.edge("side").length,
        ),
        _leg(
            "inside_leg",
            "inside_leg",
            body["inside_leg"],
            (Sewn("front", "inseam"),),
            front.edge("inseam").length,
        ),
    )


def _leg(
    name: str, measure: str, body: float, parts: tuple[Width | Sewn, ...], drafted: float
) -> Target:
    return Target(name, measure, body, drafted - body, parts, 1.0)


def _wide(parts: tuple[Width, ...], front: Piece, back: Piece) -> float:
    pieces = {"front": front, "back": back}
    total = 0.0
    for w in parts:
        gap = pieces[w.piece].point(w.start) - pieces[w.piece].point(w.end)
        total += float((gap @ gap) ** 0.5)
    return total
