"""The cloth as heights over its smooth copy, and how it bends there.

Over the smooth copy the cloth is a field of heights. At each vertex a quadric is fitted to the
heights about it in the tangent plane (F. Cazals, M. Pouget, CAGD 22, 2005: jets), whose Hessian is
the curvature tensor of the fold alone, the body's and the garment's own being taken away with the
copy.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.reading.cloth import outwards
from pinwright.drape.reading.nearest import Nearest
from pinwright.drape.reading.smooth import bending, smoothed
from pinwright.drape.surfaces import normals

STANDS = 0.05
"""Cloth that stands out so much over its smooth copy, cm, is held less."""

HELD = 0.02
"""By this part of its area."""


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """The cloth as heights over its smooth copy: base (n, 3), facing normal (n, 3), height (n,)."""

    base: Array
    normal: Array
    height: Array


def fields(hung: Hung, near: Nearest) -> tuple[Field, Field]:
    """The cloth over its smooth copy, and over one that passes under what stands out; outwards."""
    turned = outwards(hung, near.points)
    bend, area = bending(hung.shell, hung.points)
    base = smoothed(bend, area, hung.points)
    normal = turned * normals(base, hung.shell.triangles)
    height = ((hung.points - base) * normal).sum(axis=1)
    if float(height.max()) < STANDS:
        return (Field(base, normal, height),) * 2
    under = smoothed(bend, np.where(height > STANDS, HELD, 1.0) * area, hung.points)
    over = ((hung.points - under) * normal).sum(axis=1)
    return Field(base, normal, height), Field(base, normal, over)


def _frames(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors (n, 3) square to each normal and to each other."""
    helper = np.where(np.abs(normal[:, 2:]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    one = np.cross(helper, normal)
    one /= np.maximum(np.linalg.norm(one, axis=1, keepdims=True), 1e-12)
    return one, np.cross(normal, one)


def bends(field: Field, edge: Whole) -> tuple[Array, Array, Array, Array]:
    """The slope (n, 3), the way of the strongest bend (n, 3), it and the other bend (n,), 1/cm.

    Bends are positive where the cloth bends outwards.
    """
    n = len(field.base)
    ones = np.ones(len(edge))
    beside = csr_array((np.tile(ones, 2), (edge.T.ravel(), edge[:, ::-1].T.ravel())), shape=(n, n))
    two = csr_array(beside @ beside + beside)
    i = np.repeat(np.arange(n), np.diff(two.indptr))
    j = two.indices
    step = field.base[j] - field.base[i]
    size = np.linalg.norm(field.base[edge[:, 0]] - field.base[edge[:, 1]], axis=1)
    reach = (np.bincount(edge.ravel(), np.repeat(size, 2), n) / np.bincount(edge.ravel(), None, n))[
        i
    ]
    one, other = _frames(field.normal)
    u, v = (step * one[i]).sum(axis=1), (step * other[i]).sum(axis=1)
    rise = field.height[j] - field.height[i]
    weight = np.exp(-0.5 * (step * step).sum(axis=1) / (1.3 * reach) ** 2)
    terms = (u, v, 0.5 * u * u, u * v, 0.5 * v * v)
    a = np.zeros((n, 5, 5))
    b = np.zeros((n, 5, 1))
    for r, p in enumerate(terms):
        w = weight * p
        b[:, r, 0] = np.bincount(i, w * rise, n)
        for c in range(r, 5):
            a[:, r, c] = a[:, c, r] = np.bincount(i, w * terms[c], n)
    a += np.eye(5) * (1e-9 + 1e-7 * np.trace(a, axis1=1, axis2=2))[:, None, None]
    fit = np.linalg.solve(a, b)[:, :, 0]
    slope = fit[:, :1] * one + fit[:, 1:2] * other
    xx, xy, yy = -fit[:, 2], -fit[:, 3], -fit[:, 4]
    middle, half = (xx + yy) / 2.0, np.hypot((xx - yy) / 2.0, xy)
    angle = np.arctan2(2.0 * xy, xx - yy) / 2.0
    across = np.cos(angle)[:, None] * one + np.sin(angle)[:, None] * other
    return slope, across, middle + half, middle - half
