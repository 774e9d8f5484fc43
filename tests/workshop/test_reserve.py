"""Cloth already cut, through whole orders: every shortage told, every option taken does something.

Amounts are worked by hand from the drafts' own allowances (trousers: side 1 + 1 front, 1 + 2
back; least 0.6) unless another source is named.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pinwright.cutting.cloth import cloth_as_cut, trim
from pinwright.cutting.cutline import cut_line, margin_near
from pinwright.cutting.reserve import spare
from pinwright.errors import OrderError
from pinwright.fitting.carry import inherited
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.pattern.codec import from_plain, to_plain
from pinwright.sheets.ink import Words
from pinwright.sheets.picture import allowances
from pinwright.workshop.cloth import cut_cloth, lacks, short_of_cloth
from pinwright.workshop.job import Job, run
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.offers import offers
from pinwright.workshop.order import GarmentOrder, validate
from pinwright.workshop.wanted import Wanted, newly_short, worst_of
from tests.cutting.skirt import skirt

BODY = {"height": 168.0, "bust_girth": 92.0, "waist_girth": 74.5, "hip_girth": 99.0}


def job(*notes: dict[str, Any], style: str = "trousers", **more: Any) -> Job:
    data: dict[str, Any] = {
        "format": 1,
        "client": {"name": "Test"},
        "measures": BODY,
        "garments": [{"style": style, **more.pop("garment", {})}],
        "fittings": [{"date": "2027-03-04", "notes": list(notes)}],
        **more,
    }
    return run(validate(data, Path("order.toml")))


def let_out(amount: float, seam: str = "side seam", remedy: str = "") -> dict[str, Any]:
    note = {"text": f"let out {seam} {amount:g} cm", "meant": "edge"}
    return {**note, "remedy": remedy} if remedy else note


def hip(done: Job) -> float:
    return next(c.value for c in done.garments[0].checks_after if c.name == "hip")


def wrong(done: Job) -> list[str]:
    return [c.name for c in done.checks if c.verdict == "wrong"]


def test_every_shortage_of_a_note_is_told_with_its_own_options() -> None:
    """3 out on both edges: 3 + 0.6 - 2 at the front, 3 + 0.6 - 3 at the back."""
    done = job(let_out(3.0))
    note = done.notes[0]
    assert note.status == "short"
    assert "1.6 cm at the trouser front's side" in note.says
    assert "0.6 cm at the trouser back's side" in note.says
    for piece in ("front", "back"):
        mine = [r for r in note.remedies if r.piece == piece]
        assert {"piece_on", "opposite", "iron"} <= {r.kind for r in mine}
        assert all(r.text.startswith(f"Trouser {piece}, side: ") for r in mine)
    assert done.garments[0].after.ledger == ()


def test_a_remedy_answers_all_shortages_or_waits_for_those_it_leaves_open() -> None:
    """Back trimmed to 1, 1.5 out: front 0.1 over, back 1.1. The iron wins 0.5: only the front."""
    spec = {"trimmed": {"back.side": 1.0}}
    ironed = job(let_out(1.5, remedy="iron"), garment=spec).notes[0]
    assert ironed.status == "short"
    assert "leaves open: 1.1 cm at the trouser back's side" in ironed.says
    assert "front's side; nothing" not in ironed.says
    pieced = job(let_out(1.5, remedy="piece_on"), garment=spec).notes[0]
    assert pieced.status == "made"
    assert {r.piece for r in pieced.remedies} == {"front", "back"}


def test_the_opposite_edge_takes_what_the_short_one_cannot() -> None:
    """Back trimmed to 1 and 0.8 out: the back goes 1 - 0.6 = 0.4, the front 0.8 + 0.4."""
    spec = {"trimmed": {"back.side": 1.0}}
    done = job(let_out(0.8, remedy="opposite"), garment=spec)
    g, note = done.garments[0], done.notes[0]
    assert note.status == "made"
    out = {}
    for p in ("front", "back"):
        was, now = g.before.right.piece(p), g.after.right.piece(p)
        out[p] = abs(float((now.point("side:knee") - was.point("side:knee"))[0]))
    assert out == pytest.approx({"front": 1.2, "back": 0.4}, abs=0.02)
    assert short_of_cloth(g.after, g.cloth) == []
    assert wrong(done) == []
    # the girth is what was asked for: 4 edges of 0.8
    plain = job(let_out(0.8))
    assert plain.notes[0].status == "made"
    assert hip(done) == pytest.approx(hip(plain), abs=0.05)
    # the makeshift is not inherited, what was asked for is
    kept = inherited(g.after.ledger)
    assert [c.amount for c in kept] == pytest.approx([0.8])


def test_the_opposite_edge_helps_on_the_side_that_is_short_only() -> None:
    done = job(let_out(0.8, remedy="opposite"), garment={"trimmed": {"right:back.side": 1.0}})
    note = done.notes[0]
    assert {s for s, _, _ in note.shortfalls} == set()
    assert note.status == "made"
    extra = [c for c in note.corrections if c.belongs_to == "cloth"]
    assert [c.side for c in extra] == ["right", "right"]
    g = done.garments[0]
    assert not np.array_equal(g.after.right.ctrl, g.after.left.ctrl)
    assert wrong(done) == []


def test_sharing_moves_every_edge_of_the_girth_and_keeps_it() -> None:
    """Seat out 3.5 with 3 + 1 - 0.6 there: 0.1 goes to the sides and the front crotch seam."""
    done = job(let_out(3.5, "seat seam", "share"))
    note, g = done.notes[0], done.garments[0]
    assert note.status == "made"
    extra = [c for c in note.corrections if c.belongs_to == "cloth"]
    assert sum(c.amount for c in extra) == pytest.approx(0.0, abs=1e-9)
    assert {c.place for c in extra} == {"seat_seam", "side_seam", "front_crotch_seam"}
    assert short_of_cloth(g.after, g.cloth) == []
    pieced = job(let_out(3.5, "seat seam", "piece_on"))
    assert hip(done) == pytest.approx(hip(pieced), abs=0.05)
    assert wrong(done) == []


def test_an_inseam_is_shared_with_the_leg_and_leaves_the_hip() -> None:
    """Below the fork the leg's own side takes it; nothing is let out at hip or waist."""
    done = job(let_out(1.0, "inseam", "share"))
    assert done.notes[0].status == "made"
    assert hip(done) == pytest.approx(hip(job()), abs=0.1)
    extra = [c for c in done.notes[0].corrections if c.belongs_to == "cloth"]
    assert {(c.options["from"], c.options["to"]) for c in extra if c.place == "side_seam"} == {
        ("hem", "crotch")
    }
    assert wrong(done) == []


