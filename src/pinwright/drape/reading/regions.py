"""Which triangles belong to a place of the garment: bands about lines, along edges, and parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Hung, Panel, Whole
from pinwright.drape.reading.cloth import TRUNK
from pinwright.drape.reading.words import EDGES, LINES

BAND = 2.0
"""So far (cm, flat) from a line or an edge reaches its place."""

PARTED: Mapping[str, tuple[str, ...]] = {
    "side": ("waist", "hip", "knee"),
    "inseam": ("knee",),
    "under_front": ("elbow",),
    "under_back": ("elbow",),
}
"""Long edge -> the balance lines that part it, from the top."""

FINE = 5
"""Points in the place of each step of a line, where distances from it are taken."""


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """A place and its triangles: name in trade words, without the side; numbers (k,)."""

    name: str
    side: str
    triangles: Whole


def runs_of(panel: Panel, edge: str) -> Whole:
    """The panel's vertices along an edge, over its darts."""
    runs = panel.edges[edge]
    return np.concatenate(runs) if runs else np.zeros(0, np.int64)


def _points(panel: Panel, runs: tuple[Whole, ...]) -> Array:
    """Points along runs of vertices, closer than the vertices are."""
    t = np.linspace(0.0, 1.0, FINE, endpoint=False)[:, None, None]
    found = [panel.points[run[-1:]] for run in runs if len(run)]
    for run in runs:
        a, b = panel.points[run[:-1]], panel.points[run[1:]]
        found.append((a + t * (b - a)).reshape(-1, 2))
    return np.concatenate(found) if found else np.zeros((0, 2))


def _near(middle: Array, points: Array, far: float = BAND) -> Whole:
    """Which middles of triangles (k, 2) lie near points of a line."""
    if not len(points):
        return np.zeros(0, np.int64)
    distance, _ = cKDTree(points).query(middle, distance_upper_bound=far)
    return np.flatnonzero(np.isfinite(distance))


def level_of(panel: Panel, line: str) -> float | None:
    """The height of a balance line on the flat panel, cm; None where it has none."""
    at = panel.lines.get(line)
    return float(panel.points[at, 1].mean()) if at is not None and len(at) else None


def _parts(panel: Panel, edge: str) -> list[tuple[str, float, float]]:
    """A long edge's parts: in words, and between which heights of the flat panel."""
    y = panel.points[runs_of(panel, edge), 1]
    low, high = (float(y.min()), float(y.max())) if len(y) else (0.0, 0.0)
    marks = [(k, level_of(panel, k)) for k in PARTED.get(edge, ())]
    cuts = [(k, z) for k, z in marks if z is not None and low + BAND < z < high - BAND]
    if not cuts:
        return [("", -np.inf, np.inf)]
    found = [(f" above the {cuts[0][0]}", cuts[0][1], np.inf)]
    for (a, z), (b, w) in pairwise(cuts):
        found.append((f" from {a} to {b}", w, z))
    found.append((f" below the {cuts[-1][0]}", -np.inf, cuts[-1][1]))
    return found


def _named(panel: Panel, edge: str, part: str) -> str:
    """A place along an edge; middle seams go by front and back."""
    if edge in ("centre", "centre_front"):
        return f"centre {panel.home}"
    return f"{EDGES[edge]}{part}, {panel.home}"


def regions(hung: Hung) -> tuple[Region, ...]:
    """The places of a garment, those of one name and side together."""
    shell = hung.shell
    found: dict[tuple[str, str], list[Whole]] = {}
    flat = np.argsort(shell.panel, kind="stable")
    bounds = np.searchsorted(shell.panel[flat], np.arange(len(shell.panels) + 1))
    for k, (panel, vertices) in enumerate(zip(shell.panels, shell.vertices, strict=True)):
        mine = flat[bounds[k] : bounds[k + 1]]
        if not len(mine):
            continue
        # the panel's own numbers of its triangles' corners
        own = np.zeros(shell.n, np.int64)
        own[vertices] = np.arange(len(vertices))
        middle = panel.points[own[shell.triangles[mine]]].mean(axis=1)

        def put(name: str, some: Whole, side: str = panel.side, mine: Whole = mine) -> None:
            if len(some):
                found.setdefault((name, side), []).append(mine[some])

        put(panel.home, np.arange(len(mine)))
        for line, at in panel.lines.items():
            if line in LINES:
                place = LINES[line]
                name = place if place.startswith("centre") else f"{place}, {panel.home}"
                put(name, _near(middle, _points(panel, (at,))))
        for edge, runs in panel.edges.items():
            if edge not in EDGES or (edge == "centre" and panel.home not in TRUNK):
                continue
            beside = _near(middle, _points(panel, runs))
            y = middle[beside, 1]
            for part, low, high in _parts(panel, edge):
                put(_named(panel, edge, part), beside[(y >= low) & (y < high)])
    return tuple(
        Region(name, side, np.unique(np.concatenate(some))) for (name, side), some in found.items()
    )
