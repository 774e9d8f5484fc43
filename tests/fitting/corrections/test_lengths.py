"""Body length: by hand, and on real drafts."""

from __future__ import annotations

import pytest

from pinwright.fitting.correction import Correction, Form
from pinwright.fitting.corrections.lengths import zone
from pinwright.fitting.ledger import fit
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


def longer(where: str, form: Form = "next") -> Correction:
    return correction("body_length", "body", 1.0, form, at=where)


ALL = [longer("bust"), longer("waist"), longer("hip"), longer("hem", "cut")]


def test_waist_on_paper() -> None:
    # The lowest of dart, point and underarm is the mouth's end at 30, so the cloth is added
    # between 28 and the waist at 20: waist and hem go down 1 at every x, the sides are 41.
    assert zone(toy(), "waist") == (28.0, 20.0)
    half = made(toy(), longer("waist"))
    for piece in ("front", "back"):
        assert at(half, piece, "centre:hem_centre") == pytest.approx([0.0, -1.0], abs=1e-9)
        assert at(half, piece, "side:waist") == pytest.approx([25.0, 19.0], abs=1e-9)
        assert length(half, piece, "side") == pytest.approx(41.0, abs=1e-9)
    top = {"armhole", "shoulder", "neck"}
    stays(toy(), longer("waist"), {"front": top, "back": top})
    assert half.effects["back_length"] == 1.0


def test_below_the_bust_dart_on_paper() -> None:
    # From the mouth's end at 30 over 8 cm.
    assert zone(toy(), "bust") == (30.0, 22.0)


def test_hem_on_paper() -> None:
    half = made(toy(), longer("hem", "cut"))
    for piece in ("front", "back"):
        assert at(half, piece, "hem:hem_side") == pytest.approx([25.0, -1.0], abs=1e-9)
        assert (step(toy(), half, piece, "side:waist") == 0).all()


def test_waist_and_hip_widths_do_not_change() -> None:
    garment = ordinary("dart")
    for c in ALL:
        half = made(garment, c)
        for name in ("waist", "hip"):
            across = at(half, "front", f"side:{name}") - at(half, "front", f"front_edge:{name}")
            before = garment.piece("front").point(f"side:{name}") - garment.piece("front").point(
                f"front_edge:{name}"
            )
            assert across[0] == pytest.approx(before[0], abs=1e-9)


def test_cut_cloth_is_lengthened_at_the_hem_only() -> None:
    for where in ("bust", "waist", "hip"):
        fitted = fit(ordinary("dart"), [longer(where, "cut")])
        assert "cloth already cut" in fitted.refused[0].reason


@pytest.mark.parametrize("c", ALL, ids=lambda c: str(c.options["at"]))
@pytest.mark.parametrize("variant", ["dart", "yoke"])
def test_algebra(c: Correction, variant: str) -> None:
    holds_together(ordinary(variant), c)


@pytest.mark.parametrize("c", ALL, ids=lambda c: str(c.options["at"]))
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c)


@pytest.mark.parametrize("c", ALL, ids=lambda c: str(c.options["at"]))
def test_moves_what_it_says(c: Correction) -> None:
    moves_exactly(
        ordinary("dart"),
        c,
        {"front": {"front_edge", "hem", "side"}, "back": {"centre", "hem", "side"}},
    )
