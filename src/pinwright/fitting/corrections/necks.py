"""Neck: its width at the shoulder, and the neckline's depth in front and behind."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.edges import DOWN, corner, move_edges, piece_with, slide
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment


def widen_neck(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Move the neck point one cm out along the shoulder, in front and behind alike.

    Both shoulders lose one cm at the neck; the armhole stays. The neck follows over 10 cm.
    """
    sketch = Sketch(garment)
    for home in ("front", "back"):
        key = piece_with(garment, home, "shoulder", "neck_point")
        last = garment.layout.edges[key].end == "neck_point"
        slide(sketch, key, last, -1.0)
    return closed(sketch)


def lower_neckline(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Lower the neckline by one cm at the centre, nothing at the neck point.

    In front the top of the button stand goes down with it.
    """
    home = "front" if place == "front_neck" else "back"
    sketch = Sketch(garment)
    key = piece_with(garment, home, "neck", "neck_centre")
    centre, side = corner(garment, key, "neck_centre"), corner(garment, key, "neck_point")
    # full at the centre, nothing at the neck point, level at the centre so that the square
    # angle at the fold is kept
    keys = [key]
    keys += [(key[0], e.name) for e in garment.piece(key[0]).edges if e.name == "stand_top"]
    up = (float(side[1]), float(centre[1]))
    move_edges(sketch, dict.fromkeys(keys, ramp_field(DOWN, up=up, smooth_up=False)))
    index = sketch.layout.aux_index.get((key[0], "line", "centre_front"))
    if index is not None:
        pts = sketch.layout.aux[index]
        share = (pts[:, 1] - pts[:, 1].min()) / (pts[:, 1].max() - pts[:, 1].min())
        sketch.aux[index] += share[:, None] * DOWN
    if home == "back":
        sketch.effect("back_length", -1.0)
    return closed(sketch)


ENTRIES = (
    Entry(
        kind="neck_point",
        title="Neck wider or narrower at the shoulder",
        plus="wider: the neck point moves out along the shoulder",
        signs=(
            "the collar stands up against the neck or rides at the side: wider",
            "the neck gapes at the side: narrower",
        ),
        places=("neck_point",),
        usual=(-0.8, 0.8),
        limit=(-2.0, 3.0),
        meanings=("length",),
        sources=("collar raise 1 (sources 3.3, R)", "common practice"),
        effects="shoulder shorter by the amount at the neck; neckline and collar longer",
        companions=("collar and neck facing follow",),
        order=20,
        cut=widen_neck,
    ),
    Entry(
        kind="neckline",
        title="Neckline lower or higher",
        plus="lower at the centre",
        signs=(
            "presses on the throat, folds under the collar: lower in front",
            "creases under the collar behind, coat too low at the neck: lower behind",
        ),
        places=("front_neck", "back_neck"),
        usual=(-0.8, 1.0),
        limit=(-2.0, 4.0),
        meanings=("level",),
        one_sided=False,
        sources=(
            "sink the back neck a little more than the front (sources 3.2, R)",
            "common practice",
        ),
        effects="behind: back length shorter by the amount",
        companions=("collar, neck facing, front facing",),
        order=21,
        cut=lower_neckline,
    ),
)
