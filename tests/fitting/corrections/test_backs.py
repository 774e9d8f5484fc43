"""Hollow back (worked example (e) of the design) and round back, by hand and on real drafts."""

from __future__ import annotations

import pytest

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted, fit
from pinwright.fitting.plan import plan
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
from tests.fitting.corrections.toy_jacket import toy

HOLLOW = correction("hollow_back", "back_waist", 1.5)
HOLLOW_NEXT = correction("hollow_back", "back_waist", 1.5, "next")
ROUND = correction("round_back", "upper_back", 1.0)
ROUND_NEXT = correction("round_back", "upper_back", 1.0, "next")


def test_worked_example_e_on_paper() -> None:
    # Neck (0, 50) to (0, 48.5), neck point (10, 55) to (10, 53.5), shoulder end (20, 55) to
    # (20, 53.5); underarm (25, 40) and the whole side stay; halfway up the armhole, at the notch
    # (20, 46), the drop is 1.5 * (46 - 40) / (55 - 40) = 0.6.
    half = made(toy(), HOLLOW)
    assert at(half, "back", "centre:neck_centre") == pytest.approx([0.0, 48.5], abs=1e-9)
    assert at(half, "back", "neck_point") == pytest.approx([10.0, 53.5], abs=1e-9)
    assert at(half, "back", "shoulder_tip") == pytest.approx([20.0, 53.5], abs=1e-9)
    assert at(half, "back", "back_notch") == pytest.approx([20.0, 45.4], abs=1e-9)
    stays(toy(), HOLLOW, {"back": {"side", "hem"}, "front": {"side", "armhole", "shoulder"}})
    fold = half.piece("back").edge("centre")
    assert all((run.ctrl[..., 0] == 0.0).all() for run in fold.runs)
    # no inner cut: nothing drawn inside moves
    assert (half.aux == toy().layout.aux).all()


def test_worked_example_e_on_the_real_jacket() -> None:
    garment = ordinary("dart")
    half, base = made(garment, HOLLOW), as_drafted(garment)
    for name in ("centre:neck_centre", "neck_point"):
        assert step(garment, half, "back", name) == pytest.approx([0.0, -1.5], abs=0.01)
    tip = step(garment, half, "back", "shoulder_tip")
    assert tip == pytest.approx([0.0, -1.5], abs=0.01)
    assert length(half, "back", "side") == pytest.approx(length(base, "back", "side"), abs=0.01)
    assert (half.piece("back").edge("centre").runs[0].ctrl[..., 0] == 0.0).all()
    # the back armhole is 1.36 shorter; the sleeve's back half takes part of it as cap ease, within
    # what the cloth takes there, and gives the rest in width behind
    hole = length(half, "back", "armhole") - length(base, "back", "armhole")
    assert hole == pytest.approx(-1.36, abs=0.01)
    sewn = next(sp for sp in plan(garment).seams if sp.seam.name == "armhole")
    behind = slice(sewn.bounds_a[2], sewn.bounds_a[4]), slice(sewn.bounds_b[2], sewn.bounds_b[4])
    ease = half.lengths[sewn.a[behind[0]]].sum() - half.lengths[sewn.b[behind[1]]].sum()
    high = sum(max(s.high, s.planned) for s in sewn.seam.stretches[2:])
    planned = sum(s.planned for s in sewn.seam.stretches[2:])
    assert planned + 0.1 < ease <= high + 1e-6
    assert half.effects["upper_arm"] < 0
    assert (step(garment, half, "sleeve", "underarm_front") == 0.0).all()


def test_hollow_next_is_a_wedge_at_the_waist() -> None:
    # Side x is 25 at every height. Above the wedge (waist 20 + 8) a point at x drops by
    # 1.5 (1 - s(x / 25)), s(u) = 3 u^2 - 2 u^3: at the fold 1.5; at the neck point x = 10,
    # u = 0.4, s = 0.48 - 0.128 = 0.352: 1.5 * 0.648 = 0.972; nothing at the side.
    half = made(toy(), HOLLOW_NEXT)
    assert step(toy(), half, "back", "centre:neck_centre") == pytest.approx([0.0, -1.5], abs=1e-9)
    assert step(toy(), half, "back", "neck_point") == pytest.approx([0.0, -0.972], abs=1e-9)
    assert (step(toy(), half, "back", "underarm") == 0.0).all()
    assert (step(toy(), half, "back", "centre:waist") == 0.0).all()
    stays(toy(), HOLLOW_NEXT, {"back": {"side", "hem"}, "front": {"side", "armhole"}})
    fold = half.piece("back").edge("centre")
    assert all((run.ctrl[..., 0] == 0.0).all() for run in fold.runs)


