"""The placer: lays known by hand, and every condition of a lay looked at with shapely."""

from __future__ import annotations

from dataclasses import replace
from itertools import count

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.lay import engine
from pinwright.cutting.lay.ground import _snapped
from pinwright.cutting.lay.placer import filled, laid, left_out
from pinwright.cutting.lay.placing import Array, Field, Lay, Phase, placed, turned
from pinwright.cutting.lay.verify import faults
from pinwright.errors import LayError

from .shapes import areas, at, box, curved, ell, square, star_shaped, template


def apart(lay: Lay, gap: float = 0.0) -> bool:
    """Whether no two pieces are nearer than the gap, or share more than a hair, 1e-4 cm deep."""
    found = areas(lay)
    for i, a in enumerate(found):
        for b in found[i + 1 :]:
            if gap > 0.0 and a.distance(b) < gap - 1e-4:
                return False
            if a.buffer(-5e-5).intersects(b.buffer(-5e-5)):
                return False
    return True


def test_a_square_as_wide_as_the_cloth_lies_at_its_end() -> None:
    lay = laid([template("a", square(10.0))], Field(width=10.0), 0.1)
    assert (lay.placements[0].x, lay.placements[0].y) in {(0.0, 0.0), (10.0, 10.0)}
    assert lay.length == 10.0


def test_squares_fill_the_cloth_exactly() -> None:
    lay = laid([template(str(i), square(10.0)) for i in range(6)], Field(width=30.0), 0.2)
    assert lay.length == pytest.approx(20.0, abs=1e-4)
    assert apart(lay)
    assert not faults(lay)


def test_the_gap_is_kept_between_pieces_and_not_at_the_edges() -> None:
    field = Field(width=32.0, gap=1.0)
    lay = laid([template(str(i), square(10.0)) for i in range(6)], field, 0.2)
    assert lay.length == pytest.approx(21.0, abs=1e-3)
    assert apart(lay, 1.0)


def test_two_l_shapes_interlock() -> None:
    # Two Ls of arm 10, thickness 4: one turned into the hollow of the other makes 14 by 10.
    ls = [template(k, ell(10.0, 4.0)) for k in "ab"]
    assert laid(ls, Field(width=10.0), 0.2).length == pytest.approx(14.0, abs=1e-4)
    one_way = [template(k, ell(10.0, 4.0), rotations=(0.0,)) for k in "ab"]
    lay = laid(one_way, Field(width=16.0), 0.2)
    # One way, one corner in the other's hollow: 4 further along and 4 up, so 14 again.
    assert lay.length == pytest.approx(14.0, abs=1e-4)
    assert apart(lay)


def test_any_allowed_angle_is_used() -> None:
    # 20 by 4 turned by 90 stands across a cloth 20 wide; along it, it would be 20 long.
    lay = laid([template("a", box(20.0, 4.0), rotations=(0.0, 90.0))], Field(width=20.0), 0.1)
    assert lay.length == pytest.approx(4.0)
    assert lay.placements[0].rotation == 90.0
    tilted = laid([template("a", box(20.0, 4.0), rotations=(30.0,))], Field(width=20.0), 0.1)
    c, s = np.cos(np.pi / 6), 0.5
    assert tilted.length == pytest.approx(20.0 * c + 4.0 * s, abs=1e-4)


def test_a_flaw_is_avoided_by_the_gap() -> None:
    field = Field(width=20.0, gap=0.5, flaws=((8.0, 0.0, 12.0, 20.0),))
    lay = laid([template("a", square(9.0)), template("b", box(7.0, 20.0))], field, 0.2)
    flaw = shapely.box(8.0, 0.0, 12.0, 20.0)
    assert all(a.distance(flaw) >= 0.5 - 1e-4 for a in areas(lay))
    # Only b fits before the flaw (7.5 cm); a begins half a centimetre after it.
    assert at(lay, "b").x in {0.0, 7.0}
    assert lay.length == pytest.approx(12.5 + 9.0, abs=1e-3)


def test_what_is_taken_is_avoided() -> None:
    taken = ell(20.0, 5.0)
    field = Field(width=20.0, gap=0.2, taken=(taken,))
    lay = laid([template("a", square(12.0))], field, 0.1)
    assert areas(lay)[0].distance(shapely.Polygon(taken)) == pytest.approx(0.2, abs=1e-3)
    assert lay.length == pytest.approx(17.2, abs=1e-3)


def test_cloth_held_back_is_kept_free() -> None:
    field = Field(width=10.0, gap=0.0)
    lay = laid([template("a", box(6.0, 6.0), kept=2.0), template("b", square(10.0))], field, 0.2)
    assert lay.length == pytest.approx(20.0, abs=1e-4)
    assert areas(lay)[0].distance(areas(lay)[1]) == pytest.approx(2.0, abs=1e-4)
    assert not faults(lay)


