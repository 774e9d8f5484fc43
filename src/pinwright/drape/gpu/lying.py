"""Cloth against cloth on a card: places found on the processor, laid out for the kernels.

Which vertices meet which triangles changes rarely (``Layers.look``); the gaps, forces and springs
of these places are reckoned on the device (:mod:`pinwright.drape.gpu.layers`). The factors have
room for the pairs that the places of any variant join; when those that act lack more than a little
of it, the plan is made anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole
from pinwright.drape.gpu import layers
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import each
from pinwright.drape.gpu.laying import real
from pinwright.drape.solver.acting import Setting, layers_of
from pinwright.drape.solver.against_itself import (
    LACKING,
    Layers,
    found_at,
    kept_from_passing,
    numbered,
)
from pinwright.drape.solver.places import MARGIN

Flags = NDArray[np.bool_]

PLACES = 2
"""A vertex meets so many places at most: one before it and one behind."""


class Layering:
    """What is known of cloth near cloth in all variants."""

    def __init__(self, settings: Sequence[Setting]) -> None:
        s = settings[0].stencils
        self.many, self.n, self.own = len(settings), s.n, len(s.first)
        self.layers: list[Layers | None] = [layers_of(t) for t in settings]
        self.most = PLACES * s.n
        self._more = np.empty(0, np.int64)
        keys = s.first * s.n + s.second
        self._order = np.argsort(keys)
        self._keys: Whole = keys[self._order]
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
        self._passing = wp.zeros(self.many, dtype=wp.int32)
        self._made = False
        self._lacks = [np.empty(0, np.bool_)] * self.many
        self._roomed()

    def _roomed(self) -> None:
        self.lying.pair_ends = wp.zeros((self.many, self.pairs + 1), dtype=wp.int32)
        self.lying.pair_item = wp.zeros((self.many, 6 * self.most), dtype=wp.int32)

    @property
    def pairs(self) -> int:
        """How many pairs the matrix has room for."""
        return self.own + len(self._more)

    @property
    def more(self) -> Whole:
        """The pairs (k, 2) that it has room for beside the cloth's own, the higher first."""
        found: Whole = np.stack(np.divmod(self._more, self.n), axis=1)
        return found

    def look(self, x: Array, live: Flags) -> bool:
        """Finds places anew in variants (B,) of which cloth has moved, at x (B, n, 3): whether in
        any."""
        moved = [
            k
            for k, known in enumerate(self.layers)
            if known is not None and live[k] and known.look(x[k])
        ]
        for k in moved:
            self._laid(k)
        return bool(moved)

    def lacks_room(self) -> bool:
        """Whether pairs that act lack more room in the matrix than may be, which then is made."""
        acting = lacking = 0
        gap = self.lying.gap.numpy()
        there = [(k, known) for k, known in enumerate(self.layers) if known is not None]
        for k, known in there:
            act = gap[k, : len(known.places.vertex)] < known.apart
            acting += int(act.sum())
            lacking += int(self._lacks[k][act].sum())
        if not acting or (self._made and lacking <= LACKING * acting):
            return False
        self._made = True
        soon = [
            np.unique(known.keys[gap[k, : len(known.keys)] < known.apart + 0.5 * MARGIN])
            for k, known in there
        ]
        # what had room keeps it: it often acts again, and a plan costs as much as thirty steps
        keys = np.unique(np.concatenate([*soon, self._more]))
        self._more = keys[found_at(self._keys, self._order, keys) < 0]
        self._roomed()
        for k, known in there:
            if known.where is not None:
                self._laid(k)
        return True

    def _known(self, known: Layers) -> Whole:
        """(p, 6) the numbers of the pairs of places, -1 where the matrix has no room."""
        return numbered(self._keys, self._order, self._more, known.keys)

    def _laid(self, k: int) -> None:
        """Lays the places of variant k on the device."""
        known = self.layers[k]
        assert known is not None
        lying, found = self.lying, known.places
        p = len(found.vertex)
        points = np.concatenate([found.vertex[:, None], found.corners], axis=1)
        numbers = self._known(known)
        lacking = ((numbers < 0) << np.arange(6)).sum(axis=1)
        self._lacks[k] = lacking > 0
        ends, item = _by_number(points, self.n)
        pair_ends, pair_item = _by_number(numbers, self.pairs)
        for to, what in (
            (lying.vertex, found.vertex),
            (lying.lacking, lacking),
            (lying.ends, ends),
            (lying.item, item),
            (lying.pair_ends, pair_ends),
            (lying.pair_item, pair_item),
        ):
            _put(to, k, what.astype(np.int32), wp.int32)
        _put(lying.corners, k, found.corners.astype(np.int32), wp.vec3i)
        _put(lying.out, k, found.out, wp.vec3d)
        _put(lying.count, k, np.array([p], np.int32), wp.int32)
        _put(lying.least, k, np.array([known.least]), wp.float64)

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
        inputs = [on, cloth, self.lying, self.own, values, joint]
        each(layers.joined_pairs, self.many, inputs, self.pairs)

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


def _by_number(numbers: Whole, count: int) -> tuple[Whole, Whole]:
    """Where each number under count stands in (p, c) numbers, -1 left out: (count + 1,) ends and
    the places, row by row."""
    flat = numbers.ravel()
    there = np.flatnonzero(flat >= 0)
    order = there[np.argsort(flat[there], kind="stable")]
    ends = np.concatenate([[0], np.cumsum(np.bincount(flat[there], minlength=count))])
    return ends, order


def _put(to: Any, k: int, what: Any, dtype: Any) -> None:
    """Copies some numbers to where variant k's begin."""
    if len(what):
        row = to[k] if to.ndim == 2 else to[k : k + 1]
        wp.copy(row, wp.array(np.ascontiguousarray(what), dtype=dtype), count=len(what))
