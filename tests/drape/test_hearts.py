"""Which few places come to rest by themselves, against the same said in numpy and scipy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.solver.acting import GRAVITY, Setting
from pinwright.drape.solver.hearts import MOST, SHARE, SPARSE, hearts, meeting
from pinwright.drape.solver.stencils import bending, stencils


def sheet(side: int) -> Setting:
    i, j = np.meshgrid(np.arange(side), np.arange(side))
    flat = np.stack([i.ravel(), j.ravel()], axis=1).astype(np.float64)
    at = (i + side * j)[:-1, :-1].ravel()
    triangles = np.concatenate(
        [
            np.stack([at, at + 1, at + side + 1], axis=1),
            np.stack([at, at + side + 1, at + side], axis=1),
        ]
    )
    s = stencils(len(flat), triangles, flat[triangles])
    matrix, pairs = bending(s, 50.0, 50.0)
    return Setting(s, np.tile([1e5, 0.0, 1e5, 4e4], (len(triangles), 1)), matrix, pairs, s.load)


def plainly(s: Setting, force: np.ndarray, enough: float) -> tuple[set[int], float] | None:
    """The definition, the slow way."""
    size = (force**2).sum(axis=1)
    unit = len(size) * (GRAVITY * s.mass.mean()) ** 2
    order = np.argsort(-size)[: max(1, min(MOST, len(size) // SPARSE))]
    if size.sum() <= unit * enough**2 or size[order].sum() < SHARE * size.sum():
        return None
    left = max(0.25 * unit * enough**2, 0.1 * size.sum())
    taken: set[int] = set()
    gone = 0.0
    for i in order.tolist():
        taken.add(i)
        gone += size[i]
        if size.sum() - gone <= left:
            break
    dense = np.abs(s.bend.toarray()) > 0.0
    return taken | {int(q) for i in taken for q in np.flatnonzero(dense[i])}, left


@pytest.mark.parametrize("peaks", [1, 3, 4, 12])
def test_they_are_where_most_of_the_forces_are(peaks: int) -> None:
    rng = np.random.default_rng(peaks)
    s = sheet(30)  # 900 vertices: 4 hearts at most
    force = 100.0 * rng.normal(size=(len(s.mass), 3))
    at = rng.choice(len(s.mass), peaks, replace=False)
    force[at] += 1e4 * rng.uniform(1.0, 2.0, (peaks, 3))
    inside, aim = hearts(meeting([s]), force[None], np.ones(1, bool), 0.01)
    expected = plainly(s, force, 0.01)
    if expected is None:
        assert aim[0] == -1.0
        assert not inside.any()
    else:
        assert set(np.flatnonzero(inside[0]).tolist()) == expected[0]
        assert aim[0] == pytest.approx(expected[1])
    assert (expected is None) == (peaks == 12)


def test_each_cloth_of_many_has_the_same_as_alone() -> None:
    rng = np.random.default_rng(3)
    plain = sheet(25)
    # at rest, one place, most of it everywhere, and one that is not asked for
    cloths = [plain, replace(plain, mass=1.3 * plain.mass), plain, plain]
    force = (
        rng.normal(size=(4, len(plain.mass), 3)) * np.array([1e-9, 10.0, 10.0, 10.0])[:, None, None]
    )
    force[[1, 3], 77] = 1e5
    on = np.array([True, True, True, False])
    inside, aim = hearts(meeting(cloths), force, on, 0.01)
    assert (aim >= 0.0).tolist() == [False, True, False, False]
    for b, s in enumerate(cloths[:3]):
        alone, one = hearts(meeting([s]), force[b : b + 1], np.ones(1, bool), 0.01)
        assert np.array_equal(alone[0], inside[b])
        assert one[0] == aim[b]
