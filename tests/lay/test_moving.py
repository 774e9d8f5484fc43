"""Where an overlapping piece is moved: against every place of the grid, looked at one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.lay.moving import (
    all_depths,
    bounded,
    depth_at,
    listed,
    moved,
    room_for,
    rounds,
    seeded,
    shut_at,
)
from pinwright.cutting.lay.nfp import no_fit
from pinwright.cutting.lay.overlaps import BLOCK, Overlaps, Whole, least_in_blocks, overlaps_of
from pinwright.cutting.lay.placing import Array, Field, Phase, Template
from pinwright.cutting.lay.tables import Tables

from .shapes import box, curved, ell, template

PHASES = (Phase("along", (4.0, 2.0), 1.25), Phase("across", (4.0, 2.0), 0.5))


def pieces() -> list[Template]:
    """Of several shapes; one on the fold, one that may lie one way only."""
    return [
        template("a", curved(ell(16.0, 6.0))),
        template("b", ell(12.0, 5.0)),
        template("c", box(9.0, 7.0)),
        template("d", box(5.0, 11.0), rotations=(0.0,)),
        template("e", box(14.0, 6.0), on_fold=True),
    ]


def laid_out(
    field: Field, some: list[Template], length: float = 45.0
) -> tuple[Tables, Overlaps, Whole]:
    """Tables, overlaps, and the nodes on cloth so long."""
    tables = Tables(field, some)
    rows = []
    for way in (w for there in tables.ways for w in there):
        along, across = (tables.axis(way, k, length) for k in (0, 1))
        rows.append((along[0], along[-1], along.step, across[0], across[-1], across.step))
    return tables, overlaps_of(tables), np.array(rows)


def scattered(o: Overlaps, nodes: Whole, rng: np.random.Generator) -> Whole:
    """Each piece at some node in some way."""
    found = []
    for i in range(len(o.first_way) - 1):
        v = int(rng.integers(o.first_way[i], o.first_way[i + 1]))
        at = (
            int(first + step * rng.integers(0, (last - first) // step + 1))
            for first, last, step in nodes[v].reshape(2, 3)
        )
        found.append((v, *at))
    return np.array(found)


def test_a_depth_is_nothing_where_pieces_are_apart_and_only_there() -> None:
    """Every pair in every way, also where the table of another pair is read the other way round."""
    tables, o, _ = laid_out(Field(40.0, gap=0.3), pieces())
    ways = [w.kind for there in tables.ways for w in there]
    rng = np.random.default_rng(1)
    # the other way round it is the same table, which stands again beside it, from behind
    pairs = [(u, v) for u, v in np.ndindex(len(ways), len(ways)) if o.met[u, v, 2] > 0]
    for u, v in pairs:
        one, other = o.met[u, v], o.met[v, u]
        assert (other[:2] == 1 - one[:2] - one[2:4]).all()
        assert abs(other[4] - one[4]) == BLOCK * (one[2:4] // BLOCK + 1).prod()
    assert len({int(o.met[pair][4]) for pair in pairs}) / 2 < len(pairs) / 2
    for u, a in enumerate(ways):
        for v, b in enumerate(ways):
            if o.piece[u] == o.piece[v]:
                continue
            region = no_fit(a.body, a.rotation, b.body, b.rotation)
            x0, y0, x1, y1 = (int(k / tables.step[0]) for k in region.bounds)
            for i, j in rng.integers((x0 - 2, y0 - 2), (x1 + 3, y1 + 3), (40, 2)):
                inside = region.contains(shapely.Point(i * tables.step[0], j * tables.step[1]))
                assert (depth_at(o, u, 7, -3, v, 7 + i, j - 3) > 0) == inside


def test_depths_grow_inwards_and_the_deepest_is_not_taken_for_none() -> None:
    tables, o, _ = laid_out(Field(40.0, gap=0.3), pieces())
    both = tables.pair((0, 0), (1, 0))
    assert both is not None
    n, m = both.values.shape
    found = np.array(
        [
            [depth_at(o, 0, 0, 0, o.first_way[1], both.first[0] + i, both.first[1] + j) * o.unit]
            for i in range(n)
            for j in range(m)
        ]
    ).reshape(n, m)
    assert np.abs(found - both.values).max() <= o.unit
    assert o.depth.view(np.uint8).max() == 255


def test_the_least_of_a_block_is_that_of_its_depths() -> None:
    rng = np.random.default_rng(2)
    for shape in ((17, 23), (BLOCK - 1, 30), (BLOCK, BLOCK)):
        values = rng.integers(0, 200, shape, dtype=np.uint8)
        wide = BLOCK - 1
        around = np.zeros((shape[0] + 2 * wide, shape[1] + 2 * wide), np.uint8)
        around[wide:-wide, wide:-wide] = values
        found = least_in_blocks(values)
        assert found.shape == (shape[0] + wide, shape[1] + wide)
        for a in range(found.shape[0]):
            for b in range(found.shape[1]):
                assert found[a, b] == around[a : a + BLOCK, b : b + BLOCK].min()


@pytest.mark.parametrize(
    "field",
    [
        Field(40.0, gap=0.3),
        Field(
            40.0, gap=0.3, folded=True, flaws=((12.0, 14.0, 17.0, 19.0), (30.0, 0.0, 33.0, 40.0))
        ),
        Field(40.0, gap=0.3, repeat=(5.0, 3.0), turns=True),
        Field(9.0, gap=0.3, flaws=((50.0, 2.0, 58.0, 5.0),)),
    ],
    ids=["plain", "flaws", "repeat", "long"],
)
def test_a_piece_goes_where_it_overlaps_least_of_all_places(field: Field) -> None:
    some = pieces()
    if field.repeat[0]:
        some = [replace(t, phases=PHASES) for t in some[:3]] + some[3:4]
    length = 45.0
    if field.width < 10.0:  # rows of many lanes, more than one of which a table has
        length = 190.0
        some = [
            template(
                "a", np.array([(0, 0), (70, 0), (70, 3), (25, 3), (25, 6), (0, 6)], np.float64)
            ),
            template("b", box(62.0, 5.0)),
            template("c", box(90.0, 4.0)),
            template("d", box(33.0, 7.0), rotations=(0.0,)),
        ]
    _, o, nodes = laid_out(field, some, length)
    rng, n = np.random.default_rng(3), len(some)
    seeded(4)
    gained = 0
    for _ in range(12):
        places = scattered(o, nodes, rng)
        weight = rng.uniform(0.5, 4.0, (n, n))
        weight = weight + weight.T
        over = np.zeros((n, n))
        all_depths(o, places, over)
        j = int(rng.integers(n))
        before = costs(o, places, weight, j, *places[j])
        least = min(
            costs(o, places, weight, j, v, a, b)
            for v in range(o.first_way[j], o.first_way[j + 1])
            for a in range(nodes[v, 0], nodes[v, 1] + 1, nodes[v, 2])
            for b in range(nodes[v, 3], nodes[v, 4] + 1, nodes[v, 5])
        )
        others = np.delete(places, j, axis=0)
        moved(o, j, places, weight, nodes, over, room_for(o, nodes))
        assert np.array_equal(np.delete(places, j, axis=0), others)
        v, a, b = places[j].tolist()
        assert o.piece[v] == j
        assert nodes[v, 0] <= a <= nodes[v, 1]
        assert nodes[v, 3] <= b <= nodes[v, 4]
        assert (a - nodes[v, 0]) % nodes[v, 2] == 0
        assert (b - nodes[v, 3]) % nodes[v, 5] == 0
        assert costs(o, places, weight, j, v, a, b) == pytest.approx(least, rel=1e-5, abs=1e-5)
        gained += least < before
    assert gained > 2


@pytest.mark.parametrize("length", [45.0, 190.0])
def test_a_block_is_said_to_overlap_as_much_as_the_least_of_each_piece_there(length: float) -> None:
    """In every way: also where a table begins or ends anywhere among the lanes of a row, and on
    short cloth, which cuts tables off."""
    some = [
        template("a", np.array([(0, 0), (30, 0), (30, 3), (9, 3), (9, 8), (0, 8)], np.float64)),
        template("b", box(17.0, 5.0)),
        template("c", curved(ell(11.0, 4.0)), rotations=(0.0,)),
    ]
    _, o, nodes = laid_out(Field(16.0, gap=0.3, flaws=((30.0, 6.0, 38.0, 9.0),)), some, length)
    rng, n = np.random.default_rng(6), len(some)
    room = room_for(o, nodes)
    for j in (0, 1, 2) * 4:
        places = scattered(o, nodes, rng)
        weight = rng.uniform(0.5, 4.0, (n, n))
        weight = weight + weight.T
        wall = 2.0 * float(weight[j].max())
        listed(o, j, places, weight, wall, room)
        many = bounded(o, j, nodes, room)
        sums, end = room.sums[:many], 0
        for k, v in enumerate(range(o.first_way[j], o.first_way[j + 1])):
            begin, end, wide = room.grid[k].tolist()
            p, q = ((nodes[v, i + 1] - nodes[v, i]) // BLOCK + 1 for i in (0, 3))
            rows = sums[begin:end].reshape(q, wide)
            expected = np.zeros((q, p))
            for i, (u, a, b) in enumerate(places.tolist()):
                for row, column in np.ndindex(q, p):
                    c, d = nodes[v, 0] + BLOCK * column, nodes[v, 3] + BLOCK * row
                    there = (
                        shut_at(o, v, c + x, d + y)
                        if i == j
                        else depth_at(o, u, a, b, v, c + x, d + y)
                        for x, y in np.ndindex(BLOCK, BLOCK)
                    )
                    heavy = wall if i == j else weight[i, j]
                    expected[row, column] += heavy * min(there)
            assert rows[:, :p] == pytest.approx(expected, rel=1e-5)
            assert np.isinf(rows[:, p:]).all()
        assert np.isinf(sums[end:]).all()


def costs(o: Overlaps, places: Whole, weight: Array, j: int, v: int, a: int, b: int) -> float:
    """How deep a piece overlaps others at a place, as they weigh."""
    found = 2.0 * float(weight[j].max()) * shut_at(o, v, a, b)
    for i, (u, c, d) in enumerate(places.tolist()):
        if i != j:
            found += float(weight[i, j]) * depth_at(o, u, c, d, v, a, b)
    return found


def test_rounds_end_with_no_overlap_or_with_where_it_was_least() -> None:
    some = pieces()[:4]
    n = len(some)
    size = np.ones((n, n))
    # together they have more than the 400 cm2 of the second
    for length, apart in ((45.0, True), (20.0, False)):
        _, o, nodes = laid_out(Field(20.0, gap=0.3), some, length)
        places = scattered(o, nodes, np.random.default_rng(5))
        over, state, best = np.zeros((n, n)), np.array([1e300, 0.0]), places.copy()
        all_depths(o, places, over)
        seeded(1)
        found = rounds(
            o, nodes, size, places, over, size.copy(), best, state, 400, 30, room_for(o, nodes)
        )
        assert found == apart
        again = np.zeros((n, n))
        all_depths(o, places if apart else best, again)
        total = sum(float(again[i, j]) for i in range(n) for j in range(i + 1))
        assert total == (0.0 if apart else state[0])
