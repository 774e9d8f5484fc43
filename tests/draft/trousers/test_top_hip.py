"""Trousers go round the body half way between waist and hip, slim ones too.

The body's girth there is the record's estimate, three quarters of the way from waist to hip girth:
87.5 of waist 68 and hip 94, by hand. That it is not too large: openintro bdims taped its women at
navel and hip bone, higher up, and found more than half of the way already (the mean of 260).
"""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.check.static_ease import garment_girths
from pinwright.fitting.ledger import fit
from pinwright.measures import bdims, complete, read_record
from pinwright.measures.estimate import Body

from .bodies import body, trousers
from .remeasure import women_sample

ISO_20685 = 0.9
"""By so much, cm, may a large girth differ between two ways of measuring it (sources 1.3)."""


def room(client: Body, **choices: object) -> float:
    """The trousers' girth half way from waist to hip level, less the body's there, cm."""
    half_way = {"top_hip": -client["waist_to_hip"] / 2.0}
    found = garment_girths(fit(trousers(client, **choices), []), half_way)
    return next(g.whole for g in found if g.level == "top_hip") - client["top_hip_girth"]


def test_the_estimate_by_hand() -> None:
    assert body()["top_hip_girth"] == pytest.approx(68.0 + 0.75 * 26.0)


def test_at_navel_and_hip_bone_women_are_over_half_way_to_their_hip() -> None:
    data = {name: np.array(values) for name, values in bdims.columns().items()}
    rise = data["hip_girth"] - data["waist_girth"]
    assert np.mean((data["navel_girth"] - data["waist_girth"]) / rise) > 0.5


def test_slim_trousers_go_round_the_textbook_body() -> None:
    """Ease 0.5 at the waist and 2 at the hip: half way it lies between them."""
    assert 0.5 < room(body(), fit="slim") < 2.0


def test_slim_is_closer_than_regular_and_regular_than_loose() -> None:
    slim, regular, loose = (room(body(), fit=f) for f in ("slim", "regular", "loose"))
    assert slim < regular < loose


def test_slim_trousers_go_round_women() -> None:
    """As a rule with the ease of a slim waist, and none is small by more than tapes differ."""
    rooms = [room(complete(read_record(w)), fit="slim") for w in women_sample(13)]
    assert len(rooms) == 20
    assert np.mean(rooms) > 0.5
    assert min(rooms) > -ISO_20685
