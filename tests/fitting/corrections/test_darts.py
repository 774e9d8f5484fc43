"""Darts: the worked example (c) of the design and the rest by hand, and on real drafts."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest

from pinwright.check import all_checks, failures
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Half, as_drafted, fit
from tests.fitting.corrections.claims_jacket import (
    at,
    correction,
    good_on_jackets,
    holds_together,
    length,
    made,
    moves_exactly,
    ordinary,
    stays,
    step,
)
from tests.fitting.corrections.claims_trousers import draft
from tests.fitting.corrections.toy_jacket import POINT, toy

TENTH_MM = 0.01


def mouth(half: Half) -> tuple[float, float, float]:
    """(width of the bust dart's mouth, first leg, second leg), cm."""
    p = half.piece("front")
    a, b = p.mouth("bust dart")
    apex = p.dart("bust dart").apex
    return float(hypot(*(b - a))), float(hypot(*(a - apex))), float(hypot(*(b - apex)))


def test_worked_example_c_on_cut_cloth() -> None:
    # Sewn, the front side is 20 to the waist, 10 to the mouth and 10 above it: 40, as the back.
    # One cm more in the dart takes 1 of it: 39 on both; the back gives at the underarm, which
    # comes from 40 down to 39; waist and front armhole do not move.
    half = made(toy(), correction("bust_dart_intake", "bust_dart", 1.0))
    assert length(half, "front", "side") == pytest.approx(39.0, abs=1e-6)
    assert length(half, "back", "side") == pytest.approx(39.0, abs=1e-6)
    assert at(half, "back", "underarm") == pytest.approx([25.0, 39.0], abs=1e-6)
    for piece in ("front", "back"):
        assert (step(toy(), half, piece, "waist") == 0).all()
    stays(
        toy(),
        correction("bust_dart_intake", "bust_dart", 1.0),
        {"front": {"armhole", "hem", "centre", "shoulder", "neck"}, "back": {"hem", "centre"}},
    )
    # the point stays and the legs are equal
    assert half.piece("front").dart("bust dart").apex == pytest.approx(POINT, abs=1e-12)
    _, a, b = mouth(half)
    assert a == pytest.approx(b, abs=1e-6)


def test_worked_example_c_on_the_next_draft() -> None:
    # Raw, the front side measures 40 along the cloth and the mouth's 2 * 15 * sin(a / 2), with
    # cos a = 24/25: sin(a / 2) = sqrt((1 - 0.96) / 2) = sqrt(0.02). One cm more dart: raw + 1.0,
    # sewn still 40, and nothing of the back moves.
    c = correction("bust_dart_intake", "bust_dart", 1.0, "next")
    half = made(toy(), c)
    before = 40.0 + 30.0 * sqrt(0.02)
    assert length(half, "front", "side") == pytest.approx(40.0, abs=TENTH_MM)
    raw = length(half, "front", "side") + mouth(half)[0]
    assert raw == pytest.approx(before + 1.0, abs=TENTH_MM)
    assert half.piece("back").edge("side").length == pytest.approx(40.0, abs=TENTH_MM)
    base = as_drafted(toy()).piece("back")
    assert half.piece("back").edge("armhole").length == pytest.approx(
        base.edge("armhole").length, abs=TENTH_MM
    )
    # the front edge does not move, the side goes straight down
    stays(toy(), c, {"front": {"centre", "shoulder", "neck"}, "back": {"hem", "centre"}})
    assert step(toy(), half, "front", "hem_side")[0] == pytest.approx(0.0, abs=1e-9)
    assert step(toy(), half, "front", "hem_side")[1] < -0.8
    assert half.piece("front").dart("bust dart").apex == pytest.approx(POINT, abs=1e-9)


def test_raw_and_sewn_side_on_the_real_jacket() -> None:
    garment = ordinary("dart")
    c = correction("bust_dart_intake", "bust_dart", 1.0, "next")
    half, base = made(garment, c), as_drafted(garment)
    assert length(half, "front", "side") + mouth(half)[0] == pytest.approx(
        length(base, "front", "side") + mouth(base)[0] + 1.0, abs=0.05
    )
    assert length(half, "front", "side") == pytest.approx(length(base, "front", "side"), abs=0.05)
    for name in ("side", "armhole"):
        assert length(half, "back", name) == pytest.approx(length(base, "back", name), abs=0.05)


def test_intake_on_the_real_jacket_takes_exactly_the_amount() -> None:
    garment = ordinary("dart")
    half = made(garment, correction("bust_dart_intake", "bust_dart", 1.0))
    base = as_drafted(garment)
    assert length(half, "front", "side") == pytest.approx(
        length(base, "front", "side") - 1.0, abs=1e-6
    )
    _, a, b = mouth(half)
    assert a == pytest.approx(b, abs=1e-6)
    assert (half.piece("front").dart("bust dart").apex == base.piece("front").darts[0].apex).all()


def test_length_moves_the_point_along_the_axis() -> None:
    # Middle of the mouth (24.7, 32.1); axis to the point (-14.7, -2.1), long sqrt(220.5);
    # 2 cm on: (10, 30) + 2 (-14.7, -2.1) / sqrt(220.5) = (8.0201, 29.7172).
    half = made(toy(), correction("bust_dart_length", "bust_dart", 2.0))
    assert half.piece("front").dart("bust dart").apex == pytest.approx(
        [10 - 29.4 / sqrt(220.5), 30 - 4.2 / sqrt(220.5)], abs=1e-9
    )
    assert length(half, "front", "side") == pytest.approx(40.0, abs=1e-6)


def test_direction_keeps_the_angle() -> None:
    # Both ends go up their own seam by 1: (25, 31) and (24.4 - 0.28, 34.2 + 0.96) = (24.12, 35.16).
    # Legs sqrt(15^2 + 1) both; angle as before, so the mouth is 2 sqrt(226) sqrt(0.02) = 4.2521
    # (4.2426 before). Sewn 20 + 11 + 9 = 40; nothing else moves.
    c = correction("bust_dart_direction", "bust_dart", 1.0)
    half = made(toy(), c)
    a, b = half.piece("front").mouth("bust dart")
    assert a == pytest.approx([25.0, 31.0], abs=1e-9)
    assert b == pytest.approx([24.12, 35.16], abs=1e-9)
    wide, one, two = mouth(half)
    assert (one, two) == pytest.approx((sqrt(226), sqrt(226)), abs=1e-9)
    assert wide == pytest.approx(2 * sqrt(226) * sqrt(0.02), abs=1e-9)
    stays(toy(), c, {"front": {"hem", "armhole"}, "back": {"side", "armhole", "hem", "shoulder"}})


def test_direction_is_refused_where_the_dart_opens_in_the_armhole() -> None:
    garment = draft("jacket", 0, (("bust_dart", "armhole"),))
    fitted = fit(garment, [correction("bust_dart_direction", "bust_dart", 1.0)])
    assert "only a dart in the side seam" in fitted.refused[0].reason


def test_shoulder_dart_gives_the_shoulder_back_at_the_armhole_end() -> None:
    # The back shoulder is 0.5 longer than the front, and may be 0.3 to 1.0 longer. A dart 0.8
    # deeper leaves it 0.3 shorter than the front: 0.6 is missing to the least ease of 0.3, and
    # the armhole end gives that.
    garment = ordinary("dart")
    half = made(garment, correction("shoulder_dart_intake", "shoulder_dart", 0.8))
    base = as_drafted(garment)
    assert length(base, "back", "shoulder") - length(base, "front", "shoulder") == pytest.approx(
        0.5, abs=1e-6
    )
    assert length(half, "back", "shoulder") - length(half, "front", "shoulder") == pytest.approx(
        0.3, abs=1e-6
    )
    given = [s.amount for s in half.trued.steps if s.seam == "shoulder"] if half.trued else []
    assert given == pytest.approx([0.6], abs=1e-6)


def test_shoulder_dart_of_a_yoke_is_refused() -> None:
    fitted = fit(ordinary("yoke"), [correction("shoulder_dart_intake", "shoulder_dart", 0.5)])
    assert "no shoulder dart" in fitted.refused[0].reason


def test_waist_dart_takes_twice_its_intake_from_the_waist() -> None:
    garment = ordinary("trousers")
    place = "back_waist_dart"
    c = correction("waist_dart_intake", place, 0.5)
    fitted = fit(garment, [c])
    assert not fitted.refused
    assert fitted.right.effects["waist"] == pytest.approx(-1.0)
    assert not failures(all_checks(fitted))
    now, before = (
        length(fitted.right, "back", "waist"),
        length(as_drafted(garment), "back", "waist"),
    )
    assert now == pytest.approx(before - 0.5, abs=0.02)


CASES = [
    correction("bust_dart_intake", "bust_dart", 1.0),
    correction("bust_dart_intake", "bust_dart", 1.0, "next"),
    correction("bust_dart_length", "bust_dart", 1.0),
    correction("bust_dart_direction", "bust_dart", 1.0),
    correction("shoulder_dart_intake", "shoulder_dart", 0.8),
]


@pytest.mark.parametrize("c", CASES, ids=lambda c: f"{c.kind} {c.form}")
def test_algebra(c: Correction) -> None:
    holds_together(ordinary("dart"), c)


@pytest.mark.parametrize("c", CASES, ids=lambda c: f"{c.kind} {c.form}")
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c, 2 if c.kind == "shoulder_dart_intake" else 4)


