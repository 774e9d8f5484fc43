"""Allowance and reserve by seam and place: widths by hand, areas by shapely."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
import shapely

from pinwright.cutting.allowances import RULES, Kind, allowance_of, kinds
from pinwright.cutting.cutline import cut_line
from pinwright.cutting.habits import (
    Kept,
    cost,
    known_keys,
    settled,
    settled_garment,
    times_cut,
    without_reserve,
)
from pinwright.draft import style
from pinwright.errors import OrderError
from pinwright.pattern.codec import pack, unpack
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from tests.cutting.skirt import skirt
from tests.sheets.orders import garment


@lru_cache
def every(name: str) -> tuple[Piece, ...]:
    g = garment(name)
    return (*g.pieces, *style(name).derive({p.name: p for p in g.pieces}, g))


def widths(pieces: tuple[Piece, ...]) -> dict[str, tuple[float, float]]:
    return {f"{p.name}.{e.name}": (e.allowance, e.reserve) for p in pieces for e in p.edges}


def changed(name: str, **habits: dict[str, float]) -> dict[str, tuple[float, float]]:
    """Edges that habits change, with their new allowance and reserve."""
    kept = Kept(habits.get("reserve", {}), habits.get("allowance", {}))
    out = settled(garment(name), kept, pieces=every(name)).pieces
    before = widths(every(name))
    return {k: v for k, v in widths(out).items() if v != before[k]}


@pytest.mark.parametrize("name", ["trousers", "jacket"])
def test_without_habits_every_piece_is_the_same_object(name: str) -> None:
    got = settled(garment(name), pieces=every(name))
    assert all(a is b for a, b in zip(got.pieces, every(name), strict=True))
    assert got.warnings == ()
    assert settled_garment(garment(name)) is garment(name)


def test_a_reserve_changes_what_the_style_keeps() -> None:
    assert changed("trousers", reserve={"side_seam": 3.0}) == {
        "front.side": (1.0, 3.0),
        "back.side": (1.0, 3.0),
    }
    # only the back's inseam and the back's shoulder carry one in these styles
    assert changed("trousers", reserve={"inseam": 1.5}) == {"back.inseam": (1.0, 1.5)}
    assert changed("jacket", reserve={"shoulder": 0.0}) == {"back.shoulder": (1.0, 0.0)}
    assert changed("trousers", reserve={"band_centre_back": 0.0}) == {"band.centre": (1.0, 0.0)}
    assert changed("jacket", reserve={"cuff": 1.0}) == {"sleeve.hem": (4.0, 1.0)}
    assert set(changed("jacket", reserve={"hem": 1.0})) == {"front.hem", "back.hem"}
    assert changed("trousers", reserve={"front.side": 0.0, "side_seam": 3.0}) == {
        "front.side": (1.0, 0.0),
        "back.side": (1.0, 3.0),
    }


def test_a_derived_piece_takes_its_reserve_from_what_it_follows() -> None:
    g = settled_garment(garment("jacket"), Kept({"hem": 1.0}, {}))
    derived = style("jacket").derive({p.name: p for p in g.pieces}, g)
    facing = next(p for p in derived if p.name == "front_facing")
    assert facing.edge("hem").reserve == 1.0


def test_at_the_fork_nothing_is_kept_unless_it_is_asked_for() -> None:
    g = garment("trousers")
    front = next(p for p in settled(g, Kept({"front.inseam": 2.0}, {})).pieces if p.name == "front")
    e = front.edge("inseam")
    assert e.reserve_to == ("thigh", "fork", 0.0)
    s = np.array([0.0, e.distance("thigh") / 2, e.distance("thigh"), e.length])
    assert e.reserve_at(s) == pytest.approx([0.0, 1.0, 2.0, 2.0])
    asked = settled(g, Kept({"seat_seam": 2.0, "fork": 1.5}, {}))
    seat = next(p for p in asked.pieces if p.name == "back").edge("seat")
    assert seat.reserve_at(np.array([seat.distance("fork")])) == pytest.approx([1.5])
    assert any(
        "1.5 cm (fork end of seat of trouser back)" in w and "falsifies the fitting" in w
        for w in asked.warnings
    )
    gone = settled(g, Kept({"seat_seam": 0.0}, {})).pieces
    assert next(p for p in gone if p.name == "back").edge("seat").reserve_to is None


def test_allowance_by_kind_by_place_and_by_edge() -> None:
    # both sides of the seam, and what is caught in it
    assert set(changed("trousers", allowance={"waist": 1.2})) == {
        *("front.waist", "back.waist", "band.seam", "band_underlap.seam"),
        *("pocket_bag.waist", "pocket_bearer.waist", "fly_facing.waist", "fly_shield.waist"),
    }
    assert set(changed("jacket", allowance={"armhole": 1.2})) == {
        *("front.armhole", "back.armhole", "sleeve.cap"),
    }
    got = changed("jacket", allowance={"plain": 1.5, "shoulder": 2.0, "front.side": 1.2})
    assert got["back.side"] == (1.5, 2.0)
    assert got["back.shoulder"] == (2.0, 1.5)
    assert got["front.side"] == (1.2, 1.0)
    assert "front.neck" not in got
    assert set(changed("jacket", allowance={"Neck Seam": 0.7})) >= {"collar.neck", "front.neck"}


def test_a_narrow_allowance_has_no_more_to_be_least_than_it_is() -> None:
    out = settled(garment("jacket"), Kept({}, {"front.neck": 0.5, "back.neck": 0.0}))
    front, back = (next(p for p in out.pieces if p.name == n) for n in ("front", "back"))
    assert front.edge("neck").least == 0.5
    assert back.edge("neck").least == 0.0
    assert out.warnings == (
        "An allowance of 0.5 cm is less than the 0.6 cm it can be sewn with: neck of front.",
        "An allowance of 0 cm is less than the 0.6 cm it can be sewn with unless the edge is "
        "bound: neck of back.",
    )
    (one,) = settled(garment("jacket"), Kept({}, {"armhole": 0.4})).warnings
    assert one.endswith(": armhole of front and back; cap of sleeve.")


def test_loosely_woven_cloth_gets_half_a_centimetre_more_on_plain_seams() -> None:
    loose = settled(garment("jacket"), Kept({}, {"shoulder": 1.2}), "loose")
    got = widths(loose.pieces)
    assert got["front.side"] == (1.5, 1.0)
    assert got["sleeve.under_front"] == (1.5, 1.0)
    assert got["front.shoulder"] == (1.2, 0.0)  # a habit says what it says
    assert got["front.armhole"] == (1.0, 0.5)
    assert got["back.centre"] == (0.0, 0.0)  # the fold
    # settling what is settled changes nothing
    g = settled_garment(garment("jacket"), fray="loose")
    assert settled_garment(g, fray="loose") is g


def test_more_than_a_centimetre_falsifies_the_fitting() -> None:
    assert settled(garment("jacket"), Kept({"armhole": 1.0, "neck": 1.0}, {})).warnings == ()
    told = settled(garment("jacket"), Kept({"armhole": 1.5, "front.neck": 2.0}, {})).warnings
    # one sentence for all pieces
    assert told == (
        "1.5 cm (armhole of front and back) and 2 cm (neck of front) more than the seam needs "
        "falsify the fitting: uncut cloth there holds the garment off the body. Keep 1 cm at "
        "most, or snip it before the fitting.",
    )
    on_fold = settled(garment("jacket"), Kept({"centre_back": 2.0}, {}))
    assert on_fold.warnings == ("No reserve can be kept on the fold: centre of back.",)


def test_a_lining_has_its_own_reserve_at_the_centre_back() -> None:
    """A lining is not drafted yet: one made up here, which follows the back by rule."""
    g = garment("jacket")
    back = g.piece("back")
    lining = replace(
        back, name="back_lining", layer="lining", follows="back", cut="pair", fold=None
    )
    kept = Kept({"lining_centre_back": 2.0, "side_seam": 3.0}, {"lining": 1.2})
    out = settled(g, kept, pieces=(*g.pieces, lining)).pieces[-1]
    assert out.edge("centre").reserve == 2.0
    assert out.edge("side").reserve == back.edge("side").reserve
    assert out.edge("side").allowance == 1.2


@pytest.mark.parametrize(
    ("kept", "says"),
    [
        (Kept({"side_saem": 2.0}, {}), r"habits\.reserve\.side_saem is not known\. Did you mean "
         r"side_seam\?"),
        (Kept({}, {"armhoel": 1.0}), r"habits\.allowance\.armhoel is not known\. Did you mean "
         r"armhole\?"),
        (Kept({"front.sde": 2.0}, {}), r"Did you mean front\.side\?"),
        (Kept({"side_seam": -1.0}, {}), r"-1 cm; it may be from 0 to 25 cm"),
        (Kept({}, {"neck": float("nan")}), r"nan cm; it may be from 0 to 25 cm"),
    ],
)  # fmt: skip
def test_habits_that_cannot_be(kept: Kept, says: str) -> None:
    with pytest.raises(OrderError, match=says):
        settled(garment("trousers"), kept)


def test_a_place_of_another_garment_of_the_order_is_passed_over() -> None:
    got = settled(garment("trousers"), Kept({"armhole": 1.0, "cuff": 2.0}, {"neck": 0.7}))
    assert got.pieces == garment("trousers").pieces
    assert set(got.unused) == {"reserve.armhole", "reserve.cuff", "allowance.neck"}
    one = Kept({"sleeve.under_back": 2.0}, {})
    with pytest.raises(OrderError, match="not known"):
        settled(garment("trousers"), one)
    keys = known_keys(garment("jacket"))
    assert settled(garment("trousers"), one, elsewhere=keys).unused == (
        "reserve.sleeve.under_back",
    )


def test_places_are_found_in_a_garment_of_another_make() -> None:
    """The skirt of the cutting tests names its own places and seams."""
    out = settled(skirt(), Kept({"side_seam": 0.5, "cuff": 1.0, "hem": 2.0}, {"armhole": 1.2}))
    got, before = widths(out.pieces), widths(skirt().pieces)
    assert {k: v for k, v in got.items() if v != before[k]} == {
        "front.side": (1.0, 0.5),
        "back.side": (1.0, 0.5),
        "front.hem": (4.0, 2.0),
        "back.hem": (4.0, 2.0),
        "sleeve.hem": (3.0, 1.0),
        "sleeve.cap": (1.2, 0.0),
        "body.front_hole": (1.2, 0.0),
        "body.back_hole": (1.2, 0.0),
    }


def test_kinds_follow_seam_types_and_stitches() -> None:
    g = garment("jacket")

    def with_side(seam_type: str, stitch: str = "301") -> Garment:
        return replace(
            g,
            seams=tuple(
                replace(s, seam_type=seam_type, stitch=stitch) if s.name == "side" else s
                for s in g.seams
            ),
        )

    front, back = g.piece("front"), g.piece("back")
    lapped = with_side("2.04")
    one = RULES[kinds(lapped, front)["side"]].given
    other = RULES[kinds(lapped, back)["side"]].given
    assert abs(one - other) >= 0.7  # more on one side
    assert allowance_of(kinds(with_side("3.05"), front)["side"]) == 0.0
    assert kinds(with_side("1.01", "514"), front)["side"] == "overlocked"
    assert kinds(with_side("1.06"), front)["side"] == "french"


def test_the_styles_keep_to_the_rules() -> None:
    """What the two styles draw lies within the usual widths (hems with what is turned up)."""
    for name in ("trousers", "jacket"):
        for p in every(name):
            for edge, kind in kinds(garment(name), p).items():
                e, rule = p.edge(edge), RULES[kind]
                drawn = e.allowance + (e.reserve if kind == "hem" and e.allowance < 2 else 0.0)
                assert rule.low <= drawn <= rule.high, (name, p.name, edge, kind)
                assert rule.low <= rule.given <= rule.high
                assert e.allowance == 0.0 or rule.source


def test_what_a_reserve_costs_in_cloth() -> None:
    """By hand: a rectangle 10 by 20 cut as a pair, 1 cm all round and 2 kept along one side of 20,
    is 2 by 22 larger, twice."""
    g = skirt()
    block = replace(g.piece("body"), cut="pair")
    e = block.edge("front_hole")
    wide = block.with_edges(
        tuple(replace(x, reserve=2.0) if x.name == e.name else x for x in block.edges)
    )
    got = cost((wide,), without_reserve((wide,)), 148.0)
    assert got.area == pytest.approx(2 * 2.0 * (19.0 + 2.0), abs=1e-6)
    assert got.length == pytest.approx(got.area / 148.0)
    assert without_reserve((block,))[0] is block
    with pytest.raises(OrderError, match="must be more than 0"):
        cost((wide,), (block,), 0.0)
    pieces = garment("trousers").pieces
    whole = cost(pieces, without_reserve(pieces), 148.0)
    bare = [p.with_edges(tuple(replace(e, reserve=0.0, reserve_to=None) for e in p.edges))
            for p in pieces]  # fmt: skip
    areas = [
        2 * (shapely.Polygon(cut_line(a)).area - shapely.Polygon(cut_line(b)).area)
        for a, b in zip(pieces, bare, strict=True)
    ]
    assert whole.area == pytest.approx(sum(areas))
    assert whole.area > 1000.0
    assert [times_cut(p) for p in pieces] == [2, 2, 2]


def test_habits_and_corners_survive_in_a_frozen_draft() -> None:
    g = settled_garment(garment("trousers"), Kept({"side_seam": 2.5}, {"inseam": 1.5}), "loose")
    assert widths(unpack(pack(g)).pieces) == widths(g.pieces)


def test_the_rules_are_the_ones_written_down() -> None:
    """docs/cutting/allowances.md has every rule that gives an allowance, in the same order."""
    page = (Path(__file__).parents[2] / "docs/cutting/allowances.md").read_text(encoding="utf-8")
    rows = [r.split("|")[2:5] for r in page.split("\n\n") if r.startswith("| kind |")
            for r in r.splitlines()[2:]]  # fmt: skip
    written = []
    for given, usual, least in rows:
        low, _, high = usual.strip().partition("-")
        written.append(tuple(float(x) for x in (given, low, high or low, least)))
    order: tuple[Kind, ...] = (
        *("plain", "armhole", "neck", "waist", "yoke", "faced", "hem", "cuff", "opening"),
        *("french", "lapped_over", "lapped_under", "overlocked", "bound", "interfacing"),
    )
    assert set(order) == set(RULES) - {"fold"}
    assert written == [(r.given, r.low, r.high, r.least) for r in (RULES[k] for k in order)]


def test_the_worked_example_of_the_page() -> None:
    """3 instead of 2 along the side of two skirt panels, cut on the fold: close to 260 cm2."""
    wide = settled(skirt(), Kept({"side_seam": 3.0}, {})).pieces
    assert cost(wide, skirt().pieces, 148.0).area == pytest.approx(260.0, abs=1.0)
