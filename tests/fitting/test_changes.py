"""What moved on a piece: the amount told is the amount at the place told."""

from __future__ import annotations

import numpy as np

from pinwright.fitting.changes import SEEN, told
from pinwright.fitting.ledger import fit
from pinwright.sheets.moved import moves_of, sentence
from tests.fitting.drafts import ordinary
from tests.sheets.orders import correction, garment


def test_an_amount_out_belongs_to_its_place_though_the_edge_slid_further_elsewhere() -> None:
    asked = (
        correction("fork_extension", "front_fork", 0.3),
        correction("hem", "trouser_hem", -1.5),
    )
    states = fit(garment("trousers"), ()), fit(garment("trousers"), asked)
    said = [sentence(m) for m in moves_of(told(*states), states)]
    assert "front, inseam: 0.3 outwards at the fork, 1.5 shorter" in said


def test_an_edge_went_out_by_what_is_told_where_it_is_told() -> None:
    asked = (
        correction("let_out", "side_seam", -1.0),
        correction("hem", "trouser_hem", -1.5),
        correction("fork_extension", "back_fork", 0.4),
    )
    before, after = fit(garment("trousers"), ()), fit(garment("trousers"), asked)
    seen = 0
    for _, m in told(before, after):
        if m.kind == "edge" and abs(m.out) >= SEEN:
            name = f"{m.edge}:{m.at}"
            step = after.right.piece(m.piece).point(name) - before.right.piece(m.piece).point(name)
            # a step cannot be shorter than its part square to the edge
            assert np.hypot(*step) >= abs(m.out) - SEEN, (m.piece, m.edge, m.at)
            seen += 1
    assert seen >= 6


def test_right_and_left_that_moved_alike_all_along_are_told_at_one_place() -> None:
    draft = ordinary("yoke")
    slope = correction("shoulder_slope", "shoulder", 0.5, "right")
    states = fit(draft, (slope,)), fit(draft, (slope, correction("hollow_back", "back_waist", 1.0)))
    said = [sentence(m) for m in moves_of(told(*states), states)]
    assert "yoke, shoulder: 1.0 down at the tip" in said
