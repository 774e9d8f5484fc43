"""What is refused, each in a sentence that names photograph, mark, value and what is allowed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from pinwright.errors import FigureError
from pinwright.figure.photographs.marks import Photograph, all_spots, checked, spots

FRONT: Mapping[str, tuple[float, float]] = {
    "crown": (600.0, 100.0),
    "floor": (600.0, 1500.0),
    "shoulder_point_left": (760.0, 340.0),
    "shoulder_point_right": (440.0, 340.0),
    "side_waist_left": (710.0, 620.0),
    "side_waist_right": (490.0, 620.0),
    "knee_left": (680.0, 1090.0),
    "knee_right": (520.0, 1090.0),
}
LEFT: Mapping[str, tuple[float, float]] = {
    "crown": (600.0, 100.0),
    "floor": (620.0, 1500.0),
    "bust_front": (470.0, 480.0),
    "seat_back": (700.0, 760.0),
    "back_furthest": (690.0, 420.0),
}


def photo(view: Any = "front", **new: Any) -> Photograph:
    given = {**(LEFT if view in ("left", "right") else FRONT), **new.pop("marks", {})}
    marks = {k: v for k, v in given.items() if v is not None}
    size = new.pop("size", (1200, 1600))
    return Photograph(view, size, marks, **new)


def test_what_holds_together_is_taken() -> None:
    found = spots(photo(), 168.0)
    assert {s.name for s in found} == set(FRONT) - {"crown", "floor"}
    assert found[0].up == pytest.approx(0.12 * 1160)
    assert spots(photo("left"), 168.0)


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (
            {"marks": {"shoulder_pt_left": (1.0, 1.0)}},
            'Photograph 1 (front): the mark "shoulder_pt_left" is not known. Did you mean '
            "shoulder_point_left? It may be crown, floor, ",
        ),
        (
            {"marks": {"seat_back": (700.0, 760.0)}},
            "Photograph 1 (front): the mark seat_back cannot be seen from there; it may be marked "
            "in a photograph from: left, right.",
        ),
        (
            {"view": "right", "marks": {"elbow_left": (700.0, 760.0)}},
            "Photograph 1 (right): the mark elbow_left cannot be seen from there; it may be marked "
            "in a photograph from: back, left.",
        ),
        (
            {"marks": {"knee_left": (680.0, 1690.0)}, "number": 3},
            "Photograph 3 (front): the mark knee_left (680, 1690) lies outside of the picture, "
            "which is 1200 by 1600 px.",
        ),
        (
            {"marks": {"knee_left": (float("nan"), 690.0)}},
            "Photograph 1 (front): the mark knee_left (nan, 690) lies outside of the picture, "
            "which is 1200 by 1600 px.",
        ),
        (
            {"outline": ((1.0, 1.0), (2.0, 2.0), (1300.0, 3.0))},
            "Photograph 1 (front): point 3 of the outline (1300, 3) lies outside of the picture, "
            "which is 1200 by 1600 px.",
        ),
        (
            {"outline": ((1.0, 1.0), (2.0, 2.0))},
            "Photograph 1 (front): the outline has 2 points; allowed is none, or 3 and more.",
        ),
        (
            {"marks": {"crown": None}},
            "Photograph 1 (front): crown is not marked; crown and floor are needed in every "
            "photograph.",
        ),
        (
            {"marks": {"floor": None}},
            "Photograph 1 (front): floor is not marked; crown and floor are needed in every "
            "photograph.",
        ),
        (
            {"marks": {"crown": (600.0, 1550.0)}},
            "Photograph 1 (front): the crown (1550 px from the top) is marked below the floor "
            "(1500); it must be over it.",
        ),
        (
            {"marks": {"crown": (600.0, 1400.0)}},
            "Photograph 1 (front): crown and floor are 100 px apart; allowed is at least 200 px.",
        ),
        (
            {"marks": {"crown": (60.0, 800.0), "floor": (1060.0, 900.0)}},
            "Photograph 1 (front): the crown lies 84 degrees off the plumb line over the floor's "
            "mark; allowed is 25: turn the picture upright, or put crown and floor again.",
        ),
        (
            {"distance": 120.0},
            "Photograph 1 (front): distance 120 cm is not possible; allowed is 150 to 2000 cm.",
        ),
        (
            {"lens": 5.0},
            "Photograph 1 (front): lens 5 cm is not possible; allowed is 20 to 250 cm.",
        ),
        (
            {"height": 68.0},
            "Photograph 1 (front): height 68 cm is not possible; allowed is 120 to 215 cm.",
        ),
        (
            {"size": (40, 30)},
            "Photograph 1 (front): the picture is 40 by 30 px; allowed is at least 50 by 200.",
        ),
        (
            {"view": "side"},
            'Photograph 1 (side): view "side" is not one; it may be front, back, left, right.',
        ),
        (
            {"marks": {"plumb_top": (60.0, 100.0)}},
            "Photograph 1 (front): plumb_top is marked without plumb_bottom; mark both points of "
            "the plumb line or none.",
        ),
        (
            {"marks": {"plumb_top": (60.0, 100.0), "plumb_bottom": (60.0, 180.0)}},
            "Photograph 1 (front): plumb_top and plumb_bottom are 80 px apart; allowed is at least "
            "280 px, else they tell no direction.",
        ),
        (
            {"marks": {"plumb_top": (60.0, 100.0), "plumb_bottom": (400.0, 1100.0)}},
            "Photograph 1 (front): by plumb_top and plumb_bottom the camera was rolled 19 degrees; "
            "allowed is 10 to either side.",
        ),
        (
            {
                "marks": {
                    "shoulder_point_left": (440.0, 340.0),
                    "shoulder_point_right": (760.0, 340.0),
                }
            },
            "Photograph 1 (front): left and right of the shoulder point are swapped: seen from the "
            "front, the client's left is on the right of the picture.",
        ),
        (
            {"view": "back", "marks": {"knee_left": None, "knee_right": None}},
            "Photograph 1 (back): left and right of the shoulder point are swapped: seen from the "
            "back, the client's left is on the left of the picture.",
        ),
        (
            {"view": "right"},
            "Photograph 1 (right): the mark bust_front lies behind back_furthest: seen from her "
            "right side the client faces the right of the picture.",
        ),
        (
            {"marks": {"knee_left": (680.0, 560.0)}},
            "Photograph 1 (front): the mark side_waist_left lies below knee_left; on a client it "
            "is over it.",
        ),
        (
            {"marks": {"shoulder_point_left": (760.0, 90.0)}},
            "Photograph 1 (front): the mark shoulder_point_left lies over the crown; it must be "
            "below it.",
        ),
        (
            {"marks": {"knee_left": (680.0, 1598.0)}},
            "Photograph 1 (front): the mark knee_left lies below the floor; it must be over it.",
        ),
    ],
)
def test_each_refusal_is_a_sentence(new: dict[str, Any], said: str) -> None:
    with pytest.raises(FigureError) as refused:
        photo(**new)
    assert str(refused.value).startswith(said)
    assert str(refused.value).endswith(".")


def test_a_height_far_from_the_measured_one_is_refused() -> None:
    with pytest.raises(FigureError) as refused:
        spots(photo(height=175.0), 168.0)
    assert str(refused.value) == (
        "Photograph 1 (front): height 175 cm, but the measured height is 168 cm; allowed is 3 cm "
        "apart: photograph her barefoot, or put the height right."
    )
    assert spots(photo(height=170.0), 168.0)[0].up > spots(photo(), 168.0)[0].up


def test_heights_that_differ_between_photographs_are_refused() -> None:
    some = [photo(height=166.0), photo("left", height=170.0, number=2)]
    with pytest.raises(FigureError) as refused:
        checked(some)
    assert str(refused.value) == (
        "Photograph 2 (left): height 170 cm, but photograph 1 (front) has 166 cm; allowed is 3 cm "
        "apart: it is the scale of both."
    )
    with pytest.raises(FigureError, match="it is the scale of both"):
        all_spots(some, 168.0)
    checked([photo(height=166.0), photo("left", number=2)])


def test_a_photograph_is_not_changed() -> None:
    with pytest.raises(AttributeError):
        photo().distance = 200.0  # type: ignore[misc]
    assert replace(photo(), number=2).name == "Photograph 2 (front)"