def test_pieces_on_the_fold_are_turned_where_that_saves_cloth() -> None:
    # a widens away from the fold, c narrows: with c turned they lie together
    a = np.array([[0.0, 0.0], [10.0, 0.0], [19.0, 9.0], [0.0, 9.0]])
    c = np.array([[0.0, 0.0], [10.0, 0.0], [1.0, 9.0], [0.0, 9.0]])
    field = Field(width=9.0, folded=True)
    pair = [template("a", a, on_fold=True, plies=2), template("c", c, on_fold=True, plies=2)]
    lay = laid(pair, field, 0.3)
    assert not faults(lay)
    assert lay.length == pytest.approx(20.0, abs=1e-3)
    assert sorted(p.rotation for p in lay.placements) == [0.0, 180.0]
    # it is the half turned over, and stands on the fold
    over = next(placed(lay.template(p.key), p) for p in lay.placements if p.rotation)
    assert over[:, 1].min() == pytest.approx(0.0)
    assert over[:, 1].max() == pytest.approx(9.0)
    assert shapely.Polygon(over).exterior.is_ccw
    one_way = [replace(t, rotations=(0.0,)) for t in pair]
    assert laid(one_way, field, 0.3).length == pytest.approx(29.0, abs=1e-3)
    # by the engine too
    lay = engine.packed(pair, field, 1, seed=3)
    assert not faults(lay)


def test_a_piece_on_the_fold_stands_on_it() -> None:
    back = template("back", box(30.0, 12.0), on_fold=True)
    rest = [template(str(i), box(15.0, 8.0)) for i in range(4)]
    lay = laid([*rest, back], Field(width=20.0, folded=True), 0.3)
    assert at(lay, "back").y == 0.0
    # Two of the four lie in the 8 cm beside the back, two beside each other: 30 + 15.
    assert lay.length == pytest.approx(45.0, abs=1e-4)
    assert not faults(lay)


@pytest.mark.parametrize("turns", [True, False])
def test_points_fall_on_the_repeat_exactly(turns: bool) -> None:
    field = Field(width=40.0, gap=0.3, repeat=(5.0, 3.0), turns=turns)
    phases = (Phase("along", (4.0, 2.0), 1.25), Phase("across", (4.0, 2.0), 0.5))
    pieces = [template(str(i), curved(ell(8.0, 3.0)), phases=phases) for i in range(6)]
    lay = laid(pieces, field, 0.6)
    assert len(lay.placements) == 6
    for p in lay.placements:
        x, y = turned(np.array([4.0, 2.0]), p.rotation) + np.array([p.x, p.y])
        assert abs((x - 1.25 + 2.5) % 5.0 - 2.5) < 1e-9
        assert abs((y - 0.5 + 1.5) % 3.0 - 1.5) < 1e-9
        assert turns or p.rotation == 0.0
    assert apart(lay, 0.3)


def test_a_repeat_along_leaves_the_piece_free_across() -> None:
    field = Field(width=25.0, repeat=(6.0, 0.0))
    phases = (Phase("along", (0.0, 0.0), 2.0),)
    pieces = [template(str(i), square(12.0), phases=phases) for i in range(4)]
    lay = laid(pieces, field, 0.3)
    # Two across; the first start at 2, the next a whole 12 further on.
    assert sorted(p.x for p in lay.placements) == [2.0, 2.0, 14.0, 14.0]
    assert lay.length == pytest.approx(26.0)


def test_phases_that_contradict_each_other_are_refused_by_name() -> None:
    phases = (Phase("along", (0.0, 0.0), 2.0), Phase("along", (0.0, 0.0), 3.0))
    piece = template("front", square(5.0), phases=phases, title="Front")
    with pytest.raises(LayError, match=r"Front takes 5\.0 by 5\.0 cm .* repeat"):
        laid([piece], Field(width=30.0, repeat=(6.0, 0.0)), 0.1)


def test_a_fine_repeat_on_a_long_cloth_takes_little_memory() -> None:
    # 50,000 places on the nearest of as many lines; with every pair of them held at once, 20 GB
    lines: Array = 0.07 + 0.1 * np.arange(50_000, dtype=np.float64)
    coords = lines + np.linspace(-0.049, 0.049, len(lines))
    assert (_snapped(coords, lines) == lines).all()
    assert _snapped(np.array([-9.0, 0.1, 9e9]), lines).tolist() == [lines[0], lines[0], lines[-1]]
    assert _snapped(np.array([-3.0, 3.0]), lines[:1]).tolist() == [lines[0]] * 2


def test_no_line_of_the_repeat_across_within_the_cloth_is_refused() -> None:
    piece = template("front", square(9.0), phases=(Phase("across", (0.0, 0.0), 5.0),))
    with pytest.raises(LayError, match="its place in the repeat"):
        laid([piece], Field(width=10.0, repeat=(0.0, 20.0)), 0.1)


@pytest.mark.parametrize("length", [None, 100.0])
def test_a_piece_wider_than_the_cloth_is_refused_by_name_and_size(length: float | None) -> None:
    piece = template("front", box(30.0, 20.5), title="Front, left")
    with pytest.raises(LayError, match=r"Front, left takes 30\.0 by 20\.5 cm .* 20 cm"):
        laid([piece], Field(width=20.0, length=length), 0.1)


