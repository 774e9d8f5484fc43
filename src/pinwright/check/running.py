"""Does every edge run through where it crosses a closed seam: pieces laid together and looked at.

The neighbouring piece is turned until the seam edges lie on each other, as on the table; then the
directions of the two edges that must run through are compared. Complex numbers are directions.
"""

from __future__ import annotations

from cmath import phase
from math import degrees, pi

from pinwright.check.result import Check, judged, named_on
from pinwright.fitting.ledger import Half
from pinwright.pattern.layout import EdgeKey
from pinwright.pattern.seam import Corner

RUN_THROUGH = 2.0
"""Degrees by which an edge may break where it crosses a seam (design 8)."""


def run_through_checks(half: Half) -> list[Check]:
    """Every junction and every dart's mouth, by the break of its edge in degrees."""
    found = []
    for j in half.garment.junctions:
        name = j.name.replace("_", " ")
        if j.b is None:
            off = degrees(_turn(_out(half, j.a, j.a.across), _out(half, j.a, j.a.edge)))
            found.append(_judge(name, j.a.piece, abs(off) - j.angle))
        else:
            found.append(_judge(name, j.a.piece, degrees(_break(half, j.a, j.b))))
    for piece in half.garment.pieces:
        for dart in piece.darts:
            found.append(
                _judge(
                    named_on(piece.title, dart.name),
                    piece.name,
                    degrees(_dart_break(half, piece.name, dart.name, (piece.name, dart.edge))),
                )
            )
    return found


def _judge(name: str, where: str, angle: float) -> Check:
    return judged(
        f"{name}: runs through",
        "run-through",
        where,
        angle,
        0.0,
        RUN_THROUGH,
        unit="deg",
        says="break of the edge where it crosses the closed seam",
    )


def _way(x: float, y: float) -> complex:
    z = complex(x, y)
    return z / abs(z)


def _out(half: Half, corner: Corner, edge: str) -> complex:
    """Direction of an edge leaving its corner with the other edge named in ``corner``."""
    other = corner.across if edge == corner.edge else corner.edge
    layout = half.garment.layout
    key: EdgeKey = (corner.piece, edge)
    at_end = layout.neighbours[key, True][0] == (corner.piece, other)
    runs = layout.runs[key]
    c = half.ctrl[runs[-1][1] - 1] if at_end else half.ctrl[runs[0][0]]
    step = c[2] - c[3] if at_end else c[1] - c[0]
    return _way(float(step[0]), float(step[1]))


def _turn(a: complex, b: complex) -> float:
    """Angle from a to b in radians, between -pi and pi."""
    return phase(b / a)


def _break(half: Half, a: Corner, b: Corner) -> float:
    """Break in radians between two edges when their seam edges are laid on each other.

    Each piece lies on its own side of the seam: the second is turned over in thought by taking
    its edge on the far side. The run-through is straight when the two interior angles make two
    right ones.
    """
    first = abs(_turn(_out(half, a, a.across), _out(half, a, a.edge)))
    second = abs(_turn(_out(half, b, b.across), _out(half, b, b.edge)))
    # a corner wider than two right angles shows as its complement; it lies on the other side
    first = first if _convex(half, a) else 2 * pi - first
    second = second if _convex(half, b) else 2 * pi - second
    return first + second - pi


def _convex(half: Half, corner: Corner) -> bool:
    """Whether the cloth at a corner fills less than two right angles."""
    layout = half.garment.layout
    key: EdgeKey = (corner.piece, corner.edge)
    ends_here = layout.neighbours[key, True][0] == (corner.piece, corner.across)
    mine, other = _out(half, corner, corner.edge), _out(half, corner, corner.across)
    # anticlockwise outline: from the outgoing edge to the one that came in is the cloth
    turn = _turn(other, mine) if ends_here else _turn(mine, other)
    return turn >= 0


def _dart_break(half: Half, piece: str, dart: str, key: EdgeKey) -> float:
    """Break in radians of an edge across a dart, its second leg laid on its first."""
    layout = half.garment.layout
    i = layout.edges[key].darts.index(dart)
    runs = layout.runs[key]
    before, after = half.ctrl[runs[i][1] - 1], half.ctrl[runs[i + 1][0]]
    apex = half.aux[layout.aux_index[piece, "apex", dart]][0]
    leg = _way(*(before[3] - apex).tolist())
    folded = _way(*(after[0] - apex).tolist())
    arriving = _way(*(before[3] - before[2]).tolist())
    leaving = _way(*(after[1] - after[0]).tolist()) * leg / folded
    return _turn(arriving, leaving)
