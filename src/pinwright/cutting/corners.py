"""How the cut line goes round a corner of the net line.

By rule ("") corners are mitred and a long mitre is cut square across; at a hem the side's cut line
is mirrored about the fold of the hem, so that the turned-up cloth lies flat on the leg above it.
An edge may say otherwise of the corner at its end (``Edge.corner``): "mitred", never mirrored;
"square", "mirrored" and "stepped" as written at :func:`squared`, :func:`mirror` and
:func:`stepped`. All of it common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError, meant
from pinwright.pattern.piece import CornerKind, Edge, Piece

Array = NDArray[np.float64]

MITRE = 2.5
"""A mitred corner reaches at most this many times the wider allowance from the net corner."""

SLOPE = 0.3
"""Sine of the least turn at which a corner is cut square or mirrored; a slighter one is mitred."""

_FLAT = 1e-9

_SEWN = (
    ("yoke",),
    ("side", "shoulder", "inseam", "under_front", "under_back"),
    ("centre", "seat"),
    ("cap", "armhole", "neck", "waist", "seam"),
    ("hem", "opening"),
)
"""Names of edges in the order in which their seams are sewn: later ones run across earlier ones."""


def is_hem(edge: Edge) -> bool:
    """Whether an edge is turned: the draft calls it "hem", "..._hem" or, of a pocket, "opening"."""
    return edge.name in ("hem", "opening") or edge.name.endswith("_hem")


def margin_along(edge: Edge, s: Array) -> Array:
    """Allowance and reserve, cm, at distances ``s`` (k,) along the sewn edge."""
    return edge.allowance + edge.reserve_at(s)


def turn_of(edge: Edge) -> int:
    """When an edge's seam is sewn, by its name: 0 a yoke, 1 side and shoulder, ... 4 a hem."""
    if is_hem(edge):
        return len(_SEWN) - 1
    return next((i for i, names in enumerate(_SEWN) if edge.name in names), 1)


def cornered(piece: Piece, kinds: Mapping[str, CornerKind]) -> Piece:
    """A piece with the corners at the named points cut so; the same piece when they are already.

    Raises:
        GeometryError: the piece has no corner of that name.
    """
    known = {e.end for e in piece.edges}
    for name in kinds:
        if name not in known:
            raise GeometryError(
                f"Piece {piece.name} has no corner {name!r}.{meant(name, known)} "
                f"It may be {', '.join(sorted(known))}."
            )
    if all(kinds.get(e.end, e.corner) == e.corner for e in piece.edges):
        return piece
    return piece.with_edges(
        tuple(replace(e, corner=kinds.get(e.end, e.corner)) for e in piece.edges)
    )


def acute(piece: Piece, below: float = 80.0) -> dict[str, CornerKind]:
    """The corners sharper than so many degrees that are better mirrored than mitred, by point.

    Where the seam sewn first is pressed open its mitre would stand out beyond the other cut edge
    (a sleeve's underarm, a flared leg). Hems are mirrored by rule and edges on the fold have no
    allowance; both are left out. For :func:`cornered`.
    """
    found: dict[str, CornerKind] = {}
    for a, b in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
        if is_hem(a) or is_hem(b) or (piece.cut == "fold" and piece.fold in (a.name, b.name)):
            continue
        t, u = a.runs[-1].end_tangent, b.runs[0].start_tangent
        inner = 180.0 - float(np.degrees(np.arctan2(_cross(t, u), float(t @ u))))
        if inner < below and min(a.allowance, b.allowance) > 0.0:
            found[a.end] = "mirrored"
    return found


class Side:
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


