"""The crotch of trousers: centre and seat lines found by place, and their curves re-drawn.

A crotch curve leaves the straight centre (or seat) line at the hip and arrives at the fork square
to the inseam. When the fork is moved the curve is carried by the one affine map that holds the
hip, carries the fork where it must go and keeps both end directions: no kink is left at the hip,
the seams still run through at the fork, and the curve keeps its character.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.errors import CorrectionError
from pinwright.fitting.places import girth_effects, level
from pinwright.fitting.response import Sketch
from pinwright.fitting.waist_top import change_top
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.piece import Array

SEAMS = {"front": "front_crotch_seam", "back": "seat_seam"}
"""The place of each half's crotch line."""

DOWN = np.array([0.0, -1.0])


@dataclass(frozen=True, eq=False)
class Crotch:
    """The crotch line of a front or back as drafted.

    ``line``, ``inseam`` and ``waist`` are its edge and the two that meet it; ``top``, ``hip`` and
    ``fork`` points (2,); ``rise`` the unit direction of the straight line up to the waist,
    ``down`` that of the line at the hip and ``arrive`` at the fork; ``inwards`` (2,) is level,
    from side to centre; ``straight_y`` the height where the straight line begins, hip or above.
    """

    line: EdgeKey
    inseam: EdgeKey
    waist: EdgeKey
    top: Array
    hip: Array
    fork: Array
    rise: Array
    down: Array
    arrive: Array
    inwards: Array
    straight_y: float


def crotch(garment: Garment, part: str) -> Crotch:
    """The crotch line of the "front" or "back".

    Raises:
        CorrectionError: the garment has none.
    """
    place = SEAMS[part]
    if place not in garment.places:
        raise CorrectionError(f"The {garment.owns} no crotch; this belongs to trousers.")
    found = garment.places[place][0]
    layout = garment.layout
    line = (found.piece, found.edge)
    inseam, waist = layout.neighbours[line, True][0], layout.neighbours[line, False][0]
    ids = layout.span_ids(line)
    cut = layout.boundary(line, "hip")
    above, last = layout.ctrl[ids[cut - 1]], layout.ctrl[ids[-1]]
    top, hip, fork = layout.ctrl[ids[0], 0], above[3], last[3]
    straight_y = float(hip[1])
    for row in ids[:cut]:
        if not layout.straight[row]:
            straight_y = float(layout.ctrl[row, 0, 1])
            break
    return Crotch(
        line,
        inseam,
        waist,
        top,
        hip,
        fork,
        _unit(layout.ctrl[ids[0], 0] - layout.ctrl[ids[0], 1]),
        _unit(above[3] - above[2]),
        _unit(last[3] - last[2]),
        np.array([-1.0 if fork[0] < hip[0] else 1.0, 0.0]),
        straight_y,
    )


def _unit(v: Array) -> Array:
    return np.asarray(v / float(np.hypot(*v)))


def move_fork(sketch: Sketch, c: Crotch, by: Array) -> None:
    """Move a fork by ``by`` (2,): the curve below the hip follows, the inseam fades to the knee.

    The girth at the fork is declared; what lies above the hip does not move.
    """
    carry_curve(sketch, c, by)
    fade = ((0.0, 1.0), (level(sketch.garment, c.inseam, "knee"), 0.0))
    sketch.profile(c.inseam, fade, direction=by, follow=False)
    girth_effects(sketch, [(c.inseam, fade)], by=by)


def carry_curve(sketch: Sketch, c: Crotch, by: Array) -> None:
    """Let the crotch curve below the hip follow a fork that moves by ``by`` (2,)."""
    layout = sketch.layout
    basis = np.stack([c.down, c.arrive], axis=1)
    reach = np.linalg.solve(basis, c.fork - c.hip)
    share = np.linalg.solve(basis, by)
    grow = basis @ np.diag(share / reach) @ np.linalg.inv(basis)
    ids = layout.span_ids(c.line)[layout.boundary(c.line, "hip") :]
    sketch.ctrl[ids] += (layout.ctrl[ids] - c.hip) @ grow.T


