"""The next order: the client's remark, what waits unused, and nothing that the tape contains."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pinwright.workshop.carried import carried_rows, carried_words
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import load, validate
from pinwright.workshop.writing import write_next

BODY = {"height": 168, "bust_girth": 92, "waist_girth": 74.5, "hip_girth": 99}

SIDE = {
    "kind": "let_out",
    "place": "side_seam",
    "garment": "trousers",
    "amounts": {"amount": -0.5},
    "options": {"from": "waist", "to": "hip"},
    "measures": {"worn_waist_girth": 74.5, "hip_girth": 99.0},
}
BACK = {"kind": "hollow_back", "place": "back_waist", "garment": "jacket", "amount": 0.8}


def job(style: str = "trousers", carried: list[dict[str, Any]] | None = None, **more: Any) -> Job:
    data = {
        "format": 1,
        "client": {"name": "Test", "remark": "left-handed"},
        "measures": BODY | more.pop("measures", {}),
        "garments": [{"style": style}],
        "carried": carried or [],
    }
    return run(validate(data | more, Path("o.toml")))


def following(done: Job, folder: Path, garment: str = "") -> Job:
    return run(load(write_next(done, folder / "next.toml", garment)))


def finished(done: Job) -> dict[str, float]:
    found = {c.name: c.value for c in done.garments[0].checks_after}
    return {n: found[n] for n in ("waist", "hip")}


def test_the_remark_goes_along(tmp_path: Path) -> None:
    assert following(job(), tmp_path).order.client.remark == "left-handed"


def test_trousers_do_not_lose_what_the_jacket_was_to_carry(tmp_path: Path) -> None:
    after = following(job(carried=[SIDE, BACK]), tmp_path, "jacket")
    rows = {(c.kind, c.garment): c for c in after.order.carried}
    assert rows["hollow_back", "jacket"].amount == 0.8
    assert rows["let_out", "trousers"].amounts == {"amount": -0.5}
    assert [c.kind for c in after.garments[0].before.ledger] == ["hollow_back"]


def test_a_row_for_every_garment_still_waits_for_those_not_in_this_order(tmp_path: Path) -> None:
    anywhere = {k: v for k, v in SIDE.items() if k != "garment"}
    rows = following(job(carried=[anywhere]), tmp_path).order.carried
    assert sorted(c.garment for c in rows) == ["jacket", "trousers"]


def test_what_a_new_tape_contains_is_reckoned_again_and_not_carried(tmp_path: Path) -> None:
    """Two takings-in of waist and hip; the waist is taped anew 2 smaller, the hip is not.

    The order after that, on the same measures, must finish as this one: neither may the waist be
    taken in again, nor may what was given back be given back twice.
    """
    second = job(carried=[SIDE, SIDE], measures={"waist_girth": 72.5})
    assert any("taped anew" in c.said for c in second.garments[0].before.ledger)
    third = following(second, tmp_path)
    assert not any("taped anew" in c.said for c in third.order.carried)
    assert [c.measures["worn_waist_girth"] for c in third.order.carried] == [74.5, 74.5]
    assert finished(third) == pytest.approx(finished(second), abs=0.01)


def test_shoulders_taped_apart_are_not_also_carried(tmp_path: Path) -> None:
    apart = {"shoulder_slope_right": 25.0, "shoulder_slope_left": 19.0}
    first = job("jacket", measures=apart)
    assert [c.said[:6] for c in first.garments[0].before.ledger] == ["taped:", "taped:"]
    second = following(first, tmp_path)
    assert second.order.carried == ()
    assert len(second.garments[0].before.ledger) == 2


def test_a_correction_of_the_fitting_is_carried_with_what_it_was_made_against(
    tmp_path: Path,
) -> None:
    note = {"text": "take in side seams 0.5 at waist", "meant": "edge"}
    done = job(fittings=[{"date": "2027-02-03", "notes": [note]}])
    (row,) = following(done, tmp_path).order.carried
    assert row.garment == "trousers"
    assert row.measures["worn_waist_girth"] == pytest.approx(done.body["worn_waist_girth"])


def test_the_workshops_habits_go_along_and_cut_the_next_garment_too(tmp_path: Path) -> None:
    habits = {"reserve": {"side_seam": 3.5}, "notch": "triangle"}
    after = following(job(habits=habits), tmp_path)
    assert after.order.habits.reserve == {"side_seam": 3.5}
    assert after.order.habits.notch == "triangle"
    front = after.garments[0].after.right.by_name["front"]
    assert front.edge("side").reserve == 3.5


SHORTER = {"text": "body 2 shorter", "meant": "waist"}


def noted(*notes: dict[str, str], style: str = "jacket") -> Job:
    return job(style, fittings=[{"date": "2027-03-04", "notes": list(notes)}])


def back_length(done: Job) -> float:
    g = done.garments[0]
    return next(c.value for c in g.checks_before if c.name == "back length")


def test_what_was_promised_for_the_next_draft_is_made_there(tmp_path: Path) -> None:
    """Cut cloth has no seam at the waist; the next back is shorter by the 2 that were asked."""
    done = noted(SHORTER)
    assert done.notes[0].status == "refused"
    assert "at this line in the next draft" in done.notes[0].says
    after = following(done, tmp_path)
    assert [(c.kind, c.options) for c in after.order.carried] == [("body_length", {"at": "waist"})]
    assert back_length(after) == pytest.approx(back_length(done) - 2.0, abs=0.05)


def test_what_was_done_another_way_is_not_carried_twice(tmp_path: Path) -> None:
    done = noted(SHORTER, {"text": "body 2 cm shorter", "meant": "hem"})
    rows = following(done, tmp_path).order.carried
    assert [(c.kind, c.options) for c in rows] == [("body_length", {"at": "hem"})]


def test_what_cannot_be_made_on_the_next_draft_either_is_not_promised(tmp_path: Path) -> None:
    done = noted({"text": "body 9 shorter", "meant": "waist"})
    assert done.notes[0].status == "refused"
    assert following(done, tmp_path).order.carried == ()


def test_what_is_carried_and_what_not_is_told() -> None:
    done = noted(SHORTER, {"text": "jacket hem 1 cm up"}, {"text": "jacket hem up"})
    said = carried_words(done, carried_rows(done))
    assert said == (
        "Carried: jacket, body longer or shorter, body: -2 cm (“body 2 shorter”).",
        "Not carried: “jacket hem 1 cm up”: it belongs to this garment, not to her figure.",
        "Not carried: “jacket hem up”: it was kept as text.",
    )
