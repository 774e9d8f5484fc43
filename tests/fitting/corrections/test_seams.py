"""Seams let out and taken in, on the plain trousers by hand and on real drafts."""

from __future__ import annotations

import numpy as np
import pytest

from pinwright.check import all_checks, failures
from pinwright.check.drawing import turns
from pinwright.check.measuring import measure
from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import per_edge
from pinwright.fitting.halves import parts_the_halves
from pinwright.fitting.ledger import Half, as_drafted, fit, response
from pinwright.fitting.reader import read_line
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


def _girth(half: Half, name: str) -> float:
    return measure(half, next(t for t in PLAIN.targets if t.name == name))


def test_worked_example_a_how_an_amount_is_meant() -> None:
    """Design 6 (a): a fold of depth 1 pinned at each side seam takes 4 from the girth; 1 out (of
    cloth) per seam takes 2. Hip of the plain trousers: 2 x (22 + 24) = 92."""
    let_out = entry("let_out")
    assert _girth(as_drafted(PLAIN), "hip") == pytest.approx(92.0)
    fold = per_edge(let_out, "fold", -1.0, 4)
    assert fold == -1.0
    half = made(PLAIN, correction("let_out", "side_seam", fold))
    assert _girth(half, "hip") == pytest.approx(88.0, abs=1e-9)
    removed = per_edge(let_out, "removed", -1.0, 4)
    assert removed == -0.5
    half = made(PLAIN, correction("let_out", "side_seam", removed))
    assert _girth(half, "hip") == pytest.approx(90.0, abs=1e-9)
    girth = per_edge(let_out, "girth", -1.0, 4)
    assert girth == -0.25
    half = made(PLAIN, correction("let_out", "side_seam", girth))
    assert _girth(half, "hip") == pytest.approx(91.0, abs=1e-9)


def test_worked_example_a_unlabelled_is_asked() -> None:
    assert entry("let_out").ask
    reading = read_line("take in side seams 1", ("trousers",))
    assert reading.status == "question"
    assert reading.questions[0].about == "meant_as"
    assert {"fold", "removed", "edge", "girth"} <= {c.key for c in reading.questions[0].choices}


def test_side_seam_by_hand() -> None:
    """Constant 1 per edge: the side stands at 12; every width of front and back grows by 1."""
    half = made(PLAIN, correction("let_out", "side_seam", 1.0))
    for piece in ("front", "back"):
        for name in ("side:knee", "side:crotch", "side:hip", "waist_side", "hem_side"):
            assert step(PLAIN, half, piece, name) == pytest.approx([1.0, 0.0], abs=1e-9)
        assert step(PLAIN, half, piece, "inseam:knee") == pytest.approx([0.0, 0.0], abs=0)
    assert length(half, "band", "seam") == pytest.approx(44.0 + 2.0 + 2.0)  # 22 + 24 as drafted


def test_taper_from_waist_to_hip_by_hand() -> None:
    """Full at the waist (s = 106), nothing at the hip (s = 86), a smoothstep between: half way
    (s = 96) half; at s = 91 a quarter of the way, 3/16 - 2/64 = 0.15625."""
    half = made(
        PLAIN, correction("let_out", "side_seam", 1.0, shape="taper", from_="waist", to="hip")
    )
    run = half.piece("front").edge("side").runs[0]
    assert step(PLAIN, half, "front", "side:hip") == pytest.approx([0.0, 0.0], abs=1e-12)
    assert step(PLAIN, half, "front", "waist_side") == pytest.approx([1.0, 0.0], abs=1e-9)
    for y, x in ((96.0, 11.5), (91.0, 11.15625)):
        s, gap = run.nearest(np.array([x, y]))
        assert gap < 0.005
        assert s > 80.0


def test_level_amounts_give_their_nominal_girth() -> None:
    """A fold of 1 at each side seam takes 4 from hip, waist and (2 a leg) thigh and knee, however
    the seam leans; the seat gives 2 at hip and waist. Declared exactly, and measured to 2 mm."""
    for row in BODIES:
        g = draft("trousers", row)
        r = response(g, ("let_out", "side_seam", "amount", (), "cut"))
        for name, girth in (("hip", 4), ("waist", 4), ("thigh", 2), ("knee", 2), ("hem", 2)):
            assert r.effects[name] == pytest.approx(girth, abs=1e-6)
        seat = response(g, ("let_out", "seat_seam", "amount", (), "cut"))
        assert seat.effects["hip"] == pytest.approx(2.0, abs=1e-6)
        assert seat.effects["waist"] == pytest.approx(2.0, abs=1e-6)
        half = made(g, correction("let_out", "side_seam", -1.0))
        for t in g.targets:
            if t.name in ("hip", "waist"):
                assert measure(half, t) == pytest.approx(t.value - 4.0, abs=0.1)
    for ease in ("loose", "regular", "slim"):
        j = draft("jacket", 0, (("ease", ease),))
        r = response(j, ("let_out", "side_seam", "amount", (), "cut"))
        for name in ("bust", "waist", "hip"):
            assert r.effects[name] == pytest.approx(4.0, abs=1e-6)


