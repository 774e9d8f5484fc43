"""What a correction changed on which piece, read off the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.fitting.ledger import Fitted, Half

SEEN = 0.005
"""Smallest movement (cm) worth naming."""


@dataclass(frozen=True, slots=True)
class Moved:
    """How far an edge of a piece moved.

    ``out`` is the greatest movement square to the edge (cm, + outward), ``along`` the greatest
    along it, ``at`` the station or end nearest to the greatest movement, ``longer`` the change of
    its sewn length.
    """

    piece: str
    title: str
    edge: str
    out: float
    along: float
    at: str
    longer: float

    @property
    def most(self) -> float:
        """The greater of the two movements, without sign."""
        return max(abs(self.out), abs(self.along))


def moved(before: Half, after: Half) -> tuple[Moved, ...]:
    """Every edge that differs between two states of the same draft, greatest movement first."""
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
        i = int(np.argmax(np.abs(out)))
        j = int(np.argmax(np.abs(along)))
        where = i if abs(out[i]) >= abs(along[j]) else j
        longer = float(after.lengths[rows].sum() - before.lengths[rows].sum())
        m = Moved(
            key[0],
            before.garment.piece(key[0]).title,
            key[1],
            float(out[i]),
            float(along[j]),
            _nearest(before, key, where, len(rows)),
            longer,
        )
        if m.most >= SEEN or abs(longer) >= SEEN:
            found.append(m)
    return tuple(sorted(found, key=lambda m: -m.most))


def _nearest(half: Half, key: tuple[str, str], at: int, count: int) -> str:
    e = half.garment.layout.edges[key]
    marks = {e.start: 0, e.end: count}
    marks.update({s: half.garment.layout.boundary(key, s) for s in e.stations})
    return min(marks, key=lambda name: abs(marks[name] - at))


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
