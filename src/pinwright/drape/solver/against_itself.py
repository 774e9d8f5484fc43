"""Cloth against cloth: layers are pressed apart where they come nearer than they may lie.

A vertex of load A at distance g from a place that it meets (:mod:`pinwright.drape.solver.places`)
is pressed off it by a spring of energy 1/2 hard A (apart - g)^2 while g < apart; below 0 its force
grows no more. g is a distance with a sign, so the gradient is exact: the direction between the two
on the vertex, and against it by their weights on the three corners. Layers meet from both sides, so
both are pressed. In a step springs join vertex and corners as they do in truth: the factors are
set up anew with room for them. A step is kept so short that no place passes to the other side.

What this cannot tell: a tube pressed flat and through itself (inside to inside over a longer way
than ``places.ABOUT``) is taken for two tubes, and layers outside to inside, as of a pleat or of
fronts that lap, are only kept from passing, never brought back. Sides of triangles may pass
sides of others by less than the triangles are wide: only vertices against triangles are pressed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numba import njit

from pinwright.drape.data import Array, Flags, Whole
from pinwright.drape.solver.fronts import Fronts
from pinwright.drape.solver.places import MARGIN, Places, Sheet, places_of, sheet_of, sliding
from pinwright.drape.solver.seeing import Desk, nearest_place
from pinwright.drape.solver.stencils import Stencils

PRESS = 2.0e4
"""Of cloth against cloth, dyn/cm3, from either side: under 4 g/cm2 layers come 0.1 cm nearer than
they may lie."""

LACKING = 0.05
"""So small a part of the springs may act while the matrix has no room for what they join."""

MOVED = 0.2
"""Places are found anew when cloth has moved by so much of the margin in which they are known: two
layers then lack at most twice that of it."""

PAIRS = np.array([[1, 0], [2, 0], [3, 0], [2, 1], [3, 1], [3, 2]])
"""The pairs of a place's points: 0 the vertex, 1 to 3 the corners."""

PASSES = 30
"""So often at most a step is gone through for layers that would pass each other."""


@njit(cache=True)
def gaps(
    x: Array, vertex: Whole, corners: Whole, out: Array, gap: Array, way: Array, weight: Array
) -> None:
    """Fills how far vertices are off the places they meet (p,) cm, negative where through, the
    direction in which that grows (p, 3) and the weights of the corners (p, 3)."""
    r = np.empty(3)
    for p in range(len(vertex)):
        d = nearest_place(x, vertex[p], corners[p, 0], corners[p, 1], corners[p, 2], weight[p], r)
        on = r[0] * out[p, 0] + r[1] * out[p, 1] + r[2] * out[p, 2]
        s = 1.0 if on >= 0.0 else -1.0
        gap[p] = s * d
        for k in range(3):
            way[p, k] = s * r[k] / d if d > 1e-6 else out[p, k]


@njit(cache=True)
def pressed_apart(
    vertex: Whole,
    corners: Whole,
    gap: Array,
    way: Array,
    weight: Array,
    load: Array,
    apart: float,
    hard: float,
    out: Array,
) -> float:
    """Adds the forces of layers on each other to out (n, 3); the energy, erg."""
    energy = 0.0
    for p in range(len(vertex)):
        short = apart - gap[p]
        if short <= 0.0:
            continue
        k = hard * load[vertex[p]]
        # what is through is pushed back no harder than if it lay in the other layer
        most = min(short, apart)
        energy += k * most * (short - 0.5 * most)
        for a in range(3):
            f = k * most * way[p, a]
            out[vertex[p], a] += f
            for c in range(3):
                out[corners[p, c], a] -= weight[p, c] * f
    return energy


@njit(cache=True)
def joined(
    active: Flags,
    vertex: Whole,
    corners: Whole,
    known: Whole,
    gap: Array,
    way: Array,
    weight: Array,
    load: Array,
    apart: float,
    hard: float,
    blocks: Array,
    right: Array,
) -> None:
    """Adds to the blocks (p, 3, 3) and the right side (n, 3) of a step the springs that act in it.

    known: (p, 6) the numbers of the blocks of vertex and corners 0, 1, 2 and of corners 1 with 0, 2
    with 0 and 2 with 1, -1 where the matrix has none: there the parts on the diagonal grow by as
    much, which never makes the matrix less (a y z lies between -a (y^2 + z^2)/2 and the same). -2
    where one of both stands still: there is none to have.
    """
    part = np.empty(4)
    who = np.empty(4, np.int64)
    for p in range(len(vertex)):
        if not active[p]:
            continue
        k = hard * load[vertex[p]] * min(1.0, apart / max(apart - gap[p], 1e-9))
        part[0], who[0] = 1.0, vertex[p]
        for c in range(3):
            part[c + 1], who[c + 1] = -weight[p, c], corners[p, c]
        more = k * min(apart - gap[p], 0.0)
        for i in range(4):
            for a in range(3):
                right[who[i], a] += more * part[i] * way[p, a]
            _entered(blocks, who[i], k * part[i] * part[i], way[p])
        for i in range(4):
            for j in range(i):
                q = i - 1 if j == 0 else (3 if i == 2 else 3 + j)
                if known[p, q] >= 0:
                    _entered(blocks, known[p, q], k * part[i] * part[j], way[p])
                elif known[p, q] == -1:
                    size = k * abs(part[i] * part[j])
                    _entered(blocks, who[i], size, way[p])
                    _entered(blocks, who[j], size, way[p])


