"""What is drawn inside the pieces of a lay at 1:1: net line, darts, balance lines, notches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from pinwright.cutting.cuts import Cut, Part
from pinwright.cutting.marking import THREADED, MarkingHabit
from pinwright.sheets.drawn import alike
from pinwright.sheets.folds import fold_edge
from pinwright.sheets.ink import DASH_DOT, THIN, Drawing, Mark, Stroke, Words
from pinwright.sheets.notches import NotchMark
from pinwright.sheets.picture import inside, net_stroke, notch

Notches = Mapping[str, Mapping[str, tuple[NotchMark, ...]]]
"""By side, "right" or "left", the notches of each piece; see sheets.notches.notches."""


def inner_drawings(
    cuts: Iterable[Cut], marks: Notches, habit: MarkingHabit = THREADED
) -> dict[str, Drawing]:
    """By key of its template what is drawn inside each piece, in the template's coordinates.

    Words are left out, for they would be in the mirror on half of the pieces, and the grain,
    which the lay draws with its top. Where right and left lie on each other and are the same they
    are drawn once.
    """
    return {c.template.key: _inside(c, marks, habit) for c in cuts}


def _inside(cut: Cut, marks: Notches, habit: MarkingHabit) -> Drawing:
    found: list[Mark] = []
    done: list[Part] = []
    for part in cut.parts:
        if any(_same(part, other) for other in done):
            continue
        done.append(part)
        ticks = marks.get(part.hand, {}).get(part.piece.name, ())
        drawn = (
            net_stroke(part.piece),
            *_centre(part),
            *inside(part.piece, habit),
            *(m for n in ticks for m in notch(n, habit=habit)),
        )
        found += [
            replace(m, chains=tuple(part.frame(c) for c in m.chains))
            for m in drawn
            if not isinstance(m, Words) and m.role != "grain"
        ]
    return tuple(found)


def _centre(part: Part) -> list[Mark]:
    """The fold of a half that is cut in one with the other: a line to trace, no net line."""
    fold = fold_edge(part.piece)
    if fold is None:
        return []
    return [Stroke(tuple(run.ctrl for run in fold.runs), THIN, DASH_DOT, role="balance")]


def _same(a: Part, b: Part) -> bool:
    where = (a.frame.linear, b.frame.linear), (a.frame.shift, b.frame.shift)
    return alike(a.piece, b.piece) and all(np.allclose(x, y, atol=1e-6) for x, y in where)
