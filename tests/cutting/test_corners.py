"""Kinds of corners against coordinates worked by hand, and folded cloth against shapely."""

from __future__ import annotations

import random
from functools import lru_cache

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pinwright.cutting.corners import acute, cornered
from pinwright.cutting.cutline import cut_line, net_polygon
from pinwright.cutting.habits import Kept, settled_garment
from pinwright.errors import GeometryError
from pinwright.fitting.ledger import fit
from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import CornerKind, Dart, Mouth, Piece, edge
from pinwright.workshop.trials import random_ledger
from tests.fitting.drafts import ordinary

GRAIN = np.array([[0.0, 0.0], [0.0, 1.0]])
KINDS: tuple[CornerKind, ...] = ("", "mitred", "square", "mirrored", "stepped")
T = np.sqrt(3.0)


def shape(points: list[tuple[float, float]], names: list[str], widths: list[float]) -> Piece:
    n = len(points)
    return Piece(
        "p",
        "p",
        tuple(
            edge(names[i], f"c{i}", Path.line(points[i], points[(i + 1) % n]), f"c{(i + 1) % n}",
                 allowance=widths[i])
            for i in range(n)
        ),
        GRAIN,
        cut="single",
    )  # fmt: skip


def underarm(angle: int, flip: bool = False) -> Piece:
    """A side seam of 1 cm along the x axis that ends at (20, 0) under an armhole of 1.5 cm.

    The armhole leaves at an interior angle of 60 or 120 degrees. Flipped, x is turned about and
    the armhole comes first.
    """
    top = (20.0 - 10.0, 10.0 * T) if angle == 60 else (20.0 + 10.0, 10.0 * T)
    points = [(0.0, 0.0), (20.0, 0.0), top, (0.0, 10.0 * T)]
    names, widths = ["side", "armhole", "top", "back"], [1.0, 1.5, 1.0, 1.0]
    if not flip:
        return cornered(shape(points, names, widths), {})
    turned = [(-x, y) for x, y in (points[1], points[0], points[3], points[2])]
    return shape(turned, ["side", "back", "top", "armhole"], [1.0, 1.0, 1.0, 1.5])


def at_corner(kind: CornerKind, angle: int, flip: bool = False) -> np.ndarray:
    p = cornered(underarm(angle, flip), {"c0" if flip else "c1": kind})
    ring = cut_line(p)
    return ring * [-1.0, 1.0] if flip else ring


def has(ring: np.ndarray, x: float, y: float) -> bool:
    return bool(np.hypot(*(ring - [x, y]).T).min() < 1e-6)


@pytest.mark.parametrize("flip", [False, True], ids=["side first", "armhole first"])
@pytest.mark.parametrize("angle", [60, 120])
def test_corners_by_hand(angle: int, flip: bool) -> None:
    """The armhole's parallel at 1.5 leaves the side's net line 1.5 / sin 60 = 1.732 beyond the
    corner; 1 cm above it lies 1 / tan 60 = 0.577 nearer (60 degrees) or further out (120)."""
    lean = -1.0 / T if angle == 60 else 1.0 / T
    square = at_corner("square", angle, flip)
    assert has(square, 20.0 + T, -1.0)
    assert has(square, 20.0 + T, 0.0)
    mirrored = at_corner("mirrored", angle, flip)
    assert has(mirrored, 20.0 + T + lean, -1.0)
    assert has(mirrored, 20.0 + T, 0.0)
    for ring in (at_corner("mitred", angle, flip), at_corner("", angle, flip)):
        assert has(ring, 20.0 + T - lean, -1.0)
        assert not has(ring, 20.0 + T, 0.0)


@pytest.mark.parametrize("angle", [60, 120])
def test_a_mirrored_allowance_lies_edge_to_edge_when_pressed_open(angle: int) -> None:
    cut = shapely.Polygon(at_corner("mirrored", angle))
    window = shapely.box(12.0, -1.0, 40.0, 0.0)
    turned = shapely.transform(cut.intersection(window), lambda p: p * [1.0, -1.0])
    under = cut.intersection(shapely.box(12.0, 0.0, 40.0, 1.0))
    assert turned.symmetric_difference(under).area < 1e-6
    # mitred, a point of the acute corner would stand out: twice 1 / tan 60 wide, 1 high, halved
    mitred = shapely.Polygon(at_corner("mitred", angle))
    over = shapely.transform(mitred.intersection(window), lambda p: p * [1.0, -1.0])
    want = 1.0 / T if angle == 60 else 0.0
    assert over.difference(mitred).area == pytest.approx(want, abs=1e-6)


