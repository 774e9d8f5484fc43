"""The level checks say by how much, and can fail."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.check.levels import clearance_checks, hem_checks
from pinwright.fitting.ledger import Half, fit
from pinwright.geometry.cubic import lengths
from pinwright.pattern.garment import Garment
from tests.fitting.drafts import ordinary


def shifted(garment: Garment, piece: str, edges: tuple[str, ...], v: tuple[float, float]) -> Half:
    base = fit(garment, []).right
    ctrl = base.ctrl.copy()
    for edge in edges:
        ctrl[garment.layout.span_ids((piece, edge))] += np.array(v)
    return Half(garment, (), ctrl, base.aux, lengths(ctrl), garment.facts, {})


@pytest.mark.parametrize(
    ("variant", "piece", "edge", "room"),
    [("trousers", "front", "inseam", 1.5), ("dart", "back", "side", 3.0)],
)
def test_room_below_the_body_is_the_chosen_ease(
    variant: str, piece: str, edge: str, room: float
) -> None:
    """Loose trousers hang 1.5 below the crotch, the loose armhole 3 below the body's."""
    garment = ordinary(variant)
    found = clearance_checks(fit(garment, []).right)
    assert [c.verdict for c in found] == ["good"]
    assert found[0].value == pytest.approx(room, abs=1e-6)
    edges = ("centre", "inseam") if piece == "front" else ("side", "armhole")
    higher = clearance_checks(shifted(garment, piece, edges, (0.0, room + 0.1)))
    assert [c.verdict for c in higher] == ["wrong"]
    assert higher[0].value == pytest.approx(-0.1, abs=1e-6)


@pytest.mark.parametrize("variant", ["trousers", "dart"])
def test_a_hem_that_slants_is_found(variant: str) -> None:
    garment = ordinary(variant)
    assert {c.verdict for c in hem_checks(fit(garment, []).right)} == {"good"}
    base = fit(garment, []).right
    ctrl = base.ctrl.copy()
    end = garment.layout.run_end(("front", "hem"), True)
    ctrl[end.span, 3, 1] += 1.0
    half = Half(garment, (), ctrl, base.aux, lengths(ctrl), garment.facts, {})
    pieces = {c.where: c.verdict for c in hem_checks(half)}
    # the piece itself is rebuilt from the arrays only after a correction; the check reads them
    assert pieces["front"] == "wrong"
