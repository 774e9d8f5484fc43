"""The ledger's algebra, on random bodies and ledgers.

What is claimed: amounts add, order does not matter, undoing returns the draft, a small correction
is a small change, one side does not touch the other, and truing a true garment changes nothing.
"""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import all_entries
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Half, amended, centre_lengths, fit, same, undone
from pinwright.fitting.plan import plan
from pinwright.fitting.truing import true
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from pinwright.workshop.trials import applicable, random_ledger
from tests.fitting.drafts import VARIANTS, bodies, draft, ordinary

variants = st.sampled_from(sorted(VARIANTS))
seeds = st.integers(0, 10_000)
EXAMPLES = 15


def ledger_for(garment: Garment, seed: int, count: int = 4) -> tuple[Correction, ...]:
    return random_ledger(garment, random.Random(seed))[:count]


def apart(a: Half, b: Half) -> float:
    """Greatest distance between control points, cm."""
    inside = np.abs(a.aux - b.aux).max() if len(a.aux) else 0.0
    return float(max(np.abs(a.ctrl - b.ctrl).max(), inside))


@settings(max_examples=EXAMPLES, deadline=None)
@given(variants, bodies(), seeds)
def test_truing_twice_equals_once(variant: str, body: tuple[float, ...], seed: int) -> None:
    garment = draft(variant, *body)
    half = fit(garment, ledger_for(garment, seed)).right
    settled = replace(garment, pieces=half.pieces)
    again = true(
        plan(settled), settled.layout.ctrl, settled.layout.aux, {}, centre_lengths(settled, {})
    )
    assert np.abs(again.ctrl - half.ctrl).max() < 1e-6
    assert np.abs(again.aux - half.aux).max() < 1e-6


@settings(max_examples=EXAMPLES, deadline=None)
@given(variants, bodies(), seeds)
def test_order_does_not_matter(variant: str, body: tuple[float, ...], seed: int) -> None:
    garment = draft(variant, *body)
    ledger = list(ledger_for(garment, seed))
    one = fit(garment, ledger)
    assume(not one.refused)
    random.Random(seed + 1).shuffle(ledger)
    other = fit(garment, ledger)
    assert same(one.right, other.right)
    assert same(one.left, other.left)


@settings(max_examples=EXAMPLES, deadline=None)
@given(variants, bodies(), seeds)
def test_undoing_every_entry_returns_the_draft(
    variant: str, body: tuple[float, ...], seed: int
) -> None:
    garment = draft(variant, *body)
    ledger = ledger_for(garment, seed)
    undone = fit(garment, [*ledger, *(c.scaled(-1) for c in ledger)])
    assert not undone.refused or fit(garment, ledger).refused
    if not undone.refused:
        assert all(p is q for p, q in zip(undone.right.pieces, garment.pieces, strict=True))


def kinds(garment: Garment) -> list[Correction]:
    """One unit correction of each kind and place the garment has."""
    found = []
    for e in all_entries().values():
        for place in applicable(garment, e, {}):
            amount = e.usual[1] or -e.usual[0]
            for component in e.components:
                found.append(Correction(e.kind, place, "both", {component: amount}))
    return found


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_amounts_add(variant: str) -> None:
    """C(a) then C(b) is C(a + b), for every kind and place."""
    garment = ordinary(variant)
    for c in kinds(garment):
        whole = fit(garment, [c])
        parts = fit(garment, [c.scaled(0.3), c.scaled(0.7)])
        if whole.refused:
            continue
        assert apart(whole.right, parts.right) < 1e-9, c


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_a_small_correction_is_a_small_change(variant: str) -> None:
    """Continuous in its amount down to 1e-6: nothing jumps, also where a limit begins to bind."""
    garment = ordinary(variant)
    base = fit(garment, []).right
    for c in kinds(garment):
        for size in (1e-2, 1e-4, 1e-6):
            after = fit(garment, [c.scaled(size / max(map(abs, c.amounts.values())))])
            assert not after.refused, (c, after.refused)
            assert apart(base, after.right) < 40 * size, (c, size)


