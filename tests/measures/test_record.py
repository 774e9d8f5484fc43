"""Records: what is refused, what is kept, left and right."""

from __future__ import annotations

import pickle

import pytest

from pinwright.errors import MeasureError
from pinwright.measures import TERMS, read_record
from pinwright.measures.estimate import ALWAYS_NEEDED

GIVEN: dict[str, object] = {
    "height": 168,
    "bust_girth": 92,
    "waist_girth": "29 1/4 in",
    "hip_girth": 99,
}


def refusal(measures: dict[str, object]) -> str:
    with pytest.raises(MeasureError) as caught:
        read_record(measures)
    message = str(caught.value)
    assert "\n" not in message
    assert message[-1] in ".?"
    return message


def test_catalogue_is_whole() -> None:
    assert len(TERMS) >= 36
    for name, term in TERMS.items():
        assert name == term.name
        assert term.low <= term.usual_low < term.usual_high <= term.high
        assert term.definition.endswith(".")
        assert term.how.endswith(".")
        assert term.landmarks
        assert all(term.landmarks)
        assert set(term.required) <= set(term.garments) <= {"trousers", "jacket"}
        assert term.iso_note
    required = {name for name, term in TERMS.items() if term.required}
    assert required == {"height", "bust_girth", "waist_girth", "hip_girth"}
    assert set(ALWAYS_NEEDED) <= required


def test_clause_numbers_are_those_of_the_listing() -> None:
    """sources 1.2, the starred rows (second-hand listing of ISO 8559-1:2017)."""
    listed = {
        "bust_girth": "5.3.4", "under_bust_girth": "5.3.8", "waist_girth": "5.3.10",
        "top_hip_girth": "5.3.12", "hip_girth": "5.3.13", "neck_girth": "5.3.2",
        "neck_base_girth": "5.3.3", "upper_arm_girth": "5.3.16", "wrist_girth": "5.3.19",
        "thigh_girth": "5.3.20", "mid_thigh_girth": "5.3.21",
        "across_back_shoulder_width": "5.4.3", "back_waist_length": "5.4.5",
        "back_neck_to_wrist": "5.4.17", "arm_length": "5.7.8",
    }  # fmt: skip
    assert {n: t.iso for n, t in TERMS.items() if t.iso} == listed


def test_reads_cm_and_inches() -> None:
    record = read_record(GIVEN)
    assert record.given["waist_girth"] == pytest.approx(74.295)
    assert read_record({"waist_girth": 29.25}, unit="in").given["waist_girth"] == pytest.approx(
        74.295
    )
    assert read_record({"weight": "137 lb"}).given["weight"] == pytest.approx(62.142, abs=1e-3)


@pytest.mark.parametrize("value", [-70, 0, 9999, "-70", "0 cm", 1e308])
def test_impossible_is_refused_with_the_allowed_range(value: object) -> None:
    message = refusal({"waist_girth": value})
    assert message.startswith("waist_girth: ")
    assert "allowed is 45 to 180 cm" in message


def test_inches_taken_for_centimetres_are_recognised() -> None:
    assert "36 in would be 91.4 cm" in refusal({"bust_girth": 36})


@pytest.mark.parametrize(
    ("key", "meant"),
    [
        ("wasit_girth", "waist_girth"),
        ("hip girth", "hip_girth"),
        ("Bust_Girth", "bust_girth"),
        ("shoulder_slop_left", "shoulder_slope_left"),
    ],
)
def test_misspelt_terms_get_the_nearest(key: str, meant: str) -> None:
    assert f"did you mean {meant}?" in refusal({key: 80})


def test_strangers_are_refused() -> None:
    assert '"zzz" is not a measure' in refusal({"zzz": 80})
    assert "no left and right" in refusal({"waist_girth_left": 70})


def test_left_and_right() -> None:
    record = read_record({"shoulder_slope_left": 24, "shoulder_slope": 20})
    assert record.sides["shoulder_slope"] == {"left": 24.0, "right": 20.0}
    assert record.given["shoulder_slope"] == 22.0
    one = read_record({"arm_length_right": 59})
    assert one.sides["arm_length"] == {"left": 59.0, "right": 59.0}


def test_a_retaken_measure_supersedes() -> None:
    record = read_record({**GIVEN, "shoulder_slope_left": 24, "shoulder_slope_right": 20})
    later = record.retaken({"waist_girth": 72.5, "shoulder_slope_right": 18})
    assert later.given["waist_girth"] == 72.5
    assert later.given["hip_girth"] == 99.0
    assert later.sides["shoulder_slope"] == {"left": 24.0, "right": 18.0}
    assert record.given["waist_girth"] == pytest.approx(74.295)
    plain = later.retaken({"shoulder_slope": 21})
    assert "shoulder_slope" not in plain.sides
    assert plain.given["shoulder_slope"] == 21.0


def test_records_are_frozen_hashable_and_travel_between_processes() -> None:
    record = read_record({**GIVEN, "shoulder_slope_left": 24})
    with pytest.raises(TypeError):
        record.given["height"] = 1.0  # type: ignore[index]
    copy = pickle.loads(pickle.dumps(record))
    assert copy == record
    assert hash(copy) == hash(record)
