"""Layers of cloth lie on each other and do not pass; what is through itself is pushed back.

Crossings are counted by `tests.drape.physics_legs.crossings` (sides against planes) and by
`pinwright.figure.meeting` (exact signs of determinants), which share nothing with the solver.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.acting import Setting, Work
from pinwright.drape.solver.against_itself import PRESS, Layers
from pinwright.drape.solver.settling import settled
from pinwright.figure.meeting import meeting
from tests.drape.physics_bodies import field_from
from tests.drape.physics_cloth import MASS, cloth, sheet
from tests.drape.physics_legs import breeches, crossings, legs_distance

APART = 0.3
BEND = (137.0, 60.0)


def raised(flat: Array, z: Array | float) -> Array:
    return np.column_stack([flat, np.broadcast_to(z, len(flat))])


def two(edge: float = 1.0, seed: int = 1) -> tuple[Array, Whole, Array]:
    """Flat points (2 n, 2) of two equal sheets of 8 cm, meshed otherwise, triangles and corners."""
    a, ta = sheet(8.0, 8.0, edge, "random", seed)
    b, tb = sheet(8.0, 8.0, edge, "random", seed + 1)
    t = np.concatenate([ta, tb + len(a)])
    flat = np.concatenate([a, b])
    return flat, t, flat[t]


def table(low: float = -2.0, high: float = 8.0, wide: float = 16.0) -> object:
    box = np.array([-wide, -wide, low]), np.array([2.0 * wide, 2.0 * wide, high])
    return field_from(lambda p: p[:, 2], *box, 0.5)


def test_forces_are_how_the_energy_falls() -> None:
    flat, t, rest = two()
    n = len(flat) // 2
    rng = np.random.default_rng(3)
    x = raised(flat, np.repeat([0.0, 0.2], n)) + 0.05 * rng.standard_normal((2 * n, 3))
    s = cloth(2 * n, t, rest)
    layers = Layers(s.stencils, APART, PRESS)
    layers.look(x)
    out = np.zeros_like(x)
    layers.press(x, out)
    assert np.abs(out.sum(axis=0)).max() < 1e-9 * np.abs(out).sum()
    for _ in range(5):
        d = rng.standard_normal(x.shape)
        up, down = (layers.press(x + e * d, np.zeros_like(x)) for e in (1e-6, -1e-6))
        assert (down - up) / 2e-6 == pytest.approx(np.vdot(out, d), rel=1e-5)


def test_neighbours_in_a_flat_sheet_do_not_press() -> None:
    flat, t = sheet(8.0, 8.0, 1.0, "random")
    layers = Layers(cloth(len(flat), t, flat[t]).stencils, APART, PRESS)
    layers.look(raised(flat, 0.0))
    assert len(layers.places.vertex) == 0


def test_where_cloth_may_pass_it_does_not_press_and_elsewhere_as_before() -> None:
    flat, t, rest = two()
    n = len(flat) // 2
    x = raised(flat, np.repeat([0.0, 0.2], n))
    s = replace(cloth(2 * n, t, rest), apart=APART)
    before, after = np.zeros_like(x), np.zeros_like(x)
    passing = flat[:, 0] < 4.0
    for out, given in ((before, s), (after, replace(s, passing=passing))):
        layers = Work(given).layers
        assert layers is not None
        layers.look(x)
        layers.press(x, out)
    pressed = np.abs(before).max(axis=1) > 0.0
    assert pressed.mean() > 0.9
    assert not after[passing].any()
    # a triangle that reaches in is let go of, and so is what lies on it
    far = flat[:, 0] > 6.5
    assert after[far] == pytest.approx(before[far])
    assert np.abs(after[far]).max() > 0.0


@pytest.mark.parametrize("over", [False, True])
def test_two_sheets_on_a_table_lie_on_each_other(over: bool) -> None:
    # over: the upper one turned over, so that outside lies to outside
    # it comes down as a book closes: held at one end, for without friction it would slide off
    flat, t, rest = two()
    n = len(flat) // 2
    x = raised(flat, 0.04)
    x[n:, 2] += APART + 0.15 * flat[n:, 0]
    held = np.flatnonzero(flat[:, 0] < 0.1)
    if over:
        x[n:, 1] = 8.0 - x[n:, 1]
    s = cloth(2 * n, t, rest, bend=BEND, body=table(), half=0.04, pinned=held)
    found = {}
    for apart in (0.0, APART):
        state, left = settled(replace(s, apart=apart), x, enough=1e-2, steps=80, h=0.01)
        assert left.residual < 1e-2
        found[apart] = state.x
    upper, lower = (flat[:, 0] > 5.0) & (np.arange(2 * n) >= n), np.arange(2 * n) < n
    assert found[0.0][upper, 2].mean() == pytest.approx(0.04, abs=0.01)
    y = found[APART]
    assert crossings(y, t) == 0
    assert len(meeting(y, t)) == 0
    # the upper weighs 0.0264 g/cm2 on springs of 2e4 dyn/cm3 from either side: 0.0006 cm
    assert y[upper, 2].mean() - y[lower, 2].mean() == pytest.approx(APART, abs=0.02)
    assert MASS * 981.0 / (2.0 * PRESS) < 0.001


def test_a_strip_folded_over_lies_on_itself() -> None:
    """However it begins: triangles half as wide as the fold, so that none turns over by chance.

    About one in thirty ends with a corner caught between layers (of 34 beginnings one, whichever
    springs have room in the matrix): its residual says that it is not at rest.
    """
    flat, t = sheet(20.0, 5.0, 0.7, "rows along")
    radius = 0.8
    bend = np.clip((flat[:, 0] - 10.0) / radius, 0.0, np.pi)
    beyond = np.maximum(flat[:, 0] - 10.0 - np.pi * radius, 0.0)
    x = np.column_stack(
        [
            np.minimum(flat[:, 0], 10.0) + radius * np.sin(bend) - beyond,
            flat[:, 1],
            0.04 + radius * (1.0 - np.cos(bend)),
        ]
    )
    # limp, so that the layers come down on each other
    end = np.flatnonzero(flat[:, 0] < 0.1)
    s = cloth(len(x), t, flat[t], bend=(60.0, 60.0), body=table(), half=0.04, pinned=end)
    upper, lower = flat[:, 0] > 15.0, flat[:, 0] < 8.0
    caught = 0
    for seed in range(6):
        begun = x + np.random.default_rng(seed).normal(0.0, 1e-6 if seed else 0.0, x.shape)
        free, _ = settled(s, begun, enough=1e-2, steps=100, h=0.01, reach=0.5)
        assert crossings(free.x, t) + len(meeting(free.x, t)) > 0
        apart = replace(s, apart=APART)
        state, rest = settled(apart, begun, enough=1e-2, steps=100, h=0.01, reach=0.5)
        assert crossings(state.x, t) == 0
        if rest.residual > 1.0:
            caught += 1
        else:
            assert state.x[upper, 2].min() > state.x[lower, 2].max() + 0.5 * APART
    assert caught <= 1


def through() -> tuple[Setting, Array]:
    """A sheet, its outside downwards, that dips through another by 0.6 cm in its middle."""
    flat, t, rest = two()
    n = len(flat) // 2
    r2 = ((flat - 4.0) ** 2).sum(axis=1)
    x = raised(flat, np.where(np.arange(2 * n) < n, 0.0, 0.4 - np.exp(-r2 / 8.0)))
    x[n:, 0] = 8.0 - x[n:, 0]
    rim = np.flatnonzero(np.abs(flat - 4.0).max(axis=1) > 3.9)
    return cloth(2 * n, t, rest, bend=BEND, pinned=rim, gravity=np.zeros(3), apart=APART), x


def test_what_is_through_itself_outside_to_outside_is_pushed_back() -> None:
    s, x = through()
    t, n = s.stencils.triangles, len(x) // 2
    r2 = ((two()[0] - 4.0) ** 2).sum(axis=1)
    assert crossings(x, t) > 0
    state, left = settled(s, x, enough=1e-2, steps=100, h=0.01)
    assert left.residual < 1e-2
    assert crossings(state.x, t) == 0
    assert len(meeting(state.x, t)) == 0
    middle = r2 < 4.0
    assert state.x[n:][middle[n:], 2].min() > state.x[:n][middle[:n], 2].max()


def drawn_together() -> tuple[Setting, Array]:
    """Two tubes joined at a crotch on two legs 1 cm apart, drawn together."""
    b = breeches(2.0)
    body = field_from(
        legs_distance, np.array([-24.0, -15.0, -32.0]), np.array([24.0, 15.0, 24.0]), 0.5
    )
    x = b.x.copy()
    for _ in range(6):
        far, way = body.at(x)
        x += np.maximum(0.1 - far, 0.0)[:, None] * way
    s = cloth(
        len(x), b.triangles, b.rest, bend=BEND, body=body, half=0.04, pinned=b.top, apart=APART
    )
    soft = replace(s, stiff=0.01 * s.stiff, gravity=np.zeros(3))
    state, _ = settled(soft, x, steps=30, h=0.02, longest=0.3)
    return s, state.x


@pytest.fixture(scope="module")
def hung() -> tuple[Setting, Array]:
    """Two tubes joined at a crotch on two legs, hung."""
    s, x = drawn_together()
    state, _ = settled(s, x, enough=1e-2, steps=120, h=0.02, longest=2.0, reach=0.5)
    return s, state.x


def test_two_tubes_joined_at_a_crotch_do_not_pass_through_each_other(
    hung: tuple[Setting, Array],
) -> None:
    s, x = hung
    assert crossings(x, s.stencils.triangles) == 0
    assert len(meeting(x, s.stencils.triangles)) == 0
