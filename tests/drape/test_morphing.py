"""A shell made over to corrected pieces, and carried from coarse to fine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.drape.data import Shell, Side
from pinwright.drape.meshing import shell_of
from pinwright.drape.morphing import morphed
from pinwright.drape.refining import prolongation
from pinwright.drape.triangulating import least_angles
from pinwright.fitting.correction import Correction, Sides
from pinwright.fitting.ledger import Fitted, fit
from pinwright.geometry.path import Path
from pinwright.measures import complete, read_record
from pinwright.pattern.piece import Edge
from pinwright.workshop.trials import drafted
from tests.drape import sewn
from tests.fitting.drafts import ORDINARY

CORRECTIONS: tuple[tuple[str, str, str, float, dict[str, object], Sides], ...] = (
    ("trousers", "let_out", "side_seam", 1.5, {}, "right"),
    ("trousers", "fork_extension", "back_fork", 1.0, {}, "right"),
    ("trousers", "seat_wedge", "seat", 2.0, {}, "both"),
    ("yoke", "shoulder_slope", "shoulder", 1.0, {}, "left"),
    ("dart", "bust_dart_intake", "bust_dart", 1.0, {}, "right"),
    ("dart", "armhole_depth", "armhole", 1.0, {}, "right"),
)


def facts(f: Fitted) -> dict[Side, dict[str, float]]:
    return {"right": dict(f.right.facts), "left": dict(f.left.facts)}


def area(s: Shell, i: int) -> float:
    r = s.rest[s.panel == i]
    u, v = r[:, 1] - r[:, 0], r[:, 2] - r[:, 0]
    return float(0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]).sum())


@pytest.mark.parametrize("variant", ["trousers", "yoke", "dart"])
def test_nothing_corrected_moves_nothing(variant: str) -> None:
    s, g = sewn.shell(variant, 1.25), sewn.draft(variant)
    same = morphed(s, g, sewn.pieces_of(g), sewn.pieces_of(g))
    assert same is not None
    assert np.array_equal(same.rest, s.rest)


@pytest.mark.parametrize(("variant", "kind", "place", "amount", "options", "side"), CORRECTIONS)
def test_a_correction_is_followed_on_the_same_triangles(
    variant: str, kind: str, place: str, amount: float, options: dict[str, object], side: Sides
) -> None:
    """Areas are the corrected outline's (shapely); what is sewn together is as long as there."""
    s, g = sewn.shell(variant, 1.25), sewn.draft(variant)
    f = fit(g, (Correction(kind, place, side, {"amount": amount}, options),))
    assert not f.refused
    now = morphed(s, g, f.right.by_name, f.left.by_name, facts(f))
    assert now is not None
    assert now.triangles is s.triangles
    moved = 0.0
    for i, panel in enumerate(now.panels):
        piece = (f.right if panel.side == "right" else f.left).piece(panel.piece)
        cloth = sewn.net_polygon(piece)
        if any(m.kind == "button" for m in piece.marks):
            cloth = cloth.intersection(shapely.box(0.0, -500.0, 500.0, 500.0))
        assert area(now, i) == pytest.approx(cloth.area, rel=2e-3)
        moved = max(moved, float(np.abs(panel.points - s.panels[i].points).max()))
        angles = least_angles(panel.points, panel.triangles)
        assert (angles > least_angles(s.panels[i].points, panel.triangles) / 3.0).all()
    assert moved > 0.4 * abs(amount)
    fresh = shell_of(g, f.right.by_name, f.left.by_name, 1.25, facts(f))
    for name, edges in ((p.name, p.edges) for p in now.panels):
        other = next(p for p in fresh.panels if p.name == name)
        mine = next(p for p in now.panels if p.name == name)
        for e, runs in edges.items():
            for ids, made in zip(runs, other.edges[e], strict=True):
                assert sewn.run_length(mine.points[ids]) == pytest.approx(
                    sewn.run_length(other.points[made]), rel=2e-3
                )


