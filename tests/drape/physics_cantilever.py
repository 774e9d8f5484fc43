"""Peirce's cantilever: a strip that overhangs a table, and what rigidity its angle tells."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.integrate import solve_bvp
from scipy.interpolate import CubicSpline
from scipy.spatial import Delaunay

from pinwright.drape.data import Array
from pinwright.drape.solver.acting import GRAVITY
from pinwright.drape.solver.settling import settled
from tests.drape.physics_cloth import MASS, cloth, grained, sheet, turned


@cache
def chord(ratio: float) -> float:
    """Degrees under the level of the chord of a strip that overhangs ratio x c, c^3 = B / w.

    The exact elastica: B theta'' = -w (L - s) cos(theta), clamped level, free at its end.
    """

    def slope(t: Array, y: Array) -> Array:
        return np.vstack([y[1], -(ratio**3) * (1.0 - t) * np.cos(y[0])])

    t = np.linspace(0.0, 1.0, 200)
    found = solve_bvp(
        slope,
        lambda a, b: np.array([a[0], b[1]]),
        t,
        np.vstack([0.5 * t, np.full(200, 0.5)]),
        tol=1e-9,
        max_nodes=20_000,
    )
    assert found.success
    t = np.linspace(0.0, 1.0, 4001)
    theta = found.sol(t)[0]
    down, out = np.trapezoid(np.sin(theta), t), np.trapezoid(np.cos(theta), t)
    return float(np.degrees(np.arctan2(down, out)))


@cache
def _chords() -> tuple[Array, Array]:
    ratios = np.linspace(0.8, 4.0, 65)
    return ratios, np.array([chord(float(q)) for q in ratios])


def rigidity_read(length: float, weight: float, angle: float) -> float:
    """Bending rigidity, dyn.cm, of a strip with this overhang, cm, weight dyn/cm2 and angle."""
    ratios, angles = _chords()
    ratio = float(CubicSpline(angles, ratios)(angle))
    return weight * (length / ratio) ** 3


@dataclass(frozen=True)
class Cantilever:
    """A strip that overhangs: rigidity put in and read back, dyn.cm; how many vertices."""

    put: float
    read: float
    vertices: int
    residual: float
    steps: int

    @property
    def error(self) -> float:
        return self.read / self.put - 1.0


@cache
def cantilever(
    kind: str,
    fine: float,
    along: bool = True,
    width: float = 3.0,
    ratio: float = 2.0,
    bend: tuple[float, float] = (137.0, 60.0),
) -> Cantilever:
    """Peirce's test of a virtual strip along (or across) the grain.

    fine: triangle sides for a bending length c. bend: along and across, dyn.cm.
    """
    put = bend[0] if along else bend[1]
    c = (put / (MASS * GRAVITY)) ** (1.0 / 3.0)
    length, edge = ratio * c, c / fine
    # whole columns; the fold at the last one that is held stands for half a column on either side,
    # so the clamp's edge, x = 0, lies midway between the last two held
    step = edge * (np.sqrt(0.75) if kind == "rows across" else 1.0)
    step = length / (round(length / step - 0.5) + 0.5)
    behind, overhang = 3.5 * step, length
    if kind == "random":
        points = _with_columns(behind + overhang, width, step)
        triangles = turned(points, Delaunay(points).simplices)
    else:
        scale = step / (np.sqrt(0.75) if kind == "rows across" else 1.0)
        points, triangles = sheet(behind + overhang, width, scale, kind)
    points = points - [behind, 0.0]
    x = np.concatenate([points, np.zeros((len(points), 1))], axis=1)
    s = cloth(
        len(points),
        triangles,
        grained(points, 0.0 if along else 90.0)[triangles],
        bend=bend,
        pinned=np.flatnonzero(points[:, 0] < 0.51 * step),
    )
    state, rest = settled(s, x, enough=1e-5, steps=500, h=0.05, longest=50.0, reach=1.0)
    end = np.abs(points[:, 0] - overhang) < 1e-6
    tip = state.x[end].mean(axis=0)
    angle = float(np.degrees(np.arctan2(-tip[2], tip[0])))
    read = rigidity_read(overhang, MASS * GRAVITY, angle)
    return Cantilever(put, read, len(points), rest.residual, rest.steps)


def _with_columns(length: float, width: float, step: float) -> Array:
    """Points (n, 2) of a strip at random but for its sides and its first five columns."""
    points, _ = sheet(length, width, step, "random")
    columns = np.linspace(0.0, length, round(length / step) + 1)
    rows = max(2, round(width / step)) + 1
    even = points.reshape(len(columns), rows, 2)
    even[:5, :, 0] = columns[:5, None]
    return even.reshape(-1, 2)
