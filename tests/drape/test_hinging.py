"""Hinges, pairs that meet over them and what folds weigh there: against whole matrices."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.stencils import bending, stencils
from tests.drape.physics_cloth import sheet

Mesh = tuple[int, Whole, Array]


def uneven() -> Mesh:
    """A sheet of uneven triangles, with one triangle by itself and a vertex that has none."""
    flat, t = sheet(6.0, 5.0, 1.0, "random")
    n = len(flat)
    alone = np.array([[n, n + 1, n + 2]])
    flat = np.concatenate([flat, [[20.0, 0.0], [21.0, 0.0], [20.0, 1.0], [30.0, 0.0]]])
    t = np.concatenate([t, alone])
    return n + 4, t, flat[t]


def three_at_one_edge() -> Mesh:
    """A flap sewn on: three triangles at one edge, each with a flat of its own."""
    t = np.array([[0, 1, 2], [1, 0, 3], [0, 1, 4]])
    corner = [(0.2, 1.1), (0.7, 1.3), (0.4, 0.8)]
    rest = np.array([[(0.0, 0.0), (1.0, 0.0), c] for c in corner])
    return 5, t, rest


def two_on_each_other() -> Mesh:
    """A pillow: two triangles on the same corners."""
    t = np.array([[0, 1, 2], [0, 2, 1]])
    flat = np.array([(0.0, 0.0), (1.3, 0.0), (0.4, 1.1)])
    return 3, t, np.stack([flat, flat[[0, 2, 1]] * [1.0, -1.0]])


def whole(n: int, hinge: Whole, fold: Array) -> Array:
    """The folds at all hinges as a matrix (h, n)."""
    found = np.zeros((len(hinge), n))
    for k, (corners, by) in enumerate(zip(hinge, fold, strict=True)):
        np.add.at(found[k], corners, by)
    return found


@pytest.mark.parametrize("given", [uneven(), three_at_one_edge(), two_on_each_other()])
def test_what_folds_weigh_is_the_product_of_whole_matrices(given: Mesh) -> None:
    n, t, rest = given
    s = stencils(n, t, rest)
    folds = whole(n, s.hinge, s.fold)
    matrix, values = bending(s, 80.0, 50.0)
    beside = np.zeros((len(s.hinge), len(s.hinge)))
    supple = np.diag([1.0 / 50.0, 0.5 / np.sqrt(80.0 * 50.0), 1.0 / 80.0])
    for k, sides in enumerate(s.sides):
        given_by = s.turn[k] @ supple @ s.turn[k].T
        given_by += np.diag((sides < 0) + 1e-6 * np.trace(given_by))
        weight = np.linalg.inv(given_by) * s.area[k]
        for i in np.flatnonzero(sides >= 0):
            for j in np.flatnonzero(sides >= 0):
                beside[sides[i], sides[j]] += weight[i, j]
    expected = folds.T @ beside @ folds
    size = np.abs(expected).max(initial=1e-9)
    assert matrix.toarray() == pytest.approx(expected, abs=1e-11 * size)
    assert expected[s.first, s.second] == pytest.approx(values, abs=1e-11 * size)


@pytest.mark.parametrize("given", [uneven(), three_at_one_edge(), two_on_each_other()])
def test_who_meets_whom_and_in_which_triangles(given: Mesh) -> None:
    n, t, rest = given
    s = stencils(n, t, rest)
    meet = {(v, v) for v in range(n)}
    for corners, sides in zip(t.tolist(), s.sides, strict=True):
        about = set(corners).union(*(s.hinge[h].tolist() for h in sides if h >= 0))
        meet |= {(a, b) for a in about for b in about if a > b}
    pairs = list(zip(s.first.tolist(), s.second.tolist(), strict=True))
    assert pairs == [*((v, v) for v in range(n)), *sorted(p for p in meet if p[0] > p[1])]
    for k, (a, b) in enumerate(pairs):
        run = slice(s.ends[k], s.ends[k + 1])
        found = list(zip(s.triangle[run].tolist(), s.corner_a[run], s.corner_b[run], strict=True))
        assert all(t[m, i] == a and t[m, j] == b for m, i, j in found)
        assert [m for m, _, _ in found] == np.flatnonzero(
            (t == a).any(axis=1) & (t == b).any(axis=1)
        ).tolist()


def test_every_inner_edge_is_a_hinge_once() -> None:
    n, t, rest = uneven()
    s = stencils(n, t, rest)
    edges = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    known, count = np.unique(edges, axis=0, return_counts=True)
    assert np.array_equal(s.hinge[:, :2], known[count == 2])
    # a fold is nothing where what bends is flat, and its slopes are those of the flat
    flat = np.zeros((n, 2))
    flat[t.ravel()] = rest.reshape(-1, 2)
    assert np.abs(whole(n, s.hinge, s.fold) @ flat).max() < 1e-9
