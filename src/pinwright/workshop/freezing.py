"""Freezing a draft in its order when the cloth is cut from it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from pinwright.cutting.habits import known_keys, settled_garment
from pinwright.cutting.sentences import listed
from pinwright.draft import style as find_style
from pinwright.draft.style import Style
from pinwright.errors import CorrectionError, OrderError
from pinwright.fitting.carry import remaining
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, check, fit, response, settle, sums
from pinwright.fitting.sided import sided_corrections
from pinwright.measures import Body
from pinwright.pattern.codec import pack, unpack
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Layer
from pinwright.workshop.notes import written
from pinwright.workshop.order import GarmentOrder, Order, edited

CHANGED = 0.05
"""A measure that differs by less than this (cm) from what the draft was made for is the same."""


def drafted(
    order: Order, spec: GarmentOrder, body: Body
) -> tuple[Style, dict[str, object], Garment, tuple[Correction, ...]]:
    """A garment's draft and the corrections it is cut with: as frozen, else made anew.

    Raises:
        PinwrightError: an unknown style or choice, a damaged frozen draft, or a body the style
            cannot be drafted for.
    """
    found = find_style(spec.style)
    choices = found.choose(spec.choices)
    frozen = order.frozen.get(spec.style)
    if frozen is not None:
        draft = unpack(frozen.draft)
        _same(draft, spec, choices)
        corrections = tuple(written(c, "next", draft) for c in frozen.corrections)
        return found, choices, draft, corrections
    draft = settle(found.finish(found.block(body, choices), body, choices))
    if kept_habits(order):
        draft = settled_garment(
            draft, order.habits, fray_of(order, spec), keys_elsewhere(order, spec, body)
        )
    carried = remaining(carried_corrections(order, spec, draft), draft, body)
    return found, choices, draft, (*sided_corrections(draft, body), *carried)


def as_cut(draft: Garment, corrections: Sequence[Correction]) -> Fitted:
    """A draft with the corrections it is cut with.

    Raises:
        OrderError: one of them cannot be made.
    """
    fitted = fit(draft, corrections)
    if fitted.refused:
        raise OrderError(f"What the draft is cut with cannot be made: {fitted.refused[0].reason}")
    return fitted


def kept_habits(order: Order) -> bool:
    """Whether the order has habits of its own, or a cloth that wants wider seams."""
    return bool(
        order.habits.reserve
        or order.habits.allowance
        or any(c.fray == "loose" for c in order.cloth)
    )


def fray_of(order: Order, spec: GarmentOrder, layer: Layer = "shell") -> Literal["firm", "loose"]:
    """How readily the cloth of a garment's layer frays; firm where the order names none."""
    i = order.cloth_for(spec.style, layer)
    return "firm" if i is None else order.cloth[i].fray


def keys_elsewhere(order: Order, spec: GarmentOrder, body: Body) -> frozenset[str]:
    """The keys of habits that other garments of the order understand.

    Raises:
        PinwrightError: see :func:`drafted`.
    """
    found: set[str] = set()
    for other in order.garments:
        if other.style != spec.style:
            frozen = order.frozen.get(other.style)
            packed = "" if frozen is None else frozen.draft
            found |= _keys_of(other.style, tuple(sorted(other.choices.items())), packed, body)
    return frozenset(found)


@lru_cache(maxsize=8)
def _keys_of(
    name: str, given: tuple[tuple[str, object], ...], packed: str, body: Body
) -> frozenset[str]:
    """The keys a garment understands; kept, for every garment of an order asks for all others."""
    style = find_style(name)
    if packed:
        garment = unpack(packed)
    else:
        choices = style.choose(dict(given))
        garment = style.finish(style.block(body, choices), body, choices)
    pieces = {p.name: p for p in garment.pieces}
    return known_keys(garment, (*garment.pieces, *style.derive(pieces, garment)))