def test_a_seam_below_a_yoke_lies_flat_when_it_is_mirrored() -> None:
    """The one acute corner of the jacket's body: turn the seam's allowance down at the armhole
    and see what stands out beyond the armhole's cut edge."""
    back = ordinary("yoke").piece("back")
    kinds = acute(back)
    assert kinds == {"yoke_arm": "mirrored"}
    e = back.edge("yoke")
    corner, t = e.first, e.runs[0].start_tangent
    out = np.array([t[1], -t[0]])

    def standing_out(piece: Piece) -> float:
        cut = shapely.Polygon(cut_line(piece))
        strip = shapely.Polygon(
            [
                corner + a * t + b * out
                for a, b in ((3.0, 0.0), (3.0, 2.0), (-9.0, 2.0), (-9.0, 0.0))
            ]
        )
        turn = np.eye(2) - 2.0 * np.outer(out, out)
        pressed = shapely.transform(
            cut.intersection(strip), lambda xy: (xy - corner) @ turn + corner
        )
        return float(pressed.difference(cut).area)

    # by hand: a mitre of 78.3 degrees leaves 2 / tan 78.3 = 0.414 at 1 cm, halved
    assert standing_out(back) == pytest.approx(0.207, abs=0.02)
    # the seam and the armhole bend a little within the strip
    assert standing_out(cornered(back, kinds)) < 0.01


def test_acute_corners_are_found_by_their_angle() -> None:
    assert acute(underarm(60)) == {"c1": "mirrored"}
    assert "c1" not in acute(underarm(60), 59.0)
    assert "c1" not in acute(underarm(120))
    bare = shape([(0, 0), (20, 0), (10, 10 * T), (0, 10 * T)], ["a", "b", "c", "d"], [0, 1, 1, 1.0])
    assert "c1" not in acute(bare)


def test_a_vent_steps_squarely() -> None:
    """By hand: 20 by 30, a vent of 4 cm beside its lowest 10 and 1 cm all round else."""
    names = ["low", "vent", "centre", "top", "left"]
    points = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (20.0, 30.0), (0.0, 30.0)]
    plain = shape(points, names, [1.0, 4.0, 1.0, 1.0, 1.0])
    want = shapely.union_all([shapely.box(-1, -1, 21, 31), shapely.box(20, -1, 24, 10)])
    for kind in ("", "stepped"):
        got = shapely.Polygon(cut_line(cornered(plain, {"c2": kind})))
        assert got.symmetric_difference(want).area < 1e-6


@pytest.mark.parametrize("lean", [2.0, -2.0])
def test_a_vent_steps_squarely_where_the_seam_turns(lean: float) -> None:
    points = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (20.0 - lean, 30.0), (0.0, 30.0)]
    p = shape(points, ["low", "vent", "centre", "top", "left"], [1.0, 4.0, 1.0, 1.0, 1.0])
    ring = cut_line(cornered(p, {"c2": "stepped"}))
    # square to the vent at its upper end, in as far as the seam's parallel: 1 / cos of the lean
    assert has(ring, 24.0, 10.0)
    assert has(ring, 20.0 + np.hypot(1.0, lean / 20.0), 10.0)


def test_a_kind_that_the_corner_does_not_allow_is_cut_by_rule() -> None:
    p = shape([(0, 0), (20, 0), (20, 10), (0, 10.0)], ["side", "armhole", "t", "l"], [0, 1, 1, 1.0])
    for kind in ("square", "mirrored"):  # no allowance to cut
        assert np.array_equal(cut_line(cornered(p, {"c1": kind})), cut_line(p))


def test_corners_are_named() -> None:
    p = underarm(60)
    assert cornered(p, {"c1": ""}) is p
    assert cornered(p, {"c1": "square"}).edge("side").corner == "square"
    with pytest.raises(GeometryError, match=r"no corner 'c9'\. It may be c0, c1"):
        cornered(p, {"c9": "square"})


