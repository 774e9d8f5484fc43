"""Finished girths are taken buttoned: what the fronts lap over goes round nobody.

By hand: two fronts of 2 of stand and 25 beyond the centre line, a back of 24 on the fold.
Buttoned 2 x (25 + 24) = 98; laid out from edge to edge 2 x (27 + 24) = 102.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.check.measuring import girth_checks, lapped, measure, room_checks
from pinwright.check.result import Check
from pinwright.check.static_ease import garment_girths
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted, fit
from pinwright.geometry.path import Path
from pinwright.measures import bdims, complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Line, Piece, edge
from pinwright.pattern.seam import Target, Width
from pinwright.workshop.trials import drafted


def panel(name: str, left: float, right: float, lines: tuple[Line, ...] = ()) -> Piece:
    """A rectangle 60 high with its level at 20."""
    middle, side = ("front_edge", "side") if name == "front" else ("centre", "side")

    def line(*p: tuple[float, float]) -> Path:
        return Path.line(*p)

    return Piece(
        name,
        name,
        (
            edge(
                middle,
                *("top_middle", line((left, 60), (left, 20)), "bust"),
                *(line((left, 20), (left, 0)), "hem_middle"),
            ),
            edge("hem", "hem_middle", line((left, 0), (right, 0)), "hem_side"),
            edge(
                side,
                *("hem_side", line((right, 0), (right, 20)), "bust"),
                *(line((right, 20), (right, 60)), "top_side"),
            ),
            edge("top", "top_side", line((right, 60), (left, 60)), "top_middle"),
        ),
        np.array([[5.0, 5.0], [5.0, 40.0]]),
        lines=lines,
    )


def coat(body: float, stand: float = 2.0) -> Garment:
    """Front and back over a bust of ``body``; the ease from edge to edge, as drafts state it."""
    middle = Line("centre_front", "balance", Path.line((0, 60), (0, 0)))
    pieces = (panel("front", -stand, 25.0, (middle,)), panel("back", 0.0, 24.0))
    bust = Target(
        "bust",
        "bust_girth",
        body,
        2.0 * (stand + 25.0 + 24.0) - body,
        (
            Width("front", "front_edge:bust", "side:bust"),
            Width("back", "centre:bust", "side:bust"),
        ),
    )
    return Garment("coat", "coat", pieces, (), (), (bust,))


def only(found: list[Check]) -> Check:
    (one,) = found
    return one


@pytest.mark.parametrize(
    ("body", "room", "verdict"), [(90.0, 8.0, "good"), (94.0, 4.0, "good"), (95.0, 3.0, "look")]
)
def test_room_is_what_goes_round_buttoned(body: float, room: float, verdict: str) -> None:
    """Round the bust 4 are wanted: 98 over 95 are 3, though 102 lie on the table."""
    half = as_drafted(coat(body))
    found = only(room_checks(half, half))
    assert found.value == pytest.approx(room, abs=1e-9)
    assert found.verdict == verdict


def test_the_finished_girth_and_its_ease_are_buttoned_ones() -> None:
    half = as_drafted(coat(90.0))
    target = half.garment.targets[0]
    assert measure(half, target) == pytest.approx(102.0)
    assert lapped(half, target) == pytest.approx(4.0)
    found = only(girth_checks(half, half))
    assert (found.value, found.target) == pytest.approx((98.0, 98.0))
    assert found.says == "bust girth 90.0 + ease 8.0"


def test_a_wrong_width_is_still_found() -> None:
    half = as_drafted(coat(90.0))
    ctrl = half.ctrl.copy()
    ctrl[half.garment.layout.span_ids(("front", "side"))] += [0.4, 0.0]
    moved = replace(half, ctrl=ctrl)
    found = only(girth_checks(moved, moved))
    assert found.off == pytest.approx(0.8)
    assert found.verdict == "wrong"


def test_a_centre_line_that_moves_with_the_stand_changes_the_lap() -> None:
    """The line in by one: 3 lap over on each side, and 24 + 24 on each half go round."""
    half = as_drafted(coat(90.0))
    aux = half.aux.copy()
    aux[half.garment.layout.aux_index["front", "line", "centre_front"]] += [1.0, 0.0]
    moved = replace(half, aux=aux)
    assert only(room_checks(moved, moved)).value == pytest.approx(6.0)
    assert only(room_checks(half, moved)).value == pytest.approx(7.0)  # the mean of both sides


@pytest.mark.parametrize("row", [0, 129, 215])
def test_a_wider_stand_gives_no_more_room(row: int) -> None:
    body = complete(read_record(bdims.women()[row]))
    rooms = []
    for stand in (1.0, 4.0):
        half = as_drafted(drafted("jacket", body, {"button_stand": stand}))
        rooms.append({c.where: c.value for c in room_checks(half, half)})
    assert {"bust", "hip"} <= set(rooms[0])
    assert rooms[0] == pytest.approx(rooms[1], abs=1e-6)


@pytest.mark.parametrize("row", [0, 129, 215])
@pytest.mark.parametrize("style", ["jacket", "trousers"])
def test_the_room_is_that_of_the_level_followed_round_the_garment(style: str, row: int) -> None:
    """Two ways to the same girth: between two named points, and piece by piece through seams."""
    garment = drafted(style, complete(read_record(bdims.women()[row])))
    fitted = fit(garment, [Correction("let_out", "side_seam", "both", {"amount": 0.5})])
    assert not fitted.refused
    round_it = {g.level: g.whole for g in garment_girths(fitted)}
    bodies = {t.name: t.body for t in garment.targets}
    found = room_checks(fitted.right, fitted.left)
    assert len(found) >= 4
    for c in found:
        assert c.value == pytest.approx(round_it[c.where] - bodies[c.where], abs=0.01), c.where
