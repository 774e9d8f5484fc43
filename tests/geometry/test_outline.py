"""Outlines: areas in closed form, crossings found, every edge moved by its own distance."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
import shapely

from pinwright.errors import GeometryError
from pinwright.geometry.motion import Motion
from pinwright.geometry.outline import offset_outline, polygon, self_crossing, signed_area
from pinwright.geometry.path import Path

from .curve_cases import armhole, dense


def rectangle(width: float, height: float) -> list[Path]:
    c = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return [Path.line(c[i], c[(i + 1) % 4]) for i in range(4)]


def bodice() -> list[Path]:
    curve = armhole()
    x, y = curve.end
    corners = [(x, y), (x, -40.0), (-12.0, -40.0), (-12.0, 3.0), (0.0, 0.0)]
    return [curve, *(Path.line(p, q) for p, q in pairwise(corners))]


def test_area_of_a_quarter_disc() -> None:
    disc = [Path.line((0, 0), (10, 0)), Path.arc((0, 0), 10, 0, 90), Path.line((0, 10), (0, 0))]
    assert signed_area(disc) == pytest.approx(25.0 * pi, abs=1e-6)
    assert polygon(disc, 0.0001).area == pytest.approx(25.0 * pi, abs=2e-3)
    assert polygon(disc, 0.01).area < 25.0 * pi


def test_area_turns_negative_clockwise_and_ignores_where_the_piece_lies() -> None:
    piece = bodice()
    area = signed_area(piece)
    ring = np.concatenate([np.array(dense(p, 4000).coords)[:-1] for p in piece])
    assert abs(area) == pytest.approx(shapely.Polygon(ring).area, abs=1e-4)
    assert signed_area([p.reversed() for p in reversed(piece)]) == pytest.approx(-area, abs=1e-9)
    moved = [p.transformed(Motion.rotation(33.0, (500, -200))) for p in piece]
    assert signed_area(moved) == pytest.approx(area, abs=1e-8)


def test_a_sound_outline_has_no_crossing() -> None:
    assert self_crossing(rectangle(30, 20)) == []
    assert self_crossing(bodice()) == []
    assert self_crossing([Path.arc((0, 0), 9, 10, 360)]) == []


@pytest.mark.parametrize("turn", range(4))
@pytest.mark.parametrize(
    "handle", [(0.5, 5.6), (1.9, 13.8), (-0.3, 14.8), (-1.7, 1.7), (0.0, 5.0), (1.0, 17.1)]
)
def test_a_handle_folded_into_a_corner_makes_no_crossing(
    handle: tuple[float, float], turn: int
) -> None:
    """The curve lies between x = -2 and 2 and runs down to y = 0: it meets the edge only there."""
    piece = rectangle(30, 40)
    piece[3] = Path.cubic((0, 40), handle, (0, 0), (0, 0))
    assert polygon(piece, 0.0001).is_valid
    assert self_crossing(piece[turn:] + piece[:turn]) == []
    other = [p.reversed() for p in reversed(piece)]
    assert self_crossing(other[turn:] + other[:turn]) == []


@pytest.mark.parametrize("turn", range(5))
@pytest.mark.parametrize("past", [0.01, 0.0001])
def test_an_edge_that_runs_past_its_corner_and_back_is_caught(past: float, turn: int) -> None:
    """From (0, 40) to (past, -past) and back to (0, 0): through y = 0 at 40 past / (40 + past)."""
    tip = (past, -past)
    piece = [*rectangle(30, 40)[:3], Path.line((0, 40), tip), Path.line(tip, (0, 0))]
    (point,) = self_crossing(piece[turn:] + piece[:turn])
    np.testing.assert_allclose(point, (40 * past / (40 + past), 0), atol=1e-9)


def test_a_bow_tie_crosses_in_the_middle() -> None:
    c = [(0, 0), (10, 10), (10, 0), (0, 10)]
    bow = [Path.line(c[i], c[(i + 1) % 4]) for i in range(4)]
    (point,) = self_crossing(bow)
    np.testing.assert_allclose(point, (5, 5), atol=1e-9)


def test_a_curve_that_bulges_through_the_far_edge_is_caught_twice() -> None:
    piece = rectangle(20, 6)
    piece[0] = Path.cubic((0, 0), (5, 12), (15, 12), (20, 0))
    points = self_crossing(piece)
    outside = shapely.intersection(dense(piece[0], 20000), shapely.LineString([(20, 6), (0, 6)]))
    expected = sorted((g.x, g.y) for g in outside.geoms)
    np.testing.assert_allclose(sorted(p.tolist() for p in points), expected, atol=1e-5)


def test_a_rectangle_grows_by_each_edges_own_distance() -> None:
    for piece in (rectangle(30, 20), [p.reversed() for p in reversed(rectangle(30, 20))]):
        levels = [1.0, 2.0, 0.0, 4.0] if signed_area(piece) > 0 else [4.0, 0.0, 2.0, 1.0]
        grown = offset_outline(piece, levels)
        assert polygon(grown).bounds == pytest.approx((-4.0, -1.0, 32.0, 20.0), abs=1e-9)
        assert abs(signed_area(grown)) == pytest.approx(36.0 * 21.0, abs=1e-9)


def test_even_allowance_agrees_with_a_mitred_buffer() -> None:
    piece = bodice()
    grown = polygon(offset_outline(piece, [1.2] * 5), 0.001)
    ring = np.concatenate([np.array(dense(p, 2000).coords)[:-1] for p in piece])
    outside = shapely.Polygon(ring).buffer(1.2, join_style="mitre", mitre_limit=4.0)
    assert grown.is_valid
    assert shapely.hausdorff_distance(grown.exterior, outside.exterior) < 0.02
    assert grown.area == pytest.approx(outside.area, abs=0.1)


def test_an_inward_corner_is_cut_where_the_allowances_cross() -> None:
    c = [(0, 0), (20, 0), (20, 8), (8, 8), (8, 20), (0, 20)]
    piece = [Path.line(c[i], c[(i + 1) % 6]) for i in range(6)]
    grown = offset_outline(piece, [1, 1, 2, 3, 1, 1])
    np.testing.assert_allclose(grown[2].end, (11, 10), atol=1e-9)
    np.testing.assert_allclose(grown[3].start, (11, 10), atol=1e-9)


def test_bad_outlines_are_refused_in_a_sentence() -> None:
    piece = rectangle(5, 5)
    for make, words in (
        (lambda: polygon(piece[:3]), "must close"),
        (lambda: polygon([]), "at least one"),
        (lambda: offset_outline(piece, [1.0]), "as many distances"),
        (lambda: offset_outline(piece, [1.0, 1.0, -1.0, 1.0]), "0 cm or more"),
    ):
        with pytest.raises(GeometryError, match=words):
            make()