def test_what_both_legs_lack_alike_is_answered_for_both_whatever_one_hem_did() -> None:
    """The hems differ by half a cm, the inseams lack the same; the legs stay one seam."""
    hems = {"text": "trousers hem R up 1.5 L up 1"}
    plain, note = job(let_out(1.0, "inseam")).notes[0], job(hems, let_out(1.0, "inseam")).notes[1]
    assert [(r.kind, r.side, r.feasible) for r in note.remedies] == [
        (r.kind, r.side, r.feasible) for r in plain.remedies
    ]
    assert note.says == plain.says
    shared = job(hems, let_out(1.0, "inseam", "share"))
    assert shared.notes[1].status == "made"
    assert wrong(shared) == []


def test_on_one_leg_alone_the_fork_stays_and_what_is_then_missing_is_told() -> None:
    """Right back inseam trimmed to 0.7 and 0.4 out: 0.3 lacks up to the fork, which must stay."""
    note = job(let_out(0.4, "inseam"), garment={"trimmed": {"right:back.inseam": 0.7}}).notes[0]
    assert note.status == "short"
    (share,) = [r for r in note.remedies if r.kind == "share"]
    assert (share.side, share.feasible) == ("right", False)
    assert share.text.endswith("; tried, but 0.3 cm would still be missing.")


