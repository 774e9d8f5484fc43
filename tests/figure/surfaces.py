"""Closed surfaces whose shadows and volumes are known by formula, as points and quads."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.int64]


def ring(sections: Array, closed: bool) -> tuple[Array, Whole]:
    """Sections (k, m, 3), each anticlockwise as it is left, sewn into quads."""
    k, m, _ = sections.shape
    number = np.arange(k * m).reshape(k, m)
    low = number if closed else number[:-1]
    high = np.roll(number, -1, axis=0) if closed else number[1:]
    quads = np.stack(
        [low, np.roll(low, -1, axis=1), np.roll(high, -1, axis=1), high], axis=-1
    ).reshape(-1, 4)
    return sections.reshape(-1, 3), quads


def torus(wide: float, thick: float, k: int = 120, m: int = 60) -> tuple[Array, Whole]:
    """A torus about the y axis: radius of its middle line and of its tube, cm."""
    u = np.linspace(0.0, 2.0 * np.pi, k, endpoint=False)[:, None]
    v = np.linspace(0.0, 2.0 * np.pi, m, endpoint=False)[None, :]
    out = wide + thick * np.cos(v)
    y = np.broadcast_to(thick * np.sin(v), (k, m))
    return ring(np.stack([out * np.cos(u), y, out * np.sin(u)], axis=-1), True)


def box(a: float, b: float, c: float) -> tuple[Array, Whole]:
    """A box with a corner at 0, cm."""
    points = np.array([[x, y, z] for z in (0.0, c) for y in (0.0, b) for x in (0.0, a)])
    faces = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [1, 3, 7, 5], [3, 2, 6, 7], [2, 0, 4, 6]]
    return points, np.array(faces)
