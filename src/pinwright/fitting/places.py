"""Places on the figure, resolved to a garment's own edges, levels and targets."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.plan import lengthen_band
from pinwright.fitting.response import Response, Sketch
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import Width

CROTCH = {("front", "centre"): "front_crotch", ("back", "seat"): "back_crotch"}
"""Edges whose length is a target that a correction moving them on purpose moves too."""


def place_edges(garment: Garment, place: str, part: str = "both") -> tuple[PlaceEdge, ...]:
    """The edges a place falls on, of the front, the back or both.

    Raises:
        CorrectionError: the garment has no such place.
    """
    if place not in garment.places:
        raise CorrectionError(
            f"The {garment.title} has no {place.replace('_', ' ')}; it has "
            f"{', '.join(sorted(p.replace('_', ' ') for p in garment.places))}."
        )
    edges = tuple(e for e in garment.places[place] if part in ("both", e.part))
    if not edges:
        raise CorrectionError(
            f"The {garment.title} has no {part} edge at the {place.replace('_', ' ')}."
        )
    return edges


def level(garment: Garment, key: EdgeKey, name: str) -> float:
    """Drafted arc length (cm) from the start of an edge to a named level on it.

    A level is a station of the edge, or the beginning of the name of its start or end point
    ("waist" is the end called waist_side).

    Raises:
        CorrectionError: the edge does not reach that level.
    """
    sketch = Sketch(garment)
    e = garment.layout.edges[key]
    if name in e.stations:
        return sketch.station_length(key, name)
    if e.start == name or e.start.startswith(name + "_"):
        return 0.0
    if e.end == name or e.end.startswith(name + "_"):
        return sketch.edge_length(key)
    known = ", ".join(dict.fromkeys((e.start, *e.stations, e.end)))
    raise CorrectionError(
        f"The {key[0]}'s {key[1]} does not reach the level {name!r}; it has {known}."
    )


def point(garment: Garment, piece: str, name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A drafted corner or station, (2,) cm; raises KeyError when there is none."""
    row, col = garment.layout.station_row(piece, name)
    return np.asarray(garment.layout.ctrl[row, col])


def pieces_at_home(garment: Garment, home: str) -> tuple[str, ...]:
    """The pieces that take the place of a block piece on the figure (back: back and yoke)."""
    return tuple(p.name for p in garment.pieces if p.home == home)


def knots(
    garment: Garment, key: EdgeKey, shape: str, start: str | None, stop: str | None
) -> tuple[tuple[float, float], ...]:
    """Knots of a profile: whole edge, between two levels, or full at one, nothing at the other.

    ``shape`` "constant" holds the amount between the two levels and fades it over the next 8 cm
    (or to the end of the edge where that is nearer); "taper" goes from the full amount at
    ``start`` to nothing at ``stop``, easing in and out. One level alone is the full amount there,
    run out to nothing at the next levels on both sides (a waist nipped in: nothing at the hip and
    under the arm; common practice).
    """
    total = Sketch(garment).edge_length(key)
    if start is None and stop is None:
        return ((0.0, 1.0),)
    first = level(garment, key, start) if start is not None else None
    other = level(garment, key, stop) if stop is not None else None
    if shape == "taper":
        if first is None or other is None:
            raise CorrectionError("A tapering change needs two levels, from where and to where.")
        if abs(first - other) < 1.0:
            raise CorrectionError(
                f"A tapering change needs two different levels; {start!r} and {stop!r} lie "
                "together."
            )
        if first < other:
            return ((first, 1.0), (other, 0.0))
        return ((other, 0.0), (first, 1.0))
    if first is None or other is None:
        return _peak(garment, key, first if first is not None else other or 0.0, total)
    lo, hi = sorted((first, other))
    out: list[tuple[float, float]] = []
    if lo > 0.5:
        out.append((max(lo - 8.0, 0.0), 0.0) if lo > 1.0 else (0.0, 1.0))
    out += [(lo, 1.0), (hi, 1.0)]
    if hi < total - 0.5:
        out.append((min(hi + 8.0, total), 0.0))
    return tuple(out)


RUN_OUT = 8.0
"""A change at one level runs out at the next level at least so far away (cm)."""


def _peak(
    garment: Garment, key: EdgeKey, at: float, total: float
) -> tuple[tuple[float, float], ...]:
    """Full at one place of an edge, nothing at the next levels on both sides."""
    sketch = Sketch(garment)
    marks = [0.0, total]
    marks += [sketch.station_length(key, s) for s in garment.layout.edges[key].stations]
    below = max((m for m in marks if m <= at - RUN_OUT), default=None)
    above = min((m for m in marks if m >= at + RUN_OUT), default=None)
    out = [] if below is None else [(below, 0.0)]
    out.append((at, 1.0))
    return (*out, *(() if above is None else ((above, 0.0),)))


