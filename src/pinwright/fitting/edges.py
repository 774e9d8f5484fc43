"""Moving whole edges of a jacket by a field of the plane, and sliding ends along their curves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.mouths import growth
from pinwright.fitting.places import pieces_at_home
from pinwright.fitting.response import Field, Sketch, ramp_field
from pinwright.geometry.cubic import points
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import Width

DOWN: Array = np.array([0.0, -1.0])
"""One cm down the piece, along the grain."""


def edges_at(garment: Garment, home: str, *names: str) -> list[EdgeKey]:
    """The edges called one of ``names`` on the pieces at a home (the back: back and yoke).

    Raises:
        CorrectionError: no piece there has any of them.
    """
    found = [
        (p, e.name)
        for p in pieces_at_home(garment, home)
        for e in garment.piece(p).edges
        if e.name in names
    ]
    if not found:
        raise CorrectionError(f"The {garment.owns} no {' or '.join(names)} edge on its {home}.")
    return found


def corner(garment: Garment, key: EdgeKey, name: str) -> Array:
    """The drafted start, end or station ``name`` of an edge, (2,) cm."""
    row, col = garment.layout.station_row(key[0], f"{key[1]}:{name}")
    return np.asarray(garment.layout.ctrl[row, col])


def piece_with(garment: Garment, home: str, edge: str, name: str) -> EdgeKey:
    """The edge called ``edge`` at a home that has the point ``name``.

    Raises:
        CorrectionError: there is none.
    """
    for key in edges_at(garment, home, edge):
        e = garment.layout.edges[key]
        if name in (e.start, e.end) or name in e.stations:
            return key
    raise CorrectionError(
        f"The {garment.owns} no point {name.replace('_', ' ')} on the {edge} edge of its {home}."
    )


def move_edges(sketch: Sketch, moves: Mapping[EdgeKey, Field]) -> None:
    """Displace each edge by its field; edges that meet them follow at the shared corners.

    Ends of spans move by the field, handles by the field and its Jacobian, as in
    :meth:`Sketch.field`. Where two moved edges meet, their fields must agree. Points of darts
    that open in a moved edge stay.
    """
    layout = sketch.layout
    for key, move in moves.items():
        ids = layout.span_ids(key)
        base = layout.ctrl[ids]
        for end, handle in ((0, 1), (3, 2)):
            v, jac = move(base[:, end])
            sketch.ctrl[ids, end] += v
            arm = base[:, handle] - base[:, end]
            sketch.ctrl[ids, handle] += v + np.einsum("nij,nj->ni", jac, arm)
        for last in (False, True):
            other, at_last = layout.neighbours[key, last]
            if other not in moves:
                at = base[-1, 3] if last else base[0, 0]
                sketch.follow(other, at_last, move(at[None])[0][0])


def move_apexes(sketch: Sketch, key: EdgeKey, move: Field) -> None:
    """Displace the points of the darts that open in an edge by a field."""
    for dart in sketch.layout.edges[key].darts:
        rows = sketch.layout.aux_index[key[0], "apex", dart]
        sketch.aux[rows] += move(sketch.layout.aux[rows])[0]


def move_lines(sketch: Sketch, piece: str, move: Field) -> None:
    """Displace the lines and marks drawn on a piece by a field."""
    for (owner, what, _), rows in sketch.layout.aux_index.items():
        if owner == piece and what in ("line", "mark"):
            sketch.aux[rows] += move(sketch.layout.aux[rows])[0]


def slide(sketch: Sketch, key: EdgeKey, last: bool, amount: float) -> None:
    """Slide an edge's end along its own curve by ``amount`` cm per unit (+ lengthens the edge).

    The control points change as those of the trimmed or continued cubic do, to first order; the
    edge that meets it there follows.
    """
    layout = sketch.layout
    row = layout.run_end(key, last).span
    v = amount * growth(layout.ctrl[row] if last else layout.ctrl[row][::-1])
    sketch.ctrl[row] += v if last else v[::-1]
    other, at_last = layout.neighbours[key, last]
    sketch.follow(other, at_last, v[3])


def along_end(garment: Garment, key: EdgeKey, last: bool) -> Array:
    """Unit direction out of an edge at its end, (2,): the way it would go on."""
    row = garment.layout.run_end(key, last).span
    c = garment.layout.ctrl[row] if last else garment.layout.ctrl[row][::-1]
    out = c[3] - c[2]
    return np.asarray(out / float(np.hypot(*out)))


def between(low: Array, high: Array, y_low: float, y_high: float) -> Field:
    """A field that is ``low`` (2,) at and below one height, ``high`` (2,) at and above another.

    Straight between the heights, so that an edge moved by it bends nowhere.
    """
    step = high - low

    def move(p: Array) -> tuple[Array, Array]:
        raw = (p[:, 1] - y_low) / (y_high - y_low)
        w = np.clip(raw, 0.0, 1.0)
        inside = (raw >= -1e-9) & (raw <= 1 + 1e-9)
        jac = np.zeros((len(p), 2, 2))
        jac[:, :, 1] = step[None] * np.where(inside, 1.0 / (y_high - y_low), 0.0)[:, None]
        return low[None] + w[:, None] * step[None], jac

    return move


def rim(garment: Garment, key: EdgeKey, run: int | None = None) -> Array:
    """Points (k, 2) along an edge (or one run of it), sorted by height, its span ends included."""
    layout = garment.layout
    runs = layout.runs[key] if run is None else (layout.runs[key][run],)
    u = np.linspace(0.0, 1.0, 17)
    p = np.concatenate([points(layout.ctrl[a:b], u).reshape(-1, 2) for a, b in runs])
    return np.asarray(p[np.argsort(p[:, 1], kind="stable")])


def wedge(
    direction: Array,
    centre: float,
    side: Array,
    up: tuple[float, float],
    full_at_side: bool,
    smooth_up: bool = True,
) -> Field:
    """A field along ``direction`` (2,) full at the side and nothing at the centre, or contrary.

    It eases in and out across, at every height, between x = ``centre`` and the side's own edge:
    the side moves as it is, and lines that meet centre and side keep their angles there.
    ``side`` (k, 2) is the edge sorted by height; above and below it the edge is taken to go on
    upright. ``up`` as in :func:`response.ramp_field`.
    """
    heights, inner = np.unique(side[:, 1], return_index=True)
    xs = side[inner, 0]
    slopes = np.gradient(xs, heights)
    rise = ramp_field(np.array([0.0, 1.0]), up=up, smooth_up=smooth_up)

    def move(p: Array) -> tuple[Array, Array]:
        x, y = p.T
        edge_x = np.interp(y, heights, xs)
        within = (y >= heights[0]) & (y <= heights[-1])
        slope = np.where(within, np.interp(y, heights, slopes), 0.0)
        width = edge_x - centre
        raw = (x - centre) / width
        u = np.clip(raw, 0.0, 1.0)
        w, steep = u * u * (3 - 2 * u), 6 * u * (1 - u)
        gx = steep / width
        gy = -steep * u * slope / width
        if not full_at_side:
            w, gx, gy = 1.0 - w, -gx, -gy
        v, jac = rise(p)
        wy, dy = v[:, 1], jac[:, 1, 1]
        grad = np.stack([gx * wy, gy * wy + w * dy], axis=1)
        return (w * wy)[:, None] * direction, direction[None, :, None] * grad[:, None, :]

    return move


def widths_moved(
    sketch: Sketch,
    names: Sequence[str],
    mouths: Mapping[tuple[int, int], Array] | None = None,
) -> None:
    """Declare what the moved ends of a straight width do to the girths called ``names``.

    A girth is drawn to a station; a station that slides with its edge takes the girth along by
    its movement across, to first order. ``mouths`` are movements of dart mouths by (row, column).
    """
    layout = sketch.layout
    for target in sketch.garment.targets:
        if target.name not in names or target.name in sketch.effects:
            continue
        rate = 0.0
        for part in target.parts:
            if not isinstance(part, Width):
                continue
            ends = [layout.station_row(part.piece, n) for n in (part.start, part.end)]
            p, q = (layout.ctrl[r] for r in ends)
            u, v = (sketch.ctrl[r] + (mouths.get(r, np.zeros(2)) if mouths else 0.0) for r in ends)
            rate += float((v - u) @ (q - p)) / float(np.hypot(*(q - p)))
        if abs(rate) > 1e-12:
            sketch.effect(target.name, rate * target.factor)