@pytest.mark.parametrize("variant", sorted(VARIANTS))
@pytest.mark.parametrize("share", [0.25, 0.5, 0.75, 1.0])
def test_no_jump_between_neighbouring_amounts(variant: str, share: float) -> None:
    garment = ordinary(variant)
    for c in kinds(garment):
        here = fit(garment, [c.scaled(share)])
        there = fit(garment, [c.scaled(share * (1 + 1e-6))])
        if here.refused or there.refused:
            continue
        size = share * max(map(abs, c.amounts.values())) * 1e-6
        assert apart(here.right, there.right) < 100 * size + 1e-8, c


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_the_other_side_is_untouched(variant: str) -> None:
    """A correction of the right leaves the left the very object it was."""
    garment = ordinary(variant)
    entries = all_entries()
    for c in kinds(garment):
        if not entries[c.kind].one_sided:
            continue
        after = fit(garment, [replace(c, side="right")])
        if after.refused:
            continue
        assert all(p is q for p, q in zip(after.left.pieces, garment.pieces, strict=True)), c
        mirrored = fit(garment, [replace(c, side="left")])
        assert same(after.right, mirrored.left), c


@settings(max_examples=EXAMPLES, deadline=None)
@given(variants, bodies(), seeds)
def test_the_other_side_keeps_what_both_had(
    variant: str, body: tuple[float, ...], seed: int
) -> None:
    garment = draft(variant, *body)
    both = [replace(c, side="both") for c in ledger_for(garment, seed, 3)]
    entries = all_entries()
    one = [
        replace(c, side="right")
        for c in ledger_for(garment, seed + 1, 2)
        if entries[c.kind].one_sided
    ]
    before, after = fit(garment, both), fit(garment, [*both, *one])
    assume(not (before.refused or after.refused))
    assert same(before.left, after.left)


def shifted(piece: Piece, v: np.ndarray) -> Piece:
    """The piece drawn elsewhere on the paper."""
    from pinwright.geometry.motion import Motion

    move = Motion.translation(v)
    return replace(
        piece,
        edges=tuple(
            replace(e, runs=tuple(r.transformed(move) for r in e.runs)) for e in piece.edges
        ),
        darts=tuple(replace(d, apex=d.apex + v) for d in piece.darts),
        lines=tuple(replace(x, path=x.path.transformed(move)) for x in piece.lines),
        marks=tuple(replace(m, at=m.at + v) for m in piece.marks),
        grain=piece.grain + v,
    )


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_moving_the_draft_on_the_paper_changes_no_result(variant: str) -> None:
    """Each piece elsewhere on the paper; a yoke stays with the back whose place it takes."""
    garment = ordinary(variant)
    rng = np.random.default_rng(7)
    by_home = {p.home: rng.uniform(-200, 200, 2) for p in garment.pieces}
    moves = {p.name: by_home[p.home] for p in garment.pieces}
    elsewhere = replace(garment, pieces=tuple(shifted(p, moves[p.name]) for p in garment.pieces))
    for seed in range(5):
        ledger = ledger_for(garment, seed)
        a, b = fit(garment, ledger), fit(elsewhere, ledger)
        assert [r.reason for r in a.refused] == [r.reason for r in b.refused]
        for name, v in moves.items():
            rows = garment.layout.piece_spans[name]
            assert np.abs(a.right.ctrl[rows] + v - b.right.ctrl[rows]).max() < 1e-7


@pytest.mark.parametrize("variant", sorted(VARIANTS))
def test_the_order_of_the_seams_changes_no_result(variant: str) -> None:
    garment = ordinary(variant)
    rng = random.Random(3)
    seams = list(garment.seams)
    joints = list(garment.junctions)
    for seed in range(5):
        rng.shuffle(seams)
        rng.shuffle(joints)
        other = replace(garment, seams=tuple(seams), junctions=tuple(joints))
        ledger = ledger_for(garment, seed)
        a, b = fit(garment, ledger), fit(other, ledger)
        if not a.refused:
            assert apart(a.right, b.right) < 1e-5


@settings(max_examples=EXAMPLES, deadline=None)
@given(variants, seeds)
def test_undo_and_amend_are_replays(variant: str, seed: int) -> None:
    garment = ordinary(variant)
    ledger = ledger_for(garment, seed)
    i = seed % len(ledger)
    without = fit(garment, undone(ledger, i))
    zero = fit(garment, amended(ledger, i, dict.fromkeys(ledger[i].amounts, 0.0)))
    assume(not (without.refused or zero.refused))
    assert same(without.right, zero.right)
    assert same(without.left, zero.left)
    with pytest.raises(CorrectionError, match="no entry"):
        undone(ledger, len(ledger))
