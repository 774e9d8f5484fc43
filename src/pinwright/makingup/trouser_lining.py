"""The lining of a trouser front, from the waist to below the knee. In cm; common practice."""

from __future__ import annotations

from dataclasses import replace

from pinwright.geometry.path import Path
from pinwright.makingup.lining_edges import Draught, draught, grain_through, inked, shortened
from pinwright.pattern.piece import Edge, Piece

BELOW_KNEE = 10.0
"""How far below the knee line the lining ends, along inseam and side seam."""

ABOVE_HEM = 5.0
"""It ends at least so far above the hem of trousers that are cut short."""


def trouser_front_lining(front: Piece) -> Piece:
    """The front's own net line down to 10 cm below the knee, darts as the shell has them.

    It is sewn in with the side seam, inseam, fork, fly and band; its lower edge hangs free,
    pinked or overlocked, so it has no allowance.

    Raises:
        DraftError: trousers that end too near below the knee, or above it.
    """
    inseam, side = front.edge("inseam"), front.edge("side")
    on_inseam, on_side = _spare(inseam), _spare(side)
    inner = shortened(draught(inseam), "the inseam", end=on_inseam)
    outer = shortened(draught(side), "the side seam", start=on_side)
    lower = Draught((Path.line(inner.last, outer.first),))
    middle = 0.5 * (inner.last + outer.first)
    top = float(front.point("side:hip")[1])
    return replace(
        front,
        name="lining_front",
        title="front lining (waist to below the knee)",
        edges=(
            front.edge("centre"),
            _as(inseam, inked("inseam", inseam.start, inner, "lower_in")),
            replace(inked("lower", "lower_in", lower, "lower_side", 0.0), least=0.0),
            _as(side, inked("side", "lower_side", outer, side.end)),
            front.edge("waist"),
        ),
        layer="lining",
        grain=grain_through(middle, front, middle[1] + 6.0, top),
        lines=(),
        marks=(),
        follows=front.name,
        stage="after",
    )


def _spare(e: Edge) -> float:
    """How much of a seam between knee and hem the lining leaves free, cm."""
    knee = e.distance("knee")
    to_hem = e.length - knee if e.end.startswith("hem") else knee
    return max(to_hem - BELOW_KNEE, ABOVE_HEM)


def _as(shell: Edge, lining: Edge) -> Edge:
    """The lining's edge with the shell's cloth beyond it: it is sewn into the same seam."""
    keeps = shell.reserve_to
    if keeps is not None and keeps[0] not in (lining.start, *lining.stations, lining.end):
        keeps = None
    return replace(
        lining,
        allowance=shell.allowance,
        reserve=shell.reserve,
        least=shell.least,
        reserve_to=keeps,
    )
