"""Where cloth comes near cloth, found on the path of the graphics card, run on the processor.

What is compared with is what the processor finds (:mod:`tests.drape.test_places` holds it against
another library's nearest points), to the last bit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Array, Flags
from pinwright.drape.solver.acting import Setting, layers_of
from pinwright.drape.solver.against_itself import PAIRS, Layers
from pinwright.drape.solver.places import sheet_of
from tests.drape.physics_cloth import cloth, sheet
from tests.drape.test_against_itself import APART, through
from tests.drape.test_places import crumpled

wp = pytest.importorskip("warp")

from pinwright.drape.gpu import crossing, gridding  # noqa: E402
from pinwright.drape.gpu.card import Card  # noqa: E402
from pinwright.drape.gpu.lying import Layering  # noqa: E402
from pinwright.drape.gpu.plans import Plans  # noqa: E402


def many() -> tuple[list[Setting], Array]:
    """Crumpled, through itself, lying apart, and through itself elsewhere and with more reach."""
    s, crossed = through()
    flat = crumpled(4)[1] * [1.0, 1.0, 30.0]
    x = np.stack([crumpled(3)[1], crossed, flat, crossed + np.array([40.0, -7.0, 3.0])])
    return [replace(s, apart=a) for a in (APART, APART, 0.1, 2.0)], x


def looped(seed: int, wide: float, turn: float) -> tuple[Setting, Array]:
    """A strip that lies in two loops through itself, one turned against the other."""
    flat, t = sheet(60.0, 6.0, 0.8, "random")
    along = np.linspace(0.0, 60.0, 6001)
    bends = np.zeros(len(along))
    for at, by in ((12, -0.62), (20, 1.35), (28, -0.73), (36, 0.62), (42, -1.35), (48, 0.73)):
        bend = np.exp(-(((along - at) / (1.5 * wide)) ** 2))
        bends += np.pi * turn * by * bend / bend.sum()
    angle = np.cumsum(bends)
    u, w = (0.01 * np.cumsum(f(angle)) for f in (np.cos, np.sin))
    x = np.column_stack(
        [np.interp(flat[:, 0], along, u), flat[:, 1], np.interp(flat[:, 0], along, w)]
    )
    x += 0.02 * np.random.default_rng(seed).standard_normal(x.shape)
    return replace(cloth(len(x), t, flat[t]), apart=APART), x


def card_of(settings: list[Setting], x: Array) -> tuple[Card, Layering]:
    card = Card(settings, x, None, 0.03, Plans(settings[0].stencils, x[0]))
    assert card.layering is not None
    return card, card.layering


def on_the_processor(s: Setting, x: Array) -> Layers:
    layers = layers_of(s)
    assert layers is not None
    layers.look(x)
    return layers


def same(layering: Layering, k: int, s: Setting, x: Array) -> int:
    """Whether a variant has the places that the processor finds: how many."""
    theirs = on_the_processor(s, x)
    lying = layering.lying
    count = int(lying.count.numpy()[k])
    vertex, corners, out = (a.numpy()[k, :count] for a in (lying.vertex, lying.corners, lying.out))
    assert np.array_equal(vertex, theirs.places.vertex)
    assert np.array_equal(corners, theirs.places.corners)
    assert np.array_equal(out, theirs.places.out)
    assert lying.least.numpy()[k] == theirs.least
    return count


def all_of(n: int, some: Iterable[int]) -> Flags:
    """Only some of n variants go on."""
    live = np.zeros(n, np.bool_)
    live[list(some)] = True
    return live


def test_of_many_cloths_each_has_the_places_that_the_processor_finds() -> None:
    """And again where some have moved, and only there."""
    settings, x = many()
    with wp.ScopedDevice("cpu"):
        card, layering = card_of(settings, x)
        assert layering.look(card.live, card.x, np.ones(4, np.bool_))
        counts = [same(layering, k, s, x[k]) for k, s in enumerate(settings)]
        assert [c > 0 for c in counts] == [True, True, False, True]
        assert not layering.look(card.live, card.x, np.ones(4, np.bool_))
        moved = x.copy()
        moved[1] = x[0]
        moved[3] = x[1] - np.array([0.0, 0.0, 55.0])
        moved[2] = crumpled(5)[1]
        card.x.assign(moved)
        # one has moved that is at rest
        assert layering.look(card.live, card.x, all_of(4, [0, 1, 3]))
        for k, at in enumerate((moved[0], moved[1], x[2], moved[3])):
            same(layering, k, settings[k], at)
        assert layering.look(card.live, card.x, np.ones(4, np.bool_))
        assert same(layering, 2, settings[2], moved[2]) > 0


def test_flanks_of_ridges_are_left_and_what_is_through_is_pushed_back_as_on_the_processor() -> None:
    given = [looped(1, 0.8, 0.9), looped(2, 0.5, 1.1), looped(3, 0.8, 0.8), looped(4, 1.3, 1.0)]
    settings, x = [s for s, _ in given], np.stack([at for _, at in given])
    with wp.ScopedDevice("cpu"):
        card, layering = card_of(settings, x)
        layering.look(card.live, card.x, np.ones(4, np.bool_))
        assert min(same(layering, k, s, x[k]) for k, s in enumerate(settings)) > 100
        state = layering.places.crossings.crossing.state.numpy()
        through = [on_the_processor(s, x[k]).places.through.sum() for k, s in enumerate(settings)]
        assert (state == crossing.THROUGH).sum(axis=1).tolist() == through
        assert [t > 0 for t in through] == [True, True, False, True]
        # and some are found to be of a ridge
        assert ((state == crossing.BACK).sum(axis=1) > 0).sum() >= 2


def test_a_coarser_grid_finds_the_same_places(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a cloth would have more cells than there is room for."""
    s, x = looped(1, 0.8, 0.9)
    found = on_the_processor(s, x).places
    monkeypatch.setattr(gridding, "CELLS", 40)
    with wp.ScopedDevice("cpu"):
        card, layering = card_of([s], x[None])
        layering.look(card.live, card.x, np.ones(1, np.bool_))
        grid = layering.places.seeing.grid
        assert 1 < grid.cells.numpy()[0] <= 40
        assert (
            grid.cell.numpy()[0] > layering.places.sheet.reach.numpy()[0] + grid.widest.numpy()[0]
        )
        count = int(layering.lying.count.numpy()[0])
        vertex = layering.lying.vertex.numpy()[0, :count]
        corners = layering.lying.corners.numpy()[0, :count]
    assert np.array_equal(vertex, found.vertex)
    # where two triangles are as near, the first that is looked at is taken
    assert (corners == found.corners).all(axis=1).mean() > 0.9


