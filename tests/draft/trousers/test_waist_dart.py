"""Waists with darts, against darts worked out by hand."""

from __future__ import annotations

from math import asin, degrees, radians, sin

import numpy as np
import pytest

from pinwright.draft.features.waist_dart import WaistDart, intake, waist_with_darts
from pinwright.errors import DraftError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Mouth

LEFT, UP = np.array([-1.0, 0.0]), np.array([0.0, 1.0])
SIDE, CENTRE = np.array([20.0, 20.0]), np.array([0.0, 20.0])


def dart(name: str, x: float, width: float = 2.0, length: float = 10.0) -> WaistDart:
    return WaistDart(name, np.array([x, 20.0 - length]), UP, width, length, "front_waist_dart")


def runs(parts: tuple[Path | Mouth, ...]) -> list[Path]:
    return [p for p in parts if isinstance(p, Path)]


def test_one_dart_takes_up_what_is_left() -> None:
    waist = waist_with_darts(SIDE, LEFT, CENTRE, LEFT, [dart("d", 10.0)], 18.0)
    a, b = runs(waist.parts)
    assert a.length + b.length == pytest.approx(18.0, abs=1e-9)
    assert np.array_equal(a.start, SIDE)
    assert np.array_equal(b.end, CENTRE)
    legs = [float(np.hypot(*(p - waist.darts[0].apex))) for p in (a.end, b.start)]
    assert legs[0] == pytest.approx(legs[1], abs=1e-12)
    # the mouth is upright over the apex, its width by 2 l sin(a/2)
    assert a.end[0] + b.start[0] == pytest.approx(20.0, abs=1e-9)
    width = float(a.end[0] - b.start[0])
    assert width == pytest.approx(intake(degrees(2 * asin(width / 2 / legs[0])), legs[0]))


def test_closing_the_dart_gives_one_smooth_curve() -> None:
    waist = waist_with_darts(SIDE, LEFT, CENTRE, LEFT, [dart("d", 10.0)], 18.0)
    a, b = runs(waist.parts)
    apex = waist.darts[0].apex
    turn = complex(*(b.start - apex)) / complex(*(a.end - apex))
    closed = [(complex(*(p - apex)) * turn) for p in a.ctrl[-1]]
    after = [complex(*(p - apex)) for p in b.ctrl[0]]
    assert abs(closed[3] - after[0]) < 1e-9
    # both parts are pieces of one cubic: second differences in proportion to the parameters
    ratio = abs(after[1] - after[0]) / abs(closed[3] - closed[2])
    bend_before = (closed[3] - 2 * closed[2] + closed[1]) * ratio**2
    bend_after = after[2] - 2 * after[1] + after[0]
    assert abs(bend_before - bend_after) < 1e-9


def test_two_darts_share_in_their_proportion() -> None:
    wanted = [dart("outer", 13.0, 1.0), dart("inner", 6.0, 2.0)]
    waist = waist_with_darts(SIDE, LEFT, CENTRE, LEFT, wanted, 17.0)
    a, b, c = runs(waist.parts)
    assert a.length + b.length + c.length == pytest.approx(17.0, abs=1e-9)
    assert [d.name for d in waist.darts] == ["outer", "inner"]
    angles = []
    for before, after, d in ((a, b, waist.darts[0]), (b, c, waist.darts[1])):
        u, v = before.end - d.apex, after.start - d.apex
        assert np.hypot(*u) == pytest.approx(float(np.hypot(*v)), abs=1e-9)
        angles.append(asin(float(u[0] * v[1] - u[1] * v[0]) / float(np.hypot(*u) * np.hypot(*v))))
    assert angles[1] / angles[0] == pytest.approx(asin(0.1) / asin(0.05), rel=1e-6)


def test_hand_worked_intake() -> None:
    # 12 degrees at 25: 5.23 (sources 2.3, geometry)
    assert intake(12.0, 25.0) == pytest.approx(5.23, abs=0.005)
    assert intake(10.0, 10.0) == pytest.approx(20.0 * sin(radians(5.0)))


def test_a_dart_beyond_the_waist_is_refused() -> None:
    with pytest.raises(DraftError, match="dart"):
        waist_with_darts(SIDE, LEFT, CENTRE, LEFT, [dart("d", 40.0)], 18.0)


def test_no_dart_can_lengthen_a_waist() -> None:
    with pytest.raises(DraftError, match="no darts"):
        waist_with_darts(SIDE, LEFT, CENTRE, LEFT, [dart("d", 10.0)], 21.0)
