"""A shell made over to corrected pieces: the same triangles, their flat corners moved.

So the cloth as it hung is the start for the garment as corrected. The net line's vertices keep
their part of the way between the same stations; what lies inside follows smoothly.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import SuperLU, splu

from pinwright.drape.data import Array, Panel, Shell, Whole
from pinwright.drape.hanging import Hanging, Key, hanging
from pinwright.drape.net_line import grain_of, net_line
from pinwright.drape.sewing import Facts, Join, Part, joins
from pinwright.drape.spacing import SAME
from pinwright.drape.triangulating import areas, least_angles
from pinwright.drape.welding import flat_rest
from pinwright.errors import GeometryError
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece

LEFT = 1.0 / 3.0
"""No triangle may keep less than this of its least angle."""

PLACED = 1e-5
"""A place of an edge is a station's within this, cm."""

UNMOVED = 1e-6
"""A run whose vertices all lie on it as before, within this, cm, was not corrected."""

CREEPS = 3
"""Steps along a curve that find out whether it was."""

EdgeKey = tuple[Key, str]
Held = tuple[int, float]
"""A vertex and the sewn distance along its edge where it must stand, cm."""


def morphed(
    shell: Shell,
    garment: Garment,
    right: Mapping[str, Piece],
    left: Mapping[str, Piece],
    facts: Facts | None = None,
) -> Shell | None:
    """The shell with the flat shapes of other pieces; None where it must be triangulated anew.

    Args:
        shell: a shell of the same garment.
        garment: its seams.
        right, left: the pieces of each side as they are now, by name.
        facts: the facts of each side where corrections changed them (``Half.facts``).

    Returns:
        None where pieces, edges, darts or stations are others, a seam meets elsewhere, or a
        triangle would turn over or lose two thirds of its least angle.
    """
    try:
        hung = hanging(garment, right, left)
        if [(p.piece, p.side) for p in shell.panels] != list(hung.pieces):
            return None
        held = _held(shell, hung, joins(garment, hung, _edge(shell), facts))
    except (GeometryError, KeyError):
        return None
    if held is None:
        return None
    panels: list[Panel] = []
    for (key, piece), panel in zip(hung.pieces.items(), shell.panels, strict=True):
        points = _moved(panel, piece, {e: h for (k, e), h in held.items() if k == key})
        if points is None:
            return None
        panels.append(replace(panel, points=points, grain=grain_of(piece)))
    rest = np.concatenate([flat_rest(p, _sign(shell, i)) for i, p in enumerate(panels)])
    return replace(shell, panels=tuple(panels), rest=rest)


def _edge(shell: Shell) -> float:
    """The side of its triangles, cm, as the net lines have it."""
    sides = [
        np.hypot(*np.diff(p.points[ids], axis=0).T)
        for p in shell.panels
        for runs in p.edges.values()
        for ids in runs
    ]
    return float(np.median(np.concatenate(sides)))


def _held(shell: Shell, hung: Hanging, joined: Sequence[Join]) -> dict[EdgeKey, list[Held]] | None:
    """Vertices that stand at the stations of seams, by edge; None where a seam meets elsewhere.

    A station that one side of a seam names is where the other is sewn to it.
    """
    panels = {(p.piece, p.side): (p, v) for p, v in zip(shell.panels, shell.vertices, strict=True)}
    held: dict[EdgeKey, list[Held]] = {}
    for join in joined:
        ends = {x for s in join.stretches for x in ((s.a0, s.b0), (s.a1, s.b1))}
        for a, b in ends:
            sides = [
                [(p, p.along(x)) for p in run if _on(p, x)] for run, x in ((join.a, a), (join.b, b))
            ]
            for group in [sides[0] + sides[1]] if join.whole else sides:
                named = {
                    int(panels[p.key][1][panels[p.key][0].stations[f"{p.edge.name}:{name}"]])
                    for p, s in group
                    for name in _names(p.edge, s)
                }
                if len(named) != 1:
                    return None
                for p, s in group:
                    panel, numbers = panels[p.key]
                    ids = np.concatenate(panel.edges[p.edge.name])
                    for v in dict.fromkeys(ids[np.isin(numbers[ids], list(named))].tolist()):
                        held.setdefault((p.key, p.edge.name), []).append((v, s))
    return held


def _on(part: Part, x: float) -> bool:
    return part.at - PLACED <= x <= part.at + part.edge.length + PLACED


def _names(e: Edge, s: float) -> list[str]:
    return [x for x in (e.start, *e.stations, e.end) if abs(e.distance(x) - s) < PLACED]


def _moved(panel: Panel, piece: Piece, held: Mapping[str, list[Held]]) -> Array | None:
    """The panel's points in a corrected piece."""
    if [e.name for e in piece.edges] != list(panel.edges):
        return None
    if sorted(d.name for d in piece.darts) != sorted(panel.legs):
        return None
    at: dict[str, list[Array]] = {}
    for e in piece.edges:
        runs = panel.edges[e.name]
        if len(runs) != len(e.runs):
            return None
        low = 0.0
        at[e.name] = []
        for run, ids in zip(e.runs, runs, strict=True):
            own = [(v, s - low) for v, s in held.get(e.name, ()) if v in ids]
            s = _spread(_arc(panel.points[ids]), ids, run.length, own)
            if s is None:
                return None
            at[e.name].append(low + s)
            low += run.length
    net = _net(panel, piece, at)
    if net is None:
        return None
    return _followed(panel, _settled(panel, piece, at, net))


