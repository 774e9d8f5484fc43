"""Pieces from photographs made up: a known piece, a known square, a known perspective."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from pinwright.bringin.bringing import bring_in
from pinwright.bringin.homography import applied, homography
from pinwright.errors import OrderError
from tests.bringin.scene import Array, camera, photograph, seen, skirt_outline, square

LENGTHS = [30, 40, 22, 4 * np.pi, 32]
AREA = 1200 - 16 * np.pi


def taken(
    path: Path,
    aslant: float = 0.0,
    side: float = 10.0,
    at: tuple[float, float] = (12.0, 14.0),
    paper: int = 220,
    ground: int = 60,
    more: list[tuple[Array, int]] | None = None,
) -> Path:
    shapes = [(skirt_outline(), paper), (square(at, side, 7.0), 15), *(more or [])]
    return photograph(path, camera(aslant), shapes, ground)


@pytest.mark.parametrize(
    ("aslant", "side", "at", "paper", "ground"),
    [
        (0.0, 10.0, (12.0, 14.0), 220, 60),
        (0.15, 10.0, (12.0, 14.0), 220, 60),
        (0.15, 10.0, (32.0, 14.0), 150, 230),  # beside the paper, on a light table
        (0.3, 15.0, (10.0, 10.0), 120, 235),  # dark card on a light table, quite aslant
    ],
)
def test_lengths_come_within_a_millimetre(
    tmp_path: Path, aslant: float, side: float, at: tuple[float, float], paper: int, ground: int
) -> None:
    path = taken(tmp_path / "p.png", aslant, side, at, paper, ground)
    brought = bring_in(path, square_cm=side)
    (outline,) = brought.outlines
    lengths = [p.length for p in outline.paths]
    # the corner numbered 1 is the lower left one, wherever the square lies
    assert lengths == pytest.approx(LENGTHS, abs=0.1)
    assert outline.area == pytest.approx(AREA, rel=0.005)
    assert outline.fit < 0.05
    calibration = brought.calibration
    assert calibration is not None
    # the corners of the square against where the camera put them
    want = seen(camera(aslant), square(at, side, 7.0))
    for corner in calibration.corners:
        assert np.hypot(*(want - corner).T).min() < 0.2
    assert calibration.residual < 0.02
    tilt = max(
        max(a / b, b / a)
        for a, b in (
            (np.hypot(*(want[1] - want[0])), np.hypot(*(want[3] - want[2]))),
            (np.hypot(*(want[2] - want[1])), np.hypot(*(want[0] - want[3]))),
        )
    )
    assert max(calibration.opposite) == pytest.approx(tilt, abs=0.003)


def test_corners_pointed_at_by_hand_serve_in_any_order(tmp_path: Path) -> None:
    path = taken(tmp_path / "p.png", 0.15)
    want = seen(camera(0.15), square((12.0, 14.0), 10.0, 7.0))
    given = [tuple(want[i]) for i in (2, 0, 3, 1)]
    # round it means in any order: they are put in order by the angle about their middle
    brought = bring_in(path, square_cm=10.0, corners=given)
    (outline,) = brought.outlines
    assert [p.length for p in outline.paths] == pytest.approx(LENGTHS, abs=0.1)
    assert brought.calibration is not None
    assert not brought.calibration.found
    said = " ".join(brought.remarks)
    assert "as given" in said
    # a corner a pixel out at either end of 10 cm: told, and more than for a square that was found
    found = bring_in(path, square_cm=10.0)
    pixels = seen(camera(0.15), skirt_outline())
    assert found.calibration is not None
    assert brought.calibration.uncertainty(pixels) > 3 * found.calibration.uncertainty(pixels)


def test_what_a_pixel_of_a_corner_does_is_told_rightly(tmp_path: Path) -> None:
    """The uncertainty told against lengths found with corners moved by chance."""
    matrix = camera(0.15)
    want = seen(matrix, square((12.0, 14.0), 10.0, 7.0))
    path = taken(tmp_path / "p.png", 0.15)
    calibration = bring_in(path, square_cm=10.0, corners=[tuple(c) for c in want]).calibration
    assert calibration is not None
    ends = np.array([[0.0, 0.0], [30.0, 40.0]])
    pixels = seen(matrix, ends)
    rng = np.random.default_rng(2)
    plane = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
    lengths = []
    for _ in range(800):
        moved = calibration.corners + rng.normal(0, calibration.corner_error, (4, 2))
        there = applied(homography(moved, plane), pixels)
        lengths.append(np.hypot(*(there[1] - there[0])))
    assert calibration.uncertainty(pixels) == pytest.approx(np.std(lengths), rel=0.15)
    assert np.mean(lengths) == pytest.approx(50.0, abs=0.15)


def test_a_homography_is_recovered_from_four_points() -> None:
    matrix = camera(0.4)
    plane = np.array([[0, 0], [30, 2], [28, 33], [1, 40]], dtype=float)
    found = homography(seen(matrix, plane), plane)
    other = np.array([[5.0, 7.0], [60.0, -20.0], [12.0, 80.0]])
    assert np.abs(applied(found, seen(matrix, other)) - other).max() < 1e-6


def test_two_papers_are_two_outlines_the_larger_first(tmp_path: Path) -> None:
    card = square((40.0, 5.0), 12.0, 10.0)
    path = taken(tmp_path / "p.png", more=[(card, 200)])
    large, small = bring_in(path, square_cm=10.0).outlines
    assert large.area == pytest.approx(AREA, rel=0.005)
    assert small.area == pytest.approx(144.0, rel=0.005)
    assert [p.length for p in small.paths] == pytest.approx([12.0] * 4, abs=0.1)


def test_bad_pictures_are_refused_in_a_sentence(tmp_path: Path) -> None:
    matrix = camera()
    paper = (skirt_outline(), 220)
    bare = photograph(tmp_path / "bare.png", matrix, [paper])
    with pytest.raises(OrderError, match="No dark square was found"):
        bring_in(bare, square_cm=10.0)
    with pytest.raises(
        OrderError, match="give the side of the known square in it with --square, in cm"
    ):
        bring_in(bare)
    with pytest.raises(OrderError, match="side is -1 cm; it must be more than 0"):
        bring_in(bare, square_cm=-1.0)
    with pytest.raises(OrderError, match="four corners; 3 were given"):
        bring_in(bare, square_cm=10.0, corners=[(0, 0), (100, 0), (100, 100)])
    with pytest.raises(OrderError, match="opposite sides are in the ratio"):
        bring_in(bare, square_cm=10.0, corners=[(0, 0), (200, 0), (120, 100), (80, 100)])
    with pytest.raises(OrderError, match="shortest side is 20 pixels; 40 are needed"):
        bring_in(bare, square_cm=10.0, corners=[(0, 0), (20, 0), (20, 20), (0, 20)])
    two = taken(tmp_path / "two.png", more=[(square((2.0, 20.0), 8.0), 15)])
    with pytest.raises(OrderError, match="2 dark squares were found"):
        bring_in(two, square_cm=10.0)
    off = photograph(
        tmp_path / "off.png",
        matrix,
        [(skirt_outline() * 2.5 + [-10, -10], 220), (square((12.0, 14.0)), 15)],
    )
    with pytest.raises(OrderError, match="runs out of the picture"):
        bring_in(off, square_cm=10.0)
    (tmp_path / "x.png").write_bytes(b"no picture")
    with pytest.raises(OrderError, match="cannot be read as a picture"):
        bring_in(tmp_path / "x.png", square_cm=10.0)
    with pytest.raises(OrderError, match="There is no file"):
        bring_in(tmp_path / "none.png", square_cm=10.0)


def test_a_round_blot_is_no_square(tmp_path: Path) -> None:
    a = np.linspace(0, 2 * np.pi, 100)
    blot = np.stack([15 + 5 * np.cos(a), 18 + 5 * np.sin(a)], axis=1)
    path = photograph(tmp_path / "p.png", camera(), [(skirt_outline(), 220), (blot, 15)])
    with pytest.raises(OrderError, match="No dark square was found"):
        bring_in(path, square_cm=10.0)
