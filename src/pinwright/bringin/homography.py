"""The plane of the table from a picture of it: a homography by four points.

References
----------
R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed., 4.1 (the direct linear
transform; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def homography(pixels: Array, plane: Array) -> Array:
    """The matrix (3, 3) that takes picture points (k, 2) to points of the plane (k, 2), k >= 4.

    Exact for four points of which no three lie in line; least squares in the algebraic error for
    more. Both sets are first moved and scaled to unit size.
    """
    a, ta = _normal(pixels)
    b, tb = _normal(plane)
    rows = []
    for (x, y), (u, v) in zip(a, b, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    h = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    whole = np.linalg.inv(tb) @ h @ ta
    return np.asarray(whole / whole[2, 2], dtype=np.float64)


def applied(h: Array, points: Array) -> Array:
    """Points (..., 2) taken through a homography."""
    p = np.concatenate([points, np.ones((*points.shape[:-1], 1))], axis=-1) @ h.T
    return np.asarray(p[..., :2] / p[..., 2:])


def _normal(points: Array) -> tuple[Array, Array]:
    middle = points.mean(axis=0)
    size = float(np.hypot(*(points - middle).T).mean()) or 1.0
    k = 2**0.5 / size
    t = np.array([[k, 0, -k * middle[0]], [0, k, -k * middle[1]], [0, 0, 1]])
    return (points - middle) * k, t
