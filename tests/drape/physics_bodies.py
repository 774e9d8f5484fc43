"""Bodies of the lathe and of a formula, and tubes of cloth to be put over them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.ndimage import correlate1d

from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.field import Field


def field_from(distance: Callable[[Array], Array], low: Array, high: Array, step: float) -> Field:
    """A field from a function of points (n, 3) that tells their distance from a body, cm."""

    shape = np.ceil((high - low) / step).astype(int) + 1
    axes = [low[k] + step * np.arange(shape[k]) for k in range(3)]
    grid = np.stack(np.meshgrid(*axes, indexing="ij"), -1)
    found = distance(grid.reshape(-1, 3)).reshape(tuple(shape))
    smoothed = found
    for axis in range(3):
        smoothed = correlate1d(smoothed, [0.125, 0.75, 0.125], axis=axis, mode="nearest")
    return Field(low, step, 2.0 * found - smoothed)


def turned_body(radius: Callable[[Array], Array], low: float, high: float) -> Surface:
    """A body turned on a lathe: its radius, cm, at each height."""
    z = np.linspace(low, high, round((high - low) / 0.4))
    angle = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    r = np.broadcast_to(radius(z), z.shape)
    points = np.stack(
        [
            r[:, None] * np.cos(angle),
            r[:, None] * np.sin(angle),
            np.repeat(z[:, None], 240, axis=1),
        ],
        axis=2,
    ).reshape(-1, 3)
    i = np.arange(240)
    j = (i + 1) % 240
    rows = np.arange(len(z) - 1)[:, None] * 240
    quads = np.stack([rows + i, rows + j, rows + j + 240, rows + i + 240], axis=2).reshape(-1, 4)
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    return Surface(points, np.asarray(triangles, np.int64))


def tube(round_: int, high: int, edge: float) -> tuple[Array, Whole, Array]:
    """A tube of equilateral triangles: flat points (n, 2), triangles, flat corners (m, 3, 2).

    round_: triangle sides about it; its girth at rest is round_ x edge.
    """
    tall = edge * np.sqrt(0.75)
    j, i = np.divmod(np.arange(round_ * high), round_)
    flat = np.stack([(i + 0.5 * (j % 2)) * edge, j * tall], axis=1)
    triangles, rest = [], []
    for row in range(high - 1):
        o = row % 2
        for col in range(round_):
            a, b = (col, row), (col + 1, row)
            c, d = (col + o, row + 1), (col + o + (1 if not o else 0), row + 1)
            corners = (
                [(a, b, (col, row + 1)), (b, (col + 1, row + 1), (col, row + 1))]
                if not o
                else [(a, b, (col + 1, row + 1)), (a, (col + 1, row + 1), (col, row + 1))]
            )
            del c, d
            for t in corners:
                triangles.append([q[1] * round_ + q[0] % round_ for q in t])
                rest.append([((q[0] + 0.5 * (q[1] % 2)) * edge, q[1] * tall) for q in t])
    return flat, np.array(triangles, np.int64), np.array(rest)


def wrapped(flat: Array, girth: float, radius: Array | float, low: float = 0.0) -> Array:
    """Flat points (n, 2) of a tube of this girth wrapped on a radius, cm."""
    angle = flat[:, 0] / girth * 2.0 * np.pi
    return np.stack([radius * np.cos(angle), radius * np.sin(angle), low + flat[:, 1]], axis=1)