@njit(cache=True, inline="always")
def _entered(blocks: Array, at: int, size: float, way: Array) -> None:
    for a in range(3):
        for b in range(3):
            blocks[at, a, b] += size * way[a] * way[b]


@njit(cache=True)
def kept_from_passing(
    vertex: Whole,
    corners: Whole,
    gap: Array,
    way: Array,
    weight: Array,
    apart: float,
    least: float,
    dx: Array,
) -> None:
    """Shortens a step dx (n, 3) where layers would come nearer than a quarter of what they may.

    What is shortened stands in the way of others that were to follow it, so it is gone through
    again; those that are nearer already come no nearer than half, or by ``least`` cm.
    """
    for _ in range(PASSES):
        free = True
        for p in range(len(vertex)):
            if gap[p] <= 0.0:
                continue
            coming = 0.0
            for a in range(3):
                moved = dx[vertex[p], a]
                for c in range(3):
                    moved -= weight[p, c] * dx[corners[p, c], a]
                coming -= way[p, a] * moved
            room = max(gap[p] - 0.25 * apart, 0.5 * gap[p], least)
            if coming <= room * (1.0 + 1e-9):
                continue
            free = False
            part = room / coming
            for a in range(3):
                dx[vertex[p], a] *= part
                for c in range(3):
                    if weight[p, c] > 0.0:
                        dx[corners[p, c], a] *= part
        if free:
            break


