"""Band, pocket and fly: as long as what they are sewn to, and following it when it moves."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees, hypot

import numpy as np
import pytest
from shapely.geometry import LineString, Point

from pinwright.draft.features.side_pocket import OPENING, opening
from pinwright.draft.features.waistband import waistband
from pinwright.draft.styles.trousers import STYLE
from pinwright.errors import DraftError
from pinwright.geometry.motion import Motion
from pinwright.makingup.band_interfacing import band_interfacing, band_underlap
from pinwright.makingup.fly import fly_facing, fly_shield
from pinwright.makingup.pocket import pocket_bag, pocket_bearer
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

from .bodies import body, trousers
from .remeasure import line, reaches, ring, sewn


@pytest.fixture(scope="module")
def garment() -> Garment:
    return trousers(body())


def along(piece: Piece, edge: str, at: np.ndarray) -> tuple[float, float]:
    """(distance along the edge, distance from it) of a point, by shapely on a dense polyline."""
    path = line(piece.edge(edge).runs[0].ctrl)
    return float(path.project(Point(at))), float(path.distance(Point(at)))


# --- waistband ---------------------------------------------------------------------------


def test_straight_band_is_a_rectangle() -> None:
    band = waistband(20.0, 17.5, 4.0)
    corners = [band.point(n).tolist() for n in ("band_front", "band_centre", "top_centre")]
    assert corners == [[0.0, 0.0], [37.5, 0.0], [37.5, 4.0]]
    assert reaches(band.edge("seam"))["side"] == pytest.approx(20.0)


@pytest.mark.parametrize("top", [33.0, 36.5, 39.0])
def test_shaped_band_is_a_strip_of_a_cone(top: float) -> None:
    band = waistband(20.0, 17.0, 4.0, top)
    assert sewn(band.edge("seam")) == pytest.approx(37.0, abs=1e-6)
    assert sewn(band.edge("top")) == pytest.approx(top, abs=1e-6)
    assert reaches(band.edge("seam"))["side"] == pytest.approx(20.0, abs=1e-6)
    # cone: radius 4 x 37 / |37 - top|, so the ends stand at 37 / radius to each other
    turn = degrees(37.0 * abs(37.0 - top) / (4.0 * 37.0))
    end = band.point("top_centre") - band.point("band_centre")
    lean = abs(degrees(atan2(end[0], end[1])))
    assert lean == pytest.approx(turn, abs=1e-6)
    # everywhere as deep as a band must be
    lower = line(band.edge("seam").runs[0].ctrl)
    for run in band.edge("top").runs:
        for cubic in run.ctrl:
            assert lower.distance(Point(cubic[0])) == pytest.approx(4.0, abs=1e-3)


def test_band_ends_are_square() -> None:
    band = waistband(20.0, 17.0, 4.0, 35.0)
    for edge, end in (("seam", "centre"), ("centre", "top"), ("top", "front"), ("front", "seam")):
        u = band.edge(edge).runs[-1].end_tangent
        v = band.edge(end).runs[0].start_tangent
        assert float(u @ v) == pytest.approx(0.0, abs=1e-9)


def test_band_on_the_fold_or_with_a_seam() -> None:
    assert waistband(20.0, 17.0, 4.0, None, "fold").fold == "centre"
    seamed = waistband(20.0, 17.0, 4.0)
    assert (seamed.cut, seamed.fold) == ("pair", None)
    assert seamed.edge("centre").reserve == 3.0  # as the seat seam it continues


def test_impossible_ring_is_refused() -> None:
    with pytest.raises(DraftError, match="upper edge"):
        waistband(20.0, 17.0, 4.0, 10.0)


def test_shaped_band_fits_the_body_at_its_top() -> None:
    client = body(worn_waist_drop=0.0)
    shaped = trousers(client, band="shaped", band_depth=4.0)
    band = shaped.piece("band")
    # its upper edge lies at the natural waist: half of 68 and 1 of ease
    assert sewn(band.edge("top")) == pytest.approx(69.0 / 2.0, abs=1e-6)
    assert sewn(band.edge("seam")) > sewn(band.edge("top")) + 1.0


# --- side pocket -------------------------------------------------------------------------


def test_opening_lies_on_the_side_seam_where_it_was_asked() -> None:
    g = trousers(body(), pocket_top=5.0, pocket_length=15.0)
    front = g.piece("front")
    path = front.line(OPENING).path
    whole = sewn(front.edge("side"))
    lower, off = along(front, "side", path.start)
    upper, off_too = along(front, "side", path.end)
    assert max(off, off_too) < 1e-3
    assert whole - upper == pytest.approx(5.0, abs=0.01)
    assert upper - lower == pytest.approx(15.0, abs=0.01)
    assert front.line(OPENING).kind == "opening"
    hip = reaches(front.edge("side"))["hip"]
    assert g.facts["pocket_top_above_hip"] == pytest.approx(upper - hip, abs=0.01)


def test_opening_off_the_seam_is_refused(garment: Garment) -> None:
    front = garment.piece("front")
    with pytest.raises(DraftError, match="pocket opening"):
        opening(front, 20.0, 15.0)


def test_no_pocket_no_pocketing() -> None:
    g = trousers(body(), pocket="none")
    assert "pocket_top" not in g.facts
    names = {p.name for p in STYLE.derive({p.name: p for p in g.pieces}, g)}
    assert names == {"fly_facing", "fly_shield", "band_interfacing", "band_underlap"}


def test_bag_is_sewn_to_side_and_waist_and_hangs_below_the_opening(garment: Garment) -> None:
    front = garment.piece("front")
    bag = pocket_bag(front)
    seam = LineString(line(front.edge("side").runs[0].ctrl))
    for cubic in bag.edge("side").runs[0].ctrl:
        assert seam.distance(Point(cubic[0])) < 1e-3
    assert bag.edge("side").last == pytest.approx(front.point("waist_side"), abs=1e-9)
    opening_low = float(front.line(OPENING).path.start[1])
    assert opening_low - ring(bag).bounds[1] == pytest.approx(12.0, abs=0.01)
    assert ring(bag, 60).difference(ring(front, 60)).area < 0.001
    assert bag.layer == "pocketing"


def test_bearer_faces_the_opening(garment: Garment) -> None:
    front, back = garment.piece("front"), garment.piece("back")
    bearer = pocket_bearer(back, front)
    whole = sewn(back.edge("side"))
    foot, off = along(back, "side", bearer.edge("side").first)
    assert off < 1e-3
    # top 4, opening 15.5, and 3 more
    assert whole - foot == pytest.approx(22.5, abs=0.02)
    inner = line(bearer.edge("inner").runs[0].ctrl)
    for s in (0.0, 5.0, 10.0):
        at = back.edge("side").runs[0].at(foot + s)
        assert inner.distance(Point(at)) == pytest.approx(4.5, abs=0.05)


def test_lowering_the_opening_takes_bag_and_bearer_down(garment: Garment) -> None:
    front, back = garment.piece("front"), garment.piece("back")
    low = opening(front, garment.facts["pocket_top_above_hip"] - 1.5, 15.5)
    others = tuple(x for x in front.lines if x.name != OPENING)
    moved = replace(front, lines=(*others, low))
    for before, after in (
        (pocket_bag(front), pocket_bag(moved)),
        (pocket_bearer(back, front), pocket_bearer(back, moved)),
    ):
        longer = sewn(after.edge("side")) - sewn(before.edge("side"))
        assert longer == pytest.approx(1.5, abs=1e-6)


# --- fly ---------------------------------------------------------------------------------


def test_fly_pieces_follow_the_centre_front(garment: Garment) -> None:
    front = garment.piece("front")
    fly = garment.facts["fly_length"]
    assert fly == pytest.approx(reaches(front.edge("centre"))["fly_end"], abs=1e-9)
    facing, shield = fly_facing(front), fly_shield(front)
    assert sewn(facing.edge("centre")) == pytest.approx(fly + 1.0)
    assert sewn(shield.edge("centre")) == pytest.approx(fly + 2.0)
    gap = shield.point("fold_top") - front.point("waist_centre")
    assert hypot(*gap) == pytest.approx(4.5)
    assert shield.fold == "fold"
    assert ring(front).buffer(0.05).contains(ring(facing))


def test_band_pieces(garment: Garment) -> None:
    band = garment.piece("band")
    fusing, under = band_interfacing(band), band_underlap(band)
    assert ring(fusing).equals(ring(band))
    assert fusing.layer == "interfacing"
    assert all(e.allowance == e.reserve == 0.0 for e in fusing.edges)
    assert ring(under).area == pytest.approx(4.5 * 4.0)


def test_derived_pieces_move_rigidly_with_what_they_follow(garment: Garment) -> None:
    """Moving front and back in the plane moves bag, bearer, facing and shield with them."""
    shift = Motion.translation((7.0, -3.0))

    def moved(p: Piece) -> Piece:
        return replace(
            p,
            edges=tuple(
                replace(e, runs=tuple(r.transformed(shift) for r in e.runs)) for e in p.edges
            ),
            lines=tuple(replace(x, path=x.path.transformed(shift)) for x in p.lines),
            grain=shift.apply(p.grain),
            darts=tuple(replace(d, apex=shift.apply(d.apex)) for d in p.darts),
        )

    front, back = garment.piece("front"), garment.piece("back")
    pairs = (
        (pocket_bag(front), pocket_bag(moved(front))),
        (pocket_bearer(back, front), pocket_bearer(moved(back), moved(front))),
        (fly_facing(front), fly_facing(moved(front))),
        (fly_shield(front), fly_shield(moved(front))),
    )
    for here, there in pairs:
        for a, b in zip(here.edges, there.edges, strict=True):
            for u, v in zip(a.runs, b.runs, strict=True):
                assert np.abs(u.ctrl + np.array([7.0, -3.0]) - v.ctrl).max() < 1e-6, here.name