def test_a_taper_runs_out_on_the_other_side_too() -> None:
    """Jacket side nipped in at the waist, nothing at the hip: nothing at the underarm either."""
    for back in ("shoulder_dart", "yoke"):
        g = draft("jacket", 0, (("back", back),))
        c = correction("let_out", "side_seam", -1.0, shape="taper", from_="waist", to="hip")
        half = made(g, c)
        for piece in ("front", "back"):
            assert step(g, half, piece, "side:waist")[0] == pytest.approx(-1.0, abs=0.02)
            assert np.hypot(*step(g, half, piece, "side:hip")) < 0.02
            assert np.hypot(*step(g, half, piece, "underarm")) < 0.05


@pytest.mark.parametrize("row", BODIES)
def test_a_change_between_two_levels_adds_two_bends_at_most(row: int) -> None:
    g = draft("trousers", row)
    for amount in (-3.0, 3.0):
        half = made(g, correction("let_out", "side_seam", amount, from_="hip", to="knee"))
        now, before = turns(half), turns(as_drafted(g))
        for piece in ("front", "back"):
            assert now[piece, "side"][0] <= max(2, before[piece, "side"][0]) + 2


@pytest.mark.parametrize("row", BODIES)
def test_one_leg_alone_leaves_the_crotch(row: int) -> None:
    """Fork stays: full from the thigh down, nothing at the fork; no crotch length changes and the
    other leg keeps every point."""
    g = draft("trousers", row)
    cases = (
        correction("let_out", "inseam", 1.0, side="right", fork="stays"),
        correction("fullness", "thigh", 1.0, side="right", fork="stays"),
        correction("fullness", "thigh", 1.0, form="next", side="right", fork="stays"),
    )
    for c in cases:
        fitted = fit(g, [c])
        assert not fitted.refused
        assert np.array_equal(fitted.left.ctrl, g.layout.ctrl)
        for piece, edge in (("front", "centre"), ("back", "seat")):
            assert length(fitted.right, piece, edge) == pytest.approx(
                g.piece(piece).edge(edge).length, abs=1e-6
            )
            assert step(g, fitted.right, piece, "inseam:thigh")[0] == pytest.approx(-1.0, abs=0.05)
        assert not failures(all_checks(fitted))


def test_what_parts_the_halves() -> None:
    """A fork moved on one side makes the seat seam unequal; a side seam does not."""
    g = draft("trousers", 0)

    def parts(kind: str, place: str) -> str:
        return parts_the_halves(g, response(g, (kind, place, "amount", (), "cut")), 1.0)

    assert parts("let_out", "inseam")
    assert parts("fork_extension", "back_fork") == "seat seam"
    assert parts("let_out", "side_seam") == ""


def test_seat_seam_runs_out_at_the_fork() -> None:
    """1 out: the seat stands at -14 from waist to hip; the fork stays to the last bit in x."""
    half = made(PLAIN, correction("let_out", "seat_seam", 1.0))
    assert step(PLAIN, half, "back", "seat:hip") == pytest.approx([-1.0, 0.0], abs=1e-9)
    assert step(PLAIN, half, "back", "fork") == pytest.approx([0.0, 0.0], abs=0.02)
    assert _girth(half, "hip") == pytest.approx(94.0, abs=1e-9)  # 1 on each half of the back
    with pytest.raises(AssertionError, match="fork extension"):
        made(
            PLAIN, correction("let_out", "seat_seam", 1.0, shape="taper", from_="fork", to="waist")
        )


def test_inseam_takes_the_crotch_curve_along() -> None:
    """1 out all along: forks at -18 and -26. The quarter circles (radius 6, 12) become quarter
    ellipses with half axes 7 and 6, 13 and 12; the curve starts at the hip as before."""
    half = made(PLAIN, correction("let_out", "inseam", 1.0))
    assert step(PLAIN, half, "front", "fork") == pytest.approx([-1.0, 0.0], abs=0.03)
    assert step(PLAIN, half, "back", "fork") == pytest.approx([-1.0, 0.0], abs=0.03)
    assert step(PLAIN, half, "front", "centre:hip") == pytest.approx([0.0, 0.0], abs=1e-12)
    assert _girth(half, "thigh") == pytest.approx(64.0 + 2.0, abs=0.01)


