"""The body that cloth lies on: its surface, its distances, and how it takes cloth along."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from functools import cache
from hashlib import blake2b

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.field import Field, field_of
from pinwright.figure.figure import Figure
from pinwright.figure.fine import fine
from pinwright.figure.landmarks import vertices
from pinwright.figure.surface import triangles

ABOUT = 5.0
"""So far about the cloth the body is known, cm."""

AHEAD = 10.0
"""So far about cloth that has yet to move, cm."""

ROUNDED = 10.0
"""The box about the cloth reaches to whole steps of this, cm: hung again, it finds the same one."""

FIELDS = 6
"""So many fields of bodies are remembered."""


@dataclass(frozen=True, slots=True, eq=False)
class _Known:
    """A field that was made: of which body, and in which box, low and high (3,) cm."""

    body: bytes
    step: float
    low: Array
    high: Array
    field: Field


_fields: list[_Known] = []
_digests: list[tuple[Surface, bytes]] = []
_lock = threading.Lock()


def coarse_body(figure: Figure, points: Array) -> Surface:
    """The body cloth lies on, as the open body's own surface."""
    return Surface(points, triangles(figure.faces))


def fine_body(points: Array) -> Surface:
    """The body cloth lies on, as its finer surface."""
    return Surface(fine().points(points), _fine_triangles())


@cache
def _fine_triangles() -> Whole:
    return triangles(fine().faces)


def ankle(points: Array) -> float:
    """The height of the ankles, cm: nothing is met below, for feet are in shoes of some shape."""
    at = vertices()
    return float(min(points[at[f"ankle_bone_{k}"], 2] for k in ("left", "right")))


def near_cloth(body: Surface, skin: Array, x: Array, step: float, about: float = ABOUT) -> Field:
    """The field of a body about cloth (n, 3), above the ankles of the skin; made once.

    step: between the points of the grid, cm. about: so far about the cloth it reaches at least, cm.
    It is the same to the last digit whatever box it was made in.
    """
    low = ROUNDED * np.floor((x.min(axis=0) - about) / ROUNDED)
    high = ROUNDED * np.ceil((x.max(axis=0) + about) / ROUNDED)
    low[2] = max(low[2], ankle(skin))
    key = _digest(body)
    with _lock:
        for k in _fields:
            if k.body == key and k.step == step and (k.low <= low).all() and (high <= k.high).all():
                return k.field
    found = field_of(body, step, low, high)
    with _lock:
        _fields.append(_Known(key, step, low, high, found))
        del _fields[:-FIELDS]
    return found


def _digest(body: Surface) -> bytes:
    """What tells a body from others; of those asked for last it is remembered."""
    with _lock:
        for known, digest in _digests:
            if known is body:
                return digest
    found = blake2b(digest_size=16)
    for part in (body.points, body.triangles):
        found.update(np.ascontiguousarray(part).data)
    with _lock:
        _digests.append((body, found.digest()))
        del _digests[:-FIELDS]
    return found.digest()


def carried(x: Array, before: Array, after: Array) -> Array:
    """Cloth (n, 3) taken along by the skin under it, whose points move from before to after."""
    far, near = cKDTree(before).query(x, k=8)
    weight: Array = 1.0 / (np.asarray(far) + 0.5) ** 2
    weight /= weight.sum(axis=1, keepdims=True)
    moved: Array = x + np.einsum("nk,nkd->nd", weight, (after - before)[near])
    return moved
