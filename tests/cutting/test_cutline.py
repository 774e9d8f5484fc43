"""The cut line against shapely's buffers, hand-worked corners and rough shapes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.cutline import cut_line, margins, net_polygon
from pinwright.cutting.envelope import winding
from pinwright.errors import GeometryError
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Piece, edge
from tests.cutting.skirt import panel, skirt, sleeve

GRAIN = np.array([[0.0, 0.0], [0.0, 1.0]])


def polygon_piece(points: np.ndarray, allowance: float | list[float], name: str = "p") -> Piece:
    n = len(points)
    widths = allowance if isinstance(allowance, list) else [allowance] * n
    return Piece(
        name,
        name,
        tuple(
            edge(
                f"e{i}",
                f"c{i}",
                Path.line(points[i], points[(i + 1) % n]),
                f"c{(i + 1) % n}",
                allowance=widths[i],
            )
            for i in range(n)
        ),
        GRAIN,
        cut="single",
    )


def test_a_rectangle_gets_square_corners() -> None:
    p = polygon_piece(np.array([[0, 0], [20, 0], [20, 10], [0, 10.0]]), [4.0, 1.0, 1.5, 2.0])
    got = shapely.Polygon(cut_line(p))
    assert got.symmetric_difference(shapely.box(-2, -4, 21, 11.5)).area < 1e-9


def test_the_cut_line_is_closed_and_runs_anticlockwise() -> None:
    for p in skirt().pieces:
        ring = cut_line(p)
        assert np.array_equal(ring[0], ring[-1])
        assert shapely.LinearRing(ring).is_ccw


@pytest.mark.parametrize("name", ["front", "back", "sleeve", "body"])
def test_every_piece_is_inside_its_cut_line(name: str) -> None:
    p = skirt().piece(name)
    cut = shapely.Polygon(cut_line(p))
    assert cut.is_valid
    assert cut.is_simple
    assert cut.buffer(1e-9).covers(net_polygon(p, 0.005))


def test_the_parallel_keeps_its_distance_from_the_curve() -> None:
    # the side of the skirt: allowance 1 and reserve 2, away from its corners
    p = panel("front", "Front", 24.0)
    side = p.edge("side").runs[0]
    exterior = shapely.LinearRing(cut_line(p))
    for s in np.linspace(4.0, side.length - 4.0, 40):
        foot = side.at(s) - 3.0 * side.normal(s)
        assert exterior.distance(shapely.Point(foot)) < 0.01


def test_the_fold_gets_no_allowance_and_stays_straight() -> None:
    ring = cut_line(panel("front", "Front", 24.0))
    assert ring[:, 0].min() == pytest.approx(0.0, abs=1e-9)
    on_fold = ring[np.abs(ring[:, 0]) < 1e-9]
    # from the hem's allowance below to the waist's above
    assert on_fold[:, 1].min() == pytest.approx(-4.0, abs=1e-6)
    assert on_fold[:, 1].max() == pytest.approx(61.0, abs=1e-6)


def test_the_turned_up_hem_matches_the_sleeve_above_it() -> None:
    """By hand: the seam leans 2 in 20, so its parallel at 1 cm meets the fold line at
    13 + sqrt(1 + 0.1**2) and, 3 cm down in the mirror, is 0.3 cm further out."""
    ring = cut_line(sleeve())
    at_fold = 13.0 + np.sqrt(1.01)
    for corner in ([at_fold, 0.0], [at_fold + 0.3, -3.0], [-at_fold, 0.0], [-at_fold - 0.3, -3.0]):
        assert np.hypot(*(ring - corner).T).min() < 1e-6
    # folding the hem up lays its cut edge on the cut edge of the sleeve
    cut = shapely.Polygon(ring)
    below = shapely.transform(
        cut.intersection(shapely.box(-50, -10, 50, 0)), lambda p: p * [1.0, -1.0]
    )
    above = cut.intersection(shapely.box(-50, 0, 50, 3))
    assert below.symmetric_difference(above).area < 1e-6


def test_a_leg_that_widens_downwards_turns_up_as_well() -> None:
    points = np.array([[-10, 0], [10, 0], [8, 30], [-8, 30.0]])
    names = ("hem", "right", "top", "left")
    flared = Piece(
        "leg",
        "Leg",
        tuple(
            edge(names[i], f"c{i}", Path.line(points[i], points[(i + 1) % 4]), f"c{(i + 1) % 4}",
                 allowance=4.0 if i == 0 else 1.0)
            for i in range(4)
        ),
        GRAIN,
        cut="single",
    )  # fmt: skip
    cut = shapely.Polygon(cut_line(flared))
    below = cut.intersection(shapely.box(-50, -10, 50, 0))
    above = cut.intersection(shapely.box(-50, 0, 50, 4))
    mirrored = shapely.transform(below, lambda p: p * [1.0, -1.0])
    assert mirrored.symmetric_difference(above).area < 1e-6


def test_a_sharp_corner_is_cut_square_across() -> None:
    p = polygon_piece(np.array([[0.0, 0.0], [30.0, -2.0], [30.0, 2.0]]), 1.0)
    reach = np.hypot(*cut_line(p).T).max(initial=0.0, where=cut_line(p)[:, 0] < 0)
    assert 1.0 < reach <= 2.5 + 1e-9


def test_margins_may_be_set_by_edge() -> None:
    p = panel("front", "Front", 24.0)
    assert margins(p) == {"hem": 4.0, "side": 3.0, "waist": 1.0, "centre": 0.0}
    wide = shapely.Polygon(cut_line(p, margin={"side": 5.0}))
    assert wide.buffer(1e-9).covers(shapely.Polygon(cut_line(p)))
    with pytest.raises(GeometryError, match="0 cm or more"):
        cut_line(p, margin={"side": -1.0})


def test_a_net_line_that_crosses_itself_is_refused() -> None:
    p = polygon_piece(np.array([[0, 0], [10, 10], [10, 0], [0, 10.0]]), 1.0)
    with pytest.raises(GeometryError, match="crosses itself"):
        cut_line(p)


def star(radii: list[float], turns: list[float]) -> np.ndarray:
    n = len(radii)
    angles = 2 * np.pi * (np.arange(n) + np.array(turns[:n]) * 0.7) / n
    around = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return np.asarray(around * np.array(radii)[:, None])


@settings(max_examples=150, deadline=None)
@given(
    st.integers(4, 11).flatmap(
        lambda n: st.tuples(
            st.lists(st.floats(3.0, 30.0), min_size=n, max_size=n),
            st.lists(st.floats(0.0, 1.0), min_size=n, max_size=n),
            st.lists(st.sampled_from([0.0, 0.7, 1.0, 2.5, 4.0]), min_size=n, max_size=n),
        )
    )
)
def test_rough_shapes_with_any_allowances(
    drawn: tuple[list[float], list[float], list[float]],
) -> None:
    points = star(drawn[0], drawn[1])
    net = shapely.Polygon(points)
    if not net.is_valid or net.area < 1.0:
        return
    cut = shapely.Polygon(cut_line(polygon_piece(points, drawn[2])))
    assert cut.is_valid
    assert cut.buffer(1e-7).covers(net)
    # nothing beyond the widest allowance's mitre; everything within the narrowest's round
    # (a buffer's arcs of 64 chords lie within 1 - cos(pi / 128) of the circle)
    assert net.buffer(2.5 * max(drawn[2]) * 1.001 + 1e-6, quad_segs=32).covers(cut)
    assert cut.buffer(1e-6).covers(net.buffer(min(drawn[2]), quad_segs=4))


@settings(max_examples=100, deadline=None)
@given(
    st.integers(4, 9).flatmap(
        lambda n: st.tuples(
            st.lists(st.floats(4.0, 25.0), min_size=n, max_size=n),
            st.lists(st.floats(0.0, 1.0), min_size=n, max_size=n),
        )
    ),
    st.floats(0.3, 3.0),
)
def test_one_width_all_round_is_shapely_buffer(
    drawn: tuple[list[float], list[float]], width: float
) -> None:
    """Where no mitre is limited the cut line of equal allowances is the mitred buffer."""
    points = star(*drawn)
    net = shapely.Polygon(points)
    if not net.is_valid or net.area < 1.0:
        return
    legs = np.diff(np.concatenate([points[-1:], points, points[:1]]), axis=0)
    legs /= np.hypot(*legs.T)[:, None]
    if (np.einsum("ij,ij->i", legs[:-1], legs[1:]) < -0.6).any():
        return  # sharper than 2 asin(1 / 2.5): the limits differ
    got = shapely.Polygon(cut_line(polygon_piece(points, width)))
    want = net.buffer(width, join_style="mitre", mitre_limit=10.0)
    # gaps enclosed by allowance cannot be cut, and are filled
    want = shapely.Polygon(want.exterior)
    assert got.symmetric_difference(want).area < 1e-6 * want.area


def test_winding_counts_turns() -> None:
    t = np.linspace(0, 4 * np.pi, 101)
    twice = np.stack([np.cos(t), np.sin(t)], axis=1)
    assert winding(twice, np.array([[0.0, 0.0], [2.0, 0.0]])).tolist() == [2, 0]
    assert winding(twice[::-1], np.array([[0.0, 0.0]])).tolist() == [-2]


def tapered(left: float, to: str = "d") -> Piece:
    """A square of 20 whose right side keeps 1 + 3 up to half its height, then less."""
    corners = [np.array(p) for p in ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))]
    a, b, c, d = corners
    mid = (b + c) / 2
    return Piece(
        "p",
        "p",
        (
            edge("low", "a", Path.line(a, b), "b", allowance=1.0),
            edge(
                "right",
                *("b", Path.line(b, mid), "mid", Path.line(mid, c), "c"),
                allowance=1.0,
                reserve=3.0,
                reserve_to=("mid", to, left),
            ),
            edge("top", "c", Path.line(c, d), "d", allowance=1.0),
            edge("back", "d", Path.line(d, a), "a", allowance=1.0),
        ),
        GRAIN,
        cut="single",
    )


def test_a_tapering_reserve_is_cut_as_a_slant() -> None:
    """Cut area by hand: the plain frame, and a strip of 3 on half the height and the mitre below
    it, running out over the other half (3 by 10 halved)."""
    plain = shapely.box(-1.0, -1.0, 21.0, 21.0)
    cut = shapely.Polygon(cut_line(tapered(0.0, "c")))
    assert cut.covers(plain.buffer(-1e-6))
    assert cut.area - plain.area == pytest.approx(3.0 * 11.0 + 3.0 * 10.0 / 2, abs=0.05)
    for y, width in ((5.0, 4.0), (10.0, 4.0), (15.0, 2.5), (19.0, 1.3)):
        x = cut.intersection(shapely.LineString([(0.0, y), (40.0, y)])).bounds[2]
        assert x - 20.0 == pytest.approx(width, abs=1e-6)
    # towards the start of the edge it is the same upside down
    under = shapely.Polygon(cut_line(tapered(0.0, "b")))
    flipped = shapely.transform(under, lambda xy: xy * [1.0, -1.0] + [0.0, 20.0])
    assert flipped.symmetric_difference(cut).area == pytest.approx(0.0, abs=1e-6)
    # a margin asked for is the same all along
    asked = shapely.Polygon(cut_line(tapered(0.0, "c"), margin={"right": 2.0}))
    assert asked.symmetric_difference(shapely.box(-1.0, -1.0, 22.0, 21.0)).area < 1e-6


@pytest.mark.parametrize(("to", "left"), [("a", 0.0), ("mid", 0.0), ("c", -0.5)])
def test_a_reserve_tapers_to_an_end_of_its_edge(to: str, left: float) -> None:
    with pytest.raises(GeometryError, match="reserve tapers"):
        tapered(left, to)
