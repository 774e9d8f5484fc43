"""Balance: the back's length against the front's, at the side seam."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.edges import DOWN, corner, edges_at, move_edges, move_lines, piece_with
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch, ramp_field
from pinwright.pattern.garment import Garment


def pass_up(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Pass the back up one cm against the front.

    What meets the front's side seam lies one cm lower on the back: underarm, side with its
    marks, hem and balance lines are drawn one cm down the back; neck and shoulders stay, so the
    back gets one cm longer from the neck to any level of the front. The lower armhole is
    lengthened below the height of the blade; the fold stays straight.
    """
    sketch = Sketch(garment)
    hole = piece_with(garment, "back", "armhole", "underarm")
    under = float(corner(garment, hole, "underarm")[1])
    e = garment.layout.edges[hole]
    stop = float(corner(garment, hole, "back_notch" if "back_notch" in e.stations else e.end)[1])
    fade = ramp_field(DOWN, up=(stop, under), smooth_up=False)
    moves = dict.fromkeys(edges_at(garment, "back", "side", "hem"), ramp_field(DOWN))
    move_edges(sketch, {**moves, hole: fade, (hole[0], "centre"): fade})
    move_lines(sketch, hole[0], fade)
    sketch.effect("back_length", 1.0)
    return closed(sketch)


ENTRIES = (
    Entry(
        kind="pass_back",
        title="Back passed up or down",
        plus="passes the back up against the front",
        signs=(
            "collar stands away behind, coat swings off at the back waist: pass the back up",
            "creases under the collar, back too long: pass it down",
        ),
        places=("side_seam",),
        usual=(-1.0, 1.0),
        limit=(-2.5, 2.5),
        meanings=("level",),
        one_sided=False,
        sources=(
            "rip the side seams and pass the back up (Thickett in Bridgland, sources 3.2, R)",
        ),
        effects="back length longer by the amount; armhole longer behind, the sleeve follows",
        companions=("back armhole and sleeve follow", "back hem let down by the amount"),
        order=10,
        cut=pass_up,
    ),
)
