"""Collar, pocket, buttons, facing, interfacing, darts and hems of the jacket."""

from __future__ import annotations

from math import asin, degrees, hypot, pi

import numpy as np
import pytest

from pinwright.draft.features.collar import collar
from pinwright.errors import DraftError
from pinwright.pattern.piece import Piece

from .sewing import DARTS, corner_angle, derived, draft, length, outline


@pytest.fixture(scope="module")
def made() -> dict[str, Piece]:
    g = draft()
    return {p.name: p for p in (*g.pieces, *derived(g))}


def test_the_collar_is_drafted_to_the_real_neckline(made: dict[str, Piece]) -> None:
    neck = length(made["front"].edge("neck").runs[0]) + length(made["back"].edge("neck").runs[0])
    assert length(made["collar"].edge("neck").runs[0]) == pytest.approx(neck, abs=1e-5)


def test_the_collar_follows_a_wider_neck() -> None:
    narrow = collar(12.0, 8.0, 7.0, 1.5)
    wide = collar(13.0, 9.0, 7.0, 1.5)
    assert wide.edge("neck").length - narrow.edge("neck").length == pytest.approx(2.0, abs=1e-9)
    assert wide.edge("centre").length == pytest.approx(narrow.edge("centre").length)


def test_the_collar_falls_because_its_outer_edge_is_longer() -> None:
    """By hand: stand 0.42 of 7 is 2.94, fall 4.06; a ring 7 wide is (1.12) pi/4 longer outside."""
    square = collar(12.0, 8.0, 7.0, 0.0)
    gain = square.edge("outer").length - square.edge("neck").length
    assert gain == pytest.approx(1.12 * pi / 4.0, abs=0.25)


def test_a_neckline_too_short_for_the_collar_is_refused() -> None:
    with pytest.raises(DraftError, match=r"9\.0 cm, too short for a collar 7 cm wide"):
        collar(5.0, 4.0, 7.0, 1.5)


def test_the_pocket_piece_is_the_line_on_the_front(made: dict[str, Piece]) -> None:
    front, pocket = made["front"], made["patch_pocket"]
    # a rectangle 13 by 15 less two rounded corners of 1.8
    assert outline(pocket).area == pytest.approx(13.0 * 15.0 - 2 * 1.8**2 * (1 - pi / 4), abs=0.02)
    assert outline(front).contains(outline(pocket))
    assert pocket.edge("opening").allowance == 3.0
    assert pocket.layer == "shell"
    assert pocket.follows == "front"


def test_buttons_are_evenly_spaced_down_the_centre_front(made: dict[str, Piece]) -> None:
    buttons = [m.at for m in made["front"].marks if m.kind == "button"]
    assert len(buttons) == 5
    steps = np.diff([b[1] for b in buttons])
    assert steps == pytest.approx([steps[0]] * 4)
    assert all(b[0] == 0.0 for b in buttons)
    assert made["front"].point("neck_centre")[1] - buttons[0][1] == pytest.approx(1.5)


def test_the_facing_repeats_the_front_where_it_is_sewn_on(made: dict[str, Piece]) -> None:
    front, facing = made["front"], made["front_facing"]
    for name in ("front_edge", "neck", "stand_top"):
        assert facing.edge(name) is front.edge(name)
    assert outline(front).buffer(0.01).contains(outline(facing))
    assert facing.point("facing_hem")[0] == pytest.approx(7.0, abs=0.01)
    reach = facing.point("facing_shoulder") - facing.point("neck_point")
    assert hypot(*reach) == pytest.approx(4.0, abs=1e-9)


def test_derived_pieces_follow_a_corrected_front() -> None:
    """The front edge moved out by 1 takes facing and interfacing with it."""
    wide, narrow = draft(button_stand=3.0), draft(button_stand=2.0)
    for name in ("front_facing", "front_interfacing"):
        a = {p.name: p for p in derived(wide)}[name].point("front_top")[0]
        b = {p.name: p for p in derived(narrow)}[name].point("front_top")[0]
        assert a - b == pytest.approx(-1.0)


