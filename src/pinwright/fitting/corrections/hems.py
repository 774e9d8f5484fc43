"""Hems: longer or shorter, and level to the floor."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Option, Options
from pinwright.fitting.hem import Knots, lower
from pinwright.fitting.places import closed, place_edges
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey


def move_hem(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The hem one cm lower all round; each seam runs on along its own line."""
    sketch = Sketch(garment)
    for e in place_edges(garment, place):
        lower(sketch, (e.piece, e.edge), ((0.0, 1.0),))
    return closed(sketch)


def level_hem(garment: Garment, place: str, component: str, options: Options) -> Response:
    """The hem one cm lower at the front, the side or the back.

    On a jacket full there and nothing at the side (or, for the side, at the centres). On trousers
    the front and back are taken at the crease and run out at both seams; the side runs out at the
    inseam.
    """
    sketch = Sketch(garment)
    for e in place_edges(garment, place):
        key = (e.piece, e.edge)
        if component in ("side", e.part):
            lower(sketch, key, _profile(garment, key, component))
    return closed(sketch)


def _profile(garment: Garment, key: EdgeKey, component: str) -> Knots:
    e = garment.layout.edges[key]
    size = Sketch(garment).edge_length(key)
    side_last = e.end.endswith("side")
    up: Knots = ((0.0, 0.0), (size, 1.0))
    down: Knots = ((0.0, 1.0), (size, 0.0))
    if component == "side":
        return up if side_last else down
    if e.start.endswith("_in") or e.end.endswith("_in"):
        sketch = Sketch(garment)
        at = sketch.station_length(key, "crease") if "crease" in e.stations else size / 2.0
        return ((0.0, 0.0), (at, 1.0), (size, 0.0))
    return down if side_last else up


ENTRIES = (
    Entry(
        kind="hem",
        title="Hem longer or shorter",
        plus="lengthens (lets down)",
        signs=("breaks too much on the shoe, covers the hand: shorten", "too short: let down"),
        places=("trouser_hem", "jacket_hem", "sleeve_hem"),
        usual=(-3.0, 2.0),
        limit=(-5.0, 6.0),
        meanings=("level",),
        options=(Option("keep", "what stays level", ("front", "side", "back"), None),),
        sources=(
            "hem last, with the shoes worn (sources 3.1, M)",
            "trouser hem 1-1.5 above the floor (sources 3.5, M); hem reserve 4-6 (sources 3.5, M)",
            "a tapered leg shortened gets wider by its taper (sources 2.1, C)",
        ),
        effects="side, inseam and sleeve lengths by the amount; the round at the hem by the taper",
        order=80,
        companions=("turn-up and hem facing follow the fold",),
        belongs_to="style",
        cut=move_hem,
    ),
    Entry(
        kind="hem_level",
        title="Hem level to the floor",
        plus="lowers it there",
        signs=("hem lifts or drops at the front, side or back, seen against the floor",),
        places=("trouser_hem", "jacket_hem"),
        usual=(-1.0, 1.0),
        limit=(-1.7, 1.7),
        meanings=("level",),
        components=("front", "side", "back"),
        options=(Option("keep", "what stays level", ("front", "side", "back"), None),),
        sources=(
            "trouser back 0.5-1.5 lower than the front (sources 3.5, M)",
            "hem levelled last, after the back waist (sources 3.2, M)",
        ),
        effects="the hem there; the side seam's length where the side moves",
        order=81,
        cut=level_hem,
    ),
)
