"""Words on the drawing: names of edges and lines, and the label of a piece."""

from __future__ import annotations

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


def label(view: View, placing: Placing) -> str:
    """Name of the piece and how it is cut."""
    at, inside = label_spot(view, placing)
    kind = "" if inside else " under"
    x, y = number(float(at[0]), 2), number(float(at[1]), 2)
    first, second = ("-2", "13") if inside else ("14", "27")
    name, comma, hand = view.title.partition(", ")
    said = f", {hand}" if inside else f" {hand[:1].upper()}"
    title = escape(name) + (f'<tspan class="hand">{said}</tspan>' if comma else "")
    return (
        f'<g class="fixed label{kind}" transform="translate({x} {y})">'
        f'<text class="title" y="{first}">{title}</text>'
        f'<text class="count" y="{second}">{escape(view.count)}</text></g>'
    )
