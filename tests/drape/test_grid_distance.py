"""How far points of a grid are from known ones: the same as scipy's exact transform tells."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt

from pinwright.drape.grid_distance import NOWHERE, nearest_known


@pytest.mark.parametrize(
    ("shape", "share"), [((40, 30, 20), 0.01), ((17, 9, 33), 0.001), ((1, 5, 6), 0.1)]
)
def test_distances_are_those_of_scipy_and_the_points_lie_so_far(
    shape: tuple[int, int, int], share: float
) -> None:
    rng = np.random.default_rng(1)
    known = rng.uniform(size=shape) < share
    known[0, -1, 2] = True
    far, place = nearest_known(known)
    assert np.array_equal(np.sqrt(far), distance_transform_edt(~known))
    assert known.ravel()[place].all()
    where = np.stack(np.unravel_index(place, shape))
    assert np.array_equal(((where - np.indices(shape)) ** 2).sum(axis=0), far)


def test_where_nothing_is_known_nothing_is_near() -> None:
    far, place = nearest_known(np.zeros((3, 4, 5), np.bool_))
    assert (far == NOWHERE).all()
    assert (place == -1).all()
