"""Second derivatives of distances: how the direction off a body, or off a layer, turns.

The solver leaves them out of its steps. At rest they belong to the stiffness: without them a tight
tube could not be turned about the cylinder it is on.
"""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.field import Field


def turning(body: Field, x: Array) -> Array:
    """Second derivatives (k, 3, 3) of the distance from a body at x (k, 3), 1/cm.

    They jump from one cell of the grid to the next, as quadratic B-splines' do.
    """
    shape = np.array(body.knots.shape)
    u = (x - body.origin) / body.step
    p = np.clip(u, 1.0, shape - 2.0)
    knot = np.floor(p + 0.5).astype(np.int64)
    f = p - knot
    by = np.empty((3, len(x), 3, 3))  # derivative, point, axis, knot
    by[0] = np.stack([0.5 * (0.5 - f) ** 2, 0.75 - f * f, 0.5 * (0.5 + f) ** 2], axis=2)
    by[1] = np.stack([f - 0.5, -2.0 * f, f + 0.5], axis=2)
    by[2] = np.array([1.0, -2.0, 1.0])
    # beyond the grid the body goes on as at its rim
    by[1:] *= (p == u)[None, :, :, None]
    about = np.arange(-1, 2)
    i, j, k = (knot[:, a, None] + about for a in range(3))
    near = body.knots[i[:, :, None, None], j[:, None, :, None], k[:, None, None, :]]
    found = np.empty((len(x), 3, 3))
    for a in range(3):
        for b in range(3):
            often = [(c == a) + (c == b) for c in range(3)]
            wx, wy, wz = (by[often[c], :, c] for c in range(3))
            found[:, a, b] = np.einsum("npqr,np,nq,nr->n", near, wx, wy, wz)
    return found / body.step**2


def parting(x: Array, vertex: int, corners: Whole, weight: Array, sign: float) -> Array:
    """Second derivatives (4, 3, 4, 3) of how far a vertex is from a triangle, 1/cm.

    Of vertex and corners (3,); weight: (3,) of the nearest place, which moves along the triangle,
    its side or not at all as the weights are other than 0. sign: -1 behind the triangle.
    """
    r = x[vertex] - weight @ x[corners]
    size = float(np.linalg.norm(r))
    part = np.concatenate([[1.0], -weight])
    way = (part[:, None] * r / size).ravel()
    square = np.kron(np.outer(part, part), np.eye(3))
    free = np.flatnonzero(weight > 0.0)
    if len(free) > 1:
        # q = |r|^2 / 2 with the weights chosen for the least: its second derivatives less what
        # the moving of the place takes away (the implicit function theorem once more)
        edge = x[corners[free[1:]]] - x[corners[free[0]]]
        mixed = np.zeros((len(edge), 4, 3))
        for j, e in enumerate(edge):
            mixed[j] = -part[:, None] * e
            mixed[j, 1 + free[0]] += r
            mixed[j, 1 + free[1 + j]] -= r
        flat = mixed.reshape(len(edge), 12)
        square = square - flat.T @ np.linalg.solve(edge @ edge.T, flat)
    found = np.asarray(sign * (square - np.outer(way, way)) / size, np.float64)
    return found.reshape(4, 3, 4, 3)
