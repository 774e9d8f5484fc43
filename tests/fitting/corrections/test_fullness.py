"""Room in a region, on cut cloth and on the next draft."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from pinwright.check.measuring import measure
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Form, per_edge
from pinwright.fitting.corrections.fullness import edges_of
from pinwright.fitting.ledger import Half, as_drafted, fit
from pinwright.fitting.proposal import Proposal
from pinwright.fitting.propose import correction_from
from pinwright.pattern.garment import Garment
from tests.fitting.corrections.claims_trousers import (
    BODIES,
    at,
    correction,
    draft,
    holds_together,
    made,
    moves_exactly,
    right_or_refused,
    step,
)
from tests.fitting.plain_trousers import plain_trousers

PLAIN = plain_trousers()


def _grown(g: Garment, half: Half, name: str) -> float:
    target = next(t for t in g.targets if t.name == name)
    return measure(half, target) - measure(as_drafted(g), target)


def test_a_girth_is_shared_by_the_edges() -> None:
    """2 more round the seat from the side seams: four edges, 0.5 each. 2 from the seat seam: two
    edges, 1 each. 1 round a thigh: two edges of that leg, 0.5 each, on one side or on both."""
    e = entry("fullness")
    assert per_edge(e, "girth", 2.0, edges_of(PLAIN, "over_seat", "both", {})) == 0.5
    via = {"via": "seat_seam"}
    assert per_edge(e, "girth", 2.0, edges_of(PLAIN, "over_seat", "both", via)) == 1.0
    assert per_edge(e, "girth", 1.0, edges_of(PLAIN, "thigh", "both", {})) == 0.5
    assert per_edge(e, "girth", 1.0, edges_of(PLAIN, "thigh", "right", {})) == 0.5


def test_a_note_becomes_the_girth_it_asks_for() -> None:
    """ "2 more over the seat in all": the hip of 92 becomes 94."""
    note = Proposal("fullness", "over_seat", "both", 2.0, "girth", (("via", "side_seam"),))
    half = made(PLAIN, correction_from(note, PLAIN))
    assert _grown(PLAIN, half, "hip") == pytest.approx(2.0, abs=1e-9)


def test_over_seat_on_cloth_by_hand() -> None:
    """1 per edge: 1 out at the hip (y = 86), nothing at waist (106) and knee (45). At the crotch
    (74), u = 29/41 of the way from knee to hip: u^2 (3 - 2u) = 0.7932; thigh + 2 x 0.7932."""
    u = 29.0 / 41.0
    half = made(PLAIN, correction("fullness", "over_seat", 1.0))
    for piece in ("front", "back"):
        assert step(PLAIN, half, piece, "side:hip") == pytest.approx([1.0, 0.0], abs=1e-9)
        assert step(PLAIN, half, piece, "waist_side") == pytest.approx([0.0, 0.0], abs=1e-9)
        assert step(PLAIN, half, piece, "side:knee") == pytest.approx([0.0, 0.0], abs=1e-9)
        crotch = step(PLAIN, half, piece, "side:crotch")
        assert crotch == pytest.approx([u * u * (3 - 2 * u), 0.0], abs=1e-9)
    assert _grown(PLAIN, half, "hip") == pytest.approx(4.0)


def test_over_seat_next_draft_by_hand() -> None:
    """The same 4 round the hip, all in the back: its side and its seat each 1 out at the hip, the
    crease in the middle of what was added; the front's net line stays (its waist and hem turn by
    a hair where they run across the side seam)."""
    half = made(PLAIN, correction("fullness", "over_seat", 1.0, form="next"))
    assert step(PLAIN, half, "back", "side:hip") == pytest.approx([1.0, 0.0], abs=0.01)
    assert step(PLAIN, half, "back", "seat:hip") == pytest.approx([-1.0, 0.0], abs=1e-9)
    assert step(PLAIN, half, "back", "fork") == pytest.approx([0.0, 0.0], abs=0.01)
    assert _grown(PLAIN, half, "hip") == pytest.approx(4.0, abs=0.01)
    rows = PLAIN.layout.piece_spans["front"]
    assert np.abs(half.ctrl[rows][:, ::3] - PLAIN.layout.ctrl[rows][:, ::3]).max() < 5e-4
    assert half.ctrl[rows] == pytest.approx(PLAIN.layout.ctrl[rows], abs=0.01)


@pytest.mark.parametrize("form", get_args(Form))
def test_thigh_by_hand(form: Form) -> None:
    """1 per edge: thigh 64 -> 66. On cloth both forks go 1 out; on the next draft fork and side
    half each."""
    half = made(PLAIN, correction("fullness", "thigh", 1.0, form=form))
    assert _grown(PLAIN, half, "thigh") == pytest.approx(2.0, abs=0.01)
    out = -1.0 if form == "cut" else -0.5
    assert step(PLAIN, half, "front", "fork")[0] == pytest.approx(out, abs=0.01)
    assert at(half, "front", "side:knee")[0] == 11.0


def test_waist_back_by_hand() -> None:
    """1 per edge at the seat seam: (-13, 106) -> (-14, 106), nothing at the hip; waist + 2."""
    half = made(PLAIN, correction("fullness", "waist_back", 1.0))
    assert step(PLAIN, half, "back", "seat:waist_centre") == pytest.approx([-1.0, 0.0], abs=0.04)
    assert step(PLAIN, half, "back", "seat:hip") == pytest.approx([0.0, 0.0], abs=1e-9)
    assert _grown(PLAIN, half, "waist") == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize("back", ["shoulder_dart", "yoke"])
def test_across_the_back_and_front(back: str) -> None:
    """1 per edge at the armhole notch; the shoulder end stays; on the next draft the bust grows
    by twice the share at the level it is measured, with or without a yoke: full down to the
    underarm (the front: to the bust dart's mouth), eased out at the waist."""
    g = draft("jacket", 0, (("back", back),))
    for part in ("back", "front"):
        notch = f"{part}_notch"
        cut = made(g, correction("fullness", f"across_{part}", 1.0))
        assert step(g, cut, part, notch) == pytest.approx([1.0, 0.0], abs=0.05)
        upper = "yoke" if part == "back" and back == "yoke" else part
        assert step(g, cut, upper, "shoulder_tip") == pytest.approx([0.0, 0.0], abs=0.05)
        new = made(g, correction("fullness", f"across_{part}", 1.0, form="next"))
        assert step(g, new, part, notch) == pytest.approx([1.0, 0.0], abs=0.05)
        base = as_drafted(g)
        low = float(at(base, part, "side:underarm")[1])
        if part == "front":
            mouth = base.piece("front").mouth("bust dart")
            low = min(low, float(mouth[0][1]), float(mouth[1][1]))
        waist = float(at(base, part, "side:waist")[1])
        foot = waist if low - waist >= 6.0 else float(at(base, part, "side:hip")[1])
        level = float(at(base, part, "side:bust")[1])
        u = min(max((level - foot) / (low - foot), 0.0), 1.0)
        assert _grown(g, new, "bust") == pytest.approx(2 * u * u * (3 - 2 * u), abs=0.1)
        if foot == waist:
            assert step(g, new, part, "side:waist") == pytest.approx([0.0, 0.0], abs=0.01)


def test_upper_arm() -> None:
    """0.5 per edge: 1 more round the arm; the elbow stays."""
    g = draft("jacket", 0)
    half = made(g, correction("fullness", "upper_arm", 0.5))
    assert _grown(g, half, "upper_arm") == pytest.approx(1.0, abs=0.1)
    assert step(g, half, "sleeve", "under_front:elbow") == pytest.approx([0.0, 0.0], abs=1e-9)


def test_what_moves() -> None:
    both = {"front": {"side"}, "back": {"side"}}
    moves_exactly(PLAIN, correction("fullness", "over_seat", 1.0), both)
    moves_exactly(
        PLAIN, correction("fullness", "over_seat", 1.0, form="next"), {"back": {"side", "seat"}}
    )
    forks = {"front": {"inseam", "centre"}, "back": {"inseam", "seat"}}
    moves_exactly(PLAIN, correction("fullness", "thigh", 1.0), forks)


def test_places_a_garment_lacks_are_refused() -> None:
    for place in ("across_back", "upper_arm"):
        reason = fit(PLAIN, [correction("fullness", place, 1.0)]).refused[0].reason
        assert reason.startswith("The plain trousers have no ")
    reason = fit(draft("jacket", 0), [correction("fullness", "thigh", 1.0)]).refused[0].reason
    assert reason == "The jacket has no crotch; this belongs to trousers."
    c = correction("fullness", "thigh", 1.0, via="centre_back")
    assert "cannot come from the centre back" in fit(PLAIN, [c]).refused[0].reason


TROUSERS = ("over_seat", "thigh", "waist_back")
JACKET = ("over_seat", "across_back", "across_front", "upper_arm", "waist_back")


@pytest.mark.parametrize("form", get_args(Form))
def test_algebra(form: Form) -> None:
    for place in TROUSERS:
        holds_together(PLAIN, correction("fullness", place, 0.9, form=form))
        holds_together(draft("trousers", 129), correction("fullness", place, -0.5, form=form))
    for place in JACKET:
        holds_together(draft("jacket", 0), correction("fullness", place, 0.7, form=form))


@pytest.mark.parametrize("form", get_args(Form))
@pytest.mark.parametrize("row", BODIES)
def test_real_drafts(row: int, form: Form) -> None:
    for place in TROUSERS:
        c = correction("fullness", place, 1.0, form=form)
        assert right_or_refused(draft("trousers", row), c)
    for back in ("shoulder_dart", "yoke"):
        for place in JACKET:
            c = correction("fullness", place, 1.0, form=form)
            assert right_or_refused(draft("jacket", row, (("back", back),)), c)
