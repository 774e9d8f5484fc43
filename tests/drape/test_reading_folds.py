"""Folds of known place, length, depth and direction, and what a cutter is told of them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from pinwright.drape.data import Array, Hung, Shell, Surface
from pinwright.drape.reading.fold import Fold
from pinwright.drape.reading.folds import folds
from pinwright.drape.reading.gap import gaps
from pinwright.drape.reading.named import named
from pinwright.drape.reading.smooth import bending, smoothed
from tests.drape.test_reading_shapes import closed_tube, hung, panel, round_at, tube

GIRTH, TALL, OVER = 100.0, 70.0, 10.0
RADIUS = GIRTH / 2.0 / np.pi
Height = Callable[[Array, Array], Array]


def bulged(out: Height, columns: int = 30, rows: int = 80) -> Hung:
    """A tube that stands out by out(along in cm, height in cm), its hem 10 over the floor."""
    shell, along, height = tube(GIRTH, TALL, columns, rows, {"waist": 60.0, "hip": 40.0})
    points = round_at(along, height, RADIUS + out(along * GIRTH, height))
    points[:, 2] += OVER
    return hung(shell, points, closed_tube(12.0, 12.0, 0.0, 90.0))


def read(h: Hung, **marks: Array) -> tuple[Fold, ...]:
    return folds(h, gaps(h), named(h, marks))


def ridge(middle: tuple[float, float], degrees: float, length: float, deep: float,
          wide: float = 1.2) -> Height:  # fmt: skip
    """One ridge, a bell across, with ends over which it dies within some 1.5 cm."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))

    def out(a: Array, z: Array) -> Array:
        x, y = a - middle[0], z - middle[1]
        on, off = x * c + y * s, y * c - x * s
        fades: Array = 1.0 / (1.0 + np.exp((np.abs(on) - length / 2.0) / 0.4))
        found: Array = deep * np.exp(-0.5 * (off / wide) ** 2) * fades
        return found

    return out


