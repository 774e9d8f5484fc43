"""A garment's seams and corners compiled to rows of its layout, once, for fast truing."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.fitting.response import Response, Sketch
from pinwright.geometry.cubic import lengths
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey, Layout
from pinwright.pattern.piece import reach
from pinwright.pattern.seam import Corner, Give, Ref, Seam, ease_limits

Ids = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Part:
    """The stretch of a seam on one side of its anchor: which rows, and who gives at its end."""

    a: Ids
    b: Ids
    planned: float
    low: float
    high: float
    gives: tuple[Give, ...]
    at: str


@dataclass(frozen=True, eq=False)
class SeamPlan:
    """A seam in rows: ``a`` and ``b`` in seam order, ``bounds_*`` spans before each station."""

    seam: Seam
    a: Ids
    b: Ids
    bounds_a: tuple[int, ...]
    bounds_b: tuple[int, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True, eq=False)
class Turn:
    """How a run answers when its end turns by one radian anticlockwise about itself.

    Rows (k,) and displacements (k, 4, 2). The turn is felt over the run's reach and is nothing
    at both ends of it: x (1 - x / reach)^2 at distance x, so it does not matter where the run's
    spans meet.
    """

    rows: Ids
    shares: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CornerPlan:
    """Rows at a corner: the handle to turn, and the span it runs across.

    ``row`` and ``last`` address the end of the edge that runs through, ``across`` and
    ``across_last`` the end of the seam edge that meets it there.
    """

    piece: str
    row: int
    last: bool
    across: int
    across_last: bool
    turn: Turn


@dataclass(frozen=True, slots=True)
class JunctionPlan:
    """A junction in rows; ``b`` is None at a fold."""

    name: str
    a: CornerPlan
    b: CornerPlan | None
    angle: float
    share: float

    @property
    def rows(self) -> tuple[int, ...]:
        """The spans that meet here."""
        b = (self.b.row, self.b.across) if self.b else ()
        return (self.a.row, self.a.across, *b)


@dataclass(frozen=True, slots=True)
class DartPlan:
    """A dart in rows: the spans before and after its mouth, and the apex row in ``aux``."""

    piece: str
    dart: str
    before: int
    after: int
    apex: int
    turn_before: Turn
    turn_after: Turn


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything truing needs to know of a garment."""

    garment: Garment
    layout: Layout
    base_lengths: NDArray[np.float64]
    seams: tuple[SeamPlan, ...]
    junctions: tuple[JunctionPlan, ...]
    darts: tuple[DartPlan, ...]


def ref_rows(layout: Layout, refs: tuple[Ref, ...]) -> Ids:
    """Rows of a run of edges in seam order."""
    rows = [layout.span_ids((r.piece, r.edge))[:: -1 if r.reverse else 1] for r in refs]
    return np.concatenate(rows)


def station_bound(layout: Layout, refs: tuple[Ref, ...], name: str) -> int:
    """How many spans of a run come before the station called ``name``.

    Raises:
        KeyError: no edge of the run has it.
    """
    before = 0
    for r in refs:
        key: EdgeKey = (r.piece, r.edge)
        total = len(layout.span_ids(key))
        want_piece, _, rest = name.rpartition(".")
        want_edge, _, want = rest.rpartition(":")
        if want_piece in ("", r.piece) and want_edge in ("", r.edge):
            try:
                count = layout.boundary(key, want)
            except KeyError:
                count = -1
            if count >= 0:
                return before + (total - count if r.reverse else count)
        before += total
    raise KeyError(f"no station {name} in {refs}")


