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
from typing import Any

import shapely

from pinwright.cutting.fields import checked, fields, suits
from pinwright.cutting.lay.placer import filled, laid
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, placed
from pinwright.cutting.lay.solve import Progress, solve
from pinwright.cutting.lay.verify import faults
from pinwright.cutting.matching import mismatches
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import told as shrinking_told
from pinwright.errors import LayError
from pinwright.workshop.job import Job
from pinwright.workshop.order import KeptLay, KeptPlace
from pinwright.workshop.stock import Stock, Wanted, stocks, wanted_of

SAME_AREA, SAME_ROUND = 0.5, 0.05
"""Outlines whose area (cm2) and length (cm) differ by less are the same piece: a tenth of a
millimetre all round a trouser leg is 2.5 cm2."""

LEAST_SECONDS = 2.0
"""No cloth is laid in less time, s."""

SECOND_SECONDS = 3.0
"""Time for laying anew what is cut after the fitting, s."""

MATCHES = 0.2
"""Lines of a pattern that meet within this (cm) are called matched (common practice)."""

Tell = Callable[[str, Progress], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True, eq=False)
class ClothLay:
    """What lies on one cloth of the order: first on the cloth itself, then on each remnant.

    ``lays`` show every piece as it is to be cut now. ``kept`` says that they were reopened from
    the order; ``first`` and ``second`` are the placements as they go into it. ``remarks`` are
    sentences for the cutter.
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


def lays_of(
    job: Job,
    seconds: float = 20.0,
    again: bool = False,
    tell: Tell | None = None,
    stop: Stop | None = None,
) -> tuple[ClothLay, ...]:
    """The lay of every cloth of an order: as kept in it, or made in about ``seconds`` s in all.

    ``again`` lays everything anew. ``tell`` hears of progress, ``stop`` ends the search with the
    best found so far.

    Raises:
        LayError: a cloth that the pieces cannot be laid on, in one sentence.
    """
    every = stocks(job)
    kept = {k.cloth: k for k in job.order.lays}
    todo = []
    found: dict[str, ClothLay] = {}
    for s in every:
        cut, now = wanted_of(job, s, "cut"), wanted_of(job, s, "now")
        old = None if again else kept.get(s.key)
        if old is not None:
            opened, why = reopened(s, old, cut, now.templates)
            if opened is not None:
                found[s.key] = opened
                continue
        else:
            why = ""
        todo.append((s, cut, now, why))
    total = sum(_weight(cut.templates) for _, cut, _, _ in todo)
    for s, cut, now, why in todo:
        share = max(seconds * _weight(cut.templates) / total, LEAST_SECONDS)
        found[s.key] = made(s, cut, now.templates, share, why, tell, stop)
    return tuple(found[s.key] for s in every)


def kept_lays(job: Job) -> tuple[ClothLay, ...]:
    """The lays kept in an order that still hold; nothing is laid.

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
    on_remnants: list[Lay] = []
    for r in remnants:
        lay = laid(tuple(t for t in left if suits(t, r)), r, min(1.0, seconds / 4), stop=stop)
        there = {p.key for p in lay.placements}
        on_remnants.append(replace(lay, templates=tuple(t for t in left if t.key in there)))
        left = [t for t in left if t.key not in there]
    checked(tuple(left), main)
    hear = None if tell is None else (lambda p: tell(stock.key, p))
    lay = solve(tuple(left), main, seconds, tell=hear, stop=stop)
    lays = (lay, *on_remnants)
    first = tuple(_kept(t, p, i) for i, x in enumerate(lays) for t, p in _pairs(x))
    shown, second, remarks = _second_cut(lays, now)
    said = (*([why] if why else []), *_said(stock, shown, cut), *remarks)
    return ClothLay(stock, shown, False, dt.date.today(), first, second, said)


def _said(stock: Stock, lays: tuple[Lay, ...], cut: Wanted) -> tuple[str, ...]:
    """What the cutter hears besides: shrinking, what cannot match, and what does not."""
    off = [(m, cm) for lay in lays[:1] for m, cm in mismatches(lay, cut.matches) if cm > MATCHES]
    return (
        *shrinking_told(stock.material, lays[0].length),
        *cut.told,
        *(f"{m.rule.replace('_', ' ')}: {m.a} and {m.b} are {cm:.1f} cm off." for m, cm in off),
    )


def _pairs(lay: Lay) -> list[tuple[Template, Placement]]:
    by_key = {t.key: t for t in lay.templates}
    return [(by_key[p.key], p) for p in lay.placements]


def shape_of(t: Template) -> tuple[float, float]:
    """Area (cm2) and length (cm) of an outline, by which a changed piece is noticed."""
    poly = shapely.Polygon(t.outline)
    return round(float(poly.area), 2), round(float(poly.length), 3)


def _kept(t: Template, p: Placement, field: int) -> KeptPlace:
    return KeptPlace(
        piece=t.key,
        x=round(p.x, 4),
        y=round(p.y, 4),
        rotation=p.rotation,
        field=field,
        shape=shape_of(t),
    )


def _same(t: Template, kept: KeptPlace) -> bool:
    area, around = shape_of(t)
    return abs(area - kept.shape[0]) <= SAME_AREA and abs(around - kept.shape[1]) <= SAME_ROUND


