"""What a fitting changed on a piece: where its lines moved, what to trim, which reserve is used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import Probe, cloth_as_cut, probe
from pinwright.cutting.cutline import (
    cut_line,
    least_margins,
    margin_along,
    margin_near,
    net_line,
    net_polygon,
    right_of,
)
from pinwright.cutting.reserve import shortfalls
from pinwright.measures.amounts import amount, said
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Edge, Piece
from pinwright.sheets.drawn import Drawn, numbers
from pinwright.sheets.moved import edge_words, station_words
from pinwright.sheets.notches import NotchMark

Array = NDArray[np.float64]
Kind = Literal["trim", "use", "lack"]

SLIGHT = 0.05
"""Movements smaller than this, cm, are not told: half of what a tape shows."""

_SLIVER = 0.03


@dataclass(frozen=True, slots=True, eq=False)
class Shift:
    """How far a named place of an edge moved.

    ``out`` cm square to the old net line, positive outwards; ``along`` cm along it, for notches.
    ``at`` (2,) is the old place, ``normal`` (2,) outwards there.
    """

    edge: str
    name: str
    at: Array
    normal: Array
    out: float
    along: float = 0.0

    def text(self, unit: LengthUnit = "cm") -> str:
        """As written on the sheet: "1.2 outwards", "0.5 inwards", '1/2" outwards'."""
        parts = []
        if abs(self.out) >= SLIGHT:
            # never "in": beside a number that is an inch
            parts.append(f"{marked(self.out, unit)} {'outwards' if self.out > 0 else 'inwards'}")
        if abs(self.along) >= SLIGHT:
            parts.append(f"notch {marked(self.along, unit)} along")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """A numbered stretch of cloth on the recut sheet.

    "trim" lies beyond the new cut line, "use" is cloth outside the old net line that the garment
    now takes, "lack" is where cloth is missing. ``most`` is its greatest width, cm: the diameter
    of the largest circle in it.
    """

    number: int
    kind: Kind
    area: shapely.Polygon
    where: str
    most: float
    kept: bool = False

    def text(self, unit: LengthUnit = "cm") -> str:
        """The line of the key."""
        wide = f"{said(self.most, unit)} at most"
        if self.kind == "trim":
            keep = "; or keep it as reserve" if self.kept else ""
            return f"trim {self.where}: {wide}{keep}"
        if self.kind == "use":
            return f"reserve used at {self.where}: {wide}"
        return f"CLOTH IS MISSING at {self.where}: {wide}"


def marked(cm: float, unit: LengthUnit) -> str:
    """A movement as it stands by its line: "1.2", or with the inch mark."""
    told = amount(cm, unit)
    return f'{told.removesuffix(" in")}"' if unit == "in" else told


def changed(d: Drawn) -> bool:
    """Whether a piece is not as it was drafted, or its cloth not as its cut line says."""
    if d.before is not None and any(
        abs(s.out) >= SLIGHT or abs(s.along) >= SLIGHT for s in shifts(d.before, d.piece)
    ):
        return True
    if d.before is not None and _moved_inside(d.before, d.piece):
        return True
    if new_marks(d) or notch_moves(d):
        return True
    return any(r.kind != "use" for r in regions(d))


def only_moved(before: Piece, after: Piece) -> bool:
    """Whether a piece is the same as it was and only lies elsewhere on what it follows."""
    (net, inside, margins), (net_now, inside_now, margins_now) = numbers(before), numbers(after)
    if (net.shape, inside.shape) != (net_now.shape, inside_now.shape):
        return False
    step = (net_now - net).mean(axis=0)
    return (
        float(np.abs(net_now - net - step).max()) < SLIGHT
        and float(np.abs(inside_now - inside - step).max(initial=0.0)) < SLIGHT
        and bool(np.array_equal(margins, margins_now))
    )


def notch_moves(d: Drawn) -> tuple[tuple[NotchMark, NotchMark, float], ...]:
    """The notches that slid: as it was, as it is, and how far along the edge, cm."""
    found = []
    for old, new in _pairs(d):
        if old is None or new is None or not old.count:
            continue
        along = float((new.at - old.at) @ np.array([-old.out[1], old.out[0]]))
        if abs(along) >= SLIGHT:
            found.append((old, new, along))
    return tuple(found)


def new_marks(d: Drawn) -> tuple[NotchMark, ...]:
    """The notches that were not there before, as where a turned sleeve meets the side seam."""
    return tuple(n for o, n in _pairs(d) if o is None and n is not None and n.count)


def _pairs(d: Drawn) -> list[tuple[NotchMark | None, NotchMark | None]]:
    """Each notch as it was and as it is, by edge and name, in the order of the piece."""
    if d.before is None:
        return []
    left = list(d.old_notches)
    found: list[tuple[NotchMark | None, NotchMark | None]] = []
    for n in d.notches:
        old = next((o for o in left if (o.edge, o.name) == (n.edge, n.name)), None)
        if old is not None:
            left.remove(old)
        found.append((old, n))
    return found + [(o, None) for o in left]


def _moved_inside(before: Piece, after: Piece) -> bool:
    """Whether a dart point, a drawn line or a mark moved."""
    for a, b in zip(before.darts, after.darts, strict=True):
        if float(np.hypot(*(a.apex - b.apex))) >= SLIGHT:
            return True
    for x, y in zip(before.lines, after.lines, strict=True):
        if x.path.spans != y.path.spans:
            return True
        if float(np.abs(x.path.ctrl - y.path.ctrl).max()) >= SLIGHT:
            return True
    return any(
        float(np.hypot(*(m.at - n.at))) >= SLIGHT
        for m, n in zip(before.marks, after.marks, strict=True)
    )


def places(edge: Edge) -> list[tuple[str, float]]:
    """The named places of an edge with their distances along the sewn edge, in order."""
    found = [(edge.start, 0.0)]
    before = 0.0
    for i, run in enumerate(edge.runs):
        sums = run.cumulative
        found += [(name, before + sums[k]) for name, (r, k) in edge.stations.items() if r == i]
        before += run.length
        if i < len(edge.darts):
            found.append((edge.darts[i], before))
    found.append((edge.end, before))
    return sorted(found, key=lambda place: place[1])


def shifts(before: Piece, after: Piece) -> tuple[Shift, ...]:
    """How far every corner, notch and dart mouth moved, edge by edge.

    Measured from the old place square to the old net line to where the new one crosses, the new
    edge run on straight beyond its ends.
    """
    found: list[Shift] = []
    for old in before.edges:
        new = after.edge(old.name)
        line = _run_on(net_line(after, new))
        for name, at, normal, then, inner in _points(old, new):
            out = _crossing(at, normal, line)
            if out is None:
                out = float((then - at) @ normal)
            along = float((then - at) @ np.array([-normal[1], normal[0]])) if inner else 0.0
            found.append(Shift(old.name, name, at, normal, out, along))
    return tuple(found)


def _points(old: Edge, new: Edge) -> list[tuple[str, Array, Array, Array, bool]]:
    """(name, old place, outward normal, new place, whether it is a notch) along an edge."""
    found = [(old.start, old.first, right_of(old.runs[0].start_tangent), new.first, False)]
    for i, run in enumerate(old.runs):
        fresh = new.runs[i]
        for name, (r, k) in old.stations.items():
            if r != i or not 0 < k < run.spans:
                continue
            s = run.cumulative[k]
            found.append((name, run.at(s), right_of(run.tangent(s)), _station(new, name),
                          True))  # fmt: skip
        if i < len(old.darts):
            name = old.darts[i]
            nxt, fresh_nxt = old.runs[i + 1], new.runs[i + 1]
            found.append((name, run.end, right_of(run.end_tangent), fresh.end, True))
            found.append((name, nxt.start, right_of(nxt.start_tangent), fresh_nxt.start, True))
    found.append((old.end, old.last, right_of(old.runs[-1].end_tangent), new.last, False))
    return found


def _station(edge: Edge, name: str) -> Array:
    run, count = edge.stations[name]
    ctrl = edge.runs[run].ctrl
    at: Array = ctrl[count, 0] if count < len(ctrl) else ctrl[-1, 3]
    return at


def _run_on(line: Array, by: float = 8.0) -> Array:
    first, last = line[0] - line[1], line[-1] - line[-2]
    return np.concatenate(
        [
            (line[0] + by * first / float(np.hypot(*first)))[None],
            line,
            (line[-1] + by * last / float(np.hypot(*last)))[None],
        ]
    )


def _crossing(at: Array, way: Array, line: Array, reach: float = 12.0) -> float | None:
    """Signed distance along ``way`` to the nearest crossing of a polyline, None within reach."""
    a, leg = line[:-1], np.diff(line, axis=0)
    gap = a - at
    det = leg[:, 0] * way[1] - leg[:, 1] * way[0]
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (leg[:, 0] * gap[:, 1] - leg[:, 1] * gap[:, 0]) / det
        u = (way[0] * gap[:, 1] - way[1] * gap[:, 0]) / det
    hit = (np.abs(det) > 1e-12) & (u >= -1e-9) & (u <= 1.0 + 1e-9) & (np.abs(t) <= reach)
    return float(t[hit][np.argmin(np.abs(t[hit]))]) if hit.any() else None


def regions(d: Drawn, first: int = 1) -> tuple[Region, ...]:
    """Where to trim, where reserve is used and where cloth is missing, numbered from ``first``.

    A piece that is not cut yet is measured against its cut line as drafted.
    """
    before = d.before or d.piece
    cloth = d.cloth or cloth_as_cut(before)
    net, old = net_polygon(d.piece), net_polygon(before)
    cut = shapely.Polygon(d.cut_line)
    least = least_margins(d.piece)
    workable = shapely.Polygon(cut_line(d.piece, margin=least))
    # corners of two differing mitres may poke out a little where nothing is missing
    short = {s.edge for s in shortfalls(d.piece, cloth) if s.missing > SLIGHT}
    missing = shapely.difference(workable, cloth) if short else shapely.Polygon()
    fold = d.piece.fold if d.piece.cut == "fold" else None
    probes = [(e.name, probe(e)) for e in d.piece.edges if e.name != fold]
    found: list[Region] = []
    cut_out = {name: margin_along(d.piece.edge(name), p.s)[:, None] for name, p in probes}
    kinds: tuple[tuple[Kind, shapely.Geometry, Mapping[str, Array | float]], ...] = (
        ("trim", shapely.difference(cloth, cut), cut_out),
        ("use", shapely.difference(net, old), dict.fromkeys(least, 0.0)),
        ("lack", missing, least),
    )
    for kind, area, beyond in kinds:
        solid = area.buffer(-_SLIVER, join_style="mitre").buffer(_SLIVER, join_style="mitre")
        for part in shapely.get_parts(_by_edge(solid, kind, before, d.piece)):
            if part.area < 0.1:
                continue
            most = 2.0 * float(shapely.maximum_inscribed_circle(part).length)
            if most < 2 * SLIGHT:
                continue
            where, edges = _where(part, most, probes, beyond, d.piece)
            if kind == "lack" and edges and not short & set(edges):
                continue
            kept = any(d.piece.edge(e).reserve > 0.0 for e in edges)
            found.append(Region(first + len(found), kind, part, where, most, kept))
    return tuple(found)


def _by_edge(area: shapely.Geometry, kind: Kind, before: Piece, after: Piece) -> shapely.Geometry:
    """An area cut apart at the corners of the piece, so that each part lies along one edge."""
    cuts = []
    for k, e in enumerate(after.edges):
        ahead = after.edges[(k + 1) % len(after.edges)]
        corner = e.last
        if kind == "use":
            old = before.edges[k].last
            way = corner - old
            start, end = old - way, corner + way
        else:
            n, m = right_of(e.runs[-1].end_tangent), right_of(ahead.runs[0].start_tangent)
            wide = np.array([margin_near(e, corner)[0], margin_near(ahead, corner)[0]])
            if abs(n[0] * m[1] - n[1] * m[0]) < 0.2 or wide.min() <= 0.0:
                continue
            way = np.linalg.solve(np.array([n, m]), wide)
            start, end = corner, corner + 3.0 * way
        if float(np.hypot(*(end - start))) > 0.1:
            cuts.append(shapely.LineString([start, end]).buffer(1e-4))
    return shapely.difference(area, shapely.union_all(cuts)) if cuts else area


def _where(
    area: shapely.Polygon,
    most: float,
    probes: list[tuple[str, Probe]],
    beyond: Mapping[str, Array | float],
    piece: Piece,
) -> tuple[str, list[str]]:
    """Which edges an area lies along and between which of their named places.

    An edge that the area only meets with its end, at a corner, is not one of them.
    """
    near = area.buffer(0.12)
    along: list[tuple[float, float, str, Probe]] = []
    for name, p in probes:
        inside = shapely.covers(near, shapely.points(p.at + beyond[name] * p.out))
        if inside.any():
            along.append((float(p.s[inside].min()), float(p.s[inside].max()), name, p))
    longest = max((hi - lo for lo, hi, _, _ in along), default=0.0)
    where: list[str] = []
    edges: list[str] = []
    for lo, hi, name, p in along:
        if hi - lo < min(max(1.5 * most + 0.5, 1.0), longest):
            continue
        named = places(piece.edge(name))
        start = min(named, key=lambda place: abs(place[1] - lo))
        end = min(named, key=lambda place: abs(place[1] - hi))
        word = edge_words(name)
        whole = lo < 0.5 and hi > float(p.s[-1]) - 0.5
        a, b = (station_words(name, x[0]) for x in (start, end))
        if whole:
            where.append(f"the {word}")
        elif a == b:
            where.append(f"the {word} near {a}")
        else:
            where.append(f"the {word} from {a} to {b}")
        edges.append(name)
    return (", ".join(where) or "a corner"), edges