def seam_plan(layout: Layout, seam: Seam) -> SeamPlan:
    """Compile a seam."""
    a, b = ref_rows(layout, seam.a), ref_rows(layout, seam.b)
    bounds_a = tuple(station_bound(layout, seam.a, s.a) for s in seam.stations)
    bounds_b = tuple(station_bound(layout, seam.b, s.b) for s in seam.stations)
    if list(bounds_a) != sorted(bounds_a) or list(bounds_b) != sorted(bounds_b):
        raise ValueError(f"seam {seam.name}: its stations do not follow one another")
    at = [s.name for s in seam.stations].index(seam.anchor)
    last = len(seam.stations) - 1
    parts = []
    for lo, hi, end in ((0, at, "start"), (at, last, "end")):
        if lo == hi:
            continue
        stretches = seam.stretches[lo:hi]
        planned = sum(s.planned for s in stretches)
        parts.append(
            Part(
                a[bounds_a[lo] : bounds_a[hi]],
                b[bounds_b[lo] : bounds_b[hi]],
                planned,
                *ease_limits(stretches),
                tuple(sorted((g for g in seam.gives if g.at == end), key=lambda g: g.rank)),
                end,
            )
        )
    return SeamPlan(seam, a, b, bounds_a, bounds_b, tuple(parts))


def turn_of(layout: Layout, run: tuple[int, int], last: bool) -> Turn:
    """How a run (its first row and the row after its last) answers a turn of one of its ends."""
    ids = np.arange(*run)
    base = layout.ctrl[ids]
    size = lengths(base)
    s = np.concatenate([[0.0], np.cumsum(size)])
    far = reach(float(s[-1]))
    x = s[-1] - s if last else s
    inside = np.clip(1.0 - x / far, 0.0, 1.0)
    value = x * inside**2
    slope = np.where(x < far, inside * (1.0 - 3.0 * x / far), 0.0)
    # along the run the distance from its end falls, from its start it grows; the left normal
    # turned anticlockwise about an end points against, about a start along, the displacement
    sign = -1.0 if last else 1.0
    d, g = sign * value, slope
    arm0, arm1 = base[:, 1] - base[:, 0], base[:, 3] - base[:, 2]
    h0, h1 = np.hypot(*arm0.T), np.hypot(*arm1.T)
    n0 = np.stack([-arm0[:, 1], arm0[:, 0]], axis=1) / h0[:, None]
    n1 = np.stack([-arm1[:, 1], arm1[:, 0]], axis=1) / h1[:, None]
    p0, p3 = d[:-1, None] * n0, d[1:, None] * n1
    shares = np.stack(
        [p0, p0 + (h0 * g[:-1])[:, None] * n0, p3 - (h1 * g[1:])[:, None] * n1, p3], axis=1
    )
    touched = np.abs(shares).max(axis=(1, 2)) > 0.0
    return Turn(ids[touched], shares[touched])


def corner_plan(layout: Layout, corner: Corner) -> CornerPlan:
    """Compile a corner: the two edges must be neighbours."""
    key, across = (corner.piece, corner.edge), (corner.piece, corner.across)
    for last in (True, False):
        other, other_last = layout.neighbours[key, last]
        if other == across:
            e, x = layout.run_end(key, last), layout.run_end(other, other_last)
            run = layout.runs[key][-1 if last else 0]
            return CornerPlan(
                corner.piece, e.span, last, x.span, other_last, turn_of(layout, run, last)
            )
    raise ValueError(f"{corner.piece}: {corner.edge} and {corner.across} do not meet")


@lru_cache(maxsize=64)
def plan(garment: Garment) -> Plan:
    """The plan of a garment, compiled once and kept."""
    layout = garment.layout
    darts = []
    for piece in garment.pieces:
        for dart in piece.darts:
            key = (piece.name, dart.edge)
            i = layout.edges[key].darts.index(dart.name)
            runs = layout.runs[key]
            darts.append(
                DartPlan(
                    piece.name,
                    dart.name,
                    runs[i][1] - 1,
                    runs[i + 1][0],
                    layout.aux_index[piece.name, "apex", dart.name].start,
                    turn_of(layout, runs[i], True),
                    turn_of(layout, runs[i + 1], False),
                )
            )
    return Plan(
        garment,
        layout,
        lengths(layout.ctrl),
        tuple(seam_plan(layout, s) for s in garment.seams),
        tuple(
            JunctionPlan(
                j.name,
                corner_plan(layout, j.a),
                corner_plan(layout, j.b) if j.b else None,
                j.angle,
                j.share if j.b else 1.0,
            )
            for j in garment.junctions
        ),
        tuple(darts),
    )


