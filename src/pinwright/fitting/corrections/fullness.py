"""More room in a region: on cut cloth at the seams round it, on the next draft inside pieces."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.corrections.seams import let_cap_down, walk_alone
from pinwright.fitting.crotch import crotch, move_fork, outwards
from pinwright.fitting.openings import follow_seams
from pinwright.fitting.places import (
    closed,
    level,
    move_level,
    own_length_effects,
    pieces_at_home,
    place_edges,
    point,
)
from pinwright.fitting.response import Field, Response, Sketch
from pinwright.fitting.spread import Weights, bands, edge_field, spread, width_effects
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array

Levels = Sequence[tuple[str, float]]

VIA = ("side_seam", "seat_seam", "centre_back", "inseam", "sleeve_seam")
LIMBS = ("thigh", "upper_arm")
LEAST_FADE = 6.0
"""Least height (cm) over which spread cloth runs out above the waist, else it does at the hip."""


def edges_of(garment: Garment, place: str, side: str, options: Options) -> int:
    """How many edges share a change of girth in a region; for a limb, round one limb."""
    if place in LIMBS:
        return 2
    via_side = place == "over_seat" and options.get("via", "side_seam") == "side_seam"
    return (2 if via_side else 1) * (2 if side == "both" else 1)


def on_cloth(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more per edge at the seams of the region, on cloth already cut.

    over_seat: side seams at the hip, tapering to waist and knee (or the seat seam, by ``via``);
    thigh: the inseams at the fork, tapering to the knee (or the side seams; where the fork stays,
    the inseams at the thigh, nothing at fork and knee); upper_arm: the sleeve
    seam under the arm, tapering to the elbow, the cap let down; across_back and across_front: the
    armhole at its notch, tapering to shoulder and underarm; waist_back: the seat seam at the waist,
    tapering to the hip (on a jacket the back's side seam).
    """
    sketch = Sketch(garment)
    via = options.get("via")
    if place == "over_seat":
        _over_seat(sketch, str(via or "side_seam"))
    elif place == "thigh":
        _thigh(sketch, str(via or "inseam"), options.get("fork") == "stays")
    elif place == "upper_arm":
        _only(via, "sleeve_seam", place)
        _seams(sketch, "sleeve_seam", "both", (("underarm", 1.0), ("elbow", 0.0)))
        let_cap_down(sketch)
    elif place == "waist_back":
        _waist_back(sketch, via)
    else:
        _only(via, "armhole", place)
        _across(sketch, place.removeprefix("across_"))
    follow_seams(sketch)
    return closed(sketch)


