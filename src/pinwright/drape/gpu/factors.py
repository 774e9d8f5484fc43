"""Factors of the stiffness of many variants, as a plan says, and solving with them."""

from __future__ import annotations

from typing import Any

from pinwright.drape.gpu import factoring, gathering, substituting, updating
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.launching import blocks, each
from pinwright.drape.gpu.laying import long, whole
from pinwright.drape.gpu.planning import Plan


class Factors:
    """The plan and the numbers of the factors on the device, and the launches that fill them."""

    def __init__(self, plan: Plan, many: int) -> None:
        self.plan, self.many = plan, many
        self.numbers = wp.empty((many, plan.numbers), dtype=wp.float64)
        self.inverses = wp.empty((many, plan.inverses), dtype=wp.float64)
        self.vectors = wp.empty((many, plan.vectors), dtype=wp.float64)
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

    def factor(self, on: Any, diagonal: Any, values: Any, bad: Any) -> None:
        """Factors the stiffness, level by level; bad (B,) where it is not positive definite.

        diagonal, values: blocks of each vertex with itself (B, n) and of each pair (B, p).
        """
        many, tasks = self.many, self.tasks
        there = [self.table, self.numbers, self.inverses]
        tree = [self.table, self.child_ends, self.child, self.into, self.maps]
        enters = [self.pair, self.place, self.row, self.turned, self.plan.n]
        for level in self.plan.levels:
            first, count = level.gather
            blocks(gathering.gathered, many, count, [on, tasks, first, count, *tree, self.numbers])
            first, count = level.entered
            each(
                gathering.entered,
                many,
                [on, first, *enters, diagonal, values, self.numbers],
                count,
            )
            for g, (panels, (after, tiles)) in enumerate(level.groups):
                for (first, count), (below, rows) in panels:
                    blocks(factoring.squared, many, count, [on, tasks, first, count, *there, bad])
                    blocks(factoring.panelled, many, rows, [on, tasks, below, rows, *there])
                blocks(
                    updating.updated,
                    many,
                    tiles,
                    [on, tasks, after, tiles, g, self.table, self.numbers],
                )

    def solve(self, on: Any, right: Any, dx: Any) -> None:
        """Solves with the factors for right (B, n, 3), into dx (B, n, 3)."""
        factors = [self.numbers, self.inverses]
        tree = [self.child_ends, self.child, self.into, self.maps]
        for level in self.plan.levels:
            here = [on, level.first, level.fronts, self.table, self.vertices]
            blocks(
                substituting.forwards,
                self.many,
                level.fronts,
                [*here, *tree, *factors, right, self.vectors],
                substituting.WIDE,
            )
        for level in reversed(self.plan.levels):
            here = [on, level.first, level.fronts, self.table, self.vertices]
            blocks(
                substituting.backwards,
                self.many,
                level.fronts,
                [*here, *factors, self.vectors, dx],
                substituting.WIDE,
            )
