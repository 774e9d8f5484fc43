"""Plain trousers of straight lines and quarter circles, for hand computation (cm).

Levels: hem 0, knee 45, thigh 60, crotch 74, hip 86, waist 106. The side runs straight up at
x = 11 and the inseams straight down from the forks. The front centre stands at x = -11 and turns
into the fork at x = -17 by a quarter circle of radius 6 below y = 80; the back seat stands at
x = -13 and turns into the fork at x = -25 by a quarter circle of radius 12 from the hip. The
front waist is 22, the back 24 with a dart of intake 2. With ``taper`` both seams of both legs run
inwards by that much from knee to hem.
"""

from __future__ import annotations

from math import pi

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Array, Dart, Line, Mouth, Piece, edge
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

SIDE = 11.0
HEM, KNEE, THIGH, CROTCH, HIP, WAIST = 0.0, 45.0, 60.0, 74.0, 86.0, 106.0
CENTRE = {"front": -11.0, "back": -13.0}
RADIUS = {"front": 6.0, "back": 12.0}
FORK = {"front": -17.0, "back": -25.0}
FRONT_CROTCH = 20.0 + 6.0 + 3.0 * pi
BACK_CROTCH = 20.0 + 6.0 * pi


def at(x: float, y: float) -> Array:
    """A point, (2,)."""
    return np.array([x, y])


def _line(*p: tuple[float, float]) -> Path:
    return Path.line(at(*p[0]), at(*p[1]))


def _leg(name: str, taper: float, dart: bool) -> Piece:
    c, f, r = CENTRE[name], FORK[name], RADIUS[name]
    centre_edge = "centre" if name == "front" else "seat"
    turn = Path.arc(at(f, CROTCH + r), r, 0.0, -90.0)
    if name == "front":
        turn = _line((c, HIP), (c, CROTCH + r)) + turn
    waist = (
        edge(
            "waist",
            "waist_side",
            _line((SIDE, WAIST), (0.0, WAIST)),
            Mouth("back dart"),
            _line((-2.0, WAIST), (c, WAIST)),
            "waist_centre",
        )
        if dart
        else edge("waist", "waist_side", _line((SIDE, WAIST), (c, WAIST)), "waist_centre")
    )
    hem_in, hem_out = f + taper, SIDE - taper
    return Piece(
        name=name,
        title=f"Trouser {name}",
        edges=(
            edge(centre_edge, "waist_centre", _line((c, WAIST), (c, HIP)), "hip", turn, "fork"),
            edge(
                "inseam",
                "fork",
                _line((f, CROTCH), (f, THIGH)),
                "thigh",
                _line((f, THIGH), (f, KNEE)),
                "knee",
                _line((f, KNEE), (hem_in, HEM)),
                "hem_in",
            ),
            edge("hem", "hem_in", _line((hem_in, HEM), (hem_out, HEM)), "hem_side"),
            edge(
                "side",
                "hem_side",
                _line((hem_out, HEM), (SIDE, KNEE)),
                "knee",
                _line((SIDE, KNEE), (SIDE, CROTCH)),
                "crotch",
                _line((SIDE, CROTCH), (SIDE, HIP)),
                "hip",
                _line((SIDE, HIP), (SIDE, WAIST)),
                "waist_side",
            ),
            waist,
        ),
        darts=(Dart("back dart", "waist", at(-1.0, 94.0), "back_waist_dart"),) if dart else (),
        lines=(
            Line("crease", "crease", _line((0.0, HEM), (0.0, WAIST))),
            Line("hip", "balance", _line((c, HIP), (SIDE, HIP))),
            Line("crotch", "balance", _line((f, CROTCH), (SIDE, CROTCH))),
            Line("knee", "balance", _line((f, KNEE), (SIDE, KNEE))),
        ),
        grain=np.array([[0.0, 20.0], [0.0, 60.0]]),
    )


def _band(front: float, back: float) -> Piece:
    size = front + back
    return Piece(
        name="band",
        title="Waistband",
        edges=(
            edge(
                "seam",
                "band_front",
                _line((0.0, 0.0), (front, 0.0)),
                "side",
                _line((front, 0.0), (size, 0.0)),
                "band_centre",
            ),
            edge("centre", "band_centre", _line((size, 0.0), (size, 4.0)), "top_centre"),
            edge("top", "top_centre", _line((size, 4.0), (0.0, 4.0)), "top_front"),
            edge("front", "top_front", _line((0.0, 4.0), (0.0, 0.0)), "band_front"),
        ),
        grain=np.array([[5.0, 2.0], [20.0, 2.0]]),
    )


def _mirror(name: str, piece: str, edge_name: str) -> Seam:
    ref = (Ref(piece, edge_name),)
    return Seam(
        name,
        "centre",
        ref,
        ref,
        (
            Station("waist", "waist_centre", "waist_centre"),
            Station("hip", "hip", "hip"),
            Station("fork", "fork", "fork"),
        ),
        (Stretch(), Stretch()),
        "fork",
        (Give("a", "start", low=-6.0, high=6.0),),
        mirror=True,
    )


