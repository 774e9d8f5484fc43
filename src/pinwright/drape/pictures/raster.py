"""A depth buffer: which triangle is foremost at each point of a picture, and where in it."""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole

Flags = NDArray[np.bool_]
Kinds = NDArray[np.int8]
Colours = NDArray[np.uint8]

NONE = -1
"""The triangle where there is nothing."""


@njit(cache=True)
def raster(
    points: Array, triangles: Whole, back: Array, wide: int, high: int
) -> tuple[Whole, Array, Array]:
    """The foremost triangle at the middle of each point of a picture.

    points: (n, 3) to the right and down in points of the picture, and towards the eye in cm.
    triangles: (t, 3), any way round. back: (t,) cm by which each counts as lying further away.
    Returns triangle (high, wide), the shares of its second and third corner (high, wide, 2), and
    how near it lies, cm, without ``back`` (high, wide); minus infinity where there is nothing.
    """
    which = np.full((high, wide), -1, np.int64)
    shares = np.zeros((high, wide, 2))
    near = np.full((high, wide), -np.inf)
    judged = np.full((high, wide), -np.inf)
    for t in range(len(triangles)):
        a, b, c = triangles[t, 0], triangles[t, 1], triangles[t, 2]
        ax, ay = points[a, 0], points[a, 1]
        ux, uy = points[b, 0] - ax, points[b, 1] - ay
        vx, vy = points[c, 0] - ax, points[c, 1] - ay
        whole = ux * vy - uy * vx
        if abs(whole) < 1e-12:
            continue
        left = max(0, int(np.ceil(ax + min(0.0, ux, vx) - 0.5)))
        right = min(wide - 1, int(np.floor(ax + max(0.0, ux, vx) - 0.5)))
        top = max(0, int(np.ceil(ay + min(0.0, uy, vy) - 0.5)))
        foot = min(high - 1, int(np.floor(ay + max(0.0, uy, vy) - 0.5)))
        za = points[a, 2]
        zb, zc = points[b, 2] - za, points[c, 2] - za
        for i in range(top, foot + 1):
            qy = i + 0.5 - ay
            for j in range(left, right + 1):
                qx = j + 0.5 - ax
                s = (qx * vy - qy * vx) / whole
                r = (ux * qy - uy * qx) / whole
                if s < -1e-9 or r < -1e-9 or s + r > 1.0 + 2e-9:
                    continue
                z = za + s * zb + r * zc
                if z - back[t] > judged[i, j]:
                    judged[i, j] = z - back[t]
                    near[i, j] = z
                    which[i, j] = t
                    shares[i, j, 0] = s
                    shares[i, j, 1] = r
    return which, shares, near


@njit(cache=True)
def spread(values: Array, corners: Whole, which: Whole, shares: Array, first: int) -> Array:
    """Values (n,) at corners (t, 3) over the picture (high, wide); not numbers before ``first``.

    which, shares: see :func:`raster`; a triangle below ``first`` has no values.
    """
    high, wide = which.shape
    found = np.full((high, wide), np.nan)
    for i in range(high):
        for j in range(wide):
            t = which[i, j] - first
            if t >= 0:
                s, r = shares[i, j, 0], shares[i, j, 1]
                found[i, j] = (
                    (1.0 - s - r) * values[corners[t, 0]]
                    + s * values[corners[t, 1]]
                    + r * values[corners[t, 2]]
                )
    return found


@njit(cache=True)
def lit(way: Array, triangles: Whole, which: Whole, shares: Array, turned: Whole) -> Array:
    """How light what is seen is, 0 to 1: from over the left shoulder, darker where it turns away.

    way: (n, 3) where the surface faces at each vertex, right, up and towards the eye. turned: (t,)
    1 or, for a triangle of which the other side is seen, -1. Our own, and gentle.
    """
    high, wide = which.shape
    found = np.ones((high, wide))
    size = np.sqrt(0.45**2 + 0.55**2 + 0.7**2)
    for i in range(high):
        for j in range(wide):
            t = which[i, j]
            if t < 0:
                continue
            s, r = shares[i, j, 0], shares[i, j, 1]
            a, b, c = triangles[t, 0], triangles[t, 1], triangles[t, 2]
            q = 1.0 - s - r
            x = q * way[a, 0] + s * way[b, 0] + r * way[c, 0]
            y = q * way[a, 1] + s * way[b, 1] + r * way[c, 1]
            z = q * way[a, 2] + s * way[b, 2] + r * way[c, 2]
            long = turned[t] * max(np.sqrt(x * x + y * y + z * z), 1e-12)
            key = (-0.45 * x + 0.55 * y + 0.7 * z) / (size * long)
            rim = min(max(z / long / 0.35, 0.0), 1.0)
            found[i, j] = (0.5 + 0.5 * key) * (0.55 + 0.45 * rim)
    return found