def test_the_side_that_is_not_corrected_stays() -> None:
    s, g = sewn.shell("trousers", 1.25), sewn.draft("trousers")
    f = fit(g, (Correction("let_out", "side_seam", "right", {"amount": 1.0}),))
    now = morphed(s, g, f.right.by_name, f.left.by_name)
    assert now is not None
    for panel, before in zip(now.panels, s.panels, strict=True):
        same = np.array_equal(panel.points, before.points)
        assert same == (panel.side == "left"), panel.name


def test_another_meeting_of_seams_is_made_anew() -> None:
    """A sleeve turned beyond a third of a side has its seam elsewhere along the armhole."""
    s, g = sewn.shell("yoke", 1.25), sewn.draft("yoke")
    turned: dict[Side, dict[str, float]] = {"right": {"sleeve_pitch": 1.0}, "left": {}}
    pieces = sewn.pieces_of(g)
    assert morphed(s, g, pieces, pieces, turned) is None


def test_a_dart_more_is_made_anew() -> None:
    s, g = sewn.shell("trousers", 2.5), sewn.draft("trousers")
    plain = drafted("trousers", complete(read_record(ORDINARY), ["trousers"]), {"waist": "eased"})
    assert morphed(s, g, sewn.pieces_of(plain), sewn.pieces_of(plain)) is None


def test_a_piece_turned_inside_out_is_made_anew() -> None:
    """A hem drawn above the knee line: the triangles between would turn over."""
    s, g = sewn.shell("trousers", 2.5), sewn.draft("trousers")
    f = fit(g, (Correction("hem", "trouser_hem", "both", {"amount": -2.0}),))
    assert morphed(s, g, f.right.by_name, f.left.by_name) is not None
    squeezed = {
        name: replace(p, edges=tuple(_squeezed(e) for e in p.edges)) if p.name != "band" else p
        for name, p in sewn.pieces_of(g).items()
    }
    assert morphed(s, g, squeezed, squeezed) is None


def _squeezed(e: Edge) -> Edge:
    """The edge in a drawing made a twentieth as wide."""
    return replace(e, runs=tuple(Path(run.ctrl * np.array([0.05, 1.0])) for run in e.runs))


@pytest.mark.parametrize("variant", ["trousers", "yoke"])
def test_prolongation_keeps_what_is_linear_on_a_panel(variant: str) -> None:
    coarse, fine = sewn.shell(variant, 2.5), sewn.shell(variant, 0.8)
    p = prolongation(coarse, fine)
    assert p.shape == (fine.n, coarse.n)
    assert np.asarray(p.sum(axis=1)) == pytest.approx(1.0)
    copies = np.bincount(np.concatenate(fine.vertices), minlength=fine.n)
    for panel, ids in zip(fine.panels, fine.vertices, strict=True):
        under, numbers = coarse.at(panel.piece, panel.side)
        values = np.full(coarse.n, 1e6)
        values[numbers] = under.points @ np.array([0.7, -1.3]) + 4.0
        # at a dart, or a sleeve's own seam, a vertex has two flat places
        own, often = np.unique(numbers, return_counts=True)
        twice = np.isin(np.arange(coarse.n), own[often > 1]).astype(float)
        alone = (copies[ids] == 1) & ((abs(p) @ twice)[ids] == 0.0)
        assert alone.sum() > 0.75 * len(ids)
        expected = panel.points[alone] @ np.array([0.7, -1.3]) + 4.0
        assert (p @ values)[ids[alone]] == pytest.approx(expected, abs=1e-9)


def test_prolongation_keeps_corners_where_they_are() -> None:
    """A vertex of both shells, sewn of several panels, takes the coarse one's place."""
    coarse, fine = sewn.shell("trousers", 2.5), sewn.shell("trousers", 1.25)
    p = prolongation(coarse, fine)
    sides: tuple[Side, Side] = ("right", "left")
    for side in sides:
        a, few = coarse.at("front", side)
        b, many = fine.at("front", side)
        for name in ("fork", "waist_side", "hem_in", "waist_centre"):
            row = p[[int(many[b.stations[name]])]].toarray()[0]
            assert row[int(few[a.stations[name]])] == pytest.approx(1.0, abs=1e-6), name
