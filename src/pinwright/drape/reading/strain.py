"""How far the cloth is stretched, along and across its grain.

With the flat corners of a triangle as the columns of D and the hung ones of X, its deformation is
F = X D⁻¹ (3 x 2); a warp thread has become |F e_y| times as long, a weft thread |F e_x| times, and
the principal stretches are the roots of the eigenvalues of Fᵀ F (continuum mechanics; the Biot
strain is the stretch less one).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Hung, Whole


@dataclass(frozen=True, slots=True, eq=False)
class Strain:
    """Strain of every triangle, as fractions.

    along, across: (m,) engineering strain of warp and weft. shear: (m,) degrees by which the angle
    between warp and weft is off square, positive where it closed. most, least: (m,) principal
    stretches less one. towards: (m, 3) unit vector of the greatest stretch, on the hung cloth.
    warp: (m, 3) unit vector of the warp there, as worn upwards. area: (m,) cm2, flat.
    """

    along: Array
    across: Array
    shear: Array
    most: Array
    least: Array
    towards: Array
    warp: Array
    area: Array


def strain(hung: Hung) -> Strain:
    """The strain of a hung garment, triangle by triangle."""
    return strain_of(hung.points, hung.shell.triangles, hung.shell.rest)


def strain_of(points: Array, triangles: Whole, rest: Array) -> Strain:
    """The strain of triangles (m, 3) with flat corners (m, 3, 2) and points (n, 3), cm."""
    u = rest[:, 1] - rest[:, 0]
    v = rest[:, 2] - rest[:, 0]
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    p = points[triangles[:, 1]] - points[triangles[:, 0]]
    q = points[triangles[:, 2]] - points[triangles[:, 0]]
    weft = (p * v[:, 1:] - q * u[:, 1:]) / twice[:, None]
    warp = (q * u[:, :1] - p * v[:, :1]) / twice[:, None]
    xx, yy = (weft * weft).sum(1), (warp * warp).sum(1)
    xy = (weft * warp).sum(1)
    wide, long = np.sqrt(xx), np.sqrt(yy)
    middle, half = (xx + yy) / 2.0, np.hypot((xx - yy) / 2.0, xy)
    angle = np.arctan2(2.0 * xy, xx - yy) / 2.0
    towards = np.cos(angle)[:, None] * weft + np.sin(angle)[:, None] * warp
    size = np.sqrt(middle + half)
    return Strain(
        along=long - 1.0,
        across=wide - 1.0,
        shear=np.degrees(np.arcsin(np.clip(xy / np.maximum(wide * long, 1e-12), -1.0, 1.0))),
        most=size - 1.0,
        least=np.sqrt(np.maximum(middle - half, 0.0)) - 1.0,
        towards=towards / np.maximum(size, 1e-12)[:, None],
        warp=warp / np.maximum(long, 1e-12)[:, None],
        area=twice / 2.0,
    )


def at_vertices(values: Array, triangles: Whole, area: Array, n: int) -> Array:
    """Values of triangles (m,) as means by area at the n vertices; 0 where there is no triangle."""
    corner = triangles.ravel()
    weight = np.bincount(corner, np.repeat(area, 3), n)
    total = np.bincount(corner, np.repeat(area * values, 3), n)
    found: Array = total / np.where(weight > 0.0, weight, 1.0)
    return found


def mean_of(values: Array, weight: Array) -> float:
    """The weighted mean; 0 of nothing."""
    total = float(weight.sum())
    return float(weight @ values) / total if total > 0.0 else 0.0


def peak_of(values: Array, weight: Array, part: float = 0.99) -> float:
    """The value that this part of the weight stays under: a peak that no sliver makes; 0 of none.

    Between the middles of the values' weights it is taken evenly.
    """
    if not len(values):
        return 0.0
    order = np.argsort(values)
    w = weight[order]
    upto = np.cumsum(w) - w / 2.0
    return float(np.interp(part * w.sum(), upto, values[order]))