def _spread(old: Array, ids: Whole, whole: float, held: Sequence[Held]) -> Array | None:
    """Distances along a run's new shape, cm: those held, the rest at their part of the way.

    ``old``: (k,) distances of its vertices ``ids`` along the old shape.
    """
    here = [0.0, float(old[-1])]
    there = [0.0, whole]
    for v, s in sorted(set(held), key=lambda item: item[1]):
        i = int(np.flatnonzero(ids == v)[0])
        if i in (0, len(ids) - 1):
            # a mouth, or the corner where two edges follow each other, is in two runs
            if min(abs(s), abs(s - whole)) > PLACED:
                return None
            continue
        here.insert(-1, float(old[i]))
        there.insert(-1, s)
    if min(np.diff(here)) <= PLACED or min(np.diff(there)) <= PLACED:
        return None
    return np.asarray(np.interp(old, here, there))


def _net(panel: Panel, piece: Piece, at: Mapping[str, Sequence[Array]]) -> Array | None:
    """The ring of the piece with vertices there; None where it is not made as the panel's."""
    knots = {}
    for name, runs in at.items():
        s = np.concatenate(runs)
        knots[name] = s[np.concatenate([[True], np.diff(s) > SAME])]
    net = net_line(piece, knots, {k: len(a) - 1 for k, (a, _) in panel.legs.items()})
    made = (*panel.edges.items(), *panel.legs.items())
    now = {**net.edges, **net.legs}
    if len(now) != len(made) or any(
        name not in now or not all(map(np.array_equal, runs, now[name])) for name, runs in made
    ):
        return None
    return net.points


def _settled(panel: Panel, piece: Piece, at: Mapping[str, Sequence[Array]], ring: Array) -> Array:
    """The ring with the vertices of runs that are as they were exactly where they were.

    A vertex's part of the way is read from the chords, so it would creep along its curve.
    """
    now = {name: [s.copy() for s in runs] for name, runs in at.items()}
    tried = ring
    for _ in range(CREEPS):
        for name, runs in now.items():
            for s, ids in zip(runs, panel.edges[name], strict=True):
                if len(ids) > 2:
                    way = np.gradient(panel.points[ids], axis=0)
                    way /= np.hypot(*way.T)[:, None]
                    step = ((panel.points[ids] - tried[ids]) * way).sum(axis=1)[1:-1]
                    s[1:-1] = np.clip(s[1:-1] + step, s[0] + SAME, s[-1] - SAME)
                    s.sort()
        found = _net(panel, piece, now)
        if found is None:
            return ring
        tried = found
    settled = ring.copy()
    for made in panel.edges.values():
        for ids in made:
            off = np.hypot(*(tried[ids] - panel.points[ids]).T)
            if float(off.max()) < UNMOVED:
                settled[ids] = panel.points[ids]
    return settled


def _arc(p: Array) -> Array:
    """Lengths along a smooth curve through points (k, 2) from the first to each, cm.

    The chords, each longer by the arc over it whose turn is that between the chords beside it.
    """
    d = np.diff(p, axis=0)
    chord = np.hypot(*d.T)
    turn = np.zeros(len(chord))
    if len(chord) > 1:
        cross = d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]
        between = np.arctan2(cross, (d[:-1] * d[1:]).sum(axis=1))
        bend = between / (0.5 * (chord[:-1] + chord[1:]))
        mean = np.concatenate([bend[:1], 0.5 * (bend[:-1] + bend[1:]), bend[-1:]])
        turn = mean * chord
    return np.concatenate([[0.0], np.cumsum(chord * (1.0 + turn**2 / 24.0))])


@dataclass(frozen=True, slots=True, eq=False)
class _Inside:
    """The points inside a panel as the mean of their neighbours: factors; what the ring adds."""

    factors: SuperLU | None
    ring: csc_array


@lru_cache(maxsize=24)
def _inside(panel: Panel) -> _Inside:
    t, n = panel.triangles, len(panel.points)
    e = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    graph = coo_array((np.ones(len(e)), (e[:, 0], e[:, 1])), shape=(n, n)).tocsr()
    graph = ((graph + graph.T) > 0).astype(np.float64)
    on = ring_size(panel)
    inner = graph[on:]
    degree = coo_array(
        (inner.sum(axis=1), (np.arange(n - on), np.arange(n - on))), shape=(n - on, n - on)
    )
    matrix = csc_array(degree.tocsc() - inner[:, on:].tocsc())
    return _Inside(splu(matrix) if n > on else None, csc_array(inner[:, :on]))


def ring_size(panel: Panel) -> int:
    """How many vertices its net line has; they come first."""
    runs = [r for runs in panel.edges.values() for r in runs]
    legs = [leg for pair in panel.legs.values() for leg in pair]
    return 1 + max(int(x.max()) for x in (*runs, *legs))


def _followed(panel: Panel, ring: Array) -> Array | None:
    """All points once the net line's have moved; None where a triangle does not bear it."""
    n = len(ring)
    if np.array_equal(ring, panel.points[:n]):
        return panel.points
    known = _inside(panel)
    points = panel.points.copy()
    moved = ring - panel.points[:n]
    points[:n] = ring
    if known.factors is not None:
        points[n:] += known.factors.solve(np.asarray(known.ring @ moved))
    if float(areas(points, panel.triangles).min()) <= 0.0:
        return None
    before, after = (least_angles(p, panel.triangles) for p in (panel.points, points))
    return points if bool((after >= LEFT * before).all()) else None


def _sign(shell: Shell, i: int) -> int:
    """Whether the shell has a panel's triangles as drawn, or turned over."""
    first = int(np.argmax(shell.panel == i))
    now = shell.vertices[i][shell.panels[i].triangles[0]]
    return 1 if bool((shell.triangles[first] == now).all()) else -1
