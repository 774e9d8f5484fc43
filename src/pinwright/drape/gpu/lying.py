"""Cloth against cloth on a card: places found on the processor, laid out for the kernels.

Which vertices meet which triangles changes rarely (``Layers.look``); the gaps, forces and springs
of these places are reckoned on the device (:mod:`pinwright.drape.gpu.layers`). The factors have
room for the pairs that the places of any variant join; when those that act lack more than a little
of it, the plan is made anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit, prange

from pinwright.drape.data import Flags, Short, Whole
from pinwright.drape.gpu import layers
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import each, on_card
from pinwright.drape.gpu.laying import real, whole
from pinwright.drape.solver.acting import Setting, layers_of
from pinwright.drape.solver.against_itself import (
    LACKING,
    MOVED,
    PAIRS,
    Layers,
    find_all,
    found_at,
    kept_from_passing,
    number_of,
)
from pinwright.drape.solver.places import MARGIN

PLACES = 2
"""A vertex meets so many places at most: one before it and one behind."""


class Layering:
    """What is known of cloth near cloth in all variants; at least one keeps its layers apart."""

    def __init__(self, settings: Sequence[Setting]) -> None:
        s = settings[0].stencils
        self.many, self.n, self.own = len(settings), s.n, len(s.first)
        first: Layers | None = None
        self.layers: list[Layers | None] = []
        for t in settings:
            known = layers_of(t, first)
            first = first if known is None else known
            self.layers.append(known)
        assert first is not None
        self._keys, self._order = first.own, first.order
        self._more = np.empty(0, np.int64)
        self.most = PLACES * s.n
        lying = self.lying = layers.Lying()
        lying.apart = real([t.apart for t in settings])

        def room(count: int, dtype: Any) -> Any:
            return wp.zeros((self.many, count), dtype=dtype)

        lying.least = wp.zeros(self.many, dtype=wp.float64)
        lying.count = wp.zeros(self.many, dtype=wp.int32)
        lying.vertex, lying.lacking, lying.near = (room(self.most, wp.int32) for _ in range(3))
        lying.corners = room(self.most, wp.vec3i)
        lying.out, lying.way, lying.weight = (room(self.most, wp.vec3d) for _ in range(3))
        lying.gap, lying.force = (room(self.most, wp.float64) for _ in range(2))
        lying.ends, lying.item = room(self.n + 1, wp.int32), room(4 * self.most, wp.int32)
        lying.pair_count = wp.zeros(self.many, dtype=wp.int32)
        lying.pair, lying.pair_item = (room(6 * self.most, wp.int32) for _ in range(2))
        self._passing = wp.zeros(self.many, dtype=wp.int32)
        self._strayed = wp.zeros(self.many, dtype=wp.float64)
        self._acting = wp.zeros(2, dtype=wp.int32)
        self._where = room(self.n, wp.vec3d)
        here = {"device": "cpu", "pinned": on_card()}
        self._at = wp.zeros((self.many, self.n), dtype=wp.vec3d, **here)
        self._apart = np.array([known is not None for known in self.layers])
        self._looked = np.zeros(self.many, np.bool_)
        self._made = False

    @property
    def pairs(self) -> int:
        """How many pairs the matrix has room for."""
        return self.own + len(self._more)

    @property
    def more(self) -> Whole:
        """The pairs (k, 2) that it has room for beside the cloth's own, the higher first."""
        found: Whole = np.stack(np.divmod(self._more, self.n), axis=1)
        return found

    def look(self, on: Any, x: Any, live: Flags) -> bool:
        """Finds places anew in variants of which cloth has moved, at x (B, n, 3): whether in any.

        on, live: which variants (B,) go on, on the device and here.
        """
        self._strayed.zero_()
        each(layers.strayed, self.many, [on, x, self._where, self._strayed], self.n)
        far = self._strayed.numpy() >= (MOVED * MARGIN) ** 2
        moved = np.flatnonzero(live & self._apart & (far | ~self._looked)).tolist()
        if not moved:
            return False
        self._looked[moved] = True
        for row, k in enumerate(moved):
            wp.copy(self._at[row], x[k])
        if on_card():
            wp.synchronize_stream()
        find_all([self._of(k) for k in moved], self._at.numpy()[: len(moved)])
        self._lay(moved, x)
        return True

    def lacks_room(self) -> bool:
        """Whether pairs that act lack more room in the matrix than may be, which then is made."""
        self._acting.zero_()
        each(layers.counted, self.many, [self.lying, self._acting], self.most)
        acting, lacking = self._acting.numpy().tolist()
        if not acting or (self._made and lacking <= LACKING * acting):
            return False
        self._made = True
        gap = self.lying.gap.numpy()
        looked = np.flatnonzero(self._looked).tolist()
        soon = []
        for k in looked:
            known = self._of(k)
            near = gap[k, : len(known.keys)] < known.apart + 0.5 * MARGIN
            soon.append(np.unique(known.keys[near]))
        # what had room keeps it: it often acts again, and a plan costs as much as thirty steps
        keys = np.unique(np.concatenate([*soon, self._more]))
        self._more = keys[found_at(self._keys, self._order, keys) < 0]
        self._lay(looked, self._where)
        return True

    def _of(self, k: int) -> Layers:
        known = self.layers[k]
        assert known is not None
        return known

    def _lay(self, which: list[int], x: Any) -> None:
        """Lays the places of some variants, found where cloth is at x, on the device."""
        found, there = layers.Found(), [self._of(k) for k in which]
        many, count = len(which), np.array([len(known.places.vertex) for known in there])
        most = int(count.max())
        vertex, corners = np.zeros((many, most), np.int32), np.zeros((many, most, 3), np.int32)
        out = np.zeros((many, most, 3))
        for row, known in enumerate(there):
            p = known.places
            vertex[row, : len(p.vertex)], corners[row, : len(p.vertex)] = p.vertex, p.corners
            out[row, : len(p.vertex)] = p.out
        rows = Rows.of(many, most, self.n)
        filled(
            vertex,
            corners,
            count,
            self._keys,
            self._order,
            self._more,
            rows.lacking,
            rows.ends,
            rows.item,
            rows.pair_count,
            rows.pair,
            rows.pair_item,
        )
        found.which, found.count = whole(np.array(which)), whole(count)
        found.vertex = whole(vertex)
        for name in Rows.__slots__:
            setattr(found, name, whole(getattr(rows, name)))
        found.least = real([known.least for known in there])
        found.corners, found.out = wp.array(corners, dtype=wp.vec3i), real(out, wp.vec3d)
        inputs = [found, x, self.n, self._where, self.lying]
        each(layers.taken, many, inputs, max(self.n + 1, 6 * most))

    def measure(self, on: Any, x: Any, cloth: Any, force: Any, energy: Any) -> None:
        """Adds to forces and energies how layers press each other at x."""
        each(layers.measured, self.many, [on, x, cloth, self.lying], self.most)
        each(layers.pressed_apart, self.many, [on, cloth, self.lying, force, energy], self.n)

    def begin(self, on: Any) -> None:
        """Which places act as a step begins: those that press."""
        each(layers.begun, self.many, [on, self.lying], self.most)

    def join(self, on: Any, cloth: Any, values: Any, diagonal: Any, right: Any, joint: Any) -> None:
        """Adds the springs that act to a step; all its pairs' blocks into joint (B, pairs)."""
        each(layers.joined, self.many, [on, cloth, self.lying, diagonal, right], self.n)
        each(layers.unjoined, self.many, [on, self.own, values, joint], self.pairs)
        each(layers.joined_pairs, self.many, [on, cloth, self.lying, joint], 6 * self.most)

    def meet(self, on: Any, bad: Any, dx: Any, far: Any, changed: Any) -> None:
        """Which places will act after a step; changed (B,) counts what matters."""
        each(layers.meeting, self.many, [on, bad, dx, far, self.lying, changed], self.most)

    def keep(self, on: Any, dx: Any) -> None:
        """Shortens a step where layers would pass each other, as the processor does and on it: what
        is shortened stands in the way of others, one after the other, and it is rarely needed."""
        self._passing.zero_()
        each(layers.passing, self.many, [on, dx, self.lying, self._passing], self.most)
        for k in np.flatnonzero(self._passing.numpy()).tolist():
            known = self.layers[k]
            assert known is not None
            p = known.places
            count = len(p.vertex)
            gap, way, weight = (
                a[k].numpy()[:count] for a in (self.lying.gap, self.lying.way, self.lying.weight)
            )
            step = dx[k].numpy()
            kept_from_passing(p.vertex, p.corners, gap, way, weight, known.apart, known.least, step)
            wp.copy(dx[k], wp.array(step, dtype=wp.vec3d))


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """How the kernels find their way among places of k variants: as in :class:`layers.Lying`."""

    lacking: Short
    ends: Short
    item: Short
    pair_count: Short
    pair: Short
    pair_item: Short

    @staticmethod
    def of(many: int, most: int, n: int) -> Rows:
        """Room for at most so many places of cloths of n vertices."""
        shapes = (
            (many, most),
            (many, n + 1),
            (many, 4 * most),
            (many,),
            (many, 6 * most),
            (many, 6 * most),
        )
        return Rows(*(np.empty(shape, np.int32) for shape in shapes))


