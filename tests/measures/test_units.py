"""Lengths read and shown; figures worked by hand (1 in = 2.54 cm)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinwright.errors import MeasureError
from pinwright.measures.units import format_length, parse_angle, parse_length, parse_weight


@pytest.mark.parametrize(
    ("text", "cm"),
    [
        ("92", 92.0),
        (92, 92.0),
        (92.5, 92.5),
        ("92 cm", 92.0),
        ("92.5cm", 92.5),
        ("92,5", 92.5),
        ("925 mm", 92.5),
        ("1.68 m", 168.0),
        ("34 5/8 in", 87.9475),  # 34.625 x 2.54
        ('34 5/8"', 87.9475),
        ("34-5/8 in", 87.9475),
        ("34⅝ in", 87.9475),
        ("34 5/8 inches", 87.9475),
        ("5/8 in", 1.5875),
        ("½ in", 1.27),
        ("36 in.", 91.44),
        ("-2 cm", -2.0),
        ("−1/2 in", -1.27),
    ],
)
def test_lengths_as_people_write_them(text: object, cm: float) -> None:
    assert parse_length(text) == pytest.approx(cm, abs=1e-12)


def test_a_bare_number_takes_the_unit_in_use() -> None:
    assert parse_length("34 5/8", "in") == pytest.approx(87.9475)
    assert parse_length(10, "in") == pytest.approx(25.4)
    assert parse_length("88 cm", "in") == 88.0


@pytest.mark.parametrize(
    "nonsense",
    ["", "about 90", "92 kg", "34 5/0 in", "34 5/ in", "9 2", "1/2/3", "--4", "nan", "∞", None,
     [92], True, float("nan"), float("inf"), "92 cm 3", "3 4 5/8 in"],
)  # fmt: skip
def test_nonsense_is_refused_in_one_sentence(nonsense: object) -> None:
    with pytest.raises(MeasureError) as caught:
        parse_length(nonsense, what="waist_girth")
    message = str(caught.value)
    assert message.startswith("waist_girth: ")
    assert message.endswith(".")
    assert "\n" not in message


@pytest.mark.parametrize(
    ("cm", "shown_cm", "shown_in"),
    [
        (92.0, "92.0 cm", "36 1/4 in"),  # 36.220 in
        (87.9475, "87.9 cm", "34 5/8 in"),
        (2.54, "2.5 cm", "1 in"),
        (1.27, "1.3 cm", "1/2 in"),
        (0.0, "0.0 cm", "0 in"),
        (-1.27, "-1.3 cm", "-1/2 in"),
        (-0.04, "0.0 cm", "0 in"),
        (30.45, "30.4 cm", "12 in"),  # 11.988 in
    ],
)
def test_shown_to_a_millimetre_or_an_eighth(cm: float, shown_cm: str, shown_in: str) -> None:
    assert format_length(cm) == shown_cm
    assert format_length(cm, "in") == shown_in


@given(st.floats(-300, 300))
def test_what_is_shown_reads_back(cm: float) -> None:
    assert parse_length(format_length(cm)) == pytest.approx(cm, abs=0.05 + 1e-9)
    assert parse_length(format_length(cm, "in")) == pytest.approx(cm, abs=2.54 / 16 + 1e-9)


@given(st.integers(0, 200), st.integers(0, 7))
def test_eighths_survive_exactly(whole: int, eighths: int) -> None:
    cm = (whole + eighths / 8) * 2.54
    text = format_length(cm, "in")
    assert parse_length(text) == pytest.approx(cm, abs=1e-9)
    assert format_length(parse_length(text), "in") == text


@given(st.text(max_size=12))
def test_any_text_reads_or_is_refused(text: str) -> None:
    try:
        value = parse_length(text)
    except MeasureError:
        return
    assert abs(value) >= 0.0


def test_angles_and_weights() -> None:
    assert parse_angle("21°") == parse_angle("21 deg") == parse_angle(21) == 21.0
    assert parse_weight("137 lb") == pytest.approx(62.142, abs=1e-3)  # 137 x 0.45359237
    assert parse_weight("62 kg") == 62.0
    for bad in ("21 cm", "steep", None):
        with pytest.raises(MeasureError, match="cannot be read"):
            parse_angle(bad, "shoulder_slope")
    with pytest.raises(MeasureError, match="weight"):
        parse_weight("62 cm")