def test_round_back_in_cut_cloth_is_full_at_the_neck_and_nothing_at_the_shoulder_end() -> None:
    # Neck and neck point up 1; the shoulder end stays: sqrt(10^2 + 1) instead of 10 long, so
    # truing slides the back's shoulder end in by sqrt(101) - 10 = 0.04988 along the new line.
    half = made(toy(), ROUND)
    assert at(half, "back", "neck_point") == pytest.approx([10.0, 56.0], abs=1e-9)
    assert at(half, "back", "centre:neck_centre") == pytest.approx([0.0, 51.0], abs=1e-9)
    assert length(half, "back", "shoulder") == pytest.approx(10.0, abs=1e-6)
    along = 10.0 / 101**0.5
    assert at(half, "back", "shoulder_tip") == pytest.approx(
        [10 + 10 * along, 56 - along], abs=1e-6
    )
    stays(toy(), ROUND, {"back": {"side", "hem"}})


def test_round_back_next_adds_over_the_blade() -> None:
    # The blade lies at 45, the spread from 41 to 49, and the armhole stands at x = 20 above it.
    # Above the spread a point at x rises by
    # 1 - s(x / 20): neck point x = 10, u = 0.5, s = 0.5: 0.5; the fold 1; the shoulder end 0.
    half = made(toy(), ROUND_NEXT)
    assert step(toy(), half, "back", "centre:neck_centre") == pytest.approx([0.0, 1.0], abs=1e-9)
    assert step(toy(), half, "back", "neck_point")[1] == pytest.approx(0.5, abs=1e-9)
    stays(toy(), ROUND_NEXT, {"back": {"side", "hem"}, "front": {"side", "armhole"}})


def test_the_longer_shoulder_goes_into_the_dart_or_into_ease() -> None:
    garment = ordinary("dart")
    dart = made(garment, ROUND_NEXT)
    ease = made(garment, correction("round_back", "upper_back", 1.0, "next", into="ease"))
    longer = length(ease, "back", "shoulder") - length(as_drafted(garment), "back", "shoulder")
    assert length(dart, "back", "shoulder") == pytest.approx(
        length(as_drafted(garment), "back", "shoulder"), abs=0.03
    )
    assert longer > 0.1


@pytest.mark.parametrize("c", [HOLLOW, HOLLOW_NEXT, ROUND, ROUND_NEXT])
@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(c: Correction, variant: str) -> None:
    holds_together(ordinary(variant), c)


@pytest.mark.parametrize("c", [HOLLOW, HOLLOW_NEXT, ROUND, ROUND_NEXT])
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c)


@pytest.mark.parametrize(
    "kind_place", [("hollow_back", "back_waist"), ("round_back", "upper_back")]
)
def test_one_side_is_refused(kind_place: tuple[str, str]) -> None:
    c = correction(*kind_place, 1.0, side="right")
    assert "same on both sides" in fit(ordinary("dart"), [c]).refused[0].reason


TOP = {"centre", "neck", "shoulder"}


@pytest.mark.parametrize(
    ("variant", "c", "moves"),
    [
        (
            "dart",
            HOLLOW,
            {"back": TOP | {"armhole"}, "sleeve": {"cap", "under_back"}},
        ),
        ("dart", HOLLOW_NEXT, {"back": TOP | {"armhole"}}),
        ("dart", ROUND, {"back": TOP}),
        ("dart", ROUND_NEXT, {"back": TOP}),
        (
            "yoke",
            HOLLOW,
            {
                "yoke": TOP | {"armhole"},
                "sleeve": {"cap", "under_back"},
            },
        ),
        ("yoke", ROUND, {"yoke": TOP}),
    ],
)
def test_moves_what_it_says(variant: str, c: Correction, moves: dict[str, set[str]]) -> None:
    moves_exactly(ordinary(variant), c, moves)
