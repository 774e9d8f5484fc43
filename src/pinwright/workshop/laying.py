"""The lay of one cloth: made, or reopened as it was kept.

A lay is a result to be kept: under a time limit the same pieces do not give the same lay twice.
It is made of the pieces as they are cut for the fitting, with cloth held back for those cut
after it. Once the fitting has changed those, they lie where they lay if the cloth held back is
enough, and else they are laid anew in what is left while the first cut stays where it is.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from time import monotonic
from typing import Any

from pinwright.cutting.fields import checked, fields, suits
from pinwright.cutting.in_repeat import Match
from pinwright.cutting.lay.measure import lost_across
from pinwright.cutting.lay.placer import filled, laid
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, covered
from pinwright.cutting.lay.solve import Progress, TooLittleClothError, shortage, solve
from pinwright.cutting.lay.verify import faults
from pinwright.cutting.matching import mismatches
from pinwright.cutting.matching_words import off_words
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import told as shrinking_told
from pinwright.measures.amounts import size
from pinwright.workshop.order import KeptLay, KeptPlace
from pinwright.workshop.second_cut import SecondCut, kept_place, pairs, same, second_cut
from pinwright.workshop.second_match import matched_to
from pinwright.workshop.stock import Stock, Wanted

COME_SECONDS = 5.0
"""Time for laying the pieces of another garment on a cloth that is cut already, s."""

MATCHES = 0.2
"""Lines of a pattern that meet within this (cm) are called matched (common practice)."""

ANEW = "; laid anew."
"""How the sentence ends that says why a kept lay does not hold."""

Tell = Callable[[str, Progress], None]
Stop = Callable[[], bool]


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
        return shortage(self.lays[0], self.stock.unit)


def made(
    stock: Stock,
    cut: Wanted,
    now: Wanted,
    seconds: float,
    on: dt.date,
    why: str = "",
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> ClothLay:
    """A new lay on a cloth and its remnants, made on a day.

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
    checked(tuple(left), main, stock.unit)
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
    shown, second, remarks = _with_second(stock, lays, now, (), stop)
    said = (*([why] if why else []), *_said(stock, shown, cut, now), *remarks)
    return ClothLay(stock, shown, False, on, first, second, said)


def _with_second(
    stock: Stock,
    lays: tuple[Lay, ...],
    now: Wanted,
    kept: Sequence[KeptPlace],
    stop: Stop | None,
) -> SecondCut:
    """See :func:`second_cut`; the cloth is taken to go on as far as it is needed."""
    matched = matched_to(lays[0], now)
    shown, second, remarks = second_cut(_endless(lays), matched, kept, stop, stock.unit)
    return (replace(shown[0], field=lays[0].field), *shown[1:]), second, remarks


def _endless(lays: tuple[Lay, ...]) -> tuple[Lay, ...]:
    """The lays as if the cloth went on: whether it suffices is told, and makes no lay better."""
    return (replace(lays[0], field=replace(lays[0].field, length=None)), *lays[1:])


def _which(m: Match) -> tuple[str, ...]:
    return m.rule, m.axis, m.a, m.point_a, m.b, m.point_b


def _said(stock: Stock, lays: tuple[Lay, ...], cut: Wanted, now: Wanted) -> tuple[str, ...]:
    """What the cutter hears besides: shrinking, what cannot match, and what does not."""
    unit = stock.unit
    short = shortage(lays[0], unit)
    lost = lost_across(lays[0].field, lays[0].length)
    matched = {_which(m) for m, cm in mismatches(lays[0], cut.matches) if cm <= MATCHES}
    off = [(m, cm) for m, cm in mismatches(lays[0], now.matches) if cm > MATCHES]
    return (
        *([short] if short else []),
        *(
            [f"{size(lost, unit)} of its length are lost to flaws right across it."]
            if lost > 0.5
            else []
        ),
        *shrinking_told(stock.material, lays[0].length, unit),
        *cut.told,
        *(off_words(m, cm, now.templates, _which(m) in matched, unit) for m, cm in off),
    )


def reopened(
    stock: Stock,
    kept: KeptLay,
    cut: Wanted,
    now: Wanted,
    by_this: bool,
    stop: Stop | None = None,
) -> tuple[ClothLay | None, str]:
    """A kept lay as it was, or None and why it must be laid anew.

    Where the cloth is cut ``by_this`` lay, pieces that have come to it since, of another garment,
    are laid in what it leaves.

    Raises:
        LayError: the first cut does not lie as it was kept.
    """
    if kept.cloth_is != said_of(stock.material):
        return None, f"{stock.key}: the cloth is not what it was when it was laid{ANEW}"
    places = {p.piece: p for p in kept.placed}
    want = {t.key: t for t in cut.templates}
    come = tuple(t for t in cut.templates if t.key not in places)
    if not set(places) <= set(want) or (come and not by_this):
        return None, f"{stock.key}: there are other pieces than when it was laid{ANEW}"
    changed = [want[k] for k, p in places.items() if not same(want[k], p.shape)]
    if changed:
        names = ", ".join(dict.fromkeys(t.title or t.piece for t in changed))
        return None, f"{stock.key}: {names} changed since it was laid{ANEW}"
    every = fields(stock.material)
    lays = tuple(_lay(f, i, kept, want) for i, f in enumerate(every))
    endless = _endless(lays)
    wrong = [
        f"{p.piece} lies on a remnant that is not there"
        for p in kept.placed
        if not 0 <= p.field < len(every)
    ] + [x.removesuffix(".") for lay in endless for x in faults(lay)]
    if wrong:
        return None, f"{stock.key}: the kept lay no longer holds ({wrong[0]}){ANEW}"
    first, more = kept.placed, ""
    if come:
        checked(come, endless[0].field, stock.unit)
        laid_in = filled(endless[0], come, COME_SECONDS, stop=stop)
        lays = (replace(laid_in, field=every[0]), *lays[1:])
        new = {t.key for t in come}
        first += tuple(kept_place(t, p, 0) for t, p in pairs(laid_in) if t.key in new)
        names = ", ".join(dict.fromkeys(t.garment for t in come))
        more = f"The cloth was cut before; what the {names} needs is laid in what was left of it."
    shown, second, remarks = _with_second(stock, lays, now, kept.second, stop)
    said = (*([more] if more else []), *_said(stock, shown, cut, now), *remarks)
    return ClothLay(stock, shown, not come, kept.on, first, second, said), ""


def _lay(field: Field, number: int, kept: KeptLay, want: Mapping[str, Template]) -> Lay:
    there = [p for p in kept.placed if p.field == number]
    placements = tuple(Placement(p.piece, p.x, p.y, p.rotation) for p in there)
    templates = tuple(want[p.piece] for p in there)
    # with what is held back round them
    ends = (float(covered(want[p.key], p).bounds[2]) for p in placements)
    longest = max(ends, default=0.0)
    return Lay(field, templates, placements, kept.length if number == 0 else longest, way="kept")


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