def outwards(garment: Garment, c: Crotch) -> Array:
    """How a fork moves (2,) when its extension grows by one: out, and along so that the inseam
    keeps its length (walk the inseam and drop the fork; common practice)."""
    fade = ((0.0, 1.0), (level(garment, c.inseam, "knee"), 0.0))
    rates = []
    for v in (c.inwards, DOWN):
        trial = Sketch(garment)
        trial.profile(c.inseam, fade, direction=v, follow=False)
        rates.append(trial.stretch_rate(c.inseam))
    return np.asarray(c.inwards - rates[0] / rates[1] * DOWN)


def raise_waist(sketch: Sketch, c: Crotch) -> None:
    """Raise the waist end of a crotch line by one along that line, fading to nothing at the side.

    The straight line stays straight, the waist square at both ends and as long as it was.
    """
    size = sketch.edge_length(c.waist)
    at_end = sketch.layout.neighbours[c.line, False][1]
    knots = ((0.0, 0.0), (size, 1.0)) if at_end else ((0.0, 1.0), (size, 0.0))
    sketch.profile(c.waist, knots, direction=c.rise)
    _keep_waist(sketch, c)


def _keep_waist(sketch: Sketch, c: Crotch) -> None:
    """Give back to the waist what raising its centre took from its length.

    Darts take it, in proportion to their intakes; without darts the whole piece moves at the side
    seam from the hip up, as a cutter would re-draw it (common practice).
    """
    piece, rate = c.line[0], sketch.stretch_rate(c.waist)
    change_top(sketch, piece, -rate, 0.0)


def wedge(sketch: Sketch, c: Crotch) -> None:
    """Open a wedge of one along the crotch line over the hip line, nothing at the side.

    Everything above moves along the straight crotch line, in proportion to its distance from the
    side's waist end; the wedge is spread over 6 cm (or half of the straight line) above the curve
    so that no kink is left. The waist keeps its length.
    """
    foot = c.straight_y
    height = min(6.0, 0.5 * (float(c.top[1]) - foot))
    rows = sketch.layout.piece_spans[c.line[0]]
    base = sketch.layout.ctrl[rows]
    side = _side_waist(sketch, c)
    up = c.rise

    def weight(p: Array) -> tuple[Array, Array]:
        u = np.clip((p[:, 0] - side[0]) / (c.top[0] - side[0]), 0.0, 1.0)
        gx = np.where((u > 0) & (u < 1), 1.0 / (c.top[0] - side[0]), 0.0)
        v = np.clip((p[:, 1] - foot) / height, 0.0, 1.0)
        wy, gy = v * v * (3 - 2 * v), 6 * v * (1 - v) / height
        return u * wy, np.stack([gx * wy, u * gy], axis=1)

    for end, handle in ((0, 1), (3, 2)):
        w, grad = weight(base[:, end])
        arm = base[:, handle] - base[:, end]
        sketch.ctrl[rows, end] += w[:, None] * up
        sketch.ctrl[rows, handle] += (w + (grad * arm).sum(axis=1))[:, None] * up
    inside = sketch.layout.piece_aux[c.line[0]]
    w, _ = weight(sketch.layout.aux[inside])
    sketch.aux[inside] += w[:, None] * up
    _keep_waist(sketch, c)


def _side_waist(sketch: Sketch, c: Crotch) -> Array:
    """The other end of the waist edge, (2,)."""
    at_end = sketch.layout.neighbours[c.line, False][1]
    end = sketch.layout.run_end(c.waist, not at_end)
    return np.asarray(sketch.layout.ctrl[end.span, 3 if end.last else 0])


def move_line(sketch: Sketch, piece: str, name: str, by: Array) -> None:
    """Move a balance line of a piece, where it has one, by ``by`` (2,)."""
    where = (piece, "line", name)
    if where in sketch.layout.aux_index:
        sketch.aux[sketch.layout.aux_index[where]] += by
