"""The options for missing cloth as an order can take them: each tried on pieces and cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely

from pinwright.cutting.remedies import options, passed_up
from pinwright.cutting.remedy import OTHER
from pinwright.errors import CorrectionError
from pinwright.measures.amounts import said
from pinwright.pattern.piece import Piece
from pinwright.workshop.cloth import MISSING, Short, sides
from pinwright.workshop.splitting import split
from pinwright.workshop.wanted import ROUNDS, Offer, Wanted, failed, left_missing


def offers(short: Short, wanted: Wanted) -> tuple[Offer, ...]:
    """What a cutter would do about one shortage, what suffices first.

    Options that move net lines or cloth are tried: they count as possible only when no cloth is
    missing there any more, none more anywhere else, and the girth is what the note asked for.
    """
    side, piece, x = short
    pieces, cloths = _seen_from(side, wanted)
    garment = wanted.garment
    found = []
    both = side == "both"
    for r in options(
        x, pieces, cloths, garment.seams, garment.targets, unit=wanted.unit, both=both
    ):
        offer = _tried(Offer(replace(r, side=side, piece=piece, edge=x.edge)), short, wanted)
        title = garment.piece(piece).title
        who = title if both else f"{side.title()} {title.lower()}"
        at = f"{who[:1].upper()}{who[1:]}, {x.edge.replace('_', ' ')}: "
        text = offer.remedy.text
        by_hand = "by hand: " if offer.remedy.by_hand and offer.remedy.feasible else ""
        text = at + by_hand + text[:1].lower() + text[1:]
        found.append(replace(offer, remedy=replace(offer.remedy, text=text)))
    return tuple(sorted(found, key=lambda o: not o.remedy.feasible))


def _seen_from(side: str, wanted: Wanted) -> tuple[dict[str, Piece], dict[str, shapely.Polygon]]:
    """Pieces and cloths of a side by name, and those of the other side as "<piece>:other"."""
    here, there = ("left", "right") if side == "left" else ("right", "left")
    fitted, cloth = wanted.fitted, wanted.cloth
    halves = {"right": fitted.right, "left": fitted.left}
    pieces = {p.name: p for p in halves[here].pieces}
    pieces |= {p.name + OTHER: p for p in halves[there].pieces}
    cloths = {name: poly for (s, name), poly in cloth.items() if s == here}
    cloths |= {name + OTHER: poly for (s, name), poly in cloth.items() if s == there}
    return pieces, cloths


def _tried(offer: Offer, short: Short, wanted: Wanted) -> Offer:
    r = offer.remedy
    if not r.feasible:
        return offer
    if r.takes:
        return split(offer, short, wanted)
    if r.shift:
        return _passed(offer, short, wanted)
    return offer


def _passed(offer: Offer, short: Short, wanted: Wanted) -> Offer:
    """The piece moved on its cloth, a little further while cloth is still missing."""
    side, piece, x = short
    r = offer.remedy
    shift = r.shift
    left, other = x.missing, ""
    for _ in range(ROUNDS):
        moved: dict[tuple[str, str], shapely.Polygon] = {}
        done: dict[int, shapely.Polygon] = {}
        for s in sides(side):
            cloth = wanted.cloth[s, piece]
            p = (wanted.fitted.left if s == "left" else wanted.fitted.right).piece(piece)
            if id(cloth) not in done:
                done[id(cloth)] = passed_up(p, cloth, shift)
            moved[s, piece] = done[id(cloth)]
        left, other = left_missing(short, wanted.with_more((), moved), wanted)
        if left <= MISSING:
            break
        shift *= 1.0 + left / x.missing
    if left > MISSING:
        return failed(offer, f"{said(left, wanted.unit)} would still be missing")
    if other:
        return failed(offer, f"then cloth is missing, {other}")
    return Offer(replace(r, shift=shift), cloth=moved)


def together(chosen: Sequence[Offer], wanted: Wanted) -> Wanted:
    """All chosen options taken at once.

    Raises:
        CorrectionError: what each allows alone the pieces cannot take together.
    """
    more = tuple(c for o in chosen for c in o.corrections)
    cloth: dict[tuple[str, str], shapely.Polygon] = {}
    for o in chosen:
        for key, poly in (o.cloth or {}).items():
            if key in cloth and not cloth[key].equals(poly):
                raise CorrectionError("A piece cannot be passed two ways on its cloth.")
            cloth[key] = poly
    done = wanted.with_more(more, cloth)
    if done.fitted.refused:
        raise CorrectionError(done.fitted.refused[0].reason)
    return done
