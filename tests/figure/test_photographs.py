"""Marks in photographs come back as places on the body, whatever the camera did."""

from __future__ import annotations

from functools import cache
from math import radians, tan
from typing import Any

import numpy as np
import pytest

from pinwright.errors import FigureError
from pinwright.figure.body.model import Array
from pinwright.figure.landmarks import vertices
from pinwright.figure.photographs.camera import CM, PX, Camera, rolled, scale
from pinwright.figure.photographs.marks import all_spots, cautions, outline_of, spots
from pinwright.figure.photographs.places import VIEWS, View, names, places
from pinwright.figure.photographs.rows import plain
from tests.figure.photographed import height_of, photographed, standing

CAMERAS: tuple[dict[str, Any], ...] = (
    {"focal": 2200.0},
    {"focal": 2200.0, "roll": 4.0, "aside": 15.0},
    {"focal": 2000.0, "roll": -8.0, "aside": -20.0},
    {"focal": 1150.0, "distance": 200.0, "lens": 120.0, "aside": 8.0},
    {"focal": 3400.0, "distance": 600.0, "lens": 80.0},
)

AXES: dict[View, int] = {"front": 0, "back": 0, "left": 1, "right": 1}


@cache
def uneven() -> Array:
    """A body that is not upright, and not alike left and right."""
    return standing(round_back=9.0, head_forward=5.0, shoulder_left=2.0, shoulders_forward=1.5)


def test_what_is_nearer_is_larger_by_similar_triangles() -> None:
    # 35 cm nearer than 350: 350 / 315 as large; up from the lens, not from the floor
    points = np.array([[9.0, -35.0, 163.0], [9.0, 0.0, 163.0]])
    flat, _ = Camera("front", 350.0, 100.0).projected(points, np.zeros(3))
    assert flat[0] == pytest.approx([10.0, 170.0])
    assert flat[1] == pytest.approx([9.0, 163.0])
    flat, _ = Camera("back", 350.0, 100.0).projected(points, np.zeros(3))
    assert flat[0] == pytest.approx([9.0 * 350 / 385, 100 + 63 * 350 / 385])
    # from 5 cm aside the same point lies 4 cm beyond the line of sight
    flat, _ = Camera("front", 350.0, 100.0, aside=5.0).projected(points, np.zeros(3))
    assert flat[0, 0] == pytest.approx(5.0 + 4.0 * 350 / 315)


def test_the_projection_grows_as_it_says() -> None:
    random = np.random.default_rng(3)
    points = random.uniform(-30.0, 30.0, (5, 3)) + np.array([0.0, 0.0, 100.0])
    middle = np.array([1.0, 2.0, 0.0])
    for view in VIEWS:
        camera = Camera(view, 250.0, 110.0, 12.0)
        _, by = camera.projected(points, middle)
        for k in range(3):
            step = np.zeros(3)
            step[k] = 1e-4
            far = camera.projected(points + step, middle)[0]
            near = camera.projected(points - step, middle)[0]
            assert by[:, :, k] == pytest.approx((far - near) / 2e-4, abs=1e-7)


def test_the_scale_is_that_of_crown_and_floor() -> None:
    # 1400 px for 168 cm: 0.12 cm a px; 100 px to the right at the back is to her right
    rule = scale("back", np.array([600.0, 100.0]), np.array([600.0, 1500.0]), 168.0)
    assert rule.per_px == pytest.approx(0.12)
    assert rule.placed(np.array([[700.0, 1000.0]]))[0] == pytest.approx([-12.0, 60.0])
    assert rule.error == CM
    coarse = scale("back", np.array([60.0, 10.0]), np.array([60.0, 290.0]), 168.0)
    assert coarse.error == pytest.approx(PX * 0.6)


def test_a_roll_is_taken_out() -> None:
    # the plumb line leans by 3 in 100; so does the client
    roll = rolled(np.array([600.0, 100.0]), np.array([630.0, 1100.0]))
    rule = scale("front", np.array([500.0, 100.0]), np.array([536.0, 1300.0]), 168.0, roll)
    assert rule.placed(np.array([[500.0, 100.0]]))[0] == pytest.approx([0.0, 168.0], abs=1e-9)
    # square to the plumb line is level
    assert rule.placed(np.array([[536.0 + 100.0, 1300.0 - 3.0]]))[0, 1] == pytest.approx(0.0)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("camera", CAMERAS)
def test_the_figure_is_read_where_the_photograph_has_it(view: View, camera: dict[str, Any]) -> None:
    points = uneven()
    photo = photographed(points, view, whole=False, **camera)
    marked = spots(photo, height_of(points))
    found = plain(points, marked)
    landmarks = [s for s in marked if s.name in vertices()]
    assert len(landmarks) >= 9
    for s in landmarks:
        assert s.across == pytest.approx(found[s.key("across")].value, abs=0.02), s.name
        assert s.up == pytest.approx(found[s.key("up")].value, abs=0.02), s.name


@pytest.mark.parametrize("view", ["left", "right"])
@pytest.mark.parametrize("camera", [CAMERAS[0], CAMERAS[3], CAMERAS[4]])
def test_the_profile_is_read_where_the_photograph_has_it(
    view: View, camera: dict[str, Any]
) -> None:
    points = uneven()
    photo = photographed(points, view, whole=False, **camera)
    marked = [s for s in spots(photo, height_of(points)) if s.name not in vertices()]
    assert len(marked) == 6
    found = plain(points, marked)
    for s in marked:
        # flat round the furthest place: a level that is a cm off changes nothing
        assert s.across == pytest.approx(found[s.key("across")].value, abs=0.06), s.name