@pytest.mark.parametrize("allowance", [1.0, 2.5, 4.0])
@pytest.mark.parametrize("slope", [0.0, 0.15, -0.2])
def test_a_folded_dart_ends_on_the_cut_edge_also_beyond_the_allowance(
    allowance: float, slope: float
) -> None:
    """The dart is folded in its leg: the cloth folded under ends where the cloth over it ends, all
    the way out to the cut edge."""
    apex = np.array([10.0, 10.0])
    right = np.array([11.0, 20.0])
    left = np.array([9.0, 20.0])
    far = np.array([0.0, 20.0 - 9.0 * slope])
    p = Piece(
        "p",
        "p",
        (
            edge("low", "a", Path.line((0.0, 0.0), (20.0, 0.0)), "b"),
            edge("right", "b", Path.line((20.0, 0.0), (20.0, 20.0)), "c"),
            edge(
                "top",
                *("c", Path.line((20.0, 20.0), right), Mouth("dart"), Path.line(left, far), "d"),
                allowance=allowance,
            ),
            edge("left", "d", Path.line(far, (0.0, 0.0)), "a"),
        ),
        GRAIN,
        cut="single",
        darts=(Dart("dart", "top", apex, "dart"),),
    )
    cut = shapely.Polygon(cut_line(p, 1e-4))

    def reflected(area: shapely.Geometry, along: np.ndarray) -> shapely.Geometry:
        u = along / np.hypot(*along)
        turn = 2.0 * np.outer(u, u) - np.eye(2)
        return shapely.transform(area, lambda xy: (xy - apex) @ turn + apex)

    leg, middle = left - apex, (left + right) / 2 - apex
    half = shapely.Polygon([apex, apex + 4 * leg, apex + 4 * middle])
    other = shapely.Polygon([apex, apex + 4 * middle, apex + 4 * (right - apex)])
    inner = cut.intersection(half)
    below = cut.intersection(reflected(half, leg))
    assert reflected(inner, leg).symmetric_difference(below).area < 1e-9
    if slope == 0.0:
        # both legs meet the seam at the same angle: the outer half repeats the inner one exactly
        assert reflected(cut.intersection(other), middle).symmetric_difference(inner).area < 1e-9


def star(radii: list[float], turns: list[float]) -> np.ndarray:
    n = len(radii)
    angles = 2 * np.pi * (np.arange(n) + np.array(turns[:n]) * 0.7) / n
    around = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return np.asarray(around * np.array(radii)[:, None])


NAMES = ["side", "armhole", "hem", "seat", "neck", "yoke", "inseam", "waist", "cap"]


@settings(max_examples=200, deadline=None)
@given(
    st.integers(4, 9).flatmap(
        lambda n: st.tuples(
            st.lists(st.floats(3.0, 30.0), min_size=n, max_size=n),
            st.lists(st.floats(0.0, 1.0), min_size=n, max_size=n),
            st.lists(st.sampled_from([0.0, 0.7, 1.0, 2.5, 4.0]), min_size=n, max_size=n),
            st.lists(st.sampled_from(KINDS), min_size=n, max_size=n),
            st.permutations(NAMES),
        )
    )
)
def test_rough_shapes_with_any_corners(
    drawn: tuple[list[float], list[float], list[float], list[CornerKind], list[str]],
) -> None:
    radii, turns, widths, kinds, names = drawn
    points = star(radii, turns)
    net = shapely.Polygon(points)
    if not net.is_valid or net.area < 1.0:
        return
    p = shape([(float(x), float(y)) for x, y in points], names[: len(points)], widths)
    p = cornered(p, {f"c{(i + 1) % len(points)}": k for i, k in enumerate(kinds)})
    cut = shapely.Polygon(cut_line(p))
    assert cut.is_valid
    assert cut.buffer(1e-7).covers(net)
    # no corner stands out further than twice the mitre
    assert net.buffer(5.0 * max(widths) * 1.001 + 1e-6).covers(cut)


@lru_cache
def garment(variant: str) -> Garment:
    return ordinary(variant)


RESERVES = ("side_seam", "seat_seam", "hem", "inseam", "shoulder", "cuff", "armhole", "neck")
ALLOWANCES = ("plain", "armhole", "neck", "waist", "hem", "cuff", "faced", "side_seam")


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["trousers", "yoke", "dart"]),
    st.integers(0, 10_000),
    st.dictionaries(st.sampled_from(RESERVES), st.sampled_from([0.0, 0.5, 2.0, 5.0])),
    st.dictionaries(st.sampled_from(ALLOWANCES), st.sampled_from([0.0, 0.7, 1.5, 4.0])),
)
def test_all_outlines_are_valid_after_any_ledger(
    variant: str, seed: int, reserve: dict[str, float], allowance: dict[str, float]
) -> None:
    rng = random.Random(seed)
    whole = settled_garment(garment(variant), Kept(reserve, allowance))
    fitted = fit(whole, random_ledger(whole, rng))
    for _, half in fitted.halves:
        for piece in half.pieces:
            asked = whole.piece(piece.name)
            for e in piece.edges:
                drawn = asked.edge(e.name)
                assert (e.allowance, e.reserve) == (drawn.allowance, drawn.reserve)
            piece = cornered(piece, {e.end: rng.choice(KINDS) for e in piece.edges})
            cut = shapely.Polygon(cut_line(piece))
            assert cut.is_valid, (piece.name, shapely.is_valid_reason(cut))
            assert cut.is_simple
            assert cut.buffer(1e-7).covers(net_polygon(piece, 0.005))
