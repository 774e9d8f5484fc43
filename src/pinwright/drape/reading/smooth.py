"""A garment without its folds: a smooth copy of the hung cloth, to see the folds against.

The copy x solves min ‖x - x₀‖² + t² ‖Δx‖² over the cloth, Δ the cotangent Laplacian of the flat
triangles (U. Pinkall, K. Polthier, Exp. Math. 2(1), 1993). A wave of length L keeps
1 / (1 + (L₀/L)⁴) of its height, L₀ = 2π√t: half at L₀. On the borders the bending of the line
itself is held back instead, but for its corners, so that a plane sheet stays plane to its edge.
Where cloth stands out it may be held less: then the copy passes under it, as the cloth about it
would run on without the fold.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, csc_array, diags_array
from scipy.sparse.linalg import splu

from pinwright.drape.data import Array, Shell, Whole
from pinwright.drape.reading.cloth import borders

HALF = 14.0
"""A wave of this length, cm, keeps half its height in the smooth copy: folds are shorter."""

CORNER = 0.7
"""Where a border turns by more of its neighbours' directions (1 less their cosine) is a corner."""


def stiffness(shell: Shell) -> tuple[csc_array, Array]:
    """The cotangent matrix (n, n) of the flat triangles, and the area (n,) of each vertex."""
    rest, f = shell.rest, shell.triangles
    rows, columns, values = [], [], []
    area = np.zeros(shell.n)
    for k in range(3):
        i, j = f[:, (k + 1) % 3], f[:, (k + 2) % 3]
        a, b = rest[:, (k + 1) % 3] - rest[:, k], rest[:, (k + 2) % 3] - rest[:, k]
        twice = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        half = 0.5 * (a * b).sum(axis=1) / twice
        rows += [i, j, i, j]
        columns += [j, i, i, j]
        values += [-half, -half, half, half]
        area += np.bincount(f[:, k], twice / 6.0, shell.n)
    matrix = coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(shell.n, shell.n),
    )
    return csc_array(matrix), np.where(area > 0.0, area, 1.0)


def _border(shell: Shell, points: Array) -> tuple[csc_array, Whole]:
    """How borders bend: a matrix (b, n) whose square weighs their second differences; vertices."""
    ends = borders(shell.triangles)
    both = np.concatenate([ends, ends[:, ::-1]])
    both = both[np.argsort(both[:, 0], kind="stable")]
    vertex, first, count = np.unique(both[:, 0], return_index=True, return_counts=True)
    mid = vertex[count == 2]
    a, b = both[first[count == 2], 1], both[first[count == 2] + 1, 1]
    p, q = points[mid] - points[a], points[b] - points[mid]
    g, h = np.linalg.norm(p, axis=1), np.linalg.norm(q, axis=1)
    straight = (p * q).sum(axis=1) > (1.0 - CORNER) * g * h
    mid, a, b, g, h = mid[straight], a[straight], b[straight], g[straight], h[straight]
    weight = np.sqrt((g + h) / 2.0)
    row = np.arange(len(mid))
    values = [2.0 * weight / (g * (g + h)), 2.0 * weight / (h * (g + h)), -2.0 * weight / (g * h)]
    matrix = coo_array(
        (np.concatenate(values), (np.tile(row, 3), np.concatenate([a, b, mid]))),
        shape=(len(mid), shell.n),
    )
    return csc_array(matrix), vertex


def bending(shell: Shell, points: Array) -> tuple[csc_array, Array]:
    """What bending of the copy costs, a matrix (n, n), and the area (n,) of each vertex, cm2."""
    t = (HALF / (2.0 * np.pi)) ** 2
    k, area = stiffness(shell)
    line, border = _border(shell, points)
    inside = np.ones(shell.n)
    inside[border] = 0.0
    bent = k @ diags_array(inside / area) @ k
    # a border stands for the strip beside it that its waves reach into
    rim = (line.T @ line) * np.sqrt(t)
    return csc_array(t * t * (bent + rim)), area


def smoothed(bend: csc_array, weight: Array, points: Array) -> Array:
    """The smooth copy (n, 3) of hung points (n, 3), cm, each held by its weight (n,), cm2."""
    system = csc_array(diags_array(weight) + bend)
    solve = splu(system, options={"SymmetricMode": True})
    found: Array = solve.solve(points * weight[:, None])
    return found
