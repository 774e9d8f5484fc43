"""Every sane body gets a jacket that sews together: open data and random bodies."""

from __future__ import annotations

import os
from itertools import cycle, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.draft.blocks.jacket import EASE
from pinwright.draft.features.bust_dart import closing
from pinwright.errors import DraftError, MeasureError
from pinwright.measures.bdims import women
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment

from .sewing import BACKS, DARTS, EASES, derived, draft, kinks, outline, stretches

CHOICES = tuple(
    {"ease": e, "back": b, "bust_dart": d, "back_hem_drop": h}
    for e, b, d, h in product(EASES, BACKS, DARTS, (0.0, 3.0))
)


def check(client: Body, choices: dict[str, object]) -> None:
    g = draft(client, **choices)
    for where, plan, difference in stretches(g):
        assert difference == pytest.approx(plan.planned, abs=2e-5), where
    for where, kink in kinks(g):
        assert kink == pytest.approx(0.0, abs=1e-6), where
    for piece in (*g.pieces, *derived(g)):
        assert outline(piece).is_valid, piece.name
    drawn = {t.name: t for t in g.targets}
    assert drawn["upper_arm"].ease >= 5.0 - 1e-6
    # sewn, with the bust dart closed, the underarm has exactly half the bust and its ease
    front, back = g.piece("front"), g.piece("back")
    under = front.point("side:underarm")
    if choices["bust_dart"] != "armhole":
        under = closing(front, "bust dart").apply(under)
    half = float(under[0] + back.point("side:underarm")[0])
    ease = EASE[str(choices["ease"])].bust
    assert half == pytest.approx((client["bust_girth"] + ease) / 2.0, abs=1e-9)
    assert float(under[1]) == pytest.approx(float(back.point("side:underarm")[1]), abs=1e-9)
    assert g.facts["armhole"] / client["bust_girth"] < 0.75
    # the armhole hangs below the body's underarm and the hem below its hip
    assert (
        float(g.piece("back").point("side:underarm")[1])
        < client["back_waist_length"] - (client["scye_depth"])
    )
    assert float(g.piece("back").point("hem_side")[1]) < -client["waist_to_hip"]


BODIES = [complete(read_record(w)) for w in women()]


@pytest.mark.parametrize("index", range(0, len(BODIES), 9))
def test_open_data_women_get_a_jacket(index: int) -> None:
    """Every ninth of the 260 with a choice of her own: robustness, not fit (no trunk lengths)."""
    check(BODIES[index], CHOICES[index % len(CHOICES)])


@pytest.mark.prove
def test_open_data_women_get_every_jacket() -> None:
    """Every fifth of them; all with PINWRIGHT_PROVE=1, which takes three minutes."""
    every = 1 if os.environ.get("PINWRIGHT_PROVE") else 5
    for client, choices in list(zip(BODIES, cycle(CHOICES), strict=False))[::every]:
        check(client, choices)
        for other in CHOICES[::7]:
            check(client, other)


@given(
    height=st.floats(145.0, 190.0),
    waist=st.floats(58.0, 130.0),
    over_waist=st.floats(6.0, 28.0),
    over_bust=st.floats(-8.0, 25.0),
    choices=st.sampled_from(CHOICES),
)
@settings(max_examples=40, deadline=None)
def test_random_sane_bodies_get_a_jacket(
    height: float, waist: float, over_waist: float, over_bust: float, choices: dict[str, object]
) -> None:
    bust = min(max(waist + over_waist, 74.0), 145.0)
    hip = min(max(bust + over_bust, 80.0), 145.0)
    measures = {"height": height, "waist_girth": waist, "bust_girth": bust, "hip_girth": hip}
    try:
        client = complete(read_record(measures))
    except MeasureError:
        return  # the body itself is refused, with its own reason
    check(client, choices)


@given(
    scale=st.lists(st.floats(0.8, 1.25), min_size=len(("a", "b", "c", "d", "e", "f")), max_size=6),
    choices=st.sampled_from(CHOICES),
)
@settings(max_examples=60, deadline=None)
def test_bodies_at_odds_with_themselves_are_drafted_or_refused_with_a_reason(
    scale: list[float], choices: dict[str, object]
) -> None:
    """Measures a quarter off in any direction: a true jacket or one clear sentence, no third."""
    base = BODIES[17]
    terms = (
        "across_back_width",
        "across_front_width",
        "scye_depth",
        "front_waist_length",
        "bust_point_width",
        "shoulder_length",
    )
    values = {**base.values, **{t: base[t] * s for t, s in zip(terms, scale, strict=True)}}
    client = Body(values, base.given, base.estimated, base.sides)
    g: Garment | None
    sentence = ""
    try:
        g = draft(client, **choices)
    except DraftError as refused:
        sentence = str(refused)
        g = None
    if g is None:
        assert sentence.startswith("jacket: ")
        assert sentence.endswith(".")
        assert "\n" not in sentence
        return
    for where, plan, difference in stretches(g):
        assert difference == pytest.approx(plan.planned, abs=2e-5), where
    for where, kink in kinks(g):
        assert kink == pytest.approx(0.0, abs=1e-6), where
    for piece in (*g.pieces, *derived(g)):
        polygon = outline(piece)
        assert polygon.is_valid, piece.name
        assert np.isfinite(polygon.area)
        assert polygon.area > 20.0
