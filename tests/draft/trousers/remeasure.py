"""Measuring drafts again without the program's own lengths and angles: scipy and shapely."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.integrate import fixed_quad, quad
from shapely.geometry import LineString, Polygon

from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array, Dart, Edge, Piece
from pinwright.pattern.seam import Corner, Junction, Ref, Seam, Sewn, Target


def point(cubic: Array, u: Array) -> Array:
    """Points of a Bézier cubic by the Bernstein sum."""
    v = 1.0 - u
    weights = np.stack([v**3, 3 * u * v**2, 3 * u**2 * v, u**3], axis=-1)
    return np.asarray(weights @ cubic)


def speed(u: Array, cubic: Array) -> Array:
    """|dP/du| from the hodograph."""
    legs = 3.0 * np.diff(cubic, axis=0)
    v = 1.0 - u
    d = np.stack([v**2, 2 * u * v, u**2], axis=-1) @ legs
    return np.asarray(np.hypot(d[..., 0], d[..., 1]))


def span_length(cubic: Array) -> float:
    """Arc length by scipy's Gauss quadrature, 20 points (checked against quad in a test)."""
    return float(fixed_quad(speed, 0.0, 1.0, args=(cubic,), n=20)[0])


def span_length_adaptive(cubic: Array) -> float:
    """Arc length by scipy's adaptive quadrature."""
    return float(quad(lambda u: float(speed(np.array(u), cubic)), 0.0, 1.0, epsabs=1e-12)[0])


def sewn(edge: Edge) -> float:
    """Sewn length of an edge."""
    return sum(span_length(c) for run in edge.runs for c in run.ctrl)


def reaches(edge: Edge) -> dict[str, float]:
    """Distance of every named point of an edge from its start."""
    found = {edge.start: 0.0}
    done = 0.0
    for i, run in enumerate(edge.runs):
        sums = [0.0, *np.cumsum([span_length(c) for c in run.ctrl]).tolist()]
        for name, (at, count) in edge.stations.items():
            if at == i:
                found[name] = done + sums[count]
        done += sums[-1]
    found[edge.end] = done
    return found


def stretches(garment: Garment, refs: tuple[Ref, ...], names: list[str]) -> Array:
    """Lengths of a run between its stations, in seam order."""
    done = 0.0
    found: dict[str, float] = {}
    for ref in refs:
        along = reaches(garment.piece(ref.piece).edge(ref.edge))
        whole = max(along.values())
        for name, s in along.items():
            where = done + (whole - s if ref.reverse else s)
            found.setdefault(name, where)
            found[f"{ref.piece}.{name}"] = where
        done += whole
    return np.diff([found[name] for name in names])


def mismatch(garment: Garment, seam: Seam) -> Array:
    """Length of a less b less the planned difference, for each stretch."""
    a = stretches(garment, seam.a, [s.a for s in seam.stations])
    b = stretches(garment, seam.b, [s.b for s in seam.stations])
    return np.asarray(a - b - np.array([s.planned for s in seam.stretches]))


def _way(run: Array, last: bool) -> Array:
    d = run[-1, 3] - run[-1, 2] if last else run[0, 1] - run[0, 0]
    return np.asarray(d / np.hypot(*d))


def interior(garment: Garment, corner: Corner) -> float:
    """Interior angle of a corner in degrees, cloth on the left of every edge."""
    piece = garment.piece(corner.piece)
    edge, across = piece.edge(corner.edge), piece.edge(corner.across)
    first, then = (edge, across) if edge.end == across.start else (across, edge)
    assert first.end == then.start
    u, v = _way(first.runs[-1].ctrl, True), _way(then.runs[0].ctrl, False)
    return 180.0 - float(np.degrees(np.arctan2(u[0] * v[1] - u[1] * v[0], u @ v)))


def kink(garment: Garment, junction: Junction) -> float:
    """What a junction's interior angles lack or exceed, degrees."""
    total = interior(garment, junction.a)
    if junction.b is not None:
        total += interior(garment, junction.b)
    return total - junction.angle


def dart_faults(piece: Piece, dart: Dart) -> tuple[float, float, float]:
    """(difference of the legs cm, kink of the edge across the closed dart degrees, intake cm)."""
    a, b = piece.mouth(dart.name)
    edge = piece.edge(dart.edge)
    i = edge.darts.index(dart.name)
    la, lb = a - dart.apex, b - dart.apex
    before, after = _way(edge.runs[i].ctrl, True), _way(edge.runs[i + 1].ctrl, False)
    # close the dart: carry direction `before` by the turn that takes leg a to leg b
    turn = complex(*lb) / complex(*la)
    closed = complex(*before) * turn / abs(turn)
    off = complex(*after) / closed
    return (
        float(np.hypot(*la) - np.hypot(*lb)),
        float(np.degrees(np.arctan2(off.imag, off.real))),
        float(np.hypot(*(a - b))),
    )


def ring(piece: Piece, chords: int = 12) -> Polygon:
    """The net line as a shapely polygon, darts crossed straight."""
    u = np.linspace(0.0, 1.0, chords, endpoint=False)
    return Polygon(
        np.concatenate([point(c, u) for path in piece.outline(caps=False) for c in path.ctrl])
    )


def line(path: Array, chords: int = 200) -> LineString:
    """A chain of cubics as a dense shapely line."""
    u = np.linspace(0.0, 1.0, chords)
    return LineString(np.concatenate([point(c, u) for c in path]))


def measured(garment: Garment, target: Target) -> float:
    """A finished measure by its parts."""
    total = 0.0
    for part in target.parts:
        piece = garment.piece(part.piece)
        if isinstance(part, Sewn):
            total += sewn(piece.edge(part.edge))
        else:
            total += float(np.hypot(*(piece.point(part.start) - piece.point(part.end))))
    return target.factor * total


@cache
def women_sample(step: int) -> tuple[dict[str, object], ...]:
    """Every ``step``-th of the 260 women in the open data set bdims."""
    from pinwright.measures.bdims import women

    return tuple(dict(w) for w in women()[::step])
