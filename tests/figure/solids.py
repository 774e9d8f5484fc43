"""Closed solids of quads whose sections are known: from a cube's surface, stretched."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.figure.body.model import Array, Whole


def lattice(n: int, heights: Sequence[float]) -> tuple[Array, Whole]:
    """The surface of [-1, 1] x [-1, 1] x heights in n x n x (len - 1) cells: points and quads.

    Quads run anticlockwise seen from outside.
    """
    steps = (n, n, len(heights) - 1)
    number: dict[tuple[int, int, int], int] = {}
    faces = []
    for axis in range(3):
        i, j = (axis + 1) % 3, (axis + 2) % 3
        for end in (0, steps[axis]):
            for a in range(steps[i]):
                for c in range(steps[j]):
                    ring = [(a, c), (a + 1, c), (a + 1, c + 1), (a, c + 1)]
                    quad = []
                    for s, t in ring if end else ring[::-1]:
                        at = [0, 0, 0]
                        at[axis], at[i], at[j] = end, s, t
                        quad.append(number.setdefault((at[0], at[1], at[2]), len(number)))
                    faces.append(quad)
    points = np.array(list(number), dtype=float)
    points[:, :2] = 2.0 * points[:, :2] / n - 1.0
    points[:, 2] = np.asarray(heights)[points[:, 2].astype(int)]
    return points, np.array(faces, dtype=np.int64)


def turned(
    n: int, heights: Sequence[float], radii: Sequence[float], flat: float = 1.0
) -> tuple[Array, Whole]:
    """A solid turned on z with these radii (cm) at these heights, then y times ``flat``.

    Its walls are 4 n straight strips of even angle, so a level section is a regular polygon.
    """
    points, faces = lattice(n, heights)
    x, y = points[:, 0], points[:, 1]
    r = np.maximum(np.abs(x), np.abs(y))
    wide = np.abs(x) >= np.abs(y)
    part = np.where(wide, y, x) / np.where(r == 0.0, 1.0, np.where(wide, x, y))
    angle = np.where(wide, part, 2.0 - part) * np.pi / 4.0
    angle = np.where(np.where(wide, x, y) < 0.0, angle + np.pi, angle)
    r = r * np.interp(points[:, 2], heights, radii)
    round_points = np.stack([r * np.cos(angle), flat * r * np.sin(angle), points[:, 2]], axis=1)
    return round_points, faces


def ball(n: int, radius: float) -> tuple[Array, Whole]:
    """A sphere round (0, 0, 0): a cube's lattice of even angles thrown outwards."""
    points, faces = lattice(n, np.linspace(-1.0, 1.0, n + 1).tolist())
    even = np.tan(points * np.pi / 4.0)
    return radius * even / np.linalg.norm(even, axis=1, keepdims=True), faces
