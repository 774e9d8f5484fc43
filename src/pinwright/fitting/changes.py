"""What a correction changed on which piece, read off the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.fitting.ledger import Fitted, Half
from pinwright.pattern.piece import Array

SEEN = 0.05
"""Smallest movement (cm) worth naming to a cutter: half a millimetre."""

ALIKE = 0.01
"""Right and left that moved alike to this (cm) are told together."""


@dataclass(frozen=True, slots=True)
class Moved:
    """How far an edge of a piece, or something drawn inside it, moved.

    ``out`` is the greatest movement square to the edge (cm, + outward), ``along`` the greatest
    along it, ``longer`` the change of its sewn length. ``at`` is the station or end nearest to
    where it moved out so much, or, where it did not move out by :data:`SEEN`, along. For what lies
    inside a piece (``kind`` "line", "mark" or "dart point") ``out`` is the movement towards the
    side seam and ``along`` upwards, and ``at`` the end of an opening that moved while the other
    stayed; for a fact of the garment (``kind`` "fact") ``longer`` is its
    change.
    """

    piece: str
    title: str
    edge: str
    out: float
    along: float
    at: str
    longer: float
    kind: str = "edge"

    @property
    def most(self) -> float:
        """The greatest of the movements, without sign."""
        return max(abs(self.out), abs(self.along), abs(self.longer))

    def like(self, other: Moved) -> bool:
        """Whether another side's movement is the same, to what a cutter can tell."""
        return (
            (self.piece, self.edge, self.kind) == (other.piece, other.edge, other.kind)
            and abs(self.out - other.out) < ALIKE
            and abs(self.along - other.along) < ALIKE
            and abs(self.longer - other.longer) < ALIKE
        )


def moved(before: Half, after: Half) -> tuple[Moved, ...]:
    """Everything that differs between two states of the same draft, greatest movement first.

    Movements under :data:`SEEN` are left out.
    """
    found = [*_edges(before, after), *_inside(before, after), *_facts(before, after)]
    return tuple(sorted((m for m in found if m.most >= SEEN), key=lambda m: -m.most))


def _edges(before: Half, after: Half) -> list[Moved]:
    layout = before.garment.layout
    found = []
    for key in layout.edges:
        rows = layout.span_ids(key)
        if np.array_equal(before.ctrl[rows], after.ctrl[rows]):
            continue
        old, new = before.ctrl[rows], after.ctrl[rows]
        first = np.concatenate([old[:, 0], old[-1:, 3]])
        then = np.concatenate([new[:, 0], new[-1:, 3]])
        arm = np.concatenate([old[:, 1] - old[:, 0], old[-1:, 3] - old[-1:, 2]])
        t = arm / np.hypot(*arm.T)[:, None]
        step = then - first
        out = step[:, 0] * t[:, 1] - step[:, 1] * t[:, 0]
        along = (step * t).sum(axis=1)
        i, j = _greatest(out), _greatest(along)
        where = i if abs(out[i]) >= SEEN else j
        longer = float(after.lengths[rows].sum() - before.lengths[rows].sum())
        title = before.garment.piece(key[0]).title
        found.append(
            Moved(
                key[0],
                title,
                key[1],
                float(out[i]),
                float(along[j]),
                _nearest(before, key, where, len(rows)),
                longer,
            )
        )
    return found


def _greatest(step: Array) -> int:
    """Where a movement is greatest; the first place of those that moved alike."""
    size = np.abs(step)
    return int(np.argmax(size > size.max() - ALIKE))


def _nearest(half: Half, key: tuple[str, str], at: int, count: int) -> str:
    e = half.garment.layout.edges[key]
    marks = {e.start: 0, e.end: count}
    marks.update({s: half.garment.layout.boundary(key, s) for s in e.stations})
    return min(marks, key=lambda name: abs(marks[name] - at))


_KINDS = {"line": "line", "mark": "mark", "apex": "dart point"}


def _inside(before: Half, after: Half) -> list[Moved]:
    found = []
    for (piece, what, name), rows in before.garment.layout.aux_index.items():
        if what not in _KINDS:
            continue
        step = after.aux[rows] - before.aux[rows]
        if not step.any():
            continue
        i = int(np.argmax(np.abs(step).max(axis=1)))
        of = before.garment.piece(piece)
        is_opening = what == "line" and of.line(name).kind == "opening"
        at = _one_end(before.aux[rows], step) if is_opening else ""
        out, along = step[i].tolist()
        found.append(Moved(piece, of.title, name, out, along, at, 0.0, _KINDS[what]))
    return found


def _one_end(line: Array, step: Array) -> str:
    """The end of a line (n, 2) that moved while the other one stayed, "" where both moved."""
    size = np.hypot(*step[[0, -1]].T)
    return end_names(line[0], line[-1])[int(np.argmax(size))] if size.min() < SEEN else ""


def end_names(first: Array, last: Array) -> tuple[str, str]:
    """What the two ends of a line drawn on a piece are called, in its order."""
    along = last - first
    if abs(along[1]) >= abs(along[0]):
        return ("lower end", "upper end") if along[1] > 0 else ("upper end", "lower end")
    inner, outer = "end at the centre", "end at the side"
    return (inner, outer) if along[0] > 0 else (outer, inner)


def _facts(before: Half, after: Half) -> list[Moved]:
    return [
        Moved(
            "",
            before.garment.title,
            name,
            0.0,
            0.0,
            "",
            value - before.facts.get(name, 0.0),
            "fact",
        )
        for name, value in after.facts.items()
        if value != before.facts.get(name, 0.0)
    ]


def told(before: Fitted, after: Fitted) -> tuple[tuple[str, Moved], ...]:
    """(side, what moved) between two states; what is alike right and left is told once."""
    if after.right is after.left and before.right is before.left:
        return tuple(("both", m) for m in moved(before.right, after.right))
    right, left = moved(before.right, after.right), list(moved(before.left, after.left))
    out: list[tuple[str, Moved]] = []
    for m in right:
        twin = next((x for x in left if x.like(m)), None)
        if twin is not None:
            left.remove(twin)
        out.append(("right" if twin is None else "both", m))
    out += [("left", m) for m in left]
    return tuple(sorted(out, key=lambda item: -item[1].most))


def changed_pieces(before: Fitted, after: Fitted) -> dict[str, tuple[str, ...]]:
    """Names of the solved pieces that differ, by side ("both" while right and left agree)."""
    if before.right is before.left and after.right is after.left:
        return {"both": _differ(before.right, after.right)}
    return {
        "right": _differ(before.right, after.right),
        "left": _differ(before.left, after.left),
    }


def _differ(a: Half, b: Half) -> tuple[str, ...]:
    layout = a.garment.layout
    out = []
    for p in a.garment.pieces:
        s, t = layout.piece_spans[p.name], layout.piece_aux[p.name]
        if not (np.array_equal(a.ctrl[s], b.ctrl[s]) and np.array_equal(a.aux[t], b.aux[t])):
            out.append(p.name)
    return tuple(out)
