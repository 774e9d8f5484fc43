"""Warnings give the reason; honest bodies get none."""

from __future__ import annotations

import pytest

from pinwright.measures import complete, read_record, warnings
from pinwright.measures.bdims import women
from pinwright.measures.terms import TERMS

WHOLE: dict[str, object] = {
    "height": 168, "weight": 65, "bust_girth": 92, "under_bust_girth": 77, "waist_girth": 74.5,
    "hip_girth": 99, "thigh_girth": 59, "mid_thigh_girth": 51, "knee_girth": 36.5,
    "outside_leg": 106, "inside_leg": 78, "body_rise": 28, "back_waist_length": 41,
    "front_waist_length": 46, "side_neck_to_bust_point": 26.5, "scye_depth": 21,
    "total_crotch_length": 70, "front_crotch_length": 32, "back_crotch_length": 38,
    "bust_front_arc": 48, "bust_back_arc": 44, "waist_front_arc": 38, "waist_back_arc": 36.5,
    "hip_front_arc": 48.5, "hip_back_arc": 50.5, "top_hip_girth": 92, "arm_length": 58,
    "across_back_shoulder_width": 40, "back_neck_to_wrist": 78, "neck_girth": 34,
    "neck_base_girth": 37, "upper_arm_girth": 29, "elbow_girth": 25, "wrist_girth": 15.5,
    "calf_girth": 36, "ankle_girth": 22, "shoulder_length": 12.8, "across_back_width": 35,
    "across_front_width": 33, "waist_to_hip": 21, "waist_to_knee": 60,
    "shoulder_slope_left": 21, "shoulder_slope_right": 22.5, "front_neck_to_waist": 36,
    "cervical_height": 145, "bust_point_width": 19,
}  # fmt: skip


def test_an_ordinary_body_is_not_doubted() -> None:
    assert warnings(read_record(WHOLE)) == ()


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"outside_leg": 112}, "outside leg is inside leg and body rise together"),
        ({"under_bust_girth": 91}, "bust is usually 4 to 32 cm fuller"),
        ({"bust_back_arc": 47}, "parts must make up the whole"),
        ({"waist_front_arc": 40}, "parts must make up the whole"),
        ({"hip_front_arc": 52}, "parts must make up the whole"),
        ({"back_crotch_length": 41}, "parts must make up the whole"),
        ({"waist_girth": 104}, "a waist larger than the hip is rare"),
        ({"back_waist_length": 35}, "is 21% of height 168.0 cm"),
        ({"thigh_girth": 75}, "is 76% of hip_girth 99.0 cm"),
        ({"knee_girth": 52}, "the thigh narrows to the knee"),
        ({"mid_thigh_girth": 62}, "the thigh narrows downwards"),
        ({"neck_girth": 38}, "root of the neck is wider"),
        ({"back_neck_to_wrist": 84}, "half the shoulder width and the arm together"),
        ({"body_rise": 21.9}, "below the usual 22 to 37 cm"),
        ({"weight": 95}, "lead to expect"),
        ({"calf_girth": 48}, "lead to expect"),
        ({"bust_girth": 125}, "lead to expect"),
        ({"shoulder_slope_left": 14}, "left 14.0 and right 22.5 deg differ by 8.5"),
        ({"height": 200}, "above the usual 145 to 190 cm"),
        ({"total_crotch_length": 92}, "two body rises"),
        ({"front_waist_length": 38.5}, "front over the bust"),
    ],
)
def test_each_doubt_has_its_reason(changed: dict[str, object], says: str) -> None:
    found = warnings(read_record({**WHOLE, **changed}))
    assert any(says in w.message for w in found), [w.message for w in found]
    touched = next(iter(changed)).removesuffix("_left")
    assert any(touched in w.terms for w in found)
    for warning in found:
        assert set(warning.terms) <= set(TERMS)
        assert warning.message.endswith(".")
        assert "\n" not in warning.message


def test_real_women_are_rarely_doubted() -> None:
    """Under one in fifty of the 260 bdims women gets any warning."""
    doubted = sum(bool(warnings(read_record(dict(woman)))) for woman in women())
    assert doubted <= 5


def test_estimates_agree_with_each_other() -> None:
    """A body filled from height and girths, read back as if taped, raises no doubt."""
    body = complete(read_record({"height": 168, "waist_girth": 74.5, "hip_girth": 99}))
    assert warnings(read_record(dict(body.values))) == ()
