"""An edge on the fold is drawn as a fold and as nothing else: never as cut, never as sewn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.cutting.cloth import cloth_as_cut
from pinwright.cutting.cuts import cuts
from pinwright.cutting.material import Material
from pinwright.geometry import curves
from pinwright.pattern.piece import Piece
from pinwright.sheets.changes import regions
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.folds import off_line
from pinwright.sheets.ink import DASH_DOT, Drawing, Stroke
from pinwright.sheets.lay_inner import inner_drawings
from pinwright.sheets.picture import picture
from pinwright.sheets.recut import piece_drawing
from tests.sheets.orders import fitted, pieces

EVERY = [
    d for name in ("trousers", "jacket") for c in (False, True) for d in pieces(name, c)
]  # fmt: skip
FOLDED = [d for d in EVERY if d.piece.cut == "fold"]


def ink(drawing: Drawing, *roles: str) -> shapely.Geometry:
    """The lines of some roles."""
    return shapely.union_all(
        [
            shapely.LineString(curves.flatten(c, 0.001) if c.ndim == 3 else c)
            for m in drawing
            if isinstance(m, Stroke) and m.role in roles
            for c in (*m.chains, *([closing(m)] if m.closed else []))
        ]
    )


def closing(m: Stroke) -> np.ndarray:
    first, last = m.chains[0].reshape(-1, 2)[0], m.chains[-1].reshape(-1, 2)[-1]
    return np.stack([last, first])


def on_the_fold(d: Drawn) -> shapely.Geometry:
    """Points along the fold as it is drawn, but for its ends, which other lines meet."""
    e = d.piece.edge(d.piece.fold or "")
    s = np.linspace(0.1, 0.9, 33)[:, None]
    return shapely.points((e.first + s * (e.last - e.first)) * [-1.0 if d.mirror else 1.0, 1.0])


def named(d: Drawn) -> str:
    return d.title


@pytest.mark.parametrize("d", FOLDED, ids=named)
def test_no_cut_or_net_line_runs_along_the_fold(d: Drawn) -> None:
    drawing = picture(d)
    for role in ("cut line", "net line"):
        assert shapely.distance(on_the_fold(d), ink(drawing, role)).min() > 0.2, role
    # what is left out of the cut line is drawn as the fold, through the allowances too
    assert shapely.distance(on_the_fold(d), ink(drawing, "fold edge")).max() < 1e-6
    cut, fold = ink(drawing, "cut line"), ink(drawing, "fold edge")
    ring = shapely.LinearRing(d.cut_line)
    assert cut.length + fold.length == pytest.approx(ring.length, abs=0.01)
    (edge,) = [m for m in drawing if isinstance(m, Stroke) and m.role == "fold edge"]
    assert edge.dash == DASH_DOT


@pytest.mark.parametrize("d", [d for d in EVERY if d.piece.cut != "fold"], ids=named)
def test_without_a_fold_both_lines_go_all_round(d: Drawn) -> None:
    drawing = picture(d)
    assert ink(drawing, "cut line").length == pytest.approx(shapely.LinearRing(d.cut_line).length)
    assert not [m for m in drawing if m.role == "fold edge"]


def test_the_recut_sheet_sews_nothing_on_the_fold() -> None:
    """Of the halves of the back whose side was let out: old and new line, and the cloth."""
    halves = [d for d in pieces("jacket") if d.piece.name == "back"]
    assert [d.side for d in halves] == ["right", "left"]
    for d in halves:
        assert d.before is not None
        d = replace(d, cloth=cloth_as_cut(d.before))
        drawing = piece_drawing(d, regions(d))
        weights = {m.weight for m in drawing if isinstance(m, Stroke) and m.role == "net line"}
        assert len(weights) == 2
        for role in ("net line", "cloth"):
            assert shapely.distance(on_the_fold(d), ink(drawing, role)).min() > 0.2, role
        assert shapely.distance(on_the_fold(d), ink(drawing, "fold edge")).max() < 1e-6


def test_a_piece_opened_out_on_the_lay_is_not_sewn_down_its_middle() -> None:
    own = dict(fitted("jacket").right.by_name)
    backs: dict[str, Piece] = {"back": own["back"]}
    (back,) = cuts(backs, backs, "jacket", Material(width=150.0))
    drawing = inner_drawings([back], {})[back.template.key]
    a, b = (back.parts[0].point(p) for p in ends_of_fold(own["back"]))
    middle = shapely.points(a + np.linspace(0.1, 0.9, 33)[:, None] * (b - a))
    assert shapely.distance(middle, ink(drawing, "net line")).min() > 0.2
    assert shapely.distance(middle, ink(drawing, "balance")).max() < 1e-6


def ends_of_fold(piece: Piece) -> tuple[str, str]:
    e = piece.edge(piece.fold or "")
    return f"{e.name}:{e.start}", f"{e.name}:{e.end}"


def test_a_fold_is_left_out_wherever_the_outline_begins() -> None:
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    line = np.array([[0.0, -2.0], [0.0, 6.0]])
    for k in range(4):
        turned = np.roll(square, k, axis=0)
        for ring in (turned, np.concatenate([turned, turned[:1]])):
            (only,) = off_line(ring, line, 1e-6)
            assert np.array_equal(only, [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    (whole,) = off_line(square, line - 5.0, 1e-6)
    assert len(whole) == 5
