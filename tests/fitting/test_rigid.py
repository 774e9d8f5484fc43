"""Truing, darts and movements along normals do not care how the draft lies on the paper.

Corrections of levels and upright seams do: their up is the grain's, as the pieces are drawn.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.geometry.motion import Motion
from pinwright.pattern.piece import Edge, Piece
from tests.fitting.drafts import ordinary

NORMAL = [
    Correction("let_out", "shoulder_seam", "both", {"amount": 0.6}),
    Correction("bust_dart_intake", "bust_dart", "both", {"amount": 0.8}),
]


def turned(piece: Piece, move: Motion) -> Piece:
    return replace(
        piece,
        edges=tuple(
            replace(e, runs=tuple(r.transformed(move) for r in e.runs)) for e in piece.edges
        ),
        darts=tuple(replace(d, apex=move.apply(d.apex)) for d in piece.darts),
        lines=tuple(replace(x, path=x.path.transformed(move)) for x in piece.lines),
        marks=tuple(replace(m, at=move.apply(m.at)) for m in piece.marks),
        grain=move.apply(piece.grain),
    )


@pytest.mark.parametrize("angle", [0.0, 33.0, 180.0, -71.5])
def test_turning_the_body_pieces_turns_the_result(angle: float) -> None:
    """Front and back turned and shifted; the sleeve and collar, which have rules of their own
    for what is width and what is length, stay as drawn."""
    garment = ordinary("dart")
    move = Motion.translation(np.array([31.0, -12.0])) @ Motion.rotation(angle, np.zeros(2))
    pieces = tuple(turned(p, move) if p.name in ("front", "back") else p for p in garment.pieces)
    a, b = fit(garment, NORMAL), fit(replace(garment, pieces=pieces), NORMAL)
    assert not a.refused
    assert not b.refused
    for name in ("front", "back", "sleeve"):
        rows = garment.layout.piece_spans[name]
        want = move.apply(a.right.ctrl[rows]) if name != "sleeve" else a.right.ctrl[rows]
        assert np.abs(want - b.right.ctrl[rows]).max() < 1e-6


def split_more(e: Edge, rng: np.random.Generator) -> Edge:
    """The same edge with one more joint somewhere, the curve itself unchanged."""
    run = int(rng.integers(len(e.runs)))
    path = e.runs[run]
    s = float(rng.uniform(0.25, 0.75)) * path.length
    before, after = path.split(s)
    joined = before + after
    count = before.spans
    stations = {k: (r, c + 1 if r == run and c >= count else c) for k, (r, c) in e.stations.items()}
    runs = tuple(joined if i == run else x for i, x in enumerate(e.runs))
    return replace(e, runs=runs, stations=stations)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("variant", ["dart", "trousers"])
def test_splitting_edges_changes_no_result(variant: str, seed: int) -> None:
    """More joints on the same curves: lengths given by truing agree, curves to 0.1 mm.

    The run beside a dart's mouth may differ by 0.5 mm: there the mouth is shifted along its leg,
    and the last span alone takes that up.
    """
    rng = np.random.default_rng(seed)
    garment = ordinary(variant)
    pieces = tuple(
        replace(p, edges=tuple(split_more(e, rng) if rng.random() < 0.5 else e for e in p.edges))
        for p in garment.pieces
    )
    finer = replace(garment, pieces=pieces)
    case = [Correction("let_out", "side_seam", "both", {"amount": 1.0})]
    a, b = fit(garment, case), fit(finer, case)
    assert not a.refused
    assert not b.refused
    for p in a.right.pieces:
        other = b.right.piece(p.name)
        for e in p.edges:
            assert abs(e.length - other.edge(e.name).length) < 0.01, (p.name, e.name)
            for run, same in zip(e.runs, other.edge(e.name).runs, strict=True):
                near = 0.05 if e.darts else 0.01
                for s in np.linspace(0.02, 0.98, 9) * run.length:
                    assert same.nearest(run.at(s))[1] < near, (p.name, e.name)
