"""The quick readings: their gradients against small moves, and their values against the tape."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pinwright.figure.body.model import GENERAL, Array, body
from pinwright.figure.fitting import shape
from pinwright.figure.fitting.readings import readings
from pinwright.figure.fitting.rows import first_least
from pinwright.figure.landmarks import landmarks, mirrored, neck_line, seat_level
from pinwright.figure.tape.tape import taped

DROP = 2.0

TURNING = (
    "upper_arm",
    "elbow",
    "wrist",
    "arm_length",
    "back_neck_to_wrist",
    "shoulder_length",
    "side_neck_to",
    "across",
)
ON_WAIST = (
    "front_waist",
    "back_waist",
    "front_neck",
    "scye",
    "total_crotch",
    "front_crotch",
    "back_crotch",
    "outside",
    "waist_to",
)


@cache
def surface(seed: int) -> Array:
    """A body unlike the mean one."""
    rng = np.random.default_rng(seed)
    p = shape.start()
    p += 0.35 * shape.spread() * rng.normal(size=len(p))
    p[: len(GENERAL)] = [0.35, 0.55, 0.5, 0.6, 0.5]
    points = shape.surface(p)
    # no two sides alike: where they are, a line over both has a true kink
    return points + 0.3 * smooth_move(points, seed + 100)


def smooth_move(points: Array, seed: int) -> Array:
    """A field (n, 3) that moves the body by about 1, smoothly; the feet stay."""
    rng = np.random.default_rng(seed)
    found = np.zeros_like(points)
    for _ in range(8):
        at = points[rng.integers(len(points))]
        near = np.exp(-((points - at) ** 2).sum(axis=1) / (2.0 * 18.0**2))
        found += near[:, None] * rng.normal(size=3)
    return found * np.clip(points[:, 2:] / 20.0 - 0.5, 0.0, 1.0)


def unlike(points: Array, move: Array, keys: tuple[str, ...], among: bool) -> list[str]:
    """Readings whose gradient does not tell a small move, among those named or all others."""
    found = readings(points, DROP)
    size = 1e-4
    more, less = (readings(points + s * size * move, DROP) for s in (1.0, -1.0))
    wrong = []
    for key, r in found.items():
        if key.startswith(keys) != among:
            continue
        by = float((r.by * move[r.at]).sum())
        small = (more[key].value - less[key].value) / (2.0 * size)
        if abs(by - small) > 0.04 * abs(small) + 0.03:
            wrong.append(f"{key} {by:.3f} {small:.3f}")
    return wrong


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_gradients_are_those_of_small_moves(seed: int) -> None:
    # left out of the gradients, as the module tells: the turning of planes, the waist's hull
    points = surface(seed)
    assert unlike(points, smooth_move(points, seed), TURNING + ON_WAIST, among=False) == []


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lines_from_the_waist_have_their_gradients_while_it_stays(seed: int) -> None:
    points = surface(seed)
    marks = landmarks(points)
    away = np.abs(points[:, 2] - marks.levels["waist"]) / 8.0 - 0.7
    move = smooth_move(points, seed) * np.clip(away, 0.0, 1.0)[:, None]
    move[:, 0] = 0.0  # planes through the bust points stay
    assert unlike(points, move, ON_WAIST, among=True) == []


@pytest.mark.parametrize("seed", [1, 2])
def test_readings_are_near_the_tape(seed: int) -> None:
    points = surface(seed)
    by_tape = taped(points, body().faces, landmarks(points), DROP)
    found = readings(points, DROP)
    # where arm and trunk part, the two cut differently
    apart = {"upper_chest_girth": 4.0, "bust_girth": 1.0, "bust_front_arc": 1.0}
    apart |= {"under_bust_girth": 1.0, "bust_back_arc": 1.0, "neck_girth": 0.5}
    # of six levels the widest is taken for the calf
    apart |= {"calf_girth_left": 0.8, "calf_girth_right": 0.8}
    for key, r in found.items():
        if key in by_tape:
            assert r.value == pytest.approx(by_tape[key], abs=apart.get(key, 0.25)), key


def test_a_mirrored_body_has_its_sides_exchanged() -> None:
    points = surface(1)
    p = shape.start()
    p[shape.PARAMETERS.index("shoulder_left")] = 1.5
    points = shape.surface(p)
    turned = points[mirrored().astype(int)] * [-1.0, 1.0, 1.0]
    here, there = readings(points), readings(turned)
    for key, r in here.items():
        other = (
            key.replace("_left", "_RIGHT").replace("_right", "_left").replace("_RIGHT", "_right")
        )
        assert there[other].value == pytest.approx(r.value, abs=2e-3), key
    assert here["shoulder_slope_left"].value > here["shoulder_slope_right"].value + 4.0


def test_the_line_round_the_neck_lies_on_its_root() -> None:
    rows, shares = neck_line()
    assert shares.sum(axis=1) == pytest.approx(1.0)
    assert (shares > -1e-12).all()
    points = shape.surface(shape.start())
    marks = landmarks(points)
    line = np.einsum("ij,ijk->ik", shares, points[rows])
    for name in ("back_neck_point", "side_neck_point_left", "front_neck_point"):
        assert np.linalg.norm(line - marks[name], axis=1).min() < 1.2, name
    # no point of it jumps: the steps are alike
    step = np.linalg.norm(np.diff(line, axis=0, append=line[:1]), axis=1)
    assert step.max() < 2.5 * np.median(step)


def test_the_seat_level_is_where_the_seat_stands_out() -> None:
    points = surface(2)
    value, by_depth, by_height = seat_level(points)
    marks = landmarks(points)
    near = (points[:, 2] > marks.levels["fork"] + 2) & (points[:, 2] < marks.levels["waist"] - 5)
    near &= np.abs(points[:, 0]) < 14.0
    furthest = points[near][np.argmax(points[near, 1])]
    assert value == pytest.approx(furthest[2], abs=1.5)
    assert by_height.sum() == pytest.approx(1.0)
    assert by_depth.sum() == pytest.approx(0.0, abs=1e-9)  # the whole seat further back: as high


def test_of_values_that_are_alike_the_first_is_taken() -> None:
    assert first_least(np.array([2.0, 1.0 + 1e-12, 1.0])) == 1
    # an arm that hangs beside nothing: every distance is without end
    assert first_least(np.array([np.inf, np.inf])) == 0
