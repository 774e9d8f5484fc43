"""A few places of a shell by themselves: the same forces, a solution as numpy's, a lower rest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.acting import Setting, State, Work, forces, residual
from pinwright.drape.solver.banded import Patch
from pinwright.drape.solver.fronts import NotPositiveError
from pinwright.drape.solver.patch import part_of
from pinwright.drape.solver.settling import _brought, settled
from tests.drape.physics_cloth import cloth, sheet
from tests.drape.test_against_itself import table, two


def hanging() -> tuple[Setting, Array]:
    """A strip held at its upper end, crumpled at random."""
    points, triangles = sheet(12.0, 8.0, 0.8, "random")
    s = cloth(len(points), triangles, points[triangles], pinned=np.flatnonzero(points[:, 0] < 1e-9))
    x = np.stack([points[:, 1], np.zeros(len(points)), -points[:, 0]], axis=1)
    x += np.random.default_rng(7).normal(0.0, 0.05, x.shape)
    return s, x


def at(s: Setting, x: Array, w: Work | None = None) -> State:
    state = State(x, x.copy(), 0.0 * x, np.zeros(len(x)))
    forces(s, w or Work(s), state)
    return state


def some(x: Array) -> Whole:
    return np.flatnonzero(np.linalg.norm(x - x[len(x) // 2], axis=1) < 2.5)


def test_the_forces_on_a_part_are_those_on_the_whole() -> None:
    s, x = hanging()
    inside = np.zeros(len(x), np.bool_)
    inside[some(x)] = True
    part = part_of(s, None, inside)
    assert set(part.vertices[part.free]) == set(np.flatnonzero(inside))
    whole, own = at(s, x), at(part.setting, x[part.vertices])
    assert own.force[part.free] == pytest.approx(whole.force[part.vertices[part.free]], rel=1e-9)
    assert not own.force[~part.free].any()
    # and so is the change of energy
    moved = x.copy()
    moved[inside] += np.random.default_rng(8).normal(0.0, 0.02, (int(inside.sum()), 3))
    assert at(part.setting, moved[part.vertices]).energy - own.energy == pytest.approx(
        at(s, moved).energy - whole.energy, rel=1e-9
    )


def test_gravity_of_each_vertex_for_itself_goes_along() -> None:
    s, x = hanging()
    pull = np.random.default_rng(9).normal(0.0, 500.0, x.shape)
    inside = np.zeros(len(x), np.bool_)
    inside[some(x)] = True
    pushed = replace(s, gravity=pull)
    part = part_of(pushed, None, inside)
    own = at(part.setting, x[part.vertices])
    assert own.force[part.free] == pytest.approx(
        at(pushed, x).force[part.vertices[part.free]], rel=1e-9
    )


def test_a_patch_is_solved_as_numpy_solves_it() -> None:
    s, _ = hanging()
    st = s.stencils
    rng = np.random.default_rng(3)
    values = rng.normal(size=(len(st.first), 3, 3))
    values[: st.n] += values[: st.n].transpose(0, 2, 1) + 40.0 * np.eye(3)
    inside = np.sort(rng.choice(st.n, 60, replace=False))
    dense = np.zeros((3 * st.n, 3 * st.n))
    for v, a, b in zip(values, st.first, st.second, strict=True):
        dense[3 * a : 3 * a + 3, 3 * b : 3 * b + 3] = v
        dense[3 * b : 3 * b + 3, 3 * a : 3 * a + 3] = v.T
    rows = (3 * inside[:, None] + np.arange(3)).ravel()
    right = rng.normal(size=(st.n, 3))
    expected = np.linalg.solve(dense[np.ix_(rows, rows)], right[inside].ravel())
    patch = Patch(st.n, inside, st.first, st.second)
    patch.factor(values)
    found = patch.solve(right)
    assert found[inside].ravel() == pytest.approx(expected, rel=1e-9)
    assert not np.delete(found, inside, axis=0).any()
    values[inside[0]] -= 400.0 * np.eye(3)
    with pytest.raises(NotPositiveError):
        patch.factor(values)


def test_with_easing_a_crumpled_strip_comes_to_rest_and_no_higher() -> None:
    s, x = hanging()
    one, rest = settled(s, x, enough=1e-3, steps=200, h=0.01)
    other, _ = settled(s, x, enough=1e-3, steps=200, h=0.01, ease=False)
    assert rest.residual <= 1e-3
    assert residual(s, one.force) == pytest.approx(rest.residual)
    assert one.energy <= other.energy + 1e-6 * abs(other.energy)


def test_what_acts_after_a_part_moved_is_what_acts_reckoned_anew() -> None:
    """Two sheets of cloth on a table with friction, the upper pressed on the lower."""
    flat, triangles, rest = two()
    n = len(flat) // 2
    x = np.column_stack([flat, np.repeat([0.03, 0.2], n)])
    x += np.random.default_rng(2).normal(0.0, 0.02, x.shape)
    s = cloth(2 * n, triangles, rest, bend=(137.0, 60.0), body=table(), half=0.04)
    s = replace(s, apart=0.3, friction=0.3, pinned=np.flatnonzero(flat[:, 0] < 0.1))
    w = Work(s)
    assert w.layers is not None
    w.layers.look(x)
    state = State(x, x.copy(), 0.0 * x, np.zeros(len(x)))
    forces(s, w, state)
    inside = np.zeros(len(x), np.bool_)
    inside[some(x)] = True
    before = state.force
    part = part_of(s, w.layers, inside)
    _brought(s, w, state, part, 1e-3 * float((before[inside] ** 2).sum()), 1.0)
    assert np.abs(state.x - x).max() > 0.01
    assert np.array_equal(state.x[~inside], x[~inside])
    assert (before[inside] ** 2).sum() > 100.0 * (state.force[inside] ** 2).sum()
    # also on what stood still
    assert np.abs(state.force - before)[~inside].max() > 1.0
    anew = replace_state(state)
    told = {k: getattr(w, k).copy() for k in ("bent", "stress", "membrane", "blocks", "contact")}
    gap = w.layers.gap.copy()
    forces(s, w, anew)
    size = float(np.abs(before).max())
    assert state.force == pytest.approx(anew.force, abs=1e-9 * size)
    assert state.energy == pytest.approx(anew.energy, rel=1e-9)
    assert state.touch == pytest.approx(anew.touch, rel=1e-9, abs=1e-9)
    for k, v in told.items():
        assert v == pytest.approx(getattr(w, k), rel=1e-9, abs=1e-9), k
    assert gap == pytest.approx(w.layers.gap, abs=1e-12)


def replace_state(state: State) -> State:
    return State(state.x, state.anchor.copy(), 0.0 * state.x, np.zeros(len(state.x)))
