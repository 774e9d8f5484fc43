"""Darts: intake, length, direction."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.places import closed, place_edges
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment


def darts_at(garment: Garment, place: str) -> list[tuple[str, str]]:
    """(piece, dart) of the darts at a place.

    Raises:
        CorrectionError: the garment has no dart there.
    """
    place_edges(garment, place)
    found = [
        (e.piece, d.name)
        for e in garment.places[place]
        for d in garment.piece(e.piece).darts
        if d.edge == e.edge and d.place == place
    ]
    if not found:
        raise CorrectionError(
            f"The {garment.title} has no {place.replace('_', ' ')}; its cloth there lies in a "
            "seam or is eased."
        )
    return found


def deepen(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more intake in the cut cloth, the outline untouched.

    The mouth's ends move along their own edges, the legs stay equal, the point stays.
    Several darts at the place share the cm equally.
    """
    sketch = Sketch(garment)
    found = darts_at(garment, place)
    for piece, dart in found:
        sketch.deepen(piece, dart, 1.0 / len(found))
    if place.endswith("waist_dart"):
        for target in garment.targets:
            if target.name == "waist":
                sketch.effect("waist", -target.factor)
    return closed(sketch)


def deepen_bust_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more bust dart in a draft not yet cut: the side below the dart drops by it.

    The drafted side seam gets one cm longer and sewn it stays as it was. Each line along the grain
    drops as it is, full at the side seam and nothing at the centre front, so widths and the grain
    at the front edge stay (a wedge opened from the side seam through the bust point).
    """
    sketch = Sketch(garment)
    for piece, dart in darts_at(garment, place):
        p = garment.piece(piece)
        first, second = p.mouth(dart)
        lower, upper = sorted((first, second), key=lambda m: float(m[1]))
        xs = garment.layout.ctrl[garment.layout.piece_spans[piece]][..., 0]
        left, right = float(xs.min()), float(max(first[0], second[0]))
        sketch.field(
            (piece,),
            ramp_field(
                np.array([0.0, -1.0]),
                across=(left, right),
                up=(float(upper[1]), float(lower[1])),
                smooth_up=False,
            ),
        )
    return closed(sketch)


def lengthen(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Move a dart's point one cm on along its axis."""
    sketch = Sketch(garment)
    for piece, dart in darts_at(garment, place):
        p = garment.piece(piece)
        a, b = p.mouth(dart)
        axis = p.dart(dart).apex - (a + b) / 2
        sketch.move_inside(piece, "apex", dart, axis / float(np.hypot(*axis)))
    return closed(sketch)


_SIGNS_BUST = (
    "lines from the side towards the bust, hem swings up in front: the dart is too shallow",
    "loose cloth under the dart's point: the dart is too deep",
)

ENTRIES = (
    Entry(
        kind="bust_dart_intake",
        title="Bust dart deeper or shallower",
        plus="deepens it",
        signs=_SIGNS_BUST,
        places=("bust_dart",),
        usual=(-1.0, 1.5),
        limit=(-3.0, 4.0),
        meanings=("intake", "fold"),
        options=(Option("keep", "what stays level", ("waist",), "waist"),),
        sources=("dart intake by cup and bust (facts 2.3, R)", "common practice"),
        effects="sewn front side seam shorter by the amount on cut cloth; nothing sewn on the next",
        order=30,
        companions=("underarm of the back, armhole and sleeve follow",),
        cut=deepen,
        next_draft=deepen_bust_next,
    ),
    Entry(
        kind="bust_dart_length",
        title="Bust dart longer or shorter",
        plus="brings its point nearer the bust point",
        signs=("a pucker beyond the point: too long", "fullness short of the bust: too short"),
        places=("bust_dart",),
        usual=(-2.0, 2.0),
        limit=(-6.0, 4.0),
        meanings=("length",),
        sources=("point 2-2.5 short of the bust point (facts 3.4, R)",),
        effects="no girth or length",
        order=32,
        cut=lengthen,
    ),
    Entry(
        kind="shoulder_dart_intake",
        title="Shoulder dart deeper or shallower",
        plus="deepens it",
        signs=("cloth stands off above the shoulder blade: deepen",),
        places=("shoulder_dart",),
        usual=(-0.5, 0.8),
        limit=(-1.5, 2.0),
        meanings=("intake", "fold"),
        sources=("intake B/32 - 0.8 (Bunka block, from memory)", "common practice"),
        effects="back shoulder shorter by the amount, given at the armhole end",
        order=31,
        companions=("armhole and sleeve follow",),
        cut=deepen,
    ),
    Entry(
        kind="waist_dart_intake",
        title="Waist dart deeper or shallower",
        plus="deepens it",
        signs=("loose waist with smooth hips: deepen", "drag lines from the waist: let out"),
        places=("front_waist_dart", "back_waist_dart"),
        usual=(-1.0, 1.0),
        limit=(-3.0, 3.0),
        meanings=("intake", "fold"),
        sources=(
            "deepening one dart by 1 takes 1 from that half (geometry)",
            "front <= 2 each, back <= 3 each (common practice, from memory)",
        ),
        effects="waist girth less by the amount on each half",
        order=33,
        companions=("band",),
        cut=deepen,
    ),
)
