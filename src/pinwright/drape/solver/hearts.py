"""The few places of cloth at which most of the forces left over act: hearts, and what meets them.

They come to rest by themselves, see :mod:`pinwright.drape.solver.settling`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numba import njit, prange

from pinwright.drape.data import Array, Flags, Whole
from pinwright.drape.solver.acting import GRAVITY, Setting

SPARSE, MOST = 200, 60
"""At most one vertex of so many, and no more than so many, are hearts. Were it one of sixty, a
third of a small sheet would come to rest by itself, and in creases; so would 20,000 vertices at a
hundred places."""

FAR = 1000.0
"""Over this residual there are none: what is crushed would come to rest in creases."""

SHARE = 0.5
"""Of the squared forces so much must stand there."""

RINGS = 1
"""So many times what meets them goes with them."""


@dataclass(frozen=True, slots=True, eq=False)
class Meeting:
    """Which vertices meet, in cloths of the same number of vertices n.

    ends (B, n + 1), beside: the neighbours of vertex i of cloth b are ``beside[ends[b, i] :
    ends[b, i + 1]]``. unit (B,): dyn2, the squared forces of a residual of 1.
    """

    ends: Whole
    beside: Whole
    unit: Array


def meeting(settings: Sequence[Setting]) -> Meeting:
    """Which vertices of each cloth meet: those that bend with each other."""
    ends, beside, units = [], [], []
    at = 0
    for s in settings:
        bend = s.bend.copy()
        bend.eliminate_zeros()
        ends.append(at + bend.indptr.astype(np.int64))
        beside.append(bend.indices.astype(np.int64))
        at += len(bend.indices)
        units.append(s.stencils.n * (GRAVITY * float(s.mass.mean())) ** 2)
    return Meeting(np.stack(ends), np.concatenate(beside), np.array(units))


def hearts(
    near: Meeting, force: Array, on: Flags, enough: float, far: float = FAR
) -> tuple[Flags, Array]:
    """The vertices (B, n) of each cloth that are to come to rest by themselves.

    force: (B, n, 3) dyn. on: (B,) which cloths are asked for. enough: the residual that is rest.
    far: over this residual there are none.

    Returns:
        Them, none where there are no few places at which most of the forces act; and to how little
        squared forces (B,), dyn2, they are to come, -1 for none.
    """
    n = force.shape[1]
    inside = np.zeros(force.shape[:2], np.bool_)
    aim = np.full(len(force), -1.0)
    few = max(1, min(MOST, n // SPARSE))
    _chosen(
        force, on, near.ends, near.beside, near.unit, enough, far, few, SHARE, RINGS, inside, aim
    )
    return inside, aim


@njit(cache=True, parallel=True)
def _chosen(
    force: Array,
    on: Flags,
    ends: Whole,
    beside: Whole,
    unit: Array,
    enough: float,
    far: float,
    few: int,
    share: float,
    rings: int,
    inside: Flags,
    aim: Array,
) -> None:
    n = force.shape[1]
    for b in prange(len(force)):
        if not on[b]:
            continue
        top = np.empty(few, np.int64)
        size = np.empty(few)
        count = 0
        total = 0.0
        for i in range(n):
            f = force[b, i, 0] ** 2 + force[b, i, 1] ** 2 + force[b, i, 2] ** 2
            total += f
            if count == few and f <= size[few - 1]:
                continue
            # in among the largest so far, the largest first
            if count < few:
                count += 1
            k = count - 1
            while k > 0 and size[k - 1] < f:
                size[k] = size[k - 1]
                top[k] = top[k - 1]
                k -= 1
            size[k] = f
            top[k] = i
        if total <= unit[b] * enough**2 or total > unit[b] * far**2:
            continue
        if size[:count].sum() < share * total:
            continue
        # without them it would be rest, or nine tenths of the forces are gone
        left = max(0.25 * unit[b] * enough**2, 0.1 * total)
        upto = 0.0
        for k in range(count):
            inside[b, top[k]] = True
            upto += size[k]
            if upto >= total - left:
                break
        for _ in range(rings):
            for v in np.flatnonzero(inside[b]):
                for q in range(ends[b, v], ends[b, v + 1]):
                    inside[b, beside[q]] = True
        aim[b] = left
