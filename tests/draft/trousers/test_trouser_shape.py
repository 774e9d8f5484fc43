"""Curves as a good hand draws them, levels where the body has them, pieces as agreed."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Array

from .bodies import body, trousers
from .remeasure import line, point, women_sample


def turns(run: Array) -> int:
    """Inflections, from the turning of a dense polyline (radii over 20 m count as straight)."""
    u = np.linspace(0.0, 1.0, 25)[:-1]
    pts = np.concatenate([point(c, u) for c in run] + [run[-1, 3][None]])
    step = np.diff(pts, axis=0)
    cross = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    size = np.hypot(*step.T)
    bend = cross / (size[:-1] * size[1:] * 0.5 * (size[:-1] + size[1:]))
    sides = np.sign(bend[np.abs(bend) > 5e-4])
    return int(np.count_nonzero(sides[1:] != sides[:-1]))


def drafts() -> list[Garment]:
    return [
        trousers(complete(read_record(w)), fit=fit)
        for w in women_sample(26)
        for fit in ("slim", "regular", "loose")
    ]


@pytest.fixture(scope="module")
def many() -> list[Garment]:
    return drafts()


def test_no_more_inflections_than_the_shape_needs(many: list[Garment]) -> None:
    most = {"centre": 0, "seat": 0, "inseam": 1, "hem": 0, "side": 2, "waist": 1}
    for garment in many:
        for name in ("front", "back"):
            for edge in garment.piece(name).edges:
                for run in edge.runs:
                    assert turns(run.ctrl) <= most[edge.name], (name, edge.name)


def test_edges_have_no_kinks_inside(many: list[Garment]) -> None:
    for garment in many:
        for name in ("front", "back"):
            for edge in garment.piece(name).edges:
                for run in edge.runs:
                    out = run.ctrl[:-1, 3] - run.ctrl[:-1, 2]
                    into = run.ctrl[1:, 1] - run.ctrl[1:, 0]
                    cross = out[:, 0] * into[:, 1] - out[:, 1] * into[:, 0]
                    sine = cross / np.hypot(*out.T) / np.hypot(*into.T)
                    assert np.abs(sine).max(initial=0.0) < 1e-6, (name, edge.name)


def test_crotch_curve_stays_clear_of_the_crotch_level(many: list[Garment]) -> None:
    for garment in many:
        level = garment.facts["crotch_level"]
        front = garment.piece("front")
        lowest = line(front.edge("centre").runs[0].ctrl).bounds[1]
        assert lowest == pytest.approx(level, abs=1e-9)  # the fork itself, nothing deeper
        back = garment.piece("back")
        fork_y = float(back.point("fork")[1])
        assert line(back.edge("seat").runs[0].ctrl).bounds[1] == pytest.approx(fork_y, abs=1e-9)
        assert 0.0 < level - fork_y < 2.5


def test_crease_is_upright_on_grain_in_the_middle_of_knee_and_hem(many: list[Garment]) -> None:
    for garment in many:
        for name in ("front", "back"):
            piece = garment.piece(name)
            crease = piece.line("crease").path
            assert crease.start[0] == crease.end[0] == 0.0
            assert piece.grain[0, 0] == piece.grain[1, 0] == 0.0
            for a, b in (("hem_in", "hem_side"), ("inseam:knee", "side:knee")):
                assert piece.point(a)[0] + piece.point(b)[0] == pytest.approx(0.0, abs=1e-9)


def test_hem_is_level_and_square_to_the_seams() -> None:
    garment = trousers(body(), hem="turn-up", turn_up=4.0)
    for name in ("front", "back"):
        piece = garment.piece(name)
        heights = [float(piece.point(p)[1]) for p in ("hem_in", "crease", "hem_side")]
        assert heights == [1.5, 1.5, 1.5]  # the default, above the floor
        side = piece.edge("side").runs[0].ctrl[0]
        assert side[0, 0] == pytest.approx(side[1, 0], abs=1e-12)
        folds = [float(x.path.start[1]) for x in piece.lines if x.kind == "fold"]
        assert folds == [1.5 - 4.0, 1.5 - 8.0]
        assert piece.edge("hem").allowance == 9.0  # twice the depth and 1 to sew


def test_heels_lengthen_the_leg() -> None:
    flat, raised = trousers(body()), trousers(body(heel_height=6.0))
    for name in ("front", "back"):
        drop = flat.piece(name).point("hem_side")[1] - raised.piece(name).point("hem_side")[1]
        assert drop == pytest.approx(6.0)


def test_reserves_are_common_practice() -> None:
    garment = trousers(body())
    front, back = garment.piece("front"), garment.piece("back")
    assert [front.edge(e).reserve for e in ("side", "inseam", "centre", "hem")] == [1, 0, 0, 5]
    assert [back.edge(e).reserve for e in ("side", "inseam", "seat", "hem")] == [2, 1, 3, 5]


def test_stations_and_lines_of_the_contract() -> None:
    garment = trousers(body())
    front, back = garment.piece("front"), garment.piece("back")
    assert [e.name for e in front.edges] == ["centre", "inseam", "hem", "side", "waist"]
    assert [e.name for e in back.edges] == ["seat", "inseam", "hem", "side", "waist"]
    assert set(front.edge("centre").stations) == {"hip", "fly_end"}
    assert set(back.edge("seat").stations) == {"hip"}
    for piece in (front, back):
        assert set(piece.edge("side").stations) == {"knee", "crotch", "hip"}
        assert set(piece.edge("inseam").stations) == {"thigh", "knee"}
        assert {"hip", "crotch", "knee", "crease"} <= {x.name for x in piece.lines}
    assert set(garment.piece("band").edge("seam").stations) == {"side"}
    assert garment.seam("side").anchor == "hip"
    assert garment.seam("inseam").anchor == "knee"


def test_balance_lines_run_level_between_their_stations() -> None:
    garment = trousers(body())
    ends = {
        "front": {"hip": "centre:hip", "knee": "inseam:knee"},
        "back": {"hip": "seat:hip", "knee": "inseam:knee"},
    }
    for name, inner in ends.items():
        piece = garment.piece(name)
        for level, start in inner.items():
            path = piece.line(level).path
            assert np.abs(path.start - piece.point(start)).max() < 1e-9
            assert np.abs(path.end - piece.point(f"side:{level}")).max() < 1e-9
            assert path.start[1] == pytest.approx(path.end[1], abs=1e-9)
