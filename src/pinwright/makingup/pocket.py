"""Pocketing that follows from the finished trouser pieces: bag and bearer of a side pocket. In cm.

Both are drawn anew from the pieces as they are now, so they follow every correction: a lowered
opening takes bag and bearer down with it (sources 3.3).
"""

from __future__ import annotations

import numpy as np

from pinwright.draft.features.side_pocket import OPENING
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece

BAG_WIDTH = 14.0
"""Width of the bag at its lower end."""
BAG_BELOW = 12.0
"""How far the bag hangs below the opening."""
SEAM_BELOW = 3.0
"""How far bag and bearer go on along the side seam below the opening."""
BEARER_WIDTH = 4.5
TOP_WIDTH = 9.0
"""Width of the bag where it is caught in the waist seam."""


def opening_on_front(front: Piece) -> tuple[float, float]:
    """Lower and upper end of the pocket opening, cm along the front's side seam from the hem."""
    path, seam = front.line(OPENING).path, front.edge("side").runs[0]
    low, high = sorted(seam.nearest(end)[0] for end in (path.start, path.end))
    return low, high


def opening_on_back(back: Piece, front: Piece) -> tuple[float, float]:
    """The same along the back's side seam, walked from the hip, where both are anchored."""
    on_front, on_back = front.edge("side").distance("hip"), back.edge("side").distance("hip")
    low, high = opening_on_front(front)
    return low - on_front + on_back, high - on_front + on_back


def _net(name: str, start: str, path: Path, end: str, allowance: float = 1.0) -> Edge:
    return Edge(name, start, end, (path,), allowance=allowance)


def pocket_bag(front: Piece) -> Piece:
    """The bag: along the side seam and the waist, rounded below; two pairs are cut.

    It is caught in side seam and waist seam, so it cannot sag (common practice). Pure function of
    the front and the opening marked on it.
    """
    seam = front.edge("side").runs[0]
    low, _ = opening_on_front(front)
    foot = max(low - SEAM_BELOW, 0.5)
    side = seam.between(foot, seam.length)
    waist = front.edge("waist").runs[0]
    width = min(TOP_WIDTH, waist.length - 1.0)
    top = waist.between(0.0, width)
    corner, start = top.end, side.start
    bottom = float(seam.at(low)[1]) - BAG_BELOW
    left = float(start[0]) - BAG_WIDTH
    shoulder = np.array([left, bottom + 6.0])
    lowest = np.array([left + 0.5 * BAG_WIDTH, bottom])
    inner = Path.line(corner, shoulder)
    level, up = np.array([1.0, 0.0]), np.array([0.2, 1.0])
    under = Path.hermite(shoulder, inner.end_tangent, lowest, level, 0.38, 0.38)
    under = under + Path.hermite(lowest, level, start, up, 0.38, 0.38)
    grain = np.array([[lowest[0], bottom + 4.0], [lowest[0], float(start[1]) + 4.0]])
    return Piece(
        "pocket_bag",
        "pocket bag",
        (
            _net("side", "foot", side, "waist_side"),
            _net("waist", "waist_side", top, "waist_inner"),
            _net("inner", "waist_inner", inner, "shoulder"),
            _net("under", "shoulder", under, "foot"),
        ),
        grain,
        layer="pocketing",
        count=2,
        home=front.home,
        follows=front.name,
    )


def pocket_bearer(back: Piece, front: Piece) -> Piece:
    """The bearer: a facing of shell cloth on the back bag, along the back's side seam.

    The opening is walked from the hip, where the side seam is anchored, so it faces the front's
    opening whatever the seam below does.
    """
    seam = back.edge("side").runs[0]
    low, _ = opening_on_back(back, front)
    foot = max(low - SEAM_BELOW, 0.5)
    side = seam.between(foot, seam.length)
    waist = back.edge("waist").runs[0]
    top = waist.between(0.0, min(BEARER_WIDTH, waist.length))
    inner = _beside(side, BEARER_WIDTH, top.end).reversed()
    mid = 0.5 * (side.start + inner.end)
    return Piece(
        "pocket_bearer",
        "pocket bearer",
        (
            _net("side", "foot", side, "waist_side"),
            _net("waist", "waist_side", top, "waist_inner"),
            _net("inner", "waist_inner", inner, "foot_inner"),
            _net("under", "foot_inner", Path.line(inner.end, side.start), "foot"),
        ),
        mid + np.array([[0.0, 2.0], [0.0, 0.8 * side.length]]),
        home=back.home,
        follows=back.name,
    )


def _beside(path: Path, width: float, end: Array) -> Path:
    """A line running beside a gentle curve at ``width`` to its left, ending at ``end``.

    It passes through the points beside the ends of the curve's spans.
    """
    arm = path.ctrl[:, 1] - path.ctrl[:, 0]
    size = np.hypot(arm[:, 0], arm[:, 1])
    left = np.stack([-arm[:, 1], arm[:, 0]], axis=1) / size[:, None]
    at = path.ctrl[:, 0] + width * left
    keep = size > 0.3  # a span cut short says little of the direction
    keep[0] = True
    return Path.through(np.concatenate([at[keep], end[None]]), path.start_tangent)
