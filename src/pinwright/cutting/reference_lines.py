"""The lines of a cloth's repeat on the pieces as drawn, where the rules of matching put them.

A phase says where a line of the cloth crosses a template; taken back by the motion that laid the
piece it is a straight line on the drawing, square to the grain for a repeat along the cloth and
along it for one across.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.cutting.cuts import Cut, Hand
from pinwright.cutting.framing import Array, Frame
from pinwright.cutting.in_repeat import AGREE, AXES, wrapped
from pinwright.cutting.lay.placing import Axis, Template
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import on_table

LEAST = 1.0
"""A line that crosses a piece for less (cm) tells nobody how to lay it; the next one is taken."""

ON_EDGE = 1e-6
"""A line this near the cut line lies on it, cm: the centre of a half lies on its fold."""


@dataclass(frozen=True, slots=True, eq=False)
class RepeatLine:
    """A line of the cloth on one side's piece, and every ``repeat`` cm beside it the same again.

    ``frame`` lays the drawing; there the line is where the coordinate on ``axis`` is ``at``, cm.
    """

    axis: Axis
    frame: Frame
    at: float
    repeat: float

    def within(self, outline: Array) -> Array:
        """The line clipped to a closed outline (m, 2) of the drawing: (k, 2, 2) cm, its stretches.

        A whole number of repeats further where it misses the outline; none (k = 0) where the
        outline lies between two lines of the cloth.
        """
        laid = shapely.Polygon(self.frame(outline)).buffer(ON_EDGE, join_style="mitre")
        box = np.reshape(laid.bounds, (2, 2))
        for u in _outwards(self.at, self.repeat, box[:, AXES.index(self.axis)]):
            line = shapely.LineString(self._through(box, u))
            found = [
                shapely.get_coordinates(part)[[0, -1]]
                for part in shapely.get_parts(shapely.intersection(line, laid))
                if part.length > ON_EDGE
            ]
            if sum(float(np.hypot(*(b - a))) for a, b in found) >= LEAST:
                return self._drawn(np.stack(found))
        return np.empty((0, 2, 2))

    def agrees(self, other: RepeatLine, outline: Array) -> bool:
        """Whether both put the same of the cloth on a drawing, to what scissors can do."""
        laid = self.frame(outline)
        box = np.stack([laid.min(axis=0), laid.max(axis=0)])
        there = other.frame(self._drawn(self._through(box, self.at)))[:, AXES.index(other.axis)]
        return self.axis == other.axis and all(
            abs(wrapped(float(u) - other.at, other.repeat)) <= AGREE for u in there
        )

    def _through(self, box: Array, u: float) -> Array:
        """The line at ``u`` from side to side of a box (2, 2) of the template: its ends (2, 2)."""
        ends = box.copy()
        ends[:, AXES.index(self.axis)] = u
        return ends

    def _drawn(self, laid: Array) -> Array:
        """Points (..., 2) of the template in the drawing."""
        found: Array = (laid - self.frame.shift) @ np.linalg.inv(self.frame.linear).T
        return found


def _outwards(at: float, repeat: float, span: Array) -> Iterator[float]:
    """``at``, then whole repeats beside it, the nearest first, as far as ``span`` reaches."""
    most = max(abs(float(v) - at) for v in span) / repeat
    inward = 1.0 if float(span.mean()) >= at else -1.0
    yield at
    for n in range(1, int(most) + 1):
        yield from (at + n * inward * repeat, at - n * inward * repeat)


def reference_lines(
    cuts: Sequence[Cut], templates: Sequence[Template], material: Material
) -> Mapping[str, Mapping[Hand, tuple[RepeatLine, ...]]]:
    """The lines of a cloth on each side's piece, by piece; at most one along, one across.

    ``templates`` are those of ``cuts`` in their order, with the phases that
    :func:`pinwright.cutting.matching.matched` gave them. Pieces that no rule holds are left out.
    Of a piece that is cut several times the first is taken. A half that stands on the fold has no
    line across: the fold of the cloth decides there.
    """
    r = on_table(material).repeat
    size = {"along": r.along, "across": r.across}
    found: dict[str, dict[Hand, tuple[RepeatLine, ...]]] = {}
    for cut, template in zip(cuts, templates, strict=True):
        for part in cut.parts:
            lines = tuple(
                RepeatLine(p.axis, part.frame, p.at[AXES.index(p.axis)], size[p.axis])
                for p in template.phases
            )
            if lines:
                found.setdefault(part.piece.name, {}).setdefault(part.hand, lines)
    return found
