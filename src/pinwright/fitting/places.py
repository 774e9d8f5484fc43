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

Knots = tuple[tuple[float, float], ...]
"""A profile: (arc length from the edge's start, displacement per unit), both cm, rising."""

CROTCH = {("front", "centre"): "front_crotch", ("back", "seat"): "back_crotch"}
"""Edges whose length is a target that a correction moving them on purpose moves too."""


def place_edges(garment: Garment, place: str, part: str = "both") -> tuple[PlaceEdge, ...]:
    """The edges a place falls on, of the front, the back or both.

    Raises:
        CorrectionError: the garment has no such place.
    """
    if place not in garment.places:
        raise CorrectionError(
            f"The {garment.owns} no {place.replace('_', ' ')}; there are "
            f"{', '.join(sorted(p.replace('_', ' ') for p in garment.places))}."
        )
    edges = tuple(e for e in garment.places[place] if part in ("both", e.part))
    if not edges:
        raise CorrectionError(
            f"The {garment.owns} no {part} edge at the {place.replace('_', ' ')}."
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

    ``shape`` "constant" holds the amount between the two levels; "taper" goes from the full amount
    at ``start`` to nothing at ``stop``, easing in and out. One level alone is the full amount
    there. Where the edge goes on beyond what is said, the change runs out to nothing at the next
    level that lies at least 8 cm away (a waist nipped in: nothing at the hip and under the arm;
    common practice).
    """
    if start is None and stop is None and shape != "taper":
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
        below, above = _run_out(garment, key, first, first)
        if first < other:
            return (*below, (first, 1.0), (other, 0.0))
        return ((other, 0.0), (first, 1.0), *above)
    known = [s for s in (first, other) if s is not None]
    lo, hi = min(known), max(known)
    below, above = _run_out(garment, key, lo, hi)
    return (*below, *((s, 1.0) for s in dict.fromkeys((lo, hi))), *above)


RUN_OUT = 8.0
"""A change at one level runs out at the next level at least so far away (cm)."""


def _run_out(garment: Garment, key: EdgeKey, lo: float, hi: float) -> tuple[Knots, Knots]:
    """Knots where a change runs out below ``lo`` and above ``hi``: at the next levels there."""
    marks = _marks(garment, key)
    below = [m for m in marks if m <= lo - RUN_OUT]
    above = [m for m in marks if m >= hi + RUN_OUT]
    return ((max(below), 0.0),) if below else (), ((min(above), 0.0),) if above else ()


def _marks(garment: Garment, key: EdgeKey) -> list[float]:
    """Arc lengths (cm) of an edge's ends and levels, rising."""
    sketch = Sketch(garment)
    levels = (sketch.station_length(key, s) for s in garment.layout.edges[key].stations)
    return sorted({0.0, sketch.edge_length(key), *levels})


def value_at(ks: Sequence[tuple[float, float]], s: float) -> float:
    """The profile through knots (a smoothstep between them) at arc length ``s``."""
    if s <= ks[0][0]:
        return ks[0][1]
    for (x0, y0), (x1, y1) in pairwise(ks):
        if s <= x1:
            u = (s - x0) / max(x1 - x0, 1e-12)
            return y0 + (y1 - y0) * u * u * (3 - 2 * u)
    return ks[-1][1]


def outward(garment: Garment, key: EdgeKey) -> Array:
    """The level direction out of the piece at an upright edge, (2,)."""
    e = garment.layout.edges[key]
    # edges run anticlockwise: one that goes up has the outside on its right
    return np.array([1.0 if float(e.last[1] - e.first[1]) > 0 else -1.0, 0.0])


def move_level(sketch: Sketch, key: EdgeKey, ks: Knots, follow: bool = True) -> None:
    """Move an upright edge out level by a profile, and declare what that does to the girths.

    Amounts at an upright seam are meant round the body, so they are measured level and not square
    to a seam that leans (common practice: the tape lies level). Where a girth is measured along a
    slanting line or along the edge above (the waist), the profile there is raised by what the
    slant takes, so that one cm per edge is one cm of girth, whatever the lean. Beyond a dart that
    opens in the edge the way out is level as it is sewn, with the dart closed, so that its legs
    stay equal.
    """
    along = outward(sketch.garment, key)
    more = _raised(sketch.garment, key, ks)
    moved = [(key, k) for k in (ks, more) if k]
    one = Sketch(sketch.garment)
    for _, k in moved:
        one.profile(key, k, along, follow=False)
    layout = sketch.layout
    for (first, stop), way in zip(layout.runs[key], _ways(sketch.garment, key), strict=True):
        # all of a run's displacement so far lies along the one level direction
        sketch.ctrl[first:stop] += (one.ctrl[first:stop] @ along)[..., None] * way
    for last in (False, True):
        end = layout.run_end(key, last)
        at = 3 if last else 0
        if follow and one.ctrl[end.span, at].any():
            way = _ways(sketch.garment, key)[-1 if last else 0]
            v = float(one.ctrl[end.span, at] @ along) * way
            sketch.follow(*layout.neighbours[key, last], v)
    girth_effects(sketch, moved, level=True)


def _ways(garment: Garment, key: EdgeKey) -> list[Array]:
    """For each run of an edge the level way out as sewn: turned by the darts below it, (2,)."""
    way = outward(garment, key)
    layout = garment.layout
    runs = layout.runs[key]
    turns = [0.0]
    for i, dart in enumerate(layout.edges[key].darts):
        apex = garment.piece(key[0]).dart(dart).apex
        a = layout.ctrl[runs[i][1] - 1, 3] - apex
        b = layout.ctrl[runs[i + 1][0], 0] - apex
        turns.append(turns[-1] + float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)))
    # the lowest run is level on the paper: the first of an edge that goes up, the last of others
    still = turns[0] if way[0] > 0 else turns[-1]
    found = []
    for turn in turns:
        s, c = np.sin(turn - still), np.cos(turn - still)
        found.append(np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]]))
    return found


