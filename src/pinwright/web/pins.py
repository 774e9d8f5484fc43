"""Pins on the drawing: each note's number where it was pinned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinwright.fitting.correction import Correction
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array, Edge, Piece
from pinwright.sheets.moved import Move
from pinwright.web.svg import Placing, number
from pinwright.web.table import Laid

APART = 3.0
"""Two pins closer than this, cm, are set apart along their edge."""


@dataclass(frozen=True, slots=True, eq=False)
class Pin:
    """A pin: the note's number, where it goes in (2,) and the way it points out (2,), drawn cm."""

    note: int
    side: str
    at: Array
    out: Array


def pins(
    notes: Sequence[tuple[int, Sequence[Correction], Sequence[Move]]],
    garment: Garment,
    laid: Sequence[Laid],
) -> tuple[Pin, ...]:
    """One pin for each note and side, on the edge it speaks of where that can be told."""
    placed: list[Pin] = []
    for index, corrections, moved in notes:
        done: set[str] = set()
        for c in corrections:
            for item in laid:
                view = item.view
                if view.side in done or (c.side != "both" and view.side not in ("both", c.side)):
                    continue
                spot = _spot(c, moved, garment, view.piece)
                if spot is None:
                    continue
                done.add(view.side)
                at, out = (
                    item.placing.apply(spot[0]),
                    _direction(spot[1], item.placing),
                )
                placed.append(Pin(index, view.side, _clear(at, out, placed), out))
    return tuple(placed)


def _direction(out: Array, placing: Placing) -> Array:
    flip = -1.0 if placing.mirror else 1.0
    return np.array([flip * out[0], -out[1]])


def _spot(
    c: Correction, moved: Sequence[Move], garment: Garment, piece: Piece
) -> tuple[Array, Array] | None:
    """A place on this piece for the correction's pin; None when it belongs on another piece."""
    home = _home(c, moved, garment)
    if home is None or home[0] != piece.name:
        return None
    what = home[1]
    if what.startswith("dart:"):
        dart = piece.dart(what[5:])
        a, b = piece.mouth(dart.name)
        mid = np.asarray((a + b) / 2)
        way = mid - dart.apex
        return np.asarray(dart.apex + 0.5 * way), way / float(np.hypot(*way))
    if what.startswith("line:"):
        path = piece.line(what[5:]).path
        t = path.tangent(path.length / 2)
        return path.at(path.length / 2), np.array([t[1], -t[0]])
    e = piece.edge(what)
    level = str(c.options.get("from", ""))
    return on_edge(e, level)


def _home(c: Correction, moved: Sequence[Move], garment: Garment) -> tuple[str, str] | None:
    for p in garment.pieces:
        for d in p.darts:
            if d.place == c.place:
                return p.name, f"dart:{d.name}"
        for line in p.lines:
            if line.kind == "opening" and line.name.replace(" ", "_").startswith(
                c.place.replace("side_pocket", "pocket")
            ):
                return p.name, f"line:{line.name}"
    keys = [(m.key.partition("|")[0], m.key.partition("|")[2]) for m in moved]
    own = [(e.piece, e.edge) for e in garment.places.get(c.place, ())]
    near = [(e.piece, e.edge) for e in garment.places.get(f"{c.place}_seam", ())]
    tries = ([k for k in keys if k in own], own, [k for k in keys if k in near], keys, near)
    return next((found[0] for found in tries if found), None)


def on_edge(e: Edge, level: str = "") -> tuple[Array, Array]:
    """The middle of an edge, or a named level on it, with its outward normal."""
    run = max(e.runs, key=lambda r: r.length)
    s = run.length / 2
    if level in e.stations:
        index, count = e.stations[level]
        run = e.runs[index]
        s = run.cumulative[count]
    elif e.end.startswith(level) and level:
        run = e.runs[-1]
        s = 0.97 * run.length
    elif e.start.startswith(level) and level:
        run, s = e.runs[0], 0.03 * e.runs[0].length
    t = run.tangent(s)
    return run.at(s), np.array([t[1], -t[0]])


def _clear(at: Array, out: Array, placed: Sequence[Pin]) -> Array:
    along = np.array([-out[1], out[0]])
    moved = at
    for k in range(1, 9):
        if all(float(np.hypot(*(moved - p.at))) >= APART for p in placed):
            return moved
        moved = at + along * APART * (k + 1) // 2 * (1 if k % 2 else -1)
    return moved


def pin_mark(pin: Pin, kind: str = "") -> str:
    """A glass-headed pin with its note's number, the same size at any zoom."""
    x, y = number(float(pin.at[0]), 2), number(float(pin.at[1]), 2)
    hx, hy = 26.0 * float(pin.out[0]), 26.0 * float(pin.out[1])
    tx, ty = -9.0 * float(pin.out[0]), -9.0 * float(pin.out[1])
    shaft = f"M{number(tx, 1)} {number(ty, 1)}L{number(hx, 1)} {number(hy, 1)}"
    return (
        f'<g class="{f"pin {kind}".strip()}" data-note="{pin.note}" data-side="{pin.side}" '
        f'transform="translate({x} {y})"><g class="fixed-in">'
        f'<path class="shaft" d="{shaft}"/>'
        f'<circle cx="{number(hx, 1)}" cy="{number(hy, 1)}" r="9.5"/>'
        f'<text x="{number(hx, 1)}" y="{number(hy + 3.8, 1)}">{pin.note}</text></g></g>'
    )
