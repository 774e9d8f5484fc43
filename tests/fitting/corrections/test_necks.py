"""Neck point and neckline: by hand, and on real drafts."""

from __future__ import annotations

import pytest

from pinwright.fitting.correction import Correction
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
    step,
)
from tests.fitting.corrections.toy_jacket import toy

WIDER = correction("neck_point", "neck_point", 0.8)
FRONT = correction("neckline", "front_neck", 1.0)
BACK = correction("neckline", "back_neck", 1.0)


def test_neck_point_slides_along_the_shoulder() -> None:
    # The level shoulder from (20, 55) to (10, 55): 0.8 out is (10.8, 55), 9.2 long; the straight
    # neck to (0, 50) is sqrt(10.8^2 + 25) long.
    half = made(toy(), WIDER)
    for piece in ("front", "back"):
        assert at(half, piece, "neck_point") == pytest.approx([10.8, 55.0], abs=1e-9)
        assert length(half, piece, "shoulder") == pytest.approx(9.2, abs=1e-9)
        assert length(half, piece, "neck") == pytest.approx((10.8**2 + 25) ** 0.5, abs=1e-9)
    rest = {"side", "hem", "centre", "armhole"}
    stays(toy(), WIDER, {"front": rest, "back": rest})


@pytest.mark.parametrize(("c", "piece"), [(FRONT, "front"), (BACK, "back")])
def test_neckline_goes_down_at_the_centre(c: Correction, piece: str) -> None:
    # (0, 50) to (0, 49); the neck is straight to (10, 55), so sqrt(100 + 36) long.
    half = made(toy(), c)
    assert at(half, piece, "centre:neck_centre") == pytest.approx([0.0, 49.0], abs=1e-9)
    assert length(half, piece, "neck") == pytest.approx(136**0.5, abs=1e-9)
    assert (step(toy(), half, piece, "neck_point") == 0).all()
    stays(toy(), c, {"front": {"shoulder", "armhole"}, "back": {"shoulder", "armhole"}})


def test_collar_follows() -> None:
    garment = ordinary("dart")
    base = as_drafted(garment)
    for c in (WIDER, FRONT, BACK):
        half = made(garment, c)
        neck = length(half, "front", "neck") + length(half, "back", "neck")
        before = length(base, "front", "neck") + length(base, "back", "neck")
        assert neck > before + 0.3
        planned = length(base, "collar", "neck") - before
        assert length(half, "collar", "neck") - neck == pytest.approx(planned, abs=0.1)


@pytest.mark.parametrize("c", [WIDER, FRONT, BACK], ids=lambda c: c.place)
@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(c: Correction, variant: str) -> None:
    holds_together(ordinary(variant), c)


@pytest.mark.parametrize("c", [WIDER, FRONT, BACK], ids=lambda c: c.place)
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c)


COLLAR = {"neck", "centre", "outer"}


@pytest.mark.parametrize(
    ("c", "moves"),
    [
        (
            WIDER,
            {"front": {"shoulder", "neck"}, "back": {"shoulder", "neck"}, "collar": COLLAR},
        ),
        (FRONT, {"front": {"front_edge", "neck", "stand_top"}, "collar": COLLAR}),
        (BACK, {"back": {"centre", "neck"}, "collar": COLLAR}),
    ],
    ids=["wider", "front", "back"],
)
def test_moves_what_it_says(c: Correction, moves: dict[str, set[str]]) -> None:
    moves_exactly(ordinary("dart"), c, moves)
