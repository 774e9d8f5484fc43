"""The lay as a picture of the cloth with the pieces on it, in cm of cloth, x along it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.lay.placing import Lay, Placement, Template, covered, placed, turned_over
from pinwright.cutting.material import Material
from pinwright.measures.units import LengthUnit
from pinwright.sheets.folds import off_line
from pinwright.sheets.ink import (
    BOLD,
    FINE,
    Drawing,
    Mark,
    Stroke,
    Words,
    mirrored,
    moved,
    polygon_stroke,
    turned,
)
from pinwright.sheets.lay_labels import grain_arrow, label, label_blocks
from pinwright.sheets.lay_signs import (
    Sizes,
    edge_words,
    fold_line,
    ground,
    repeat_lines,
    ruler,
    spoiled,
    too_short,
    usable,
)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class LaidPiece:
    """A piece on the lay: its ``number`` in the list, template, place and drawing.

    ``outline`` (m, 2) cm of cloth, as laid; ``strokes`` and ``words`` are drawn in that order.
    """

    number: int
    template: Template
    at: Placement
    outline: Array
    strokes: Drawing
    words: tuple[Words, ...]

    @property
    def title(self) -> str:
        """Name and side in words, for lists and for those who do not see the picture."""
        side = side_words(self.template)
        return f"{name_of(self.template)}, {side}" if side else name_of(self.template)


@dataclass(frozen=True, slots=True, eq=False)
class LayDrawing:
    """The picture in parts: the cloth below, the pieces, and what is drawn over them."""

    below: Drawing
    pieces: tuple[LaidPiece, ...]
    over: Drawing

    @property
    def whole(self) -> Drawing:
        """All of it in the order it is painted: the words of the pieces last."""
        strokes = (m for p in self.pieces for m in p.strokes)
        words = (m for p in self.pieces for m in p.words)
        return (*self.below, *strokes, *self.over, *words)


def name_of(t: Template) -> str:
    """What a template is called on the lay, without its side."""
    name = t.title or t.piece.replace("_", " ")
    name = name.removesuffix(f", {t.side}")
    return name[:1].upper() + name[1:]


def side_words(t: Template) -> str:
    """Which side of the wearer a template is for; nothing for what has no side.

    What is cut through double cloth and not on the fold gives a right and a left.
    """
    if t.plies == 2 and not t.on_fold:
        return "right + left"
    return t.side if t.side != "both" else ""


HELD = "hold back: cut after the fitting"


def how(t: Template, at: Placement) -> tuple[str, ...]:
    """How a piece lies: on the fold, double, face down, turned, tilted, held back."""
    said = []
    if t.on_fold:
        said.append("on the fold")
    elif t.plies == 2:
        said.append("double")
    if t.mirrored:
        said.append("face down")
    turn = at.rotation % 360.0
    if 90.0 < turn < 270.0:
        said.append("turned")
    tilt = (turn + 90.0) % 180.0 - 90.0
    if abs(tilt) > 1e-6:
        said.append(f"tilted {abs(tilt):.1f}".removesuffix(".0") + "°")
    if t.stage == "after":
        said.append(HELD)
    return tuple(said)


def numbered(lay: Lay) -> tuple[Placement, ...]:
    """The placements as they are numbered: along the cloth from the cut end, then across."""

    def corner(p: Placement) -> tuple[float, float]:
        low = placed(lay.template(p.key), p).min(axis=0)
        return round(float(low[0]), 1), float(low[1])

    return tuple(sorted(lay.placements, key=corner))


def lay_parts(
    lay: Lay,
    material: Material,
    sizes: Sizes,
    inner: Mapping[str, Drawing] | None = None,
    signs: bool = True,
) -> LayDrawing:
    """The picture of a lay in parts, in cm of cloth.

    sizes: the scale it will be drawn at, and its letters. inner: by key what is drawn inside a
    piece, in its template's coordinates; it is turned and moved with it. signs: whether rulers and
    words stand round the cloth.
    """
    z = sizes
    several = len({t.garment for t in lay.templates}) > 1
    waste = left_over(lay)
    pieces = tuple(
        _piece(k, lay.template(p.key), p, z, (inner or {}).get(p.key, ()), several, waste)
        for k, p in enumerate(numbered(lay), 1)
    )
    below = ground(lay, material, z)
    if signs:
        below += (*ruler(lay, material, z), *edge_words(lay, material, z))
    # over the pieces, for their lines are matched to the repeat and must be seen clear of flaws
    words = shapely.union_all([shapely.Polygon(w.corners) for p in pieces for w in p.words])
    over = (
        *fold_line(lay, z),
        *repeat_lines(lay, material, z, words),
        *spoiled(lay.field, z),
        *(too_short(lay, material, z) if signs else ()),
    )
    return LayDrawing(below, pieces, over)


def lay_picture(
    lay: Lay,
    material: Material,
    scale: float = 1.0,
    letter: float = 0.3,
    unit: LengthUnit = "cm",
    inner: Mapping[str, Drawing] | None = None,
) -> Drawing:
    """The picture of a lay, in cm of cloth.

    scale: how many times smaller it will be drawn; pens and letters grow by it. letter: height of
    letters on paper, cm. unit: of the rulers. inner: see :func:`lay_parts`.
    """
    return lay_parts(lay, material, Sizes(scale, letter, unit), inner).whole


def off_fold(outline: Array) -> tuple[Array, ...]:
    """The stretches of a closed outline that do not lie on the fold, y = 0."""
    low, high = float(outline[:, 0].min()), float(outline[:, 0].max())
    return off_line(outline, np.array([[low, 0.0], [high, 0.0]]), 1e-6)


def left_over(lay: Lay) -> shapely.Geometry:
    """The cloth used that no piece lies on, cloth held back and flaws left out."""
    parts: list[shapely.Geometry] = [shapely.Polygon(o) for o in lay.field.taken]
    parts += [shapely.box(*f) for f in lay.field.flaws]
    for p in lay.placements:
        t = lay.template(p.key)
        parts.append(covered(t, p))
    return shapely.difference(usable(lay), shapely.union_all(parts))


def _as_it_lies(drawing: Drawing, t: Template, at: Placement) -> Drawing:
    """What is drawn in a template, where the template lies; see :func:`placing.lying`."""
    laid = mirrored(drawing) if turned_over(t, at) else turned(drawing, at.rotation)
    return moved(laid, at.x, at.y)


def _piece(
    number: int,
    t: Template,
    at: Placement,
    z: Sizes,
    inner: Drawing,
    several: bool,
    waste: shapely.Geometry,
) -> LaidPiece:
    outline = placed(t, at)
    marks: list[Mark] = []
    after = t.stage == "after"
    if t.kept > 0.0:
        rim = replace(polygon_stroke(t.taken, z.pen(FINE), z.dash((0.35, 0.2))), fill=1.0)
        rim = replace(rim, role="lay kept")
        marks += _as_it_lies((rim,), t, at)
    pen = z.pen(FINE if after else BOLD)
    if t.on_fold:
        # white all over, but no cut line on the fold
        marks.append(Stroke((outline,), 0.0, closed=True, fill=1.0, role="lay piece"))
        marks.append(Stroke(off_fold(outline), pen, role="lay piece"))
    else:
        marks.append(Stroke((outline,), pen, closed=True, fill=1.0, role="lay piece"))
    inner = _as_it_lies(inner, t, at)
    marks += inner
    blocks = label_blocks(
        number, name_of(t), side_words(t), how(t, at), t.garment if several else ""
    )
    words = label(blocks, outline, z, waste, inner)
    marks += grain_arrow(outline, at.rotation, words, z, inner)
    return LaidPiece(number, t, at, outline, tuple(marks), words)
