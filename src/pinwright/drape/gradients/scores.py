"""What of a hung garment a cutter would have less of, as smooth numbers with their derivatives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.field import Field
from pinwright.drape.solver.stencils import Stencils


@dataclass(frozen=True, slots=True, eq=False)
class Score:
    """A number read from cloth, and how it changes while all else stays.

    by_x: (n, 3), for each cm that a vertex moves. by_flat: (m, 3, 2), for each cm that a flat
    corner moves under cloth that stays where it is.
    """

    value: float
    by_x: Array
    by_flat: Array

    def __add__(self, other: Score) -> Score:
        return Score(self.value + other.value, self.by_x + other.by_x, self.by_flat + other.by_flat)

    def __mul__(self, weight: float) -> Score:
        return Score(weight * self.value, weight * self.by_x, weight * self.by_flat)

    __rmul__ = __mul__


def strain_across(st: Stencils, x: Array, which: Whole) -> Score:
    """The mean square of the strain across the grain, by flat area, of triangles ``which`` (k,).

    x: (n, 3) cm. The strain is :attr:`pinwright.drape.reading.strain.Strain.across`.

    Raises:
        ValueError: no triangle.
    """
    if not len(which):
        raise ValueError("strain_across: no triangle to read")
    slopes, area = st.slopes[which], st.area[which]
    weft = np.einsum("ta,tad->td", slopes[..., 0], x[st.triangles[which]])
    size = np.linalg.norm(weft, axis=1)
    strain = size - 1.0
    whole = float(area.sum())
    value = float(area @ strain**2) / whole
    by_weft = (2.0 * area * strain / size / whole)[:, None] * weft
    by_x = np.zeros((st.n, 3))
    np.add.at(by_x, st.triangles[which], slopes[:, :, :1] * by_weft[:, None])
    # F = X / D, so dF = -F dD / D; only its first column is read, and the area is half of det D
    turn = np.zeros((len(which), 2, 2))
    warp = np.einsum("ta,tad->td", slopes[..., 1], x[st.triangles[which]])
    turn[:, 0, 0] = -(weft * by_weft).sum(axis=1)
    turn[:, 1, 0] = -(warp * by_weft).sum(axis=1)
    turn[:, [0, 1], [0, 1]] += (area * (strain**2 - value) / whole)[:, None]
    by_flat = np.zeros((len(st.triangles), 3, 2))
    np.add.at(by_flat, which, np.einsum("tic,tac->tai", turn, slopes))
    return Score(value, by_x, by_flat)


def height(st: Stencils, x: Array, which: Whole) -> Score:
    """The mean height of vertices ``which`` (k,), cm: a hem's, or one place of it.

    Raises:
        ValueError: no vertex.
    """
    if not len(which):
        raise ValueError("height: no vertex to read")
    by_x = np.zeros((st.n, 3))
    np.add.at(by_x[:, 2], which, 1.0 / len(which))
    return Score(float(x[which, 2].mean()), by_x, np.zeros((len(st.triangles), 3, 2)))


def gap(st: Stencils, x: Array, which: Whole, body: Field, half: float = 0.0) -> Score:
    """How far vertices ``which`` (k,) stand off a body in the mean, cm, less half the thickness.

    Raises:
        ValueError: no vertex.
    """
    if not len(which):
        raise ValueError("gap: no vertex to read")
    distance, direction = body.at(x[which])
    by_x = np.zeros((st.n, 3))
    np.add.at(by_x, which, direction / len(which))
    return Score(float(distance.mean()) - half, by_x, np.zeros((len(st.triangles), 3, 2)))
