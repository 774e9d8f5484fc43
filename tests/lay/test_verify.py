"""Faults of lays made by hand: each kind is found, and a lay without any is left alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.cutting.lay.placing import Field, Lay, Phase, Placement, Template
from pinwright.cutting.lay.verify import faults


def square(key: str, **more: object) -> Template:
    outline = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    return replace(Template(key, "trousers", key, "both", outline), **more)  # type: ignore[arg-type]


def laid(field: Field, *pairs: tuple[Template, Placement], length: float = 40.0) -> Lay:
    return Lay(field, tuple(t for t, _ in pairs), tuple(p for _, p in pairs), length)


def two(x: float, y: float, field: Field, rotation: float = 0.0, **more: object) -> Lay:
    a, b = square("a"), square("b", **more)
    return laid(field, (a, Placement("a", 0.0, 0.0)), (b, Placement("b", x, y, rotation)))


PLAIN = Field(20.0)
GAP = Field(20.0, gap=0.3)


def test_pieces_may_touch_each_other_and_the_edges() -> None:
    assert not faults(two(10.0, 0.0, PLAIN))
    assert not faults(two(0.0, 10.0, PLAIN))
    assert not faults(two(20.0, 20.0, PLAIN, 180.0))
    assert not faults(two(10.3, 0.0, GAP))


@pytest.mark.parametrize(
    ("lay", "says"),
    [
        (two(9.9, 0.0, PLAIN), "b (b)"),
        (two(9.9, 9.9, PLAIN), "overlaps"),
        (two(5.0, 0.0, PLAIN), "overlaps, by 50.000 cm2"),
        (two(10.2, 0.0, GAP), "is 0.200 cm (must be 0.3) from"),
        (two(11.0, -0.1, PLAIN), "below the edge"),
        (two(11.0, 10.1, PLAIN), "0.100 cm past the width"),
        (two(30.1, 0.0, PLAIN), "past the length of the lay"),
        (two(25.0, 0.0, replace(PLAIN, length=34.0)), "1.000 cm past the end of the cloth"),
        (two(20.0, 5.0, PLAIN, 90.0), "turned by 90 degrees; it may lie at 0, 180"),
        (two(11.0, 0.0, replace(PLAIN, flaws=((20.5, 9.0, 22.0, 12.0),))), "a flaw"),
        (two(15.0, 0.0, replace(GAP, flaws=((25.2, 0.0, 26.0, 1.0),))), "a flaw"),
        (two(15.0, 0.0, replace(PLAIN, taken=(square("c").outline + 8.0,))), "already cut"),
        (two(12.0, 0.5, PLAIN, on_fold=True), "0.500 cm from it"),
        (two(10.5, 0.0, PLAIN, kept=1.0), "overlaps"),
        (two(12.0, 0.0, PLAIN, kept=1.0), "below the edge"),
    ],
)
def test_each_fault_is_found(lay: Lay, says: str) -> None:
    found = faults(lay)
    assert any(says in f for f in found), found
    assert all(f.endswith(".") and "\n" not in f for f in found)


def test_a_whole_piece_before_the_cut_end_is_found() -> None:
    a = square("a")
    assert "before the cut end" in faults(laid(PLAIN, (a, Placement("a", -0.1, 0.0))))[0]


def test_a_held_back_piece_on_the_fold_needs_no_cloth_past_it() -> None:
    lay = two(12.0, 0.0, PLAIN, kept=1.0, on_fold=True)
    assert not faults(lay)


def test_a_remnant_is_bounded_by_its_outline() -> None:
    corner = np.array([[0.0, 0.0], [40.0, 0.0], [0.0, 40.0]])
    field = Field(40.0, outline=corner)
    assert not faults(two(10.0, 0.0, field))
    assert "remnant" in faults(two(25.0, 10.0, field))[0]
    hollow = np.array([[0, 0], [40, 0], [40, 20], [25, 20], [25, 5], [20, 5], [20, 20], [0, 20]])
    assert "remnant" in faults(two(15.0, 5.0, Field(20.0, outline=hollow.astype(float))))[0]


def test_missing_strange_and_double_pieces_are_found() -> None:
    a = square("a")
    lay = laid(PLAIN, (a, Placement("a", 0.0, 0.0)))
    assert faults(replace(lay, placements=())) == ("The piece a is not laid.",)
    strange = replace(lay, placements=(*lay.placements, Placement("x", 12.0, 0.0)))
    assert faults(strange) == ("The piece x is laid, though not asked for.",)
    twice = replace(lay, placements=(*lay.placements, Placement("a", 12.0, 0.0)))
    assert faults(twice) == ("The piece a is laid 2 times.",)


def test_points_must_fall_on_their_place_in_the_repeat() -> None:
    field = Field(20.0, repeat=(4.0, 5.0), turns=True)
    a = square("a", phases=(Phase("along", (3.0, 2.0), 1.0), Phase("across", (3.0, 2.0), 2.0)))
    # 3 + 6 = 9 = 2 x 4 + 1 and 2 + 5 = 7 = 5 + 2
    assert not faults(laid(field, (a, Placement("a", 6.0, 5.0))))
    # turned the point lies at -3, -2: 12 - 3 = 9 and 14 - 2 = 12
    assert not faults(laid(field, (a, Placement("a", 12.0, 14.0, 180.0))))
    off = faults(laid(field, (a, Placement("a", 6.5, 4.98))))
    assert [f.split(" lies ")[1] for f in off] == [
        "+0.500 cm off its place in the repeat along.",
        "-0.020 cm off its place in the repeat across.",
    ]
    one_way = replace(field, turns=False)
    assert (
        "not the same both ways" in faults(laid(one_way, (a, Placement("a", 12.0, 14.0, 180.0))))[0]
    )
    assert not faults(laid(replace(field, repeat=(0.0, 0.0)), (a, Placement("a", 6.5, 4.98))))


def test_a_piece_inside_another_overlaps_it() -> None:
    big = replace(square("big"), outline=square("big").outline * 2.0)
    lay = laid(PLAIN, (big, Placement("big", 0.0, 0.0)), (square("s"), Placement("s", 5.0, 5.0)))
    assert "overlaps, by 100.000 cm2" in faults(lay)[0]