def _same(draft: Garment, spec: GarmentOrder, choices: Mapping[str, object]) -> None:
    """Refuse a frozen draft that is not of the style and choices the order now names.

    Raises:
        OrderError: with the choice, and how to draft anew.
    """
    if draft.style != spec.style:
        raise OrderError(
            f"The draft frozen under {spec.style} is of the style {draft.style!r}; take it out of "
            "the order or restore the order from a copy."
        )
    for name, value in choices.items():
        was = draft.choices.get(name, value)
        if was != value:
            raise OrderError(
                f"{spec.style}: {name} is now {value!r}, but the frozen draft was made with "
                f"{was!r}; put it back, or draft anew with `pinwright draft ORDER --redo`."
            )


def carried_corrections(
    order: Order, spec: GarmentOrder, draft: Garment
) -> tuple[tuple[Correction, Mapping[str, float]], ...]:
    """What this garment inherits from earlier ones, with the measures each was made against.

    A correction for a place this garment does not have is left for the next garment that has it
    (see :func:`left_out`).

    Raises:
        CorrectionError: an unknown kind, or no amount.
    """
    return tuple((c, m) for c, m, why in _carried(order, spec, draft) if not why)


def left_out(order: Order, spec: GarmentOrder, draft: Garment) -> tuple[str, ...]:
    """Carried corrections meant for this garment that it has no place for, each in a sentence."""
    return tuple(
        f"Not carried to the {draft.title}: {entry(c.kind).title.lower()}. {why}"
        for c, _, why in _carried(order, spec, draft)
        if why
    )


def _carried(
    order: Order, spec: GarmentOrder, draft: Garment
) -> list[tuple[Correction, Mapping[str, float], str]]:
    found: list[tuple[Correction, Mapping[str, float], str]] = []
    for text in order.carried:
        if text.garment not in ("", spec.style):
            continue
        correction = written(text, "next", draft)
        why = ""
        try:
            check(correction, draft)
            for key, _ in sums([correction], "left" if correction.side == "left" else "right"):
                response(draft, key)
        except CorrectionError as err:
            why = str(err)
        found.append((correction, text.measures, why))
    return found


def frozen_fields(
    garment: Garment, corrections: tuple[Correction, ...], on: dt.date
) -> dict[str, Any]:
    """The fields of a :class:`order.Frozen` for a draft and the corrections it is cut with."""
    return {
        "on": on,
        "draft": pack(garment),
        "corrections": [
            {
                "kind": c.kind,
                "place": c.place,
                "side": c.side,
                "amounts": dict(c.amounts),
                "options": dict(c.options),
                "said": c.said,
                "belongs_to": c.belongs_to,
            }
            for c in corrections
        ],
    }


def frozen_text(text: str, path: Path, order: Order, body: Body, redo: bool = False) -> str:
    """The order's text with every cut garment's draft frozen in it.

    Those frozen already stay, unless ``redo``; the text is returned as it is when there is nothing
    to freeze.
    """
    fresh = order.model_copy(update={"frozen": {}}) if redo else order
    frozen = {}
    for spec in fresh.garments:
        if spec.style not in fresh.frozen:
            _, _, garment, corrections = drafted(fresh, spec, body)
            frozen[spec.style] = frozen_fields(garment, corrections, order.today)
    return edited(text, path, {"frozen": frozen}) if frozen else text


def stale(garment: Garment, body: Body) -> tuple[str, ...]:
    """Measures that have changed since a draft was frozen, and the way out; nothing without any.

    Of several finished measures that go by one body measure the first is where it was taped: a
    shaped band's upper edge, not the top of the trousers below it.
    """
    known: dict[str, float] = {}
    for t in garment.targets:
        if t.measure:
            known.setdefault(t.measure, t.body)
    changed = [n for n in known if n in body.values and abs(body[n] - known[n]) > CHANGED]
    if not changed:
        return ()
    first, *more = sorted(changed, key=lambda n: n not in body.given)  # taped before estimated
    were, they_are = ("were", "they are") if garment.plural else ("was", "it is")
    too = listed([f"{n.replace('_', ' ')} ({known[n]:.1f}, now {body[n]:.1f})" for n in more])
    return (
        f"The {garment.title} {were} drafted for {first.replace('_', ' ')} {known[first]:.1f}; the "
        f"record now says {body[first]:.1f}.{f' Changed too: {too}.' if too else ''} The frozen "
        f"draft stands; if {they_are} not cut, draft anew with `pinwright draft ORDER --redo`.",
    )