def corner(a: Side, b: Side, fold: str | None) -> None:
    """Fill in the corner between two sides, trimming them where the corner asks for it.

    ``fold`` is the edge on the fold, if any. A kind that the corner does not allow (too slight a
    turn, a seam without allowance, the fold) is cut by rule instead.
    """
    turn = _cross(a.out_of, b.into)
    kind = a.edge.corner
    on_fold = fold in (a.edge.name, b.edge.name)
    if kind == "stepped" and not on_fold and stepped(a, b):
        return
    if kind in ("square", "mirrored") and not on_fold and turn >= SLOPE:
        at_end = turn_of(a.edge) <= turn_of(b.edge)
        first, across = (a, b) if at_end else (b, a)
        if kind == "mirrored" and mirror(first, across, at_end):
            return
        if squared(first, across, at_end):
            return
    if kind == "" and turn > 1e-6 and is_hem(a.edge) != is_hem(b.edge) and not on_fold:
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


def stepped(a: Side, b: Side) -> bool:
    """Let the width change in a square step at the net corner, as at the top of a vent.

    False where the edges turn too much for it: their normals more than about 70 degrees apart.
    """
    n, m = right_of(a.out_of), right_of(b.into)
    both = float(n @ m)
    if both < SLOPE:
        return False
    if a.behind >= b.ahead:
        foot = a.end + n * (b.ahead / both)
        beyond = (b.moved - foot) @ b.into > _FLAT
        if not beyond.any():
            return False
        b.moved = b.moved[int(np.argmax(beyond)) :]
    else:
        foot = a.end + m * (a.behind / both)
        before = (a.moved - foot) @ a.out_of < -_FLAT
        if not before.any():
            return False
        a.moved = a.moved[: len(before) - int(np.argmax(before[::-1]))]
    a.corner = np.array([a.end + n * a.behind, foot] if a.behind >= b.ahead
                        else [foot, a.end + m * b.ahead])  # fmt: skip
    return True


def squared(first: Side, across: Side, at_end: bool) -> bool:
    """End the allowance of the seam sewn first square, where its net line meets the other cut edge.

    Pressed open, the allowance then ends on the cut edge that is sewn across it, without a point
    standing out. ``at_end`` says that the corner is the end of ``first``. False when the two do
    not meet so.
    """
    width = first.behind if at_end else first.ahead
    if width <= _FLAT:
        return False
    at = first.end if at_end else first.start
    along = first.out_of if at_end else -first.into
    out = right_of(first.out_of if at_end else first.into)
    line = across.moved if at_end else across.moved[::-1]
    into = across.into if at_end else -across.out_of
    height = (line - at) @ out
    rise = -float(into @ out)
    if rise < SLOPE:
        return False
    if height[0] <= 0.0:
        meet = line[0] + into * (height[0] / rise)
        rest = line
    else:
        under = np.flatnonzero(height <= 0.0)
        if not len(under):
            return False
        meet = _level(line, height, int(under[0]) - 1, 0.0)
        rest = line[int(under[0]) :]
    if float((meet - at) @ along) < -_FLAT:
        return False
    kept = np.concatenate([meet[None], rest])
    across.moved = kept if at_end else kept[::-1]
    (first if at_end else across).corner = (meet + width * out)[None]
    return True


def mirror(first: Side, across: Side, at_end: bool) -> bool:
    """Let the allowance of the seam sewn first repeat the other cut edge, mirrored in its net line.

    Pressed open (or turned up) it lies edge to edge with the cloth below it, as at an acute
    underarm or a flared leg. False where the allowance tapers or its point would stand out more
    than twice the mitre.
    """
    width = first.behind if at_end else first.ahead
    if width < first.width - _FLAT:
        return False
    kept = first.moved, first.corner, across.moved, across.corner
    if not _turn_up(across, first, hem_after=not at_end):
        return False
    point = (first if at_end else across).corner
    at = first.end if at_end else first.start
    if float(np.hypot(*(point - at).T).max()) <= 2.0 * MITRE * max(width, across.width):
        return True
    first.moved, first.corner, across.moved, across.corner = kept
    return False


def _crossed(a: Side, b: Side) -> bool:
    """Cut two parallels where their end chords cross; False when those do not cross."""
    if len(a.moved) < 2 or len(b.moved) < 2:
        return False
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


def _turn_up(leg: Side, hem: Side, hem_after: bool) -> bool:
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
