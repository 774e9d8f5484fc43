"""Which parts of a grid lie inside: as scipy labels them, and whichever way the band is holed."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import label

from pinwright.drape.data import Array
from pinwright.drape.grid_parts import inside


def by_labels(found: Array, known: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The same by scipy's parts, asked from each known point."""
    parts, count = label(~known)
    more = np.zeros(count + 1, np.int64)
    sign = np.where(found < 0.0, 1, -1)
    for axis in range(3):
        for step in (1, -1):
            there = np.roll(parts, -step, axis)
            edge = [slice(None)] * 3
            edge[axis] = slice(-1, None) if step == 1 else slice(0, 1)
            there[tuple(edge)] = 0
            np.add.at(more, there[known], sign[known])
    more[0] = 0
    result: NDArray[np.bool_] = more[parts] > 0
    return result


def shells(holes: float, seed: int) -> tuple[Array, NDArray[np.bool_]]:
    """Two balls, one cut by the grid's rim, known in a band with so large a part of it holed."""
    at = np.stack(np.meshgrid(*(np.arange(k) for k in (23, 31, 27)), indexing="ij"), axis=3)
    balls = [((7.0, 9.0, 12.0), 5.0), ((16.0, 25.0, 20.0), 7.5)]
    found = np.min([np.linalg.norm(at - c, axis=3) - r for c, r in balls], axis=0)
    rng = np.random.default_rng(seed)
    known = (np.abs(found) < 1.8) & (rng.random(found.shape) >= holes)
    return found, known


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("holes", [0.0, 0.02, 0.3, 0.7])
def test_parts_are_those_that_scipy_labels(holes: float, seed: int) -> None:
    found, known = shells(holes, seed)
    assert np.array_equal(inside(found, known), by_labels(found, known))


def test_balls_are_inside_and_all_else_is_not() -> None:
    found, known = shells(0.0, 0)
    assert np.array_equal(inside(found, known), (found < 0.0) & ~known)


@pytest.mark.parametrize("known", [True, False])
def test_where_all_or_nothing_is_known_nothing_is_inside(known: bool) -> None:
    there = np.full((3, 4, 5), known)
    assert not inside(np.full((3, 4, 5), -1.0), there).any()