@pytest.mark.parametrize("view", VIEWS)
def test_whole_px_tell_a_place_to_two_millimetres(view: View) -> None:
    points = uneven()
    marked = spots(photographed(points, view, focal=2200.0, roll=2.0), height_of(points))
    found = plain(points, marked)
    for s in marked:
        assert s.across == pytest.approx(found[s.key("across")].value, abs=0.2), s.name
        if s.name in vertices():
            assert s.up == pytest.approx(found[s.key("up")].value, abs=0.2), s.name


def test_places_are_those_of_the_body() -> None:
    # true places, by the body's own axes: what lies in the middle plane is drawn as it is
    points = uneven()
    at = {k: points[v] for k, v in vertices().items()}
    foot = (at["ankle_bone_left"] + at["ankle_bone_right"]) / 2.0
    for view, axis in AXES.items():
        # from so far, perspective is nearly nothing
        photo = photographed(points, view, whole=False, distance=2000.0, focal=12500.0)
        for s in spots(photo, height_of(points)):
            if s.name in at:
                assert s.across == pytest.approx(at[s.name][axis] - foot[axis], abs=0.4), s.name
                assert s.up == pytest.approx(at[s.name][2], abs=1.0), s.name


def test_her_left_is_positive_from_the_front_and_from_the_back() -> None:
    points = uneven()
    views: tuple[View, ...] = ("front", "back")
    for view in views:
        at = {s.name: s for s in spots(photographed(points, view, focal=2200.0), height_of(points))}
        assert at["shoulder_point_left"].across > 15.0
        assert at["shoulder_point_right"].across < -15.0
        # the left shoulder falls by 2 cm more
        lower = at["shoulder_point_right"].up - at["shoulder_point_left"].up
        assert lower == pytest.approx(2.0, abs=0.3)


def test_her_back_is_positive_from_both_sides() -> None:
    points = uneven()
    views: tuple[View, ...] = ("left", "right")
    for view in views:
        at = {s.name: s for s in spots(photographed(points, view, focal=2200.0), height_of(points))}
        assert at["bust_front"].across < -10.0
        assert at["seat_back"].across > at["waist_back"].across > at["waist_front"].across


def test_across_is_counted_from_the_floor_where_no_ankle_is_marked() -> None:
    points = uneven()
    ankles = ("ankle_bone_left", "ankle_bone_right")
    photo = photographed(points, "left", focal=2200.0, whole=False, left_out=ankles)
    marked = spots(photo, height_of(points))
    assert {s.origin for s in marked} == {("floor",)}
    found = plain(points, marked)
    for s in marked:
        assert s.across == pytest.approx(found[s.key("across")].value, abs=0.03), s.name


def test_the_outline_is_placed_as_the_marks_are() -> None:
    points = uneven()
    straight, placed = (
        outline_of(
            photographed(points, "back", focal=2100.0, roll=roll, whole=False, levels=[60.0, 90.0]),
            height_of(points),
        )
        for roll in (0.0, 5.0)
    )
    assert placed.shape == (4, 2)
    # rows run from the left of the picture, her left at the back
    assert np.sign(placed[:, 0]).tolist() == [1.0, -1.0, 1.0, -1.0]
    # a row of a rolled picture slopes over her by tan 5 degrees; its middle is as high as before
    assert (placed[::2] - placed[1::2])[:, 1] == pytest.approx(
        tan(radians(5.0)) * (placed[::2] - placed[1::2])[:, 0], abs=0.05
    )
    mean = placed[:, 1].reshape(2, 2).mean(axis=1)
    assert mean == pytest.approx(straight[::2, 1], abs=0.1)
    empty = photographed(points, "back", focal=2200.0)
    assert outline_of(empty, height_of(points)).shape == (0, 2)


def test_places_say_where_a_mark_is_put() -> None:
    for view in VIEWS:
        found = places(view)
        assert [p.name for p in found[:2]] == ["crown", "floor"]
        assert [p.needed for p in found] == [True, True] + [False] * (len(found) - 2)
        assert len(set(names(view))) == len(found)
        for p in found:
            assert p.where.endswith(".")
            assert "_" not in p.label
    assert "shoulder_point_right" not in names("left")
    assert "bust_point_left" not in names("back")
    assert "seat_back" not in names("front")


def test_a_tipped_camera_is_told() -> None:
    points, tall = uneven(), height_of(uneven())
    level = photographed(points, "front", focal=2200.0)
    assert cautions([level], tall) == ()
    tipped = photographed(points, "front", focal=2200.0, pitch=5.0)
    (said,) = cautions([tipped], tall)
    assert said.startswith("Photograph 1 (front): the camera looked 5 degrees down")
    bare = photographed(points, "front", focal=2200.0, left_out=("plumb_top", "plumb_bottom"))
    (said,) = cautions([bare], tall)
    assert "no plumb line is marked" in said


def test_photographs_that_contradict_each_other_are_told() -> None:
    points, tall = uneven(), height_of(uneven())
    front = photographed(points, "front", focal=2200.0)
    back = photographed(points, "back", focal=2200.0, number=2, floor_off=120.0)
    with pytest.raises(
        FigureError,
        match=r"Photograph 2 \(back\): the left .* is .* cm over the floor, but .* cm in "
        r"photograph 1 \(front\); allowed is 5 cm apart",
    ):
        all_spots([front, back], tall)
    every = [photographed(points, view, focal=2200.0, number=i) for i, view in enumerate(VIEWS, 1)]
    assert len(all_spots(every, tall)) == sum(len(spots(p, tall)) for p in every)