def test_passing_up_moves_the_cut_cloth_under_the_piece() -> None:
    """Back rise 1.5 longer, 1 there and 0.6 least: 1.1 passed up, and the hem has that less."""
    asked = job({"text": "back rise 1.5 cm longer"})
    assert asked.notes[0].status == "short"
    done = job({"text": "back rise 1.5 cm longer", "remedy": "pass_up"})
    note, g, before = done.notes[0], done.garments[0], asked.garments[0]
    assert note.status == "made"
    (shift,) = [r.shift for r in note.remedies]
    assert shift == pytest.approx(1.1, abs=0.05)
    was, now = before.cloth["right", "back"], g.cloth["right", "back"]
    assert np.array(now.bounds) - np.array(was.bounds) == pytest.approx([0.0, shift, 0.0, shift])
    assert g.cloth["right", "back"] is g.cloth["left", "back"]
    assert g.cloth["right", "front"].equals(before.cloth["right", "front"])
    back = g.after.right.piece("back")
    # hem: 1 + 5 there, 1 least
    assert spare(back, "hem", now, 3.0, 15.0) == pytest.approx(5.0 - shift, abs=0.02)
    assert short_of_cloth(g.after, g.cloth) == []
    # a hem let down afterwards finds so much less: 4.9 of 5 was free, now it is not
    later = job(
        {"text": "back rise 1.5 cm longer", "remedy": "pass_up"}, {"text": "hem 4.5 cm longer"}
    )
    assert later.notes[1].status == "short"
    assert {p for _, p, _ in later.notes[1].shortfalls} == {"back"}


def _skirt_short(garment: Any) -> tuple[Any, Wanted]:
    """A skirt whose front side was cut back to 0.3 of 0.6 least, before anything is asked."""
    fitted = fit(garment, ())
    cloth = {(s, p.name): cloth_as_cut(p) for s in ("right", "left") for p in fitted.right.pieces}
    front = fitted.right.piece("front")
    bare = trim(cloth["right", "front"], front, "side", 0.3)
    cloth["right", "front"] = cloth["left", "front"] = bare
    for name in ("back", "sleeve", "body"):
        cloth["left", name] = cloth["right", name]
    wanted = Wanted(garment, (), (), fitted, cloth, {}, "cm")
    (short,) = worst_of(newly_short(wanted))
    return short, wanted


def test_what_no_correction_can_do_is_marked_by_hand() -> None:
    garment = skirt()
    found = {o.remedy.kind: o for o in offers(*_skirt_short(garment))}
    assert not found["opposite"].remedy.by_hand
    assert [c.amount for c in found["opposite"].corrections] == pytest.approx([-0.3, 0.3], abs=0.05)
    found = {o.remedy.kind: o for o in offers(*_skirt_short(replace(garment, places={})))}
    assert found["opposite"].remedy.by_hand
    assert found["opposite"].remedy.text.startswith("Front, side: by hand: ")
    assert found["opposite"].corrections == ()


def test_the_jacket_takes_a_deeper_bust_dart() -> None:
    """The README's example on four measures: the sleeve's seams have reserve (sources 3.5)."""
    done = job({"text": "bust dart 1 deeper both, waist stays"}, style="jacket")
    assert done.notes[0].status == "made", done.notes[0].says
    sleeve = done.garments[0].draft.piece("sleeve")
    assert {sleeve.edge(n).reserve for n in ("under_front", "under_back")} == {1.0}


def test_the_seat_reserve_runs_out_at_the_fork() -> None:
    """Facts 3.5: seat seam 3-4 tapering to 1 (the allowance) at the crotch."""
    back = job().garments[0].draft.piece("back")
    ring = cut_line(back)
    for edge, whole, bare in (("seat", 4.0, "fork"), ("inseam", 2.0, "fork")):
        e = back.edge(edge)
        assert float(e.reserve_at(np.array([e.distance(bare)]))[0]) == 0.0
        top = e.distance("hip" if edge == "seat" else "thigh")
        assert e.allowance + e.reserve_at(np.array([top])) == pytest.approx(whole)
        # half way along the taper there is half of it, cut as such
        mid = (top + e.distance(bare)) / 2
        at, t = e.runs[0].at(mid), e.runs[0].tangent(mid)
        out = at + (e.allowance + (whole - 1.0) / 2) * np.array([t[1], -t[0]])
        legs = np.stack([ring[:-1], ring[1:]], axis=1)
        assert min(_to_segment(out, a, b) for a, b in legs) < 0.02
    # so an inseam let out takes the fork's allowance only
    fork = back.point("seat:fork")
    assert float(np.hypot(*(ring - fork).T).min()) < 2.0


def _to_segment(p: Any, a: Any, b: Any) -> float:
    t = np.clip((p - a) @ (b - a) / max(float((b - a) @ (b - a)), 1e-15), 0.0, 1.0)
    return float(np.hypot(*(p - a - t * (b - a))))