@pytest.mark.parametrize(
    ("c", "moves"),
    [
        (
            CASES[0],
            {
                "front": {"side"},
                "back": {"side", "armhole"},
                "sleeve": {"cap", "under_back"},
            },
        ),
        (CASES[1], {"front": {"side", "hem"}}),
        (CASES[2], {}),
        (CASES[3], {"front": {"side"}}),
        (CASES[4], {"back": {"shoulder", "armhole"}}),
    ],
    ids=lambda x: getattr(x, "kind", ""),
)
def test_moves_what_it_says(c: Correction, moves: dict[str, set[str]]) -> None:
    moves_exactly(ordinary("dart"), c, moves)


def test_dart_lying_along_its_edge_is_refused() -> None:
    garment = draft("jacket", 0, (("bust_dart", "armhole"),))
    half = as_drafted(garment).piece("front")
    a, _ = half.mouth("bust dart")
    leg = a - half.dart("bust dart").apex
    run = half.edge("armhole").runs[0].end_tangent
    angle = np.degrees(np.arccos(abs(float(leg @ run)) / hypot(*leg)))
    fitted = fit(garment, [correction("bust_dart_intake", "bust_dart", 0.5)])
    if angle < 30.0:
        assert "degrees" in fitted.refused[0].reason
    else:
        assert not fitted.refused
