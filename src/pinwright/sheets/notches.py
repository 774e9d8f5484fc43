"""Where the notches go: one side of a seam as drafted, the other by walking it along the first.

On side a the notches stand at the drafted stations, which every correction carries along. On
side b they are placed by walking from the anchor: the sewn length of a less the planned
difference of each stretch, so that the two sides meet notch to notch. A cap is walked the other
way: the armhole keeps its notches, and below them the cap measures what the armhole measures,
from both underarm ends; the shoulder notch stands at the cap's own station.

What follows by rule (lining, facing, pocketing) is notched in the same way by seams of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.cutting.cutline import margin_near
from pinwright.fitting.ledger import Half, as_drafted
from pinwright.fitting.plan import plan
from pinwright.fitting.walking import PITCH, planned_differences, stations
from pinwright.geometry import cubic as cb
from pinwright.makingup.seams import made_up
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece
from pinwright.pattern.seam import Ref

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class NotchMark:
    """A notch on the net line, named as its station.

    ``at`` (2,), unit ``out`` normal (2,), ``count`` cuts; a count of 0 is a station that is not
    notched. ``reach`` is the cloth beyond the net line there in cm, ``thread`` whether it is
    marked by thread because reserve lies beyond it.
    """

    name: str
    edge: str
    at: Array
    out: Array
    count: int = 1
    reach: float = 1.0
    thread: bool = False


def notches(half: Half, every: Iterable[Piece] = ()) -> dict[str, tuple[NotchMark, ...]]:
    """The notches of every piece that has any, in the order of the garment's seams.

    Dart mouths are marked too, named "<dart> in" and "<dart> out". Stations that are not notched
    and lie inside an edge come with a count of 0. Of ``every`` piece those that are not the half's
    own follow it by rule: they are notched where they are sewn to each other and to its own.
    """
    found = _marks(half)
    made = tuple(p for p in every if p.name not in half.by_name)
    if not made:
        return found
    planned = {sp.seam.name: planned_differences(half, sp) for sp in plan(half.garment).seams}
    solved = replace(half.garment, pieces=half.pieces, facts=half.facts)
    names = {p.name for p in made}
    # a seam of the shell has its notches already
    own = {(r.piece, r.edge) for s in half.garment.seams for r in (*s.a, *s.b)}
    for name, marks in _marks(as_drafted(made_up(solved, made, planned))).items():
        more = tuple(m for m in marks if name in names or (name, m.edge) not in own)
        if more:
            found[name] = (*found.get(name, ()), *more)
    return found


def _marks(half: Half) -> dict[str, tuple[NotchMark, ...]]:
    found: dict[str, list[NotchMark]] = {}
    seen: set[tuple[str, str, int, int]] = set()

    def add(piece: str, mark: NotchMark) -> None:
        key = (piece, mark.edge, round(float(mark.at[0]) * 1e4), round(float(mark.at[1]) * 1e4))
        if key not in seen:
            seen.add(key)
            found.setdefault(piece, []).append(mark)

    for sp in plan(half.garment).seams:
        where = stations(half, sp)
        if sp.seam.kind == "cap" and half.facts.get(PITCH):
            # its own seam no longer meets the side seam: mark where that is met
            total = float(half.lengths[sp.a].sum())
            owners = _owners(half.garment, sp.seam.a)
            ref, at, out = _place(half, sp.a, owners, -half.facts[PITCH] % total)
            e = half.garment.piece(ref.piece).edge(ref.edge)
            add(ref.piece, NotchMark("side seam", ref.edge, at, out, 1, *_beyond(e, at)))
        for refs, rows, placed in (
            (sp.seam.a, sp.a, where.a),
            (sp.seam.b, sp.b, where.b),
        ):
            rows_owner = _owners(half.garment, refs)
            for station, s in zip(sp.seam.stations, placed, strict=True):
                inner = 1e-6 < s < float(half.lengths[rows].sum()) - 1e-6
                if station.notch == 0 and not inner:
                    continue
                ref, at, out = _place(half, rows, rows_owner, s)
                e = half.garment.piece(ref.piece).edge(ref.edge)
                add(
                    ref.piece,
                    NotchMark(
                        station.name,
                        ref.edge,
                        at,
                        out,
                        station.notch,
                        *_beyond(e, at),
                    ),
                )
    for piece in half.pieces:
        for dart in piece.darts:
            e = piece.edge(dart.edge)
            i = e.darts.index(dart.name)
            for end, at, t in (
                ("in", e.runs[i].end, e.runs[i].end_tangent),
                ("out", e.runs[i + 1].start, e.runs[i + 1].start_tangent),
            ):
                out = np.array([t[1], -t[0]])
                add(
                    piece.name,
                    NotchMark(f"{dart.name} {end}", e.name, at, out, 1, *_beyond(e, at)),
                )
    return {name: tuple(marks) for name, marks in found.items()}


def _beyond(edge: Edge, at: Array) -> tuple[float, bool]:
    """Cloth beyond the net line at a place (cm), and whether reserve is part of it there."""
    reach, kept = margin_near(edge, at)
    return reach, kept > 1e-6


@lru_cache(maxsize=256)
def _owners(garment: Garment, refs: tuple[Ref, ...]) -> tuple[Ref, ...]:
    """For each row of a run in seam order, the edge it belongs to."""
    return tuple(r for r in refs for _ in garment.layout.span_ids((r.piece, r.edge)))


def _place(
    half: Half, rows: NDArray[np.intp], owners: tuple[Ref, ...], s: float
) -> tuple[Ref, Array, Array]:
    """The edge, point (2,) and outward normal (2,) at distance ``s`` along a run."""
    sums = np.concatenate([[0.0], np.cumsum(half.lengths[rows])])
    k = int(np.clip(np.searchsorted(sums, s - 1e-9, side="left") - 1, 0, len(rows) - 1))
    cubic, ref = half.ctrl[rows[k]], owners[k]
    local = float(s - sums[k])
    size = float(half.lengths[rows[k]])
    along = size - local if ref.reverse else local
    if along <= 1e-9:
        u = 0.0
    elif along >= size - 1e-9:
        u = 1.0
    else:
        u = float(cb.param_at_length(cubic, along))
    at = cb.points(cubic[None], np.array([u]))[0, 0]
    d = cb.derivatives(cubic[None], np.array([u]))[0, 0]
    if float(np.hypot(*d)) < 1e-7:
        d = cubic[3] - cubic[0]
    d = d / float(np.hypot(*d))
    return ref, at, np.array([d[1], -d[0]])
