"""A level followed round the garment: piece by piece, and from each on through its seams.

Nothing here knows pieces by name. Where the draft names the ends of a level on a piece the level
runs between them; on any other piece that the seams lead to (a side panel, a yoke at the hip) it
runs on from where the seam brings it, parallel to the level it belongs to. Widths are sewn ones:
what lies in a dart is not in them, nor allowances, nor what laps over beyond a centre line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.draft.features.bust_dart import closing
from pinwright.fitting.ledger import Half
from pinwright.fitting.plan import SeamPlan, plan
from pinwright.fitting.walking import stations
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Edge, Piece
from pinwright.pattern.seam import Ref, SeamKind

NOT_ROUND: tuple[SeamKind, ...] = ("cap", "neck", "band")
"""A level that runs into one of these seams does not go round the body there."""

CENTRE = "centre_"
"""Lines so named stand in the middle of the body; two fronts that lap over meet on them."""

FAR = 500.0
"""Farther than any piece is wide, cm."""

BESIDE = 1e-4
"""A level within this of a dart's leg, cm, runs along it."""

ON_MOUTH = 1e-6
"""A place so near to where a dart opens in an edge, cm, is on its mouth."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a net line: piece, edge, and the sewn distance along it, cm."""

    piece: str
    edge: str
    at: float


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One piece cut by a level, from ``start`` to ``end`` (2,), cm in the piece's own drawing.

    ``width`` is what of it goes round the body, ``overlap`` what lies beyond the centre line.
    """

    piece: str
    start: Array
    end: Array
    width: float
    overlap: float = 0.0

    @property
    def way(self) -> Array:
        """Unit direction from start to end, (2,)."""
        step: Array = self.end - self.start
        return step / float(np.hypot(*step))

    @property
    def height(self) -> float:
        """Height of its middle in the drawing, cm."""
        return float(self.start[1] + self.end[1]) / 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A level all round: ``closed`` round a limb, else from centre front to centre back."""

    cuts: tuple[Cut, ...]
    closed: bool


Ends = Mapping[str, tuple[Spot, Spot]]


def ring(half: Half, seed: str, ends: Ends, ways: Mapping[str, Array]) -> Ring | None:
    """The level through piece ``seed``, followed both ways; None where it does not go round.

    Args:
        half: one side of the garment as it is now.
        seed: the piece to begin with; it must be in ``ends``.
        ends: pieces on which both ends of the level are known.
        ways: unit direction (2,) of the level on other pieces; level where a piece is not named.
    """
    start, end = ends[seed]
    cuts = [_between(half, start, end)]
    seen = {seed}
    back = _onward(half, start)
    for first in (end, start):
        at = _onward(half, first)
        while isinstance(at, Spot):
            if at.piece in seen:
                return Ring(tuple(cuts), True) if at.piece == seed else None
            seen.add(at.piece)
            closes = first is end and isinstance(back, Spot) and back.piece == at.piece
            pair = ends.get(at.piece)
            if pair is None:
                out = back if closes else _opposite(half, at, ways.get(at.piece))
                pair = (at, out) if isinstance(out, Spot) else None
            if pair is None:
                return None
            cuts.append(_between(half, *pair))
            if closes:
                return Ring(tuple(cuts), True)
            at = _onward(half, pair[0] if pair[1].edge == at.edge else pair[1])
        if at is not None:
            return None
    return Ring(tuple(cuts), False)


def named(piece: Piece, point: str) -> Spot:
    """A point of a piece ("edge:point") as a place on the upright edge that it lies on.

    Of two edges that meet in a corner the level is followed through the one that runs up and down.

    Raises:
        KeyError: the piece has no such point.
    """
    want_edge, _, want = point.rpartition(":")
    found: list[tuple[float, Spot]] = []
    for e in piece.edges:
        spot = None
        if want in e.stations and want_edge in ("", e.name):
            return Spot(piece.name, e.name, e.distance(want))
        if want == e.start:
            spot, way = 0.0, e.runs[0].start_tangent
        elif want == e.end:
            spot, way = e.length, e.runs[-1].end_tangent
        if spot is not None:
            found.append((abs(float(way[1])), Spot(piece.name, e.name, spot)))
    if not found:
        raise KeyError(f"piece {piece.name} has no point {point}")
    return max(found, key=lambda item: item[0])[1]


