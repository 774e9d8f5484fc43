"""Armhole: its depth at the underarm, the sleeve going down with it."""

from __future__ import annotations

from pinwright.fitting.correction import Entry, Options
from pinwright.fitting.edges import (
    along_end,
    between,
    corner,
    move_edges,
    piece_with,
    widths_moved,
)
from pinwright.fitting.places import closed
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey


def _deepen(sketch: Sketch, hole: EdgeKey, name: str, seam: EdgeKey, stop: float) -> None:
    """Let the end ``name`` of a curve down its seam by one cm, fading to nothing at ``stop``."""
    g = sketch.garment
    low = corner(g, hole, name)
    down = -along_end(g, seam, g.layout.edges[seam].end == name)
    move_edges(sketch, {hole: between(down, 0.0 * down, float(low[1]), stop)})


def deepen_armhole(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Lower the underarm one cm along the side seam, in front and behind, fading to the notches.

    The sleeve's underarm goes down its seam by the same cm, so that the lower cap keeps matching
    the lower armhole: in cut cloth this only takes cloth away. What then still differs goes to
    cap ease and sleeve width in truing.
    """
    sketch = Sketch(garment)
    for home in ("front", "back"):
        hole = piece_with(garment, home, "armhole", "underarm")
        side = piece_with(garment, home, "side", "underarm")
        _deepen(sketch, hole, "underarm", side, _notch_height(garment, hole))
        if garment.has("sleeve"):
            name = f"underarm_{home}"
            _deepen(
                sketch,
                ("sleeve", "cap"),
                name,
                ("sleeve", f"under_{home}"),
                float(corner(garment, ("sleeve", "cap"), f"{home}_notch")[1]),
            )
    widths_moved(sketch, ("bust", "upper_arm"))
    return closed(sketch)


def _notch_height(garment: Garment, hole: EdgeKey) -> float:
    stations = garment.layout.edges[hole].stations
    for name in ("front_notch", "back_notch"):
        if name in stations:
            return float(corner(garment, hole, name)[1])
    e = garment.layout.edges[hole]
    return float(max(e.first[1], e.last[1]))


ENTRIES = (
    Entry(
        kind="armhole_depth",
        title="Armhole deeper or shallower",
        plus="deeper: the underarm goes down the side seam",
        signs=(
            "cuts into the underarm: deeper",
            "the jacket lifts with the arm, the underarm hangs low: shallower",
        ),
        places=("armhole",),
        usual=(-1.0, 1.0),
        limit=(-2.5, 2.5),
        meanings=("level",),
        sources=(
            "armhole depth + 1.5-2.5 fitted (facts 2.5, from memory)",
            "a lower armhole costs lift (common practice)",
        ),
        effects="side seams and sleeve seam shorter by the amount at the underarm; upper arm by "
        "what the sleeve narrows there",
        companions=("sleeve", "lining"),
        order=45,
        cut=deepen_armhole,
    ),
)