def _seams(band: bool) -> tuple[Seam, ...]:
    side = Seam(
        "side",
        "plain",
        (Ref("front", "side"),),
        (Ref("back", "side"),),
        (
            Station("hem", "hem_side", "hem_side"),
            Station("knee", "knee", "knee", 1),
            Station("crotch", "crotch", "crotch"),
            Station("hip", "hip", "hip", 1),
            Station("waist", "waist_side", "waist_side"),
        ),
        (Stretch(), Stretch(), Stretch(), Stretch()),
        "hip",
        (Give("b", "end"), Give("b", "start")),
    )
    inseam = Seam(
        "inseam",
        "plain",
        (Ref("front", "inseam"),),
        (Ref("back", "inseam"),),
        (
            Station("fork", "fork", "fork"),
            Station("thigh", "thigh", "thigh"),
            Station("knee", "knee", "knee", 1),
            Station("hem", "hem_in", "hem_in"),
        ),
        (Stretch(), Stretch(), Stretch()),
        "knee",
        (Give("b", "start"), Give("b", "end")),
    )
    found = [
        side,
        inseam,
        _mirror("front_centre", "front", "centre"),
        _mirror("seat", "back", "seat"),
    ]
    if band:
        found.append(
            Seam(
                "waist",
                "band",
                (Ref("front", "waist", True), Ref("back", "waist")),
                (Ref("band", "seam"),),
                (
                    Station("centre_front", "front.waist_centre", "band_front"),
                    Station("side", "front.waist_side", "side", 1),
                    Station("centre_back", "back.waist_centre", "band_centre"),
                ),
                (Stretch(), Stretch()),
                "centre_front",
                (Give("a", "start"),),
            )
        )
    return tuple(found)


def plain_trousers(band: bool = True, taper: float = 0.0, dart: bool = False) -> Garment:
    """Front, back and (with ``band``) a straight band of 22 + 22 (24 without the dart)."""
    pieces = [_leg("front", taper, False), _leg("back", taper, dart)]
    back_waist = 22.0 if dart else 24.0
    if band:
        pieces.append(_band(22.0, back_waist))
    fork = Junction(
        "crotch at the fork", Corner("front", "centre", "inseam"), Corner("back", "seat", "inseam")
    )
    junctions: tuple[Junction, ...] = (
        fork,
        Junction("hem at the side", Corner("front", "hem", "side"), Corner("back", "hem", "side")),
        Junction(
            "hem at the inseam", Corner("front", "hem", "inseam"), Corner("back", "hem", "inseam")
        ),
        Junction(
            "waist at the side", Corner("front", "waist", "side"), Corner("back", "waist", "side")
        ),
        Junction("waist at the centre front", Corner("front", "waist", "centre"), angle=90.0),
        Junction("waist at the seat", Corner("back", "waist", "seat"), angle=90.0),
    )
    if taper:
        junctions = (fork, *junctions[3:])

    def widths(start: str, end: str, back_start: str) -> tuple[Width, ...]:
        return (Width("front", start, end), Width("back", back_start, end))

    targets: tuple[Target, ...] = (
        Target(
            "trouser_top" if band else "waist",
            "waist_girth",
            2 * (22.0 + back_waist) - 2.0,
            2.0,
            (Sewn("front", "waist"), Sewn("back", "waist")),
        ),
        Target("hip", "hip_girth", 86.0, 6.0, widths("centre:hip", "side:hip", "seat:hip")),
        Target("thigh", "thigh_girth", 58.0, 6.0, widths("fork", "side:crotch", "fork"), 1.0),
        Target(
            "knee", "knee_girth", 40.0, 24.0, widths("inseam:knee", "side:knee", "inseam:knee"), 1.0
        ),
        Target("hem", "hem", 64.0 - 4 * taper, 0.0, widths("hem_in", "hem_side", "hem_in"), 1.0),
        Target(
            "front_crotch",
            "front_crotch_length",
            FRONT_CROTCH,
            0.0,
            (Sewn("front", "centre"),),
            1.0,
        ),
        Target("back_crotch", "back_crotch_length", BACK_CROTCH, 0.0, (Sewn("back", "seat"),), 1.0),
        Target(
            "side_length", "outside_leg", _slant(taper) + 61.0, 0.0, (Sewn("front", "side"),), 1.0
        ),
        Target(
            "inside_leg", "inside_leg", _slant(taper) + 29.0, 0.0, (Sewn("front", "inseam"),), 1.0
        ),
    )

    if band:
        around = (Sewn("band", "seam"),)
        size = 2 * (22.0 + back_waist)
        targets = (Target("waist", "waist_girth", size - 2.0, 2.0, around), *targets)

    def both(front: str, back: str) -> tuple[PlaceEdge, ...]:
        return (PlaceEdge("front", "front", front), PlaceEdge("back", "back", back))

    places = {
        "side_seam": both("side", "side"),
        "inseam": both("inseam", "inseam"),
        "front_crotch_seam": (PlaceEdge("front", "front", "centre"),),
        "seat_seam": (PlaceEdge("back", "back", "seat"),),
        "trouser_hem": both("hem", "hem"),
        "waist": both("waist", "waist"),
        "front_fork": (
            PlaceEdge("front", "front", "centre"),
            PlaceEdge("front", "front", "inseam"),
        ),
        "back_fork": (PlaceEdge("back", "back", "seat"), PlaceEdge("back", "back", "inseam")),
    }
    if dart:
        places["back_waist_dart"] = (PlaceEdge("back", "back", "waist"),)
    return Garment(
        "plain trousers",
        "plain trousers",
        tuple(pieces),
        _seams(band),
        junctions,
        targets,
        places=places,
        facts={"pocket_top": 3.0, "pocket_length": 16.0, "pocket_top_above_hip": 17.0},
    )


def _slant(taper: float) -> float:
    return float(np.hypot(taper, 45.0))
