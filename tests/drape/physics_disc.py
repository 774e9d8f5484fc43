"""Cusick's drape test: a disc of cloth on a smaller plate, and its shadow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
from scipy.signal import find_peaks
from scipy.spatial import Delaunay

from pinwright.drape.cloth import handle
from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.settling import settled
from tests.drape.physics_cloth import cloth, turned


@dataclass(frozen=True)
class Draped:
    """A disc of 30 cm on a plate of 18 cm: its drape coefficient, per cent, and its folds."""

    coefficient: float
    nodes: int
    residual: float
    steps: int
    seconds: float
    vertices: int


@cache
def cusick(handle_name: str, edge: float = 0.7, bend: float = 1.0, seed: int = 5) -> Draped:
    """Cusick's drape test of a cloth of the table. bend: times its bending rigidity.

    Source: Cusick 1965, "The dependence of fabric drape on bending and shear stiffness", J. Text.
    Inst. 56, T596; 1968, "The measurement of fabric drape", 59, T253 (the coefficient); BS 5058.
    """
    c = handle(handle_name).cgs
    points, triangles = disc(15.0, 9.0, edge)
    far = np.hypot(*points.T)
    along, across, both, shear = c.membrane
    s = cloth(
        len(points),
        triangles,
        points[triangles],
        stiff=np.array([across, both, along, shear]),
        bend=(bend * c.bend_along, bend * c.bend_across),
        mass=c.mass,
        pinned=np.flatnonzero(far < 9.0 + 1e-6),
    )
    rng = np.random.default_rng(seed)
    height = np.where(far > 9.0 + 1e-6, rng.normal(0.0, 0.05, len(points)), 0.0)
    x = np.concatenate([points, height[:, None]], axis=1)
    state, rest = settled(s, x, enough=2e-3, steps=600, h=0.01, longest=5.0, reach=0.5)
    # the cloth within the plate is not meshed but for its rim
    lit = [*shapely.polygons(state.x[triangles][:, :, :2]), shapely.Point(0.0, 0.0).buffer(8.9, 64)]
    shadow = shapely.union_all(lit).area
    plate, whole = np.pi * 9.0**2, np.pi * 15.0**2
    rim = np.flatnonzero(far > 15.0 - 1e-6)
    rim = rim[np.argsort(np.arctan2(points[rim, 1], points[rim, 0]))]
    return Draped(
        100.0 * float((shadow - plate) / (whole - plate)),
        folds(-state.x[rim, 2]),
        rest.residual,
        rest.steps,
        rest.seconds,
        len(points),
    )


def folds(down: Array) -> int:
    """How many folds a hem has, told by how far down it hangs: peaks of 0.5 cm or more."""
    around = np.tile(down, 3)
    peaks, _ = find_peaks(around, prominence=0.5)
    return int(((peaks >= len(down)) & (peaks < 2 * len(down))).sum())


def disc(radius: float, inner: float, edge: float) -> tuple[Array, Whole]:
    """A disc of even triangles with vertices on two circles, and in the inner one only a rim."""
    circles = []
    rows = round((radius - inner) / (edge * np.sqrt(0.75)))
    for k in range(-2, rows + 1):
        r = inner + (radius - inner) * k / rows
        count = round(2.0 * np.pi * r / edge)
        angle = (np.arange(count) + 0.5 * (k % 2)) / count * 2.0 * np.pi
        circles.append(r * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    points = np.concatenate(circles)
    triangles = turned(points, Delaunay(points).simplices)
    least = inner - 2.2 * (radius - inner) / rows
    return points, triangles[np.hypot(*points[triangles].mean(axis=1).T) > max(least, 0.0) * 0.97]
