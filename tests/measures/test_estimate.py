"""Completing a record: identities, sources outside our code, real and random bodies."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from pinwright.errors import MeasureError
from pinwright.measures import TERMS, Body, complete, missing, read_record, warnings
from pinwright.measures.bdims import women
from pinwright.measures.models import ASTM, LINES, MODELS
from pinwright.measures.relations import (
    bust_from_upper_chest,
    girth_below_waist,
    part_below_waist,
    upper_chest_from_bust,
)

BASE: dict[str, object] = {"height": 168, "bust_girth": 92, "waist_girth": 74.5, "hip_girth": 99}


def body_of(**measures: object) -> Body:
    return complete(read_record({**BASE, **measures}))


def check_whole(body: Body) -> None:
    """What must hold on any body whose parts were not taped at odds."""
    b = body
    assert set(b.values) == set(TERMS)
    assert set(b.given) | set(b.estimated) == set(TERMS)
    assert not set(b.given) & set(b.estimated)
    for name, term in TERMS.items():
        assert math.isfinite(b[name])
        assert term.low <= b[name] <= term.high
    for name, estimate in b.estimated.items():
        assert estimate.value == b[name]
        assert estimate.standard_error > 0 or name in ("worn_waist_drop", "heel_height",
                                                       "worn_waist_girth")  # fmt: skip
        assert estimate.model
        assert estimate.source
    for level in ("bust", "waist", "hip"):
        whole = b[f"{level}_front_arc"] + b[f"{level}_back_arc"]
        assert whole == pytest.approx(b[f"{level}_girth"], abs=1e-9)
    crotch = b["front_crotch_length"] + b["back_crotch_length"]
    assert crotch == pytest.approx(b["total_crotch_length"], abs=1e-9)
    assert b["outside_leg"] == pytest.approx(b["inside_leg"] + b["body_rise"], abs=1e-9)
    wrist = b["arm_length"] + b["across_back_shoulder_width"] / 2
    assert b["back_neck_to_wrist"] == pytest.approx(wrist, abs=1e-9)


def check_sane(b: Body) -> None:
    """Order of sizes on any woman."""
    assert b["ankle_girth"] < b["calf_girth"]
    assert b["knee_girth"] < b["mid_thigh_girth"] < b["thigh_girth"] < b["hip_girth"]
    assert b["wrist_girth"] < b["elbow_girth"] < b["upper_arm_girth"] + 3
    assert b["neck_girth"] < b["neck_base_girth"] < b["bust_girth"]
    assert b["across_front_width"] < b["bust_front_arc"]
    assert b["across_back_width"] < b["bust_back_arc"]
    assert b["across_back_width"] < b["across_back_shoulder_width"]
    assert 2 * b["shoulder_length"] < b["across_back_shoulder_width"] - 8
    assert b["scye_depth"] < b["back_waist_length"] - 11
    assert b["side_neck_to_bust_point"] < b["front_waist_length"] - 8
    assert b["front_neck_to_waist"] < b["front_waist_length"]
    assert b["waist_to_hip"] < b["body_rise"] - 2
    assert b["body_rise"] < b["waist_to_knee"] - 15 < b["outside_leg"]
    assert b["cervical_height"] < b["height"] * 0.9
    assert b["waist_girth"] <= b["worn_waist_girth"] <= b["top_hip_girth"] <= b["hip_girth"]
    assert b["total_crotch_length"] > 2 * b["body_rise"]


def test_all_260_women_complete() -> None:
    for woman in women():
        for known in (set(woman), {"height", "bust_girth", "waist_girth", "hip_girth"},
                      {"height", "waist_girth", "hip_girth"}):  # fmt: skip
            record = read_record({k: v for k, v in woman.items() if k in known})
            body = complete(record)
            check_whole(body)
            check_sane(body)
            for term in known:
                assert body[term] == woman[term]


GIRTHS = st.fixed_dictionaries(
    {
        "height": st.floats(150, 185),
        "waist_girth": st.floats(58, 110),
    },
    optional={
        "back_waist_length": st.floats(37, 45),
        "across_back_width": st.floats(31, 42),
        "arm_length": st.floats(52, 64),
        "body_rise": st.floats(24, 34),
        "inside_leg": st.floats(70, 86),
        "top_hip_girth": st.floats(75, 130),
        "neck_base_girth": st.floats(34, 44),
        "shoulder_length": st.floats(11, 14.5),
        "worn_waist_drop": st.floats(0, 8),
        "shoulder_slope_left": st.floats(14, 28),
        "front_waist_length": st.floats(41, 50),
    },
)


@given(GIRTHS, st.floats(6, 35), st.floats(4, 34), st.none() | st.floats(-8, 8))
@settings(deadline=None, max_examples=300)
def test_random_bodies_complete(
    measures: dict[str, object], more: float, fuller: float, heavier: float | None
) -> None:
    waist, height = measures["waist_girth"], measures["height"]
    assert isinstance(waist, float)
    assert isinstance(height, float)
    hip = min(140.0, max(80.0, waist + more))
    measures["bust_girth"] = max(78.0, waist + fuller)
    if heavier is not None:  # about the weight whose hip this is (sources 6.2)
        measures["weight"] = max(38.0, (hip - 73.51 + 0.1178 * height) / 0.6859 + heavier)
    body = complete(read_record({**measures, "hip_girth": hip}))
    check_whole(body)
    for term, value in measures.items():
        if term != "shoulder_slope_left":
            assert body[term] == value


@given(st.data())
@settings(deadline=None, max_examples=200)
def test_anything_possible_completes_or_is_refused_in_a_sentence(data: st.DataObject) -> None:
    """Values anywhere between the impossible limits, in any combination."""
    names = data.draw(st.sets(st.sampled_from(sorted(TERMS)))) | {
        "height",
        "waist_girth",
        "hip_girth",
    }
    measures = {n: data.draw(st.floats(TERMS[n].low, TERMS[n].high), n) for n in sorted(names)}
    record = read_record(measures)
    for warning in warnings(record):
        assert warning.message.endswith(".")
    try:
        body = complete(record)
    except MeasureError as error:
        refusal = str(error)
    else:
        refusal = ""
    if refusal:
        event("refused")
        assert "outside the possible" in refusal
        return
    for name, term in TERMS.items():
        assert term.low <= body[name] <= term.high
        assert name not in measures or body[name] == measures[name]


def test_given_measures_are_never_changed_and_rule_their_neighbours() -> None:
    assert body_of(bust_back_arc=42)["bust_front_arc"] == pytest.approx(50)
    assert body_of(hip_front_arc=47)["hip_back_arc"] == pytest.approx(52)
    crotch = body_of(total_crotch_length=74, back_crotch_length=42)
    assert crotch["front_crotch_length"] == pytest.approx(32)
    both = body_of(front_crotch_length=31, back_crotch_length=40)
    assert both["total_crotch_length"] == pytest.approx(71)
    leg = body_of(outside_leg=107, inside_leg=79)
    assert leg["body_rise"] == pytest.approx(28)
    arm = body_of(back_neck_to_wrist=80, across_back_shoulder_width=41)
    assert arm["arm_length"] == pytest.approx(59.5)
    assert body_of(body_rise=31)["total_crotch_length"] > body_of()["total_crotch_length"] + 3
    assert body_of(thigh_girth=65)["mid_thigh_girth"] > body_of()["mid_thigh_girth"] + 3
    odd = body_of(bust_front_arc=50, bust_back_arc=45)
    assert (odd["bust_front_arc"], odd["bust_back_arc"]) == (50, 45)


def test_standard_errors_add_as_independent_shares() -> None:
    """By hand: total = 2 rise + 0.13 hip; rise s 1.5, own s 2.5, so sqrt(9 + 6.25) = 3.905;
    front 0.45 of it and 1.2 of its own; back 0.55 of it and the same 1.2."""
    body = body_of()
    total = math.sqrt(2.0**2 * 1.5**2 + 2.5**2)
    assert body.standard_error("total_crotch_length") == pytest.approx(total)
    assert body.standard_error("front_crotch_length") == pytest.approx(
        math.hypot(0.45 * total, 1.2)
    )
    assert body.standard_error("back_crotch_length") == pytest.approx(
        math.sqrt((0.55 * total) ** 2 + 1.2**2 + 0.5**2)
    )
    assert body.standard_error("height") == 0.0
    # two models of the rise, each with s 1.5: by hand the mean has half the squares' sum
    pooled = body_of(total_crotch_length=72)
    assert pooled["body_rise"] == pytest.approx(((0.32 + 16.8 + 0.12 * 99) + (36 - 0.065 * 99)) / 2)
    assert pooled.standard_error("body_rise") == pytest.approx(1.5 / math.sqrt(2))


def test_more_taped_is_never_less_sure() -> None:
    few = body_of()
    more = body_of(weight=66, thigh_girth=59, upper_chest_girth=90)
    for term in ("knee_girth", "calf_girth", "wrist_girth", "across_back_width", "neck_girth"):
        assert more.standard_error(term) < few.standard_error(term)


INCH_ROWS = {  # ASTM D5585-11e1 Table 1, sizes 8, 10, 12 (sources 1.4)
    "bust_girth": (36.25, 37.25, 38.75),
    "upper_chest_girth": (35.875, 36.75, 38.0),
    "under_bust_girth": (30.0, 31.0, 32.5),
    "neck_base_girth": (14.625, 14.875, 15.125),
    "neck_girth": (13.625, 13.875, 14.25),
}


def test_astm_lines_are_the_least_squares_through_its_rows() -> None:
    chest = np.array(INCH_ROWS["upper_chest_girth"]) * 2.54
    for term in ("neck_base_girth", "neck_girth"):
        slope, constant = np.polyfit(chest, np.array(INCH_ROWS[term]) * 2.54, 1)
        line = next(m for m in LINES if m.target == term and m.source == ASTM and not m.needs)
        assert dict(line.slopes)["upper_chest_girth"] == pytest.approx(slope, abs=0.0001)
        at = float(chest.mean())
        ours = line.constant + line.slopes[0][1] * at
        assert ours == pytest.approx(constant + slope * at, abs=0.02)


def test_neck_ratio_is_the_mean_of_the_rows() -> None:
    ratio = np.mean(np.array(INCH_ROWS["neck_base_girth"]) / np.array(INCH_ROWS["neck_girth"]))
    for target, expected in (("neck_base_girth", ratio), ("neck_girth", 1 / ratio)):
        line = next(m for m in LINES if m.target == target and m.needs)
        assert line.slopes[0][1] == pytest.approx(expected, abs=0.001)


def test_astm_bust_rows() -> None:
    rows = zip(
        INCH_ROWS["upper_chest_girth"],
        INCH_ROWS["bust_girth"],
        INCH_ROWS["under_bust_girth"],
        strict=True,
    )
    for chest, bust, under in rows:
        assert bust_from_upper_chest(chest * 2.54) == pytest.approx(bust * 2.54, abs=0.1)
        estimated = body_of(bust_girth=bust * 2.54, under_bust_girth=under * 2.54)
        assert body_of(bust_girth=bust * 2.54)["under_bust_girth"] == pytest.approx(
            under * 2.54, abs=0.1
        )
        assert estimated["bust_girth"] == bust * 2.54


@given(st.floats(60, 170))
def test_bust_and_upper_chest_invert(chest: float) -> None:
    bust = bust_from_upper_chest(chest)
    assert bust > chest
    assert upper_chest_from_bust(bust) == pytest.approx(chest, abs=1e-9)


@given(st.floats(50, 120), st.floats(1, 40), st.floats(0, 1))
def test_levels_below_the_waist_invert(waist: float, more: float, part: float) -> None:
    girth = girth_below_waist(waist, waist + more, part)
    assert waist - 1e-9 <= girth <= waist + more + 1e-9
    # the parabola is level at the hip: its inverse loses half the digits there
    assert part_below_waist(waist, waist + more, girth) == pytest.approx(part, abs=1e-6)


def test_the_worn_waist_follows_its_drop_and_back() -> None:
    """By hand: half way to the hip 74.5 + 0.75 x 24.5 = 92.875; drop 4 of 20 is part 0.2, so
    74.5 + 24.5 x 0.2 x 1.8 = 83.32."""
    body = body_of(waist_to_hip=20, worn_waist_drop=4)
    assert body["top_hip_girth"] == pytest.approx(92.875)
    assert body["worn_waist_girth"] == pytest.approx(83.32)
    again = body_of(waist_to_hip=20, worn_waist_girth=83.32)
    assert again["worn_waist_drop"] == pytest.approx(4.0)
    assert body_of()["worn_waist_girth"] == 74.5
    taped = body_of(waist_to_hip=20, worn_waist_drop=10, top_hip_girth=95)
    assert taped["worn_waist_girth"] == pytest.approx(95)


def test_sides_reach_the_body() -> None:
    body = body_of(shoulder_slope_left=24, shoulder_slope_right=20)
    assert body.side("shoulder_slope", "left") == 24
    assert body.side("shoulder_slope", "right") == 20
    assert body["shoulder_slope"] == 22
    assert body.side("waist_girth", "left") == 74.5


def test_what_must_be_taped() -> None:
    record = read_record({"height": 168, "waist_girth": 74.5, "hip_girth": 99})
    assert missing(record, ["trousers"]) == ()
    assert missing(record, ["jacket"]) == ("bust_girth",)
    complete(record, ["trousers"])
    with pytest.raises(MeasureError, match=r"^bust_girth: must be taped"):
        complete(record, ["jacket"])
    with pytest.raises(MeasureError, match="height, hip_girth"):
        complete(read_record({"waist_girth": 74.5}))


def test_measures_at_odds_are_refused_not_hidden() -> None:
    with pytest.raises(MeasureError, match=r"^hip_back_arc: the estimate 21\.0 cm .*outside"):
        body_of(hip_front_arc=78)


def test_bodies_are_frozen_and_travel_between_processes() -> None:
    body = body_of(shoulder_slope_left=24)
    with pytest.raises(TypeError):
        body.values["height"] = 1.0  # type: ignore[index]
    copy = pickle.loads(pickle.dumps(body))
    assert copy == body
    assert hash(copy) == hash(body)
    with pytest.raises(MeasureError, match="is not a measure"):
        body["wasit_girth"]
    with pytest.raises(MeasureError, match=r"^waist_girth: the order's measures do not have it"):
        Body({}, {}, {}, {})["waist_girth"]


def test_every_model_names_real_measures_filled_before_it() -> None:
    outside = {"biacromial_breadth", "forearm_girth"}
    filled = set(outside) | {"height", "weight", "bust_girth", "upper_chest_girth", "waist_girth",
                             "hip_girth", "thigh_girth", "upper_arm_girth", "knee_girth",
                             "calf_girth", "ankle_girth", "wrist_girth"}  # fmt: skip
    for target, lines in MODELS:
        assert target in TERMS
        assert any(not m.needs for m in lines), target
        for line in lines:
            assert line.source
            assert {name for name, _ in line.slopes} <= filled | set(line.needs)
        filled.add(target)
    assert set(TERMS) - filled == {"top_hip_girth", "worn_waist_girth"}
