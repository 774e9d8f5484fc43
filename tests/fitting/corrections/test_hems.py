"""Hems, by hand and on real drafts; hems read with pins in or before them."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.check.measuring import measure
from pinwright.errors import CorrectionError
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted
from pinwright.fitting.pins import hem_with_pins, lift
from tests.fitting.corrections.claims_trousers import (
    BODIES,
    at,
    correction,
    draft,
    holds_together,
    length,
    made,
    moves_exactly,
    right_or_refused,
    step,
)
from tests.fitting.plain_trousers import plain_trousers

PLAIN = plain_trousers()


def test_trouser_hem_by_hand() -> None:
    """3 shorter on a straight leg: hem at y = 3, side 103, inseam 71, hem as wide as it was."""
    half = made(PLAIN, correction("hem", "trouser_hem", -3.0))
    for piece in ("front", "back"):
        assert at(half, piece, "hem_side")[1] == pytest.approx(3.0)
        assert at(half, piece, "hem_in")[1] == pytest.approx(3.0)
        assert length(half, piece, "side") == pytest.approx(103.0)
        assert length(half, piece, "inseam") == pytest.approx(71.0)
        assert np.array_equal(at(half, piece, "side:knee"), [11.0, 45.0])
        crease = half.piece(piece).line("crease").path
        assert crease.start == pytest.approx([0.0, 3.0])
        assert crease.end == pytest.approx([0.0, 106.0])


def test_a_tapered_leg_gets_wider_when_shortened() -> None:
    """The block of sources 2.1: each edge runs in 1.3 over 43 from knee to hem; hem raised 3 gains
    1.3/43 x 3 on each of four edges: 44.0 -> 44.36 round (C). Here 1.3 over the 45 of the plain
    leg: 4 x 1.3/45 x 3 = 0.3467."""
    g = plain_trousers(taper=1.3)
    half = made(g, correction("hem", "trouser_hem", -3.0))
    hem = next(t for t in g.targets if t.name == "hem")
    grown = measure(half, hem) - measure(as_drafted(g), hem)
    assert grown == pytest.approx(4 * 1.3 / 45.0 * 3.0, abs=1e-6)
    assert half.effects["hem"] == pytest.approx(grown, abs=1e-6)
    assert at(half, "front", "hem_side") == pytest.approx([11.0 - 1.3 * 42.0 / 45.0, 3.0])


def test_the_leg_keeps_its_line() -> None:
    """On a real leg the shortened side lies on the old one: it is cut off, not redrawn."""
    g = draft("trousers", 129)
    half = made(g, correction("hem", "trouser_hem", -3.0))
    for piece, edge in (("front", "side"), ("front", "inseam")):
        old, new = g.piece(piece).edge(edge).runs[0], half.piece(piece).edge(edge).runs[0]
        for s in np.linspace(0.0, new.length, 25):
            assert old.nearest(new.at(s))[1] < 0.02


def test_hem_level_by_hand() -> None:
    """Back 1 lower: at the crease (half way, x = -7 of the back's hem) y = -1, 0 at both seams;
    the side 1 lower: -1 at the side, 0 at the inseam, half between."""
    half = made(PLAIN, correction("hem_level", "trouser_hem", 1.0, component="back"))
    hem = half.piece("back").edge("hem").runs[0]
    _, gap = hem.nearest(np.array([-7.0, -1.0]))
    assert gap < 0.01
    assert at(half, "back", "hem_side") == pytest.approx([11.0, 0.0])
    assert np.array_equal(
        half.piece("front").edge("hem").runs[0].ctrl, PLAIN.piece("front").edge("hem").runs[0].ctrl
    )
    half = made(PLAIN, correction("hem_level", "trouser_hem", 1.0, component="side"))
    for piece in ("front", "back"):
        assert at(half, piece, "hem_side") == pytest.approx([11.0, -1.0], abs=1e-6)
        assert at(half, piece, "hem_in")[1] == pytest.approx(0.0, abs=1e-9)


def test_jacket_hem_levels_add_to_the_whole_hem() -> None:
    """Front, side and back each 1 lower are the whole hem 1 lower (the profiles add to one)."""
    g = draft("jacket", 0)
    parts = made(
        g,
        *(
            correction("hem_level", "jacket_hem", 1.0, component=c)
            for c in ("front", "side", "back")
        ),
    )
    for piece, names in (
        ("front", ("hem_front", "hem_side")),
        ("back", ("hem_centre", "hem_side")),
    ):
        for name in names:
            assert step(g, parts, piece, name)[1] == pytest.approx(-1.0, abs=0.02)


def test_worked_example_b_pins_in_or_before() -> None:
    """Design 6 (b): shoulder fold depth 1 pinned, hem then marked up 2: the edge moves 2 if read
    with the pins in, 1 if read before them."""
    pinned = [Correction("let_out", "shoulder_seam", amounts={"amount": -1.0}, meant_as="fold")]
    assert lift(pinned) == 1.0
    assert hem_with_pins(-2.0, "in", lift(pinned)) == -2.0
    assert hem_with_pins(-2.0, "before", lift(pinned)) == -1.0
    with pytest.raises(CorrectionError, match="pins in or before"):
        hem_with_pins(-2.0, None, 1.0)


def test_what_lifts_a_hem() -> None:
    """A shoulder let out 0.5 lowers it; a side seam taken in lifts nothing; the body shortened 1
    at the waist lifts 1, at the hem it is the hem itself."""

    def one(kind: str, place: str, amount: float, **options: object) -> Correction:
        return Correction(kind, place, amounts={"amount": amount}, options=options)

    assert lift([one("let_out", "shoulder_seam", 0.5)]) == -0.5
    assert lift([one("let_out", "side_seam", -1.0)]) == 0.0
    assert lift([one("body_length", "body", -1.0, at="waist")]) == 1.0
    assert lift([one("body_length", "body", -1.0, at="hem")]) == 0.0


def test_the_lift_is_what_the_pieces_say() -> None:
    """A fold of 1 at the shoulder brings both shoulder edges in by 1 along their normals, so front
    and back hang shorter by 1 / cos(slope) at the neck point: about the lift of 1."""
    g = draft("jacket", 0)
    half = made(g, correction("let_out", "shoulder_seam", -1.0))
    drop = -float(step(g, half, "front", "neck_point")[1])
    assert 0.85 < drop < 1.1


def test_what_moves() -> None:
    legs = {"front": {"hem", "side", "inseam"}, "back": {"hem", "side", "inseam"}}
    moves_exactly(PLAIN, correction("hem", "trouser_hem", -2.0), legs)
    back = correction("hem_level", "trouser_hem", 1.0, component="back")
    moves_exactly(PLAIN, back, {"back": {"hem"}})


CASES = [("hem", "amount"), ("hem_level", "front"), ("hem_level", "side"), ("hem_level", "back")]


@pytest.mark.parametrize(("kind", "component"), CASES)
def test_algebra(kind: str, component: str) -> None:
    for place, style in (("trouser_hem", "trousers"), ("jacket_hem", "jacket")):
        holds_together(draft(style, 0), correction(kind, place, -0.9, component=component))
    holds_together(PLAIN, correction(kind, "trouser_hem", 1.1, component=component))


@pytest.mark.parametrize("row", BODIES)
def test_real_drafts(row: int) -> None:
    for kind, component in CASES:
        c = correction(kind, "trouser_hem", 1.0, component=component)
        assert right_or_refused(draft("trousers", row), c)
        for back in ("shoulder_dart", "yoke"):
            c = correction(kind, "jacket_hem", 1.0, component=component)
            assert right_or_refused(draft("jacket", row, (("back", back),)), c)
    assert right_or_refused(draft("jacket", row), correction("hem", "sleeve_hem", 1.0))
