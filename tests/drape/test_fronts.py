"""Factors front by front: against numpy on whole matrices, in one go and one after the other."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.fronts import GOOD, Fronts, NotPositiveError
from pinwright.drape.solver.tree import shares, updates_laid


def grid(nx: int, ny: int, more: int) -> tuple[int, Whole, Whole, Array]:
    """Vertices of a sheet that meet within two steps, and some that are joined across it."""
    at = np.arange(nx * ny).reshape(nx, ny)
    pairs = []
    for i, j in ((0, 1), (1, 0), (1, 1), (0, 2), (2, 0)):
        pairs.append(np.stack([at[: nx - i, : ny - j].ravel(), at[i:, j:].ravel()], axis=1))
    across = np.random.default_rng(2).integers(0, nx * ny, (more, 2))
    pairs.append(np.sort(across[across[:, 0] != across[:, 1]], axis=1))
    met = np.unique(np.concatenate(pairs), axis=0)
    n = nx * ny
    x = np.stack([*np.divmod(np.arange(n), ny), np.zeros(n)], axis=1).astype(np.float64)
    own = np.arange(n)
    return n, np.concatenate([own, met[:, 1]]), np.concatenate([own, met[:, 0]]), x


def matrix(n: int, first: Whole, second: Whole) -> tuple[Array, Array]:
    """Blocks of a positive definite matrix, and the matrix (3 n, 3 n)."""
    blocks = np.random.default_rng(3).normal(size=(len(first), 3, 3))
    blocks[:n] += blocks[:n].transpose(0, 2, 1)
    whole = np.zeros((n, 3, n, 3))
    for p, (i, j) in enumerate(zip(first.tolist(), second.tolist(), strict=True)):
        whole[i, :, j, :] = blocks[p]
        whole[j, :, i, :] = blocks[p].T
    square = whole.reshape(3 * n, 3 * n)
    more = 1.0 - float(np.linalg.eigvalsh(square)[0])
    blocks[:n] += more * np.eye(3)
    return blocks, square + more * np.eye(3 * n)


def left_over(whole: Array, right: Array, found: Array) -> float:
    """What a solution leaves over, as a part of the right side."""
    left = right.ravel() - whole @ found.ravel()
    return float(np.linalg.norm(left) / np.linalg.norm(right))


@pytest.mark.parametrize(("nx", "ny", "more"), [(5, 4, 0), (9, 14, 0), (20, 30, 0), (20, 30, 25)])
def test_solutions_are_numpys(nx: int, ny: int, more: int) -> None:
    n, first, second, x = grid(nx, ny, more)
    blocks, whole = matrix(n, first, second)
    right = np.random.default_rng(4).normal(size=(n, 3))
    expected = np.linalg.solve(whole, right.ravel()).reshape(n, 3)
    fronts = Fronts(n, first, second, x)
    for _ in range(2):  # the room of the first time is used again
        assert np.allclose(fronts.solve_anew(blocks, right), expected, atol=1e-4)
        assert left_over(whole, right, fronts.solve_anew(blocks, right)) <= GOOD
        fronts.factor(blocks)
        assert np.allclose(fronts.solve(right), expected, atol=1e-12)
        assert np.allclose(fronts.solve(2.0 * right), 2.0 * expected, atol=1e-12)
    other = Fronts(n, first, second, parts=fronts.parts, before=fronts)
    assert left_over(whole, right, other.solve_anew(blocks, right)) <= GOOD


def test_what_single_precision_does_not_carry_is_solved_in_double() -> None:
    """Springs of 1e7 between vertices that are held by 1e-3 each: one part in 1e10."""
    n, first, second, x = grid(9, 14, 0)
    blocks = np.zeros((len(first), 3, 3))
    off = first != second
    blocks[off] = -1e7 * np.eye(3)
    for k in (first[off], second[off]):
        np.add.at(blocks, k, 1e7 * np.eye(3))
    blocks[:n] += 1e-3 * np.eye(3)
    fronts = Fronts(n, first, second, x)
    found = fronts.solve_anew(blocks, np.ones((n, 3)))
    # all alike: each moves by one over what holds it
    assert np.allclose(found, 1e3, rtol=1e-3)
    assert "double" in fronts.numbers


def test_what_is_not_positive_definite_is_told_and_nothing_is_spoilt() -> None:
    n, first, second, x = grid(20, 30, 25)
    blocks, whole = matrix(n, first, second)
    right = np.ones((n, 3))
    fronts = Fronts(n, first, second, x)
    bad = blocks.copy()
    bad[n // 2] -= 100.0 * np.eye(3)
    with pytest.raises(NotPositiveError, match="not positive definite"):
        fronts.solve_anew(bad, right)
    expected = np.linalg.solve(whole, right.ravel()).reshape(n, 3)
    assert np.allclose(fronts.solve_anew(blocks, right), expected, atol=1e-4)


def test_solutions_are_bettered_until_they_are_good(monkeypatch: pytest.MonkeyPatch) -> None:
    n, first, second, x = grid(20, 30, 25)
    blocks, whole = matrix(n, first, second)
    right = np.random.default_rng(4).normal(size=(n, 3))
    fronts = Fronts(n, first, second, x)
    rough = left_over(whole, right, fronts.solve_anew(blocks, right))
    monkeypatch.setattr("pinwright.drape.solver.fronts.GOOD", 1e-12)
    fine = left_over(whole, right, fronts.solve_anew(blocks, right))
    assert 1e-9 < rough <= GOOD
    assert fine <= 1e-12
    assert "double" not in fronts.numbers


@pytest.mark.parametrize("threads", [1, 2, 4])
def test_no_front_overwrites_what_another_waits_for(threads: int) -> None:
    n, first, second, x = grid(40, 50, 0)
    t = Fronts(n, first, second, x).tree
    s = shares(t, threads)
    at, room = updates_laid(t, s)
    size = 9 * t.later * t.later
    # a front's numbers are in use from when it is done until its parent is; those of a branch's
    # last front for as long as other branches may run
    spans: list[tuple[int, int]] = []
    for todo in s.todo:
        live: list[int] = []
        for f in todo.tolist():
            for o in live:
                assert at[f] + size[f] <= at[o] or at[o] + size[o] <= at[f]
            live = [o for o in live if t.parent[o] != f] + ([f] if size[f] else [])
        low, high = int(at[todo].min()), int((at[todo] + size[todo]).max())
        assert all(end <= low or high <= begin for begin, end in spans)
        spans.append((low, high))
    assert room >= int((at + size).max())
    if threads == 1:
        assert room < 0.5 * size.sum()
