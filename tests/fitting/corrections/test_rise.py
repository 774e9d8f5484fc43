"""Crotch depth, back rise and front rise, by hand and on real drafts."""

from __future__ import annotations

from math import pi
from typing import get_args

import numpy as np
import pytest
from scipy.special import ellipe

from pinwright.fitting.correction import Form
from pinwright.fitting.ledger import fit
from tests.fitting.corrections.claims_trousers import (
    BODIES,
    at,
    correction,
    draft,
    holds_together,
    length,
    made,
    moves_exactly,
    right_or_refused,
    step,
)
from tests.fitting.plain_trousers import plain_trousers

PLAIN = plain_trousers()
DARTED = plain_trousers(dart=True)


def test_crotch_depth_on_cloth_by_hand() -> None:
    """1 deeper: both forks from y = 74 to 73, extensions as they were; inseams 74 - 1 = 73.

    Back: the quarter circle of radius 12 becomes a quarter ellipse with half axes 12 and 13,
    13 E(1 - (12/13)^2), pi/4 longer to first order. Front: 12 of height (6 straight, 6 round)
    stretches by 1/12: the straight 6 grows by 6/12, the arc by half of pi/4, in all
    1/2 + pi/8 = 0.8927.
    """
    half = made(PLAIN, correction("crotch_depth", "crotch", 1.0))
    for piece in ("front", "back"):
        assert step(PLAIN, half, piece, "fork") == pytest.approx([0.0, -1.0], abs=1e-6)
        assert length(half, piece, "inseam") == pytest.approx(73.0, abs=1e-6)
        assert length(half, piece, "side") == 106.0
        crotch_line = half.piece(piece).line("crotch").path
        assert crotch_line.start[1] == pytest.approx(73.0)
    assert half.effects["front_crotch"] == pytest.approx(0.5 + pi / 8, abs=1e-4)
    assert half.effects["back_crotch"] == pytest.approx(pi / 4, abs=1e-4)
    ids = PLAIN.layout.span_ids(("back", "seat"))[PLAIN.layout.boundary(("back", "seat"), "hip") :]
    ellipse = 13.0 * float(ellipe(1.0 - (12.0 / 13.0) ** 2))
    assert float(half.lengths[ids].sum()) == pytest.approx(ellipse, abs=1e-4)


def test_crotch_depth_on_the_next_draft_by_hand() -> None:
    """The whole level goes: forks, the side's crotch notch and the crotch line 1 down; hip and
    knee stay. At y = 80, half way from hip to crotch: down by the smoothstep's half."""
    half = made(PLAIN, correction("crotch_depth", "crotch", 1.0, form="next"))
    for piece in ("front", "back"):
        assert step(PLAIN, half, piece, "fork") == pytest.approx([0.0, -1.0], abs=1e-6)
        assert step(PLAIN, half, piece, "side:crotch") == pytest.approx([0.0, -1.0], abs=1e-6)
        assert np.array_equal(at(half, piece, "side:hip"), [11.0, 86.0])
        assert np.array_equal(at(half, piece, "inseam:knee"), at(made(PLAIN), piece, "inseam:knee"))
        assert length(half, piece, "side") == pytest.approx(106.0)
    run = half.piece("front").edge("centre").runs[0]
    assert run.nearest(np.array([-11.0, 79.5]))[1] < 0.01


@pytest.mark.parametrize("form", get_args(Form))
def test_back_rise_by_hand(form: Form) -> None:
    """1 longer at the seat seam's waist end (y = 107), nothing at the side; half way along the
    waist by half. The seat is 1 longer, waist 24 and band 46 as before."""
    half = made(PLAIN, correction("seat_wedge", "seat", 1.0, form=form))
    assert step(PLAIN, half, "back", "seat:waist_centre") == pytest.approx([0.0, 1.0], abs=1e-6)
    assert step(PLAIN, half, "back", "side:waist_side") == pytest.approx([0.0, 0.0], abs=0.01)
    assert half.effects["back_crotch"] == pytest.approx(1.0, abs=1e-6)
    waist = half.piece("back").edge("waist").runs[0]
    assert float(waist.at(waist.length / 2)[1]) == pytest.approx(106.5, abs=0.02)
    # the sloped waist is longer by about 1.2 x 1 / (2 x 24) = 0.025 (a smoothstep's slope squared)
    assert length(half, "back", "waist") == pytest.approx(24.025, abs=0.01)
    assert np.array_equal(at(half, "back", "seat:hip"), [-13.0, 86.0])
    assert np.array_equal(
        half.piece("front").edge("waist").runs[0].ctrl,
        PLAIN.piece("front").edge("waist").runs[0].ctrl,
    )


