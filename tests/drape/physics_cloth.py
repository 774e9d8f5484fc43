"""Flat cloth of even or random triangles as a setting of the solver, for the proof of the physics.

Lengths cm, weights g, forces dyn, as everywhere in the drape. Tests and
``benchmarks/drape_physics.py`` use the same, so that the page tells what the tests hold.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.spatial import Delaunay

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.stencils import bending, stencils

WARP, WEFT, POISSON, SHEAR = 1.2e6, 0.8e6, 0.2, 0.06e6
"""A middle weight suiting (docs/drape/cloth.md), dyn/cm: Young's, and shear for a radian."""

MASS = 0.0264
"""Of that suiting, g/cm2."""


def membrane(warp: float, weft: float, poisson: float, shear: float) -> Array:
    """(4,) stiffness across, across with along, along, shear, dyn/cm, from Young's moduli."""
    free = 1.0 - poisson**2
    return np.array([weft, poisson * np.sqrt(warp * weft), warp, shear * free]) / free


def sheet(
    length: float, width: float, edge: float, kind: str, seed: int = 1
) -> tuple[Array, Whole]:
    """Points (n, 2) cm and triangles of a strip from the origin along x; all sides are straight.

    kind: "rows along" (triangle sides run along it), "rows across", or "random".
    """
    if kind == "random":
        rng = np.random.default_rng(seed)
        columns, rows = round(length / edge), max(2, round(width / edge))
        axes = np.linspace(0.0, length, columns + 1), np.linspace(0.0, width, rows + 1)
        points = np.stack(np.meshgrid(*axes, indexing="ij"), -1).reshape(-1, 2)
        off = np.minimum(points, [length, width] - points).min(axis=1)
        by = rng.uniform(-0.25, 0.25, points.shape) * edge
        points += np.where(off[:, None] > 1e-9, by, 0.0)
    else:
        a, b = (length, width) if kind == "rows along" else (width, length)
        columns, rows = max(2, round(a / edge)), max(2, round(b / (edge * np.sqrt(0.75))))
        found = []
        for j in range(rows + 1):
            u = np.arange(columns + 1.0)
            if j % 2:
                u = np.concatenate([[0.0], u[:-1] + 0.5, [columns]])
            found.append(np.stack([u / columns * a, np.full(len(u), j / rows * b)], axis=1))
        points = np.concatenate(found)
        points = points if kind == "rows along" else points[:, ::-1].copy()
    return points, turned(points, Delaunay(points).simplices)


def turned(points: Array, triangles: Any) -> Whole:
    """Triangles turned anticlockwise, those without an area left out."""
    q = points[triangles]
    u, v = q[:, 1] - q[:, 0], q[:, 2] - q[:, 0]
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    found = np.where(area[:, None] < 0.0, triangles[:, ::-1], triangles).astype(np.int64)
    kept: Whole = found[np.abs(area) > 1e-9]
    return kept


def cloth(
    n: int,
    triangles: Whole,
    rest: Array,
    stiff: Array | None = None,
    bend: tuple[float, float] = (1.0, 1.0),
    mass: float = MASS,
    **more: Any,
) -> Setting:
    """A setting of flat corners rest (m, 3, 2), x across and y along the grain.

    stiff: as of :func:`membrane`. bend: along and across, dyn.cm. mass: g/cm2.
    """
    given = membrane(WARP, WEFT, POISSON, SHEAR) if stiff is None else stiff
    s = stencils(n, triangles, rest)
    matrix, pairs = bending(s, *bend)
    return Setting(s, np.tile(given, (len(triangles), 1)), matrix, pairs, s.load * mass, **more)


def grained(points: Array, angle: float) -> Array:
    """Points (n, 2) of a strip along x, in the axes of its cloth: x at `angle` to the warp."""
    a = np.radians(angle)
    along = np.array([np.sin(a), np.cos(a)])
    across = np.array([-np.cos(a), np.sin(a)])
    found: Array = points[:, :1] * along + points[:, 1:] * across
    return found
