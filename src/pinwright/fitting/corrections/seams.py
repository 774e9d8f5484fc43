"""Taking in and letting out a seam, by a profile along it."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.places import closed, girth_effects, knots, place_edges
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment

LEVELS = ("underarm", "waist", "hip", "crotch", "thigh", "knee", "hem", "fork", "elbow")


def let_out(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Move each edge of a seam outward by one cm along its drafted normals.

    The profile is constant or tapers between two levels; see :func:`places.knots`. Profiles are
    taken along the normals of the drafted edge, so they add and invert.
    """
    part = str(options.get("part", "both"))
    shape = str(options.get("shape", "constant"))
    start, stop = options.get("from"), options.get("to")
    sketch = Sketch(garment)
    moved = []
    for e in place_edges(garment, place, part):
        key = (e.piece, e.edge)
        ks = knots(
            garment,
            key,
            shape,
            None if start is None else str(start),
            None if stop is None else str(stop),
        )
        sketch.profile(key, ks)
        moved.append((key, ks))
    girth_effects(sketch, moved)
    return closed(sketch)


ENTRIES = (
    Entry(
        kind="let_out",
        title="Seam let out or taken in",
        plus="lets out (minus takes in)",
        signs=(
            "tight horizontal folds: too little ease at that level, let out",
            "loose vertical folds: too much ease at that level, take in",
        ),
        places=(
            "side_seam",
            "centre_back",
            "inseam",
            "seat_seam",
            "front_crotch_seam",
            "shoulder_seam",
            "sleeve_seam",
        ),
        usual=(-1.5, 1.5),
        limit=(-4.0, 4.0),
        unit="cm per edge",
        meanings=("edge", "fold", "removed", "girth"),
        ask=True,
        options=(
            Option("part", "which piece moves", ("front", "back", "both"), "both"),
            Option(
                "shape",
                "constant, or full at `from` and nothing at `to`",
                ("constant", "taper"),
                "constant",
            ),
            Option("from", "the level where it starts (full amount)", LEVELS),
            Option("to", "the level where it ends", LEVELS),
        ),
        sources=(
            "letting out d on each edge of both side seams adds 4d to the girth (geometry)",
            "1-1.5 per edge before sharing with other seams (common practice, from memory)",
        ),
        effects="each girth its edges reach: the profile there, per edge, on both halves",
        order=60,
        companions=("lining", "band", "crease re-centred when one edge only moves"),
        cut=let_out,
    ),
)
