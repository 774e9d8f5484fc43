"""The bodice rules against numbers worked out on paper."""

from __future__ import annotations

from math import cos, radians, sin, sqrt

import pytest

from pinwright.draft import style
from pinwright.draft.blocks import bodice_rules as rule
from pinwright.draft.blocks.sleeve import cap_ease
from pinwright.draft.features.collar import spread
from pinwright.errors import DraftError, OrderError

from .sewing import body, changed, draft


def test_neck_of_37_by_the_british_block() -> None:
    # a fifth of 37 is 7.4
    assert rule.neck_width_back(37.0, 0.4) == pytest.approx(7.6)
    assert rule.neck_width_front(37.0, 0.4) == pytest.approx(7.1)
    assert rule.neck_depth_front(37.0, 0.4) == pytest.approx(7.6)
    assert rule.neck_rise_back(7.6) == pytest.approx(2.5333, abs=1e-4)


def test_shoulder_slopes_of_the_handbook_come_from_their_mean() -> None:
    assert rule.shoulder_slopes(20.0) == (22.0, 18.0)


def test_widths_across_take_their_shares_of_the_ease() -> None:
    # half of 35 and a quarter of 9; half of 33 and 15 % of 9
    assert rule.width_over_back(35.0, 18.0) == pytest.approx(19.75)
    assert rule.width_over_front(33.0, 18.0) == pytest.approx(17.85)


def test_side_seam_stands_by_the_arcs_but_keeps_both_hollows() -> None:
    # half of 92 + 18 is 55; across 19.75 and 17.85 leave 17.4 for the armhole, 45 % of it 7.83
    back, front = rule.side_seam_places(44.0, 48.0, 18.0, 19.75, 17.85)
    # by its arc 22 + 4.5 = 26.5, but the hollow needs 19.75 + 7.83
    assert back == pytest.approx(27.58)
    assert front == pytest.approx(55.0 - 27.58)
    back, _ = rule.side_seam_places(47.0, 45.0, 18.0, 19.75, 17.85)
    assert back == pytest.approx(28.0)


def test_no_room_for_an_armhole_is_refused_in_one_sentence() -> None:
    with pytest.raises(DraftError, match=r"leave 2\.0 cm for the armhole.*at least 5\.0 cm"):
        rule.side_seam_places(40.0, 40.0, 10.0, 22.0, 21.0)


def test_front_neck_height_by_pythagoras() -> None:
    # 27 down to a bust point 3 further out: sqrt(729 - 9) = 26.833 above it; it lies 47 - 27 up
    height, bust_point = rule.front_neck_height(47.0, 27.0, 10.1, 7.1)
    assert bust_point == pytest.approx(20.0)
    assert height == pytest.approx(20.0 + sqrt(720.0))
    with pytest.raises(DraftError, match="side_neck_to_bust_point is 7"):
        rule.front_neck_height(47.0, 7.0, 10.1, 7.1)


@pytest.mark.parametrize(
    ("bust", "dart", "angle"), [(83, 1.79, 18.25), (88, 1.95, 19.5), (96, 2.20, 21.5)]
)
def test_darts_of_the_handbook_table(bust: float, dart: float, angle: float) -> None:
    """Numbers of sources 2.3."""
    assert rule.shoulder_dart_intake(bust) == pytest.approx(dart, abs=0.006)
    assert rule.bunka_bust_dart_angle(bust) == pytest.approx(angle)


def test_cap_ease_by_cloth() -> None:
    # firm cloth 1.5 to 2.5: three tenths up is 1.8, 45 % of it in front
    front, back = cap_ease((1.5, 2.5))
    assert front == pytest.approx(0.81)
    assert back == pytest.approx(0.99)


def test_collar_spread() -> None:
    # fall 4.06 over stand 2.94: 1.12 * 0.7854
    assert spread(2.94, 4.06) == pytest.approx(0.8796, abs=1e-4)


def test_the_shoulder_drops_as_its_slope_says() -> None:
    g = draft()
    tip, neck = g.piece("front").point("shoulder_tip"), g.piece("front").point("neck_point")
    shoulder = g.piece("front").edge("shoulder").length
    assert neck[1] - tip[1] == pytest.approx(shoulder * sin(radians(22.0)), abs=1e-9)
    back = g.piece("back")
    chord = back.point("shoulder_tip") - back.point("neck_point")
    assert -chord[1] / chord[0] == pytest.approx(sin(radians(18)) / cos(radians(18)), rel=2e-3)


def test_the_jacket_answers_to_the_measures_not_to_a_size() -> None:
    """One measure alone moves only what it should."""
    base, arm = draft(body()), draft(changed(body(), arm_length=62.0))
    for piece in ("front", "back"):
        for e, f in zip(base.piece(piece).edges, arm.piece(piece).edges, strict=True):
            assert e.length == f.length
    longer = {t.name: t for t in arm.targets}["sleeve_length"].value
    before = {t.name: t for t in base.targets}["sleeve_length"].value
    assert longer - before == pytest.approx(62.0 - body()["arm_length"])
    fuller = draft(changed(body(), front_waist_length=body()["front_waist_length"] + 1.5))
    assert fuller.facts["bust_dart_angle"] > base.facts["bust_dart_angle"] + 3.0
    assert fuller.piece("back").edge("side").length == base.piece("back").edge("side").length


def test_unknown_and_impossible_choices_are_refused() -> None:
    with pytest.raises(OrderError, match="bust_dart is 'shoulder'; it may be one of side_seam"):
        style("jacket").choose({"bust_dart": "shoulder"})
    with pytest.raises(OrderError, match="back_hem_drop is 12; it may be a number from 0 to 8 cm"):
        style("jacket").choose({"back_hem_drop": 12})


@pytest.mark.parametrize(
    ("measures", "choices", "sentence"),
    [
        ({"scye_depth": 33.0}, {}, "leaves .* between the underarm .* at least 10 cm"),
        ({"across_back_width": 52.0, "across_front_width": 50.0}, {}, "for the armhole"),
        ({"shoulder_slope": 38.0}, {}, "shoulder_slope is 38 degrees"),
        ({"upper_arm_girth": 57.0}, {"ease": "slim"}, "too small for a sleeve"),
        (
            {
                "bust_point_width": 34.0,
                "bust_front_arc": 30.0,
                "bust_back_arc": 36.0,
                "across_back_width": 27.0,
                "across_front_width": 25.0,
            },
            {"ease": "slim"},
            r"bust points, 34\.0 cm apart",
        ),
        ({}, {"pocket_width": 18.0, "length_below_hip": 3.0, "pocket_below_waist": 12.0}, "pocket"),
    ],
)
def test_absurd_bodies_are_refused_in_one_sentence(
    measures: dict[str, float], choices: dict[str, object], sentence: str
) -> None:
    with pytest.raises(DraftError, match=sentence) as refused:
        draft(changed(body(), **measures), **choices)
    assert str(refused.value).count("\n") == 0
    assert str(refused.value).endswith(".")
