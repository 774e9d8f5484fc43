"""Rest does not hang on the mesh, is come to downhill, and seams are closed."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from tests.drape import sewn
from tests.drape.physics_cloth import sheet
from tests.drape.physics_legs import crossings
from tests.drape.physics_tubes import energies, hip_tube, on_hip


def test_refining_a_tube_on_a_hip_converges() -> None:
    coarse, middle, fine = (hip_tube(e) for e in (2.8, 2.0, 1.4))
    assert max(coarse[3], middle[3], fine[3]) < 2e-3
    # strain round the fullest level: girth of the body there and of the cloth on it
    z = np.linspace(32.5, 37.5, 101)
    said = (
        np.mean(68.0 + 6.0 * np.exp(-(((z - 35.0) / 8.0) ** 2)) + 2.0 * np.pi * 0.04) / 70.0 - 1.0
    )
    assert fine[0] == pytest.approx(said, abs=0.002)
    assert abs(middle[0] - fine[0]) < 0.001
    # how long it hangs, and its energy
    assert abs(middle[1] - fine[1]) < 0.0005
    assert abs(middle[2] / fine[2] - 1.0) < 0.02


@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_energy_does_not_grow_from_step_to_step(friction: float) -> None:
    s, x, _ = on_hip(2.0, friction)
    found = np.array(energies(s, x, 30))
    fallen = found[0] - found.min()
    assert fallen > 0.0
    assert (np.diff(found) <= 1e-6 * fallen + 1e-9 * np.abs(found[:-1])).all()


@pytest.mark.parametrize("variant", ["trousers", "yoke", "dart"])
def test_seams_are_closed(variant: str) -> None:
    # welded: both sides of a seam are the same vertices, so they are 0.0 mm apart wherever it
    # hangs; every step along a seam is a side of two triangles
    s = sewn.shell(variant, 2.5)
    t = s.triangles
    sides = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    count = Counter(map(tuple, sides.tolist()))
    assert s.seams
    for name, v in s.seams.items():
        steps = np.sort(np.stack([v[:-1], v[1:]], axis=1), axis=1)
        assert {count[tuple(q)] for q in steps.tolist()} == {2}, name


def test_crossings_are_counted() -> None:
    points, triangles = sheet(4.0, 4.0, 1.0, "random")
    flat = np.concatenate([points, np.zeros((len(points), 1))], axis=1)
    upright = flat[:, [0, 2, 1]] + [0.13, 1.9, -2.0]
    both = np.concatenate([triangles, triangles + len(points)])
    assert crossings(np.concatenate([flat, upright]), both) > 0
    assert crossings(np.concatenate([flat, flat + 0.1]), both) == 0