def test_rest_lengths_of_sides_are_those_of_each_variant() -> None:
    flat, t = sheet(8.0, 8.0, 1.0, "random")
    rests = [flat[t], (flat * [1.3, 0.9])[t]]
    settings = [replace(cloth(len(flat), t, r), apart=APART) for r in rests]
    with wp.ScopedDevice("cpu"):
        _, layering = card_of(settings, np.zeros((2, len(flat), 3)))
        far = layering.places.sheet.far.numpy()
    for k, s in enumerate(settings):
        assert far[k] == pytest.approx(sheet_of(s.stencils).far, rel=1e-12)


def test_where_cloth_may_pass_no_places_are_found() -> None:
    settings, x = many()
    passing = x[0][:, 0] < 4.0
    settings = [replace(s, passing=passing if k < 2 else None) for k, s in enumerate(settings)]
    with wp.ScopedDevice("cpu"):
        card, layering = card_of(settings, x)
        layering.look(card.live, card.x, np.ones(4, np.bool_))
        counts = [same(layering, k, s, x[k]) for k, s in enumerate(settings)]
    assert 0 < counts[0] < 162
    assert counts[3] == 162


def test_vertices_and_pairs_know_their_places_in_order() -> None:
    """What meets each vertex and what joins each pair of the matrix, and which pairs it lacks;
    before and after it has room for more."""
    settings, x = many()
    n = settings[0].stencils.n
    with wp.ScopedDevice("cpu"):
        card, layering = card_of(settings, x)
        layering.look(card.live, card.x, np.ones(4, np.bool_))
        for more in (False, True):
            if more:
                card.start()
                assert layering.lacks_room()
                assert len(layering.more) > 50
            known = np.concatenate(
                [
                    settings[0].stencils.first * n + settings[0].stencils.second,
                    layering.more[:, 0] * n + layering.more[:, 1],
                ]
            )
            number = {key: at for at, key in enumerate(known.tolist())}
            lying = layering.lying
            for k, s in enumerate(settings):
                p = on_the_processor(s, x[k]).places
                who = np.concatenate([p.vertex[:, None], p.corners], axis=1)
                ends, item = lying.ends.numpy()[k], lying.item.numpy()[k]
                assert ends[-1] == who.size
                for v in range(n):
                    assert item[ends[v] : ends[v + 1]].tolist() == (
                        np.flatnonzero(who.ravel() == v).tolist()
                    )
                both = np.sort(who[:, PAIRS], axis=2).reshape(-1, 2)
                there = np.array([number.get(b * n + a, -1) for a, b in both.tolist()], int)
                ends, item = lying.pair_ends.numpy()[k], lying.pair_item.numpy()[k]
                order = np.argsort(there, kind="stable")
                assert item[: ends[-1]].tolist() == order[there[order] >= 0].tolist()
                assert np.array_equal(
                    np.diff(ends), np.bincount(there[there >= 0], None, len(known))
                )
                lacking = ((there < 0).reshape(-1, 6) * (1 << np.arange(6))).sum(axis=1)
                assert lying.lacking.numpy()[k, : len(lacking)].tolist() == lacking.tolist()


def test_where_nothing_is_near_there_are_no_places() -> None:
    settings, x = many()
    with wp.ScopedDevice("cpu"):
        card, layering = card_of([settings[2]] * 2, np.stack([x[2], x[2] * 1.1]))
        assert layering.look(card.live, card.x, np.ones(2, np.bool_))
        card.start()
        assert not layering.lacks_room()
        assert not layering.lying.count.numpy().any()
        assert not layering.lying.ends.numpy().any()
        assert not layering.lying.pair_ends.numpy().any()
