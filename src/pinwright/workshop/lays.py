"""The lays of an order: made once, kept in the order, reopened exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pinwright.cutting.fields import checked, fields
from pinwright.cutting.lay.placing import Template
from pinwright.errors import LayError
from pinwright.workshop.job import Job
from pinwright.workshop.laying import ANEW, ClothLay, Stop, Tell, made, reopened, said_of
from pinwright.workshop.order import KeptLay, KeptPlace, edited, parse
from pinwright.workshop.stock import Stock, Wanted, stocks, wanted_of

LEAST_SECONDS = 2.0
"""No cloth is laid in less time, s."""


class SomeLaidError(LayError):
    """A search failed for one cloth; the lays of the other cloths are in ``lays``."""

    def __init__(self, sentence: str, lays: tuple[ClothLay, ...]) -> None:
        super().__init__(sentence)
        self.lays = lays


def lays_of(
    job: Job,
    seconds: float = 20.0,
    again: bool = False,
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> tuple[ClothLay, ...]:
    """The lay of every cloth of an order: as kept in it, or made in about ``seconds`` s in all.

    ``again`` lays everything anew that is not cut yet. ``tell`` hears of progress, ``stop`` ends
    the search with the best found so far. Where there is too little cloth the best lay is given
    all the same; see :attr:`ClothLay.short`.

    Raises:
        LayError: a cloth that the pieces cannot be laid on, in one sentence.
        SomeLaidError: the search failed for a cloth while others were laid; theirs are in it.
    """
    every = stocks(job)
    kept = {k.cloth: k for k in job.order.lays}
    todo = []
    found: dict[str, ClothLay] = {}
    wrong: list[LayError] = []
    for s in every:
        opened, cut, now, why = _opened(job, s, kept.get(s.key), again, stop)
        if opened is not None:
            found[s.key] = opened
        else:
            todo.append((s, cut, now, why))
    for s, cut, _, _ in todo:
        if not s.material.remnants:  # what no lay can mend is said before any time is spent
            checked(cut.templates, fields(s.material)[0], s.unit)
    total = sum(_weight(cut.templates) for _, cut, _, _ in todo)
    for s, cut, now, why in todo:
        share = max(seconds * _weight(cut.templates) / total, LEAST_SECONDS)
        try:
            found[s.key] = made(s, cut, now, share, job.order.today, why, tell, stop)
        except LayError as error:
            wrong.append(error)
    lays = tuple(found[s.key] for s in every if s.key in found)
    if wrong:
        sentence = " ".join(dict.fromkeys(str(e) for e in wrong))
        raise SomeLaidError(sentence, lays) if lays else LayError(sentence)
    return lays


def _opened(
    job: Job, s: Stock, old: KeptLay | None, again: bool, stop: Stop | None
) -> tuple[ClothLay | None, Wanted, Wanted, str]:
    """The kept lay of a cloth where it holds, what is wanted from it, and why it is laid anew.

    Raises:
        LayError: it is cut by a lay that does not hold any more.
    """
    cut, now = wanted_of(job, s, "cut"), wanted_of(job, s, "now")
    if old is None:
        return None, cut, now, ""
    by_this = is_cut(job, s)
    if again:
        # what is cut stays where it was cut: only the second cut is laid anew
        if not by_this:
            return None, cut, now, ""
        old = old.model_copy(update={"second": ()})
    opened, why = reopened(s, old, cut, now, by_this, stop)
    if opened is None and by_this:
        raise LayError(
            f"{why.removesuffix(ANEW)}, but it is cut by its kept lay; put it "
            "back as it was, or take that lay out of the order to lay it anew."
        )
    if opened is not None and again:
        stays = "It is cut by its kept lay, which stays"
        if opened.second:
            stays += ": only what is cut after the fitting was laid anew"
        elif opened.kept:
            stays += ": nothing was laid anew"
        opened = replace(opened, remarks=(f"{stays}.", *opened.remarks))
    return opened, cut, now, why


def is_cut(job: Job, stock: Stock) -> bool:
    """Whether a cloth is cut: a garment of it has been to a fitting."""
    names = {name for name, _ in stock.wanted}
    return bool(job.order.fittings) and any(
        g.spec.cut for g in job.garments if g.style.name in names
    )


def kept_lays(job: Job) -> tuple[tuple[ClothLay, ...], tuple[str, ...]]:
    """The lays kept in an order that still hold, and of those that do not, why, in a sentence each.

    At the most a second cut is laid.

    Raises:
        LayError: see :func:`lays_of`.
    """
    kept = {k.cloth: k for k in job.order.lays}
    found: list[ClothLay] = []
    left_out: list[str] = []
    for s in stocks(job) if kept else ():
        old = kept.pop(s.key, None)
        if old is not None:
            cut, now = wanted_of(job, s, "cut"), wanted_of(job, s, "now")
            by_this = is_cut(job, s)
            opened, why = reopened(s, old, cut, now, by_this)
            if opened is not None:
                found.append(opened)
                continue
            helps = "lay it again with `pinwright lay ORDER`"
            if by_this:
                helps = "the cloth is cut by it, so put it back as it was"
            left_out.append(f"{why.removesuffix(ANEW)}; its kept lay is left out: {helps}.")
    left_out += [
        f"{k}: nothing is cut from a cloth so called; its kept lay is left out." for k in kept
    ]
    return tuple(found), tuple(left_out)


def _weight(templates: Sequence[Template]) -> float:
    return math.pow(len(templates), 1.5)


def as_kept(lay: ClothLay) -> KeptLay:
    """The lay of a cloth as the order keeps it."""
    return KeptLay(
        cloth=lay.stock.key,
        on=lay.on,
        length=round(lay.lays[0].length, 4),
        cloth_is=said_of(lay.material),
        placed=lay.first,
        second=lay.second,
    )


def kept_rows(lays: Sequence[ClothLay | KeptLay]) -> list[dict[str, Any]]:
    """The rows of :class:`KeptLay` for the order's text."""
    return [
        {
            "cloth": k.cloth,
            "on": k.on,
            "length": k.length,
            "cloth_is": k.cloth_is,
            "placed": [_row(p) for p in k.placed],
            **({"second": [_row(p) for p in k.second]} if k.second else {}),
        }
        for k in (as_kept(x) if isinstance(x, ClothLay) else x for x in lays)
    ]


def kept_text(text: str, path: Path, lays: Sequence[ClothLay], others: bool = False) -> str:
    """The order's text with these lays kept in it; as it is when it keeps them so already.

    ``others`` leaves in it what it keeps of other cloths, which else is taken out.

    Raises:
        OrderError: the text is not an order.
    """
    there = parse(text, path).lays
    new = {c.stock.key: as_kept(c) for c in lays}
    if others:
        new = {k.cloth: k for k in there} | new
    wanted = tuple(new.values())
    return text if wanted == there else edited(text, path, {"lays": kept_rows(wanted)})


def _row(p: KeptPlace) -> dict[str, Any]:
    row: dict[str, Any] = {"piece": p.piece, "x": p.x, "y": p.y}
    if p.rotation:
        row["rotation"] = p.rotation
    if p.field:
        row["field"] = p.field
    row["shape"] = list(p.shape)
    return row
