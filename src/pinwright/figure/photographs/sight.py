"""The figure before a camera, read just as a photograph is: by its own crown and floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.rows import Points, Reading, combined, level, reading, vertex
from pinwright.figure.landmarks import mirrored, vertices
from pinwright.figure.photographs.camera import ALONG, Camera

HEEL = 13053
"""The vertex at the back edge of her left heel, near the floor."""


@dataclass(frozen=True, slots=True, eq=False)
class Eye:
    """A surface (n, 3), cm, as a camera sees it: what stands still under its reading.

    middle: (3,) on the floor; in depth between the ankle bones, across at the marks' origin. who:
    (5,) the vertices it hangs on, two for x, two for y, and the lowest.
    """

    points: Array
    camera: Camera
    middle: Array
    who: NDArray[np.int64]

    def flat(self, which: NDArray[np.int64]) -> Array:
        """Vertices (k,) in the plane: (k, 2) across and up."""
        return self.camera.projected(self.points[which], self.middle)[0]

    def seen(self, at: Points, plane: Reading | None = None) -> tuple[Reading, Reading]:
        """One point of the surface, across and up."""
        flat, by = self.camera.projected(at.at, self.middle)
        return self._way(flat, by, at, 0, plane), self._way(flat, by, at, 1, plane)

    def _way(self, flat: Array, by: Array, at: Points, k: int, plane: Reading | None) -> Reading:
        own = reading(float(flat[0, k]), at, by[:, k], plane)
        return own + Reading(0.0, self.who, -_hung(by[0, k]))

    def floor(self) -> tuple[Reading, Reading]:
        """The point of the floor half way between the back edges of the heels: across and up."""
        who = np.concatenate([_heels(), _heels(), self.who[4:]])
        at = _middle(self.points, who)
        flat, by = self.camera.projected(at[None], self.middle)
        across, up = (
            Reading(
                float(flat[0, k]),
                np.concatenate([who, self.who]),
                np.concatenate([_hung(by[0, k]), -_hung(by[0, k])]),
            )
            for k in (0, 1)
        )
        return across, up


def _middle(points: Array, who: NDArray[np.int64]) -> Array:
    """The point (3,) between two vertices in x, two in y, and as high as the last."""
    return np.array([points[who[:2], 0].mean(), points[who[2:4], 1].mean(), points[who[4], 2]])


def _hung(by: Array) -> Array:
    """A gradient (3,) by such a point, passed on to its vertices (5, 3)."""
    x, y, z = by * np.eye(3)
    return np.stack([x / 2.0, x / 2.0, y / 2.0, y / 2.0, z])


def _heels() -> NDArray[np.int64]:
    return np.array([HEEL, mirrored()[HEEL]])


def eye(points: Array, camera: Camera, origin: Sequence[str]) -> Eye:
    """A surface before a camera; origin: the marks that across is measured from."""
    at = vertices()
    ankles = np.array([at["ankle_bone_left"], at["ankle_bone_right"]])
    named = _heels() if tuple(origin) == ("floor",) else np.array([at[k] for k in origin])
    start = named[[0, -1]]
    aside = camera.view in ("left", "right")
    who = np.concatenate(
        [*((ankles, start) if aside else (start, ankles)), [int(np.argmin(points[:, 2]))]]
    )
    middle = _middle(points, who)
    # the origin may lie nearer than the middle, and is then drawn further from the line of sight
    near = float((points[start].mean(axis=0) - middle) @ ALONG[camera.view][1])
    larger = camera.distance / (camera.distance - near)
    return Eye(points, replace(camera, aside=camera.aside / larger), middle, who)


@dataclass(frozen=True, slots=True, eq=False)
class Ruler:
    """What a photograph is read by, as readings of the figure: origin across, floor up, scale."""

    across: Reading
    up: Reading
    scale: Reading

    def read(self, across: Reading, up: Reading) -> tuple[Reading, Reading]:
        """A place in the plane as it is read from a photograph: across and up, cm."""
        return _times(across - self.across, self.scale), _times(up - self.up, self.scale)


def ruler(sight: Eye, origin: Sequence[str]) -> Ruler:
    """The figure's own floor, crown and origin: places named as the marks are."""
    points = sight.points
    across, floor = sight.floor()
    head = np.flatnonzero(points[:, 2] > points[:, 2].max() - 3.0)
    crown = int(head[np.argmax(sight.flat(head)[:, 1])])
    tall = level(points, int(head[np.argmax(points[head, 2])])) - level(points, int(sight.who[4]))
    if tuple(origin) != ("floor",):
        ankles = [sight.seen(vertex(points, vertices()[k]))[0] for k in origin]
        across = combined(*((1.0 / len(ankles), r) for r in ankles))
    _, top = sight.seen(vertex(points, crown))
    return Ruler(across, floor, _over(tall, top - floor))


def _times(a: Reading, b: Reading) -> Reading:
    """The product of two readings."""
    return replace(combined((b.value, a), (a.value, b)), value=a.value * b.value)


def _over(a: Reading, b: Reading) -> Reading:
    """One reading divided by another."""
    share = a.value / b.value
    return replace(combined((1.0 / b.value, a), (-share / b.value, b)), value=share)
