"""What the ledger refuses, in one sentence each, and what it never loses."""

from __future__ import annotations

from typing import Any

import pytest

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from tests.fitting.drafts import ordinary

SIDE: dict[str, Any] = {"kind": "let_out", "place": "side_seam", "amounts": {"amount": 1.0}}

BAD: dict[str, tuple[dict[str, Any], str]] = {
    "unknown kind": ({"kind": "let_owt"}, "Did you mean let_out"),
    "unknown place": ({"place": "moon"}, "may be"),
    "unknown side": ({"side": "Right"}, "both, right, left"),
    "unknown form": ({"form": "nxt"}, "cut, next"),
    "unknown amount": ({"amounts": {"depth": 1.0}}, "it takes amount"),
    "no amount": ({"amounts": {}}, "no amount"),
    "amount of text": ({"amounts": {"amount": "1"}}, "must be a number"),
    "beyond the limit": ({"amounts": {"amount": 4.5}}, "may be from"),
    "not a number": ({"amounts": {"amount": float("nan")}}, "may be from"),
    "unknown option": ({"options": {"colour": "red"}}, "no option"),
    "bad option": ({"options": {"shape": "wavy"}}, "constant, taper"),
    "taper without levels": ({"options": {"shape": "taper"}}, "two levels"),
    "one level twice": (
        {"options": {"shape": "taper", "from": "hip", "to": "hip"}},
        "two different levels",
    ),
    "a level that is not there": ({"options": {"from": "elbow"}}, "elbow"),
    "a fold on one side": (
        {"kind": "hollow_back", "place": "back_waist", "side": "right"},
        "both sides",
    ),
}


@pytest.mark.parametrize("name", sorted(BAD))
def test_bad_corrections_are_refused_in_one_sentence(name: str) -> None:
    changes, said = BAD[name]
    garment = ordinary("dart")
    fine = Correction("hem", "jacket_hem", "both", {"amount": 1.0})
    fitted = fit(garment, [fine, Correction(**(SIDE | changes))])
    assert len(fitted.refused) == 1
    reason = fitted.refused[0].reason
    assert said in reason
    assert "\n" not in reason
    # the other correction stands
    assert fitted.ledger == (fine,)


def test_amounts_count_together_against_the_limit() -> None:
    """Three times 1.4 per edge is 4.2, and 3 is the most to take in: the third is refused."""
    garment = ordinary("dart")
    one = Correction("let_out", "side_seam", "both", {"amount": -1.4})
    fitted = fit(garment, [one, one, one])
    assert len(fitted.ledger) == 2
    assert "4.2" in fitted.refused[0].reason
    # right and left count apart
    sides = [Correction("let_out", "side_seam", s, {"amount": -2.9}) for s in ("right", "left")]
    assert len(fit(garment, sides).ledger) == 2


def test_a_dart_cannot_be_let_out_past_nothing() -> None:
    garment = ordinary("dart")
    a, b = garment.piece("back").mouth("shoulder dart")
    intake = float(((b - a) ** 2).sum() ** 0.5)
    most = Correction("shoulder_dart_intake", "shoulder_dart", "both", {"amount": -1.4})
    fitted = fit(garment, [most, most])
    assert intake < 2.8
    assert len(fitted.ledger) <= 1
    assert fitted.refused
    assert "dart" in fitted.refused[0].reason


def test_one_leg_alone_keeps_its_fork() -> None:
    garment = ordinary("trousers")
    leg = Correction("let_out", "inseam", "right", {"amount": 0.5})
    assert "fork must stay" in fit(garment, [leg]).refused[0].reason
    stays = Correction("let_out", "inseam", "right", {"amount": 0.5}, {"fork": "stays"})
    fitted = fit(garment, [stays])
    assert not fitted.refused
    for piece, edge in (("front", "centre"), ("back", "seat")):
        rows = garment.layout.span_ids((piece, edge))
        assert fitted.right.lengths[rows].sum() == pytest.approx(
            fitted.left.lengths[rows].sum(), abs=1e-6
        )
