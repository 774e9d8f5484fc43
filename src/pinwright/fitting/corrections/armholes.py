"""Armhole: its depth at the underarm, the sleeve going down with it."""

from __future__ import annotations

import numpy as np

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
from pinwright.fitting.response import Field, Response, Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array


def _lowered(garment: Garment, hole: EdgeKey, name: str, seam: EdgeKey, stop: float) -> Field:
    """The end ``name`` of a curve goes down its seam by one cm, fading to nothing at ``stop``."""
    low = corner(garment, hole, name)
    down = -along_end(garment, seam, garment.layout.edges[seam].end == name)
    return between(down, 0.0 * down, float(low[1]), stop)


def deepen_armhole(garment: Garment, place: str, component: str, options: Options) -> Response:
    """Lower the underarm one cm along the side seam, in front and behind, fading to the notches.

    The sleeve's underarm goes down its seam by the same cm, so that the lower cap keeps matching
    the lower armhole: in cut cloth this only takes cloth away. What then still differs goes to
    cap ease and sleeve width in truing.
    """
    sketch = Sketch(garment)
    moves: dict[EdgeKey, Field] = {}
    for home in ("front", "back"):
        hole = piece_with(garment, home, "armhole", "underarm")
        side = piece_with(garment, home, "side", "underarm")
        moves[hole] = _lowered(garment, hole, "underarm", side, _notch_height(garment, hole))
    if garment.has("sleeve"):
        moves["sleeve", "cap"] = _lowered_cap(garment)
    move_edges(sketch, moves)
    widths_moved(sketch, ("bust", "upper_arm"))
    return closed(sketch)


def _lowered_cap(garment: Garment) -> Field:
    """Both ends of the cap go down their seams, each fading to its own notch."""
    cap = ("sleeve", "cap")
    front, back = (
        _lowered(
            garment,
            cap,
            f"underarm_{home}",
            ("sleeve", f"under_{home}"),
            float(corner(garment, cap, f"{home}_notch")[1]),
        )
        for home in ("front", "back")
    )
    top = float(corner(garment, cap, "shoulder")[0])
    rightward = float(corner(garment, cap, "underarm_front")[0]) > top

    def move(p: Array) -> tuple[Array, Array]:
        in_front = (p[:, 0] > top) == rightward
        (v, jac), (w, other) = front(p), back(p)
        return (
            np.where(in_front[:, None], v, w),
            np.where(in_front[:, None, None], jac, other),
        )

    return move


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
            "armhole depth + 1.5-2.5 fitted (sources 2.5, from memory)",
            "a lower armhole costs lift (common practice)",
        ),
        effects="side seams and sleeve seam shorter by the amount at the underarm; upper arm by "
        "what the sleeve narrows there",
        companions=("sleeve", "lining"),
        order=45,
        cut=deepen_armhole,
    ),
)
