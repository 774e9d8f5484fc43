"""The hung cloth as a surface: which way it faces, and how much of it each vertex stands for."""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.surfaces import crosses, normals

SLEEVE = "sleeve"
"""Where a panel is at home that goes round an arm."""

TRUNK = ("front", "back", "side")
"""Where panels are at home that go round the trunk and the legs."""


def vertex_areas(points: Array, triangles: Whole) -> Array:
    """The area (n,) of each vertex: a third of its triangles', cm2."""
    area = np.linalg.norm(crosses(points, triangles), axis=1) / 6.0
    return np.asarray(np.bincount(triangles.ravel(), np.repeat(area, 3), len(points)), dtype=float)


def outwards(hung: Hung, near: Array) -> float:
    """1 where the shell's triangles are turned to be seen from outside, else -1.

    near: (n, 3) the body's nearest point to each vertex.
    """
    out = ((hung.points - near) * normals(hung.points, hung.shell.triangles)).sum(axis=1)
    return 1.0 if float(out.sum()) >= 0.0 else -1.0


def _ends(triangles: Whole) -> Whole:
    """The ends of every side of every triangle as one number, sorted; the lower end counts more."""
    a, b = triangles, np.roll(triangles, -1, axis=1)
    found: Whole = np.sort((np.minimum(a, b).astype(np.int64) << 32 | np.maximum(a, b)).ravel())
    return found


def sides(triangles: Whole) -> Whole:
    """The sides of triangles (m, 3), each once: (e, 2) vertices, the lower first, in order."""
    ends = _ends(triangles)
    ends = ends[np.append(True, ends[1:] != ends[:-1])]
    return np.stack([ends >> 32, ends & 0xFFFFFFFF], axis=1)


def borders(triangles: Whole) -> Whole:
    """The sides that only one triangle has: (e, 2) vertices, the lower first, in order."""
    ends = _ends(triangles)
    new = np.append(True, ends[1:] != ends[:-1])
    ends = ends[new & np.append(new[1:], True)]
    return np.stack([ends >> 32, ends & 0xFFFFFFFF], axis=1)


def at_home(hung: Hung, homes: tuple[str, ...]) -> Whole:
    """The triangles of panels that are at home there."""
    mine = np.array([p.home in homes for p in hung.shell.panels], dtype=bool)
    return np.flatnonzero(mine[hung.shell.panel])
