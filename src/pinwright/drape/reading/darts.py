"""Where the darts of a front point, against the bust they are for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Hung, Side
from pinwright.drape.surfaces import normals

TAIL = 6.0
"""A dart points along its last stretch of so much, cm: the rest goes round the body."""

ITS = 12.0
"""A dart that ends farther from the bust point, cm, is not for the bust."""


@dataclass(frozen=True, slots=True)
class Dart:
    """A dart of the front as sewn: beside: how far the bust point lies beside its run, cm, positive
    where it lies over it; short: how far the dart ends before it along its run, negative past it.
    """

    name: str
    side: Side
    beside: float
    short: float


def darts(hung: Hung, landmarks: Mapping[str, Array]) -> tuple[Dart, ...]:
    """The darts that end near a bust point, as seen from where the cloth faces there."""
    if not any(p.legs for p in hung.shell.panels):
        return ()
    normal = normals(hung.points, hung.shell.triangles)
    found = []
    for panel, vertices in zip(hung.shell.panels, hung.shell.vertices, strict=True):
        bust = landmarks.get(f"bust_point_{panel.side}")
        if panel.home != "front" or bust is None:
            continue
        for name, (leg, _) in panel.legs.items():
            run = hung.points[vertices[leg]]
            apex = run[-1]
            if float(np.linalg.norm(bust - apex)) > ITS:
                continue
            tail = np.linalg.norm(run - apex, axis=1) < TAIL
            look = normal[vertices[leg[tail]]].mean(axis=0)
            look /= max(float(np.linalg.norm(look)), 1e-12)
            start = run[int(np.argmax(tail))]
            way, step = (v - (v @ look) * look for v in (apex - start, bust - apex))
            size = float(np.linalg.norm(way))
            if size < 1e-6:
                continue
            on = float(step @ way) / size
            off = step - on / size * way
            beside = float(np.linalg.norm(off)) * (1.0 if off[2] >= 0.0 else -1.0)
            found.append(Dart(name, panel.side, beside, on))
    return tuple(found)