@njit(cache=True, parallel=True)
def filled(
    vertex: Short,
    corners: Short,
    count: Whole,
    keys: Whole,
    order: Whole,
    more: Whole,
    lacking: Short,
    ends: Short,
    item: Short,
    pair_count: Short,
    pair: Short,
    pair_item: Short,
) -> None:
    """Fills the rows of places (k, P) vertex and (k, P, 3) corners.

    keys, order, more: as :func:`against_itself.number_of` takes its own pairs and more.
    """
    n = ends.shape[1] - 1
    for b in prange(len(vertex)):
        who = np.empty((count[b], 4), np.int64)
        ends[b] = 0
        for p in range(count[b]):
            who[p, 0] = vertex[b, p]
            for c in range(3):
                who[p, c + 1] = corners[b, p, c]
            for role in range(4):
                ends[b, who[p, role] + 1] += 1
        for v in range(n):
            ends[b, v + 1] += ends[b, v]
        begin = ends[b].copy()
        number = np.empty(6 * count[b], np.int64)
        known = 0
        for p in range(count[b]):
            lacking[b, p] = 0
            for role in range(4):
                item[b, begin[who[p, role]]] = 4 * p + role
                begin[who[p, role]] += 1
            for q in range(6):
                one, two = who[p, PAIRS[q, 0]], who[p, PAIRS[q, 1]]
                key = max(one, two) * n + min(one, two)
                found = number_of(keys, order, more, key)
                if found < 0:
                    lacking[b, p] |= 1 << q
                    continue
                number[known] = found
                pair_item[b, known] = 6 * p + q
                known += 1
        sorted_so = np.argsort(number[:known], kind="mergesort")
        items = pair_item[b, :known].copy()
        pair_count[b] = known
        for q in range(known):
            pair[b, q] = number[sorted_so[q]]
            pair_item[b, q] = items[sorted_so[q]]