class Layers:
    """What is known of cloth near cloth while it settles.

    known is for ``fronts``, whose matrix has room for what is near. whole: it is all of the cloth,
    not a part whose places are given. passing: as in ``Setting``.
    """

    def __init__(
        self,
        s: Stencils,
        apart: float,
        hard: float,
        whole: bool = True,
        passing: Flags | None = None,
    ) -> None:
        self.s, self.apart, self.hard, self.passing = s, apart, hard, passing
        self.sheet: Sheet | None = sheet_of(s) if whole else None
        self.desk = Desk()
        self.where: Array | None = None
        self.fronts: Fronts | None = None
        self.more = np.empty(0, np.int64)
        # the pairs that the matrix has anyway
        pairs = s.first * s.n + s.second
        self.order: Whole = np.argsort(pairs)
        self.own: Whole = pairs[self.order]
        nothing = np.empty(0, np.int64)
        none = Places(nothing, nothing.reshape(0, 3), np.empty((0, 3)), np.empty(0, np.bool_))
        self._placed(none)

    def _placed(self, found: Places) -> None:
        p = len(found.vertex)
        self.places = found
        self.gap, self.way, self.weight = np.empty(p), np.empty((p, 3)), np.empty((p, 3))
        self._keys: Whole | None = None
        self._known: Whole | None = None

    @property
    def keys(self) -> Whole:
        """The pairs of places (p, 6) as numbers: n times the higher, and the lower."""
        if self._keys is None:
            p = self.places
            who = np.concatenate([p.vertex[:, None], p.corners], axis=1)
            one, two = who[:, PAIRS[:, 0]], who[:, PAIRS[:, 1]]
            self._keys = np.maximum(one, two) * self.s.n + np.minimum(one, two)
        return self._keys

    @property
    def known(self) -> Whole:
        """The numbers of the pairs of places (p, 6), as in :func:`joined`."""
        if self._known is None:
            self._known = numbered(self.own, self.order, self.more, self.keys)
        return self._known

    def joins(self, chosen: Whole, place: Whole, inside: Flags) -> Whole:
        """Pairs that some places (c,) join inside a part of the cloth, as numbers: the higher times
        how many vertices the part has, and the lower.

        place, inside: (n,) the number of each vertex in the part, and whether it moves there.
        """
        one, two = np.divmod(self.keys[chosen].ravel(), self.s.n)
        both = inside[one] & inside[two]
        one, two = place[one[both]], place[two[both]]
        count = int(place.max()) + 1
        found: Whole = np.unique(np.maximum(one, two) * count + np.minimum(one, two))
        return found

    def part(self, s: Stencils, chosen: Whole, place: Whole, free: Flags) -> Layers:
        """The same of a part of the cloth, whose places (c,) of these stay as they are.

        free: which of its vertices move.
        """
        p = self.places.those(chosen)
        found = Layers(s, self.apart, self.hard, whole=False)
        found._placed(replace(p, vertex=place[p.vertex], corners=place[p.corners]))
        one, two = np.divmod(found.keys, s.n)
        found.known[~(free[one] & free[two])] = -2
        return found

    def take_over(self, chosen: Whole, part: Layers) -> None:
        """What a part of the cloth found out of some places (c,)."""
        self.gap[chosen], self.way[chosen], self.weight[chosen] = part.gap, part.way, part.weight

    def look(self, x: Array) -> bool:
        """Finds places anew when cloth has moved; whether it did. A part of cloth keeps its own."""
        if self.sheet is None:
            return False
        if self.where is not None:
            moved = np.sqrt(((x - self.where) ** 2).sum(axis=1).max())
            if moved < MOVED * MARGIN:
                return False
        self.where = x.copy()
        apart = np.array([self.apart])
        (found,) = places_of([self.sheet], self.s.triangles, x[None], apart, self.desk)
        # but for what may pass through
        self._placed(found if self.passing is None else found.those(~found.at(self.passing)))
        return True

    def press(self, x: Array, out: Array) -> float:
        """Adds the forces of layers on each other at x to out (n, 3); the energy, erg."""
        p = self.places
        gaps(x, p.vertex, p.corners, p.out, self.gap, self.way, self.weight)
        return float(
            pressed_apart(
                p.vertex,
                p.corners,
                self.gap,
                self.way,
                self.weight,
                self.s.load,
                self.apart,
                self.hard,
                out,
            )
        )

    def room(self) -> Fronts | None:
        """Fronts with room for the springs that act; None when there are none, and for a part of
        cloth, whose own fronts have it."""
        if self.sheet is None:
            return None
        act = self.gap < self.apart
        lacking = int((self.known[act] < 0).any(axis=1).sum())
        if self.fronts is None or lacking > LACKING * int(act.sum()):
            if not act.any():
                return None
            soon = self.gap < self.apart + 0.5 * MARGIN
            keys = sliding(self.keys[soon], self.sheet)
            self.more = keys[found_at(self.own, self.order, keys) < 0]
            first = np.concatenate([self.s.first, self.more // self.s.n])
            second = np.concatenate([self.s.second, self.more % self.s.n])
            # what is joined hardly changes, and once in the order it makes the factors smaller
            old = self.fronts
            order = old.parts if old else None
            self.fronts = Fronts(self.s.n, first, second, self.where, order, old)
            self._known = None
        return self.fronts

    def coming(self, dx: Array) -> Array:
        """The distances (p,) of places after a step dx (n, 3), cm."""
        p = self.places
        moved = dx[p.vertex] - np.einsum("pc,pcd->pd", self.weight, dx[p.corners])
        found: Array = self.gap + np.einsum("pd,pd->p", self.way, moved)
        return found

    def join(self, active: Flags, values: Array, right: Array) -> None:
        """Adds the springs that act to the blocks and the right side (n, 3) of a step."""
        p = self.places
        joined(
            active,
            p.vertex,
            p.corners,
            self.known,
            self.gap,
            self.way,
            self.weight,
            self.s.load,
            self.apart,
            self.hard,
            values,
            right,
        )

    @property
    def least(self) -> float:
        """So far a step may always go, cm: where cloth is through itself some places lie near to
        nothing, and must not hold up the rest."""
        return 0.1 * self.apart if self.places.through.any() else 0.0

    def keep(self, dx: Array) -> None:
        """Shortens a step dx (n, 3) where layers would pass each other."""
        p = self.places
        kept_from_passing(
            p.vertex, p.corners, self.gap, self.way, self.weight, self.apart, self.least, dx
        )


def numbered(own: Whole, order: Whole, more: Whole, keys: Whole) -> Whole:
    """Under which number keys of pairs stand in the matrix, -1 for none: its own pairs, of which
    those in ``own`` have the numbers ``order``, and after them those in ``more``; both in order."""
    found = found_at(own, order, keys)
    if len(more):
        also = found_at(more, np.arange(len(more)), keys)
        found = np.where(also >= 0, len(own) + also, found)
    return found


def found_at(ordered: Whole, number: Whole, keys: Whole) -> Whole:
    """Under which number keys stand in what is ordered; -1 for none."""
    at = np.minimum(np.searchsorted(ordered, keys), len(ordered) - 1)
    found: Whole = np.where(ordered[at] == keys, number[at], -1)
    return found
