"""The outline in a photograph beside the figure's silhouette."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from pinwright.figure.body.model import Array
from pinwright.figure.photographs.places import PROFILE, VIEWS, View
from pinwright.figure.photographs.silhouette import Agreement, agreement, sentence
from tests.figure.photographed import Lens, height_of, photographed, rim, standing

LEVELS = tuple(np.arange(15.0, 165.0, 3.0))


@cache
def usual() -> Array:
    return standing()


def found(client: Array, view: View, **camera: Any) -> Agreement:
    photo = photographed(client, view, levels=LEVELS, **{"focal": 2200.0, **camera})
    agreed = agreement(usual(), photo, height_of(client))
    assert agreed is not None
    return agreed


@pytest.mark.parametrize("view", VIEWS)
def test_a_body_agrees_with_its_own_photograph(view: View) -> None:
    a = found(usual(), view, aside=10.0, roll=0.0)
    assert a.agrees
    assert a.within == 1.0
    # a px is 0.16 cm
    assert abs(a.worst) < 0.2
    assert a.mean == pytest.approx(0.0, abs=0.03)
    assert a.judged > 25
    assert a.judged + a.left_out == 2 * len(LEVELS)
    assert sentence(a).startswith(
        f"Photograph 1 ({view}): the outline agrees with the figure: 100 % of {a.judged} points "
        "within 1.0 cm; at most she is 0."
    )


def test_a_roll_and_noise_change_little() -> None:
    a = found(usual(), "front", roll=5.0, noise=1.0)
    assert a.agrees
    assert abs(a.worst) < 0.9


@pytest.mark.parametrize("view", VIEWS)
def test_a_fuller_client_is_fuller(view: View) -> None:
    # every point 2.5 cm further from the middle of the trunk, as a coat would put it
    fuller = wider(usual(), 2.5)
    a = found(fuller, view)
    assert not a.agrees
    assert a.mean > 1.0
    assert a.worst > 2.0
    assert "does not agree with the figure: she is" in sentence(a)
    assert "fuller than the figure at the" in sentence(a)


def test_a_slighter_client_is_slighter() -> None:
    a = found(wider(usual(), -2.5), "front")
    assert not a.agrees
    assert a.mean < -1.0
    assert "slighter than the figure at the" in sentence(a)


def test_it_is_told_where() -> None:
    # a belly 4 cm further out, from hip to waist, in front
    points = usual().copy()
    z, y = points[:, 2], points[:, 1]
    hump = np.exp(-(((z - 104.0) / 5.0) ** 2))
    points[:, 1] -= 4.0 * hump * (y < -6.0)
    a = found(points, "left")
    assert a.where == "at the top hip, in front"
    # a little of it is taken for a lean to her front; not where her profile is not marked
    assert -0.5 < a.lean < 0.0
    b = found(points, "left", left_out=tuple(PROFILE))
    assert b.lean == pytest.approx(0.0, abs=0.02)
    # by hand: the furthest that a row's edge lies from the edges of the other body's rows, in px
    lens = Lens(points, "left", focal=2200.0)
    own = np.array(rim(usual(), lens, np.arange(5.0, 175.0, 0.1)))
    off = np.linalg.norm(np.array(rim(points, lens, LEVELS))[:, None] - own, axis=2).min(axis=1)
    assert b.worst == pytest.approx(off.max() * 350.0 / 2200.0, abs=0.15)
    assert 3.0 < b.worst < 4.0
    assert sentence(a).startswith(
        "Photograph 1 (left): the outline does not agree with the figure: she is "
    )
    assert " fuller than the figure at the top hip, in front (" in sentence(a)
    assert sentence(a, "in").count(" in ") >= 2
    one = usual().copy()
    side = np.exp(-(((z - 104.0) / 5.0) ** 2)) * (one[:, 0] > 8.0) * (one[:, 0] < 22.0)
    one[:, 0] += 4.0 * side
    assert found(one, "front").where == "at the top hip, on her left"
    assert found(one, "back").where == "at the top hip, on her left"


def test_a_lean_is_taken_out_and_told() -> None:
    points = usual().copy()
    points[:, 1] += 0.035 * (points[:, 2] - 7.6)
    a = found(points, "right")
    assert a.lean == pytest.approx(2.0, abs=0.3)
    assert a.agrees
    assert "She leans" in sentence(a)
    assert "degrees to her back there; that is taken out." in sentence(a)


def test_without_an_outline_there_is_nothing_to_judge() -> None:
    photo = photographed(usual(), "front", focal=2200.0)
    assert agreement(usual(), photo, height_of(usual())) is None


def wider(points: Array, by: float) -> Array:
    """A body whose trunk and legs lie ``by`` further out from the middle of each level."""
    out = points.copy()
    middle = np.array([0.0, -4.0])
    from_middle = points[:, :2] - middle
    far = np.linalg.norm(from_middle, axis=1, keepdims=True)
    out[:, :2] += by * from_middle / np.maximum(far, 4.0)
    feet = points[:, 2] < 12.0
    out[feet] = points[feet]
    return out
