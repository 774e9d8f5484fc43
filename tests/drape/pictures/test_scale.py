"""The colours of the scale hold in grey and for those who confuse colours; words in each unit."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from pinwright.drape.pictures.scale import QUANTITIES, Quantity, ramp, remarkable, scale_of, told
from pinwright.measures.units import LengthUnit
from tests.drape.pictures.tube import luminance

Array = NDArray[np.float64]

# Machado, Oliveira & Fernandes 2009, "A physiologically-based model for simulation of color vision
# deficiency", IEEE TVCG 15(6), severity 1.0 (from memory), for linear sRGB
DICHROMATS = {
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
}


UNITS: tuple[LengthUnit, ...] = ("cm", "in")


def linear(colours: NDArray[np.uint8]) -> Array:
    part = colours / 255.0
    found: Array = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return found


def lightness(y: Array) -> Array:
    """CIE L* of relative luminance (ISO/CIE 11664-4)."""
    found: Array = 116.0 * np.cbrt(y) - 16.0
    return found


@pytest.mark.parametrize("count", [2, 7, 8])
def test_each_colour_is_darker_than_the_one_before_by_as_much(count: int) -> None:
    steps = -np.diff(lightness(luminance(ramp(count))))
    assert steps.min() > 0.0
    # eight bits to a colour cannot say it closer than this
    assert np.ptp(steps) < 0.8
    assert lightness(luminance(ramp(count)))[[0, -1]] == pytest.approx([96.0, 50.0], abs=0.5)


def test_a_grey_print_keeps_the_order() -> None:
    grey = np.asarray(Image.fromarray(ramp(8)[None]).convert("L")).astype(int)[0]
    assert (np.diff(grey) < -10).all(), grey


@pytest.mark.parametrize("who", DICHROMATS)
def test_those_who_confuse_red_and_green_see_the_order(who: str) -> None:
    seen = np.clip(linear(ramp(8)) @ np.array(DICHROMATS[who]).T, 0.0, 1.0)
    assert (np.diff(lightness(seen @ [0.2126, 0.7152, 0.0722])) < -4.0).all()


def test_black_letters_can_be_read_on_every_colour() -> None:
    # WCAG 2.2, 1.4.3: 4.5 to 1
    assert ((luminance(ramp(8)) + 0.05) / 0.05).min() > 4.5


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_a_scale_says_each_of_its_steps(quantity: Quantity) -> None:
    for unit in UNITS:
        scale = scale_of(quantity, unit)
        assert len(scale.labels) == len(scale.steps) == len(scale.colours) - 1 <= 7
        assert list(scale.steps) == sorted(scale.steps)
        assert len(set(scale.labels)) == len(scale.labels)


def test_steps_and_values_are_told_in_the_unit_of_the_client() -> None:
    assert scale_of("gap").labels == ("0.5", "1", "2", "3", "5", "8", "12")
    assert scale_of("gap", "in").labels == ("1/4", "1/2", "1", "1 1/2", "2", "3", "5")
    assert scale_of("gap", "in").steps[0] == pytest.approx(0.635)
    assert scale_of("gap", "in").title.endswith(", in")
    assert scale_of("strain across").labels == ("−1", "+1", "+2", "+3", "+5", "+8")
    assert told("gap", 2.54, "in") == "1 in"
    assert told("strain along", 0.0314) == "+3.1 %"
    assert told("strain along", -0.0004) == "0.0 %"
    assert told("strain along", -0.02) == "−2.0 %"
    assert told("pressure", 0.424) == "0.42 kPa"


def test_cloth_within_a_hundredth_is_at_ease() -> None:
    assert not remarkable("strain across", 0.009)
    assert remarkable("strain across", 0.01)
    assert remarkable("strain along", -0.012)
    assert scale_of("strain across").bands(np.array([-0.02, 0.0, 0.01, 0.2])).tolist() == [
        0,
        1,
        2,
        6,
    ]
