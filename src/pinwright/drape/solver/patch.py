"""A few places of a shell as cloth of their own, while all about them stands still."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Whole
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.against_itself import Layers
from pinwright.drape.solver.banded import Patch
from pinwright.drape.solver.stencils import Stencils


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Some vertices of a shell and all they act on, which stands still.

    vertices: (k,) of the shell; free: (k,) which of them are to move. triangles: (l,).
    """

    setting: Setting
    layers: Layers | None
    vertices: Whole
    free: NDArray[np.bool_]
    triangles: Whole


def part_of(s: Setting, layers: Layers | None, inside: NDArray[np.bool_]) -> Part:
    """The part of cloth with the vertices inside (n,)."""
    st = s.stencils
    triangles = np.flatnonzero(_any(inside, st.triangles))
    one, two = inside[st.first], inside[st.second]
    reached = inside.copy()
    reached[st.triangles[triangles]] = True
    met = one | two
    reached[st.first[met]] = True
    reached[st.second[met]] = True
    chosen = np.empty(0, np.int64)
    if layers is not None:
        p = layers.places
        near = inside[p.vertex] | _any(inside, p.corners)
        chosen = np.flatnonzero(near)
        reached[p.vertex[near]] = True
        reached[p.corners[near]] = True
    vertices = np.flatnonzero(reached)
    count = len(vertices)
    place = np.full(st.n, -1, np.int64)
    place[vertices] = np.arange(count)
    # each vertex with itself first, as the solver wants it; else only what moves together
    pairs = np.concatenate([vertices, st.n + np.flatnonzero((one & two)[st.n :])])
    first, second = place[st.first[pairs]], place[st.second[pairs]]
    low, high = np.minimum(first, second), np.maximum(first, second)
    number = np.full(len(st.triangles), -1, np.int64)
    number[triangles] = np.arange(len(triangles))
    many = np.diff(st.ends)[pairs]
    of = np.repeat(np.arange(len(pairs)), many)
    at = np.repeat(st.ends[pairs] - np.cumsum(many) + many, many) + np.arange(int(many.sum()))
    known = number[st.triangle[at]] >= 0
    of, at = of[known], at[known]
    bend_pairs = s.bend_pairs[pairs]
    if layers is not None and len(chosen):
        more = layers.joins(chosen, place, inside)
        fresh = more[~np.isin(more, high * count + low)]
        high = np.concatenate([high, fresh // count])
        low = np.concatenate([low, fresh % count])
        first, second = (
            np.concatenate([first, fresh // count]),
            np.concatenate([second, fresh % count]),
        )
        bend_pairs = np.concatenate([bend_pairs, np.zeros(len(fresh))])
    corners = place[st.triangles[triangles]]
    about = np.argsort(corners.ravel(), kind="stable")
    own = Stencils(
        n=count,
        triangles=corners,
        area=st.area[triangles],
        slopes=st.slopes[triangles],
        first=first,
        second=second,
        ends=np.concatenate([[0], np.cumsum(np.bincount(of, minlength=len(first)))]),
        triangle=number[st.triangle[at]],
        corner_a=st.corner_a[at],
        corner_b=st.corner_b[at],
        around=np.concatenate([[0], np.cumsum(np.bincount(corners.ravel(), minlength=count))]),
        around_triangle=about // 3,
        around_corner=about % 3,
        load=st.load[vertices],
        hinge=st.hinge[:0],
        fold=st.fold[:0],
        sides=st.sides[:0],
        turn=st.turn[:0],
    )
    free = inside[vertices]
    setting = replace(
        s,
        stencils=own,
        stiff=s.stiff[triangles],
        bend=csr_array(s.bend[vertices][:, vertices]),
        bend_pairs=bend_pairs,
        mass=s.mass[vertices],
        bends=None if s.bends is None else s.bends[triangles],
        carries=None if s.carries is None else s.carries[triangles],
        pinned=np.flatnonzero(~free),
        gravity=s.gravity if s.gravity.ndim == 1 else s.gravity[vertices],
        kept=None if s.kept is None else s.kept[vertices],
        kept_at=None if s.kept_at is None else s.kept_at[vertices],
        passing=None if s.passing is None else s.passing[vertices],
        fronts=[Patch(count, np.flatnonzero(free), first, second)],
    )
    own_layers = None if layers is None else layers.part(own, chosen, place)
    return Part(setting, own_layers, vertices, free, triangles)


def _any(inside: NDArray[np.bool_], corners: Whole) -> NDArray[np.bool_]:
    """Which triangles (m, 3) have a corner inside."""
    a, b, c = corners.T
    found: NDArray[np.bool_] = inside[a] | inside[b] | inside[c]
    return found
