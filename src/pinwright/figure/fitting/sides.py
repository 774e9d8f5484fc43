"""Lengths down the sides, read quickly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.reader import BACK, UP, Surface
from pinwright.figure.fitting.rows import (
    Line,
    Reading,
    combined,
    first_least,
    joined,
    reading,
    section,
    upper_hull,
)
from pinwright.figure.landmarks import SIDES


def sides(s: Surface, found: dict[str, Reading]) -> None:
    """Lengths down each side from the waist, put among what was found."""
    knees: list[Reading] = []
    for side, sign in SIDES.items():
        y = float(s.points[s.at[f"side_waist_{side}"], 1])
        start = s.waist + s.tip.times(sign)
        _, ring = s.level_girth(s.parts.under, start)
        top = s.side_of_ring(ring, y, sign)
        edges = np.concatenate([s.parts.trunk, s.parts.leg[side]])
        cut = section(s.points, edges, BACK, y)
        height = float(top.at[0, 2])
        outer = np.flatnonzero((cut.at[:, 2] < height - 1e-6) & (sign * cut.at[:, 0] > 0.0))
        widest = int(outer[first_least(-sign * cut.at[outer, 0])])
        keep = outer[cut.at[outer, 2] > cut.at[widest, 2] - 1e-9]
        chain = joined(top, cut.take(keep))
        hull = upper_hull(-chain.at[:, 2], sign * chain.at[:, 0])
        line = _Upright(chain.take(hull), np.zeros(len(hull)), start + s.floor, _across(s, side))
        curve = line.length()
        end = line.points.take([len(hull) - 1])
        rest = reading(float(end.at[0, 2]), end, UP[None], _across(s, side)) - s.floor
        found[f"outside_leg_{side}"] = curve + rest
        if s.hip.value + s.floor.value > end.at[0, 2]:
            found[f"waist_to_hip_{side}"] = s.down_to(line, s.hip)
        else:
            found[f"waist_to_hip_{side}"] = curve + rest - s.hip
        knees.append(curve + rest - s.z(f"knee_{side}"))
    found["waist_to_knee"] = combined((0.5, knees[0]), (0.5, knees[1]))


def _across(s: Surface, side: str) -> Reading:
    """The frontal plane through a side waist landmark."""
    i = s.at[f"side_waist_{side}"]
    return Reading(float(s.points[i, 1]), np.array([i]), BACK[None])


@dataclass(frozen=True, slots=True, eq=False)
class _Upright(Line):
    """A line from a point of a ring (``plane``) down a frontal plane: each its own plane."""

    frontal: Reading | None = None

    def reading(self, value: float, gradient: Array) -> Reading:
        """A value with gradients by its points (k, 3)."""
        assert self.plane is not None
        assert self.frontal is not None
        at, by = self.points.passed(gradient)
        planes = self.points.by_plane(gradient)
        moved = (self.plane.times(float(planes[0])), self.frontal.times(float(planes[1:].sum())))
        return Reading(
            value,
            np.concatenate([at, *(m.at for m in moved)]),
            np.concatenate([by, *(m.by for m in moved)]),
        )