@lru_cache(maxsize=64)
def widen_sleeve(garment: Garment, part: str) -> Response:
    """One cm more width at the underarm of the front or back half of the sleeve.

    Full at the underarm, nothing at the hem, straight between.
    """
    sketch = Sketch(garment)
    edge = f"under_{part}"
    key = ("sleeve", edge)
    length = sketch.edge_length(key)
    at_end = garment.piece("sleeve").edge(edge).end.startswith("underarm")
    knots = ((0.0, 0.0), (length, 1.0)) if at_end else ((0.0, 1.0), (length, 0.0))
    outward = np.array([1.0 if part == "front" else -1.0, 0.0])
    sketch.profile(key, knots, direction=outward, smooth=False)
    return sketch.done()


@lru_cache(maxsize=64)
def lengthen_at_fold(garment: Garment, piece: str) -> Response:
    """One cm more length of a collar or band at its centre back."""
    sketch = Sketch(garment)
    key = (piece, "centre")
    e = garment.piece(piece).edge("centre")
    along = np.asarray(e.last - e.first)
    outward = np.array([along[1], -along[0]]) / float(np.hypot(*along))
    sketch.profile(key, ((0.0, 1.0),), direction=outward)
    return sketch.done()


@lru_cache(maxsize=64)
def lengthen_band(garment: Garment, stretch: str) -> Response:
    """One cm more band in its front stretch (front to side) or back stretch (side to centre back).

    The front stretch takes everything behind the side along; both are straight shares along the
    seam and the top edge.
    """
    layout = garment.layout
    sketch = Sketch(garment)
    band = garment.piece("band")
    seam = band.edge("seam")
    side_count = layout.boundary(("band", "seam"), "side")
    ids = layout.span_ids(("band", "seam"))
    ahead = bool(np.hypot(*(seam.first - band.point("band_front"))) < 1e-6)
    to_side = float(lengths(layout.ctrl[ids[:side_count]]).sum()) if side_count else 0.0
    total = sketch.edge_length(("band", "seam"))
    front_end = to_side if ahead else total - to_side

    def ramp(s: float) -> float:
        """Share of a unit at distance s from centre front."""
        if stretch == "front":
            return min(s / front_end, 1.0)
        return max((s - front_end) / (total - front_end), 0.0)

    for name in ("seam", "top"):
        key = ("band", name)
        e = band.edge(name)
        size = sketch.edge_length(key)
        base = layout.ctrl[layout.span_ids(key)]
        reach = np.concatenate([[0.0], np.cumsum(lengths(base))])
        forward = bool(
            np.hypot(*(e.first - band.edge("front").last)) < 1e-6
            or np.hypot(*(e.first - band.edge("front").first)) < 1e-6
        )
        scale = total / size
        # displacement along the local tangent, away from centre front
        v = np.zeros((len(reach), 2))
        run = np.zeros(2)
        order = range(len(reach)) if forward else range(len(reach) - 1, -1, -1)
        before = None
        for i in order:
            s = reach[i] if forward else size - reach[i]
            w = ramp(s * scale)
            if before is not None:
                j, w0 = before
                chord = (base[j, 3] - base[j, 0]) if forward else (base[i, 0] - base[i, 3])
                run = run + (w - w0) * chord / float(np.hypot(*chord))
            v[i] = run
            before = (i, w)
        rows = layout.span_ids(key)
        for k, row in enumerate(rows):
            v0, v1 = v[k], v[k + 1]
            sketch.ctrl[row] += np.array([v0, v0 + (v1 - v0) / 3, v1 - (v1 - v0) / 3, v1])
    key = ("band", "centre")
    for last in (False, True):
        other, other_last = layout.neighbours[key, last]
        row, at = layout.run_end(other, other_last).span, 3 if other_last else 0
        sketch.follow(key, last, sketch.ctrl[row, at].copy())
    row, at = layout.station_row("band", "seam:side")
    for line in band.lines:
        if line.name == "side":
            sketch.move_inside("band", "line", "side", sketch.ctrl[row, at].copy())
    return sketch.done()
