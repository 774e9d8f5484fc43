"""The body that cloth lies on: its surface, its distances, and how it takes cloth along."""

from __future__ import annotations

from hashlib import blake2b

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Surface
from pinwright.drape.field import Field, field_of
from pinwright.figure.figure import Figure
from pinwright.figure.fine import fine
from pinwright.figure.landmarks import vertices
from pinwright.figure.surface import triangles

ABOUT = 5.0
"""So far about the cloth the body is known, cm."""

ROUNDED = 10.0
"""The box about the cloth reaches to whole steps of this, cm: hung again, it finds the same one."""

FIELDS = 6
"""So many fields of bodies are remembered."""

_fields: dict[bytes, Field] = {}


def coarse_body(figure: Figure, points: Array) -> Surface:
    """The body cloth lies on, as the open body's own surface."""
    return Surface(points, triangles(figure.faces))


def fine_body(points: Array) -> Surface:
    """The body cloth lies on, as its finer surface."""
    f = fine()
    return Surface(f.points(points), triangles(f.faces))


def ankle(points: Array) -> float:
    """The height of the ankles, cm: nothing is met below, for feet are in shoes of some shape."""
    at = vertices()
    return float(min(points[at[f"ankle_bone_{k}"], 2] for k in ("left", "right")))


def near_cloth(body: Surface, skin: Array, x: Array, step: float) -> Field:
    """The field of a body about cloth (n, 3), above the ankles of the skin; made once.

    step: between the points of the grid, cm.
    """
    low = ROUNDED * np.floor((x.min(axis=0) - ABOUT) / ROUNDED)
    high = ROUNDED * np.ceil((x.max(axis=0) + ABOUT) / ROUNDED)
    low[2] = max(low[2], ankle(skin))
    digest = blake2b(digest_size=16)
    for part in (body.points, body.triangles, low, high, np.array([step])):
        digest.update(np.ascontiguousarray(part).tobytes())
    key = digest.digest()
    if key not in _fields:
        while len(_fields) >= FIELDS:
            _fields.pop(next(iter(_fields)))
        _fields[key] = field_of(body, step, low, high)
    return _fields[key]


def carried(x: Array, before: Array, after: Array) -> Array:
    """Cloth (n, 3) taken along by the skin under it, whose points move from before to after."""
    far, near = cKDTree(before).query(x, k=8)
    weight: Array = 1.0 / (np.asarray(far) + 0.5) ** 2
    weight /= weight.sum(axis=1, keepdims=True)
    moved: Array = x + np.einsum("nk,nkd->nd", weight, (after - before)[near])
    return moved
