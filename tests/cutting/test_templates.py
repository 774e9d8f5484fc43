"""Templates: hands and areas by hand, folds, plies, the demo order's own pieces."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.cutline import cut_line
from pinwright.cutting.cuts import cuts
from pinwright.cutting.lay.placing import Template
from pinwright.cutting.material import Material, Repeat
from pinwright.cutting.templates import prepared, templates
from pinwright.errors import LayError
from pinwright.geometry.path import Path
from pinwright.pattern.hand import as_drawn
from pinwright.pattern.piece import Piece, edge
from tests.cutting.own_orders import garments, layer
from tests.cutting.skirt import panel

OPEN, FOLDED = Material(), Material(lay="folded")


def wedge(name: str = "front", **more: object) -> Piece:
    """A triangle without allowance, (0, 0), (10, 0), (0, 30): no symmetry, all known by hand."""
    corners = [(0.0, 0.0), (10.0, 0.0), (0.0, 30.0)]
    lines = [Path.line(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)]
    piece = Piece(
        name,
        name,
        (
            edge("base", "foot", lines[0], "side", allowance=0.0),
            edge("slant", "side", lines[1], "top", allowance=0.0),
            edge("centre", "top", lines[2], "foot", allowance=0.0),
        ),
        np.array([[2.0, 2.0], [2.0, 12.0]]),
    )
    return replace(piece, **more)  # type: ignore[arg-type]


def same_corners(t: Template, expected: list[tuple[float, float]]) -> bool:
    a, b = shapely.Polygon(t.outline), shapely.Polygon(expected)
    return bool(a.symmetric_difference(b).area < 1e-6)


def made(material: Material, right: Piece, left: Piece | None = None) -> dict[str, Template]:
    other = right if left is None else left
    found = templates({right.name: right}, {right.name: other}, "g", material)
    assert len({t.key for t in found}) == len(found)
    return {t.key: t for t in found}


# up as drawn (y) goes along the cloth (+x); what is to the right of up (x) goes to -y
AS_DRAWN = [(0.0, 0.0), (0.0, -10.0), (30.0, 0.0)]
MIRRORED = [(0.0, 0.0), (0.0, 10.0), (30.0, 0.0)]


@pytest.mark.parametrize(("name", "drawn"), [("front", "left"), ("back", "right")])
def test_each_hand_as_seen_from_above(name: str, drawn: str) -> None:
    other = {"left": "right", "right": "left"}[drawn]
    up = made(OPEN, wedge(name))
    assert same_corners(up[f"g.{name}.{drawn}"], AS_DRAWN)
    assert same_corners(up[f"g.{name}.{other}"], MIRRORED)
    assert not up[f"g.{name}.{drawn}"].mirrored
    assert up[f"g.{name}.{other}"].mirrored
    down = made(replace(OPEN, right_side="down"), wedge(name))
    assert same_corners(down[f"g.{name}.{drawn}"], MIRRORED)
    assert same_corners(down[f"g.{name}.{other}"], AS_DRAWN)
    assert down[f"g.{name}.{drawn}"].mirrored


def test_a_facing_is_worn_inside_out() -> None:
    facing = wedge("front_facing", home="front", follows="front", layer="facing")
    assert as_drawn(wedge("front")) == "left"
    assert as_drawn(facing) == "right"
    found = made(Material(layer="facing"), facing)
    assert same_corners(found["g.front_facing.right"], AS_DRAWN)


def test_up_as_worn_runs_along_the_cloth() -> None:
    # grain downwards as drawn: the piece is turned over; a piece worn turned over is not
    turned = np.array([[2.0, 12.0], [2.0, 2.0]])
    assert same_corners(
        made(OPEN, wedge("back", grain=turned))["g.back.right"], [(0, 0), (0, 10), (-30, 0)]
    )
    assert same_corners(
        made(OPEN, wedge("back", grain=turned, fall=True))["g.back.right"], AS_DRAWN
    )
    # on the bias: the grain, at 45 degrees, comes to lie along the cloth
    bias = np.array([[2.0, 2.0], [4.0, 4.0]])
    h = np.sqrt(0.5)
    assert same_corners(
        made(OPEN, wedge("back", grain=bias))["g.back.right"],
        [(0, 0), (10 * h, -10 * h), (30 * h, 30 * h)],
    )


def test_a_fold_opened_out_is_twice_the_half() -> None:
    half = panel("back", "Back", 25.0)
    area = float(shapely.Polygon(cut_line(half)).area)
    whole = made(OPEN, half)["g.back"]
    assert whole.side == "both"
    assert not whole.on_fold
    assert whole.area == pytest.approx(2.0 * area, rel=1e-9)
    # it is its own mirror image in the fold
    mirrored = shapely.Polygon(whole.outline * [1.0, -1.0])
    assert shapely.Polygon(whole.outline).symmetric_difference(mirrored).area < 1e-6


def test_halves_that_differ_each_lie_on_their_own_side() -> None:
    right, left = panel("back", "Back", 25.0), panel("back", "Back", 27.0)
    areas = [float(shapely.Polygon(cut_line(p)).area) for p in (right, left)]
    whole = shapely.Polygon(made(OPEN, right, left)["g.back"].outline)
    assert whole.area == pytest.approx(sum(areas), rel=1e-6)
    # the back's drawing is the right one: seen from the right side it lies to the right of up
    low = whole.intersection(shapely.box(-200, -200, 200, 0)).area
    assert low == pytest.approx(areas[0], rel=1e-6)
    down = shapely.Polygon(made(replace(OPEN, right_side="down"), right, left)["g.back"].outline)
    low = down.intersection(shapely.box(-200, -200, 200, 0)).area
    assert low == pytest.approx(areas[1], rel=1e-6)


def test_on_a_folded_cloth_a_half_stands_on_the_fold() -> None:
    right, left = panel("back", "Back", 25.0), panel("back", "Back", 27.0)
    t = made(FOLDED, right, left)["g.back"]
    assert t.on_fold
    assert t.plies == 2
    assert t.rotations == (0.0, 180.0)
    for one_way in (
        replace(FOLDED, direction="nap"),
        replace(FOLDED, repeat=Repeat(along=5.0, turns=True)),
    ):
        assert made(one_way, right, left)["g.back"].rotations == (0.0,)
    assert t.outline[:, 1].min() == 0.0
    poly = shapely.Polygon(t.outline)
    foot = poly.exterior.intersection(shapely.LineString([(-99, 0), (199, 0)]))
    # from hem to waist, hem allowance 4 and waist allowance 1 included
    assert foot.length == pytest.approx(60.0 + 4.0 + 1.0, abs=1e-6)
    # along the cloth from the middle of the fold, at 30 in the drawing
    both = [shapely.Polygon(cut_line(p)[:, ::-1] - [30.0, 0.0]) for p in (right, left)]
    assert poly.symmetric_difference(shapely.union_all(both)).area < 1e-3
    told = prepared({"back": right}, {"back": left}, "g", FOLDED).told
    assert len(told) == 1
    assert "differ by up to 2." in told[0]
    assert "lay the cloth open" in told[0]


def test_a_fold_off_the_grain_is_opened_out_on_a_folded_cloth_too() -> None:
    piece = replace(panel("back", "Back", 25.0), grain=np.array([[5.0, 12.0], [10.0, 45.0]]))
    t = made(FOLDED, piece)["g.back"]
    assert not t.on_fold
    assert t.plies == 1
    assert t.area == pytest.approx(2.0 * shapely.Polygon(cut_line(piece)).area, rel=1e-9)
    # the fold, upwards in the drawing, lies as far off +x as the grain off the fold
    c = cuts({"back": piece}, {"back": piece}, "g", FOLDED)[0]
    fold = c.parts[0].point("waist_centre") - c.parts[0].point("hem_centre")
    assert np.degrees(np.arctan2(fold[1], fold[0])) == pytest.approx(
        np.degrees(np.arctan2(5.0, 33.0)), abs=1e-9
    )


def test_a_pair_through_both_plies() -> None:
    right, left = panel("front", "Front", 25.0, "pair"), panel("front", "Front", 25.8, "pair")
    found = made(FOLDED, right, left)
    assert set(found) == {"g.front"}
    t = found["g.front"]
    assert t.plies == 2
    assert not t.on_fold
    for p in (right, left):
        own = shapely.Polygon(cut_line(p) @ np.array([[0.0, -1.0], [1.0, 0.0]]))
        assert own.difference(shapely.Polygon(t.outline)).area < 1e-6
    assert made(FOLDED, wedge("front", cut="single"))["g.front"].plies == 1


def test_a_single_piece_is_taken_from_the_half_it_is_for() -> None:
    small, large = wedge(cut="single", title="strip (left)"), wedge(cut="single")
    grown = large.with_edges(tuple(replace(e, allowance=1.0) for e in large.edges))
    t = made(OPEN, grown, small)["g.front"]
    assert t.area == pytest.approx(shapely.Polygon(cut_line(grown)).area)
    t = made(OPEN, replace(grown, title="strip (left)"), small)["g.front"]
    assert t.area == pytest.approx(150.0)


def test_count_stage_and_titles() -> None:
    found = made(replace(OPEN, hold_back=1.5), wedge(count=2, stage="after", title="bag (two)"))
    assert set(found) == {"g.front.right", "g.front.right.2", "g.front.left", "g.front.left.2"}
    assert {t.kept for t in found.values()} == {1.5}
    assert found["g.front.left.2"].title == "Bag, left"
    assert {t.kept for t in made(replace(OPEN, hold_back=1.5), wedge()).values()} == {0.0}


def test_ways_to_lie() -> None:
    front, bag = wedge(), wedge("bag", layer="pocketing", follows="front")
    bearer = wedge("bearer", follows="front")

    def ways(piece: Piece, **cloth: object) -> tuple[float, ...]:
        return next(iter(made(replace(OPEN, **cloth), piece).values())).rotations  # type: ignore[arg-type]

    assert ways(front) == ways(bag) == (0.0, 180.0)
    assert ways(front, direction="nap") == (0.0,)
    assert ways(front, tilt=4.0) == (0.0, 180.0)
    assert set(ways(bag, tilt=4.0)) == {0, 2, 358, 4, 356, 180, 182, 178, 184, 176}
    assert set(ways(bearer, tilt=4.0, direction="print")) == {0, 2, 358, 4, 356}
    stripes = Repeat(across=3.0)
    assert ways(bearer, tilt=4.0, repeat=stripes) == (0.0,)
    assert ways(front, repeat=replace(stripes, turns=True)) == (0.0, 180.0)


def test_refusals() -> None:
    with pytest.raises(LayError, match="grain line without length"):
        made(OPEN, wedge(grain=np.zeros((2, 2))))
    bent = replace(panel("back", "Back", 25.0), fold="side")
    with pytest.raises(LayError, match="strays"):
        made(FOLDED, bent)


@pytest.mark.parametrize("style", ["trousers", "jacket"])
@pytest.mark.parametrize("down", ["up", "down"])
def test_the_demo_order(style: str, down: str) -> None:
    right, left, _ = garments()[style]
    cloth = replace(OPEN, right_side=down)  # type: ignore[arg-type]
    found = templates(right, left, style, cloth)
    for t in found:
        poly = shapely.Polygon(t.outline)
        assert poly.is_valid, t.key
        assert poly.exterior.is_ccw, t.key
    by_piece: dict[str, float] = {}
    for t in found:
        by_piece[t.piece] = by_piece.get(t.piece, 0.0) + t.area
    for name, p in right.items():
        a, b = (float(shapely.Polygon(cut_line(x)).area) for x in (p, left[name]))
        want = a if p.cut == "single" else p.count * (a + b)
        assert by_piece[name] == pytest.approx(want, rel=1e-6), name


def test_the_demo_jacket_folded() -> None:
    right, left, _ = garments()["jacket"]
    found = {
        t.piece: t for t in templates(layer(right, "shell"), layer(left, "shell"), "jacket", FOLDED)
    }
    assert {n for n, t in found.items() if t.on_fold} == {"back", "yoke", "collar"}
    assert {n for n, t in found.items() if t.plies == 2} == {
        "front",
        "sleeve",
        "patch_pocket",
        "undercollar",
        "back",
        "yoke",
        "collar",
    }
    for n in ("back", "yoke", "collar"):
        assert found[n].outline[:, 1].min() == 0.0


def test_what_is_too_wide_knows_how_much_of_it_is_reserve() -> None:
    # 2 cm at the side seam, which flares a little, so 2.0 to 2.1 across
    pair, back = panel("front", "Front", 25.0, "pair"), panel("back", "Back", 25.0)
    assert made(Material(width=20.0), pair)["g.front.left"].reserve == pytest.approx(2.0, abs=0.1)
    assert made(Material(width=40.0), back)["g.back"].reserve == pytest.approx(4.0, abs=0.2)
    half = made(Material(width=40.0, lay="folded"), back)["g.back"]
    assert half.on_fold
    assert half.reserve == pytest.approx(2.0, abs=0.1)
    assert made(OPEN, pair)["g.front.left"].reserve == 0.0
    assert made(Material(width=5.0), wedge())["g.front.left"].reserve == 0.0
