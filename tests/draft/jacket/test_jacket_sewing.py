"""The jacket sews together as drafted, whatever is chosen."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from shapely.geometry import Polygon

from pinwright.draft.features.bust_dart import closing
from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment

from .sewing import BACKS, DARTS, EASES, derived, draft, kinks, outline, stretches


@pytest.fixture(
    scope="module", params=list(product(EASES, BACKS, DARTS)), ids=lambda p: "-".join(p)
)
def jacket(request: pytest.FixtureRequest) -> Garment:
    ease, back, dart = request.param
    return draft(ease=ease, back=back, bust_dart=dart, back_hem_drop=2.5)


def test_every_stretch_of_every_seam_has_its_planned_difference(jacket: Garment) -> None:
    for where, plan, difference in stretches(jacket):
        assert difference == pytest.approx(plan.planned, abs=2e-5), where
        assert plan.low <= plan.planned <= plan.high, where


def test_net_lines_run_smoothly_across_every_closed_seam(jacket: Garment) -> None:
    for where, kink in kinks(jacket):
        assert kink == pytest.approx(0.0, abs=1e-6), where


def test_dart_legs_are_equal_and_the_seam_runs_through_the_closed_dart(jacket: Garment) -> None:
    for piece in jacket.pieces:
        for dart in piece.darts:
            before, after = piece.mouth(dart.name)
            leg_a = float(np.hypot(*(before - dart.apex)))
            leg_b = float(np.hypot(*(after - dart.apex)))
            assert leg_a == pytest.approx(leg_b, abs=1e-9)
            turn = closing(piece, dart.name)
            e = piece.edge(dart.edge)
            i = e.darts.index(dart.name)
            assert turn.apply(after) == pytest.approx(before, abs=1e-9)
            onward = turn.direction(e.runs[i + 1].start_tangent)
            assert onward == pytest.approx(e.runs[i].end_tangent, abs=1e-9)


def test_no_outline_crosses_itself_and_edges_run_anticlockwise(jacket: Garment) -> None:
    for piece in (*jacket.pieces, *derived(jacket)):
        polygon = outline(piece)
        assert polygon.is_valid, piece.name
        assert Polygon(polygon.exterior).exterior.is_ccw, piece.name


def test_a_seam_check_catches_a_point_moved_by_15_hundredths() -> None:
    """The measuring above is no rubber stamp: a mutant draft fails it."""
    g = draft()
    front = g.piece("front")
    side = front.edge("side")
    ctrl = side.runs[0].ctrl.copy()
    ctrl[0, 0, 1] -= 0.15
    low = replace(side, runs=(Path(ctrl), *side.runs[1:]))
    hem = front.edge("hem")
    hem_ctrl = hem.runs[0].ctrl.copy()
    hem_ctrl[-1, 3, 1] -= 0.15
    bad = front.with_edges(
        tuple(
            {"side": low, "hem": replace(hem, runs=(Path(hem_ctrl),))}.get(e.name, e)
            for e in front.edges
        )
    )
    mutant = replace(g, pieces=tuple(bad if p.name == "front" else p for p in g.pieces))
    worst = {w: abs(d - p.planned) for w, p, d in stretches(mutant)}
    assert worst["side hem-hip"] > 0.1
    assert max(v for w, v in worst.items() if w != "side hem-hip") < 1e-4


def test_curves_have_no_more_inflections_than_their_shape_needs() -> None:
    """Armholes and necks turn one way; a cap turns there and back on each side: two inflections."""
    wanted = {("front", "armhole"): 0, ("back", "armhole"): 0, ("front", "neck"): 0}
    wanted |= {("back", "neck"): 0, ("sleeve", "cap"): 2, ("collar", "neck"): 0}
    g = draft()
    for (piece, name), count in wanted.items():
        pts = g.piece(piece).edge(name).runs[0].flatten(1e-4)
        step = np.diff(pts, axis=0)
        heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
        bend = np.diff(heading)
        # a turn back counts when it adds up to a tenth of a degree
        turns = np.sign(bend[np.abs(bend) > 1e-7])
        swings = np.split(bend[np.abs(bend) > 1e-7], np.flatnonzero(np.diff(turns)) + 1)
        real = [s for s in swings if abs(s.sum()) > np.radians(0.1)]
        assert len(real) - 1 == count, (piece, name)


def test_curvature_does_not_jump_inside_armhole_and_cap() -> None:
    """Inside a curve the radius may not change abruptly: under 0.03 per cm (radius 33 cm)."""
    for ease in EASES:
        g = draft(ease=ease)
        for piece, name in (("front", "armhole"), ("back", "armhole"), ("sleeve", "cap")):
            run = g.piece(piece).edge(name).runs[0]
            for s in run.cumulative[1:-1]:
                jump = run.curvature(s + 1e-4) - run.curvature(s - 1e-4)
                assert abs(jump) < 0.03, (ease, piece, name, s)
