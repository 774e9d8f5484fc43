"""What each note moved, against amounts reckoned by hand from what was said."""

from __future__ import annotations

from pinwright.sheets.moved import Move, station_words
from pinwright.workshop.told import moves, states
from tests.web.pages import demo_job


def of(text: str) -> tuple[Move, ...]:
    job = demo_job()
    made = states(job)
    i = next(i for i, n in enumerate(job.notes) if text in n.text)
    return moves(job.notes[i], made.get(i), job)


def test_a_hem_marked_up_on_each_side_is_told_for_each_side() -> None:
    hems = {(m.side, m.piece): m.did for m in of("hem R up 1.5") if m.what == "hem"}
    assert set(hems) == {(s, p) for s in ("right", "left") for p in ("front", "back")}
    assert all(did.startswith("1.5 up") for (side, _), did in hems.items() if side == "right")
    assert all(did.startswith("1.0 up") for (side, _), did in hems.items() if side == "left")


def test_a_one_sided_note_moves_nothing_on_the_other_side() -> None:
    found = of("shoulder R 0.4")
    assert found
    assert {m.side for m in found} == {"right"}
    assert found[0].what == "shoulder"
    assert "0.4 down at the tip" in found[0].did


def test_a_fold_of_half_a_cm_takes_half_a_cm_from_each_edge() -> None:
    sides = {m.piece: m.did for m in of("side seams pinned 0.5") if m.what == "side"}
    assert set(sides) == {"front", "back"}
    assert all(did.startswith("0.5 in") for did in sides.values())


def test_a_pocket_that_moves_inside_its_piece_is_told() -> None:
    found = {m.what: m.did for m in of("patch pocket 1.5 lower")}
    assert found["patch pocket opening"] == "1.5 lower"
    longer = {m.what: m.did for m in of("pocket opening 1 longer")}
    # the upper end stays
    assert longer["pocket opening"] == "lower end 1.0 lower, 1.0 longer"


def test_a_turned_sleeve_is_told_by_its_marks() -> None:
    (m,) = of("sleeve R half a cm forward")
    assert (m.side, m.key, m.did) == ("right", "sleeve|cap", "0.5 forward in the armhole")


def test_what_was_only_seen_or_asked_moves_nothing() -> None:
    assert of("yoke lies well") == ()
    assert of("more room over seat") == ()
    assert of("collar to stand") == ()


def test_a_point_shared_by_two_edges_is_said_by_the_other_one() -> None:
    assert station_words("hem", "hem_side") == "side"
    assert station_words("side", "hem_side") == "hem"
    assert station_words("hem", "hem_in") == "inseam"
    assert station_words("inseam", "hem_in") == "hem"
    assert station_words("armhole", "underarm") == "underarm"
    assert station_words("waist", "waist") == "waist"
