"""A turn-up below a hem: how far down its folds lie, read off the lines drawn for them."""

from __future__ import annotations

import numpy as np

from pinwright.cutting.corners import is_hem, right_of
from pinwright.pattern.piece import Edge, Piece


def turn_up_folds(piece: Piece, edge: Edge) -> tuple[float, ...]:
    """How far below a hem the cloth is folded again, cm, from the nearest; () without a turn-up.

    The first fold is the turn-up's upper edge: the cloth down to it is seen. Down to the last the
    cloth is used up by the turn-up, and only what lies below it is there to sew. A fold that does
    not run along with the hem counts by its deepest end.
    """
    if not is_hem(edge):
        return ()
    ends = [
        (run.ctrl[row, col], right_of((run.ctrl[row, 3] - run.ctrl[row, 0])[None])[0])
        for run, row, col in ((edge.runs[0], 0, 0), (edge.runs[-1], -1, 3))
    ]
    found = []
    for line in piece.lines:
        if line.kind != "fold":
            continue
        below = []
        for p in (line.path.start, line.path.end):
            at, out = min(ends, key=lambda end: float(np.hypot(*(p - end[0]))))
            below.append(float((p - at) @ out) / float(np.hypot(*out)))
        # the roll of a collar and the like lie inside the net line
        if min(below) > 0.0:
            found.append(max(below))
    return tuple(sorted(found))
