"""The lays of an order: made once, kept in the order, reopened exactly.

A lay is a result to be kept: under a time limit the same pieces do not give the same lay twice.
It is made of the pieces as they are cut for the fitting, with cloth held back for those cut
after it. Once the fitting has changed those, they lie where they lay if the cloth held back is
enough, and else they are laid anew in what is left while the first cut stays where it is.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic
from typing import Any

import shapely

from pinwright.cutting.fields import checked, fields, suits
from pinwright.cutting.lay.measure import lost_across
from pinwright.cutting.lay.placer import laid
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, turned
from pinwright.cutting.lay.solve import Progress, TooLittleClothError, shortage, solve
from pinwright.cutting.lay.verify import faults
from pinwright.cutting.matching import mismatches
from pinwright.cutting.matching_words import off_words
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import told as shrinking_told
from pinwright.errors import LayError
from pinwright.workshop.job import Job
from pinwright.workshop.order import KeptLay, KeptPlace, edited, parse
from pinwright.workshop.second_cut import SecondCut, kept_place, pairs, same, second_cut
from pinwright.workshop.stock import Stock, Wanted, stocks, wanted_of

LEAST_SECONDS = 2.0
"""No cloth is laid in less time, s."""

MATCHES = 0.2
"""Lines of a pattern that meet within this (cm) are called matched (common practice)."""

Tell = Callable[[str, Progress], None]
Stop = Callable[[], bool]


class SomeLaidError(LayError):
    """A search failed for one cloth; the lays of the other cloths are in ``lays``."""

    def __init__(self, sentence: str, lays: tuple[ClothLay, ...]) -> None:
        super().__init__(sentence)
        self.lays = lays


@dataclass(frozen=True, slots=True, eq=False)
class ClothLay:
    """What lies on one cloth of the order: first on the cloth itself, then on each remnant.

    ``lays`` show every piece as it is to be cut now. ``kept`` says that they were reopened from
    the order; ``first`` and ``second`` are the placements as they go into it. ``remarks`` are
    sentences for the cutter. A lay may be longer than the cloth there is (``short``).
    """

    stock: Stock
    lays: tuple[Lay, ...]
    kept: bool
    on: dt.date
    first: tuple[KeptPlace, ...]
    second: tuple[KeptPlace, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def material(self) -> Material:
        """The cloth."""
        return self.stock.material

    @property
    def length(self) -> float:
        """Cloth used along, cm, without remnants."""
        return self.lays[0].length

    @property
    def short(self) -> str:
        """By how much the cloth there is does not suffice, in words; nothing when it does."""
        return shortage(self.lays[0])


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
            checked(cut.templates, fields(s.material)[0])
    total = sum(_weight(cut.templates) for _, cut, _, _ in todo)
    for s, cut, now, why in todo:
        share = max(seconds * _weight(cut.templates) / total, LEAST_SECONDS)
        try:
            found[s.key] = made(s, cut, now.templates, share, why, tell, stop)
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
    opened, why = reopened(s, old, cut, now.templates, stop)
    if opened is None and by_this:
        raise LayError(
            f"{why.removesuffix('; laid anew.')}, but it is cut by its kept lay; put it "
            "back as it was, or take that lay out of the order to lay it anew."
        )
    return opened, cut, now, why


def is_cut(job: Job, stock: Stock) -> bool:
    """Whether a cloth is cut: a garment of it has been to a fitting."""
    names = {name for name, _ in stock.wanted}
    return bool(job.order.fittings) and any(
        g.spec.cut for g in job.garments if g.style.name in names
    )


def kept_lays(job: Job) -> tuple[ClothLay, ...]:
    """The lays kept in an order that still hold; at the most a second cut is laid.

    Raises:
        LayError: see :func:`lays_of`.
    """
    kept = {k.cloth: k for k in job.order.lays}
    found = []
    for s in stocks(job) if kept else ():
        old = kept.get(s.key)
        if old is not None:
            opened, _ = reopened(
                s, old, wanted_of(job, s, "cut"), wanted_of(job, s, "now").templates
            )
            if opened is not None:
                found.append(opened)
    return tuple(found)


def _weight(templates: Sequence[Template]) -> float:
    return math.pow(len(templates), 1.5)


def made(
    stock: Stock,
    cut: Wanted,
    now: tuple[Template, ...],
    seconds: float,
    why: str = "",
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> ClothLay:
    """A new lay on a cloth and its remnants.

    Raises:
        LayError: see :func:`lays_of`.
    """
    every = fields(stock.material)
    main, remnants = every[0], every[1:]
    left = list(cut.templates)
    began = monotonic()
    on_remnants: list[Lay] = []
    for r in remnants:
        lay = laid(tuple(t for t in left if suits(t, r)), r, min(1.0, seconds / 4), stop=stop)
        there = {p.key for p in lay.placements}
        on_remnants.append(replace(lay, templates=tuple(t for t in left if t.key in there)))
        left = [t for t in left if t.key not in there]
    checked(tuple(left), main)
    hear = None if tell is None else (lambda p: tell(stock.key, p))
    rest = max(seconds - (monotonic() - began), seconds / 2.0)
    lay = Lay(main, (), (), 0.0, way="all on remnants")
    if left:
        try:
            lay = solve(tuple(left), main, rest, tell=hear, stop=stop)
        except TooLittleClothError as short:
            lay = short.lay
    lays = (lay, *on_remnants)
    first = tuple(kept_place(t, p, i) for i, x in enumerate(lays) for t, p in pairs(x))
    shown, second, remarks = _with_second(lays, now, (), stop)
    said = (*([why] if why else []), *_said(stock, shown, cut), *remarks)
    return ClothLay(stock, shown, False, dt.date.today(), first, second, said)


def _with_second(
    lays: tuple[Lay, ...], now: tuple[Template, ...], kept: Sequence[KeptPlace], stop: Stop | None
) -> SecondCut:
    """See :func:`second_cut`; the cloth is taken to go on as far as it is needed."""
    main = lays[0].field
    endless = (replace(lays[0], field=replace(main, length=None)), *lays[1:])
    shown, second, remarks = second_cut(endless, now, kept, stop)
    return (replace(shown[0], field=main), *shown[1:]), second, remarks


def _said(stock: Stock, lays: tuple[Lay, ...], cut: Wanted) -> tuple[str, ...]:
    """What the cutter hears besides: shrinking, what cannot match, and what does not."""
    short = shortage(lays[0])
    lost = lost_across(lays[0].field, lays[0].length)
    off = [(m, cm) for lay in lays[:1] for m, cm in mismatches(lay, cut.matches) if cm > MATCHES]
    return (
        *([short] if short else []),
        *(
            [f"{lost:.0f} cm of its length are lost to flaws right across it."]
            if lost > 0.5
            else []
        ),
        *shrinking_told(stock.material, lays[0].length),
        *cut.told,
        *(off_words(m, cm, cut.templates) for m, cm in off),
    )


def reopened(
    stock: Stock,
    kept: KeptLay,
    cut: Wanted,
    now: tuple[Template, ...],
    stop: Stop | None = None,
) -> tuple[ClothLay | None, str]:
    """A kept lay as it was, or None and why it must be laid anew.

    Raises:
        LayError: the first cut does not lie as it was kept.
    """
    if kept.cloth_is != said_of(stock.material):
        return None, f"{stock.key}: the cloth is not what it was when it was laid; laid anew."
    places = {p.piece: p for p in kept.placed}
    want = {t.key: t for t in cut.templates}
    if set(places) != set(want):
        return None, f"{stock.key}: there are other pieces than when it was laid; laid anew."
    changed = [t for t in cut.templates if not same(t, places[t.key].shape)]
    if changed:
        names = ", ".join(dict.fromkeys(t.title or t.piece for t in changed))
        return None, f"{stock.key}: {names} changed since it was laid; laid anew."
    every = fields(stock.material)
    lays = tuple(_lay(f, i, kept, want) for i, f in enumerate(every))
    # whether the cloth is long enough is told; it does not make another lay better
    endless = (replace(lays[0], field=replace(every[0], length=None)), *lays[1:])
    wrong = [
        f"{p.piece} lies on a remnant that is not there"
        for p in kept.placed
        if not 0 <= p.field < len(every)
    ] + [x.removesuffix(".") for lay in endless for x in faults(lay)]
    if wrong:
        return None, f"{stock.key}: the kept lay no longer holds ({wrong[0]}); laid anew."
    shown, second, remarks = _with_second(lays, now, kept.second, stop)
    said = (*_said(stock, shown, cut), *remarks)
    return ClothLay(stock, shown, True, kept.on, kept.placed, second, said), ""


def _lay(field: Field, number: int, kept: KeptLay, want: Mapping[str, Template]) -> Lay:
    there = [p for p in kept.placed if p.field == number]
    placements = tuple(Placement(p.piece, p.x, p.y, p.rotation) for p in there)
    templates = tuple(want[p.piece] for p in there)
    longest = max(
        (_end(t, p) for t, p in zip(templates, placements, strict=True)),
        default=0.0,
    )
    return Lay(field, templates, placements, kept.length if number == 0 else longest, way="kept")


def _end(t: Template, p: Placement) -> float:
    """How far along a template reaches as it lies, with what is held back round it, cm."""
    points = shapely.get_coordinates(t.taken)
    return float(turned(points, p.rotation)[:, 0].max()) + p.x


def said_of(m: Material) -> str:
    """What of a cloth decides its lay, in one line; its length does not."""
    parts: list[Any] = [
        m.lay,
        f"{m.width:g} wide",
        f"selvedge {m.selvedge:g}",
        m.direction,
        f"{m.right_side} side",
        f"gap {m.gap:g}",
        f"tilt {m.tilt:g}",
        f"hold back {m.hold_back:g}",
    ]
    r = m.repeat
    if r.along or r.across:
        parts.append(
            f"repeat {r.along:g} by {r.across:g} from {r.from_start:g}, {r.from_selvedge:g}"
            + (" turning" if r.turns else "")
        )
        parts.append("match " + ("all" if m.match is None else " ".join(m.match) or "none"))
    parts += [f"flaw {f.along} {f.across}" for f in m.flaws]
    parts += [f"remnant {x.outline}" for x in m.remnants]
    if m.shrink == "scaled":
        parts.append(f"scaled for {m.shrink_along:g} by {m.shrink_across:g} %")
    return ", ".join(parts)


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