@pytest.mark.parametrize("form", get_args(Form))
def test_front_rise_by_hand(form: Form) -> None:
    """0.5 shorter at centre front: y = 105.5 there, 106 at the side; the fork stays."""
    half = made(PLAIN, correction("front_rise", "front_waist", -0.5, form=form))
    assert step(PLAIN, half, "front", "centre:waist_centre") == pytest.approx([0, -0.5], abs=1e-6)
    assert length(half, "front", "centre") == pytest.approx(26.0 + 3 * pi - 0.5, abs=1e-6)
    assert np.array_equal(at(half, "front", "fork"), [-17.0, 74.0])


def test_darts_keep_their_legs() -> None:
    from pinwright.fitting.ledger import settle

    g = settle(DARTED)
    half = made(g, correction("seat_wedge", "seat", 1.5))
    back = half.piece("back")
    a, b = back.mouth("back dart")
    apex = back.dart("back dart").apex
    assert float(np.hypot(*(a - apex))) == pytest.approx(float(np.hypot(*(b - apex))), abs=0.005)


def test_the_straight_seat_line_stays_straight() -> None:
    g = draft("trousers", 43)
    for form in get_args(Form):
        half = made(g, correction("seat_wedge", "seat", 2.0, form=form))
        run = half.piece("back").edge("seat").runs[0]
        was = g.piece("back").edge("seat").runs[0]
        assert run.start_tangent @ was.start_tangent > np.cos(np.radians(0.8))


def test_what_moves() -> None:
    expected = {"front": {"centre", "inseam"}, "back": {"seat", "inseam"}}
    moves_exactly(PLAIN, correction("crotch_depth", "crotch", 1.0), expected)
    expected = {"front": {"centre", "inseam", "side"}, "back": {"seat", "inseam", "side"}}
    moves_exactly(PLAIN, correction("crotch_depth", "crotch", 1.0, form="next"), expected)
    for form in get_args(Form):
        moves_exactly(
            PLAIN, correction("seat_wedge", "seat", 1.0, form=form), {"back": {"seat", "waist"}}
        )
        moves_exactly(
            PLAIN,
            correction("front_rise", "front_waist", 1.0, form=form),
            {"front": {"centre", "waist"}},
        )


@pytest.mark.parametrize(
    ("kind", "place"),
    [("crotch_depth", "crotch"), ("seat_wedge", "seat"), ("front_rise", "front_waist")],
)
def test_one_side_alone_is_refused(kind: str, place: str) -> None:
    """Seat and front crotch are one seam of both halves: their length is not one side's."""
    refused = fit(PLAIN, [correction(kind, place, 1.0, side="right")]).refused
    assert "lies across the centre" in refused[0].reason


CASES = [("crotch_depth", "crotch"), ("seat_wedge", "seat"), ("front_rise", "front_waist")]


@pytest.mark.parametrize("form", get_args(Form))
@pytest.mark.parametrize(("kind", "place"), CASES)
def test_algebra(kind: str, place: str, form: Form) -> None:
    holds_together(PLAIN, correction(kind, place, 1.1, form=form))
    holds_together(draft("trousers", 129), correction(kind, place, -0.7, form=form))


@pytest.mark.parametrize("form", get_args(Form))
@pytest.mark.parametrize("row", BODIES)
@pytest.mark.parametrize("fit", ["slim", "loose"])
def test_real_drafts(row: int, fit: str, form: Form) -> None:
    for kind, place in CASES:
        g = draft("trousers", row, (("fit", fit),))
        assert right_or_refused(g, correction(kind, place, 1.0, form=form))