def reopened(
    stock: Stock, kept: KeptLay, cut: Wanted, now: tuple[Template, ...]
) -> tuple[ClothLay | None, str]:
    """A kept lay as it was, or None and why it must be laid anew."""
    if kept.cloth_is != said_of(stock.material):
        return None, f"{stock.key}: the cloth is not what it was when it was laid; laid anew."
    places = {p.piece: p for p in kept.placed}
    want = {t.key: t for t in cut.templates}
    if set(places) != set(want):
        return None, f"{stock.key}: there are other pieces than when it was laid; laid anew."
    changed = [t for t in cut.templates if not _same(t, places[t.key])]
    if changed:
        names = ", ".join(dict.fromkeys(t.title or t.piece for t in changed))
        return None, f"{stock.key}: {names} changed since it was laid; laid anew."
    every = fields(stock.material)
    lays = tuple(_lay(f, i, kept, want) for i, f in enumerate(every))
    wrong = [x for lay in lays for x in faults(lay)]
    if wrong:
        return None, f"{stock.key}: the kept lay no longer holds ({wrong[0]}); laid anew."
    shown, second, remarks = _second_cut(lays, now, kept.second)
    said = (*_said(stock, shown, cut), *remarks)
    return ClothLay(stock, shown, True, kept.on, kept.placed, second, said), ""


def _lay(field: Field, number: int, kept: KeptLay, want: Mapping[str, Template]) -> Lay:
    there = [p for p in kept.placed if p.field == number]
    placements = tuple(Placement(p.piece, p.x, p.y, p.rotation) for p in there)
    templates = tuple(want[p.piece] for p in there)
    longest = max(
        (float(placed(t, p)[:, 0].max()) for t, p in zip(templates, placements, strict=True)),
        default=0.0,
    )
    return Lay(field, templates, placements, kept.length if number == 0 else longest, way="kept")


def _second_cut(
    lays: tuple[Lay, ...], now: tuple[Template, ...], kept: Sequence[KeptPlace] = ()
) -> tuple[tuple[Lay, ...], tuple[KeptPlace, ...], tuple[str, ...]]:
    """The lays with the pieces of the second cut as they are now.

    They lie where they lay if they still do so rightly; else those that do not are laid anew in
    what the first cut leaves of the cloth used.
    """
    later = {t.key: t for t in now if t.stage == "after"}
    if not later or all(
        _same(t, _kept(lay.template(t.key), Placement(t.key, 0.0, 0.0), 0))
        for lay in lays
        for t in (later.get(x.key) for x in lay.templates)
        if t is not None
    ):
        return lays, (), ()
    old = {p.piece: p for p in kept}
    shown: list[Lay] = []
    second: list[KeptPlace] = []
    remarks: list[str] = []
    for i, lay in enumerate(lays):
        templates = tuple(later.get(t.key, t) for t in lay.templates)
        again = tuple(
            Placement(p.key, old[p.key].x, old[p.key].y, old[p.key].rotation) if p.key in old else p
            for p in lay.placements
        )
        candidate = replace(lay, templates=templates, placements=again)
        if not faults(candidate):
            shown.append(candidate)
            second += [old[p.key] for p in lay.placements if p.key in old]
            continue
        fixed = tuple(p for t, p in _pairs(lay) if t.stage == "fitting")
        stays = tuple(t for t in lay.templates if t.stage == "fitting")
        moved = tuple(t for t in templates if t.stage == "after")
        base = replace(lay, templates=stays, placements=fixed)
        relaid = filled(base, moved, SECOND_SECONDS)
        missing = {t.key for t in moved} - {p.key for p in relaid.placements}
        if missing:
            names = ", ".join(sorted(t.title or t.piece for t in moved if t.key in missing))
            raise LayError(f"After the fitting there is no cloth left for {names}.")
        new = {t.key: t for t in moved}
        second += [_kept(new[p.key], p, i) for p in relaid.placements if p.key in new]
        shown.append(relaid)
        longer = relaid.length - lay.length
        remarks.append(
            "The fitting changed what is cut after it more than the cloth held back gives; it was "
            "laid anew round the first cut"
            + (f", {longer:.0f} cm longer." if longer > 0.5 else ".")
        )
    return tuple(shown), tuple(second), tuple(remarks)


def said_of(m: Material) -> str:
    """What of a cloth decides its lay, in one line."""
    parts: list[Any] = [
        m.lay,
        f"{m.width:g} wide",
        f"selvedge {m.selvedge:g}",
        "as needed" if m.length is None else f"{m.length:g} long",
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


def kept_rows(lays: Sequence[ClothLay]) -> list[dict[str, Any]]:
    """The rows of :class:`KeptLay` for the order's text."""
    return [
        {
            "cloth": c.stock.key,
            "on": c.on,
            "length": round(c.lays[0].length, 2),
            "cloth_is": said_of(c.material),
            "placed": [_row(p) for p in c.first],
            **({"second": [_row(p) for p in c.second]} if c.second else {}),
        }
        for c in lays
    ]


def _row(p: KeptPlace) -> dict[str, Any]:
    row: dict[str, Any] = {"piece": p.piece, "x": p.x, "y": p.y}
    if p.rotation:
        row["rotation"] = p.rotation
    if p.field:
        row["field"] = p.field
    row["shape"] = list(p.shape)
    return row