def next_draft(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The same change of girth in a draft not yet cut, spread inside the pieces of the region.

    over_seat: the back alone, on both sides of its crease; thigh: front and back, on both sides of
    their creases; across_back and across_front: from centre to armhole, full at underarm and
    notch, to nothing at shoulder and waist. The others are as on cloth.
    """
    if place == "over_seat" and "seat_seam" in garment.places:
        return _spread_seat(garment)
    if place == "thigh" and options.get("fork") != "stays":
        return _spread_thigh(garment)
    if place in ("across_back", "across_front"):
        return _spread_across(garment, place.removeprefix("across_"))
    return on_cloth(garment, place, component, options)


def _only(via: object, allowed: str, place: str) -> None:
    if via is not None and via != allowed:
        raise CorrectionError(
            f"More room {place.replace('_', ' ')} cannot come from the "
            f"{str(via).replace('_', ' ')}; it comes from the {allowed.replace('_', ' ')}."
        )


def _seams(sketch: Sketch, place: str, part: str, levels: Levels) -> None:
    """Let out the edges of a place by values at named levels; levels an edge lacks are left out."""
    moved: list[EdgeKey] = []
    for e in place_edges(sketch.garment, place, part):
        key = (e.piece, e.edge)
        knots = []
        for name, value in levels:
            try:
                knots.append((level(sketch.garment, key, name), value))
            except CorrectionError:
                if value == 1.0:
                    raise
        move_level(sketch, key, tuple(sorted(knots)))
        moved.append(key)
    own_length_effects(sketch, moved)


def _over_seat(sketch: Sketch, via: str) -> None:
    if via == "side_seam":
        _seams(sketch, via, "both", (("waist", 0.0), ("hip", 1.0), ("knee", 0.0)))
    elif via in ("seat_seam", "centre_back") and "seat_seam" in sketch.garment.places:
        _seams(sketch, "seat_seam", "back", (("waist", 0.0), ("hip", 1.0), ("fork", 0.0)))
    else:
        _only(via, "side_seam", "over_seat")


def _thigh(sketch: Sketch, via: str, fork_stays: bool) -> None:
    if via == "side_seam":
        _seams(sketch, via, "both", (("waist", 0.0), ("crotch", 1.0), ("knee", 0.0)))
        return
    _only(via, "inseam", "thigh")
    if fork_stays:
        _seams(sketch, "inseam", "both", (("fork", 0.0), ("thigh", 1.0), ("knee", 0.0)))
        return
    for part in ("front", "back"):
        c = crotch(sketch.garment, part)
        move_fork(sketch, c, outwards(sketch.garment, c))


def _waist_back(sketch: Sketch, via: object) -> None:
    if "seat_seam" in sketch.garment.places and via in (None, "seat_seam", "centre_back"):
        _seams(sketch, "seat_seam", "back", (("waist", 1.0), ("hip", 0.0)))
        return
    _only(via, "side_seam", "waist_back")
    _seams(sketch, "side_seam", "back", (("underarm", 0.0), ("waist", 1.0), ("hip", 0.0)))


def _armhole(garment: Garment, part: str) -> tuple[list[EdgeKey], float, float, Array]:
    """Armhole edges of a part, heights of underarm and shoulder end, and its notch (2,)."""
    keys = [(e.piece, e.edge) for e in place_edges(garment, "armhole", part)]
    ctrl = np.concatenate([garment.layout.ctrl[garment.layout.span_ids(k)] for k in keys])
    name = f"{part}_notch"
    piece = next((p for p, e in keys if name in garment.layout.edges[p, e].stations), None)
    if piece is None:
        raise CorrectionError(f"The {garment.owns} no {part} notch in its armhole.")
    return keys, float(ctrl[..., 1].min()), float(ctrl[..., 1].max()), point(garment, piece, name)


def _across(sketch: Sketch, part: str) -> None:
    keys, low, high, notch = _armhole(sketch.garment, part)
    up = bands(((low, 0.0), (float(notch[1]), 1.0), (high, 0.0)))

    def move(p: Array) -> tuple[Array, Array]:
        return spread(p, np.ones(len(p)), np.zeros(len(p)), *up(p[:, 1]))

    moved = set(keys)
    for key in keys:
        edge_field(sketch, key, move)
    for key in keys:
        for last in (False, True):
            other, at_last = sketch.layout.neighbours[key, last]
            end = sketch.layout.run_end(key, last)
            v = sketch.ctrl[end.span, 3 if last else 0].copy()
            if other not in moved and float(np.abs(v).max()) > 1e-12:
                sketch.follow(other, at_last, v)


def _spread_across(garment: Garment, part: str) -> Response:
    _, low, high, notch = _armhole(garment, part)
    pieces = pieces_at_home(garment, part)
    # both ends of a bust dart's mouth must move alike, or its legs would differ
    for name in pieces:
        p = garment.piece(name)
        for d in p.darts:
            if d.place == "bust_dart":
                low = min(low, *(float(end[1]) for end in p.mouth(d.name)))
    foot = float(point(garment, part, "side:waist")[1])
    if low - foot < LEAST_FADE:
        foot = float(point(garment, part, "side:hip")[1])
    up = bands(((foot, 0.0), (low, 1.0), (float(notch[1]), 1.0), (high, 0.0)))
    reach = float(notch[0])

    def move(p: Array) -> tuple[Array, Array]:
        u = np.clip(p[:, 0] / reach, 0.0, 1.0)
        slope = np.where((u > 0) & (u < 1), 1.0 / reach, 0.0)
        return spread(p, u, slope, *up(p[:, 1]))

    return _spread_pieces(garment, pieces, move)


def _spread_pieces(garment: Garment, pieces: Sequence[str], move: Field) -> Response:
    sketch = Sketch(garment)
    sketch.field(pieces, move)
    width_effects(sketch, pieces, move)
    return closed(sketch)


def _legs(garment: Garment, part: str) -> dict[str, float]:
    """Levels and reaches of one half of a trouser block, cm from its crease."""
    c = crotch(garment, part)
    piece = c.line[0]
    rows = garment.layout.aux_index.get((piece, "line", "crease"))
    if rows is None:
        raise CorrectionError(f"The {part} has no crease to spread from.")
    return {
        "crease": float(garment.layout.aux[rows][0, 0]),
        "waist": float(point(garment, piece, "side:waist_side")[1]),
        "hip": float(point(garment, piece, "side:hip")[1]),
        "crotch": float(min(point(garment, piece, "side:crotch")[1], c.fork[1])),
        "knee": float(point(garment, piece, "side:knee")[1]),
        "side_hip": float(point(garment, piece, "side:hip")[0]),
        "side_crotch": float(point(garment, piece, "side:crotch")[0]),
        "in_hip": float(c.hip[0]),
        "fork": float(c.fork[0]),
        "top": max(float(c.top[1]), float(point(garment, piece, "side:waist_side")[1])),
    }


def _both_ways(
    crease: float, side: float, centre: float, outer: Weights, inner: Weights, most: float
) -> Field:
    """Cloth spread from a crease to both sides: nothing there, ``most`` at side and centre (x)."""

    def move(p: Array) -> tuple[Array, Array]:
        x = p[:, 0] - crease
        right = x >= 0
        reach = np.where(right, side - crease, crease - centre)
        raw = x / reach
        u = most * np.clip(raw, -1.0, 1.0)
        slope = np.where(np.abs(raw) <= 1, most / reach, 0.0)
        w, g = (np.where(right, a, b) for a, b in zip(outer(p[:, 1]), inner(p[:, 1]), strict=True))
        return spread(p, u, slope, w, g)

    return move


def _spread_seat(garment: Garment) -> Response:
    m = _legs(garment, "back")
    outer = bands(((m["knee"], 0.0), (m["hip"], 1.0), (m["waist"], 0.0)))
    inner = bands(((m["crotch"], 0.0), (m["hip"], 1.0), (m["top"], 0.0)))
    move = _both_ways(m["crease"], m["side_hip"], m["in_hip"], outer, inner, 1.0)
    sketch = Sketch(garment)
    pieces = pieces_at_home(garment, "back")
    sketch.field(pieces, move)
    for e in place_edges(garment, "side_seam", "back"):
        # the front does not move: the back is walked to its own length
        walk_alone(sketch, (e.piece, e.edge))
    width_effects(sketch, pieces, move)
    return closed(sketch)


def _spread_thigh(garment: Garment) -> Response:
    """Each piece spreads by one cm at the crotch level: half at the side, half at the fork."""
    total = Sketch(garment)
    for part in ("front", "back"):
        m = _legs(garment, part)
        outer = bands(((m["knee"], 0.0), (m["crotch"], 1.0), (m["waist"], 0.0)))
        inner = bands(((m["knee"], 0.0), (m["crotch"], 1.0), (m["hip"], 0.0)))
        move = _both_ways(m["crease"], m["side_crotch"], m["fork"], outer, inner, 0.5)
        pieces = pieces_at_home(garment, part)
        total.field(pieces, move)
        width_effects(total, pieces, move)
    for place in ("side_seam", "inseam"):
        own_length_effects(total, [(e.piece, e.edge) for e in place_edges(garment, place)])
    return closed(total)


ENTRIES = (
    Entry(
        kind="fullness",
        title="More or less room in a region",
        plus="gives more room",
        signs=(
            "tight horizontal folds over the seat, thigh, back, front or upper arm: more",
            "loose vertical folds there: less",
        ),
        places=("over_seat", "thigh", "across_back", "across_front", "upper_arm", "waist_back"),
        usual=(-0.8, 1.0),
        limit=(-2.5, 3.0),
        unit="cm per edge",
        meanings=("girth", "edge"),
        ask=True,
        options=(
            Option("via", "the seam it comes from", VIA, None),
            Option(
                "fork",
                "thigh: the fork moves with the inseam, or stays (one leg alone)",
                ("moves", "stays"),
                "moves",
            ),
        ),
        sources=(
            "add at the inseam, fading to the knee: 0.6-1.3 front, 1-2 back (sources 3.2, M)",
            "side seam 1-1.5 per edge before sharing (sources 3.3, M)",
            "d on each edge of both side seams adds 4 d (geometry)",
            "cap 1 lower for each 1.5-2 gained round the arm (sources 2.3, M)",
        ),
        effects="the girth of the region by the amount for each edge that moves",
        order=58,
        companions=("lining", "cloth at the edge that moves"),
        edges=edges_of,
        cut=on_cloth,
        next_draft=next_draft,
    ),
)
