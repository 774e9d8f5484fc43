"""A body of straight lines with a dart that closes exactly, for hand computation.

The front's bust dart has its point at (10, 30), legs 15 long and the angle of a 7-24-25 triangle,
so every mouth point is a short decimal: lower end (25, 30), upper end (24.4, 34.2); the seam
beyond is the vertical side turned by the same angle. Sewn, the side is straight and 40 long.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Dart, Edge, Line, Mouth, Piece, edge
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch

HEM_C, HEM_S, WAIST = (0.0, 0.0), (25.0, 0.0), (25.0, 20.0)
LOWER, UPPER, POINT = (25.0, 30.0), (24.4, 34.2), (10.0, 30.0)
UNDER_FRONT = (24.4 - 2.8, 34.2 + 9.6)
"""Ten cm on from the upper mouth end along (-0.28, 0.96)."""
UNDER_BACK = (25.0, 40.0)
NOTCH, TIP, NECK, CENTRE = (20.0, 46.0), (20.0, 55.0), (10.0, 55.0), (0.0, 50.0)


def _top(under: tuple[float, float]) -> tuple[Edge, ...]:
    return (
        edge(
            "armhole",
            "underarm",
            Path.line(under, NOTCH),
            "front_notch" if under == UNDER_FRONT else "back_notch",
            Path.line(NOTCH, TIP),
            "shoulder_tip",
        ),
        edge("shoulder", "shoulder_tip", Path.line(TIP, NECK), "neck_point"),
        edge("neck", "neck_point", Path.line(NECK, CENTRE), "neck_centre"),
    )


@lru_cache(maxsize=1)
def toy() -> Garment:
    """Front with its dart, back on the fold; side and shoulder seams."""
    bottom = (
        edge(
            "centre",
            "neck_centre",
            Path.line(CENTRE, (0.0, 20.0)),
            "waist",
            Path.line((0.0, 20.0), HEM_C),
            "hem_centre",
        ),
        edge("hem", "hem_centre", Path.line(HEM_C, HEM_S), "hem_side"),
    )
    front = Piece(
        "front",
        "Front",
        (
            *bottom,
            edge(
                "side",
                "hem_side",
                Path.line(HEM_S, WAIST),
                "waist",
                Path.line(WAIST, LOWER),
                "bust",
                Mouth("bust dart"),
                Path.line(UPPER, UNDER_FRONT),
                "underarm",
            ),
            *_top(UNDER_FRONT),
        ),
        np.array([[8.0, 5.0], [8.0, 25.0]]),
        darts=(Dart("bust dart", "side", np.array(POINT), "bust_dart"),),
    )
    back = Piece(
        "back",
        "Back",
        (
            *bottom,
            edge(
                "side",
                "hem_side",
                Path.line(HEM_S, WAIST),
                "waist",
                Path.line(WAIST, UNDER_BACK),
                "underarm",
            ),
            *_top(UNDER_BACK),
        ),
        np.array([[8.0, 5.0], [8.0, 25.0]]),
        cut="fold",
        fold="centre",
        lines=(
            Line("waist", "balance", Path.line((0.0, 20.0), WAIST)),
            Line("blade", "balance", Path.line((0.0, 45.0), (20.0, 45.0))),
        ),
    )
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
            (Stretch(), Stretch()),
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
    both = ("front", "back")
    return Garment(
        "toy",
        "toy jacket",
        (front, back),
        seams,
        places={
            "side_seam": tuple(PlaceEdge(p, p, "side") for p in both),
            "bust_dart": (PlaceEdge("front", "front", "side"),),
            "armhole": tuple(PlaceEdge(p, p, "armhole") for p in both),
        },
    )
