"""Fork extension: how far a front or back reaches between the legs."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.crotch import crotch, move_fork, outwards
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment


def extend(garment: Garment, place: str, component: str, options: Options) -> Response:
    """One cm more fork extension on the front or back.

    The fork goes out level by one, and down by what keeps the inseam's length; the crotch curve
    follows below the hip, the inseam fades to the knee. Everything else stays.
    """
    sketch = Sketch(garment)
    c = crotch(garment, "front" if place == "front_fork" else "back")
    move_fork(sketch, c, outwards(garment, c))
    return closed(sketch)


ENTRIES = (
    Entry(
        kind="fork_extension",
        title="Fork extension longer or shorter",
        plus="lengthens it",
        signs=(
            "front: whiskers at the front crotch, thigh caught at the fork: lengthen",
            "back: smile lines under the seat, tight seat seam, pleats both sides: lengthen",
            "loose cloth between the legs at the fork: shorten",
        ),
        places=("front_fork", "back_fork"),
        usual=(-1.0, 1.5),
        limit=(-3.0, 3.0),
        meanings=("length",),
        sources=(
            "front fork 0.3-1, back extension 0.6-1.9 (sources 3.2, M)",
            "let out fork, increase the back extension (sources 3.2, R)",
            "inseam walked and the fork dropped to its length (common practice)",
        ),
        effects="thigh and the crotch length of that half grow; hip, waist and inseam length stay",
        order=24,
        companions=("front and back inseam are walked again",),
        cut=extend,
    ),
)