@njit(cache=True)
def torn(near: Array, cloth: Flags, jump: float) -> Flags:
    """Points of the cloth beside which is no cloth, or cloth more than ``jump`` cm off."""
    high, wide = near.shape
    found = np.zeros((high, wide), np.bool_)
    for i in range(high):
        for j in range(wide):
            if not cloth[i, j]:
                continue
            for di, dj in ((-1, 0), (1, 0), (0, -1), (0, 1)):
                p, q = i + di, j + dj
                if p < 0 or q < 0 or p >= high or q >= wide:
                    continue
                if not cloth[p, q] or abs(near[p, q] - near[i, j]) > jump:
                    found[i, j] = True
    return found


@njit(cache=True)
def behind(near: Array, kind: Kinds, jump: float, wide_: int) -> Flags:
    """Points just behind the edge of something more than ``jump`` cm nearer, ``wide_`` of them: an
    edge before what is of its own kind has no other line. Of the body (kind 1) three times as much:
    a face is not to be full of lines."""
    high, wide = near.shape
    found = np.zeros((high, wide), np.bool_)
    for i in range(high):
        for j in range(wide):
            if kind[i, j] == 0:
                continue
            limit = 3.0 * jump if kind[i, j] == 1 else jump
            for di, dj in ((-1, 0), (1, 0), (0, -1), (0, 1)):
                last = near[i, j]
                for k in range(1, wide_ + 1):
                    p, q = i + k * di, j + k * dj
                    if p < 0 or q < 0 or p >= high or q >= wide or kind[p, q] == 0:
                        break
                    if kind[p, q] == kind[i, j] and near[p, q] - last > limit:
                        found[i, j] = True
                        break
                    last = near[p, q]
    return found


@njit(cache=True)
def tinted(
    kind: Kinds,
    light: Array,
    band: Kinds,
    colours: Colours,
    tones: Array,
    hidden: Flags,
    out: Colours,
) -> None:
    """Fill a picture (high, wide, 3) with the colours of its points, shaded.

    kind: 0 nothing, 1 body, 2 wrong side, 3 cloth. band: (high, wide) of the cloth, -1 unknown.
    colours: (k, 3) of the bands. tones: (5, 4) colour of a kind, and the part of it that shading
    takes; the last is the colour of what is ``hidden``, see :func:`behind`.
    """
    high, wide = kind.shape
    for i in range(high):
        for j in range(wide):
            k = kind[i, j]
            if k == 0:
                continue
            if hidden[i, j]:
                for c in range(3):
                    out[i, j, c] = np.uint8(tones[4, c])
                continue
            part = 1.0 - tones[k, 3] * (1.0 - light[i, j])
            for c in range(3):
                tone = tones[k, c]
                if k == 3 and band[i, j] >= 0:
                    tone = float(colours[band[i, j], c])
                out[i, j, c] = np.uint8(tone * part + 0.5)


@njit(cache=True)
def softened(where: Flags) -> Array:
    """Each point as the mean with those round it, twice itself each way; nothing outside."""
    high, wide = where.shape
    found = np.zeros((high, wide))
    for i in range(high):
        for j in range(wide):
            if not where[i, j]:
                continue
            for di in (-1, 0, 1):
                for dj in (-1, 0, 1):
                    p, q = i + di, j + dj
                    if 0 <= p < high and 0 <= q < wide:
                        found[p, q] += (2 - abs(di)) * (2 - abs(dj)) / 16.0
    return found