def _raised(garment: Garment, key: EdgeKey, ks: Knots) -> Knots:
    """What to add to a level profile so that each girth at the edge changes by the profile."""
    marks = _marks(garment, key)
    extra = dict.fromkeys(marks, 0.0)
    for target in garment.targets:
        for part in target.parts:
            if part.piece != key[0]:
                continue
            if isinstance(part, Width):
                shares = _shares(garment, key, part, level=True)
            elif part.edge != key[1] and (key[0], part.edge) not in CROTCH:
                shares = {
                    s: _top_share(garment, key, s, part.edge)
                    for s in _shared(garment, key, (key[0], part.edge))
                }
            else:
                continue
            for s, share in shares.items():
                at = min(marks, key=lambda m: abs(m - s))
                if abs(at - s) < 1e-6 and share > 0.5:
                    extra[at] = value_at(ks, at) * (1.0 / share - 1.0)
    if max(map(abs, extra.values())) < 1e-9:
        return ()
    return tuple(sorted(extra.items()))


def _top_share(garment: Garment, key: EdgeKey, s: float, edge: str) -> float:
    """By how much a unit of level movement at one end of an edge lengthens the edge above."""
    trial = Sketch(garment)
    total = trial.edge_length(key)
    far = min(8.0, total / 2)
    first = s < total / 2
    end: Knots = ((0.0, 1.0), (far, 0.0)) if first else ((total - far, 0.0), (total, 1.0))
    trial.profile(key, end, _ways(garment, key)[0 if first else -1])
    return trial.stretch_rate((key[0], edge))


def _shares(
    garment: Garment, key: EdgeKey, part: Width, level: bool = False, by: Array | None = None
) -> dict[float, float]:
    """For each end of a width on an edge: arc length there, and what a unit outward adds to it."""
    across = point(garment, part.piece, part.end) - point(garment, part.piece, part.start)
    across = across / float(np.hypot(*across))
    found = {}
    for end, out in ((part.start, -across), (part.end, across)):
        s = _reach(garment, key, end)
        if s is not None:
            name = end.rpartition(":")[2]
            if level:
                e = garment.layout.edges[key]
                run = e.stations[name][0] if name in e.stations else (-1 if name == e.end else 0)
                way = _ways(garment, key)[run]
            else:
                way = by if by is not None else _normal(garment, key, name)
            found[s] = float(way @ out)
    return found


def girth_effects(
    sketch: Sketch,
    moved: Sequence[tuple[EdgeKey, Sequence[tuple[float, float]]]],
    level: bool = False,
    by: Array | None = None,
) -> None:
    """Declare what moving edges level, by ``by`` (2,) or along their normals does to the girths.

    For each girth measured to a point of a moved edge the change is the profile there times the
    movement's share in the direction of the girth; for one measured along an edge that ends at
    its corner, by how much that edge gets longer; times the target's factor.
    """
    g = sketch.garment
    for target in g.targets:
        change = 0.0
        for part in target.parts:
            touched = False
            for (piece, name), ks in moved:
                if part.piece != piece or not ks:
                    continue
                if isinstance(part, Width):
                    shares = _shares(g, (piece, name), part, level, by)
                    change += sum(value_at(ks, s) * share for s, share in shares.items())
                elif part.edge != name and (piece, part.edge) not in CROTCH:
                    corners = _shared(g, (piece, name), (piece, part.edge))
                    touched = touched or any(value_at(ks, s) for s in corners)
            if touched and not isinstance(part, Width):
                change += sketch.stretch_rate((part.piece, part.edge))
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
                longer = lengthen_band(g, piece)
                sketch.ctrl += rate * longer.ctrl
                sketch.aux += rate * longer.aux
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
