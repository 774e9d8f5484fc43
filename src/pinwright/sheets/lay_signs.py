"""Signs of the cloth under a lay: its edges, ruler, repeat, flaws; in cm of cloth, to be read at a
scale.

``scale`` says how many times smaller the drawing will stand on paper: pens, dashes and letters
grow by it, so that they come out the same on every paper. x runs along the cloth.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.lay.placing import Field, Lay
from pinwright.cutting.material import Material
from pinwright.measures.amounts import SLIGHT, needed, size
from pinwright.measures.units import CM_PER_INCH, LengthUnit
from pinwright.sheets.ink import (
    BOLD,
    DASH_DOT,
    DASHED,
    DOTTED,
    FINE,
    HAIR,
    THIN,
    Anchor,
    Drawing,
    Mark,
    Stroke,
    Words,
    hatched,
    line,
    polygon_stroke,
)
from pinwright.sheets.lettering import width_of

Array = NDArray[np.float64]

WASTE = 0.9
"""Grey of cloth that nothing is cut from: light enough to write on, seen beside white pieces."""

BEYOND = 0.8
"""How much cloth is shown past the end of the lay, cm on paper, where it goes on."""

LEAST_REPEAT = 0.25
"""Repeat lines nearer than this on paper, cm, would be a grey: every second or later is drawn."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Pens and letters of a drawing: ``scale`` times smaller on paper, ``letter`` cm high there.

    ``turn`` is by how many degrees the whole drawing will be turned on the page: words keep
    upright there. ``shaded`` puts grey on what is left over.
    """

    scale: float = 1.0
    letter: float = 0.3
    unit: LengthUnit = "cm"
    turn: float = 0.0
    shaded: bool = True

    def upright(self, angle: float) -> float:
        """The angle, or half a turn from it, at which words are not upside down on the page."""
        return 90.0 - (90.0 - angle - self.turn) % 180.0 - self.turn

    def pen(self, weight: float) -> float:
        """Width of a line in cm of cloth."""
        return weight * self.scale

    def dash(self, lengths: tuple[float, ...]) -> tuple[float, ...]:
        """A dash in cm of cloth, shorter on small scales."""
        k = self.scale * (0.5 if self.scale > 1.5 else 1.0)
        return tuple(d * k for d in lengths)

    def high(self, share: float = 1.0) -> float:
        """Height of letters in cm of cloth."""
        return self.letter * share * self.scale


def word(
    at: tuple[float, float] | Array,
    text: str,
    size: float,
    anchor: Anchor = "start",
    bold: bool = False,
    angle: float = 0.0,
    halo: bool = False,
) -> Words:
    """Words on the lay."""
    return Words(np.asarray(at, float), text, size, angle, bold, anchor, halo, "lay words")


def from_words(distance: float, edge: str, unit: LengthUnit) -> str:
    """How far from an edge something begins, cm, for people: as a tape shows it."""
    return f"at {edge}" if distance < SLIGHT[unit] else f"{size(distance, unit)} from {edge}"


def edge_names(lay: Lay) -> tuple[str, str]:
    """What the lower and the upper edge of a cloth are called."""
    if lay.field.folded:
        return "FOLD: do not cut", "both selvedges"
    return "lower selvedge", "upper selvedge"


def usable(lay: Lay) -> shapely.Polygon:
    """The cloth the lay takes: the remnant, or the usable width as long as it is used."""
    if lay.field.outline is not None:
        return shapely.Polygon(lay.field.outline)
    return shapely.box(0.0, 0.0, lay.length, lay.field.width)


def cloth_end(lay: Lay, z: Sizes) -> float:
    """How far along the cloth is drawn, cm."""
    end = lay.length + BEYOND * z.scale
    return end if lay.field.length is None else min(end, max(lay.field.length, lay.length))


def cloth_edges(lay: Lay, material: Material) -> tuple[float, float]:
    """Where the cloth's lower and upper edge lie across, cm: the selvedges, or fold and selvedge.

    A folded cloth has its fold at 0.
    """
    f = lay.field
    return (0.0 if f.folded else -material.selvedge), f.width + material.selvedge


def ground(lay: Lay, material: Material, z: Sizes) -> Drawing:
    """The cloth itself: what is left over grey, edges, selvedges, fold, cut end, where it ends."""
    f = lay.field
    area = usable(lay)
    marks: list[Mark] = []
    if z.shaded:
        marks.append(replace(polygon_stroke(area, 0.0, role="lay waste"), fill=WASTE))
    if f.outline is not None:
        marks.append(polygon_stroke(area, z.pen(BOLD), role="lay cloth"))
        return tuple(marks)
    low, high = cloth_edges(lay, material)
    end = cloth_end(lay, z)
    bold, thin = z.pen(BOLD), z.pen(THIN)
    if not f.folded:
        marks.append(line((0, low), (end, low), weight=bold, role="lay cloth"))
    marks.append(line((0, high), (end, high), weight=bold, role="lay cloth"))
    for y, edge in ((0.0, low), (f.width, high)):
        if abs(y - edge) > 1e-9:
            marks.append(
                line((0, y), (end, y), weight=thin, dash=z.dash((0.3, 0.15)), role="lay selvedge")
            )
    marks.append(line((0, low), (0, high), weight=bold, role="lay cloth"))
    if f.length is not None and end >= f.length - 1e-9:
        # a lay too long for the cloth goes on beyond its end; see too_short
        marks.append(line((f.length, low), (f.length, high), weight=bold, role="lay cloth"))
    else:
        marks.append(_torn(end, low, high, z))
    marks.append(
        line(
            (lay.length, low), (lay.length, high), weight=z.pen(FINE), dash=z.dash(DASHED),
            role="lay cloth",
        )
    )  # fmt: skip
    return tuple(marks)


def too_short(lay: Lay, material: Material, z: Sizes) -> Drawing:
    """Where the cloth ends under a lay that is too long for it, over the pieces."""
    f = lay.field
    if f.outline is not None or f.length is None or lay.length <= f.length + 0.05:
        return ()
    low, high = cloth_edges(lay, material)
    missing = needed(lay.length - f.length, z.unit)
    said = f"the cloth ends here: {missing} are missing"
    size = z.high()
    at = (f.length, high + 0.25 * z.scale + 1.3 * size)
    end = line((f.length, low), (f.length, high + 0.2 * z.scale), weight=z.pen(0.1), role="lay end")
    return (end, word(at, said, size, "end", True, halo=True))


def fold_line(lay: Lay, z: Sizes) -> Drawing:
    """The fold of a folded cloth, over the pieces that stand on it."""
    if not lay.field.folded:
        return ()
    ends = ((0.0, 0.0), (cloth_end(lay, z), 0.0))
    return (line(*ends, weight=z.pen(0.1), dash=z.dash(DASH_DOT), role="lay cloth"),)


def _torn(x: float, low: float, high: float, z: Sizes) -> Stroke:
    """The cloth goes on: a wavy thin line."""
    ys = np.linspace(low, high, 81)
    xs = x + 0.08 * z.scale * np.sin(np.linspace(0.0, 16.0 * np.pi, 81))
    return Stroke((np.stack([xs, ys], axis=1),), z.pen(THIN), role="lay cloth")


def repeat_every(step: float, z: Sizes) -> int:
    """Every how many-th line of a repeat of ``step`` cm is drawn."""
    return max(1, ceil(LEAST_REPEAT * z.scale / step - 1e-9))


def repeat_starts(lay: Lay, material: Material) -> tuple[float, float]:
    """Where a dominant line lies on the field, along and across, cm."""
    across = material.repeat.from_selvedge - (0.0 if lay.field.folded else material.selvedge)
    return material.repeat.from_start, across


def repeat_lines(
    lay: Lay, material: Material, z: Sizes, clear: shapely.Geometry | None = None
) -> Drawing:
    """The dominant lines of the cloth's repeat, thin and dotted; on a small scale not every one.

    They stop at ``clear``, where words stand.
    """
    along, across = lay.field.repeat
    area = usable(lay)
    x0, y0, x1, y1 = area.bounds
    at_x, at_y = repeat_starts(lay, material)
    ends: list[Array] = []
    for step, first, a, b, upright in ((along, at_x, x0, x1, True), (across, at_y, y0, y1, False)):
        if step <= 0.0:
            continue
        wide = step * repeat_every(step, z)
        k = ceil((a - first) / wide - 1e-9)
        while first + k * wide <= b + 1e-9:
            v = first + k * wide
            ends.append(np.array([[v, y0], [v, y1]] if upright else [[x0, v], [x1, v]]))
            k += 1
    if not ends:
        return ()
    shown = area if clear is None else shapely.difference(area, clear)
    cut = shapely.intersection(shapely.linestrings(np.stack(ends)), shown)
    parts = [p for g in cut for p in shapely.get_parts(g) if p.geom_type == "LineString"]
    chains = tuple(np.asarray(shapely.get_coordinates(p)) for p in parts)
    return (Stroke(chains, z.pen(HAIR), z.dash(DOTTED), role="lay repeat"),) if chains else ()


def spoiled(f: Field, z: Sizes) -> Drawing:
    """Flaws cross-hatched in a rim, and what is already cut from the cloth hatched one way."""
    marks: list[Mark] = []
    for x0, y0, x1, y1 in f.flaws:
        area = shapely.box(x0, y0, x1, y1)
        gap = max(0.12 * z.scale, min(x1 - x0, y1 - y0) / 6)
        for angle in (45.0, -45.0):
            drawn = hatched(area, angle, gap, z.pen(THIN), role="lay flaw")
            marks += [drawn] if drawn else []
        marks.append(polygon_stroke(area, z.pen(FINE), role="lay flaw"))
        if x1 - x0 > width_of("flaw", z.high()) * 1.1 and y1 - y0 > 1.3 * z.high():
            at = ((x0 + x1) / 2, (y0 + y1) / 2 - 0.36 * z.high())
            marks.append(word(at, "flaw", z.high(), "middle", True, halo=True))
    for outline in f.taken:
        area = shapely.Polygon(outline)
        drawn = hatched(area, 45.0, 0.3 * z.scale, z.pen(HAIR), role="lay taken")
        marks += [drawn] if drawn else []
        marks.append(polygon_stroke(area, z.pen(FINE), role="lay taken"))
    return tuple(marks)


def ticks(unit: LengthUnit) -> tuple[float, int, float]:
    """Small step of the ruler in cm, after how many of them a figure stands, the unit in cm.

    Every 10 cm with figures at 50, or every 6 in with figures at the feet.
    """
    return (10.0, 5, 1.0) if unit == "cm" else (6.0 * CM_PER_INCH, 2, CM_PER_INCH)


def ruler(lay: Lay, material: Material, z: Sizes) -> Drawing:
    """The ruler along the lower edge and across the cut end, from the cut end and the lower edge.

    Along: from the cut end. Across: the whole width of the cloth, selvedges included.
    """
    if lay.field.outline is not None:
        x0, low, x1, high = usable(lay).bounds
    else:
        x0, x1 = 0.0, lay.length
        low, high = cloth_edges(lay, material)
    step, every, one = ticks(z.unit)
    if step >= 1.1 * z.scale:
        every = 1  # there is room for every figure
    size = z.high(0.9)
    gap = 0.15 * z.scale
    marks: list[Mark] = []
    for a, b, across in ((x0, x1, False), (low, high, True)):
        count = floor((b - a) / step + 1e-9)
        base = (low if not across else x0) - gap
        for k in range(count + 1):
            v = a + k * step
            long = (0.28 if k % every == 0 else 0.14) * z.scale
            p, q = ((v, base), (v, base - long)) if not across else ((base, v), (base - long, v))
            marks.append(line(p, q, weight=z.pen(THIN), role="lay ruler"))
            if k % every == 0:
                if across and k == 0:
                    continue
                text = f"{k * step / one:g}" + (f" {z.unit}" if k == every and not across else "")
                if across:
                    at, anchor = np.array([base - 0.36 * z.scale, v - 0.36 * size]), "end"
                else:
                    foot = base - 0.36 * z.scale - 0.75 * size
                    at, anchor = np.array([v, foot]), "middle"
                marks.append(Words(at, text, size, anchor=anchor, role="lay ruler"))  # type: ignore[arg-type]
        ends = ((a, base), (b, base)) if not across else ((base, a), (base, b))
        marks.append(line(*ends, weight=z.pen(THIN), role="lay ruler"))
    return tuple(marks)


def edge_words(lay: Lay, material: Material, z: Sizes) -> Drawing:
    """What the cloth's edges are: selvedge, fold, cut end; and the way of nap or print."""
    f = lay.field
    size = z.high(0.95)
    if f.outline is not None:
        x0, _, _, top = usable(lay).bounds
        said = f"remnant {f.name}".strip()
        marks: list[Mark] = [word((x0, top + 0.25 * z.scale), said, size, bold=True)]
    else:
        low, high = cloth_edges(lay, material)
        x0, top = 0.0, high
        lower, upper = edge_names(lay)
        below = low - (0.15 + 0.36) * z.scale - 2.1 * size
        marks = [
            word((0.0, high + 0.25 * z.scale), upper, size),
            word((0.0, below), lower, size, bold=f.folded),
        ]
        end = f"used {needed(lay.length, z.unit)}"
        wide = width_of(lower, size) + width_of(end, z.high(1.1), True) + size
        # on a short lay the two stand under each other
        foot = below if wide <= lay.length else below - 1.5 * size
        marks.append(word((lay.length, foot), end, z.high(1.1), "end", True))
        side = low - 0.15 * z.scale
        back = -(0.15 + 0.45) * z.scale - width_of("000", z.high(0.9)) - 0.25 * z.scale
        middle = (side + high) / 2
        if high - low > 1.4 * width_of("cut end", size):
            marks.append(word((back, middle), "cut end", size, "middle", angle=90.0))
    if material.direction != "none":
        marks += _one_way(material.direction, x0, top, lay, z)
    return tuple(marks)


def _one_way(what: str, x0: float, top: float, lay: Lay, z: Sizes) -> list[Mark]:
    """A large arrow over the cloth: all tops lie this way."""
    size = z.high(1.1)
    right = usable(lay).bounds[2]
    y = top + (0.25 + 0.42) * z.scale + 0.1 * size
    text = f"{what}: all tops this way"
    tip, s = right, z.scale
    marks: list[Mark] = [
        line((tip - 2.2 * s, y), (tip - 0.5 * s, y), weight=z.pen(0.1), role="lay cloth"),
        Stroke(
            (np.array([[tip - 0.6 * s, y + 0.22 * s], [tip, y], [tip - 0.6 * s, y - 0.22 * s]]),),
            z.pen(FINE), closed=True, fill=0.0, role="lay cloth",
        ),
        word((tip - 2.4 * s, y - 0.36 * size), text, size, "end", True),
    ]  # fmt: skip
    return marks
