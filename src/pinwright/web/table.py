"""The pieces of a garment laid out on the table: which are shown, and where each lies."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
import shapely

from pinwright.cutting.cutline import cut_line
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Array, Piece
from pinwright.sheets.drawn import alike, cut_count
from pinwright.sheets.notches import NotchMark, notches
from pinwright.web.svg import Placing, View, bounds
from pinwright.workshop.job import GarmentJob

GAP = 5.0
"""Between pieces, cm."""

UNDER = 10.0
"""Room kept under a piece for its name, cm."""

LETTER = 2.0
"""Room kept for each letter of a piece's name and of how it is cut, cm, so that they do not run
into those of its neighbour."""

ASPECT = 1.45
"""Width to height the table is laid out for."""

SEEN = 0.05
"""Pieces that moved by less than this, cm, are shown as unchanged: half of what a tape shows."""

ALIKE = 0.005
"""Right and left whose notches differ by less than this, cm, are shown as one."""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A piece on the table."""

    view: View
    placing: Placing


@dataclass(frozen=True, slots=True)
class Table:
    """All pieces of a garment laid out; width and height in cm."""

    laid: tuple[Laid, ...]
    width: float
    height: float


def views(job: GarmentJob) -> tuple[View, ...]:
    """Every piece of the garment, right and left apart where they differ.

    The garment's own pieces come first, then those derived from them by rule.
    """
    after, before = job.after, job.before
    sides = dict(after.halves)
    right = sides.get("both", after.right)
    left = sides.get("both", after.left)
    derived = job.made_up
    was_derived = job.made_up_before
    made_r = derived.get("both", derived.get("right", ()))
    made_l = derived.get("both", derived.get("left", ()))
    now_r, now_l = _all(right.pieces, made_r), _all(left.pieces, made_l)
    old_r = _all(before.right.pieces, was_derived.get("both", was_derived.get("right", ())))
    old_l = _all(before.left.pieces, was_derived.get("both", was_derived.get("left", ())))
    ticks_r = notches(after.right, made_r)
    ticks_l = ticks_r if after.left is after.right else notches(after.left, made_l)
    found = []
    for name, piece in now_r.items():
        other = now_l[name]
        if alike(piece, other) and _same_marks(ticks_r.get(name, ()), ticks_l.get(name, ())):
            shown = [("both", piece, old_r.get(name), ticks_r)]
        else:
            shown = [
                ("right", piece, old_r.get(name), ticks_r),
                ("left", other, old_l.get(name), ticks_l),
            ]
            if as_drawn(piece) == "right":
                shown.reverse()
        for side, now, was, ticks in shown:
            cloth = job.cloth.get(("left" if side == "left" else "right", name))
            found.append(
                View(
                    piece=now,
                    side=side,
                    count=_count(now, side),
                    cut=cut_line(now, 0.03) if cloth is None else _ring(cloth),
                    is_cut=cloth is not None,
                    notches=ticks.get(name, ()),
                    before=None if was is None or not moved(was, now) else was,
                    mirror=side != "both" and side != as_drawn(now),
                )
            )
    return tuple(found)


def _same_marks(a: tuple[NotchMark, ...], b: tuple[NotchMark, ...]) -> bool:
    return len(a) == len(b) and all(
        float(np.abs(x.at - y.at).max()) < ALIKE for x, y in zip(a, b, strict=True)
    )


def _count(piece: Piece, side: str) -> str:
    if piece.cut == "fold" and side != "both":
        return "half, to the fold"
    return cut_count(piece, "both" if side == "both" else "left" if side == "left" else "right")


def _all(own: tuple[Piece, ...], derived: tuple[Piece, ...]) -> dict[str, Piece]:
    return {p.name: p for p in (*own, *derived)}


def _ring(cloth: shapely.Polygon) -> Array:
    return np.asarray(cloth.simplify(0.02).exterior.coords, dtype=np.float64)


def moved(was: Piece, now: Piece) -> bool:
    """Whether anything drawn on a piece moved against the rest of it by what a person would see.

    A piece that follows another may lie elsewhere in its coordinates and be the same piece.
    """
    a, b = _points(was), _points(now)
    return a.shape != b.shape or bool(np.ptp(b - a, axis=0).max() >= SEEN)


