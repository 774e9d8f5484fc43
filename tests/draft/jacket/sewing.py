"""Measuring a drafted garment with other tools: shapely lengths, plain trigonometry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, degrees

import numpy as np
from shapely.geometry import LineString, Polygon

from pinwright.draft import style
from pinwright.geometry.path import Path
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array, Edge, Piece
from pinwright.pattern.seam import Corner, Ref, Stretch

BACKS = ("shoulder_dart", "yoke")
DARTS = ("side_seam", "side_seam_high", "side_seam_low", "armhole")
EASES = ("loose", "regular", "slim")


def body(**measures: float) -> Body:
    """Our own test client, or one like her with other measures; the rest is estimated."""
    taped = {"height": 168.0, "bust_girth": 92.0, "waist_girth": 74.5, "hip_girth": 99.0}
    return complete(read_record({**taped, **measures}))


def changed(client: Body, **measures: float) -> Body:
    """A body with some measures put in and every other one, estimated ones too, as it was."""
    return replace(client, values={**client.values, **measures})


def draft(client: Body | None = None, **given: object) -> Garment:
    """The finished jacket."""
    who = client or body()
    jacket = style("jacket")
    choices = jacket.choose(given)
    return jacket.finish(jacket.block(who, choices), who, choices)


def derived(garment: Garment) -> tuple[Piece, ...]:
    return style("jacket").derive({p.name: p for p in garment.pieces}, garment)


def length(path: Path) -> float:
    """Length of a fine polyline by shapely; within 1e-6 cm of the curve's."""
    return float(LineString(path.flatten(1e-5)).length)


def outline(piece: Piece) -> Polygon:
    """The net outline as a polygon, mouths of darts crossed straight."""
    return Polygon(np.concatenate([q.flatten(0.01)[:-1] for q in piece.outline(caps=False)]))


def _edge_parts(e: Edge) -> list[tuple[str | None, float]]:
    """(name of the point reached, length from the point before) along an edge, darts closed."""
    names: dict[tuple[int, int], str] = {at: name for name, at in e.stations.items()}
    parts: list[tuple[str | None, float]] = []
    for i, run in enumerate(e.runs):
        for j in range(run.spans):
            name = names.get((i, j + 1)) or (names.get((i + 1, 0)) if j + 1 == run.spans else None)
            parts.append((name, length(Path(run.ctrl[j : j + 1]))))
    last = parts.pop()
    parts.append((e.end, last[1]))
    return parts


def distances(garment: Garment, run: tuple[Ref, ...]) -> dict[str, float]:
    """Distance from the start of a run of edges of every named point on it, as "piece.point"."""
    found: dict[str, float] = {}
    gone = 0.0
    for ref in run:
        e = garment.piece(ref.piece).edge(ref.edge)
        parts = _edge_parts(e)
        total = sum(x for _, x in parts)
        at = {e.start: 0.0}
        s = 0.0
        for name, x in parts:
            s += x
            if name:
                at[name] = s
        for name, s in at.items():
            found[f"{ref.piece}.{name}"] = gone + (total - s if ref.reverse else s)
        gone += total
    return found


def _where(found: dict[str, float], name: str) -> float:
    short = name.rpartition(":")[2]
    hits = [s for key, s in found.items() if short in (key, key.partition(".")[2])]
    return hits[0]


def stretches(garment: Garment) -> Iterator[tuple[str, Stretch, float]]:
    """Every stretch of every seam: where, the plan, and the difference that was measured."""
    for seam in garment.seams:
        a, b = distances(garment, seam.a), distances(garment, seam.b)
        for plan, p, q in zip(seam.stretches, seam.stations, seam.stations[1:], strict=False):
            on_a = _where(a, q.a) - _where(a, p.a)
            on_b = _where(b, q.b) - _where(b, p.b)
            yield f"{seam.name} {p.name}-{q.name}", plan, on_a - on_b


def _direction(path: Path, at_end: bool) -> Array:
    """Direction pointing into the edge from one of its ends."""
    return -path.end_tangent if at_end else path.start_tangent


def corner_angle(garment: Garment, corner: Corner) -> float:
    """Interior angle at a corner, degrees."""
    piece = garment.piece(corner.piece)
    names = [e.name for e in piece.edges]
    i, j = names.index(corner.edge), names.index(corner.across)
    if (i + 1) % len(names) == j:
        before, after = piece.edges[i], piece.edges[j]
    else:
        assert (j + 1) % len(names) == i
        before, after = piece.edges[j], piece.edges[i]
    back, out = _direction(before.runs[-1], True), _direction(after.runs[0], False)
    return degrees(atan2(out[0] * back[1] - out[1] * back[0], float(out @ back))) % 360.0


def kinks(garment: Garment) -> Iterator[tuple[str, float]]:
    """Every run-through: by how many degrees it misses."""
    for j in garment.junctions:
        total = corner_angle(garment, j.a) + (corner_angle(garment, j.b) if j.b else 0.0)
        yield j.name, total - j.angle
