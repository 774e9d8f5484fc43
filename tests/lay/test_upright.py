"""A tilted piece goes back on the grain where that costs no cloth, and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pinwright.cutting.lay import solve
from pinwright.cutting.lay.placing import Field, Lay, Placement
from pinwright.cutting.lay.upright import upright
from pinwright.cutting.lay.verify import faults

from .shapes import box, template

TILTED = (0.0, 180.0, 5.0, 355.0)


def test_a_tilt_that_saves_nothing_is_taken_back() -> None:
    a, b = template("a", box(30.0, 20.0)), template("b", box(10.0, 4.0), rotations=TILTED)
    lay = Lay(Field(40.0), (b, a), (Placement("b", 1.0, 25.0, 5.0), Placement("a", 0.0, 0.0)), 30.0)
    assert not faults(lay)
    straight = upright(lay)
    assert not faults(straight)
    assert [p.key for p in straight.placements] == ["b", "a"]
    assert straight.placements[0].rotation in (0.0, 180.0)
    assert straight.placements[1] == lay.placements[1]
    assert straight.length == 30.0


def test_a_tilt_that_saves_cloth_stays() -> None:
    # 20 by 3 at 80 degrees takes 20 cos 80 + 3 sin 80 = 6.43 along, 20.22 across; straight it is 20
    b = template("b", box(20.0, 3.0), rotations=(0.0, 80.0))
    lay = Lay(Field(21.0), (b,), (Placement("b", 2.9545, 0.0, 80.0),), 6.43)
    assert not faults(lay)
    assert upright(lay) == lay


def test_pieces_that_may_tilt_come_out_straight_where_there_is_room() -> None:
    pieces = [template(str(i), box(12.0, 7.0), rotations=TILTED) for i in range(6)]
    lay = solve.solve(pieces, Field(30.0), 2)
    assert not faults(lay)
    assert lay.length == pytest.approx(24.0, abs=0.05)
    assert all(p.rotation % 180.0 == 0.0 for p in lay.placements)
    # what may only lie tilted does
    askew = [replace(t, rotations=(5.0,)) for t in pieces]
    assert all(p.rotation == 5.0 for p in solve.solve(askew, Field(30.0), 1).placements)
