"""Lengths as they are told: rounded by hand, the inch 2.54 cm (exact, 1959)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinwright.errors import MeasureError
from pinwright.measures.amounts import amount, area, at_least, needed, said, size
from pinwright.measures.units import LengthUnit, parse_length

UNITS: tuple[LengthUnit, ...] = ("cm", "in")


@pytest.mark.parametrize(
    ("cm", "in_cm", "in_inches"),
    [
        (2.0, "2.0 cm", "3/4 in"),  # 0.787
        (-1.5, "-1.5 cm", "-5/8 in"),  # 0.591
        (0.04, "0.04 cm", "0.02 in"),  # 0.0157
        (0.1, "0.1 cm", "0.04 in"),  # 0.0394, less than a sixteenth
        (0.06, "0.1 cm", "0.02 in"),
        (0.0, "0.0 cm", "0 in"),
    ],
)
def test_a_length_is_never_told_as_nothing_where_it_is_something(
    cm: float, in_cm: str, in_inches: str
) -> None:
    assert said(cm) == in_cm
    assert said(cm, "in") == in_inches
    assert amount(cm) == in_cm.removeprefix("-").removesuffix(" cm")
    assert amount(cm, "in") == in_inches.removeprefix("-")


def test_a_size_has_no_tenth_where_there_is_none() -> None:
    assert size(150.0) == "150 cm"
    assert size(147.75) == "147.8 cm"
    assert size(10.0) == "10 cm"
    assert size(150.0, "in") == "59 in"  # 59.055


@given(st.floats(0.0, 2000.0), st.sampled_from(UNITS))
def test_what_is_needed_holds_it_and_what_is_sure_is_not_more(cm: float, unit: LengthUnit) -> None:
    step = 2.54 / 8 if unit == "in" else 1.0
    more, less = parse_length(needed(cm, unit)), parse_length(at_least(cm, unit))
    # half a tenth of a cm is not counted
    assert cm - 0.05 - 1e-6 <= more < cm - 0.05 + step + 1e-6
    assert cm + 0.05 - step - 1e-6 < less <= cm + 0.05 + 1e-6


def test_what_is_needed_by_hand() -> None:
    assert needed(89.0) == "89 cm"
    assert needed(89.04) == "89 cm"
    assert needed(89.2) == "90 cm"
    assert needed(89.2, "in") == "35 1/8 in"  # 35.118
    assert needed(89.4, "in") == "35 1/4 in"  # 35.197
    assert at_least(89.96) == "90 cm"
    assert at_least(89.9) == "89 cm"
    assert at_least(89.4, "in") == "35 1/8 in"


def test_an_area_is_told_whole() -> None:
    assert area(123.4) == "123 cm²"
    assert area(123.4, "in") == "19 in²"  # 123.4 / 6.4516 = 19.13


def test_what_is_no_length_is_refused() -> None:
    for tell in (said, amount, size):
        with pytest.raises(MeasureError, match="is not a number"):
            tell(float("inf"))
