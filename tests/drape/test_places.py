"""Where cloth comes near cloth: of one cloth, and of many at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from pinwright.drape.data import Array, Flags, Whole
from pinwright.drape.solver.places import MARGIN, Places, Sheet, places_of, sheet_of, sliding
from pinwright.drape.solver.seeing import Desk
from pinwright.drape.solver.stencils import Stencils
from tests.drape.physics_cloth import cloth, sheet
from tests.drape.test_against_itself import APART, raised, through, two


def crumpled(seed: int) -> tuple[Stencils, Array]:
    """Two sheets 0.2 cm apart, each vertex moved by some 0.05 cm."""
    flat, t, rest = two()
    n = len(flat) // 2
    rng = np.random.default_rng(seed)
    x = raised(flat, np.repeat([0.0, 0.2], n)) + 0.05 * rng.standard_normal((2 * n, 3))
    return cloth(2 * n, t, rest).stencils, x


def places(sheet: Sheet, triangles: Whole, x: Array, apart: float) -> Places:
    """Of one cloth, on a desk of its own."""
    return places_of([sheet], triangles, x[None], np.array([apart]), Desk())[0]


def test_rest_lengths_of_sides_are_those_of_the_flat_sheet() -> None:
    flat, t = sheet(8.0, 8.0, 1.0, "random")
    found = sheet_of(cloth(len(flat), t, flat[t]).stencils)
    for v in range(len(flat)):
        to = found.beside[found.start[v] : found.start[v + 1]]
        far = found.far[found.start[v] : found.start[v + 1]]
        assert far == pytest.approx(np.linalg.norm(flat[to] - flat[v], axis=1), rel=1e-12)


def test_layers_that_slide_join_who_is_beside_who_they_join() -> None:
    flat, t, rest = two()
    found = sheet_of(cloth(len(flat), t, rest).stencils)
    n = len(flat)
    near = [set(found.beside[found.start[v] : found.start[v + 1]].tolist()) for v in range(n)]
    # one from the middle, one from a rim, and one pair that is a side
    joined = [(n - 3, 5), (n // 2 + 7, 0), (3, min(near[3]))]
    asked = {(a, b) for v, o in joined for a, b in [(v, o), *((v, k) for k in near[o])]}
    asked |= {(k, o) for v, o in joined for k in near[v]}
    expected = sorted({max(a, b) * n + min(a, b) for a, b in asked if a != b})
    keys = np.array([max(pair) * n + min(pair) for pair in joined])
    assert sliding(keys, found).tolist() == expected


def beside(triangles: Whole, v: int) -> Flags:
    """Which triangles have a corner that is v or one side off it."""
    ring = np.unique(triangles[(triangles == v).any(axis=1)])
    found: Flags = np.asarray(np.isin(triangles, ring).any(axis=1))
    return found


def away(corners: Array, from_: Array) -> Array:
    """How far a point (3,) is from triangles (k, 3, 3), by trimesh."""
    many = np.repeat(from_[None], len(corners), axis=0)
    there = trimesh.triangles.closest_point(corners, many)  # type: ignore[no-untyped-call]
    found: Array = np.linalg.norm(there - from_, axis=1)
    return found


def test_the_nearest_place_is_the_nearest_of_all_triangles() -> None:
    """Of two sheets on each other, against another library's nearest point of each triangle."""
    s, x = crumpled(3)
    t = s.triangles
    found = places(sheet_of(s), t, x, APART)
    half = len(x) // 2
    inner = np.flatnonzero((np.abs(x[:, :2] - 4.0) < 2.5).all(axis=1))
    assert len(inner) > 20
    corners = x[t]
    for v in inner.tolist():
        mine = found.corners[found.vertex == v]
        others = np.flatnonzero(~beside(t, v) & ((t < half).all(axis=1) != (v < half)))
        least = float(away(corners[others], x[v]).min())
        assert least < APART + MARGIN
        (met,) = mine[((mine < half).all(axis=1)) != (v < half)]
        assert away(x[met][None], x[v])[0] == pytest.approx(least, abs=1e-9)


def test_of_many_cloths_each_has_its_own_places_to_the_last_bit() -> None:
    """Crumpled, through itself, and lying apart, each in its own place and with its own reach; and
    again on a desk that other cloths have used."""
    setting, crossed = through()
    s = setting.stencils
    sheet_there = sheet_of(s)
    wide = replace(sheet_there, far=1.5 * sheet_there.far)
    xs = [
        crumpled(3)[1],
        crossed,
        crumpled(4)[1] * [1.0, 1.0, 30.0],
        crossed + np.array([40.0, -7.0, 3.0]),
    ]
    apart = np.array([APART, APART, 0.1, 2.0])
    sheets = [sheet_there, sheet_there, wide, sheet_there]
    desk = Desk()
    for chosen in ([0, 1, 2, 3], [2], [3, 1]):
        many = places_of(
            [sheets[k] for k in chosen],
            s.triangles,
            np.stack([xs[k] for k in chosen]),
            apart[chosen],
            desk,
        )
        for k, found in zip(chosen, many, strict=True):
            alone = places(sheets[k], s.triangles, xs[k], float(apart[k]))
            assert len(alone.vertex) > 0 or k == 2
            for name in ("vertex", "corners", "out", "through"):
                assert np.array_equal(getattr(found, name), getattr(alone, name)), (k, name)
    assert many[1].through.any()
