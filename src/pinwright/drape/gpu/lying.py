"""Cloth against cloth on a card: what is known of it, for all variants.

Which vertices meet which triangles changes rarely (``Layering.look``) and is found by
:mod:`pinwright.drape.gpu.places`; what they join is told by :mod:`pinwright.drape.gpu.joining`, and
gaps, forces and springs are reckoned by :mod:`pinwright.drape.gpu.layers`. The factors have room
for the pairs that the places of any variant join; when those that act lack more than a little of
it, the plan is made anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from pinwright.drape.data import Flags, Whole
from pinwright.drape.gpu import joining, layers
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import each
from pinwright.drape.gpu.laying import long, real
from pinwright.drape.gpu.places import Places
from pinwright.drape.gpu.plans import Plans
from pinwright.drape.gpu.sorting import cleared, desk, in_order
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.against_itself import LACKING, MOVED, found_at, kept_from_passing
from pinwright.drape.solver.places import MARGIN, sliding

PLACES = 2
"""A vertex meets so many places at most: one before it and one behind."""

SOON = 0.5 * MARGIN
"""The matrix gets room for places that act or are so near to it, cm."""


class Layering:
    """What is known of cloth near cloth in all variants; at least one keeps its layers apart.

    shell, cloth: as they are on the device. plans: of the shell.
    """

    def __init__(self, settings: Sequence[Setting], shell: Any, cloth: Any, plans: Plans) -> None:
        s, more = settings[0].stencils, plans.more
        self.many, self.n, self.own, self.shell = len(settings), s.n, len(s.first), shell
        self._more: Whole = s.n * more[:, 0] + more[:, 1]
        self._more_there = long(self._more)
        self.most = PLACES * s.n
        lying = self.lying = layers.Lying()
        self._apart = np.array([t.apart > 0.0 for t in settings])
        self.apart = np.array([t.apart for t in settings])
        lying.apart = real(self.apart)

        def room(count: int, dtype: Any) -> Any:
            return wp.zeros((self.many, count), dtype=dtype)

        lying.least = wp.zeros(self.many, dtype=wp.float64)
        lying.count = wp.zeros(self.many, dtype=wp.int32)
        lying.vertex, lying.lacking, lying.near = (room(self.most, wp.int32) for _ in range(3))
        lying.corners = room(self.most, wp.vec3i)
        lying.out, lying.way, lying.weight = (room(self.most, wp.vec3d) for _ in range(3))
        lying.gap, lying.force = (room(self.most, wp.float64) for _ in range(2))
        lying.ends, lying.item = room(self.n + 1, wp.int32), room(4 * self.most, wp.int32)
        lying.pair_item = room(6 * self.most, wp.int32)
        self._desk = desk(self.many, 6 * self.most)
        self._vertices = wp.full(self.many, self.n, dtype=wp.int32)
        self._room_for_pairs()
        self.places = Places(settings, shell, cloth, plans.sheet, lying)
        self._which = wp.zeros(self.many, dtype=wp.int32)
        self.passing = wp.zeros(self.many, dtype=wp.int32)
        self._strayed = wp.zeros(self.many, dtype=wp.float64)
        self._acting = wp.zeros(3, dtype=wp.int32)
        self._where = room(self.n, wp.vec3d)
        self._looked = np.zeros(self.many, np.bool_)
        self._made = len(more) > 0
        self._sheet, self._meets = plans.sheet, plans.meets

    @property
    def pairs(self) -> int:
        """How many pairs the matrix has room for."""
        return self.own + len(self._more)

    @property
    def more(self) -> Whole:
        """The pairs (k, 2) that it has room for beside the cloth's own, the higher first."""
        found: Whole = np.stack(np.divmod(self._more, self.n), axis=1)
        return found

    def _room_for_pairs(self) -> None:
        self.lying.pair_ends = wp.zeros((self.many, self.pairs + 1), dtype=wp.int32)
        self._pairs = wp.full(self.many, self.pairs, dtype=wp.int32)

    def look(self, on: Any, x: Any, live: Flags) -> bool:
        """Finds places anew in variants of which cloth has moved, at x (B, n, 3): whether in any.

        on, live: which variants (B,) go on, on the device and here.
        """
        self._strayed.zero_()
        each(layers.strayed, self.many, [on, x, self._where, self._strayed], self.n)
        far = self._strayed.numpy() >= (MOVED * MARGIN) ** 2
        moved = np.flatnonzero(live & self._apart & (far | ~self._looked))
        if not len(moved):
            return False
        self._looked[moved] = True
        self._chosen(moved)
        self.places.find(self._which, len(moved), x, self._where, self._desk)
        self._list(len(moved))
        self._pair(len(moved))
        return True

    def _chosen(self, some: Whole) -> None:
        """Some variants are those that are worked on."""
        self._which[: len(some)].assign(some.astype(np.int32))

    def _list(self, many: int) -> None:
        """Lists the places of each vertex, of many variants."""
        which, lying, most = self._which, self.lying, 4 * self.most
        each(cleared, many, [which, lying.ends], self.n + 1)
        each(joining.listed, many, [which, lying, self._desk], most)
        in_order(which, many, self._desk, most, self._vertices, lying.ends, lying.item)

    def _pair(self, many: int) -> None:
        """Lists the places of each pair that the matrix has room for, of many variants."""
        which, lying, most = self._which, self.lying, 6 * self.most
        each(cleared, many, [which, lying.pair_ends], self.pairs + 1)
        asked = [which, lying, self.shell, self._more_there, self.own, self.n, self._desk]
        each(joining.paired, many, asked, self.most)
        in_order(which, many, self._desk, most, self._pairs, lying.pair_ends, lying.pair_item)

    def lacks_room(self) -> bool:
        """Whether pairs that act lack more room in the matrix than may be, which then is made."""
        self._acting.zero_()
        each(joining.counted, self.many, [self.lying, SOON, self._acting], self.most)
        acting, lacking, pairs = self._acting.numpy().tolist()
        if not acting or (self._made and lacking <= LACKING * acting):
            return False
        self._made = True
        keys, known = wp.zeros(pairs, dtype=wp.int64), wp.zeros(1, dtype=wp.int32)
        each(joining.lacked, self.many, [self.lying, SOON, self.n, known, keys], self.most)
        # what had room keeps it: it often acts again, and a plan costs as much as thirty steps
        self._more = np.union1d(self._about(keys.numpy()), self._more)
        self._more_there = long(self._more)
        self._room_for_pairs()
        looked = np.flatnonzero(self._looked)
        self._chosen(looked)
        self._pair(len(looked))
        return True

    def _about(self, keys: Whole) -> Whole:
        """These pairs, and of one cloth alone those that it soon may join, but for its own. Many
        have room for each other's."""
        asked = np.unique(keys) if self.many > 1 else sliding(keys, self._sheet)
        own = self._meets.keys
        lacking: Whole = asked[found_at(own, own, asked) < 0]
        return lacking

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

    def look_ahead(self, on: Any, dx: Any) -> None:
        """Notes in which variants layers would pass each other in a step."""
        self.passing.zero_()
        each(layers.passing, self.many, [on, dx, self.lying, self.passing], self.most)

    def keep(self, passing: Whole, dx: Any) -> None:
        """Shortens a step where layers would pass each other (B,), as the processor does and on it:
        what is shortened stands in the way of others, one after the other, and it is rarely needed.
        """
        some = np.flatnonzero(passing).tolist()
        if not some:
            return
        lying = self.lying
        counts, least = lying.count.numpy().tolist(), lying.least.numpy().tolist()
        for k in some:
            vertex, corners, gap, way, weight = (
                a[k][: counts[k]].numpy()
                for a in (lying.vertex, lying.corners, lying.gap, lying.way, lying.weight)
            )
            step = dx[k].numpy()
            kept_from_passing(
                vertex.astype(np.int64),
                corners.astype(np.int64),
                gap,
                way,
                weight,
                float(self.apart[k]),
                least[k],
                step,
            )
            wp.copy(dx[k], wp.array(step, dtype=wp.vec3d))
