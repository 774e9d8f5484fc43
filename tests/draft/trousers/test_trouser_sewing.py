"""Every draft sews together: seams, run-throughs, darts, outlines and finished measures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.draft.styles.trousers import STYLE
from pinwright.errors import PinwrightError
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment

from .bodies import body, trousers
from .remeasure import (
    dart_faults,
    kink,
    measured,
    mismatch,
    ring,
    span_length,
    span_length_adaptive,
    women_sample,
)

CHOICES: tuple[dict[str, object], ...] = (
    {},
    {"fit": "slim", "hem": "turn-up", "turn_up": 3.0},
    {"fit": "loose", "band": "shaped", "waist": "eased"},
    {"fit": "loose", "gather_front": 4.0, "gather_back": 8.0, "band_centre_back": "fold"},
)


def holds_together(garment: Garment) -> None:
    """Assert all of it, each with what is wrong in the message."""
    for seam in garment.seams:
        off = np.abs(mismatch(garment, seam)).max()
        assert off < 1e-6, f"{seam.name} seam: {off}"
    for junction in garment.junctions:
        assert abs(kink(garment, junction)) < 1e-6, junction.name
    for piece in garment.pieces:
        shape = ring(piece)
        assert shape.is_valid, f"{piece.name} crosses itself"
        assert shape.exterior.is_ccw, piece.name
        for dart in piece.darts:
            legs, across, intake = dart_faults(piece, dart)
            assert abs(legs) < 1e-9, f"{dart.name} legs"
            assert abs(across) < 1e-6, f"{dart.name} run-through"
            assert 0.5 < intake < 4.0, f"{dart.name} intake {intake}"
    for target in garment.targets:
        assert measured(garment, target) == pytest.approx(target.value, abs=1e-5), target.name


def test_quadrature_of_this_test_agrees_with_adaptive_quadrature() -> None:
    garment = trousers(body())
    for piece in garment.pieces[:2]:
        for edge in piece.edges:
            for run in edge.runs:
                for cubic in run.ctrl:
                    assert span_length(cubic) == pytest.approx(
                        span_length_adaptive(cubic), abs=1e-9
                    )


@pytest.mark.parametrize("choices", CHOICES, ids=str)
def test_one_client(choices: dict[str, object]) -> None:
    holds_together(trousers(body(), **choices))


@pytest.mark.parametrize("fit", ["slim", "regular", "loose"])
def test_women_of_the_open_data_set(fit: str) -> None:
    for woman in women_sample(13):
        holds_together(trousers(complete(read_record(woman)), fit=fit))


@pytest.mark.prove
@pytest.mark.parametrize("fit", ["slim", "regular", "loose"])
def test_all_women_of_the_open_data_set(fit: str) -> None:
    for woman in women_sample(1):
        holds_together(trousers(complete(read_record(woman)), fit=fit))


@st.composite
def sane_bodies(draw: st.DrawFn) -> Body:
    waist = draw(st.floats(58.0, 130.0))
    hip = draw(st.floats(max(80.0, 0.92 * waist), min(140.0, 1.5 * waist)))
    height = draw(st.floats(145.0, 190.0))
    drop = draw(st.sampled_from([0.0, 0.0, 2.0, 5.0]))
    return complete(
        read_record(
            {"height": height, "waist_girth": waist, "hip_girth": hip, "worn_waist_drop": drop}
        )
    )


@settings(max_examples=60, deadline=None)
@given(client=sane_bodies(), choices=st.sampled_from(CHOICES))
def test_any_sane_body_drafts(client: Body, choices: dict[str, object]) -> None:
    garment = trousers(client, **choices)
    holds_together(garment)
    for piece in STYLE.derive({p.name: p for p in garment.pieces}, garment):
        assert ring(piece).is_valid, piece.name


@settings(max_examples=60, deadline=None)
@given(
    client=st.fixed_dictionaries(
        {
            "height": st.floats(120.0, 220.0),
            "waist_girth": st.floats(45.0, 180.0),
            "hip_girth": st.floats(60.0, 190.0),
            "body_rise": st.floats(15.0, 45.0),
            "outside_leg": st.floats(70.0, 130.0),
            "front_crotch_length": st.floats(18.0, 50.0),
            "back_crotch_length": st.floats(22.0, 60.0),
        }
    )
)
def test_absurd_bodies_draft_or_are_refused_in_a_sentence(client: dict[str, object]) -> None:
    try:
        garment = trousers(complete(read_record(client)))
    except PinwrightError as refusal:
        said = str(refusal)
        assert said.endswith((".", "choices.", ")"))
        assert "\n" not in said
        return
    for piece in garment.pieces:
        assert ring(piece).is_valid, piece.name
    for junction in garment.junctions:
        assert abs(kink(garment, junction)) < 1e-6, junction.name
