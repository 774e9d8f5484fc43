"""The mouth of a drafted dart, and how its ends may move with the legs kept equal."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, degrees

import numpy as np

from pinwright.fitting.response import Sketch
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array


@dataclass(frozen=True, eq=False)
class DartMouth:
    """A mouth: its ends ``a`` and ``b`` (2,), the spans before and after it, directions there.

    ``ta`` and ``tb`` are unit directions along the edge at the ends, ``ua`` and ``ub`` unit
    directions from the dart's point out to them.
    """

    edge: str
    before: int
    after: int
    a: Array
    b: Array
    ta: Array
    tb: Array
    ua: Array
    ub: Array

    @property
    def slant(self) -> float:
        """Angle in degrees between the legs and the edge, the closed dart's two sides averaged."""
        lean = float(self.ua @ self.ta + self.ub @ self.tb) / 2.0
        return degrees(acos(min(1.0, abs(lean))))

    def change(self, more: float, off: float) -> tuple[float, float]:
        """(x, shift) that take ``more`` cm of seam and lose ``off`` cm of leg difference.

        Each end goes back along its edge by x; then the first goes in along its leg by ``shift``
        and the second out. To first order the seam loses 2 x + lean * shift and the first leg
        loses lean * x + 2 * shift against the second, ``lean`` being ua.ta + ub.tb.
        """
        lean = float(self.ua @ self.ta + self.ub @ self.tb)
        x = (more - lean * off / 2.0) / (2.0 - lean * lean / 2.0)
        return x, (off - lean * x) / 2.0


def mouth(garment: Garment, piece: str, dart: str) -> DartMouth:
    """The mouth of a dart as drafted."""
    layout = garment.layout
    d = garment.piece(piece).dart(dart)
    i = layout.edges[piece, d.edge].darts.index(dart)
    runs = layout.runs[piece, d.edge]
    before, after = runs[i][1] - 1, runs[i + 1][0]
    a, b = layout.ctrl[before, 3], layout.ctrl[after, 0]
    return DartMouth(
        d.edge,
        before,
        after,
        a,
        b,
        _unit(a - layout.ctrl[before, 2]),
        _unit(layout.ctrl[after, 1] - b),
        _unit(a - d.apex),
        _unit(b - d.apex),
    )


def slide_mouth(sketch: Sketch, m: DartMouth, before: float, after: float, shift: float) -> None:
    """Lengthen the edge before a mouth by ``before`` cm per unit and after it by ``after``.

    Then shift the ends along their legs, the first in and the second out, by ``shift``. Control
    points change as those of the trimmed or continued cubic do, to first order.
    """
    c = sketch.layout.ctrl
    sketch.ctrl[m.before] += before * growth(c[m.before])
    sketch.ctrl[m.before, 2:] -= shift * m.ua
    sketch.ctrl[m.after] += after * growth(c[m.after][::-1])[::-1]
    sketch.ctrl[m.after, :2] += shift * m.ub


def growth(c: Array) -> Array:
    """Change (4, 2) of a cubic's control points per cm by which its end runs on."""
    speed = 3.0 * float(np.hypot(*(c[3] - c[2])))
    return np.stack([np.zeros(2), c[1] - c[0], 2.0 * (c[2] - c[1]), 3.0 * (c[3] - c[2])]) / speed


def _unit(v: Array) -> Array:
    return np.asarray(v / float(np.hypot(*v)))
