"""The cloths of an order, and which pieces are cut from which."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pinwright.cutting.cuts import Halves, Hand
from pinwright.cutting.fields import fields
from pinwright.cutting.habits import cost, without_reserve
from pinwright.cutting.in_repeat import Match
from pinwright.cutting.lay.placing import Template
from pinwright.cutting.material import Flaw, Material, Remnant, Repeat
from pinwright.cutting.rules import Marks
from pinwright.cutting.sentences import listed
from pinwright.cutting.templates import prepared
from pinwright.errors import OrderError
from pinwright.fitting.ledger import Half
from pinwright.measures.amounts import size
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Layer, Piece
from pinwright.sheets.notches import notches
from pinwright.workshop.basting import cut_now
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import Cloth, Order, RemnantOf

USUAL_WIDTH: dict[Layer, float] = {
    "shell": 150.0,
    "facing": 150.0,
    "lining": 140.0,
    "interfacing": 90.0,
    "pocketing": 140.0,
}
"""Widths reckoned with where the order names no cloth for a layer, cm (common practice)."""

TOLD: dict[Layer, str] = {
    "shell": "cloth",
    "facing": "facing cloth",
    "lining": "lining",
    "interfacing": "interfacing",
    "pocketing": "pocketing",
}


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """A cloth and the pieces cut from it.

    ``key`` names it in the order. ``wanted`` lists (garment, layer); ``in_order`` says whether
    the order names the cloth, or a usual width is reckoned with; ``unit`` in what the order has
    its lengths told.
    """

    key: str
    material: Material
    wanted: tuple[tuple[str, Layer], ...]
    in_order: bool = True
    unit: LengthUnit = "cm"


def material_of(cloth: Cloth) -> Material:
    """A cloth of the order as the cutter reckons with it."""
    given = cloth.model_dump(
        exclude={"repeat", "flaws", "remnants", "directional", "direction", "handle"}
    )
    r = cloth.repeat
    return Material(
        **given,
        direction="nap" if cloth.directional and cloth.direction == "none" else cloth.direction,
        repeat=Repeat(r.along, r.across, r.from_start, r.from_selvedge, r.turns),
        match=r.match,
        flaws=tuple(Flaw(f.along, f.across) for f in cloth.flaws),
        remnants=tuple(_remnant(cloth, i, x) for i, x in enumerate(cloth.remnants)),
    )


def _remnant(cloth: Cloth, i: int, x: RemnantOf) -> Remnant:
    name = x.name or f"remnant {i + 1}"
    if x.outline:
        return Remnant(name, x.outline)
    if not (x.length > 0.0 and x.width > 0.0):
        raise OrderError(
            f"{cloth.name or TOLD[cloth.layer]}, {name}: it is {x.length:g} by {x.width:g} cm; "
            "give it a length and a width, or an outline of at least three corners."
        )
    return Remnant(name, ((0.0, 0.0), (x.length, 0.0), (x.length, x.width), (0.0, x.width)))


def stocks(job: Job) -> tuple[Stock, ...]:
    """Every cloth that pieces of the order are cut from, those of the order first.

    Raises:
        OrderError: a cloth for a garment that the order does not have.
    """
    order = job.order
    styles = {g.style.name for g in job.garments}
    for cloth in order.cloth:
        for name in cloth.garments:
            if name not in styles:
                raise OrderError(
                    f"cloth {cloth.name or cloth.layer!r} is for {name!r}; this order has "
                    f"{', '.join(sorted(styles))}."
                )
    found: dict[int, list[tuple[str, Layer]]] = {}
    lacking: dict[Layer, list[tuple[str, Layer]]] = {}
    for g in job.garments:
        for layer in dict.fromkeys(p.layer for p in pieces_of(g)[0].values()):
            i = order.cloth_for(g.style.name, layer)
            if i is not None:
                found.setdefault(i, []).append((g.style.name, layer))
            else:
                as_cut: Layer = "shell" if layer == "facing" else layer
                lacking.setdefault(as_cut, []).append((g.style.name, layer))
    keys = _keys(order)
    taken = set(keys)
    unit = order.client.units
    out = [
        Stock(keys[i], material_of(order.cloth[i]), tuple(found[i]), unit=unit)
        for i in sorted(found)
    ]
    for layer, wanted in lacking.items():
        usual = Material(layer=layer, width=USUAL_WIDTH[layer])
        key = TOLD[layer]
        if key in taken:  # the order's own cloth of that name is for other garments
            key += f" for the {' and '.join(dict.fromkeys(name for name, _ in wanted))}"
        out.append(Stock(key, usual, tuple(wanted), in_order=False, unit=unit))
    return tuple(out)


def idle_words(job: Job) -> tuple[str, ...]:
    """Cloths of the order that nothing is cut from, each in a sentence with what is cut instead.

    Raises:
        OrderError: see :func:`stocks`.
    """
    every = stocks(job)
    used = {s.key for s in every}
    said = []
    for cloth, key in zip(job.order.cloth, _keys(job.order), strict=True):
        if key in used:
            continue
        instead = dict.fromkeys(
            s.key
            for s in every
            for name, layer in s.wanted
            if layer == cloth.layer and (not cloth.garments or name in cloth.garments)
        )
        why = (
            f"{listed(tuple(instead))} goes before it for the same pieces. Say under `garments` "
            "which garment a cloth is for, or take one out of the order."
            if instead
            else f"no garment that it is for has pieces of {TOLD[cloth.layer]}."
        )
        said.append(f"Nothing is cut from {key}: {why}")
    return tuple(said)


def _keys(order: Order) -> list[str]:
    """A name for each cloth by which its lay is kept."""
    names = [c.name or TOLD[c.layer] for c in order.cloth]
    return [n if names.count(n) == 1 else f"{n} ({i + 1})" for i, n in enumerate(names)]


When = Literal["cut", "now"]


def pieces_of(g: GarmentJob, when: When = "now") -> tuple[dict[str, Piece], dict[str, Piece]]:
    """All pieces of a garment, right and left by name: own ones, then those that follow by rule.

    "cut" gives them as they are cut for the fitting, "now" as the fitting left them; a garment
    that is not cut yet is cut as it is now.
    """
    as_cut = when == "cut" and g.spec.cut
    fitted = g.before if as_cut else g.after
    made: Mapping[str, tuple[Piece, ...]] = g.made_up_before if as_cut else g.made_up
    right = {p.name: p for p in (*fitted.right.pieces, *made.get("both", made.get("right", ())))}
    left = {p.name: p for p in (*fitted.left.pieces, *made.get("both", made.get("left", ())))}
    return right, left


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """What is to be cut from a cloth: outlines, what must match in its repeat, what to tell."""

    templates: tuple[Template, ...]
    matches: tuple[Match, ...] = ()
    told: tuple[str, ...] = ()


def _since_cut(g: GarmentJob, when: When) -> tuple[Halves, Marks]:
    """What of a garment is cut already as it was then, and where it is marked to be sewn now.

    Nothing for one that is as it was cut: it is matched by its stations as drafted, from which
    its marks differ by a tenth of a millimetre, and a lay is kept by these.
    """
    if when == "cut" or not g.spec.cut:
        return ({}, {}), {}
    right, left = ({n: p for n, p in half.items() if cut_now(p)} for half in pieces_of(g, "cut"))
    halves: tuple[tuple[Hand, Half], ...] = (("right", g.after.right), ("left", g.after.left))
    marks = {
        (piece, hand): {(m.edge, m.name): m.at for m in own}
        for hand, half in halves
        for piece, own in notches(half).items()
    }
    return (right, left), marks


def wanted_of(job: Job, stock: Stock, when: When) -> Wanted:
    """What is to be cut from a cloth; what follows other pieces is cut after the fitting.

    Raises:
        LayError: a cloth that makes no sense, or a repeat that cannot be matched.
    """
    fields(stock.material)  # refuses the cloth itself, before anything is worked out from it
    found: list[Template] = []
    matches: list[Match] = []
    told: list[str] = []
    reserve = 0.0
    for g in job.garments:
        layers = {layer for name, layer in stock.wanted if name == g.style.name}
        if not layers:
            continue
        right, left = pieces_of(g, when)
        right = {n: p for n, p in right.items() if p.layer in layers}
        left = {n: p for n, p in left.items() if p.layer in layers}
        if not right:
            continue
        there, marks = _since_cut(g, when)
        seams = g.draft.seams
        ready = prepared(right, left, g.style.name, stock.material, seams, stock.unit, there, marks)
        held = stock.material.hold_back if when == "cut" else 0.0
        for t in ready.templates:
            later = not cut_now(right[t.piece])
            found.append(replace(t, stage="after", kept=held) if later else replace(t, kept=0.0))
        matches += ready.matches
        told += ready.told
        kept = tuple(right.values())
        reserve += cost(kept, without_reserve(kept), stock.material.usable).area
    if reserve > 1.0:
        plies = 2.0 if stock.material.lay == "folded" else 1.0
        least = size(reserve / plies / stock.material.usable, stock.unit)
        told.append(f"The reserve costs at least {least} of this cloth's length.")
    return Wanted(tuple(found), tuple(matches), tuple(dict.fromkeys(told)))
