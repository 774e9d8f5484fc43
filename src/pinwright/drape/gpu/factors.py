"""Factors of the stiffness of many variants, as a plan says, and solving with them."""

from __future__ import annotations

from typing import Any

import numpy as np

from pinwright.drape.gpu import factoring, gathering, substituting, updating
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import blocks, each
from pinwright.drape.gpu.laying import long, whole
from pinwright.drape.gpu.planning import Plan


class Room:
    """Memory for numbers of factors of many variants, which stays while plans come and go.

    spare: so many times as much is taken as is asked for. rows: (B,) the variants on the device,
    first those that are worked on.
    """

    def __init__(self, many: int, spare: float = 1.0) -> None:
        self.many, self.spare = many, spare
        self.rows = whole(np.arange(many))
        self._there: dict[str, Any] = {}

    def numbers(self, name: str, count: int) -> Any:
        """An array (B, count) with anything in it, in the memory that the last one of that name
        had. It must not be used any more when another one of that name is asked for."""
        if name not in self._there or self._there[name].shape[1] < count:
            # the old one goes first: both at once would be twice as much
            self._there.pop(name, None)
            most = int(self.spare * count)
            self._there[name] = wp.empty((self.many, most), dtype=wp.float64)
        old = self._there[name]
        return wp.array(
            ptr=old.ptr, dtype=wp.float64, shape=(self.many, count), device=old.device, copy=False
        )


class Factors:
    """The plan and the numbers of the factors on the device, and the launches that fill them."""

    def __init__(self, plan: Plan, room: Room) -> None:
        self.plan, self.many, self.room = plan, room.many, room
        self.numbers = room.numbers("numbers", plan.numbers)
        self.inverses = room.numbers("inverses", plan.inverses)
        self.vectors = room.numbers("vectors", plan.vectors)
        self.maps = whole(plan.maps)
        self.table, self.vertices, self.tasks = (
            long(a) for a in (plan.table, plan.vertices, plan.tasks)
        )
        self.child_ends, self.child, self.into = (
            long(a) for a in (plan.child_ends, plan.child, plan.into)
        )
        self.pair, self.place, self.row, self.turned = (
            long(a) for a in (plan.pair, plan.place, plan.width, plan.turned)
        )

    def factor(
        self, on: Any, diagonal: Any, values: Any, bad: Any, many: int | None = None
    ) -> None:
        """Factors the stiffness, level by level; bad (B,) where it is not positive definite.

        diagonal, values: blocks of each vertex with itself (B, n) and of each pair (B, p). many: of
        so many rows only; None for all.
        """
        many, rows, tasks = many or self.many, self.room.rows, self.tasks
        there = [self.table, self.numbers, self.inverses]
        tree = [self.table, self.child_ends, self.child, self.into, self.maps]
        enters = [self.pair, self.place, self.row, self.turned, self.plan.n]
        for level in self.plan.levels:
            first, count = level.gather
            blocks(
                gathering.gathered,
                many,
                count,
                [on, rows, tasks, first, count, *tree, self.numbers],
            )
            first, count = level.entered
            each(
                gathering.entered,
                many,
                [on, rows, first, *enters, diagonal, values, self.numbers],
                count,
            )
            for g, (panels, (after, tiles)) in enumerate(level.groups):
                for (first, count), (below, under) in panels:
                    blocks(
                        factoring.squared, many, count, [on, rows, tasks, first, count, *there, bad]
                    )
                    blocks(factoring.panelled, many, under, [on, rows, tasks, below, under, *there])
                blocks(
                    updating.updated,
                    many,
                    tiles,
                    [on, rows, tasks, after, tiles, g, self.table, self.numbers],
                )

    def solve(self, on: Any, right: Any, dx: Any, many: int | None = None) -> None:
        """Solves with the factors for right (B, n, 3), into dx (B, n, 3); many: as above."""
        many, rows = many or self.many, self.room.rows
        factors = [self.numbers, self.inverses]
        tree = [self.child_ends, self.child, self.into, self.maps]
        for level in self.plan.levels:
            here = [on, rows, level.first, level.fronts, self.table, self.vertices]
            blocks(
                substituting.forwards,
                many,
                level.fronts,
                [*here, *tree, *factors, right, self.vectors],
                substituting.WIDE,
            )
        for level in reversed(self.plan.levels):
            here = [on, rows, level.first, level.fronts, self.table, self.vertices]
            blocks(
                substituting.backwards,
                many,
                level.fronts,
                [*here, *factors, self.vectors, dx],
                substituting.WIDE,
            )
