"""Moving a hem: the edge goes down, what meets it runs on along its own line."""

from __future__ import annotations

import numpy as np

from pinwright.fitting.places import value_at
from pinwright.fitting.response import Sketch
from pinwright.geometry.cubic import lengths
from pinwright.geometry.path import Path
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import Width

Knots = tuple[tuple[float, float], ...]

LEAST_RUN = 4.0
"""A seam is stretched from its nearest station above the hem that is at least so far off, cm."""


def lower(sketch: Sketch, key: EdgeKey, knots: Knots) -> None:
    """Lower a hem by a profile along it (cm per unit), and declare the lengths that change.

    The seams at its ends are continued (or cut back) along their own lines, so a tapered leg gets
    narrower when let down; the hem in between is carried straight down.
    """
    layout = sketch.layout
    size = sketch.edge_length(key)
    aside = []
    for last, s in ((False, 0.0), (True, size)):
        w = value_at(knots, s)
        aside.append(_run_on(sketch, *layout.neighbours[key, last], w) if w else 0.0)
    sketch.profile(key, knots, direction=np.array([0.0, -1.0]), follow=False)
    if any(aside):
        across = ((0.0, aside[0]), (size, aside[1]))
        sketch.profile(key, across, np.array([1.0, 0.0]), smooth=False, follow=False)
    _carry_lines(sketch, key, knots)
    _effects(sketch, key, knots, aside)


def _run_on(sketch: Sketch, key: EdgeKey, last: bool, down: float) -> float:
    """Slide an edge's end down along its own line; returns how far it goes aside (x, cm)."""
    end = sketch.layout.run_end(key, last)
    c = sketch.layout.ctrl[end.span]
    along = c[3] - c[2] if last else c[0] - c[1]
    steep = -float(along[1]) / float(np.hypot(*along))
    return float(slide_edge_end(sketch, key, last, down / steep)[0])


def slide_edge_end(sketch: Sketch, key: EdgeKey, last: bool, amount: float) -> Array:
    """Continue an edge's end along its own line by ``amount`` cm per unit; returns its step (2,).

    The slide fades evenly to nothing at the next station, so the line's shape stays.
    """
    layout = sketch.layout
    ids = layout.span_ids(key)
    base = layout.ctrl[ids] if last else layout.ctrl[ids][::-1, ::-1]
    reach = np.concatenate([[0.0], np.cumsum(lengths(base))])
    total = float(reach[-1])
    stops = [0.0]
    for name in layout.edges[key].stations:
        s = sketch.station_length(key, name)
        stops.append(s if last else total - s)
    from_ = max(s for s in stops if total - s >= LEAST_RUN or s == 0.0)
    arm0, arm1 = base[:, 1] - base[:, 0], base[:, 3] - base[:, 2]
    mid = base[:, 2] - base[:, 1]
    h0, h1 = np.hypot(*arm0.T), np.hypot(*arm1.T)
    t0, t1 = arm0 / h0[:, None], arm1 / h1[:, None]
    k0 = 2 / 3 * (arm0[:, 0] * mid[:, 1] - arm0[:, 1] * mid[:, 0]) / h0**3
    k1 = 2 / 3 * (mid[:, 0] * arm1[:, 1] - mid[:, 1] * arm1[:, 0]) / h1**3
    slope = amount / (total - from_)
    w0, w1 = (np.clip(x - from_, 0.0, None) * slope for x in (reach[:-1], reach[1:]))
    g0 = np.where(reach[:-1] >= from_ - 1e-9, slope, 0.0)
    g1 = np.where(reach[1:] > from_ + 1e-9, slope, 0.0)
    move = np.zeros_like(base)
    move[:, 0] = w0[:, None] * t0
    move[:, 1] = move[:, 0] + h0[:, None] * (g0[:, None] * t0 + (w0 * k0)[:, None] * _left(t0))
    move[:, 3] = w1[:, None] * t1
    move[:, 2] = move[:, 3] - h1[:, None] * (g1[:, None] * t1 + (w1 * k1)[:, None] * _left(t1))
    sketch.ctrl[ids] += move if last else move[::-1, ::-1]
    return np.asarray(move[-1, 3])


def _left(t: Array) -> Array:
    return np.stack([-t[:, 1], t[:, 0]], axis=1)


def _carry_lines(sketch: Sketch, key: EdgeKey, knots: Knots) -> None:
    """Creases and plumb lines that end on the hem run on to it; turn-up folds go down with it."""
    layout = sketch.layout
    hem = Path(layout.ctrl[layout.span_ids(key)])
    for line in sketch.garment.piece(key[0]).lines:
        rows = layout.aux_index[key[0], "line", line.name]
        pts = layout.aux[rows]
        if line.kind == "fold":
            xs = np.array([hem.start[0], hem.end[0]])
            share = np.interp(pts[:, 0], xs if xs[0] < xs[1] else xs[::-1], [0.0, hem.length])
            w = np.array([value_at(knots, float(s)) for s in share])
            sketch.aux[rows, 1] -= w
        elif line.kind in ("crease", "plumb", "balance"):
            for end, other in ((pts[0], pts[-1]), (pts[-1], pts[0])):
                s, gap = hem.nearest(end)
                if gap < 0.05 and other[1] > end[1] + 1.0:
                    share = (other[1] - pts[:, 1]) / (other[1] - end[1])
                    sketch.aux[rows, 1] -= value_at(knots, s) * share


def _effects(sketch: Sketch, key: EdgeKey, knots: Knots, aside: list[float]) -> None:
    """Declare what lowering a hem does to the measures that reach it."""
    layout, g = sketch.layout, sketch.garment
    size = sketch.edge_length(key)
    e = layout.edges[key]
    at = {e.start: 0.0, e.end: size}
    at.update({name: sketch.station_length(key, name) for name in e.stations})
    ends = {layout.neighbours[key, last][0][1]: s for last, s in ((False, 0.0), (True, size))}
    for target in g.targets:
        change = 0.0
        for part in target.parts:
            if part.piece != key[0]:
                continue
            if isinstance(part, Width):
                found = [at[n] for n in (_on(part.start, key[1]), _on(part.end, key[1])) if n in at]
                if len(found) == 1:
                    change += value_at(knots, found[0])
                elif len(found) == 2:
                    change += aside[1] - aside[0]
            elif part.edge == key[1]:
                change += aside[1] - aside[0]
            elif part.edge in ends:
                change += value_at(knots, ends[part.edge])
        if change:
            sketch.effect(target.name, change * target.factor)


def _on(name: str, edge: str) -> str:
    """A point's name when it is given on the edge or without one, else nothing that exists."""
    where, _, point = name.rpartition(":")
    return point if where in ("", edge) else ":"