def test_what_has_no_room_on_a_given_length_is_left_out_and_told() -> None:
    pieces = [template(str(i), square(10.0)) for i in range(5)] + [template("s", square(3.0))]
    lay = laid(pieces, Field(width=20.0, length=21.0), 0.3)
    assert len(lay.placements) == 4
    assert {t.area for t in left_out(lay)} == {100.0, 9.0}
    assert lay.length == pytest.approx(20.0, abs=1e-4)


def test_a_remnant_with_a_hollow_outline_is_kept_to() -> None:
    remnant = np.array(
        [(0, 0), (40, 0), (40, 12), (25, 12), (25, 20), (40, 20), (40, 30), (0, 30)], dtype=float
    )
    field = Field(width=30.0, outline=remnant, gap=0.2)
    pieces = [template(str(i), curved(box(9.0, 6.0))) for i in range(8)]
    pieces.append(template("large", square(35.0)))
    lay = laid(pieces, field, 0.5)
    whole = shapely.Polygon(remnant)
    assert [t.key for t in left_out(lay)] == ["large"]
    assert all(whole.buffer(1e-5).covers(a) for a in areas(lay))
    assert apart(lay, 0.2)


def test_a_narrow_part_of_a_remnant_takes_what_fits_exactly() -> None:
    # A T: the piece of 4 by 10 fits only in its stem, exactly as wide.
    t = np.array([(0, 8), (10, 8), (10, 0), (14, 0), (14, 8), (24, 8), (24, 11), (0, 11)], float)
    lay = laid([template("a", box(4.0, 10.0), rotations=(0.0,))], Field(11.0, outline=t), 0.1)
    assert (lay.placements[0].x, lay.placements[0].y) == pytest.approx((10.0, 0.0), abs=1e-4)


def test_small_pieces_are_filled_into_a_lay_that_stays_as_it_is() -> None:
    field = Field(width=10.0)
    base = laid([template(k, ell(10.0, 4.0), rotations=(0.0,)) for k in "ab"], field, 0.1)
    more = filled(base, [template(f"s{i}", box(6.0, 3.0)) for i in range(4)], 0.2)
    assert base.length == pytest.approx(20.0)
    assert more.length == base.length
    assert more.placements[:2] == base.placements
    assert len(more.placements) == 6
    assert apart(more)


def test_filling_lengthens_only_where_it_must() -> None:
    field = Field(width=10.0)
    base = laid([template("a", square(10.0))], field, 0.1)
    more = filled(base, [template("b", box(5.0, 10.0)), template("c", box(5.0, 2.0))], 0.1)
    assert more.length == pytest.approx(20.0, abs=1e-4)
    assert more.placements[0] == base.placements[0]


def test_a_fixed_lay_without_room_says_what_is_left_out() -> None:
    base = laid([template("a", square(10.0))], Field(width=10.0, length=12.0), 0.1)
    more = filled(base, [template("b", square(3.0)), template("c", box(2.0, 9.0))], 0.1)
    assert [t.key for t in left_out(more)] == ["b"]


def test_stopping_leaves_a_whole_lay() -> None:
    asked = count()
    pieces = [template(str(i), curved(box(5.0 + i, 4.0))) for i in range(12)]
    lay = laid(pieces, Field(width=25.0), 30.0, stop=lambda: next(asked) >= 0)
    assert len(lay.placements) == 12
    assert lay.seconds < 5.0
    assert not faults(lay)


def test_nothing_to_lay_is_a_lay_of_no_length() -> None:
    assert laid([], Field(width=25.0), 0.1).length == 0.0


def test_more_time_does_not_give_a_longer_lay() -> None:
    pieces = [template(str(i), curved(ell(8.0 + i, 3.0))) for i in range(9)]
    quick, long_ = (laid(pieces, Field(width=30.0), s) for s in (0.0, 1.0))
    assert long_.length < quick.length


@settings(max_examples=25, deadline=None)
@given(
    st.lists(star_shaped(), min_size=2, max_size=6),
    st.sampled_from([0.0, 0.3]),
    st.booleans(),
)
def test_any_polygons_lie_apart_on_the_cloth_and_off_the_flaw(
    outlines: list[Array], gap: float, round_: bool
) -> None:
    flaw = (10.0, 5.0, 30.0, 9.0)
    pieces = [template(str(i), curved(o) if round_ else o) for i, o in enumerate(outlines)]
    lay = laid(pieces, Field(width=45.0, gap=gap, flaws=(flaw,)), 0.05)
    cloth = shapely.box(0.0, 0.0, lay.length, 45.0).buffer(2e-5)
    assert len(lay.placements) == len(pieces)
    assert apart(lay, gap)
    for a in areas(lay):
        assert cloth.covers(a)
        assert not a.buffer(-5e-5).intersects(shapely.box(*flaw))
        assert a.distance(shapely.box(*flaw)) >= gap - 1e-4
