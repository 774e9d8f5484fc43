"""Sleeve pitch and sleeve length: by hand, and on real drafts."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted, response
from pinwright.fitting.pitch import pitch_marks
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece, edge
from tests.fitting.corrections.claims_jacket import (
    correction,
    good_on_jackets,
    holds_together,
    length,
    made,
    moves_exactly,
    ordinary,
    step,
)
from tests.fitting.corrections.toy_jacket import toy

PITCH = correction("sleeve_pitch", "sleeve", 1.0)
HEM = correction("sleeve_length", "sleeve_hem", 2.0)
ELBOW = correction("sleeve_length", "elbow", 2.0, "next")


def _square_sleeve() -> Piece:
    # cap: up 10 from (20, 0), across 20, down 10: 40 round; notches 6 up each side
    cap = edge(
        "cap",
        "underarm_front",
        Path.line((20, 0), (20, 6)),
        "front_notch",
        Path.line((20, 6), (20, 10)) + Path.line((20, 10), (10, 10)),
        "shoulder",
        Path.line((10, 10), (0, 10)) + Path.line((0, 10), (0, 6)),
        "back_notch",
        Path.line((0, 6), (0, 0)),
        "underarm_back",
    )
    under = edge("hem", "underarm_back", Path.line((0, 0), (20, 0)), "underarm_front")
    return Piece("sleeve", "Sleeve", (under, cap), np.array([[10.0, 1.0], [10.0, 9.0]]))


def test_pitch_marks_on_paper() -> None:
    # The front is at x = 20. For the cuff to swing forward the crown goes back, so the shoulder
    # seam meets cloth 1 in front of the crown, (11, 10); the front notch of the armhole meets
    # (20, 5), 1 nearer the front underarm, the back notch (0, 7). The sleeve's own seam goes
    # forward, so the side seam meets the back of the cap, 1 up from the back underarm.
    marks = pitch_marks(_square_sleeve(), 1.0)
    assert marks["front_notch"] == pytest.approx([20.0, 5.0])
    assert marks["shoulder"] == pytest.approx([11.0, 10.0])
    assert marks["back_notch"] == pytest.approx([0.0, 7.0])
    assert marks["underarm"] == pytest.approx([0.0, 1.0])
    # backward: the side seam meets it 1 up from the front underarm
    assert pitch_marks(_square_sleeve(), -1.0)["underarm"] == pytest.approx([20.0, 1.0])


def test_forward_swings_the_cuff_forward() -> None:
    """Seen from her right side, front at +x: armhole and cap are one ring of 40 round, mark s
    standing at the angle -90 + 360 s / 40 degrees (front underarm s = 0 at the foot, then up the
    front). A sleeve whose crown (s = 20) sits at the armhole's s0 is turned by 360 (s0 - 20) / 40
    degrees, and its cuff, which hung straight down, goes along."""
    marks = pitch_marks(_square_sleeve(), 1.0)
    cap = _square_sleeve().edge("cap").runs[0]
    meets_shoulder_seam = cap.nearest(marks["shoulder"])[0]
    turned = 360.0 * (20.0 - meets_shoulder_seam) / 40.0
    angle = np.radians(-90.0 + turned)
    assert np.cos(angle) > 0.0  # the cuff is in front of plumb


def test_sheets_cut_the_marks_there() -> None:
    """The notches printed on a turned sleeve are the marks of the formula."""
    from pinwright.sheets.notches import notches

    half = made(ordinary("dart"), PITCH)
    marks = pitch_marks(half.piece("sleeve"), half.facts["sleeve_pitch"])
    cut = [n for n in notches(half)["sleeve"] if n.edge == "cap" and n.count > 0]
    printed = {n.name: n.at for n in cut}
    for name in ("front_notch", "shoulder", "back_notch"):
        assert printed[name] == pytest.approx(marks[name], abs=0.02)
    assert any(n.at == pytest.approx(marks["underarm"], abs=0.02) for n in cut)


def test_pitch_changes_marks_and_no_line() -> None:
    garment = ordinary("dart")
    half, base = made(garment, PITCH), as_drafted(garment)
    assert half.facts["sleeve_pitch"] == base.facts.get("sleeve_pitch", 0.0) + 1.0
    assert (half.ctrl == base.ctrl).all()
    before = pitch_marks(base.piece("sleeve"), 0.0)
    now = pitch_marks(half.piece("sleeve"), half.facts["sleeve_pitch"])
    # the front of the sleeve lies at +x
    assert now["shoulder"][0] > before["shoulder"][0] + 0.9
    assert before["shoulder"] == pytest.approx(base.piece("sleeve").point("cap:shoulder"))


def test_hem_goes_down_as_it_is() -> None:
    garment = ordinary("dart")
    half, base = made(garment, HEM), as_drafted(garment)
    for name in ("hem_back", "hem_front", "hem:hem_centre"):
        assert step(garment, half, "sleeve", name) == pytest.approx([0.0, -2.0], abs=0.02)
    assert half.effects["sleeve_length"] == 2.0
    assert length(half, "sleeve", "hem") == pytest.approx(length(base, "sleeve", "hem"), abs=0.02)
    assert (step(garment, half, "sleeve", "under_front:elbow") == 0.0).all()


def test_elbow_keeps_the_elbow_and_the_widths_of_the_next_draft() -> None:
    garment = ordinary("dart")
    half = made(garment, ELBOW)
    assert step(garment, half, "sleeve", "under_front:elbow") == pytest.approx([0, 0], abs=1e-9)
    assert step(garment, half, "sleeve", "hem_front") == pytest.approx([0.0, -2.0], abs=0.03)
    # the cut form gives the same cm at the hem
    cut = made(garment, correction("sleeve_length", "elbow", 2.0))
    assert step(garment, cut, "sleeve", "hem_front") == pytest.approx([0.0, -2.0], abs=0.02)


def test_no_sleeve_is_said_in_words() -> None:
    for kind, place in (("sleeve_pitch", "sleeve"), ("sleeve_length", "elbow")):
        with pytest.raises(CorrectionError, match="The toy jacket has no sleeve"):
            response(toy(), (kind, place, "amount", (), "cut"))


@pytest.mark.parametrize("c", [PITCH, HEM, ELBOW], ids=lambda c: c.place)
def test_algebra(c: Correction) -> None:
    holds_together(ordinary("dart"), c)


@pytest.mark.parametrize("c", [PITCH, HEM, ELBOW], ids=lambda c: c.place)
def test_every_check_passes_on_jackets(c: Correction) -> None:
    good_on_jackets(c)


@pytest.mark.parametrize(
    ("c", "moves"),
    [
        (PITCH, {}),
        (HEM, {"sleeve": {"hem", "under_front", "under_back"}}),
        (ELBOW, {"sleeve": {"hem", "under_front", "under_back"}}),
    ],
    ids=["pitch", "hem", "elbow"],
)
def test_moves_what_it_says(c: Correction, moves: dict[str, set[str]]) -> None:
    moves_exactly(ordinary("dart"), c, moves)
