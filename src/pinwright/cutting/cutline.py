"""The cut line: the net line moved out by allowance and reserve, its corners as they are sewn.

Corners are mitred; a long mitre is cut square across. At a hem the side's cut line is mirrored
about the fold of the hem, so that the turned-up cloth lies flat on the leg above it (common
practice). Edges on the fold get nothing. Polylines, because cutting asks for areas: each stays
within its tolerance of the true parallel.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.envelope import envelope
from pinwright.errors import GeometryError
from pinwright.geometry import curves
from pinwright.pattern.piece import Edge, Piece, dart_cap

Array = NDArray[np.float64]

MITRE = 2.5
"""A mitred corner reaches at most this many times the wider allowance from the net corner."""

_FLAT = 1e-9


def is_hem(edge: Edge) -> bool:
    """Whether an edge is turned: the draft calls it "hem", "..._hem" or, of a pocket, "opening"."""
    return edge.name in ("hem", "opening") or edge.name.endswith("_hem")


def margins(piece: Piece) -> dict[str, float]:
    """The most cloth kept beyond the net line by edge, cm: allowance and reserve, 0 on the fold.

    Where the reserve tapers there is less; :func:`margin_along` says how much.
    """
    return {
        e.name: 0.0 if e.name == piece.fold and piece.cut == "fold" else e.allowance + e.reserve
        for e in piece.edges
    }


def margin_along(edge: Edge, s: Array) -> Array:
    """Allowance and reserve, cm, at distances ``s`` (k,) along the sewn edge."""
    return edge.allowance + edge.reserve_at(s)


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
    """The least workable cloth beyond the net line by edge, cm, nothing on the fold."""
    return {
        name: 0.0 if width == 0.0 else piece.edge(name).least
        for name, width in margins(piece).items()
    }


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
        _Side(e, net, widths[e.name], widths[e.name] > 0.0 and e.name not in given)
        for e, net in zip(piece.edges, nets, strict=True)
    ]
    for here, after in zip(sides, sides[1:] + sides[:1], strict=True):
        _corner(here, after, piece.fold if piece.cut == "fold" else None)
    ring = np.concatenate([part for s in sides for part in (s.moved, s.corner)])
    net = shapely.Polygon(np.concatenate([n[:-1] for n in nets]))
    return envelope(ring, net, piece.name)


class _Side:
    """One edge while the cut line is built: its parallel, and what follows at its end.

    ``ahead`` and ``behind`` are its widths at its start and at its end, ``width`` the greatest.
    """

    def __init__(self, edge: Edge, net: Array, width: float, tapers: bool = False) -> None:
        self.edge, self.width = edge, width
        self.ahead = self.behind = width
        chords = np.diff(net, axis=0)
        size = np.sqrt(np.einsum("ij,ij->i", chords, chords))
        if size.min() < _FLAT:
            net = net[np.concatenate([[True], size > _FLAT])]
            chords = np.diff(net, axis=0)
            size = np.sqrt(np.einsum("ij,ij->i", chords, chords))
        unit = chords / size[:, None]
        first, last = edge.runs[0].ctrl[0], edge.runs[-1].ctrl[-1]
        self.into = _unit(first[1] - first[0], unit[0])
        self.out_of = _unit(last[3] - last[2], unit[-1])
        self.start, self.end = net[0], net[-1]
        self.corner: Array = np.empty((0, 2))
        spread = _spread(unit, self.into, self.out_of)
        self.moved: Array = net + width * spread
        if tapers and edge.reserve_to is not None:
            along = np.concatenate([[0.0], np.cumsum(size)])
            # caps over dart mouths are longer than what is sewn
            wide = margin_along(edge, along * (edge.length / along[-1]))
            self.ahead, self.behind = float(wide[0]), float(wide[-1])
            self.moved = net + wide[:, None] * spread


def _unit(v: Array, instead: Array) -> Array:
    size = float(np.hypot(v[0], v[1]))
    return v / size if size > 1e-7 else instead


def right_of(t: Array) -> Array:
    """The unit normal to the right of directions (..., 2): outwards, as edges run anticlockwise."""
    return np.stack([t[..., 1], -t[..., 0]], axis=-1)


def _spread(unit: Array, into: Array, out_of: Array) -> Array:
    """How far each vertex (k + 1) moves for one cm of margin: mitred between its chords."""
    n = right_of(unit)
    out = np.empty((len(unit) + 1, 2))
    out[0], out[-1] = right_of(into), right_of(out_of)
    both = n[:-1] + n[1:]
    open_ = 1.0 + np.einsum("ij,ij->i", n[:-1], n[1:])
    out[1:-1] = both / np.maximum(open_, 2.0 / MITRE**2)[:, None]
    return out


def _cross(a: Array, b: Array) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _corner(a: _Side, b: _Side, fold: str | None) -> None:
    """Fill in the corner between two sides, trimming them where the corner asks for it."""
    turn = _cross(a.out_of, b.into)
    if turn > 1e-6 and is_hem(a.edge) != is_hem(b.edge) and fold not in (a.edge.name, b.edge.name):
        if is_hem(b.edge) and _turn_up(a, b, hem_after=True):
            return
        if is_hem(a.edge) and _turn_up(b, a, hem_after=False):
            return
    p, q = a.moved[-1], b.moved[0]
    gap = q - p
    if turn <= 1e-6:
        # straight on, or hollow: by way of the corner, so that each strip is whole where they
        # overlap and the envelope finds where the parallels cross
        if float(np.hypot(gap[0], gap[1])) > 1e-3 and not _crossed(a, b):
            a.corner = a.end[None]
        return
    run_a = _cross(gap, b.into) / turn
    # p + run_a * out_of == q - run_b * into
    run_b = _cross(a.out_of, gap) / turn
    if run_a < 0.0 or run_b < 0.0:
        # a slight corner between unlike widths: a step, no narrower than the lesser width
        n, m = right_of(a.out_of), right_of(b.into)
        a.corner = (a.end + min(a.behind, b.ahead) * (n + m) / (1.0 + float(n @ m)))[None]
        return
    limit = MITRE * max(a.behind, b.ahead)
    longest_a = np.sqrt(max(limit**2 - a.behind**2, 0.0))
    longest_b = np.sqrt(max(limit**2 - b.ahead**2, 0.0))
    if run_a <= longest_a + _FLAT or run_b <= longest_b + _FLAT:
        if fold is not None and 0.0 in (a.behind, b.ahead):
            longest_a = longest_b = np.inf  # at a fold the cloth must reach the fold
        if run_a <= longest_a + _FLAT and run_b <= longest_b + _FLAT:
            a.corner = (p + run_a * a.out_of)[None]
            return
    a.corner = np.stack([p + min(run_a, longest_a) * a.out_of, q - min(run_b, longest_b) * b.into])


def _crossed(a: _Side, b: _Side) -> bool:
    """Cut two parallels where their end chords cross; False when those do not cross."""
    p, q = a.moved[-2:], b.moved[:2]
    u, v, gap = p[1] - p[0], q[1] - q[0], q[0] - p[0]
    det = _cross(u, v)
    if abs(det) < _FLAT:
        return False
    s, t = _cross(gap, v) / det, _cross(gap, u) / det
    if not (_FLAT < s < 1.0 - _FLAT and _FLAT < t < 1.0 - _FLAT):
        return False
    at = p[0] + s * u
    a.moved = np.concatenate([a.moved[:-1], at[None]])
    b.moved = np.concatenate([at[None], b.moved[1:]])
    return True


def _turn_up(leg: _Side, hem: _Side, hem_after: bool) -> bool:
    """Mirror a leg's cut line about the fold of the hem; False when the leg does not allow it.

    The leg ends at the hem's start (``hem_after``) or starts at the hem's end.
    """
    if hem.width <= _FLAT:
        return False
    # q runs from the hem corner up the leg
    q = leg.moved[::-1] if hem_after else leg.moved
    away = -leg.out_of if hem_after else leg.into
    corner = hem.start if hem_after else hem.end
    up = -right_of(hem.into if hem_after else hem.out_of)
    beyond = -hem.into if hem_after else hem.out_of
    rise = float(away @ up)
    if rise < 0.3:
        return False
    height = (q - corner) @ up
    if height[0] > 0.0:
        q = np.concatenate([(q[0] - away * height[0] / rise)[None], q])
        height = np.concatenate([[0.0], height])
    over = np.flatnonzero(height > hem.width)
    below = np.flatnonzero(height <= _FLAT)
    if not len(over) or not len(below) or below[-1] >= over[0]:
        return False
    lo, hi = int(below[-1]), int(over[0])
    if (np.diff(height[lo : hi + 1]) <= 0.0).any():
        return False
    # from the fold (height 0) up to the height of the hem's margin
    foot = _level(q, height, lo, 0.0)
    top = _level(q, height, hi - 1, hem.width)
    stretch = np.concatenate([foot[None], q[lo + 1 : hi], top[None]])
    mirrored = stretch - 2.0 * ((stretch - corner) @ up)[:, None] * up
    kept = np.concatenate([foot[None], q[lo + 1 :]])
    # a leg that widens downwards turns its hem corner inwards: the hem's parallel is cut back
    limit = float((mirrored[-1] - corner) @ beyond)
    inside = (hem.moved - corner) @ beyond < limit
    if not inside.any():
        return False
    if hem_after:
        leg.moved = kept[::-1]
        leg.corner = mirrored[1:]
        hem.moved = hem.moved[int(np.argmax(inside)) :]
    else:
        leg.moved = kept
        hem.moved = hem.moved[: len(inside) - int(np.argmax(inside[::-1]))]
        hem.corner = mirrored[:0:-1]
    return True


def _level(q: Array, height: Array, i: int, at: float) -> Array:
    """The point between vertices i and i + 1 where the height is ``at``."""
    rise = height[i + 1] - height[i]
    t = 0.0 if abs(rise) < _FLAT else (at - height[i]) / rise
    point: Array = q[i] + t * (q[i + 1] - q[i])
    return point
