"""The surface of the figure as pictures and exports need it: triangles, and which way it faces."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array

from pinwright.figure.body.model import Array, Whole


def triangles(faces: Whole) -> Whole:
    """The faces (f, 4) cut along their first diagonal: (2 f, 3), turned as the faces are."""
    found: Whole = faces[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3)
    return found


def normals(points: Array, faces: Whole) -> Array:
    """Of each vertex the way the surface faces there: (n, 3), of length 1.

    The mean of the faces round it, each by its area; outwards where the faces (f, 4) are turned
    anticlockwise seen from outside. A vertex that no face has faces nowhere: 0.
    """
    corner = points[faces]
    across = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    found = np.stack(
        [
            np.bincount(faces.ravel(), np.repeat(across[:, k], 4), minlength=len(points))
            for k in range(3)
        ],
        axis=1,
    )
    length = np.linalg.norm(found, axis=1, keepdims=True)
    unit: Array = found / np.where(length > 0.0, length, 1.0)
    return unit


def evened(values: Array, faces: Whole, rounds: int) -> Array:
    """Values (n, k) at the vertices, each ``rounds`` times its mean with its neighbours'."""
    n = len(values)
    a, c = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    own = np.arange(n)
    rows, columns = np.concatenate([a, c, own, own]), np.concatenate([c, a, own, own])
    # an edge is told by both its faces, so its end counts twice, as the vertex itself does
    near = csr_array((np.ones(len(rows)), (rows, columns)), shape=(n, n))
    count: Array = near.sum(axis=1)[:, None]
    for _ in range(rounds):
        values = np.asarray(near @ values) / count
    return values
