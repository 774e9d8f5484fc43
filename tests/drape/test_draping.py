"""How the finest triangles are brought to rest where layers cannot be kept apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from pinwright.drape import draping
from pinwright.drape.crushing import TRIES, brought_to_rest
from pinwright.drape.data import Array, Rest
from pinwright.drape.solver.acting import Setting, State
from tests.drape.physics_cloth import cloth, sheet


def flat() -> tuple[Setting, Array]:
    points, triangles = sheet(20.0, 10.0, 1.0, "random")
    s = cloth(len(points), triangles, points[triangles], bend=(100.0, 60.0))
    return replace(s, apart=0.4), np.column_stack([points, np.zeros(len(points))])


def brought(
    monkeypatch: pytest.MonkeyPatch, residuals: Sequence[float]
) -> tuple[list[tuple[Setting, int]], Setting]:
    """What the solver is asked when it leaves these residuals over, the forces at the left end."""
    s, x = flat()
    left = iter(residuals)
    asked: list[tuple[Setting, int]] = []

    def settled(now: Setting, at: Array, enough: float, steps: int, *_: Any) -> tuple[State, Rest]:
        asked.append((now, steps))
        force = np.zeros_like(at)
        force[at[:, 0] < 2.0] = 50.0
        force += 0.01
        return State(at, at, force, np.zeros(len(at))), Rest(next(left), steps, 0.0)

    monkeypatch.setattr(draping, "settled", settled)
    _, last = draping._hang(draping._Course(None), s, x, 0.1, 0.005)
    return asked, last


def test_at_rest_it_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, last = brought(monkeypatch, [0.09])
    assert [steps for _, steps in asked] == [TRIES.first]
    assert last.apart == 0.4
    assert last.passing is None


def test_what_is_nearly_at_rest_goes_on_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, last = brought(monkeypatch, [0.5, 0.09])
    assert [steps for _, steps in asked] == [TRIES.first, TRIES.more]
    assert last.apart == 0.4
    assert last.passing is None


def test_where_it_is_crushed_layers_pass_and_elsewhere_not(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, last = brought(monkeypatch, [20.0, 0.09])
    assert [steps for _, steps in asked] == [TRIES.first, TRIES.more]
    assert last.apart == 0.4
    assert last.passing is not None
    x = flat()[1][:, 0]
    assert last.passing[x < 2.0].all()
    # two sides of triangles farther, and what bends with them
    assert not last.passing[x > 7.0].any()


def test_where_that_does_not_do_all_layers_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, last = brought(monkeypatch, [20.0, *([8.0] * TRIES.lets), 0.09])
    assert [steps for _, steps in asked] == [TRIES.first, *([TRIES.more] * TRIES.lets), TRIES.last]
    assert last.apart == 0.0
    assert last.passing is None


def test_of_many_only_those_go_on_that_are_not_at_rest() -> None:
    """Each by its own forces and residual: at rest, nearly, crushed, and where nothing does."""
    s, x = flat()
    left = {
        0.0: [0.05],
        1.0: [0.5, 0.5, 0.09],
        2.0: [20.0, 0.09],
        3.0: [20.0, 20.0, 20.0, 20.0, 0.09],
    }
    asked: list[tuple[list[float], int]] = []

    def settle(now: Sequence[Setting], at: Array, steps: int) -> list[tuple[State, Rest]]:
        who = at[:, 0, 2].tolist()
        asked.append((who, steps))
        return [
            (State(y, y, np.where(y[:, :1] < 2.0, 50.0, 0.01) * y**0, np.zeros(len(y))),
             Rest(left[k].pop(0), steps, 0.0))
            for k, y in zip(who, at, strict=True)
        ]  # fmt: skip

    up = np.array([0.0, 0.0, 1.0])
    found = brought_to_rest(settle, [s] * 4, np.stack([x + k * up for k in range(4)]), 0.1)
    t = TRIES
    assert asked == [
        ([0.0, 1.0, 2.0, 3.0], t.first),
        ([1.0, 2.0, 3.0], t.more),
        ([1.0, 3.0], t.more),
        ([3.0], t.more),
        ([3.0], t.last),
    ]
    assert [rest.residual for _, rest, _ in found] == [0.05, 0.09, 0.09, 0.09]
    assert [now.passing is not None for _, _, now in found] == [False, False, True, False]
    assert [now.apart for _, _, now in found] == [0.4, 0.4, 0.4, 0.0]
    assert [state.x[0, 2] for state, _, _ in found] == [0.0, 1.0, 2.0, 3.0]
