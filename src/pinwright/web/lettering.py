"""Words on the drawing: names of edges and lines, and the label of a piece."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import numpy as np
import shapely
from shapely.ops import polylabel

from pinwright.cutting.cutline import net_polygon
from pinwright.pattern.piece import Array, Edge, Piece
from pinwright.sheets.moved import short_title
from pinwright.web.svg import Placing, View, bounds, number

ROOMY = 7.0
"""A piece with room for a circle of this radius, cm, carries its name inside."""


LETTER = 0.8
"""A name is set clear of lines where there is this much room to each side for a letter, cm."""


def words(
    at: Array,
    text: str,
    kind: str,
    shift: tuple[float, float] = (0.0, 0.0),
    room: float | None = None,
) -> str:
    """A line of text at a place of the drawing (cm), its size and ``shift`` in screen units.

    ``room`` is the length in cm of what it names, so that a page can leave it out when small.
    """
    x, y = number(float(at[0]), 2), number(float(at[1]), 2)
    move = ""
    if shift != (0.0, 0.0):
        move = f' x="{number(shift[0], 1)}" y="{number(shift[1], 1)}"'
    space = "" if room is None else f' data-room="{number(room, 1)}"'
    return (
        f'<g class="fixed"{space} transform="translate({x} {y})"><text class="{kind}"{move}>'
        f"{escape(text)}</text></g>"
    )


def _edge_middle(e: Edge) -> tuple[Array, Array]:
    run = max(e.runs, key=lambda r: r.length)
    s = run.length / 2
    t = run.tangent(s)
    return run.at(s), np.array([t[1], -t[0]])


def names(piece: Piece, placing: Placing) -> str:
    """The names of the edges, just inside them, and of the balance lines."""
    out = []
    for e in piece.edges:
        if e.length < 3.0:
            continue
        at, outward = _edge_middle(e)
        flip = -1.0 if placing.mirror else 1.0
        shift = (-14.0 * flip * float(outward[0]), 14.0 * float(outward[1]) + 3.0)
        kind = "name"
        if abs(outward[0]) > 0.7:
            kind += " from" if flip * outward[0] < 0 else " to"
        out.append(words(placing.apply(at), e.name.replace("_", " "), kind, shift, e.length))
    for line in piece.lines:
        if line.kind in ("balance", "crease", "opening") and line.path.length > 4.0:
            at = line.path.at(line.path.length * 0.3)
            name, room = line.name.replace("_", " "), line.path.length
            out.append(words(placing.apply(at), name, "name", (0.0, -4.0), room))
    return "".join(out)


def label_spot(view: View, placing: Placing) -> tuple[Array, bool]:
    """Where the piece's name stands (drawn cm), and whether that is inside the piece."""
    area = net_polygon(view.piece, 0.2)
    inside = polylabel(area, 0.5)
    if float(area.exterior.distance(inside)) >= ROOMY:
        clear = _largest(area.difference(_drawn_inside(view.piece)))
        free = polylabel(clear, 0.5)
        if float(clear.exterior.distance(free)) >= LETTER * (
            len(short_title(view.piece.title)) + (0 if view.side == "both" else 6)
        ):
            inside = free
        return placing.apply(np.array([inside.x, inside.y])), True
    x0, y0, x1, _ = bounds(view.piece, view.cut)
    return placing.apply(np.array([(x0 + x1) / 2, y0])), False


def _drawn_inside(piece: Piece) -> shapely.Geometry:
    lines = [shapely.LineString(line.path.flatten(0.2)) for line in piece.lines]
    lines += [shapely.LineString([*piece.mouth(d.name), d.apex]) for d in piece.darts]
    lines.append(shapely.LineString(piece.grain))
    return shapely.union_all(lines).buffer(0.4)


def _largest(area: shapely.Geometry) -> shapely.Polygon:
    parts = [g for g in getattr(area, "geoms", [area]) if isinstance(g, shapely.Polygon)]
    return max(parts, key=lambda g: float(g.length**-1 * g.area))


Box = tuple[float, float, float, float]
"""Left, top, right and bottom on the drawing, cm."""

_LINES = {True: (-2, 13), False: (14, 27)}
"""Where the two lines of a label stand under its spot, inside the piece or not, screen units."""

