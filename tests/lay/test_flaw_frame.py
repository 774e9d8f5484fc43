"""Flaws as one piece for the engine: where the frame lies, and lays round it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from pinwright.cutting.lay import engine
from pinwright.cutting.lay.flaw_frame import behind_the_end, flaw_frame
from pinwright.cutting.lay.measure import lost_across
from pinwright.cutting.lay.placing import Field, Lay, Phase, Placement, Template
from pinwright.cutting.lay.verify import faults


def rectangle(key: str, long: float, wide: float, phases: tuple[Phase, ...] = ()) -> Template:
    ring = np.array([[0.0, 0.0], [long, 0.0], [long, wide], [0.0, wide]])
    return Template(key, "test", key, "both", ring, phases=phases)


def test_the_frame_holds_the_flaws_with_half_the_gap_and_little_else() -> None:
    field = Field(50.0, gap=1.0)
    flaws = ((10.0, 5.0, 20.0, 10.0), (30.0, 41.0, 34.0, 45.0))
    item = flaw_frame(flaws, field)
    assert item is not None
    shape = shapely.Polygon(item.shape)
    assert shape.is_valid
    for x0, y0, x1, y1 in flaws:
        assert shape.covers(shapely.box(x0 - 0.5, y0 - 0.5, x1 + 0.5, y1 + 0.5))
    # besides: a wall of 0.02 over 51.04, bars of 5 and 4.5 cm and two along the edges
    rest = shape.area - 11.0 * 6.0 - 5.0 * 5.0
    assert rest == pytest.approx(0.02 * (51.04 + 4.5 + 0.02 + 4.5 + 20.5 + 34.5), abs=0.05)
    low, high = shape.bounds[1], shape.bounds[3]
    assert (low, high) == pytest.approx((-0.52, 50.52))
    # the cloth begins half a gap behind the wall, for the grown pieces reach so much further
    assert shape.bounds[0] == pytest.approx(-0.52)


def test_a_frame_that_would_shut_off_cloth_is_none() -> None:
    across = (20.0, 0.0, 21.0, 50.0)
    assert flaw_frame((across,), Field(50.0)) is not None
    assert flaw_frame((across, (25.0, 48.0, 26.0, 49.0)), Field(50.0)) is None


@pytest.mark.parametrize("seed", [0, 1])
def test_the_engine_lays_round_flaws(seed: int) -> None:
    pieces = [rectangle(f"r{i}", 20.0, 12.0) for i in range(8)]
    field = Field(50.0, gap=0.4, flaws=((18.0, 22.0, 24.0, 28.0),))
    lay = engine.packed(pieces, field, 2, seed=seed)
    assert not faults(lay)
    # four rows of two are 40.4 long without the flaw, which takes the middle of two of them
    assert 40.4 <= lay.length < 62.0


def test_the_engine_lays_round_flaws_on_a_repeat() -> None:
    phase = (Phase("along", (0.0, 0.0), 1.0),)
    pieces = [rectangle(f"r{i}", 20.0, 12.0, phase) for i in range(4)]
    field = Field(50.0, gap=0.4, repeat=(6.0, 0.0), turns=True, flaws=((5.0, 0.0, 9.0, 3.0),))
    assert not faults(engine.packed(pieces, field, 2))


def test_what_stands_before_the_cut_end_goes_behind_the_other() -> None:
    pieces = (rectangle("a", 20.0, 30.0), rectangle("b", 10.0, 30.0))
    field = Field(50.0, gap=0.5, flaws=((22.0, 0.0, 26.0, 5.0),))
    lay = Lay(field, pieces, (Placement("a", 1.0, 0.0), Placement("b", -11.0, 0.0)), 0.0)
    moved = behind_the_end(lay)
    assert not faults(moved)
    assert moved.length == pytest.approx(26.0 + 0.5 + 10.0)
    repeat = Field(50.0, gap=0.5, repeat=(7.0, 0.0), turns=True)
    phase = (Phase("along", (0.0, 0.0), 3.0),)
    pieces = (pieces[0], rectangle("b", 10.0, 30.0, phase))
    lay = Lay(repeat, pieces, (Placement("a", 1.0, 0.0), Placement("b", -11.0, 0.0)), 0.0)
    moved = behind_the_end(lay)
    assert not faults(moved)
    assert moved.placements[1].x == pytest.approx(24.0)  # 3 + 3 x 7, the first after 21.5


def test_cloth_lost_to_flaws_across_all_of_it_is_reckoned() -> None:
    flaws = ((10.0, 0.0, 30.0, 26.0), (20.0, 25.0, 50.0, 50.0), (80.0, 0.0, 90.0, 49.5))
    field = Field(50.0, flaws=flaws)
    assert lost_across(field, 200.0) == pytest.approx(10.0 + 10.0)
    assert lost_across(field, 85.0) == pytest.approx(10.0 + 5.0)
    assert lost_across(Field(50.0, flaws=((0.0, 3.0, 9.0, 50.0),)), 100.0) == 0.0