def test_a_tapered_reserve_is_kept_in_a_frozen_draft_and_old_ones_are_read() -> None:
    draft = job().garments[0].draft
    plain = to_plain(draft)
    again = from_plain(plain)
    assert again.piece("back").edge("seat").reserve_to == ("hip", "fork", 0.0)
    assert np.array_equal(cut_line(again.piece("back")), cut_line(draft.piece("back")))
    for p in plain["pieces"]:
        for e in p["edges"]:
            e["cloth"] = e["cloth"][:3]
    assert from_plain(plain).piece("back").edge("seat").reserve_to is None


def test_a_piece_that_equals_the_draft_is_held_against_its_cloth_too() -> None:
    """Cut 1 further in by a carried correction and trimmed to 1 beyond that; put back, the pieces
    are the draft's own again, and 1 + 0.6 - 1 is missing all along both sides."""
    draft = job().garments[0].draft
    carried = Correction("let_out", "side_seam", "both", {"amount": -1.0})
    spec = GarmentOrder(style="trousers", trimmed={"back.side": 1.0, "front.side": 1.0})
    cloth = cut_cloth(fit(draft, [carried]), spec)
    put_back = fit(draft, [carried, carried.scaled(-1.0)])
    assert put_back.right.piece("back") is draft.piece("back")
    worst = {(p, e): lack for (_, p, e), lack in lacks(short_of_cloth(put_back, cloth)).items()}
    assert worst == pytest.approx({("front", "side"): 0.6, ("back", "side"): 0.6}, abs=0.05)


def test_trimming_one_side_leaves_the_other() -> None:
    done = job(let_out(1.5), garment={"trimmed": {"left:back.side": 1.0}})
    note = done.notes[0]
    backs = {s for s, p, _ in note.shortfalls if p == "back"}
    assert backs == {"left"}
    cloth = done.garments[0].cloth
    assert cloth["right", "front"] is cloth["left", "front"]
    gone = cloth["right", "back"].area - cloth["left", "back"].area
    assert gone > 100.0  # about 2 cm along 106 cm of side seam
    for bad in ("middle:back.side", "right:back.brim", "right:side"):
        with pytest.raises(OrderError, match=r"right:back\.side for one side only"):
            cut_cloth(done.garments[0].before, GarmentOrder(style="trousers", trimmed={bad: 1.0}))


def test_worked_example_d_through_an_order() -> None:
    """Design §6 (d): 1 + 2; taken in 1 and trimmed back to 1 beyond that, so to 0 beyond the line
    as cut; let out 1.5 with 0.6 least: 1.1 is missing."""
    trimmed = {"front.side": 0.0, "back.side": 0.0}
    done = job(
        {"text": "take in side seams 1 cm", "meant": "edge"},
        let_out(1.5),
        garment={"trimmed": trimmed},
    )
    first, second = done.notes
    assert first.status == "made"
    assert {p: x.missing for _, p, x in second.shortfalls} == pytest.approx(
        {"front": 1.1, "back": 1.1}, abs=0.05
    )


def test_what_lacked_before_is_not_laid_to_a_later_note() -> None:
    """A hem note on trousers trimmed below the least is made; the check still tells the lack."""
    spec = {"trimmed": {"back.side": 0.2}}
    done = job({"text": "hem 1 cm longer"}, garment=spec)
    note: NoteResult = done.notes[0]
    assert note.status == "made"
    found = lacks(short_of_cloth(done.garments[0].after, done.garments[0].cloth))
    assert found["right", "back", "side"] == pytest.approx(0.4, abs=0.02)


def test_sheets_say_where_a_reserve_tapers() -> None:
    """Written in the seat's allowance; the notch at the hip is by thread, at the fork nothing is
    kept beyond the allowance."""
    back = job().garments[0].draft.piece("back")
    words = [m.text for m in allowances(back) if isinstance(m, Words)]
    assert "1.0 cm + 3.0 cm reserve tapering to 0 at the fork" in words
    seat = back.edge("seat")
    assert margin_near(seat, back.point("seat:hip")) == pytest.approx((4.0, 3.0), abs=1e-3)
    assert margin_near(seat, back.point("seat:fork")) == pytest.approx((1.0, 0.0), abs=1e-6)
