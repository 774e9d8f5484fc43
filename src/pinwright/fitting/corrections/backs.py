"""Back: hollow at the waist, round over the blades."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.edges import (
    DOWN,
    between,
    corner,
    edges_at,
    move_apexes,
    move_edges,
    piece_with,
    rim,
    wedge,
)
from pinwright.fitting.places import closed, pieces_at_home
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment

UP = -DOWN
WEDGE = 8.0
"""A wedge is spread over this many cm, so that no curve gets a kink."""


def hollow_cut(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Take one cm of length from a cut back at its top: neck and shoulders drop by it.

    The armhole goes down with the shoulder end, fading to nothing at the underarm, or on a yoke at
    its seam, which stays; the side seam stays and the fold stays straight on the grain. There is
    no cut inside.
    """
    sketch = Sketch(garment)
    shoulder = piece_with(garment, "back", "shoulder", "shoulder_tip")
    tip = corner(garment, shoulder, "shoulder_tip")
    holes = [k for k in edges_at(garment, "back", "armhole") if k[0] == shoulder[0]]
    low = min(
        float(p[1])
        for piece, name in holes
        for e in [garment.piece(piece).edge(name)]
        for p in (e.first, e.last)
    )
    drop = ramp_field(DOWN)
    fade = between(0.0 * DOWN, DOWN, low, float(tip[1]))
    top = edges_at(garment, "back", "neck", "shoulder")
    move_edges(sketch, {**dict.fromkeys(top, drop), **dict.fromkeys(holes, fade)})
    for key in top:
        move_apexes(sketch, key, drop)
    sketch.effect("back_length", -1.0)
    return closed(sketch)


def hollow_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Fold a wedge out of the back at the waist: one cm at the centre, nothing at the side.

    Each line along the grain above the waist goes down as it is, so widths, the grain and the
    straight fold stay.
    """
    sketch = Sketch(garment)
    side = piece_with(garment, "back", "side", "waist")
    waist = float(corner(garment, side, "waist")[1])
    up = (waist, waist + WEDGE)
    sketch.field(pieces_at_home(garment, "back"), wedge(DOWN, 0.0, rim(garment, side), up, False))
    sketch.effect("back_length", -1.0)
    return closed(sketch)


def round_cut(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Let the cut back up by one cm at the neck, to nothing at the shoulder end.

    That is what the cloth kept at back neck and shoulder allows; armhole and sleeve stay.
    """
    sketch = Sketch(garment)
    shoulder = piece_with(garment, "back", "shoulder", "neck_point")
    neck = corner(garment, shoulder, "neck_point")
    tip = corner(garment, shoulder, "shoulder_tip")
    turn = ramp_field(UP, across=(float(tip[0]), float(neck[0])))
    rise = ramp_field(UP)
    move_edges(sketch, {(shoulder[0], "neck"): rise, shoulder: turn})
    move_apexes(sketch, shoulder, turn)
    _take_up(sketch, options)
    sketch.effect("back_length", 1.0)
    return closed(sketch)


def round_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Add one cm over the blades of a back not yet cut: full at the fold, nothing at the armhole.

    The line is the one through the blade line; what the shoulder gets longer goes into its dart,
    or into ease where there is none.
    """
    sketch = Sketch(garment)
    blade = _blade(garment)
    tip = corner(garment, piece_with(garment, "back", "shoulder", "shoulder_tip"), "shoulder_tip")
    half = min(float(tip[1]) - blade, WEDGE) / 2
    holes = [rim(garment, key) for key in edges_at(garment, "back", "armhole")]
    side = np.concatenate(holes)
    side = side[side[:, 1] >= blade - half]
    side = side[np.argsort(side[:, 1], kind="stable")]
    sketch.field(
        pieces_at_home(garment, "back"), wedge(UP, 0.0, side, (blade - half, blade + half), False)
    )
    _take_up(sketch, options)
    sketch.effect("back_length", 1.0)
    return closed(sketch)


def _blade(garment: Garment) -> float:
    """Height of the blade line, or of the yoke seam at the centre where that takes its place."""
    for name in pieces_at_home(garment, "back"):
        piece = garment.piece(name)
        for line in piece.lines:
            if line.name == "blade":
                return float(line.path.start[1])
        for e in piece.edges:
            if e.name == "yoke":
                return float(max((e.first, e.last), key=lambda p: -abs(float(p[0])))[1])
    raise CorrectionError(f"The {garment.owns} neither blade line nor yoke on its back.")


def _take_up(sketch: Sketch, options: Options) -> None:
    """Deepen the shoulder dart by what the back shoulder got longer, unless it is to be eased."""
    key = piece_with(sketch.garment, "back", "shoulder", "neck_point")
    darts = sketch.layout.edges[key].darts
    if darts and str(options.get("into", "dart")) == "dart":
        longer = sketch.stretch_rate(key)
        for dart in darts:
            sketch.deepen(key[0], dart, longer / len(darts))


ENTRIES = (
    Entry(
        kind="hollow_back",
        title="Hollow back",
        plus="takes length out at the centre back",
        signs=("cross folds at the back waist, under the collar, of a figure standing erect",),
        places=("back_waist",),
        usual=(0.5, 1.5),
        limit=(-2.0, 2.0),
        meanings=("level",),
        one_sided=False,
        sources=(
            "a tuck at the back waist, full at centre back, nothing at the side, 0.6-2.5; in a "
            "sewn back given to back neck and shoulder (sources 3.2, R)",
            "fold out 1.3-1.6 at the back waist (Hertzer p. 91, sources 3.2, R)",
        ),
        effects="back length shorter by the amount; side seam untouched; back armhole shorter on "
        "cut cloth, the sleeve follows",
        companions=("sleeve", "hip seams first, when tight hips are the cause"),
        order=12,
        cut=hollow_cut,
        next_draft=hollow_next,
    ),
    Entry(
        kind="round_back",
        title="Round back",
        plus="adds length over the blades",
        signs=("the coat swings off at the back waist, the collar stands away, stooping figure",),
        places=("upper_back",),
        usual=(0.5, 1.5),
        limit=(-2.0, 2.0),
        meanings=("level",),
        one_sided=False,
        options=(
            Option(
                "into",
                "where the longer back shoulder goes: its dart (where there is one) or ease",
                ("dart", "ease"),
                "dart",
            ),
        ),
        sources=("lengthen the back about 1.3 over the blade (Hertzer p. 88-89, sources 3.2, R)",),
        effects="back length longer by the amount",
        companions=("collar follows", "more than the reserve of neck and shoulder: next draft"),
        order=13,
        cut=round_cut,
        next_draft=round_next,
    ),
)