def test_one_edge_only_and_the_crease() -> None:
    """Back side edge alone 1 out: the front stays; the crease goes half of it when re-centred."""
    c = correction("let_out", "side_seam", 1.0, part="back")
    half = made(PLAIN, c)
    assert np.array_equal(at(half, "front", "side:hip"), [11.0, 86.0])
    assert half.piece("back").line("crease").path.start[0] == 0.0
    half = made(PLAIN, correction("let_out", "side_seam", 1.0, part="back", crease="centred"))
    assert half.piece("back").line("crease").path.start[0] == pytest.approx(0.5)
    assert half.piece("front").line("crease").path.start[0] == 0.0


def test_a_pocket_opening_stays_on_the_seam() -> None:
    g = draft("trousers", 0)
    half = made(g, correction("let_out", "side_seam", -1.5))
    front = half.piece("front")
    line = front.line("pocket opening").path
    seam = front.edge("side").runs[0]
    for s in np.linspace(0.0, line.length, 9):
        assert seam.nearest(line.at(s))[1] < 1e-4
    was = g.piece("front").line("pocket opening").path
    assert abs(float(line.start[0] - was.start[0]) + 1.5) < 0.1


def test_sleeve_seam_keeps_the_cap() -> None:
    """1 out on both edges: the sleeve is 2 wider; the cap sinks and keeps its length."""
    g = draft("jacket", 0)
    half = made(g, correction("let_out", "sleeve_seam", 1.0))
    upper = next(t for t in g.targets if t.name == "upper_arm")
    grown = measure(half, upper) - measure(as_drafted(g), upper)
    assert grown == pytest.approx(2.0, abs=0.1)
    drop = -float(step(g, half, "sleeve", "cap:shoulder")[1])
    assert 2.0 / 2.6 < drop < 2.0 / 1.0  # 1 for each 1.5-2 (sources 2.3, from memory), loosely
    assert length(half, "sleeve", "cap") == pytest.approx(
        g.piece("sleeve").edge("cap").length, abs=0.1
    )


def test_fold_has_no_seam() -> None:
    g = draft("jacket", 0)
    refused = fit(g, [correction("let_out", "centre_back", 1.0)]).refused
    assert "cut on the fold" in refused[0].reason


def test_what_moves() -> None:
    moves_exactly(
        PLAIN,
        correction("let_out", "side_seam", 1.0),
        {
            "front": {"side", "hem", "waist"},
            "back": {"side", "hem", "waist"},
            "band": {"seam", "top", "centre"},
        },
    )
    moves_exactly(
        PLAIN,
        correction("let_out", "inseam", 1.0),
        {"front": {"inseam", "hem", "centre"}, "back": {"inseam", "hem", "seat"}},
    )


@pytest.mark.parametrize("row", BODIES)
def test_one_edge_alone_leaves_the_other_piece(row: int) -> None:
    """The back's side edge 1 in: it is walked to its own length, so the front does not move."""
    g = draft("trousers", row)
    half = made(g, correction("let_out", "side_seam", -1.0, part="back"))
    assert length(half, "back", "side") == pytest.approx(
        g.piece("back").edge("side").length, abs=1e-3
    )
    # running through at hem and waist bends the front's ends by hundredths of a millimetre
    rows = g.layout.piece_spans["front"]
    assert np.abs(half.ctrl[rows][:, ::3] - g.layout.ctrl[rows][:, ::3]).max() < 5e-4
    assert right_or_refused(g, correction("let_out", "side_seam", 1.0, part="back"))
    assert right_or_refused(g, correction("let_out", "side_seam", 1.0, part="front"))


TROUSER_SEAMS = ("side_seam", "inseam", "seat_seam", "front_crotch_seam")


@pytest.mark.parametrize("place", TROUSER_SEAMS)
def test_algebra(place: str) -> None:
    holds_together(PLAIN, correction("let_out", place, 1.3))
    holds_together(draft("trousers", 0), correction("let_out", place, -0.8))


@pytest.mark.parametrize("row", BODIES)
def test_real_trousers(row: int) -> None:
    for place in TROUSER_SEAMS:
        assert right_or_refused(draft("trousers", row), correction("let_out", place, 1.0))


@pytest.mark.parametrize("row", BODIES)
@pytest.mark.parametrize("back", ["shoulder_dart", "yoke"])
def test_real_jackets(row: int, back: str) -> None:
    g = draft("jacket", row, (("back", back),))
    for place in ("side_seam", "shoulder_seam", "sleeve_seam"):
        assert right_or_refused(g, correction("let_out", place, 1.0))


def test_unknown_level_is_refused_in_a_sentence() -> None:
    with pytest.raises(AssertionError, match="does not reach the level 'underarm'"):
        made(PLAIN, correction("let_out", "side_seam", 1.0, from_="underarm"))
    with pytest.raises(CorrectionError, match="cannot be meant as 'level'"):
        per_edge(entry("let_out"), "level", 1.0, 4)
