"""Are the pieces drawn well: outlines that do not cross, curves without needless turns."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely

from pinwright.check.result import Check, Verdict, judged
from pinwright.fitting.ledger import Half
from pinwright.geometry.cubic import points
from pinwright.pattern.piece import Array, Edge, Piece

_U = np.linspace(0.0, 1.0, 9)[:-1]


def net_polyline(piece: Piece, caps: bool = False) -> Array:
    """A quick closed polyline of the net line, eight points a span, (m, 2) cm."""
    ctrl = np.concatenate([path.ctrl for path in piece.outline(caps=caps)])
    return np.asarray(points(ctrl, _U).reshape(-1, 2))


@lru_cache(maxsize=1024)
def crosses_itself(piece: Piece) -> bool:
    """Whether the net line crosses or touches itself (shapely)."""
    return not shapely.LinearRing(net_polyline(piece)).is_simple


def outline_checks(half: Half) -> list[Check]:
    """No outline crosses itself."""
    found = []
    for p in half.pieces:
        bad = crosses_itself(p)
        found.append(
            Check(
                f"{p.title}: outline",
                "outlines",
                p.name,
                float(bad),
                0.0,
                0.0,
                "wrong" if bad else "good",
                unit="",
                says="the net line does not cross itself",
            )
        )
    return found


@lru_cache(maxsize=4096)
def turns(edge: Edge) -> tuple[int, float]:
    """How often an edge changes from hollow to round, and the sharpest turn inside it (degrees).

    Bends flatter than a radius of 500 cm count as straight; the turn is the break of direction
    between neighbouring spans.
    """
    changes, sharpest = 0, 0.0
    for run in edge.runs:
        c = run.ctrl
        # direction along the run at 8 points a span, turning between them, as curvature
        p = points(c, np.linspace(0, 1, 9))[:, :, :]
        flat = np.concatenate([p[:, :-1].reshape(-1, 2), p[-1:, -1]])
        step = np.diff(flat, axis=0)
        size = np.hypot(*step.T)
        angle = np.arctan2(step[:, 1], step[:, 0])
        turn = np.remainder(np.diff(angle) + np.pi, 2 * np.pi) - np.pi
        bend = turn / (0.5 * (size[1:] + size[:-1]))
        signs = np.sign(bend[np.abs(bend) > 1 / 500])
        changes += int((signs[1:] != signs[:-1]).sum())
        if len(c) > 1:
            a, b = c[:-1, 3] - c[:-1, 2], c[1:, 1] - c[1:, 0]
            cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
            dot = (a * b).sum(axis=1)
            sharpest = max(sharpest, float(np.degrees(np.abs(np.arctan2(cross, dot)).max())))
    return changes, sharpest


MOST_TURNS = {"side": 2, "inseam": 2, "armhole": 1, "centre": 1, "seat": 1, "neck": 1, "cap": 4}
"""Changes between hollow and round that each edge's shape needs at most (common practice)."""
MOST_BREAK = 1.0
"""Degrees an edge may break between spans inside it."""


def curve_checks(half: Half, drafted: bool = False) -> list[Check]:
    """Curves change direction no more often than their shape needs, and do not break.

    After a fitting a curve may carry one more change than drafted for each place it was moved;
    the check then asks to look instead of failing.
    """
    found = []
    for p in half.pieces:
        for e in p.edges:
            most = MOST_TURNS.get(e.name, 2)
            changes, sharpest = turns(e)
            verdict: Verdict = "good" if changes <= most else ("wrong" if drafted else "look")
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
                )
            )
            found.append(
                judged(
                    f"{p.title}, {e.name.replace('_', ' ')}: smooth",
                    "curves",
                    p.name,
                    sharpest,
                    0.0,
                    MOST_BREAK,
                    unit="deg",
                    says="sharpest break inside the edge",
                    soft=not drafted,
                )
            )
    return found
