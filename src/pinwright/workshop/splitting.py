"""A let-out split over the edges of a seam or a girth, as far as the cloth of each reaches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pinwright.cutting.girths import reached_by
from pinwright.cutting.remedies import Remedy
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction, Form, Sides, one_leg
from pinwright.measures.amounts import said
from pinwright.pattern.garment import Garment
from pinwright.workshop.cloth import MISSING, Short
from pinwright.workshop.wanted import ROUNDS, Offer, Wanted, failed, left_missing

GIRTH_KEPT = 0.1
"""A shared girth may differ by this much, cm, and by a twentieth of what is shared."""


def split(offer: Offer, short: Short, wanted: Wanted) -> Offer:
    """The correction split: the short edge goes as far as its cloth reaches, others take the rest.

    Where an edge concerned cannot be moved alone by a correction, it is left to the cutter.
    """
    side, _, x = short
    r = offer.remedy
    if any(t.other for t in r.takes) and side == "both":
        return failed(offer, "both sides lack it")
    amount = x.missing
    more: tuple[Correction, ...] = ()
    left, other = amount, ""
    tried = wanted
    for _ in range(ROUNDS):
        parts = _parts(r, short, amount, wanted)
        if parts is None:
            return Offer(replace(r, by_hand=True))
        more = parts
        tried = wanted.with_more(more)
        if tried.fitted.refused:
            return failed(offer, tried.fitted.refused[0].reason)
        left, other = left_missing(short, tried, wanted)
        if left <= MISSING:
            break
        amount += left
    if left > MISSING:
        return failed(offer, f"{said(left, wanted.unit)} would still be missing")
    if other:
        return failed(offer, f"then cloth is missing, {other}")
    girth = _girth_lost(short, r, tried, wanted)
    if girth:
        return failed(offer, girth)
    return Offer(r, more)


def _girth_lost(short: Short, r: Remedy, tried: Wanted, wanted: Wanted) -> str:
    """Which girth a shared let-out does not keep as the note asked, in words; "" when it does."""
    side, _, x = short
    if r.kind != "share":
        return ""
    slack = GIRTH_KEPT + 0.05 * x.missing
    half, was = tried.fitted.half(_side(side)), wanted.fitted.half(_side(side))
    own = {p.name: p for p in was.pieces}
    for target in wanted.garment.targets:
        lost = half.effects.get(target.name, 0.0) - was.effects.get(target.name, 0.0)
        if abs(lost) > slack * target.factor and reached_by(target, own):
            name = target.name.replace("_", " ")
            return f"the {name} would come out {said(abs(lost), wanted.unit)} off"
    return ""


def _side(side: str) -> Sides:
    return "left" if side == "left" else "right" if side == "right" else "both"


def _parts(r: Remedy, short: Short, amount: float, wanted: Wanted) -> tuple[Correction, ...] | None:
    """Letting-out corrections of the single edges; None when an edge has none of its own."""
    side, piece, x = short
    own = _home(wanted.garment, piece, x.edge)
    homes = [_home(wanted.garment, t.piece, t.edge) for t in r.takes]
    if own is None or any(h is None for h in homes):
        return None
    cause = next(
        (
            c
            for c in wanted.made
            if c.kind == LET_OUT and c.place == own[0] and c.side in ("both", side)
        ),
        None,
    )
    shape = {} if cause is None else {k: v for k, v in cause.options.items() if k in STRETCH}
    said_in = wanted.made[0].said if wanted.made else ""
    form: Form = wanted.made[0].form if wanted.made else "cut"
    total = sum(t.amount for t in r.takes) if r.kind == "share" else r.takes[0].amount
    found = [_alone(own, _side(side), -amount, shape, form, said_in)]
    for t, h in zip(r.takes, homes, strict=True):
        assert h is not None
        on = _side({"right": "left", "left": "right"}[side]) if t.other else _side(side)
        over = shape or _stretch(wanted.garment, (piece, x.edge), (t.piece, t.edge))
        found.append(_alone(h, on, amount * t.amount / total, over, form, said_in))
    return tuple(found)


LET_OUT = "let_out"
STRETCH = ("from", "to", "shape")
"""Options of a let-out seam that say over which stretch."""
SAME_LEVEL = 4.0
"""Edges whose ends lie within this of one another in height, cm, run between the same levels."""


def _stretch(garment: Garment, short: tuple[str, str], other: tuple[str, str]) -> dict[str, object]:
    """The levels between which a longer edge answers a whole shorter one; {} for all of it.

    An inseam let out is answered by the side seam from the hem to the crotch, not by the hip.
    """
    lines = []
    for name, edge in (short, other):
        e = garment.piece(name).edge(edge)
        lines.append((e, sorted((float(e.first[1]), float(e.last[1])))))
    (_, (low, high)), (e, (foot, top)) = lines
    if foot > low - SAME_LEVEL and top < high + SAME_LEVEL:
        return {}
    levels = next(o.allowed for o in entry(LET_OUT).options if o.name == "from")
    heights = {}
    for word in levels:
        for point in (e.start, *e.stations, e.end):
            if point == word or (point in (e.start, e.end) and point.startswith(word + "_")):
                heights[word] = float(garment.piece(other[0]).point(f"{e.name}:{point}")[1])
    if len(heights) < 2:
        return {}
    start, stop = (min(heights, key=lambda w: abs(heights[w] - y)) for y in (low, high))
    return {} if start == stop else {"from": start, "to": stop}


def _alone(
    home: tuple[str, str],
    side: Sides,
    amount: float,
    shape: Mapping[str, object],
    form: Form,
    said_in: str,
) -> Correction:
    """One edge let out: a makeshift of the cloth, so the next garment does not inherit it.

    On one leg alone the fork stays, where both legs are one seam.
    """
    options = {**shape, "part": home[1]}
    if side != "both" and one_leg(entry(LET_OUT), home[0], options):
        options["fork"] = "stays"
    return Correction(
        LET_OUT,
        home[0],
        side,
        {"amount": amount},
        options,
        form,
        "edge",
        said_in,
        "cloth",
    )


def _home(garment: Garment, piece: str, edge: str) -> tuple[str, str] | None:
    """(place, part) by which one edge alone can be let out, None when there is none."""
    for place in entry(LET_OUT).places:
        here = garment.places.get(place, ())
        for e in here:
            same = [o for o in here if o.part == e.part]
            if (e.piece, e.edge) == (piece, edge) and len(same) == 1:
                return place, e.part
    return None
