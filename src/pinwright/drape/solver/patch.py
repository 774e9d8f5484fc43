"""A few places of a shell as cloth of their own, while all about them stands still."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_array

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.acting import Setting, State, Work
from pinwright.drape.solver.against_itself import Layers
from pinwright.drape.solver.banded import Patch
from pinwright.drape.solver.stencils import Stencils


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Some vertices of a shell and all they act on, which stands still.

    vertices: (k,) of the shell; free: (k,) which of them are to move. triangles: (l,). places: (q,)
    where layers meet.
    """

    setting: Setting
    layers: Layers | None
    vertices: Whole
    free: NDArray[np.bool_]
    triangles: Whole
    places: Whole


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """The pairs of each vertex with others: of vertex i ``pair[ends[i] : ends[i + 1]]`` of the
    stencils, with ``other``."""

    ends: Whole
    other: Whole
    pair: Whole


def reach_of(st: Stencils) -> Reach:
    """The pairs of each vertex of a shell."""
    pair = np.arange(st.n, len(st.first))
    who = np.concatenate([st.first[st.n :], st.second[st.n :]])
    other = np.concatenate([st.second[st.n :], st.first[st.n :]])
    order = np.argsort(who, kind="stable")
    ends = np.concatenate([[0], np.cumsum(np.bincount(who, minlength=st.n))])
    return Reach(ends, other[order], np.concatenate([pair, pair])[order])


@njit(cache=True)
def _gathered(
    own: Whole,
    inside: NDArray[np.bool_],
    around: Whole,
    around_triangle: Whole,
    ends: Whole,
    other: Whole,
    pair: Whole,
    triangle: NDArray[np.bool_],
    reached: NDArray[np.bool_],
) -> tuple[Whole, Whole]:
    """Marks the triangles and vertices that the vertices own act on; the pairs of vertices that
    are both inside, and of all others that are reached, each once."""
    for v in own:
        reached[v] = True
        for q in range(around[v], around[v + 1]):
            triangle[around_triangle[q]] = True
        for q in range(ends[v], ends[v + 1]):
            reached[other[q]] = True
    met = np.flatnonzero(reached)
    room = 0
    for v in met:
        room += ends[v + 1] - ends[v]
    within, beyond = np.empty(room, np.int64), np.empty(room, np.int64)
    a = b = 0
    for v in met:
        for q in range(ends[v], ends[v + 1]):
            u = other[q]
            if u < v or not reached[u]:
                continue
            if inside[u] and inside[v]:
                within[a] = pair[q]
                a += 1
            else:
                beyond[b] = pair[q]
                b += 1
    return within[:a], beyond[:b]


def part_of(
    s: Setting, layers: Layers | None, inside: NDArray[np.bool_], reach: Reach | None = None
) -> Part:
    """The part of cloth with the vertices inside (n,). reach: of the shell, when it is known."""
    st = s.stencils
    reach = reach or reach_of(st)
    moving = np.flatnonzero(inside)
    marked, reached = np.zeros(len(st.triangles), np.bool_), np.zeros(st.n, np.bool_)
    within, beyond = _gathered(
        moving,
        inside,
        st.around,
        st.around_triangle,
        reach.ends,
        reach.other,
        reach.pair,
        marked,
        reached,
    )
    triangles, acted = np.flatnonzero(marked), reached.copy()
    chosen = np.empty(0, np.int64)
    if layers is not None:
        p = layers.places
        near = p.at(inside)
        chosen = np.flatnonzero(near)
        reached[p.vertex[near]] = True
        reached[p.corners[near]] = True
    vertices = np.flatnonzero(reached)
    count = len(vertices)
    place = np.full(st.n, -1, np.int64)
    place[vertices] = np.arange(count)
    # each vertex with itself first, as the solver wants it; else only what moves together
    pairs = np.concatenate([vertices, np.sort(within)])
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
    bent = np.concatenate([np.flatnonzero(acted), within, beyond])
    a, b, values = place[st.first[bent]], place[st.second[bent]], s.bend_pairs[bent]
    off = a != b
    bend = csr_array(
        (
            np.concatenate([values, values[off]]),
            (np.concatenate([a, b[off]]), np.concatenate([b, a[off]])),
        ),
        shape=(count, count),
    )
    setting = replace(
        s,
        stencils=own,
        stiff=s.stiff[triangles],
        bend=bend,
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
    own_layers = None if layers is None else layers.part(own, chosen, place, free)
    return Part(setting, own_layers, vertices, free, triangles, chosen)


def taken_over(
    s: Setting, w: Work, state: State, part: Part, own: Work, felt: Array, rested: State
) -> None:
    """Takes over what acts in a part (its own work) after its free vertices have moved.

    felt: (k, 3) dyn, what acted on all of its vertices before, as if none was held; rested: it
    where it is now, likewise.
    """
    v, t, free = part.vertices, part.triangles, part.free
    state.x = state.x.copy()
    state.x[v] = rested.x
    state.anchor[v[free]] = rested.anchor[free]
    # on those about it what acts changes by as much as the part's own forces do
    state.force = state.force.copy()
    state.force[v] += rested.force - felt
    state.force[s.pinned] = 0.0
    state.touch[v[free]] = rested.touch[free]
    for whole, mine in (
        (w.bent, own.bent),
        (w.stress, own.stress),
        (w.mixed, own.stress),
        (w.membrane, own.membrane),
    ):
        whole[t] = mine
    for whole, mine in (
        (w.blocks, own.blocks),
        (w.contact, own.contact),
        (w.distance, own.distance),
        (w.direction, own.direction),
    ):
        whole[v[free]] = mine[free]
    if w.layers is not None and own.layers is not None:
        w.layers.take_over(part.places, own.layers)
