"""The cut line: the net line moved out by allowance and reserve, its corners as they are sewn.

How a corner is cut is in :mod:`pinwright.cutting.corners`. Edges on the fold get nothing.
Polylines, because cutting asks for areas: each stays within its tolerance of the true parallel.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.corners import MITRE as MITRE
from pinwright.cutting.corners import Side, corner
from pinwright.cutting.corners import is_hem as is_hem
from pinwright.cutting.corners import margin_along as margin_along
from pinwright.cutting.corners import right_of as right_of
from pinwright.cutting.envelope import envelope
from pinwright.cutting.turn_up import turn_up_folds
from pinwright.errors import GeometryError
from pinwright.geometry import curves
from pinwright.pattern.piece import Edge, Piece, dart_cap

Array = NDArray[np.float64]


def margins(piece: Piece) -> dict[str, float]:
    """The most cloth kept beyond the net line by edge, cm: allowance and reserve, 0 on the fold.

    Where the reserve tapers there is less; :func:`margin_along` says how much.
    """
    return {
        e.name: 0.0 if e.name == piece.fold and piece.cut == "fold" else e.allowance + e.reserve
        for e in piece.edges
    }


def margin_near(edge: Edge, at: Array) -> tuple[float, float]:
    """(allowance and reserve, reserve alone), cm, of an edge where it is nearest to ``at`` (2,).

    The place is found on a polyline within 0.01 cm of the edge.
    """
    if edge.reserve_to is None:
        return edge.allowance + edge.reserve, edge.reserve
    runs = [curves.flatten(run.ctrl, 0.01) for run in edge.runs]
    legs = np.concatenate([[0.0], *(_steps(r) for r in runs)])
    points = np.concatenate([runs[0][:1], *(r[1:] for r in runs)])
    k = int(np.argmin(np.hypot(*(points - at).T)))
    along = np.cumsum(legs)
    kept = float(edge.reserve_at(along[k : k + 1] * (edge.length / along[-1]))[0])
    return edge.allowance + kept, kept


def _steps(line: Array) -> Array:
    found: Array = np.hypot(*np.diff(line, axis=0).T)
    return found


def least_margins(piece: Piece) -> dict[str, float]:
    """The least workable cloth beyond the net line by edge, cm, nothing on the fold.

    A hem with a turn-up needs the whole of it and, below its last fold, the least to sew.
    """
    found = {}
    for e in piece.edges:
        folds = turn_up_folds(piece, e)
        found[e.name] = e.least + (folds[-1] if folds else 0.0)
    return {name: 0.0 if width == 0.0 else found[name] for name, width in margins(piece).items()}


def net_line(piece: Piece, edge: Edge, tolerance: float = 0.01) -> Array:
    """An edge's net line as it is cut, (k, 2) cm: its runs, and the caps over dart mouths."""
    parts = []
    for i, run in enumerate(edge.runs):
        parts.append(run.ctrl)
        if i < len(edge.darts):
            parts.append(dart_cap(run, edge.runs[i + 1], piece.dart(edge.darts[i]).apex).ctrl)
    return curves.flatten(parts[0] if len(parts) == 1 else np.concatenate(parts), tolerance)


def net_polygon(piece: Piece, tolerance: float = 0.01) -> shapely.Polygon:
    """The area inside the net line, dart mouths capped.

    Raises:
        GeometryError: the net line crosses itself.
    """
    polygon = shapely.Polygon(
        np.concatenate([net_line(piece, e, tolerance)[:-1] for e in piece.edges])
    )
    if not polygon.is_valid:
        raise GeometryError(
            f"Piece {piece.name}: its net line crosses itself "
            f"({shapely.is_valid_reason(polygon)}), so it cannot be cut."
        )
    return polygon


def cut_line(
    piece: Piece, tolerance: float = 0.01, margin: Mapping[str, float] | None = None
) -> Array:
    """The cut line as a closed polyline (m, 2) in cm, last point equal to the first.

    ``margin`` sets other widths by edge (cm, 0 or more, the same all along) than allowance and
    reserve, which may taper. The result
    is a simple polygon that contains the net line.

    Raises:
        GeometryError: the net line crosses itself, or a margin is negative.
    """
    given = dict(margin or {})
    widths = {**margins(piece), **given}
    if not all(np.isfinite(d) and d >= 0.0 for d in widths.values()):
        raise GeometryError(
            f"Piece {piece.name}: cloth beyond the net line must be 0 cm or more, not {widths}."
        )
    nets = [net_line(piece, e, tolerance / 2) for e in piece.edges]
    sides = [
        Side(e, net, widths[e.name], widths[e.name] > 0.0 and e.name not in given)
        for e, net in zip(piece.edges, nets, strict=True)
    ]
    for here, after in zip(sides, sides[1:] + sides[:1], strict=True):
        corner(here, after, piece.fold if piece.cut == "fold" else None)
    ring = np.concatenate([part for s in sides for part in (s.moved, s.corner)])
    net = shapely.Polygon(np.concatenate([n[:-1] for n in nets]))
    return envelope(ring, net, piece.name)
