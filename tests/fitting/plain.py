"""A plain garment of straight lines and quarter circles, for hand computation.

Front and back are 25 wide, the side seam 40 long with the waist 20 above the hem; the armhole is
a vertical 10 and a quarter circle of radius 5; the shoulder is level, 10 long.
"""

from __future__ import annotations

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Dart, Edge, Line, Mouth, Piece, edge
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

SIDE = 25.0
UNDERARM = 40.0
TIP = np.array([20.0, 55.0])
NECK = np.array([10.0, 55.0])


def _armhole() -> Edge:
    return edge(
        "armhole",
        "underarm",
        Path.arc(np.array([SIDE, UNDERARM + 5.0]), 5.0, -90.0, -90.0),
        "front_notch",
        Path.line(np.array([20.0, UNDERARM + 5.0]), TIP),
        "shoulder_tip",
    )


def _body(name: str, dart: bool) -> Piece:
    darts: tuple[Dart, ...]
    hem_c, hem_s = np.array([0.0, 0.0]), np.array([SIDE, 0.0])
    waist, under = np.array([SIDE, 20.0]), np.array([SIDE, UNDERARM])
    if dart:
        lower, upper = np.array([SIDE, 29.0]), np.array([SIDE, 31.0])
        side = edge(
            "side",
            "hem_side",
            Path.line(hem_s, waist),
            "waist",
            Path.line(waist, lower),
            Mouth("bust dart"),
            Path.line(upper, under),
            "underarm",
        )
        darts = (Dart("bust dart", "side", np.array([12.0, 30.0]), "bust_dart"),)
    else:
        side = edge(
            "side",
            "hem_side",
            Path.line(hem_s, waist),
            "waist",
            Path.line(waist, under),
            "underarm",
        )
        darts = ()
    return Piece(
        name=name,
        title=name.title(),
        cut="fold" if name == "back" else "pair",
        fold="centre" if name == "back" else None,
        edges=(
            edge("centre", "neck_centre", Path.line(np.array([0.0, 50.0]), hem_c), "hem_centre"),
            edge("hem", "hem_centre", Path.line(hem_c, hem_s), "hem_side"),
            side,
            _armhole(),
            edge("shoulder", "shoulder_tip", Path.line(TIP, NECK), "neck_point"),
            edge("neck", "neck_point", Path.line(NECK, np.array([0.0, 50.0])), "neck_centre"),
        ),
        darts=darts,
        lines=(Line("waist", "balance", Path.line(np.array([0.0, 20.0]), waist)),),
        grain=np.array([[8.0, 5.0], [8.0, 25.0]]),
    )


def plain(dart: bool = True) -> Garment:
    """Front (with or without a bust dart of intake 2 in a side seam 2 longer) and back."""
    front, back = _body("front", dart), _body("back", False)
    gap = -2.0 if dart else 0.0
    seams = (
        Seam(
            "side",
            "plain",
            (Ref("front", "side"),),
            (Ref("back", "side"),),
            (
                Station("hem", "hem_side", "hem_side"),
                Station("waist", "waist", "waist", 1),
                Station("underarm", "underarm", "underarm"),
            ),
            (Stretch(), Stretch(gap, gap, gap)),
            "waist",
            (Give("b", "end"), Give("b", "start")),
        ),
        Seam(
            "shoulder",
            "plain",
            (Ref("front", "shoulder", True),),
            (Ref("back", "shoulder", True),),
            (
                Station("neck", "neck_point", "neck_point"),
                Station("tip", "shoulder_tip", "shoulder_tip"),
            ),
            (Stretch(),),
            "neck",
            (Give("b", "end"),),
        ),
    )
    junctions = (
        Junction(
            "armhole at the underarm",
            Corner("front", "armhole", "side"),
            Corner("back", "armhole", "side"),
        ),
        Junction("hem at the side", Corner("front", "hem", "side"), Corner("back", "hem", "side")),
    )
    targets = (
        Target(
            "hem",
            "hip_girth",
            94.0,
            6.0,
            (Sewn("front", "hem"), Sewn("back", "hem")),
        ),
        Target(
            "bust",
            "bust_girth",
            94.0,
            6.0,
            (Width("front", "hem_centre", "hem_side"), Width("back", "hem_centre", "hem_side")),
        ),
    )
    return Garment(
        "plain",
        "plain garment",
        (front, back),
        seams,
        junctions,
        targets,
        places={
            "side_seam": (PlaceEdge("front", "front", "side"), PlaceEdge("back", "back", "side")),
            "bust_dart": (PlaceEdge("front", "front", "side"),),
            "shoulder_seam": (
                PlaceEdge("front", "front", "shoulder"),
                PlaceEdge("back", "back", "shoulder"),
            ),
        },
    )
