"""Cloth already cut: the worked example of design §6 (d), and remedies worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.cloth import cloth_as_cut, cloth_beyond, probe, trim
from pinwright.cutting.cutline import cut_line
from pinwright.cutting.remedies import Remedy, options, passed_up
from pinwright.cutting.reserve import shortfalls, spare
from pinwright.errors import CorrectionError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Line, Piece, edge
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch, Target, Width
from tests.cutting.skirt import skirt

GRAIN = np.array([[5.0, 5.0], [5.0, 30.0]])


def block(
    right: float = 20.0,
    bottom: float = 0.0,
    top: float = 40.0,
    name: str = "front",
    reserve: float = 2.0,
) -> Piece:
    """A half of a skirt, 20 by 40: allowance 1 and reserve 2 at the side, hem 4."""
    a, b, c, d = (0.0, bottom), (right, bottom), (right, top), (0.0, top)
    return Piece(
        name,
        name.title(),
        (
            edge("hem", "hem_c", Path.line(a, b), "hem_s", allowance=4.0, least=1.5),
            edge("side", "hem_s", Path.line(b, c), "waist_s", allowance=1.0, reserve=reserve),
            edge("waist", "waist_s", Path.line(c, d), "waist_c"),
            edge("centre", "waist_c", Path.line(d, a), "hem_c"),
        ),
        GRAIN,
        cut="fold",
        fold="centre",
    )  # fmt: skip


SIDE = Seam(
    "side",
    "plain",
    (Ref("front", "side"),),
    (Ref("back", "side"),),
    (Station("hem", "hem_s", "hem_s"), Station("waist", "waist_s", "waist_s")),
    (Stretch(),),
    "waist",
    (Give("b", "start"),),
)


def by_kind(ways: tuple[Remedy, ...]) -> dict[str, Remedy]:
    return {w.kind: w for w in ways}


def test_worked_example_d() -> None:
    """Allowance 1 + reserve 2; taken in 1 and trimmed back to 1; let out 1.5 with 0.6 least:
    1.1 is missing (design §6)."""
    cloth = cloth_as_cut(block())
    assert cloth.bounds == pytest.approx((0.0, -4.0, 23.0, 41.0))
    trimmed = trim(cloth, block(right=19.0), "side", 1.0)
    assert trimmed.bounds == pytest.approx((0.0, -4.0, 20.0, 41.0))
    (short,) = shortfalls(block(right=20.5), trimmed)
    assert short.edge == "side"
    assert short.missing == pytest.approx(1.1, abs=1e-9)
    assert short.least == 0.6
    assert (short.from_s, short.to_s) == pytest.approx((0.0, 40.0))
    assert short.where[0] == pytest.approx(20.5)
    assert "1.1 cm" in short.sentence()
    # without the trim there would have been enough
    assert shortfalls(block(right=20.5), cloth) == ()


def test_cloth_as_cut_gives_no_shortfall() -> None:
    for p in skirt().pieces:
        assert shortfalls(p, cloth_as_cut(p)) == ()


def test_a_tapering_let_out_is_missing_only_where_it_is() -> None:
    """Let out 4 at the waist tapering to 0 at the hem, 3 there and 0.6 least: 2.4 of movement is
    free, reached at 24 of 40 cm, so 16 cm lack and 1.6 at the waist."""
    p = block()
    sloped = (20.0, 0.0), (24.0, 40.0)
    moved = replace(
        p,
        edges=(
            p.edges[0],
            edge("side", "hem_s", Path.line(*sloped), "waist_s", allowance=1.0, reserve=2.0),
            edge("waist", "waist_s", Path.line((24.0, 40.0), (0.0, 40.0)), "waist_c"),
            p.edges[3],
        ),
    )
    (short,) = shortfalls(moved, cloth_as_cut(p))
    # measured square to the new, leaning line: cos of the lean is 40 / sqrt(40² + 4²)
    lean = 40.0 / np.hypot(40.0, 4.0)
    # the cloth is 3 - 0.1 y beyond the line across, so that much / lean along the normal
    y = (3.0 - 0.6 * lean) / 0.1
    assert short.from_s == pytest.approx(y / lean, abs=0.02)
    assert short.missing == pytest.approx(0.6 + 1.0 / lean, abs=0.01)


def test_cloth_beyond_matches_shapely_rays() -> None:
    p = skirt().piece("sleeve")
    cloth = cloth_as_cut(p)
    q = probe(p.edge("cap"))
    got = cloth_beyond(q.at, q.out, cloth)
    for k in range(0, len(q.s), 7):
        ray = shapely.LineString([q.at[k], q.at[k] + 30.0 * q.out[k]])
        first = shapely.Point(q.at[k]).distance(ray.intersection(cloth.exterior))
        assert got[k] == pytest.approx(first, abs=1e-6)


def test_trim_takes_only_the_edge_it_names() -> None:
    cloth = cloth_as_cut(block())
    after = trim(cloth, block(), "side", 1.0)
    assert cloth.buffer(1e-9).covers(after)
    gone = cloth.difference(after)
    # 2 cm of reserve along the side, from the hem's cut edge to the waist's
    assert gone.symmetric_difference(shapely.box(21, -4, 23, 41)).area < 1e-6
    assert after.bounds == pytest.approx((0.0, -4.0, 21.0, 41.0))
    # trimming to more than there is changes nothing
    assert trim(after, block(), "side", 5.0).symmetric_difference(after).area < 1e-9


def test_trimming_a_curved_edge_leaves_its_parallel() -> None:
    p = skirt().piece("front")
    after = trim(cloth_as_cut(p), p, "side", 1.2)
    want = shapely.Polygon(cut_line(p, margin={"side": 1.2}))
    # corners at the hem are mirrored about the fold for another width; the rest is the parallel
    inside = shapely.box(0, 0, 60, 59)
    assert after.intersection(inside).symmetric_difference(want.intersection(inside)).area < 0.05
    assert shapelyvalid(after)


def shapelyvalid(area: shapely.Polygon) -> bool:
    return bool(area.is_valid) and area.geom_type == "Polygon"


@pytest.mark.parametrize(
    ("edge_name", "allowance", "said"),
    [
        ("elbow", 1.0, "no edge 'elbow'"),
        ("side", -0.5, "0 or more"),
        ("centre", 1.0, "stands on the fold"),
    ],
)
def test_bad_trims_are_refused(edge_name: str, allowance: float, said: str) -> None:
    with pytest.raises(CorrectionError, match=said):
        trim(cloth_as_cut(block()), block(), edge_name, allowance)


def test_spare_is_what_lies_beyond_the_least() -> None:
    cloth = cloth_as_cut(block())
    assert spare(block(), "side", cloth, 5.0, 35.0) == pytest.approx(2.4)
    assert spare(block(right=21.0), "side", cloth, 5.0, 35.0) == pytest.approx(1.4)
    assert spare(block(right=24.0), "side", cloth, 5.0, 35.0) == 0.0
    assert spare(block(), "centre", cloth, 5.0, 35.0) == 0.0


def test_the_opposite_edge_helps_when_it_has_reserve() -> None:
    front, back = block(right=23.5), block(name="back")
    cloths = {"front": cloth_as_cut(block()), "back": cloth_as_cut(back)}
    (short,) = shortfalls(front, cloths["front"])
    # 3 there, 3.5 let out, 0.6 least
    assert short.missing == pytest.approx(1.1)
    ways = by_kind(options(short, {"front": front, "back": back}, cloths, (SIDE,)))
    # the back has 1 + 2 - 0.6 to give
    assert ways["opposite"].feasible
    assert ways["opposite"].amount == pytest.approx(1.1)
    assert "2.4 cm" in ways["opposite"].text
    bare = block(name="back", reserve=0.0)
    cloths["back"] = cloth_as_cut(bare)
    ways = by_kind(options(short, {"front": front, "back": bare}, cloths, (SIDE,)))
    assert not ways["opposite"].feasible
    assert ways["opposite"].amount == pytest.approx(0.4)
    assert "0.7 cm too little" in ways["opposite"].text


def test_piecing_on_says_how_wide_and_how_long() -> None:
    cloth = trim(cloth_as_cut(block()), block(right=19.0), "side", 1.0)
    new = block(right=20.5)
    (short,) = shortfalls(new, cloth)
    way = by_kind(options(short, {"front": new}, {"front": cloth}))["piece_on"]
    # the cloth ends 0.5 inside: 1 of allowance + 0.5 + two joins of 0.6, along all 40 cm
    assert "2.7 cm wide" in way.text
    assert "40.0 cm long" in way.text
    assert "the join shows, up to 1.1 cm" in way.text
    assert way.feasible


def test_iron_work_has_a_limit() -> None:
    cloth = cloth_as_cut(block())
    for let_out, feasible in ((2.8, True), (3.5, False)):
        new = block(right=20.0 + let_out)
        (short,) = shortfalls(new, cloth)
        way = by_kind(options(short, {"front": new}, {"front": cloth}))["iron"]
        # 2.4 is free; 0.4 may be ironed, 1.1 may not
        assert way.feasible is feasible
        assert way.amount == pytest.approx(min(let_out - 2.4, 0.5))
    way = by_kind(options(short, {"front": new}, {"front": cloth}, iron=0.0))["iron"]
    assert way.amount == 0.0


def test_a_hem_let_down_too_far_is_faced() -> None:
    cloth = cloth_as_cut(block())
    new = block(bottom=-3.2)
    (short,) = shortfalls(new, cloth)
    assert short.edge == "hem"
    assert short.missing == pytest.approx(0.7)  # 0.8 left of 4, 1.5 least
    ways = by_kind(options(short, {"front": new}, {"front": cloth}))
    assert ways["face_hem"].feasible
    assert "5.2 cm deep" in ways["face_hem"].text  # 4 and two joins of 0.6
    new = block(bottom=-3.6)
    (short,) = shortfalls(new, cloth)
    assert not by_kind(options(short, {"front": new}, {"front": cloth}))["face_hem"].feasible


def turned_up(bottom: float = 0.0, top: float = 40.0) -> Piece:
    """The block with a turn-up of 3: 6 folded up and down again, 1 to sew, 2 in reserve."""
    plain = block(bottom=bottom, top=top)
    hem = edge(
        "hem", "hem_c", plain.edge("hem").runs[0], "hem_s", allowance=7.0, reserve=2.0, least=1.0
    )
    folds = tuple(
        Line(f"turn-up fold {k}", "fold", Path.line((0.0, bottom - y), (20.0, bottom - y)))
        for k, y in ((1, 3.0), (2, 6.0))
    )
    return replace(plain.with_edges((hem, *plain.edges[1:])), lines=folds)


def test_a_turn_up_needs_its_whole_depth_below_the_hem_line() -> None:
    """Of 7 + 2 there must be 6 and 1 to sew, so 2 may be let down and 2.5 lacks a half."""
    cloth = cloth_as_cut(turned_up())
    assert spare(turned_up(), "hem", cloth, 0.6, 19.4) == pytest.approx(2.0)
    assert not shortfalls(turned_up(bottom=-2.0), cloth)
    new = turned_up(bottom=-2.5)
    (short,) = shortfalls(new, cloth)
    assert short.edge == "hem"
    assert short.least == pytest.approx(7.0)
    assert short.missing == pytest.approx(0.5)
    ways = by_kind(options(short, {"front": new}, {"front": cloth}))
    # 6.5 is left: 3 are seen, so the join lies inside the turn-up, 4 + two joins deep
    assert ways["face_hem"].feasible
    assert "5.2 cm deep" in ways["face_hem"].text
    assert "is not seen" in ways["piece_on"].text
    new = turned_up(bottom=-6.0)
    (short,) = shortfalls(new, cloth)
    ways = by_kind(options(short, {"front": new}, {"front": cloth}))
    # 3 is left, the join would lie 0.6 below the turn-up's upper edge
    assert not ways["face_hem"].feasible
    assert "shows on the turn-up, 0.6 cm below its upper edge" in ways["piece_on"].text


def test_passing_a_piece_up_leaves_its_turn_up_whole() -> None:
    cloth = cloth_as_cut(turned_up())
    for top, feasible in ((41.5, True), (42.6, False)):
        new = turned_up(top=top)
        (short,) = shortfalls(new, cloth)
        way = by_kind(options(short, {"front": new}, {"front": cloth}))["pass_up"]
        # 1.1 and 2.2 lack at the waist; only the reserve of 2 may be taken from the hem
        assert way.feasible is feasible
        assert "has 2.0 cm beyond its least allowance" in way.text


def test_passing_the_piece_up_uses_the_hem() -> None:
    """The waist raised 1.5 with 1 there and 0.6 least lacks 1.1; the hem has 4 - 1.5 to give."""
    cloth = cloth_as_cut(block())
    new = block(top=41.5)
    (short,) = shortfalls(new, cloth)
    assert short.edge == "waist"
    assert short.missing == pytest.approx(1.1)
    way = by_kind(options(short, {"front": new}, {"front": cloth}))["pass_up"]
    assert way.feasible
    assert "up by 1.1 cm" in way.text
    assert "2.5 cm" in way.text


HIP = Target(
    "hip",
    "hip_girth",
    90.0,
    0.0,
    (Width("front", "waist_c", "waist_s"), Width("back", "waist_c", "waist_s")),
)
"""A girth across front and back, from the centres to the side seams."""

LEG = Target("leg", "leg_girth", 60.0, 0.0, (Width("sleeve", "waist_c", "waist_s"),))


def test_sharing_adds_up_what_each_edge_can_give() -> None:
    front = replace(block(right=26.0), cut="single")
    front = front.with_edges(
        (*front.edges[:3], replace(front.edges[3], allowance=1.0, reserve=0.5))
    )
    before = replace(block(), cut="single")
    before = before.with_edges((*before.edges[:3], front.edges[3]))
    back = block(name="back")
    cloths = {"front": cloth_as_cut(before), "back": cloth_as_cut(back)}
    (short,) = shortfalls(front, cloths["front"])
    assert short.missing == pytest.approx(3.6)  # 6 let out, 3 there, 0.6 least
    pieces = {"front": front, "back": back}
    ways = by_kind(options(short, pieces, cloths, targets=(HIP,)))
    # the back's side has 2.4, the front's own centre 0.9: 3.3 of 3.6
    assert not ways["share"].feasible
    assert ways["share"].amount == pytest.approx(3.3)
    mild = replace(block(right=25.0), cut="single")
    mild = mild.with_edges((*mild.edges[:3], before.edges[3]))
    (short,) = shortfalls(mild, cloths["front"])
    pieces["front"] = mild
    ways = by_kind(options(short, pieces, cloths, targets=(HIP,)))
    assert ways["share"].feasible  # 2.6 of 3.3
    # in proportion: 2.4 and 0.9 of 3.3
    assert "1.9 cm at the back's side" in ways["share"].text
    assert "0.7 cm at the front's centre" in ways["share"].text
    assert sum(t.amount for t in ways["share"].takes) == pytest.approx(short.missing)


def test_only_edges_of_the_same_girth_on_the_same_side_share() -> None:
    """A sleeve is not widened from the body, nor one leg from the other."""
    front = block(right=25.0)
    sleeve, back = block(name="sleeve"), block(name="back")
    other = {f"{p.name}:other": p for p in (block(), back)}
    pieces = {"front": front, "back": back, "sleeve": sleeve, **other}
    cloths = {name: cloth_as_cut(p) for name, p in {**pieces, "front": block()}.items()}
    (short,) = shortfalls(front, cloths["front"])
    # the back's side is the only other edge of the hip on this side: that is no sharing
    assert "share" not in by_kind(options(short, pieces, cloths, (SIDE,), (HIP, LEG)))
    wide = block(right=25.0, name="sleeve")
    (short,) = shortfalls(wide, cloths["sleeve"])
    assert "share" not in by_kind(
        options(short, {**pieces, "sleeve": wide}, cloths, (SIDE,), (HIP, LEG))
    )


def test_a_share_too_small_for_one_decimal_is_told_with_two() -> None:
    """0.04 missing, shared by 2.4 and 0.9 of spare: 0.029 and 0.011; nothing is told as 0.0."""
    front = replace(block(right=22.44), cut="single")
    centre = replace(front.edges[3], allowance=1.0, reserve=0.5)
    front = front.with_edges((*front.edges[:3], centre))
    before = replace(block(), cut="single")
    before = before.with_edges((*before.edges[:3], centre))
    back = block(name="back")
    cloths = {"front": cloth_as_cut(before), "back": cloth_as_cut(back)}
    (short,) = shortfalls(front, cloths["front"])
    assert short.missing == pytest.approx(0.04)
    way = by_kind(options(short, {"front": front, "back": back}, cloths, targets=(HIP,)))["share"]
    assert "0.03 cm at the back's side" in way.text
    assert "0.01 cm at the front's centre" in way.text
    assert "0.0 cm" not in way.text


def test_iron_work_is_enough_within_what_scissors_can_do() -> None:
    """0.54 missing and 0.5 to be won by the iron: 0.04 is left, less than half a millimetre."""
    cloth = cloth_as_cut(block())
    for missing, enough in ((0.54, True), (0.56, False)):
        new = block(right=22.4 + missing)
        (short,) = shortfalls(new, cloth)
        way = by_kind(options(short, {"front": new}, {"front": cloth}))["iron"]
        assert way.feasible is enough
        assert "0.0 cm" not in way.text


def test_a_corner_off_the_cloth_is_told_once() -> None:
    """The side let out 5 of 3 there takes the hem's and the waist's ends off the cloth with it:
    the side is short, hem and waist are not."""
    new = block(right=25.0)
    assert [s.edge for s in shortfalls(new, cloth_as_cut(block()))] == ["side"]
    # a waist that is really short beside it is still told: raised 1.5 of 1 there, 0.6 least
    both = shortfalls(block(right=25.0, top=41.5), cloth_as_cut(block()))
    assert {s.edge: s.missing for s in both} == pytest.approx({"side": 2.6, "waist": 1.1}, abs=0.1)


def test_passing_up_moves_the_piece_on_its_cloth() -> None:
    """1.1 short at the waist; moved by that along the grain it is whole and its hem keeps 2.9."""
    cloth = cloth_as_cut(block())
    new = block(top=41.5)
    (short,) = shortfalls(new, cloth)
    way = by_kind(options(short, {"front": new}, {"front": cloth}))["pass_up"]
    assert way.shift == pytest.approx(1.1)
    moved = passed_up(new, cloth, way.shift)
    assert moved.bounds == pytest.approx((0.0, -4.0 + 1.1, 23.0, 41.0 + 1.1))
    assert shortfalls(new, moved) == ()
    assert spare(new, "hem", moved, 2.0, 18.0) == pytest.approx(4.0 - 1.1 - 1.5)


def test_feasible_ways_come_first() -> None:
    cloth = cloth_as_cut(block())
    new = block(right=23.5)
    (short,) = shortfalls(new, cloth)
    order = [w.feasible for w in options(short, {"front": new}, {"front": cloth})]
    assert order == sorted(order, reverse=True)
    inches = options(short, {"front": new}, {"front": cloth}, unit="in")
    assert any(" in " in w.text for w in inches)