def test_the_undercollar_is_shy_of_the_collar_at_its_outer_edge(made: dict[str, Piece]) -> None:
    top, under = made["collar"], made["undercollar"]
    assert under.edge("neck") is top.edge("neck")
    assert top.edge("centre").length - under.edge("centre").length == pytest.approx(0.3)
    assert top.edge("front").length - under.edge("front").length == pytest.approx(0.3)
    assert under.cut == "pair"
    bias = under.grain[1] - under.grain[0]
    assert degrees(np.arctan2(bias[1], bias[0])) == pytest.approx(45.0)
    line = top.edge("outer").runs[0]
    for s in np.linspace(0.5, line.length - 0.5, 9):
        assert under.edge("outer").runs[0].nearest(line.at(s))[1] == pytest.approx(0.3, abs=0.05)


def test_interfacing_has_no_allowance(made: dict[str, Piece]) -> None:
    for name in ("front_interfacing", "collar_interfacing"):
        assert made[name].layer == "interfacing"
        assert all(e.allowance == e.reserve == 0.0 for e in made[name].edges)


def test_no_pocket_when_none_is_wanted() -> None:
    g = draft(pockets=False)
    assert "patch_pocket" not in {p.name for p in derived(g)}
    assert all(line.kind != "opening" for line in g.piece("front").lines)


@pytest.mark.parametrize("drop", [0.0, 2.0, 5.0])
def test_the_hem_hangs_longer_at_the_back_by_what_was_chosen(drop: float) -> None:
    g, level = draft(back_hem_drop=drop), draft()
    fall = level.piece("back").point("hem_centre")[1] - g.piece("back").point("hem_centre")[1]
    assert fall == pytest.approx(drop)
    assert g.piece("back").edge("side").length == level.piece("back").edge("side").length


@pytest.mark.parametrize("direction", DARTS)
def test_turning_the_bust_dart_keeps_its_worth(direction: str) -> None:
    """The intake is twice the leg times the sine of half the angle; the angle is the fact."""
    g = draft(bust_dart=direction)
    front = g.piece("front")
    dart = front.dart("bust dart")
    before, after = front.mouth("bust dart")
    leg, mouth = hypot(*(before - dart.apex)), hypot(*(before - after))
    angle = 2.0 * degrees(asin(mouth / (2.0 * leg)))
    assert angle == pytest.approx(g.facts["bust_dart_angle"], abs=1e-9)
    assert dart.edge == ("armhole" if direction == "armhole" else "side")


def test_directions_along_the_side_lie_as_named() -> None:
    at = {
        d: float(draft(bust_dart=d).piece("front").mouth("bust dart")[0][1])
        for d in DARTS
        if d != "armhole"
    }
    assert at["side_seam_low"] + 4.0 < at["side_seam"] < at["side_seam_high"]


def test_edges_carry_their_reserves(made: dict[str, Piece]) -> None:
    wanted = {
        ("back", "side"): 2.0,
        ("front", "side"): 1.0,
        ("back", "shoulder"): 1.5,
        ("front", "hem"): 3.0,
        ("back", "hem"): 3.0,
        ("sleeve", "hem"): 3.0,
        ("front", "armhole"): 0.5,
        ("back", "armhole"): 0.5,
        ("back", "centre"): 0.0,
    }
    for (piece, name), reserve in wanted.items():
        assert made[piece].edge(name).reserve == reserve
    assert made["front"].edge("hem").allowance == 4.0
    assert made["back"].edge("centre").allowance == 0.0


def test_hem_and_front_edge_are_square() -> None:
    g = draft()
    j = {x.name: x for x in g.junctions}
    assert corner_angle(g, j["hem at the front edge"].a) == pytest.approx(90.0, abs=1e-9)
    assert corner_angle(g, j["back neck at the centre"].a) == pytest.approx(90.0, abs=1e-9)
