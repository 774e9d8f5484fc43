"""Are the pieces drawn well: outlines that do not cross, curves without needless turns."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely

from pinwright.check.result import Check, Verdict, judged
from pinwright.fitting.ledger import Half, response
from pinwright.geometry.cubic import curvature, points
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array, Piece

_U = np.linspace(0.0, 1.0, 9)[:-1]


def net_polyline(piece: Piece, caps: bool = False) -> Array:
    """A quick closed polyline of the net line, eight points a span, (m, 2) cm."""
    ctrl = np.concatenate([path.ctrl for path in piece.outline(caps=caps)])
    return np.asarray(points(ctrl, _U).reshape(-1, 2))


@lru_cache(maxsize=1024)
def crosses_itself(piece: Piece) -> bool:
    """Whether the net line crosses or touches itself (shapely), or is not a line at all."""
    line = net_polyline(piece)
    if not np.isfinite(line).all():
        return True
    return not shapely.LinearRing(line).is_simple


def outline_checks(half: Half) -> list[Check]:
    """No outline crosses itself."""
    return [outline_check(p) for p in half.pieces]


def outline_check(piece: Piece, side: str = "both") -> Check:
    """Whether one piece's net line crosses itself."""
    bad = crosses_itself(piece)
    return Check(
        f"{piece.title}: outline",
        "outlines",
        piece.name,
        float(bad),
        0.0,
        0.0,
        "wrong" if bad else "good",
        unit="",
        says="the net line does not cross itself",
        side=side,
    )


FLAT = 1 / 500
"""Bends flatter than a radius of 500 cm (1/cm) count as straight."""
_ALONG = (np.arange(8) + 0.5) / 8


def turns(half: Half) -> dict[EdgeKey, tuple[int, float]]:
    """For each edge: how often it changes from hollow to round, and its sharpest inside break.

    The bend is the curvature at eight places a span; the break (degrees) is between the
    directions of neighbouring spans of a run.
    """
    layout, ctrl = half.garment.layout, half.ctrl
    bend = curvature(ctrl, _ALONG)
    sign = np.where(bend > FLAT, 1, np.where(bend < -FLAT, -1, 0))
    a, b = ctrl[:-1, 3] - ctrl[:-1, 2], ctrl[1:, 1] - ctrl[1:, 0]
    cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    dot = a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1]
    breaks = np.degrees(np.abs(np.arctan2(cross, dot)))
    found = {}
    for key, runs in layout.runs.items():
        changes, sharpest = 0, 0.0
        for first, stop in runs:
            s = sign[first:stop].ravel()
            s = s[s != 0]
            changes += int(np.count_nonzero(s[1:] != s[:-1]))
            if stop - first > 1:
                sharpest = max(sharpest, float(breaks[first : stop - 1].max()))
        found[key] = (changes, sharpest)
    return found


MOST_TURNS = {"side": 2, "inseam": 2, "armhole": 1, "centre": 1, "seat": 1, "neck": 1, "cap": 4}
"""Changes between hollow and round that each edge's shape needs at most (common practice)."""
MOST_BREAK = 1.0
"""Degrees a drafted edge may break between spans inside it."""
CORRECTED_BREAK = 2.0
"""The same after a correction: as much as where an edge crosses a seam (design 8)."""


def curve_checks(half: Half) -> list[Check]:
    """Curves change direction no more often than their shape needs, and do not break.

    As drafted more changes are wrong. After a fitting each movement of the edge may add two (it
    is run out at both ends): more than the shape needs asks to look, more than that is wrong.
    """
    found = []
    turned = turns(half)
    moves = _moves(half)
    for p in half.garment.pieces:
        for e in p.edges:
            most = MOST_TURNS.get(e.name, 2)
            changes, sharpest = turned[p.name, e.name]
            allowed = most + 2 * moves.get((p.name, e.name), 0)
            verdict: Verdict = (
                "good" if changes <= most else ("look" if changes <= allowed else "wrong")
            )
            found.append(
                Check(
                    f"{p.title}, {e.name.replace('_', ' ')}: changes of bend",
                    "curves",
                    p.name,
                    float(changes),
                    float(most),
                    0.0,
                    verdict,
                    unit="",
                    says="changes between hollow and round along the edge",
                    bound="most",
                )
            )
            found.append(
                judged(
                    f"{p.title}, {e.name.replace('_', ' ')}: smooth",
                    "curves",
                    p.name,
                    sharpest,
                    0.0,
                    CORRECTED_BREAK if half.sums else MOST_BREAK,
                    unit="deg",
                    says="sharpest break inside the edge",
                )
            )
    return found


def _moves(half: Half) -> dict[EdgeKey, int]:
    """How many of the ledger's movements, truing counted as one, shape each edge."""
    if not half.sums:
        return {}
    layout = half.garment.layout
    touched = [response(half.garment, key).touched for key, _ in half.sums]
    found = {}
    for key, runs in layout.runs.items():
        first, stop = runs[0][0], runs[-1][1]
        n = sum(bool(t[first:stop].any()) for t in touched)
        trued = not np.array_equal(half.ctrl[first:stop], layout.ctrl[first:stop])
        found[key] = n + int(trued)
    return found
