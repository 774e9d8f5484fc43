"""Armhole depth: by hand, and on real drafts."""

from __future__ import annotations

import pytest

from pinwright.fitting.ledger import as_drafted
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

DEEPER = correction("armhole_depth", "armhole", 1.0)


def test_underarm_goes_down_the_side() -> None:
    # Back (25, 40) to (25, 39), side 39, and from there straight to the notch (20, 46):
    # sqrt(25 + 49) + 9. Front (21.6, 43.8) to (21.88, 42.84), sewn side 39.
    half = made(toy(), DEEPER)
    assert at(half, "back", "underarm") == pytest.approx([25.0, 39.0], abs=1e-9)
    assert at(half, "front", "underarm") == pytest.approx([21.88, 42.84], abs=1e-9)
    for piece in ("front", "back"):
        assert length(half, piece, "side") == pytest.approx(39.0, abs=1e-9)
    assert length(half, "back", "armhole") == pytest.approx(74**0.5 + 9.0, abs=1e-9)
    rest = {"hem", "centre", "shoulder", "neck"}
    stays(toy(), DEEPER, {"front": rest, "back": rest})


def test_sleeve_goes_down_by_the_same() -> None:
    garment = ordinary("dart")
    half, base = made(garment, DEEPER), as_drafted(garment)
    for name in ("under_front", "under_back"):
        assert length(half, "sleeve", name) == pytest.approx(
            length(base, "sleeve", name) - 1.0, abs=0.05
        )
    for name in ("front_notch", "shoulder", "back_notch"):
        row, col = garment.layout.station_row("sleeve", f"cap:{name}")
        assert (half.ctrl[row, col] == base.ctrl[row, col]).all()


@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(variant: str) -> None:
    holds_together(ordinary(variant), DEEPER)


def test_every_check_passes_on_jackets() -> None:
    good_on_jackets(DEEPER)


def test_moves_what_it_says() -> None:
    moves_exactly(
        ordinary("dart"),
        DEEPER,
        {
            "front": {"side", "armhole"},
            "back": {"side", "armhole"},
            "sleeve": {"cap", "under_front", "under_back"},
        },
    )
