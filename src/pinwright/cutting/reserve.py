"""What the cloth already cut cannot give: where cloth is missing, and how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import STEP, Probe, cloth_beyond, probe
from pinwright.cutting.cutline import least_margins
from pinwright.pattern.piece import Piece

Array = NDArray[np.float64]

SLIGHT = 0.005
"""Less than this, cm, is not called missing: the tolerance of the polylines."""


ASKEW = 0.7
"""Cosine of the angle off an edge's normal beyond which lacking cloth is another edge's lack."""


@dataclass(frozen=True, slots=True, eq=False)
class Shortfall:
    """A stretch of an edge where the cloth gives out.

    ``from_s`` to ``to_s`` along the sewn edge, ``missing`` at the worst place ``where`` (2,), and
    the ``least`` workable allowance reckoned with, all in cm.
    """

    piece: str
    edge: str
    from_s: float
    to_s: float
    missing: float
    least: float
    where: Array

    def sentence(self) -> str:
        """What an order says of it."""
        return (
            f"{self.piece}, {self.edge.replace('_', ' ')}: {self.missing:.1f} cm of cloth is "
            f"missing over {self.to_s - self.from_s:.0f} cm (least allowance {self.least:g})."
        )


def shortfalls(piece: Piece, cloth: shapely.Polygon) -> tuple[Shortfall, ...]:
    """Where a piece's net line plus the least workable allowance leaves the cloth that is there.

    The cloth is measured from the net line along its outward normal, about every half
    centimetre and at every named point. Edges on the fold are not looked at. Where a corner lies
    off the cloth because one edge moved out, the shortage is that edge's, not its neighbour's.
    """
    least = least_margins(piece)
    fold = piece.fold if piece.cut == "fold" else None
    probes = [probe(e) for e in piece.edges]
    lacks = [
        np.full(len(p.s), -np.inf)
        if e.name == fold
        else least[e.name] - cloth_beyond(p.at, p.out, cloth)
        for e, p in zip(piece.edges, probes, strict=True)
    ]
    if all((lack <= SLIGHT).all() for lack in lacks):
        return ()
    own = [
        lack if e.name == fold else _own(lack, p, least[e.name], cloth)
        for e, p, lack in zip(piece.edges, probes, lacks, strict=True)
    ]
    if all((lack <= SLIGHT).all() for lack in own):
        own = lacks
    found = [
        _stretches(piece.name, e.name, p, lack, least[e.name])
        for e, p, lack in zip(piece.edges, probes, own, strict=True)
    ]
    sharp = [
        _corner_sine(p, probes[(i + 1) % len(probes)]) for i, p in enumerate(probes)
    ]  # at the end of each edge
    return tuple(
        short
        for i, here in enumerate(found)
        for short in here
        if not (
            _of_neighbour(short, short.from_s, found[i - 1], probes[i - 1], True, sharp[i - 1])
            or _of_neighbour(
                short,
                float(probes[i].s[-1]) - short.to_s,
                found[(i + 1) % len(found)],
                probes[(i + 1) % len(found)],
                False,
                sharp[i],
            )
        )
    )


def _corner_sine(here: Probe, after: Probe) -> float:
    """Sine of the angle between two edges where they meet, at least a half."""
    n, m = here.out[-1], after.out[0]
    return max(abs(float(n[0] * m[1] - n[1] * m[0])), 0.5)


def _of_neighbour(
    short: Shortfall, gap: float, beside: list[Shortfall], p: Probe, at_end: bool, sine: float
) -> bool:
    """Whether a shortage at a corner is only the neighbour's, which moved off the cloth there.

    Square to the neighbour so much lies off the cloth as it is short of beyond its own least;
    along this edge that is so much over the sine of their angle, and a probe's step may be added.
    """
    if gap > 1e-6:
        return False
    length = short.to_s - short.from_s
    for other in beside:
        away = float(p.s[-1]) - other.to_s if at_end else other.from_s
        off = max(other.missing - other.least, 0.0) / sine + STEP + SLIGHT
        if away <= 1e-6 and length <= off and other.to_s - other.from_s > length:
            return True
    return False


def _own(lack: Array, p: Probe, least: float, cloth: shapely.Polygon) -> Array:
    """An edge's lack without places off the cloth to which the cloth is nearer another way."""
    off = np.flatnonzero(lack - least > SLIGHT)
    if not len(off):
        return lack
    ways = shapely.shortest_line(cloth, shapely.points(p.at[off]))
    way = np.diff(shapely.get_coordinates(ways).reshape(-1, 2, 2), axis=1)[:, 0]
    along = np.einsum("ij,ij->i", way, p.out[off])
    own = lack.copy()
    own[off[along < ASKEW * np.hypot(way[:, 0], way[:, 1])]] = -np.inf
    return own


def _stretches(piece: str, edge: str, p: Probe, lack: Array, least: float) -> list[Shortfall]:
    short = lack > SLIGHT
    change = np.flatnonzero(np.diff(np.concatenate([[0], short.astype(int), [0]])))
    found = []
    for lo, hi in change.reshape(-1, 2):
        worst = int(lo + np.argmax(lack[lo:hi]))
        found.append(
            Shortfall(
                piece,
                edge,
                _crossing(p.s, lack, lo - 1) if lo > 0 else float(p.s[lo]),
                _crossing(p.s, lack, hi - 1) if hi < len(p.s) else float(p.s[hi - 1]),
                float(lack[worst]),
                least,
                p.at[worst],
            )
        )
    return found


def _crossing(s: Array, lack: Array, i: int) -> float:
    """Where between samples i and i + 1 the lack is nothing."""
    rise = float(lack[i + 1] - lack[i])
    t = -float(lack[i]) / rise if np.isfinite(rise) and abs(rise) > 1e-12 else 0.5
    return float(s[i] + min(max(t, 0.0), 1.0) * (s[i + 1] - s[i]))


def spare(piece: Piece, edge: str, cloth: shapely.Polygon, from_s: float, to_s: float) -> float:
    """Cloth beyond the least workable allowance on a stretch of an edge, cm: its worst place.

    0 where there is none; an edge on the fold has none.
    """
    least = least_margins(piece)[edge]
    if piece.cut == "fold" and edge == piece.fold:
        return 0.0
    p = probe(piece.edge(edge))
    lo, hi = min(from_s, to_s) - 1e-6, max(from_s, to_s) + 1e-6
    chosen = (p.s >= lo) & (p.s <= hi)
    if not chosen.any():
        chosen[int(np.argmin(np.abs(p.s - (lo + hi) / 2)))] = True
    beyond = cloth_beyond(p.at[chosen], p.out[chosen], cloth)
    return max(float(beyond.min()) - least, 0.0)
