"""A lay is made shorter and stays one that can be cut."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.cutting.lay import engine, separation
from pinwright.cutting.lay.placer import laid
from pinwright.cutting.lay.placing import Field, Lay, Phase, Placement, Template
from pinwright.cutting.lay.separation import shortened
from pinwright.cutting.lay.verify import faults

from .shapes import box, curved, ell, template


def in_a_row(pieces: list[Template], field: Field, by: float) -> Lay:
    """Every piece behind the one before."""
    places = tuple(Placement(t.key, i * by, 0.0) for i, t in enumerate(pieces))
    return Lay(field, tuple(pieces), places, len(pieces) * by)


def test_squares_in_a_row_come_to_lie_side_by_side() -> None:
    pieces = [template(str(i), box(12.0, 9.0)) for i in range(8)]
    lay = in_a_row(pieces, Field(39.0, gap=0.3), 12.3)
    assert not faults(lay)
    told: list[float] = []
    found = shortened(lay, 3.0, seed=1, tell=told.append)
    assert not faults(found)
    # four across, two along, which no grid of 0.75 cm has
    assert found.length == pytest.approx(24.3, abs=0.01)
    assert told == sorted(told, reverse=True)
    assert told[-1] == found.length


def test_places_in_the_repeat_are_kept_and_cloth_is_saved() -> None:
    phases = (Phase("along", (4.0, 2.0), 1.25), Phase("across", (4.0, 2.0), 0.5))
    pieces = [template(str(i), curved(ell(16.0, 6.0)), phases=phases) for i in range(8)]
    field = Field(40.0, gap=0.3, repeat=(5.0, 3.0), turns=True)
    lay = laid(pieces, field, 0.3)
    found = shortened(lay, 4.0, seed=2)
    assert not faults(found)
    assert found.length <= lay.length
    by_engine = engine.packed(pieces, field, 4)
    assert found.length < by_engine.length


def test_flaws_the_fold_and_the_way_of_the_cloth_are_kept() -> None:
    rng = np.random.default_rng(5)
    one_way = [
        template(str(i), box(*(4.0 + 9.0 * rng.random(2))), rotations=(0.0,)) for i in range(7)
    ]
    back = template("back", box(20.0, 9.0), on_fold=True, plies=2)
    field = Field(24.0, gap=0.3, folded=True, flaws=((12.0, 14.0, 15.0, 17.0),))
    lay = laid([*one_way, back], field, 0.1)
    found = shortened(lay, 3.0)
    assert not faults(found)
    assert found.length <= lay.length
    assert next(p for p in found.placements if p.key == "back").y == 0.0


def test_begun_afresh_again_and_again_it_keeps_the_shortest_lay(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    begun: list[float] = []
    scattered = separation._Grid.scattered

    def told(self: separation._Grid, length: float, rng: np.random.Generator) -> np.ndarray:
        places = scattered(self, length, rng)
        # nowhere but where each piece may lie
        nodes = self.nodes(length)[places[:, 0]]
        for k in (0, 3):
            node, (first, last, step) = places[:, 1 + k // 3], nodes[:, k : k + 3].T
            assert ((node >= first) & (node <= last) & ((node - first) % step == 0)).all()
        begun.append(length)
        return places

    monkeypatch.setattr(separation, "AFRESH", 2)
    monkeypatch.setattr(separation._Grid, "scattered", told)
    phases = (Phase("along", (4.0, 2.0), 1.25),)
    matched = [template(str(i), curved(ell(16.0, 6.0)), phases=phases) for i in range(4)]
    back = template("back", box(20.0, 9.0), on_fold=True, plies=2)
    field = Field(40.0, gap=0.3, folded=True, repeat=(5.0, 0.0), flaws=((12.0, 34.0, 15.0, 37.0),))
    lay = laid([*matched, back], field, 0.1)
    lengths: list[float] = []
    found = shortened(lay, 3.0, seed=3, tell=lengths.append, cores=2)
    assert len(begun) > 3
    assert not faults(found)
    assert found.length == min([lay.length, *lengths])
    assert lengths == sorted(lengths, reverse=True)
    assert next(p for p in found.placements if p.key == "back").y == 0.0


def test_of_tries_that_are_alike_the_best_is_kept_and_none_is_lost_once_one_succeeds() -> None:
    pieces = [template("big", box(20.0, 10.0)), template("small", box(4.0, 3.0))]
    lay = in_a_row(pieces, Field(30.0), 20.0)
    grid = separation._Grid(lay)
    found = separation._Found(lay, grid.near(lay), None, grid.alike)
    big, small = grid.overlaps.first_way[:2].tolist()

    def failed(over: float, x: int, y: int, way: int = 0, small_at: int = 0) -> None:
        places = np.array([(big + way, x, y), (small, small_at, 0)])
        found.longer(0, found.target, over, places, lambda _: places)

    near, far = 10, 14  # 3.75 and 5.25 cm
    failed(3.0, 0, 0)
    failed(2.0, near, 0, small_at=30)
    failed(2.5, 0, near)
    assert [over for over, _ in found.failed] == [2.0]  # the third is like the second, and worse
    failed(4.0, 0, far)
    failed(1.0, 0, 0, way=1)
    assert [over for over, _ in found.failed] == [1.0, 2.0, 4.0]
    assert found.tries == 5
    shorter = replace(lay, length=0.9 * lay.length)
    found.shorter(0, shorter, found.target, grid.near(lay))
    assert [over for over, _ in found.failed] == [1.5, 3.0, 6.0]
    assert found.tries == 0
    assert found.target < shorter.length


def test_what_cannot_be_shortened_stays_as_it_was() -> None:
    pieces = [template(str(i), box(10.0, 10.0)) for i in range(4)]
    lay = Lay(
        Field(20.0),
        tuple(pieces),
        tuple(Placement(str(i), 10.0 * (i % 2), 10.0 * (i // 2)) for i in range(4)),
        20.0,
    )
    assert not faults(lay)
    same = shortened(lay, 0.5)
    assert (same.placements, same.length) == (lay.placements, lay.length)
    one = replace(lay, templates=lay.templates[:1], placements=lay.placements[:1])
    assert shortened(one, 9.0) is one
    corner = replace(lay, field=replace(lay.field, outline=box(30.0, 30.0)))
    assert shortened(corner, 9.0) is corner


def test_it_ends_when_asked() -> None:
    pieces = [template(str(i), curved(ell(16.0, 6.0))) for i in range(6)]
    lay = laid(pieces, Field(40.0), 0.1)
    assert shortened(lay, 1e6, stop=lambda: True).length == pytest.approx(lay.length)
