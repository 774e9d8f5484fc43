"""The lines of the cloth on a drawing: clipped, taken back from the table, and told apart."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.cuts import cuts
from pinwright.cutting.framing import ACROSS, Array, Frame
from pinwright.cutting.lay.placing import Axis
from pinwright.cutting.matching import matched
from pinwright.cutting.material import Material, Repeat
from pinwright.cutting.reference_lines import RepeatLine, reference_lines
from tests.cutting.skirt import skirt

PLAIN = Frame(np.eye(2), np.zeros(2))
UP = Frame(np.array([[0.0, 1.0], [-1.0, 0.0]]), np.array([3.0, 0.0]))
"""Up as drawn along the cloth: (x, y) comes to lie at (y + 3, -x)."""

U_SHAPE = np.array(
    [(0, 0), (12, 0), (12, 10), (9, 10), (9, 4), (3, 4), (3, 10), (0, 10), (0, 0)], dtype=float
)


def ends(found: Array) -> list[list[tuple[float, float]]]:
    return sorted(sorted((round(x, 4), round(y, 4)) for x, y in part) for part in found)


def test_a_line_is_clipped_to_the_outline_in_as_many_stretches_as_it_has() -> None:
    level = RepeatLine("across", PLAIN, 7.0, 20.0)
    assert ends(level.within(U_SHAPE)) == [[(0, 7), (3, 7)], [(9, 7), (12, 7)]]
    upright = RepeatLine("along", PLAIN, 5.0, 20.0)
    assert ends(upright.within(U_SHAPE)) == [[(5, 0), (5, 4)]]


def test_a_line_is_taken_back_into_the_drawing() -> None:
    # at u = 10 along the cloth lies y = 7 of the drawing, at v = -10 across it x = 10
    along = RepeatLine("along", UP, 10.0, 20.0)
    assert ends(along.within(U_SHAPE)) == [[(0, 7), (3, 7)], [(9, 7), (12, 7)]]
    across = RepeatLine("across", UP, -10.0, 20.0)
    assert ends(across.within(U_SHAPE)) == [[(10, 0), (10, 10)]]


def test_a_line_that_misses_goes_whole_repeats_further_and_no_less() -> None:
    for at, want in ((-4.0, 1.0), (-19.0, 1.0), (13.0, 8.0), (0.5, 0.5), (11.5, 11.5)):
        (line,) = RepeatLine("along", PLAIN, at, 5.0).within(U_SHAPE)
        assert line[:, 0] == pytest.approx([want, want])
    # where it only grazes a corner it is no help
    tip = np.array([(0, 0), (10, 0), (10, 10), (0, 10), (-0.4, 5), (0, 0)], dtype=float)
    (line,) = RepeatLine("along", PLAIN, -0.37, 4.0).within(tip)
    assert line[:, 0] == pytest.approx([3.63, 3.63])
    # between two lines of a large repeat there is none
    assert RepeatLine("along", PLAIN, -4.0, 30.0).within(U_SHAPE).shape == (0, 2, 2)


def test_a_line_on_the_fold_is_there() -> None:
    for off in (0.0, -1e-9, 1e-9):
        (line,) = RepeatLine("across", UP, off, 4.0).within(U_SHAPE)
        assert line[:, 0] == pytest.approx([0.0, 0.0], abs=1e-5)
        assert sorted(line[:, 1]) == pytest.approx([0.0, 10.0], abs=1e-5)


@pytest.mark.parametrize("axis", ["along", "across"])
def test_hands_agree_by_whole_repeats_and_to_half_a_millimetre(axis: Axis) -> None:
    mirrored = UP.then(ACROSS)
    one = RepeatLine(axis, UP, 5.0, 4.0)
    same = 5.0 if axis == "along" else -5.0
    for off, agree in ((0.0, True), (8.0, True), (0.04, True), (0.06, False), (2.0, False)):
        other = RepeatLine(axis, mirrored, same + off, 4.0)
        assert one.agrees(other, U_SHAPE) is agree
        assert other.agrees(one, U_SHAPE) is agree
    assert not one.agrees(replace(one, axis="across" if axis == "along" else "along"), U_SHAPE)
    # a line that stands slanting to the other agrees nowhere
    t = np.radians(2.0)
    slant = np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
    assert not one.agrees(RepeatLine(axis, UP.then(slant), 5.0, 4.0), U_SHAPE)


CHECK = Material(width=150.0, selvedge=1.3, repeat=Repeat(4.0, 3.0, 0.7, 2.2, turns=True))
SCALED = replace(CHECK, shrink="scaled", shrink_along=10.0, shrink_across=4.0)
FIRST = replace(SCALED, shrink="first")


@pytest.mark.parametrize("cut", ["pair", "fold"])
@pytest.mark.parametrize(
    ("cloth", "bar", "stripe"),
    # pieces scaled for the cloth as bought show its repeat drawn together, like the cloth itself
    [(CHECK, 4.0, 3.0), (SCALED, 3.6, 2.88), (FIRST, 3.6, 2.88)],
    ids=["as it is", "scaled", "shrunk first"],
)
@pytest.mark.parametrize("lay", ["open", "folded"])
def test_front_and_back_show_their_bars_level_at_the_hip(
    cut: str, cloth: Material, bar: float, stripe: float, lay: str
) -> None:
    cloth = replace(cloth, lay=lay)  # type: ignore[arg-type]
    g = skirt(cut)
    own = {p.name: p for p in g.pieces if p.name in ("front", "back")}
    made = cuts(own, own, "g", cloth)
    found = reference_lines(made, matched(made, g.seams[:1], cloth).templates, cloth)
    above_hip = {}
    for name, hands in found.items():
        for hand, lines in hands.items():
            outline = cut_line(own[name])
            by_axis = {line.axis: line.within(outline) for line in lines}
            (level,) = by_axis.pop("along")
            assert level[0, 1] == pytest.approx(level[1, 1])
            above_hip[name, hand] = level[0, 1] - own[name].point("side:hip")[1]
            edge = shapely.Polygon(outline).exterior
            assert all(edge.distance(shapely.Point(p)) < 1e-5 for p in level)
            # an opened piece has its centre on a line of the cloth; a half on the fold of the cloth
            # is held by the fold, and this skirt's pair by nothing
            assert set(by_axis) == ({"across"} if (cut, lay) == ("fold", "open") else set())
            for (upright,) in by_axis.values():
                assert upright[:, 0] == pytest.approx([0.0, 0.0], abs=1e-5)
            for line in lines:
                inverse = np.linalg.inv(line.frame.linear)
                k = 0 if line.axis == "along" else 1
                size = float(np.hypot(*inverse[:, k])) * line.repeat
                assert size == pytest.approx((bar, stripe)[k])
    assert set(above_hip) == {(n, h) for n in own for h in ("right", "left")}
    first = above_hip["front", "right"]
    for value in above_hip.values():
        turns = (value - first) / bar
        assert turns == pytest.approx(round(turns), abs=1e-6)


def test_what_no_rule_holds_has_no_line() -> None:
    g = skirt("pair")
    own = {p.name: p for p in g.pieces if p.name in ("front", "back")}
    for cloth in (replace(CHECK, match=()), replace(CHECK, repeat=Repeat())):
        made = cuts(own, own, "g", cloth)
        assert reference_lines(made, matched(made, g.seams[:1], cloth).templates, cloth) == {}