def crossings(piece: Piece, through: Array, way: Array) -> list[Spot]:
    """Where a straight line crosses the net line with its side darts closed, along ``way``.

    The line is level as the garment is worn: above a dart that opens in an upright edge the edge
    is crossed where it stands with the dart sewn, its lowest run standing as drawn.
    """
    line = Path.line(through - FAR * way, through + FAR * way)
    found: list[tuple[float, Spot]] = []
    for e in piece.edges:
        before = 0.0
        for run, motion in zip(e.runs, _closed(piece, e), strict=True):
            for s, t in run.transformed(motion).intersections(line):
                found.append((t, Spot(piece.name, e.name, before + s)))
            before += run.length
    return [spot for _, spot in sorted(found, key=lambda item: item[0])]


def mating(half: Half, piece: str, edge: str) -> SeamPlan | None:
    """The seam an edge is sewn in to another piece, or to another edge of its own; None if none."""
    for sp in plan(half.garment).seams:
        here = any((r.piece, r.edge) == (piece, edge) for r in (*sp.seam.a, *sp.seam.b))
        if here and not sp.seam.mirror:
            return sp
    return None


def across(half: Half, sp: SeamPlan, spot: Spot) -> Spot:
    """The place on the other side of a seam that is sewn to this one, walked between stations."""
    where = stations(half, sp)
    mine, other, here, there = sp.seam.a, sp.seam.b, where.a, where.b
    if not any((r.piece, r.edge) == (spot.piece, spot.edge) for r in mine):
        mine, other, here, there = other, mine, there, here
    s = _along(half, mine, spot)
    return _spot(half, other, float(np.interp(s, here, there)))


def at(half: Half, spot: Spot) -> Array:
    """The point (2,) at a place, in the piece's own drawing."""
    e = half.piece(spot.piece).edge(spot.edge)
    run, s = _in_run(e, spot.at)
    return np.asarray(e.runs[run].at(s))


def cut(piece: Piece, start: Array, end: Array) -> Cut:
    """A piece cut from ``start`` to ``end`` (2,); what laps over and what is in darts taken out.

    Across a dart in a level edge (a waist dart) the level stops at one leg and goes on level at the
    other. Across one in an upright edge (a side bust dart) what is above it turns as it is sewn, so
    the width is taken straight across with the dart closed.
    """
    middle = (piece.line(name).path for name in centres(piece))
    inner_start, inner_end = to_centre([np.stack([p.start, p.end]) for p in middle], start, end)
    width = float(np.hypot(*(inner_end - inner_start)))
    overlap = float(np.hypot(*(end - start))) - width
    for dart in piece.darts:
        a, b = piece.mouth(dart.name)
        legs = shapely.Polygon([a, dart.apex, b])
        line = shapely.LineString([inner_start, inner_end])
        # a level along a leg, or to the corner of a mouth, does not cross the dart
        if line.intersection(legs.buffer(-BESIDE)).is_empty:
            continue
        if not _upright(a, b):
            width -= line.intersection(legs).length
            continue
        turn = closing(piece, dart.name)
        if _first(inner_start, inner_end, dart.apex, b) < _first(
            inner_start, inner_end, dart.apex, a
        ):
            turn = turn.inverse()
        width = float(np.hypot(*(turn.apply(inner_end) - inner_start)))
    return Cut(piece.name, start, end, width, overlap)


def _between(half: Half, start: Spot, end: Spot) -> Cut:
    return cut(half.piece(start.piece), at(half, start), at(half, end))


def _onward(half: Half, spot: Spot) -> Spot | SeamKind | None:
    """The place sewn to this one; None at the body's middle; the seam's kind where none is round.

    An edge that is sewn to nothing, to the fold or to its own mirror image ends the level.
    """
    sp = mating(half, spot.piece, spot.edge)
    if sp is None:
        return None
    return sp.seam.kind if sp.seam.kind in NOT_ROUND else across(half, sp, spot)