def value_at(ks: Sequence[tuple[float, float]], s: float) -> float:
    """The profile through knots (a smoothstep between them) at arc length ``s``."""
    if s <= ks[0][0]:
        return ks[0][1]
    for (x0, y0), (x1, y1) in pairwise(ks):
        if s <= x1:
            u = (s - x0) / max(x1 - x0, 1e-12)
            return y0 + (y1 - y0) * u * u * (3 - 2 * u)
    return ks[-1][1]


def girth_effects(
    sketch: Sketch, moved: Sequence[tuple[EdgeKey, Sequence[tuple[float, float]]]]
) -> None:
    """Declare what moving edges outward along their normals does to the garment's girths.

    For each girth measured to a point of a moved edge the change is the profile there times the
    cosine between the drafted normal and the direction of the girth; for one measured along an
    edge that ends at its corner, by how much that edge gets longer; times the target's factor.
    """
    g = sketch.garment
    for target in g.targets:
        change = 0.0
        for part in target.parts:
            for (piece, name), ks in moved:
                if part.piece != piece:
                    continue
                if isinstance(part, Width):
                    ends = (part.start, part.end)
                    along = point(g, piece, part.end) - point(g, piece, part.start)
                    for end in ends:
                        s = _reach(g, (piece, name), end)
                        if s is not None:
                            normal = _normal(g, (piece, name), end.rpartition(":")[2])
                            cosine = abs(float(normal @ along)) / float(np.hypot(*along))
                            change += value_at(ks, s) * cosine
                elif part.edge != name and (piece, part.edge) not in CROTCH:
                    corners = _shared(g, (piece, name), (piece, part.edge))
                    if any(value_at(ks, s) for s in corners):
                        change += sketch.stretch_rate((piece, part.edge))
        if change:
            sketch.effect(target.name, change * target.factor)


def _normal(garment: Garment, key: EdgeKey, name: str) -> Array:
    """Drafted unit normal of an edge at one of its points, outward, (2,)."""
    row, col = garment.layout.station_row(key[0], f"{key[1]}:{name}")
    c = garment.layout.ctrl[row]
    t = c[1] - c[0] if col == 0 else c[3] - c[2]
    return np.array([t[1], -t[0]]) / float(np.hypot(*t))


def _reach(garment: Garment, key: EdgeKey, name: str) -> float | None:
    """Arc length along an edge to a named point of the piece, when it lies on that edge."""
    edge_name, _, station = name.rpartition(":")
    e = garment.layout.edges[key]
    if station in e.stations and edge_name in ("", key[1]):
        return Sketch(garment).station_length(key, station)
    # a corner may be named through the other edge that ends there
    if station == e.start:
        return 0.0
    if station == e.end:
        return Sketch(garment).edge_length(key)
    return None


def _shared(garment: Garment, key: EdgeKey, other: EdgeKey) -> list[float]:
    """Arc lengths on ``key`` of the corners it shares with ``other``."""
    e, o = garment.layout.edges[key], garment.layout.edges[other]
    out = []
    if e.start in (o.start, o.end):
        out.append(0.0)
    if e.end in (o.start, o.end):
        out.append(Sketch(garment).edge_length(key))
    return out


def closed(sketch: Sketch) -> Response:
    """Finish a response: what follows by rule is declared and taken along.

    The crotch curves' targets move with what the correction itself does to them (truing then
    keeps them there), and the waistband follows a declared change of the waist stretch by stretch.
    """
    g = sketch.garment
    for key, target in CROTCH.items():
        if key in g.layout.edges and any(t.name == target for t in g.targets):
            rate = sketch.stretch_rate(key)
            if rate and target not in sketch.effects:
                sketch.effect(target, rate)
    top = sketch.effects.get("trouser_top") or sketch.effects.get("waist")
    if top:
        for name in ("trouser_top", "waist"):
            if any(t.name == name for t in g.targets):
                sketch.effects[name] = top
    if g.has("band") and top:
        for piece in ("front", "back"):
            rate = sketch.stretch_rate((piece, "waist"))
            for (owner, dart), intake in sketch.mouths.items():
                if owner == piece and dart in g.layout.edges[piece, "waist"].darts:
                    rate -= intake
            if rate:
                sketch.ctrl += rate * lengthen_band(g, piece).ctrl
    return sketch.done()


def length_effects(sketch: Sketch, key: EdgeKey, amount: float) -> None:
    """Declare that a unit makes an edge ``amount`` cm longer, where a length is measured on it."""
    for target in sketch.garment.targets:
        for part in target.parts:
            if not isinstance(part, Width) and (part.piece, part.edge) == key:
                sketch.effect(target.name, amount * target.factor)


def own_length_effects(sketch: Sketch, keys: Sequence[EdgeKey]) -> None:
    """Declare by how much moving edges along their normals makes them longer themselves.

    A curve moved square to itself by one gets longer by the angle it turns through; to first
    order, as drafted. Crotch lines are declared by :func:`closed`.
    """
    for key in keys:
        rate = 0.0 if key in CROTCH else sketch.stretch_rate(key)
        if rate:
            length_effects(sketch, key, rate)