def _points(p: Piece) -> Array:
    rows = [run.ctrl.reshape(-1, 2) for e in p.edges for run in e.runs]
    rows += [x.path.ctrl.reshape(-1, 2) for x in p.lines]
    rows += [np.asarray(d.apex, dtype=float)[None] for d in p.darts]
    rows += [np.asarray(m.at, dtype=float)[None] for m in p.marks]
    return np.concatenate(rows)


@dataclass(slots=True)
class _Block:
    """Pieces that lie together: a pair side by side, or small ones below each other."""

    places: list[tuple[View, float, float]]
    width: float
    height: float


def _size(view: View) -> tuple[float, float]:
    boxes = [bounds(view.piece, view.cut)]
    if view.before is not None:
        boxes.append(bounds(view.before, view.cut))
    b = np.array(boxes)
    return float(b[:, 2].max() - b[:, 0].min()), float(b[:, 3].max() - b[:, 1].min())


def lay_out(shown: tuple[View, ...]) -> Table:
    """Lay the pieces in rows, large ones in their order, small ones stacked behind them."""
    blocks = _blocks(shown)
    widest = max(b.width for b in blocks)
    total = sum(b.width + GAP for b in blocks)
    best: tuple[float, list[list[_Block]]] | None = None
    for limit in np.linspace(widest, total, 60):
        rows = _rows(blocks, float(limit))
        w = max(sum(b.width + GAP for b in row) for row in rows)
        h = sum(max(b.height for b in row) + GAP for row in rows)
        used = sum(b.width * b.height for b in blocks) / (w * h)
        cost = abs(log(w / h / ASPECT)) - log(used)
        if best is None or cost < best[0]:
            best = (cost, rows)
    assert best is not None
    laid: list[Laid] = []
    y = 2 * GAP
    across = 0.0
    for row in best[1]:
        x = 2 * GAP
        height = max(b.height for b in row)
        for block in row:
            for view, dx, dy in block.places:
                laid.append(Laid(view, _placing(view, x + dx, y + dy)))
            x += block.width + GAP
        across = max(across, x + GAP)
        y += height + GAP
    return Table(tuple(laid), across, y)


def _blocks(shown: tuple[View, ...]) -> list[_Block]:
    tallest = max(_size(v)[1] for v in shown)
    pairs: dict[str, list[View]] = {}
    for v in shown:
        pairs.setdefault(v.piece.name, []).append(v)
    large: list[_Block] = []
    small: list[_Block] = []
    for pair in pairs.values():
        x, places, height = 0.0, [], 0.0
        for v in pair:
            w, h = _size(v)
            wide = max(w, LETTER * max(len(v.title.partition(", ")[0]) + 2, len(v.count)))
            places.append((v, x + (wide - w) / 2, 0.0))
            x += wide + GAP
            height = max(height, h + UNDER)
        block = _Block(places, x - GAP, height)
        (large if height > 0.5 * tallest + UNDER else small).append(block)
    limit = tallest + UNDER
    stack: _Block | None = None
    for b in small:
        if stack is None or stack.height + GAP / 2 + b.height > limit:
            stack = _Block([], 0.0, -GAP / 2)
            large.append(stack)
        top = stack.height + GAP / 2
        stack.places += [(v, dx, top + dy) for v, dx, dy in b.places]
        stack.width = max(stack.width, b.width)
        stack.height = top + b.height
    return large


def _rows(blocks: list[_Block], limit: float) -> list[list[_Block]]:
    rows: list[list[_Block]] = [[]]
    x = 0.0
    for b in blocks:
        if rows[-1] and x + b.width > limit:
            rows.append([])
            x = 0.0
        rows[-1].append(b)
        x += b.width + GAP
    return rows


def _placing(view: View, left: float, top: float) -> Placing:
    boxes = [bounds(view.piece, view.cut)]
    if view.before is not None:
        boxes.append(bounds(view.before, view.cut))
    b = np.array(boxes)
    x0, x1, y1 = float(b[:, 0].min()), float(b[:, 2].max()), float(b[:, 3].max())
    return Placing(left + (x1 if view.mirror else -x0), top + y1, view.mirror)
