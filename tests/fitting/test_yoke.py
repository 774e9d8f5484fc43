"""Correcting and then adding a yoke equals adding the yoke and then correcting, sewn closed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from pinwright.draft import style
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit, settle
from pinwright.measures import complete, read_record
from pinwright.pattern.piece import Array, Piece
from tests.fitting.drafts import ORDINARY

SAME = 0.01
"""0.1 mm. Splitting a drafted edge changes how its Hermite spans carry a profile by less."""

CASES = [
    Correction("let_out", "side_seam", "both", {"amount": 1.0}, form="next"),
    Correction(
        "let_out",
        "side_seam",
        "both",
        {"amount": -1.0},
        {"from": "waist", "to": "underarm", "shape": "taper"},
        form="next",
    ),
    Correction("bust_dart_intake", "bust_dart", "both", {"amount": 1.0}, form="next"),
    Correction("body_length", "body", "both", {"amount": 2.0}, {"at": "waist"}, form="next"),
    Correction("hem", "jacket_hem", "both", {"amount": 3.0}, form="next"),
]


def polyline(piece: Piece, edge: str) -> Array:
    return np.concatenate([r.flatten(0.002) for r in piece.edge(edge).runs])


def gap(a: Array, b: Array) -> float:
    """How far apart two curves are at most (Hausdorff), cm."""
    return float(shapely.hausdorff_distance(shapely.LineString(a), shapely.LineString(b), 0.02))


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.kind} {c.amount:+g}")
def test_correct_then_yoke_is_yoke_then_correct(case: Correction) -> None:
    body = complete(read_record(ORDINARY))
    jacket = style("jacket")
    choices = jacket.choose({"back": "yoke"})
    block = settle(jacket.block(body, choices))

    first = fit(block, [case])
    assert not first.refused
    corrected = replace(block, pieces=first.right.pieces)
    one = settle(jacket.finish(corrected, body, choices)).layout
    after = fit(settle(jacket.finish(block, body, choices)), [case])
    assert not after.refused

    other = after.right
    names = {p.name: p for p in one.pieces}
    for piece in other.pieces:
        if piece.name in ("collar",):
            continue
        for e in piece.edges:
            apart = gap(polyline(names[piece.name], e.name), polyline(piece, e.name))
            assert apart < SAME, (piece.name, e.name)