_BOLD, _PLAIN = 7.0, 5.8
"""How wide a letter of a piece's name and of the line under it is at most, screen units."""

_ASIDE = {
    True: tuple((0.0, float(14 * n)) for n in (0, 1, -1, 2, -2)),
    False: tuple((side, float(14 * n)) for n in range(4) for side in (0.0, 0.3, -0.3, 0.6, -0.6)),
}
"""Where else a label may stand, inside its piece or under it: parts of its width aside, and screen
units lower."""


def labels(views: Sequence[tuple[View, Placing]], k: float, foot: float) -> tuple[str, ...]:
    """The label of each piece, where it is clear of other labels and of pieces not its own.

    k: cm per screen unit that lettering is sized for; foot: where the drawing ends, cm, with its
    scale bar. The page's script sets them anew, by the same rule, for other sizes.
    """
    pieces = [_drawn_box(view, placing) for view, placing in views]
    spots = [label_spot(view, placing) for view, placing in views]
    taken: list[Box] = [(5.0, foot - 3.2, 16.0 + 40.0 * k, foot)]
    moved: dict[int, tuple[float, float]] = {}
    # what stands inside its piece has the least room to move
    for i in sorted(range(len(views)), key=lambda i: not spots[i][1]):
        others = pieces[:i] + pieces[i + 1 :]
        wide = _wide(views[i][0], spots[i][1])
        ways = [
            (part * wide, down)
            for part, down in _ASIDE[spots[i][1]]
            if not spots[i][1] or pieces[i][1] < spots[i][0][1] + k * down < pieces[i][3]
        ]
        moved[i] = min(ways, key=lambda m: _in_the_way(_box(spots[i], wide, m, k), taken, others)
                       + 3.0 * k * k * (abs(m[0]) + abs(m[1])))  # fmt: skip
        taken.append(_box(spots[i], wide, moved[i], k))
    return tuple(_label(view, spots[i], moved[i]) for i, (view, _) in enumerate(views))


def _wide(view: View, inside: bool) -> float:
    name = len(view.title) if inside else len(view.title.partition(", ")[0]) + 2
    return max(_BOLD * name, _PLAIN * len(view.count)) + 4.0


def _box(spot: tuple[Array, bool], wide: float, moved: tuple[float, float], k: float) -> Box:
    """About where the words of a label stand."""
    (x, y), inside = spot
    first, last = _LINES[inside]
    left, top = x + k * (moved[0] - wide / 2), y + k * (first + moved[1] - 12)
    return left, top, left + k * wide, y + k * (last + moved[1] + 4)


def _drawn_box(view: View, placing: Placing) -> Box:
    x0, y0, x1, y1 = bounds(view.piece, view.cut)
    corners = placing.apply(np.array([(x0, y0), (x1, y1)]))
    (a, b), (c, d) = corners.min(axis=0), corners.max(axis=0)
    return float(a), float(b), float(c), float(d)


def _in_the_way(box: Box, words: Sequence[Box], pieces: Sequence[Box]) -> float:
    """How much of a box other words and pieces take, cm2; words count for far more."""
    return sum(20.0 * _both(box, w) for w in words) + sum(_both(box, p) for p in pieces)


def _both(a: Box, b: Box) -> float:
    wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    return max(wide, 0.0) * max(high, 0.0)


def _label(view: View, spot: tuple[Array, bool], moved: tuple[float, float]) -> str:
    """Name of the piece and how it is cut; moved: aside and down, screen units."""
    at, inside = spot
    kind = "" if inside else " under"
    x, y = number(float(at[0]), 2), number(float(at[1]), 2)
    aside = f' x="{number(moved[0], 1)}"' if moved[0] else ""
    first, second = (number(line + moved[1], 1) for line in _LINES[inside])
    name, comma, hand = view.title.partition(", ")
    said = f", {hand}" if inside else f" {hand[:1].upper()}"
    title = escape(name) + (f'<tspan class="hand">{said}</tspan>' if comma else "")
    return (
        f'<g class="fixed label{kind}" data-side="{view.side}" data-of="{escape(view.key)}" '
        f'transform="translate({x} {y})">'
        f'<text class="title"{aside} y="{first}">{title}</text>'
        f'<text class="count"{aside} y="{second}">{escape(view.count)}</text></g>'
    )
