"""Shoulder slope: by hand, and on real drafts."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted
from pinwright.pattern.piece import Piece
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
)
from tests.fitting.corrections.toy_jacket import toy

SLIDE = correction("shoulder_slope", "shoulder", 1.0)
KEEP = correction("shoulder_slope", "shoulder", 1.0, armhole="keep")


def test_sliding_lowers_the_armhole_as_it_is() -> None:
    # Back: underarm (25, 40) to (25, 39), shoulder end (20, 55) to (20, 54), the notch between
    # them too; side 40 - 1. Front: the underarm slides down its own seam, (-0.28, 0.96) long:
    # (21.6 + 0.28, 43.8 - 0.96); sewn side 40 - 1. Neck points stay; the shoulder of 10 drops
    # by 2 u^2 - u^3, its length the integral of sqrt(1 + ((4 u - 3 u^2) / 10)^2) over 10.
    shoulder = 10.0 * quad(lambda u: (1.0 + ((4.0 * u - 3.0 * u * u) / 10.0) ** 2) ** 0.5, 0, 1)[0]
    half = made(toy(), SLIDE)
    assert at(half, "back", "underarm") == pytest.approx([25.0, 39.0], abs=1e-9)
    assert at(half, "back", "back_notch") == pytest.approx([20.0, 45.0], abs=1e-9)
    assert at(half, "front", "underarm") == pytest.approx([21.88, 42.84], abs=1e-9)
    for piece in ("front", "back"):
        assert at(half, piece, "shoulder_tip") == pytest.approx([20.0, 54.0], abs=1e-9)
        assert length(half, piece, "side") == pytest.approx(39.0, abs=1e-9)
        assert length(half, piece, "shoulder") == pytest.approx(shoulder, abs=1e-6)
    base = as_drafted(toy())
    assert length(half, "back", "armhole") == pytest.approx(length(base, "back", "armhole"))
    stays(toy(), SLIDE, {"front": {"neck", "hem", "centre"}, "back": {"neck", "hem", "centre"}})


def test_keeping_the_armhole_shortens_it() -> None:
    # The notch, 6 of the 15 up, drops 0.4; the upright 9 above it becomes 9 - 0.6.
    half = made(toy(), KEEP)
    assert at(half, "back", "underarm") == pytest.approx([25.0, 40.0], abs=1e-12)
    assert at(half, "back", "back_notch") == pytest.approx([20.0, 45.6], abs=1e-9)
    assert length(half, "back", "armhole") == pytest.approx(
        (5.0**2 + 5.6**2) ** 0.5 + 8.4, abs=1e-9
    )
    stays(toy(), KEEP, {"front": {"side"}, "back": {"side"}})


def test_the_sleeve_still_fits_a_slid_armhole() -> None:
    for variant in ("dart", "yoke"):
        garment = ordinary(variant)
        half, base = made(garment, SLIDE), as_drafted(garment)
        round_now = sum(p.edge("armhole").length for p in half.pieces if _has(p, "armhole"))
        before = sum(p.edge("armhole").length for p in base.pieces if _has(p, "armhole"))
        assert round_now == pytest.approx(before, abs=0.1)
        assert half.piece("sleeve") is base.piece("sleeve")


@pytest.mark.parametrize("c", [SLIDE, KEEP], ids=["slide", "keep"])
@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_neck_and_collar_are_not_touched(c: Correction, variant: str) -> None:
    """The shoulder end alone is pinned lower: neckline and collar stay."""
    garment = ordinary(variant)
    half = made(garment, c)
    for piece in half.garment.pieces:
        for edge in piece.edges:
            if edge.name == "neck" or piece.name == "collar":
                rows = garment.layout.span_ids((piece.name, edge.name))
                assert np.abs(half.ctrl[rows] - garment.layout.ctrl[rows]).max() < 1e-6


def _has(piece: Piece, name: str) -> bool:
    return any(e.name == name for e in piece.edges)


@pytest.mark.parametrize("c", [SLIDE, KEEP], ids=["slide", "keep"])
@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(c: Correction, variant: str) -> None:
    holds_together(ordinary(variant), c)


@pytest.mark.parametrize("c", [SLIDE, KEEP], ids=["slide", "keep"])
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c)


@pytest.mark.parametrize(
    ("c", "moves"),
    [
        (SLIDE, {p: {"side", "armhole", "shoulder"} for p in ("front", "back")}),
        (
            KEEP,
            {
                "front": {"armhole", "shoulder"},
                "back": {"armhole", "shoulder"},
                "sleeve": {"cap", "under_front", "under_back"},
            },
        ),
    ],
    ids=["slide", "keep"],
)
def test_moves_what_it_says(c: Correction, moves: dict[str, set[str]]) -> None:
    moves_exactly(ordinary("dart"), c, moves)