def sheet(out: Height, wide: float = 60.0, tall: float = 60.0) -> Hung:
    """A plane sheet 1 cm before a flat wall, seen from the front, with what stands out of it."""
    p = panel("front", "left", wide, tall, 60, 60, {"hip": 30.0})
    shell = Shell(
        n=len(p.points), panels=(p,), vertices=(np.arange(len(p.points)),), triangles=p.triangles,
        rest=p.points[p.triangles], panel=np.zeros(len(p.triangles), np.int64), seams={},
    )  # fmt: skip
    x, z = p.points.T
    points = np.stack([x, -1.0 - out(x, z), z], axis=1)
    h = np.array([0.0, 1.0])
    corner = np.array([[x, y, z] for x in h for y in h for z in h]) * [160.0, 20.0, 160.0]
    quads = np.array(
        [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    )
    wall = Surface(corner - [50.0, 0.0, 50.0], quads[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3))
    return hung(shell, points, wall)


def test_a_smooth_tube_and_a_plane_have_no_folds() -> None:
    assert read(bulged(lambda a, z: 0.0 * a)) == ()
    assert read(sheet(lambda a, z: 0.0 * a)) == ()
    # of an ellipse all round, and shallower than a quarter of a centimetre
    assert read(bulged(lambda a, z: 2.0 * np.cos(4.0 * np.pi * a / GIRTH))) == ()
    assert read(bulged(lambda a, z: 0.08 * np.cos(24.0 * np.pi * a / GIRTH))) == ()


def test_a_plane_is_its_own_smooth_copy() -> None:
    h = sheet(lambda a, z: 0.0 * a)
    bend, area = bending(h.shell, h.points)
    np.testing.assert_allclose(smoothed(bend, area, h.points), h.points, atol=1e-6)


@pytest.mark.parametrize("degrees", [0.0, 35.0, 50.0, 90.0, 145.0])
@pytest.mark.parametrize("where", [bulged, sheet])
def test_one_ridge(degrees: float, where: Callable[[Height], Hung]) -> None:
    found = read(where(ridge((30.0, 32.0), degrees, 16.0, 0.8)))
    assert len(found) == 1
    (f,) = found
    assert f.kind == "fold"
    # half as high 8 from its middle, where it rounds off and may end by a side of a triangle (0.9)
    # sooner; 0.12 high at 8 + 0.4 ln(0.8 / 0.12 - 1), and a profile takes in 1 cm beyond that.
    # Of the depth an eighth may be missed
    assert 16.0 - 2.0 * 0.9 < f.length < 2.0 * (9.0 + 0.4 * np.log(0.8 / 0.12 - 1.0))
    assert f.depth == pytest.approx(0.8, rel=0.125)
    level = min(degrees, 180.0 - degrees)
    if where is sheet:
        assert f.view == "front"
        assert abs(f.angle) == pytest.approx(level, abs=3.0)
        middle = (f.start + f.end) / 2.0
        np.testing.assert_allclose(middle[[0, 2]], [30.0, 32.0], atol=1.0)
    assert f.way == ("horizontal" if level < 20.0 else "vertical" if level > 70.0 else "diagonal")


@pytest.mark.parametrize(("count", "half"), [(8, 0.5), (12, 0.5), (16, 0.25), (20, 0.3)])
def test_a_ruffle_has_its_flutes(count: int, half: float) -> None:
    h = bulged(lambda a, z: half * np.cos(2.0 * np.pi * count * a / GIRTH))
    found = folds(h, gaps(h), named(h, {}), most=50)
    assert len(found) == count
    for f in found:
        assert f.way == "vertical"
        assert f.depth == pytest.approx(2.0 * half, rel=0.125)
        assert f.length > 0.9 * TALL
        on = np.degrees(np.arctan2(f.line[:, 0], -f.line[:, 1])) * count / 360.0
        np.testing.assert_allclose(on, np.round(on), atol=0.1)
    assert len(read(h)) == min(count, 12)


def test_flares_of_a_hem_are_told_as_such() -> None:
    def out(a: Array, z: Array) -> Array:
        found: Array = 0.6 * np.clip(1.0 - z / 25.0, 0.0, 1.0) * np.cos(20.0 * np.pi * a / GIRTH)
        return found

    found = read(bulged(out))
    assert len(found) == 10
    assert {f.kind for f in found} == {"hem flare"}
    # it is a quarter centimetre deep up to 25 (1 - 0.25 / 1.2) = 19.8 cm over the hem
    for f in found:
        assert OVER + 15.0 < max(f.start[2], f.end[2]) < OVER + 25.0


def test_a_pull_line_names_what_it_points_to() -> None:
    # her left front from the side seam upwards to the middle; the bust lies 6 cm beyond its end
    aim, degrees = np.array([4.0, 58.0]), 125.0
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    middle = aim - way * (6.0 + 4.0)
    h = bulged(ridge((middle[0], middle[1]), degrees, 8.0, 0.7, wide=1.0))
    angle = 2.0 * np.pi * aim[0] / GIRTH
    bust = np.array([RADIUS * np.sin(angle), -RADIUS * np.cos(angle), aim[1] + OVER])
    found = read(h, bust_point_left=bust, bust_point_right=bust * [-1.0, 1.0, 1.0])
    assert len(found) == 1
    (f,) = found
    assert f.view == "front"
    assert f.side == "left"
    assert f.way == "diagonal"
    assert f.angle < 0.0  # falls towards the side
    assert "the left bust point" in f.towards
    assert "points to the left bust point" in f.says()
    other = read(h, bust_point_right=bust * [-1.0, 1.0, 1.0])
    assert "bust" not in other[0].says()


def test_ends_are_named() -> None:
    # level across the back at the waist, from side seam to side seam
    h = bulged(ridge((50.0, 60.0), 0.0, 46.0, 0.6))
    found = read(h, back_waist=np.array([0.0, RADIUS, 70.0]))
    assert len(found) == 1
    assert found[0].view == "back"
    assert found[0].way == "horizontal"
    assert found[0].side == ""
    assert {s.told("cm") for s in found[0].ends} == {
        "the left side seam at the waist",
        "the right side seam at the waist",
    }


def test_the_body_is_taken_away() -> None:
    # cloth that lies on a ridge of the body is no fold; the same cloth off a smooth body is
    out = ridge((25.0, 35.0), 40.0, 16.0, 0.8)
    h = bulged(out)
    own, along, height = tube(GIRTH, TALL, 60, 160)
    skin = round_at(along, height, RADIUS - 0.3 + out(along * GIRTH, height))
    skin[:, 2] += OVER
    ends = np.array([[0.0, 0.0, OVER - 1.0], [0.0, 0.0, OVER + TALL + 1.0]])
    n, around = len(skin), 240
    j, k = np.arange(around), (np.arange(around) + 1) % around
    last = n - around
    caps = [np.stack([k, j, np.full(around, n)], 1)]
    caps += [np.stack([last + j, last + k, np.full(around, n + 1)], 1)]
    body = Surface(np.concatenate([skin, ends]), np.concatenate([own.triangles, *caps]))
    assert read(hung(h.shell, h.points, body)) == ()
    assert len(read(h)) == 1


def test_a_fold_between_the_legs_is_on_the_inside() -> None:
    # the whole tube stands at her right, so that its left side faces the other leg
    h = bulged(ridge((25.0, 32.0), 90.0, 16.0, 0.8))
    away = np.array([-20.0, 0.0, 0.0])
    body = Surface(h.body.points + away, h.body.triangles)
    knees = {
        f"knee_{side}": np.array([x, 0.0, 42.0]) for side, x in (("left", 8.0), ("right", -8.0))
    }
    (f,) = read(hung(h.shell, h.points + away, body), **knees)
    assert f.view == "inside"
    assert f.side == "right"
    assert "left knee" not in f.says()
    assert "on the inside of the right leg" in f.says()
    (g,) = read(h)
    assert g.view == "left"
