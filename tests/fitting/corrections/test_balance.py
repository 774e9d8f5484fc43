"""Passing the back up: by hand, and on real drafts."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.fitting.ledger import as_drafted, fit
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

UP = correction("pass_back", "side_seam", 1.0)


def test_on_paper() -> None:
    # All that meets the front's side goes 1 down the back: underarm (25, 39), waist (25, 19),
    # hem (25, -1), the side still 40. The armhole's notch (20, 46) stays, so sqrt(25 + 49) + 9.
    # From the neck to the waist the back is 50 - 19 = 31 at the fold, 1 more than 30.
    half = made(toy(), UP)
    assert at(half, "back", "underarm") == pytest.approx([25.0, 39.0], abs=1e-9)
    assert at(half, "back", "side:waist") == pytest.approx([25.0, 19.0], abs=1e-9)
    assert at(half, "back", "hem:hem_side") == pytest.approx([25.0, -1.0], abs=1e-9)
    assert at(half, "back", "centre:waist") == pytest.approx([0.0, 19.0], abs=1e-9)
    assert length(half, "back", "side") == pytest.approx(40.0, abs=1e-9)
    assert length(half, "back", "armhole") == pytest.approx(74**0.5 + 9.0, abs=1e-9)
    waist = half.piece("back").line("waist").path
    assert waist.start == pytest.approx([0.0, 19.0], abs=1e-9)
    fold = half.piece("back").edge("centre")
    assert all((run.ctrl[..., 0] == 0.0).all() for run in fold.runs)
    front = {"centre", "hem", "side", "armhole", "shoulder", "neck"}
    stays(toy(), UP, {"front": front, "back": {"shoulder", "neck"}})


def test_front_and_back_still_match_level_by_level() -> None:
    garment = ordinary("dart")
    half, base = made(garment, UP), as_drafted(garment)
    for name in ("hip", "waist"):
        assert step(garment, half, "back", f"side:{name}") == pytest.approx([0, -1], abs=1e-9)
    # of the front only the armhole turns at its end, to run through at the underarm
    for e in garment.piece("front").edges:
        rows = garment.layout.span_ids(("front", e.name))
        off = np.abs(half.ctrl[rows][:, [0, 3]] - base.ctrl[rows][:, [0, 3]]).max()
        assert off < (0.1 if e.name == "armhole" else 5e-4), e.name
    assert length(half, "back", "side") == pytest.approx(length(half, "front", "side"), abs=1e-6)


def test_one_side_is_refused() -> None:
    fitted = fit(ordinary("dart"), [correction("pass_back", "side_seam", 1.0, side="left")])
    assert "same on both sides" in fitted.refused[0].reason


@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(variant: str) -> None:
    holds_together(ordinary(variant), UP)


def test_every_check_passes_on_jackets() -> None:
    good_on_jackets(UP)


@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_moves_what_it_says(variant: str) -> None:
    moves_exactly(
        ordinary(variant),
        UP,
        {
            "back": {"centre", "hem", "side", "armhole"},
            "sleeve": {"cap", "under_back"},
        },
    )
