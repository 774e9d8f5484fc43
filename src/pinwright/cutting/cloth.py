"""The cloth as it was cut, frozen as an area, and what every later trim takes off it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cutline import cut_line, net_polygon, right_of
from pinwright.errors import CorrectionError
from pinwright.geometry import cubic as cb
from pinwright.pattern.piece import Edge, Piece

Array = NDArray[np.float64]

STEP = 0.5
"""Edges are probed about every so many cm."""

REACH = 40.0
"""How far from the net line cloth is looked for, cm."""


def cloth_as_cut(piece: Piece) -> shapely.Polygon:
    """The cloth of a piece cut on its cut line, cm."""
    return shapely.Polygon(cut_line(piece))


@dataclass(frozen=True, slots=True, eq=False)
class Probe:
    """An edge's net line sampled: distances ``s`` (k,), points, outward normals (k, 2), cm.

    ``s`` runs along the sewn line: the mouths of darts have no length.
    """

    s: Array
    at: Array
    out: Array


def probe(edge: Edge, step: float = STEP) -> Probe:
    """Sample an edge about every ``step`` cm, both ends of every span included."""
    ctrl = np.concatenate([run.ctrl for run in edge.runs])
    size = cb.lengths(ctrl)
    k = int(np.ceil(size.max() / step)) + 1
    u = np.linspace(0.0, 1.0, max(k, 2))
    at = cb.points(ctrl, u)
    d = cb.derivatives(ctrl, u)
    speed = np.hypot(d[..., 0], d[..., 1])
    chord = (ctrl[:, 3] - ctrl[:, 0])[:, None]
    d = np.where((speed > 1e-7)[..., None], d, chord)
    d = d / np.hypot(d[..., 0], d[..., 1])[..., None]
    legs = np.hypot(*np.moveaxis(np.diff(at, axis=1), -1, 0))
    along = np.concatenate([np.zeros((len(ctrl), 1)), np.cumsum(legs, axis=1)], axis=1)
    along *= (size / along[:, -1])[:, None]
    s = along + (np.cumsum(size) - size)[:, None]
    return Probe(s.ravel(), at.reshape(-1, 2), right_of(d.reshape(-1, 2)))


def cloth_beyond(points: Array, out: Array, cloth: shapely.Polygon) -> Array:
    """Cloth from each point (k, 2) along its outward normal to the cut edge, (k,) cm.

    Negative where the point itself lies off the cloth: how far back the cloth begins. Where the
    normal meets no cut edge within ``REACH``, the nearest one counts.
    """
    ring = shapely.get_coordinates(cloth.exterior)
    a, leg = ring[:-1], np.diff(ring, axis=0)
    gap = a[None] - points[:, None]
    det = leg[None, :, 0] * out[:, None, 1] - leg[None, :, 1] * out[:, None, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (leg[None, :, 0] * gap[..., 1] - leg[None, :, 1] * gap[..., 0]) / det
        u = (out[:, None, 0] * gap[..., 1] - out[:, None, 1] * gap[..., 0]) / det
    hit = (np.abs(det) > 1e-12) & (u >= -1e-9) & (u <= 1.0 + 1e-9) & (np.abs(t) <= REACH)
    spots = shapely.points(points)
    inside = shapely.covers(cloth, spots)
    forward = np.where(hit & (t >= -1e-9), t, np.inf).min(axis=1)
    back = np.where(hit & (t <= 1e-9), t, -np.inf).max(axis=1)
    near = shapely.distance(spots, cloth.exterior)
    beyond = np.where(inside, forward, back)
    found: Array = np.where(np.isfinite(beyond), beyond, np.where(inside, near, -near))
    return found


def edge_cloth(piece: Piece, edge: str, cloth: shapely.Polygon) -> tuple[Probe, Array]:
    """An edge's samples and the cloth (k,) cm beyond the net line at each."""
    p = probe(piece.edge(edge))
    return p, cloth_beyond(p.at, p.out, cloth)


def trim(cloth: shapely.Polygon, piece: Piece, edge: str, allowance: float) -> shapely.Polygon:
    """The cloth after an edge is trimmed back to ``allowance`` cm beyond its net line.

    Only cloth beyond that edge is taken, out to the mitres with its neighbours; cloth inside the
    net line stays. Trimming to more than there is changes nothing.

    Raises:
        CorrectionError: there is no such edge, it stands on the fold, or the allowance is
            negative.
    """
    names = [e.name for e in piece.edges]
    if edge not in names:
        raise CorrectionError(
            f"Piece {piece.name} has no edge {edge!r} to trim; it has {', '.join(names)}."
        )
    if not (np.isfinite(allowance) and allowance >= 0.0):
        raise CorrectionError(
            f"Piece {piece.name}, {edge}: the allowance is {allowance:g} cm; it may be 0 or more."
        )
    if piece.cut == "fold" and edge == piece.fold:
        raise CorrectionError(f"Piece {piece.name}: {edge} stands on the fold and has no cut edge.")
    _, there = edge_cloth(piece, edge, cloth)
    wide = float(max(there.max(), allowance)) + 1.0
    outer = shapely.Polygon(cut_line(piece, margin={edge: wide}))
    inner = shapely.Polygon(cut_line(piece, margin={edge: allowance}))
    taken = shapely.difference(outer, inner)
    left = shapely.difference(cloth, taken)
    net = shapely.intersection(net_polygon(piece), cloth)
    left = shapely.union(left, net)
    parts = [p for p in shapely.get_parts(left) if isinstance(p, shapely.Polygon)]
    biggest = max(parts, key=lambda part: float(part.area))
    return shapely.Polygon(biggest.exterior)
