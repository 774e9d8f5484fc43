"""A small invented garment for the cutting and sheet tests: a flared skirt with a sleeve."""

from __future__ import annotations

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Dart, Line, Mark, Mouth, Piece, edge
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch


def panel(name: str, title: str, width: float, cut: str = "fold") -> Piece:
    """A skirt panel: centre on x = 0, side seam flaring to the hem, a dart in the waist."""
    top = np.array([width - 3.0, 61.0])
    hem_side = np.array([width + 5.0, 1.5])
    hip = np.array([width, 40.0])
    below = Path.hermite(hem_side, (-0.13, 1.0), hip, (-0.05, 1.0))
    above = Path.hermite(hip, (-0.05, 1.0), top, (-0.28, 1.0))
    end_left, end_right = np.array([9.0, 60.15]), np.array([11.5, 60.3])
    left = Path.hermite(end_left, (-1.0, -0.05), (0.0, 60.0), (-1.0, 0.0))
    right = Path.hermite(top, (-1.0, -0.1), end_right, (-1.0, -0.05))
    hem = Path.hermite((0.0, 0.0), (1.0, 0.0), hem_side, (1.0, 0.13))
    return Piece(
        name,
        title,
        (
            edge("hem", "hem_centre", hem, "hem_side", allowance=4.0, least=1.5),
            edge(
                "side",
                "hem_side",
                below,
                "hip",
                above,
                "waist_side",
                allowance=1.0,
                reserve=2.0,
                least=0.6,
            ),
            edge("waist", "waist_side", right, Mouth(f"{name} dart"), left, "waist_centre"),
            edge(
                "centre",
                "waist_centre",
                Path.line((0.0, 60.0), (0.0, 40.0)),
                "hip",
                Path.line((0.0, 40.0), (0.0, 0.0)),
                "hem_centre",
            ),
        ),
        np.array([[5.0, 12.0], [5.0, 45.0]]),
        cut=cut,  # type: ignore[arg-type]
        darts=(Dart(f"{name} dart", "waist", np.array([10.6, 49.0]), f"{name}_waist_dart"),),
        lines=(
            Line("hip", "balance", Path.line((0.0, 40.0), (width, 40.0))),
            Line("pocket", "opening", Path.line((width - 5.0, 55.0), (width - 1.2, 50.0))),
        ),
        marks=(Mark("pocket end", "mark", np.array([width - 5.0, 55.0])),),
        fold="centre" if cut == "fold" else None,
    )


def sleeve() -> Piece:
    """A short sleeve whose cap is sewn into an armhole of its own making."""
    cap = Path.through(
        [(15.0, 20.0), (9.5, 25.0), (0.0, 33.0), (-9.5, 26.0), (-15.0, 20.0)],
        (-1.0, 0.1),
        (-1.0, -0.1),
    )
    sums = cap.cumulative
    first = cap.between(0.0, sums[1])
    second = cap.between(sums[1], sums[2])
    third = cap.between(sums[2], sums[3])
    fourth = cap.between(sums[3], sums[4])
    return Piece(
        "sleeve",
        "Sleeve",
        (
            edge(
                "hem", "hem_back", Path.line((-13.0, 0.0), (13.0, 0.0)), "hem_front", allowance=3.0
            ),
            edge(
                "under_front", "hem_front", Path.line((13.0, 0.0), (15.0, 20.0)), "underarm_front"
            ),
            edge(
                "cap",
                "underarm_front",
                first,
                "front_notch",
                second,
                "shoulder",
                third,
                "back_notch",
                fourth,
                "underarm_back",
            ),
            edge("under_back", "underarm_back", Path.line((-15.0, 20.0), (-13.0, 0.0)), "hem_back"),
        ),
        np.array([[0.0, 4.0], [0.0, 26.0]]),
        lines=(Line("bicep", "balance", Path.line((-15.0, 20.0), (15.0, 20.0))),),
    )


def body() -> Piece:
    """A block with two straight armhole edges, so that every distance is known by hand."""
    return Piece(
        "body",
        "Body",
        (
            edge(
                "front_hole",
                "underarm_f",
                Path.line((0.0, 0.0), (0.0, 7.0)),
                "front_notch",
                Path.line((0.0, 7.0), (0.0, 19.0)),
                "tip_f",
            ),
            edge("top", "tip_f", Path.line((0.0, 19.0), (-30.0, 19.0)), "tip_b"),
            edge(
                "back_hole",
                "tip_b",
                Path.line((-30.0, 19.0), (-30.0, 8.0)),
                "back_notch",
                Path.line((-30.0, 8.0), (-30.0, 0.0)),
                "underarm_b",
            ),
            edge("bottom", "underarm_b", Path.line((-30.0, 0.0), (0.0, 0.0)), "underarm_f"),
        ),
        np.array([[-15.0, 3.0], [-15.0, 16.0]]),
        cut="single",
    )


def skirt(cut: str = "fold") -> Garment:
    """Front and back panels joined at the side, sleeve and body joined at the armhole."""
    front, back = panel("front", "Front", 24.0, cut), panel("back", "Back", 25.0, cut)
    side = Seam(
        "side",
        "plain",
        (Ref("front", "side"),),
        (Ref("back", "side"),),
        (
            Station("hem", "hem_side", "hem_side"),
            Station("hip", "hip", "hip", notch=1),
            Station("waist", "waist_side", "waist_side"),
        ),
        (Stretch(), Stretch(0.0)),
        "waist",
        (Give("b", "start"),),
        title="side seam",
    )
    armhole = Seam(
        "armhole",
        "cap",
        (Ref("sleeve", "cap"),),
        (Ref("body", "front_hole"), Ref("body", "back_hole")),
        (
            Station("underarm_front", "underarm_front", "underarm_f"),
            Station("front_notch", "front_notch", "front_notch", notch=1),
            Station("shoulder", "shoulder", "tip_f", notch=1),
            Station("back_notch", "back_notch", "back_notch", notch=2),
            Station("underarm_back", "underarm_back", "underarm_b"),
        ),
        (Stretch(), Stretch(0.8, 0.0, 3.0), Stretch(0.6, 0.0, 3.0), Stretch()),
        "shoulder",
        (Give("a", "start"),),
    )
    return Garment(
        "skirt",
        "Skirt",
        (front, back, sleeve(), body()),
        (side, armhole),
        places={
            "side_seam": (PlaceEdge("front", "front", "side"), PlaceEdge("back", "back", "side")),
        },
    )