def _opposite(half: Half, entry: Spot, way: Array | None) -> Spot | None:
    """Where a level that enters a piece leaves it: the farthest crossing on another edge."""
    piece = half.piece(entry.piece)
    e = piece.edge(entry.edge)
    run, _ = _in_run(e, entry.at)
    through = _closed(piece, e)[run].apply(at(half, entry))
    level = np.array([1.0, 0.0]) if way is None else way
    found = crossings(piece, through, level)
    if not found or entry.edge not in (found[0].edge, found[-1].edge):
        return None
    out = found[-1] if found[0].edge == entry.edge else found[0]
    return out if out.edge != entry.edge else None


def _closed(piece: Piece, e: Edge) -> list[Motion]:
    """For each run of an edge, how it moves as the darts of an upright edge are sewn closed."""
    still = [Motion.identity() for _ in e.runs]
    if not e.darts or not all(_upright(*piece.mouth(d)) for d in e.darts):
        return still
    up = float(e.last[1]) > float(e.first[1])
    turns = [closing(piece, d) for d in e.darts]
    found = still[:1]
    if up:
        for turn in turns:
            found.append(found[-1] @ turn)
        return found
    for turn in reversed(turns):
        found.insert(0, found[0] @ turn.inverse())
    return found


def _upright(a: Array, b: Array) -> bool:
    return abs(float(b[1] - a[1])) > abs(float(b[0] - a[0]))


def _first(start: Array, end: Array, p: Array, q: Array) -> float:
    """Part of the way from start to end at which it meets the stretch p to q; 2 where it misses."""
    hit = shapely.LineString([start, end]).intersection(shapely.LineString([p, q]))
    if hit.is_empty:
        return 2.0
    xy = shapely.get_coordinates(hit)[0]
    return float(np.hypot(*(xy - start)) / np.hypot(*(end - start)))


def centres(piece: Piece) -> list[str]:
    """Names of the lines in a piece that stand in the middle of the body."""
    return [
        line.name
        for line in piece.lines
        if line.kind in ("balance", "plumb") and line.name.startswith(CENTRE)
    ]


def to_centre(lines: Iterable[Array], start: Array, end: Array) -> tuple[Array, Array]:
    """The ends of a cut (2,), brought in to the centre line where it runs beyond one.

    ``lines``: points (n, 2) of each centre line of the piece, from one end to the other.
    """
    for line in lines:
        a, along = line[0], line[-1] - line[0]
        before, beyond = (
            float(along[0] * (p[1] - a[1]) - along[1] * (p[0] - a[0])) for p in (start, end)
        )
        if before * beyond >= 0.0:
            continue
        meet = start + before / (before - beyond) * (end - start)
        if np.hypot(*(meet - start)) < np.hypot(*(end - meet)):
            start = meet
        else:
            end = meet
    return start, end


def _in_run(e: Edge, s: float) -> tuple[int, float]:
    """The run of an edge at a sewn distance, and the distance in it; at a dart the lower run."""
    up = float(e.last[1]) > float(e.first[1])
    for i, run in enumerate(e.runs[:-1]):
        if s < run.length - ON_MOUTH or (up and s <= run.length + ON_MOUTH):
            return i, min(max(s, 0.0), run.length)
        s -= run.length
    return len(e.runs) - 1, min(max(s, 0.0), e.runs[-1].length)


def _along(half: Half, refs: Sequence[Ref], spot: Spot) -> float:
    """Distance of a place from the start of a seam's run, cm."""
    before = 0.0
    for r in refs:
        size = half.piece(r.piece).edge(r.edge).length
        if (r.piece, r.edge) == (spot.piece, spot.edge):
            return before + (size - spot.at if r.reverse else spot.at)
        before += size
    raise KeyError(f"{spot.piece}, {spot.edge} is not in this run")


def _spot(half: Half, refs: Sequence[Ref], s: float) -> Spot:
    """The place at a distance from the start of a seam's run; the earlier edge where two meet."""
    for r in refs:
        size = half.piece(r.piece).edge(r.edge).length
        if s <= size + 1e-9 or r is refs[-1]:
            s = min(s, size)
            return Spot(r.piece, r.edge, size - s if r.reverse else s)
        s -= size
    raise KeyError("a seam has no edges")
