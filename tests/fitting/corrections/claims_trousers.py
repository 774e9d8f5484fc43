"""What every correction must hold to, as assertions for any garment and correction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import numpy as np

from pinwright.check import all_checks, failures
from pinwright.fitting.catalogue import entry
from pinwright.fitting.changes import moved
from pinwright.fitting.correction import Correction, Form, Sides, one_leg
from pinwright.fitting.ledger import Fitted, Half, as_drafted, fit, same
from pinwright.measures import bdims, complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array
from pinwright.workshop.trials import drafted

BODIES = (0, 43, 129, 215)
"""Rows of the open data's women: short and tall, slim and stout."""


def correction(
    kind: str,
    place: str,
    amount: float,
    form: Form = "cut",
    side: Sides = "both",
    component: str = "amount",
    **options: object,
) -> Correction:
    """One correction by one amount."""
    named = {k.rstrip("_"): v for k, v in options.items()}
    return Correction(kind, place, side, {component: amount}, named, form)


def made(garment: Garment, *ledger: Correction) -> Half:
    """The right half after a ledger, none of it refused."""
    fitted = fit(garment, ledger)
    assert not fitted.refused, [r.reason for r in fitted.refused]
    return fitted.right


@lru_cache(maxsize=32)
def draft(style: str, row: int, choices: tuple[tuple[str, object], ...] = ()) -> Garment:
    """A settled draft of a woman of the open data."""
    return drafted(style, complete(read_record(bdims.women()[row])), dict(choices))


def at(half: Half, piece: str, name: str) -> Array:
    """A point of the piece as it is now, (2,)."""
    row, col = half.garment.layout.station_row(piece, name)
    return np.asarray(half.ctrl[row, col])


def step(garment: Garment, half: Half, piece: str, name: str) -> Array:
    """How far a point has moved from the draft, (2,)."""
    return at(half, piece, name) - at(as_drafted(garment), piece, name)


def length(half: Half, piece: str, edge: str) -> float:
    """Sewn length of an edge now, cm."""
    return half.piece(piece).edge(edge).length


def holds_together(garment: Garment, c: Correction) -> None:
    """The algebra: nothing at zero, additive, undone by its inverse, continuous, one-sided."""
    base = as_drafted(garment)
    assert same(made(garment, c.scaled(0.0)), base)
    whole, parts = made(garment, c), made(garment, c.scaled(0.25), c.scaled(0.75))
    assert np.abs(whole.ctrl - parts.ctrl).max() < 1e-9
    undone = made(garment, c, c.scaled(-1.0))
    assert np.abs(undone.ctrl - base.ctrl).max() < 1e-9
    assert np.abs(undone.aux - base.aux).max() < 1e-9
    tiny = made(garment, c.scaled(1e-6))
    assert np.abs(tiny.ctrl - base.ctrl).max() < 1e-4
    if entry(c.kind).one_sided:
        stays = {"fork": "stays"} if one_leg(entry(c.kind), c.place, c.options) else {}
        one = fit(garment, [replace(c, side="right", options={**c.options, **stays})])
        assert not one.refused
        mirrored = {s.name for s in garment.seams if s.mirror}
        if not mirrored:
            assert same(one.left, base)
        assert np.array_equal(one.left.ctrl, base.ctrl)
        assert (
            not np.array_equal(one.right.ctrl, base.ctrl)
            or not np.array_equal(one.right.aux, base.aux)
            or one.right.facts != base.facts
        )


def right_or_refused(garment: Garment, c: Correction) -> bool:
    """At half and full usual amounts both ways every check passes; False when refused."""
    low, high = entry(c.kind).usual
    answered = True
    for amount in (low, low / 2, high / 2, high):
        scaled = replace(c, amounts=dict.fromkeys(c.amounts, amount))
        fitted: Fitted = fit(garment, [scaled])
        if fitted.refused:
            assert fitted.refused[0].reason.endswith(".")
            answered = False
            continue
        wrong = failures(all_checks(fitted))
        assert not wrong, (c.kind, c.place, c.form, amount, [(w.name, w.off) for w in wrong])
    return answered


def moves_exactly(garment: Garment, c: Correction, expected: Mapping[str, set[str]]) -> None:
    """The edges that move are the declared ones, no more and no fewer.

    ``expected`` {piece: {edges}}; movement up to 0.2 cm is what walking a seam may bring.
    """
    half = made(garment, c)
    found: dict[str, set[str]] = {}
    for m in moved(as_drafted(garment), half):
        if m.kind == "edge" and m.most > WALKED:
            found.setdefault(m.piece, set()).add(m.edge)
    assert found == {k: set(v) for k, v in expected.items()}


WALKED = 0.2
"""Movement (cm) that walking the seams at the end may bring to an edge that is not moved."""
