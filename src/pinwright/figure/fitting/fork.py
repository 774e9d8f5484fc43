"""The crotch length and its parts, read quickly."""

from __future__ import annotations

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.rows import (
    Points,
    Reading,
    first_least,
    joined,
    polyline,
    reading,
    section,
)
from pinwright.figure.landmarks import BESIDE_CLEFT, OFF_MIDDLE, OVER_FORK


def crotch(s: Surface, found: dict[str, Reading]) -> None:
    """The crotch lengths, put among what was found."""
    ring = s.waist_ring[1]
    fork = s.points[s.at["fork"]]
    beside = [fork[0] + by for by in (OFF_MIDDLE, -BESIDE_CLEFT, BESIDE_CLEFT)]
    front, back = (s.on_ring(ring, beside[0], back=b) for b in (False, True))
    top = min(front.at[0, 2], back.at[0, 2])
    cuts: list[Points] = []
    for k, x in enumerate(beside):
        cut = section(s.points, s.parts.trunk, np.array([1.0, 0.0, 0.0]), float(x))
        z, y = cut.at[:, 2], cut.at[:, 1]
        # beside the middle only the seat counts: lower down it is the thighs
        keep = z < top if k == 0 else (z < top) & (z > fork[2] + OVER_FORK) & (y > fork[1])
        cuts.append(cut.take(np.flatnonzero(keep)))
    points = joined(front, *cuts, back)
    chain = points.take(_under(points.at[:, 1], points.at[:, 2]))
    flat = np.array([0.0, 1.0, 1.0])
    chain = Points(chain.at * flat, chain.a, chain.b, chain.t, chain.slide * flat, chain.normal)
    total = _through_fork(s, chain, *polyline(chain))
    found["total_crotch_length"] = total
    found["front_crotch_length"] = _up_to(chain, s)
    found["back_crotch_length"] = total - found["front_crotch_length"]


def _up_to(chain: Points, s: Surface) -> Reading:
    """The length of the fork's line from its front end to the foot of the fork landmark on it."""
    i = s.at["fork"]
    fork = s.points[i] * [0.0, 1.0, 1.0]
    step = np.diff(chain.at, axis=0)
    size = np.maximum(np.linalg.norm(step, axis=1), 1e-9)
    part = np.clip(np.einsum("ij,ij->i", fork - chain.at[:-1], step) / size**2, 0.0, 1.0)
    foot = chain.at[:-1] + part[:, None] * step
    m = first_least(np.linalg.norm(foot - fork, axis=1))
    unit = step[m] / size[m]
    gradient = np.zeros_like(chain.at)
    value = 0.0
    if m:
        value, gradient[: m + 1] = polyline(chain.take(range(m + 1)))
    value += float(part[m] * size[m])
    # the foot goes along the line as the fork does
    gradient[m] -= unit
    if 0.0 < part[m] < 1.0:  # and as the line turns beneath it
        beside = (fork - foot[m]) / size[m]
        gradient[m] -= beside
        gradient[m + 1] += beside
    found = _through_fork(s, chain, value, gradient)
    return Reading(value, np.append(found.at, i), np.concatenate([found.by, unit[None]]))


def _through_fork(s: Surface, chain: Points, value: float, gradient: Array) -> Reading:
    """A value by points of which the ends hang on the waist and the others on the fork's plane."""
    found = reading(value, chain, gradient)
    planes = chain.by_plane(gradient)
    waist = (s.waist + s.floor).times(float(planes[[0, -1]].sum()))
    across = np.array([[float(planes[1:-1].sum()), 0.0, 0.0]])
    return Reading(
        value,
        np.concatenate([found.at, waist.at, [s.at["fork"]]]),
        np.concatenate([found.by, waist.by, across]),
    )


def _under(y: Array, z: Array) -> list[int]:
    """The taut line under the points from the first to the last: numbers in order.

    About a point between the two ends and above the rest, it is the hull seen from there.
    """
    count = len(y)
    order = sorted(range(count), key=lambda i: (y[i], z[i]))
    ring: list[int] = []

    def chain(numbers: list[int]) -> list[int]:
        kept: list[int] = []
        for i in numbers:
            while len(kept) > 1:
                o, m = kept[-2], kept[-1]
                if (y[m] - y[o]) * (z[i] - z[o]) - (z[m] - z[o]) * (y[i] - y[o]) > 0.0:
                    break
                kept.pop()
            kept.append(i)
        return kept

    ring = [*chain(order)[:-1], *chain(order[::-1])[:-1]]
    # both ends are on the hull: nothing lies higher
    start = ring.index(0) if 0 in ring else 0
    ring = ring[start:] + ring[:start]
    last = ring.index(count - 1) if count - 1 in ring else len(ring) - 1
    way = ring[: last + 1]
    other = [ring[0], *ring[: last - 1 if last else None : -1]]
    lowest = first_least(z)
    return way if lowest in way else other
