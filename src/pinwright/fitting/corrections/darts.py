"""Darts: intake, length, direction."""

from __future__ import annotations

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.edges import DOWN, rim, wedge, widths_moved
from pinwright.fitting.mouths import mouth, slide_mouth
from pinwright.fitting.places import closed, place_edges
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array

LEAST_SLANT = 45.0
"""Below this angle (degrees) a leg equalised along itself would carry the seam too far."""


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
            f"The {garment.owns} no {place.replace('_', ' ')}; the cloth there lies in a "
            "seam or is eased."
        )
    return found


def deepen(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more intake in the cut cloth, the outline untouched but for the mouth.

    The mouth's ends move along their own edges, the legs stay equal, the point stays.
    Several darts at the place share the cm equally.
    """
    sketch = Sketch(garment)
    found = darts_at(garment, place)
    mouths: dict[tuple[int, int], Array] = {}
    for piece, dart in found:
        share = 1.0 / len(found)
        sketch.deepen(piece, dart, share)
        m = mouth(garment, piece, dart)
        if m.slant < LEAST_SLANT:
            raise CorrectionError(
                f"The {dart} meets the {m.edge.replace('_', ' ')} at {m.slant:.0f} degrees; cut "
                f"cloth lets a dart be deepened only where it meets its edge at {LEAST_SLANT:g} "
                "degrees or more."
            )
        x, shift = m.change(share, 0.0)
        mouths[m.before, 3] = -x * m.ta - shift * m.ua
        mouths[m.after, 0] = x * m.tb + shift * m.ub
    if place.endswith("waist_dart"):
        for target in garment.targets:
            if target.name == "waist":
                sketch.effect("waist", -target.factor)
    else:
        widths_moved(sketch, ("bust",), mouths)
    return closed(sketch)


def deepen_bust_next(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more bust dart in a draft not yet cut: the edge below the dart drops for it.

    The drafted edge gets one cm longer across the mouth and sewn it stays as it was. Each line
    along the grain drops as it is, full at the side and nothing at the front edge, so widths and
    the grain there stay (a wedge opened from the side through the bust point). The point stays;
    the mouth's ends are shifted along their legs so that these stay equal.
    """
    sketch = Sketch(garment)
    found = darts_at(garment, place)
    for piece, dart in found:
        m = mouth(garment, piece, dart)
        layout = garment.layout
        low, high = sorted((m.a, m.b), key=lambda q: float(q[1]))
        left = float(layout.ctrl[layout.piece_spans[piece], :, 0].min())
        one = Sketch(garment)
        one.field(
            (piece,),
            wedge(
                DOWN,
                left,
                _side_below(garment, piece, float(low[1])),
                up=(float(high[1]), float(low[1])),
                full_at_side=True,
                smooth_up=False,
            ),
        )
        one.aux[layout.aux_index[piece, "apex", dart]] = 0.0
        va, vb = one.ctrl[m.before, 3], one.ctrl[m.after, 0]
        x, shift = m.change(one.stretch_rate((piece, m.edge)), float(va @ m.ua - vb @ m.ub))
        slide_mouth(one, m, -x, -x, shift)
        wider = one.ctrl[m.after, 0] - one.ctrl[m.before, 3]
        gain = float(wider @ (m.b - m.a)) / float(np.hypot(*(m.b - m.a)))
        sketch.ctrl += one.ctrl / (gain * len(found))
        sketch.aux += one.aux / (gain * len(found))
    widths_moved(sketch, ("bust", "waist", "hip"))
    return closed(sketch)


def _side_below(garment: Garment, piece: str, height: float) -> Array:
    """The side edge up to the mouth, sorted by height."""
    key = (piece, "side")
    if key not in garment.layout.runs:
        raise CorrectionError(f"The {piece} has no side edge for the wedge of its bust dart.")
    side = rim(garment, key)
    below = side[side[:, 1] <= height + 1e-9]
    return below if len(below) > 1 else side


def turn(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Move the mouth of a bust dart one cm up the side seam, its point and its angle kept.

    Both ends of the mouth go up their own stretch of the seam by the cm. Where the seam runs
    through when the dart is closed this turns the dart about its point: the legs stay equal and
    the angle stays, the mouth narrows or widens with its distance from the point (sources 2.3).
    Cut cloth allows it, since it lies within the dart's own cloth and the allowance there.

    Raises:
        CorrectionError: the dart does not open in the side seam.
    """
    sketch = Sketch(garment)
    for piece, dart in darts_at(garment, place):
        m = mouth(garment, piece, dart)
        if m.edge != "side":
            raise CorrectionError(
                f"The bust dart opens in the {m.edge.replace('_', ' ')} here; only a dart in the "
                "side seam can be moved up or down it."
            )
        up = 1.0 if m.b[1] > m.a[1] else -1.0
        slide_mouth(sketch, m, up, -up, 0.0)
    widths_moved(sketch, ("bust",))
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
        limit=(-2.0, 1.6),
        meanings=("intake", "fold"),
        options=(Option("keep", "what stays level", ("waist",), "waist"),),
        sources=("dart intake by cup and bust (sources 2.3, R)", "common practice"),
        effects="sewn front side seam shorter by the amount on cut cloth, as it was on the next; "
        "the bust, measured at the mouth, by what the mouth moves across",
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
        sources=("point 2-2.5 short of the bust point (sources 3.4, R)",),
        effects="no girth or length",
        order=32,
        cut=lengthen,
    ),
    Entry(
        kind="bust_dart_direction",
        title="Bust dart turned up or down",
        plus="moves its mouth up the side seam",
        signs=("the dart points past the bust point, lines beside it: turn it",),
        places=("bust_dart",),
        usual=(-1.5, 1.5),
        limit=(-2.0, 1.6),
        unit="cm along the side seam",
        meanings=("length",),
        sources=("intake scales with the distance to the point, the angle stays (sources 2.3, C)",),
        effects="no length; the girth measured at the mouth by what the seam leans there",
        order=29,
        cut=turn,
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
