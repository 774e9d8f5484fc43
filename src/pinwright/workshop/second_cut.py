"""What is cut after the fitting, laid as the fitting left it round what is cut already."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import dist

import shapely

from pinwright.cutting.lay.placer import filled
from pinwright.cutting.lay.placing import Lay, Placement, Template
from pinwright.cutting.lay.verify import faults
from pinwright.errors import LayError
from pinwright.measures.amounts import size
from pinwright.measures.units import LengthUnit
from pinwright.workshop.order import KeptPlace

SAME_AREA, SAME_ROUND = 0.5, 0.05
"""Outlines whose area (cm2) and length (cm) differ by less are the same piece: a tenth of a
millimetre all round a trouser leg is 2.5 cm2."""

SAME_PLACE = 0.005
"""Places in the repeat that differ by less (cm) are the same."""

SECOND_SECONDS = 3.0
"""Time for laying anew what is cut after the fitting, s."""

Stop = Callable[[], bool]
SecondCut = tuple[tuple[Lay, ...], tuple[KeptPlace, ...], tuple[str, ...]]
"""The lays as they are to be cut now, where the second cut came to lie, and what is to be told."""


def shape_of(t: Template) -> tuple[float, float]:
    """Area (cm2) and length (cm) of an outline, by which a changed piece is noticed."""
    poly = shapely.Polygon(t.outline)
    return round(float(poly.area), 2), round(float(poly.length), 3)


def same(t: Template, shape: tuple[float, float]) -> bool:
    """Whether a template still has the shape it had."""
    area, around = shape_of(t)
    return abs(area - shape[0]) <= SAME_AREA and abs(around - shape[1]) <= SAME_ROUND


def kept_place(t: Template, p: Placement, field: int) -> KeptPlace:
    """A placement as it goes into the order."""
    return KeptPlace(
        piece=t.key,
        x=round(p.x, 4),
        y=round(p.y, 4),
        rotation=p.rotation,
        field=field,
        shape=shape_of(t),
    )


def second_cut(
    lays: tuple[Lay, ...],
    now: Sequence[Template],
    kept: Sequence[KeptPlace] = (),
    stop: Stop | None = None,
    unit: LengthUnit = "cm",
) -> SecondCut:
    """The lays, of the cloth itself and then of its remnants, with the second cut as it is now.

    ``kept`` are the places it was given before. It lies there, or where it was held cloth for, if
    it still does so rightly. Where it does not, what changed is laid anew in what the first cut
    leaves, or all of the second cut where that takes less cloth; what a remnant then has no room
    for goes on the cloth itself. How much longer it is for that is told in ``unit``.

    Raises:
        LayError: the cloth is not long enough (one without a length always is), or the first
            cut does not lie as it was kept.
    """
    later = {t.key: t for t in now if t.stage == "after"}
    was = [t for x in lays for t in x.templates if t.key in later]
    if all(_unchanged(later[t.key], t) for t in was):
        return lays, (), ()
    reshaped = not all(same(later[t.key], shape_of(t)) for t in was)
    old = {k.piece: k for k in kept if k.piece in later and 0 <= k.field < len(lays)}
    shown = [_as_placed(i, lays, later, old) for i in range(len(lays))]
    remarks: list[str] = []
    homeless: tuple[Template, ...] = ()
    for i in reversed(range(len(lays))):  # remnants first: the cloth takes what they cannot
        extra = homeless if i == 0 else ()
        sound = not faults(shown[i])
        if sound and not extra:
            continue
        before = shown[i].length
        relaid, left = _relaid(shown[i], lays[i], later, sound, extra, stop)
        there = {p.key for p in relaid.placements}
        if left and i == 0:
            names = ", ".join(sorted({t.title or t.piece for t in left}))
            raise LayError(f"After the fitting there is no cloth left for {names}.")
        homeless = (*homeless, *left)
        shown[i] = replace(relaid, templates=tuple(t for t in relaid.templates if t.key in there))
        remarks.append(_told(relaid.length - before, reshaped, unit))
    second = tuple(
        kept_place(later[p.key], p, i)
        for i, x in enumerate(shown)
        for p in x.placements
        if p.key in later
    )
    # Where everything still lies on the cloth held back for it, nothing new is to be kept.
    return tuple(shown), second if remarks or old else (), tuple(dict.fromkeys(remarks))


def _relaid(
    shown: Lay,
    was: Lay,
    later: dict[str, Template],
    sound: bool,
    extra: tuple[Template, ...],
    stop: Stop | None,
) -> tuple[Lay, tuple[Template, ...]]:
    """The second cut of a lay put right, and what has no room: first only what changed moves.

    Where that makes the lay longer, all of the second cut is laid anew.
    """
    changed = {
        t.key: later[t.key]
        for t in was.templates
        if t.key in later and not _unchanged(later[t.key], t)
    }
    found: tuple[Lay, tuple[Template, ...]] | None = None
    for move in ({},) if sound else (changed, later):
        base = _without(shown, move)
        if faults(base):
            continue
        moved = (*_of(shown, move), *extra)
        relaid = filled(base, moved, SECOND_SECONDS, stop=stop)
        there = {p.key for p in relaid.placements}
        left = tuple(t for t in moved if t.key not in there)
        if found is None or (len(left), relaid.length) < (len(found[1]), found[0].length):
            found = relaid, left
        if not left and relaid.length <= was.length + 0.05:
            break
    if found is None:
        raise LayError("The first cut does not lie as it was kept; lay the cloth again.")
    return found


def _as_placed(
    i: int, lays: Sequence[Lay], later: dict[str, Template], old: dict[str, KeptPlace]
) -> Lay:
    """A lay with the second cut as it is now, each piece on the cloth where it was put last."""
    stays = [(t, p) for t, p in pairs(lays[i]) if t.key not in old]
    come = [k for k in old.values() if k.field == i]
    return replace(
        lays[i],
        templates=(*(later.get(t.key, t) for t, _ in stays), *(later[k.piece] for k in come)),
        placements=(
            *(p for _, p in stays),
            *(Placement(k.piece, k.x, k.y, k.rotation) for k in come),
        ),
    )


def _without(lay: Lay, later: dict[str, Template]) -> Lay:
    stays = [(t, p) for t, p in pairs(lay) if t.key not in later]
    return replace(lay, templates=tuple(t for t, _ in stays), placements=tuple(p for _, p in stays))


def _of(lay: Lay, later: dict[str, Template]) -> tuple[Template, ...]:
    return tuple(t for t in lay.templates if t.key in later)


def _told(longer: float, reshaped: bool, unit: LengthUnit) -> str:
    why = (
        "The fitting changed what is cut after it more than the cloth held back gives"
        if reshaped
        else "The fitting moved where the pattern must meet"
    )
    more = f", {size(longer, unit)} longer." if longer > 0.5 else "."
    return f"{why}; what is cut after it was laid anew round the first cut{more}"


def _unchanged(now: Template, was: Template) -> bool:
    """Whether a piece has the shape it had, and its places in the repeat."""
    if not same(now, shape_of(was)) or len(now.phases) != len(was.phases):
        return False
    return all(
        p.axis == q.axis
        and abs(p.residue - q.residue) < SAME_PLACE
        and dist(p.at, q.at) < SAME_PLACE
        for p, q in zip(now.phases, was.phases, strict=True)
    )


def pairs(lay: Lay) -> list[tuple[Template, Placement]]:
    """Every template of a lay with its placement."""
    by_key = {t.key: t for t in lay.templates}
    return [(by_key[p.key], p) for p in lay.placements]
