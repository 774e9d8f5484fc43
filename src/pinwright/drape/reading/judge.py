"""What a cutter would act on at a fitting: the signs of a hung garment, where, how much, and why.

A sign is told when it is over its tolerance; the tolerances are common practice and stand by name
in :mod:`~pinwright.drape.reading.faults`, :mod:`~pinwright.drape.reading.balance` and
:mod:`~pinwright.drape.reading.drag`. What says the same of one place is one sign. Causes are
entries of the catalogue of corrections, each with the sign it declares, so that the same words mean
the same at a fitting and here. They are what the trade reads first from such a sign, no finding
that the correction helps.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from pinwright.drape.reading.balance import balance
from pinwright.drape.reading.drag import drag_lines
from pinwright.drape.reading.faults import PLANNED, too_little_or_much
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.words import both

Has = Callable[[str, tuple[str, ...], int], bool]
"""(kind, its places, 1 or -1) -> whether the garment can have more or less of that correction."""


def judge(
    reading: Reading, planned: Mapping[str, float] = PLANNED, has: Has | None = None
) -> tuple[Sign, ...]:
    """The signs of a garment read, faults first and by how far they are over their tolerance.

    planned: edge -> the gap planned there, cm. has: which corrections the garment can have; only
    those are causes. Sentences are in the unit of the reading. Balance and drag lines are read when
    she stands; in other poses only what is tight or stands off.
    """
    legs = bool(reading.levels.creases) or any(h.side for h in reading.levels.hems[:1])
    found = tuple(too_little_or_much(reading, planned, legs))
    if reading.pose == "standing":
        found += (*balance(reading, legs), *drag_lines(reading, legs))
    else:
        found = tuple(s for s in found if s.kind != "dart")
    signs = _one_each(found)
    if has is not None:
        signs = [
            replace(s, causes=tuple(c for c in s.causes if has(c.kind, s.places(c), c.way)))
            for s in signs
        ]
    return tuple(sorted(signs, key=lambda s: (not s.wrong, -s.over)))


def _one_each(signs: Iterable[Sign]) -> Iterable[Sign]:
    """An edge that gapes and the folds that hang from it there are one sign."""
    found: dict[object, Sign] = {}
    for s in signs:
        key = ("edge", s.place) if s.kind in ("gapes", "fold") else len(found)
        had = found.get(key)
        found[key] = s if had is None else _with(had, s)
    return found.values()


def _with(one: Sign, other: Sign) -> Sign:
    """Two signs of one place as one: how it gapes is said first, the worse amount counts."""
    first, second = (one, other) if one.kind == "gapes" else (other, one)
    return replace(
        one if one.over >= other.over else other,
        side=both((*first.side.split(" and "), *second.side.split(" and "))),
        seen=f"{first.seen}; {second.seen}",
        causes=tuple(dict.fromkeys((*first.causes, *second.causes))),
        folds=tuple(sorted({*first.folds, *second.folds})),
    )
