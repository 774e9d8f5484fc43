"""Shrinkage: what comes out of the wash has the measures of the draft."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.cutting.cuts import cuts
from pinwright.cutting.fields import fields
from pinwright.cutting.material import Flaw, Material, Remnant, Repeat
from pinwright.cutting.shrinking import on_table, scaled_for, to_buy, told
from pinwright.errors import LayError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece, edge


def strip(length: float, width: float) -> Piece:
    """A rectangle without allowances, its length up."""
    c = [(0.0, 0.0), (width, 0.0), (width, length), (0.0, length)]
    names = ["a", "b", "c", "d"]
    return Piece(
        "back",
        "Back",
        tuple(
            edge(
                f"e{i}", names[i], Path.line(c[i], c[(i + 1) % 4]), names[(i + 1) % 4], allowance=0
            )
            for i in range(4)
        ),
        np.array([[1.0, 1.0], [1.0, 9.0]]),
    )


def test_a_line_of_97_is_97_after_the_wash() -> None:
    p = strip(97.0, 38.4)
    cloth = Material(shrink_along=3.0, shrink_across=4.0, shrink="scaled")
    for c in cuts({"back": p}, {"back": p}, "g", cloth):
        long, wide = np.ptp(c.template.outline, axis=0)
        assert long == pytest.approx(100.0)
        assert wide == pytest.approx(40.0)
        # washed, the cloth loses 3 % along and 4 % across
        assert long - 0.03 * long == pytest.approx(97.0)
        assert wide - 0.04 * wide == pytest.approx(38.4)
        # the piece's points go with its outline
        a, d = c.parts[0].point("a"), c.parts[0].point("d")
        assert float(np.hypot(*(d - a))) == pytest.approx(100.0)


def test_pieces_stay_as_they_are_on_a_cloth_that_is_shrunk_first_or_already() -> None:
    for how in ("first", "done"):
        cloth = Material(shrink_along=3.0, shrink=how)
        assert scaled_for(cloth) == (1.0, 1.0)


def test_shrunk_first_everything_on_the_cloth_draws_together() -> None:
    cloth = Material(
        width=150.0,
        selvedge=1.0,
        length=300.0,
        shrink_along=2.0,
        shrink_across=4.0,
        repeat=Repeat(10.0, 5.0, 3.0, 2.0),
        flaws=(Flaw((100.0, 110.0), (50.0, 60.0)),),
        remnants=(Remnant("left over", ((0, 0), (100, 0), (100, 50), (0, 50))),),
    )
    main, remnant = fields(cloth)
    assert main.width == pytest.approx(150.0 * 0.96 - 2.0)
    assert main.length == pytest.approx(294.0)
    assert main.repeat == pytest.approx((9.8, 4.8))
    assert main.flaws[0] == pytest.approx((98.0, 47.0, 107.8, 56.6))
    assert (remnant.length, remnant.width) == pytest.approx((98.0, 48.0))
    assert on_table(on_table(cloth)) == on_table(cloth)


def test_what_to_buy_and_what_is_said() -> None:
    first = Material(name="wool", shrink_along=2.0)
    assert to_buy(first, 294.0) == pytest.approx(300.0)
    said = told(first, 294.0)
    assert "shrink it first" in said[0]
    assert "300 cm become 294" in said[0]
    assert len(said) == 1  # what to buy is told with the cloth need
    scaled = replace(first, shrink="scaled")
    assert to_buy(scaled, 294.0) == 294.0
    assert "cut 2.0 % longer along and 0.0 % wider across" in told(scaled)[0]
    assert told(replace(first, shrink="done"), 294.0) == ()
    assert told(Material(), 294.0) == ()


def test_shrinkage_in_inches() -> None:
    # 150 cm = 59.06 in, 144 cm = 56.69 in; 300 cm = 118.11 in, 294 cm = 115.75 in
    cloth = Material(name="wool", length=300.0, shrink_along=2.0, shrink_across=4.0)
    assert told(cloth, 250.0, "in") == (
        "The cloth wool: shrink it first (2 % along and 4 % across): 118 1/8 in become "
        "115 3/4 in, and the width of 59 in becomes 56 3/4 in.",
    )
    # three yards are 108 in, less 2 % 105.84
    unknown = told(replace(cloth, length=None, shrink_across=0.0), None, "in")[0]
    assert "108 in become 105 7/8 in" in unknown
    # 250 cm = 98.43 in, so that 98 1/2 hold it; 2 % of it are 1.97
    scaled = told(replace(cloth, shrink="scaled"), 250.0, "in")[1]
    assert scaled == (
        "The lay of 98 1/2 in is of the cloth as bought; 2 in of it are there because of the "
        "shrinkage."
    )


def test_a_cloth_that_grows() -> None:
    grows = Material(shrink_across=-2.0, shrink="scaled")
    assert scaled_for(grows)[1] == pytest.approx(1.0 / 1.02)
    assert "2.0 % narrower across" in told(grows)[0]


@pytest.mark.parametrize("bad", [100.0, -60.0, float("nan")])
def test_shrinkage_that_leaves_nothing(bad: float) -> None:
    with pytest.raises(LayError, match="shrinks by"):
        fields(Material(shrink_along=bad))
