"""The basting plan against what a cutter would write down, and lengths measured by shapely."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
import shapely

from pinwright.cutting.habits import Kept, settled_garment
from pinwright.draft import style
from pinwright.fitting.ledger import fit
from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece, edge
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch
from pinwright.workshop.basting import BastingPlan, Step, basting_plan, cut_now
from pinwright.workshop.basting_order import in_order, role_of
from pinwright.workshop.basting_words import words
from tests.cutting.skirt import skirt
from tests.fitting.drafts import ordinary
from tests.sheets.orders import correction, garment


@lru_cache
def plan(name: str) -> BastingPlan:
    g = garment(name)
    return basting_plan(g, style(name).derive({p.name: p for p in g.pieces}, g))


def measured(piece: Piece, edge: str) -> float:
    return float(sum(shapely.LineString(r.flatten(1e-5)).length for r in piece.edge(edge).runs))


def step(p: BastingPlan, what: str, seam: str = "") -> Step:
    (found,) = [s for s in p.steps if s.what == what and (not seam or seam in s.seams)]
    return found


def test_the_order_of_a_jacket_and_of_trousers() -> None:
    assert [s.what for s in plan("jacket").steps] == [
        *("dart", "dart", "shoulder", "side", "sleeve seam", "sleeve", "neck"),
        *("hem", "hem", "hem", "closing"),
    ]
    assert [s.what for s in plan("trousers").steps] == [
        *("dart", "dart", "side", "inseam", "crotch", "crotch", "band"),
        *("hem", "hem", "closing"),
    ]
    yoked = [r for r, _ in in_order(ordinary("yoke"))]
    assert yoked.index("yoke") < yoked.index("shoulder") < yoked.index("side")


def test_seams_are_known_by_the_graph_and_not_by_their_names() -> None:
    """The same garments with every seam called something else are basted in the same order."""
    for name in ("jacket", "trousers"):
        g = garment(name)
        renamed = replace(
            g,
            seams=tuple(
                replace(s, name=f"s{i}", title=f"s{i}") for i, s in enumerate(reversed(g.seams))
            ),
        )
        assert [r for r, _ in in_order(renamed)] == [r for r, _ in in_order(g)]


def square(name: str, x: float) -> Piece:
    """A plain square panel of 20: hem below, two upright edges, a waist above."""
    a, b, c, d = (np.array([x + u, v]) for u, v in ((0, 0), (20, 0), (20, 20), (0, 20)))
    return Piece(
        name,
        name,
        (
            edge("bottom_hem", "a", Path.line(a, b), "b"),
            edge("outer", "b", Path.line(b, c), "c"),
            edge("top", "c", Path.line(c, d), "d"),
            edge("inner", "d", Path.line(d, a), "a"),
        ),
        np.array([[x + 5.0, 2.0], [x + 5.0, 15.0]]),
    )


def test_a_style_that_comes_later_is_put_in_order_too() -> None:
    """A made-up skirt of two panels with a seam at the centre of the back one."""
    one, two = square("left_panel", 0.0), square("right_panel", 40.0)

    def seam(name: str, kind: str, a: Ref, b: Ref, mirror: bool) -> Seam:
        return Seam(
            name,
            kind,  # type: ignore[arg-type]
            (a,),
            (b,),
            (Station("low", "b", "b"), Station("high", "c", "c")),
            (Stretch(),),
            "low",
            (Give("b", "end"),),
            mirror=mirror,
        )

    centre, outer = Ref("right_panel", "inner"), Ref("right_panel", "outer")
    g = Garment(
        "panels",
        "panels",
        (one, two),
        (
            seam("x", "plain", Ref("left_panel", "outer"), outer, False),
            seam("y", "centre", centre, centre, True),
        ),
    )
    assert [r for r, _ in in_order(g)] == ["centre", "side"]
    assert role_of(g, g.seam("y")) == "centre"
    made = basting_plan(g)
    assert step(made, "centre").length == pytest.approx(20.0)  # once: it joins the two halves
    assert step(made, "side").length == pytest.approx(40.0)  # on the right and on the left
    assert sum(s.length for s in made.steps if s.what == "hem") == pytest.approx(80.0)


def test_what_is_cut_for_the_fitting_and_what_after_it() -> None:
    assert plan("jacket").now == ("Front", "Back", "Sleeve")
    assert {"Collar", "Front facing", "Patch pocket"} <= set(plan("jacket").later)
    assert plan("trousers").now == ("trouser front", "trouser back")
    assert "waistband" in plan("trousers").later
    assert cut_now(garment("jacket").piece("back"))


def test_what_stands_in_for_what_is_not_cut_yet() -> None:
    trousers, jacket = plan("trousers"), plan("jacket")
    tape = step(trousers, "band")
    band = garment("trousers").piece("band")
    assert tape.instead.startswith("instead of the waistband: a tape")
    assert tape.length == pytest.approx(2 * measured(band, "seam"), abs=1e-3)
    strip = step(jacket, "neck")
    assert "instead of the collar: a straight strip of cloth" in strip.instead
    assert set(strip.pieces) == {"Front", "Back"}
    closed = step(jacket, "closing")
    buttons = [m for m in garment("jacket").piece("front").marks if m.kind == "button"]
    assert closed.pins == len(buttons) == 5
    assert jacket.pins == 5
    # a band that is cut with the rest is basted on
    g = garment("trousers")
    now = replace(g.piece("band"), stage="fitting")
    with_band = step(basting_plan(g, (now,)), "band")
    assert with_band.instead == ""
    assert "waistband" in with_band.pieces


def test_the_fly_is_left_open_and_pinned() -> None:
    front = garment("trousers").piece("front")
    e = front.edge("centre")
    line = shapely.LineString(np.concatenate([r.flatten(1e-5) for r in e.runs]))
    fly = line.project(shapely.Point(front.point("centre:fly_end")))
    got = step(plan("trousers"), "crotch", "front_centre")
    assert got.open_length == pytest.approx(fly, abs=1e-3)
    assert got.length == pytest.approx(line.length - fly, abs=1e-3)
    assert step(plan("trousers"), "closing").pins == int(np.ceil(fly / 4.0))


def test_lengths_of_basting() -> None:
    g = garment("jacket")
    front, back = g.piece("front"), g.piece("back")
    hole = measured(front, "armhole") + measured(back, "armhole")
    set_in = step(plan("jacket"), "sleeve")
    assert set_in.length == pytest.approx(2 * hole, abs=1e-3)
    assert set_in.stitch_length < step(plan("jacket"), "side").stitch_length
    assert plan("jacket").length == pytest.approx(sum(s.length for s in plan("jacket").steps))
    seat = step(plan("trousers"), "crotch", "seat")
    assert seat.length == pytest.approx(
        measured(garment("trousers").piece("back"), "seat"), abs=1e-3
    )


def test_ease_is_shared_between_the_notches() -> None:
    g = garment("jacket")
    eased = step(plan("jacket"), "sleeve").eased
    assert [(x.start, x.end) for x in eased] == [
        ("front_notch", "shoulder"),
        ("shoulder", "back_notch"),
    ]
    assert all(x.of == ("Sleeve",) for x in eased)
    hole = measured(g.piece("front"), "armhole") + measured(g.piece("back"), "armhole")
    assert sum(x.cm for x in eased) == pytest.approx(
        measured(g.piece("sleeve"), "cap") - hole, abs=0.02
    )
    # the back shoulder is the longer one
    (shoulder,) = step(plan("jacket"), "shoulder").eased
    assert shoulder.of == ("Back",)
    assert shoulder.cm == pytest.approx(0.5)
    assert shoulder.stretched == ()


def test_the_back_inseam_is_stretched_and_no_front_is_eased() -> None:
    (x,) = step(plan("trousers"), "inseam").eased
    assert (x.start, x.end) == ("fork", "thigh")
    assert x.stretched == ("trouser back",)
    g = garment("trousers")

    def upper(name: str) -> float:
        e = g.piece(name).edge("inseam")
        return abs(e.distance("thigh") - e.distance("fork"))

    assert upper("front") - upper("back") == pytest.approx(x.cm, abs=0.02)
    said = " ".join(words(plan("trousers")))
    assert "trouser back stretched 0.5 cm from fork to thigh" in said
    assert "trouser front eased in" not in said


def test_what_is_marked_with_thread() -> None:
    traces = {(t.piece, t.line): t for t in plan("trousers").traces}
    assert traces["trouser back", "seat"].why == "net line with reserve beyond it"
    assert ("trouser front", "inseam") not in traces
    assert traces["trouser front", "pocket opening"].why == "not cut yet"
    assert traces["trouser front", "waist"].why == "net line; waistband set on later"
    assert {"hip", "crotch", "knee", "crease", "hem"} <= {n for _, n in traces}
    side = measured(garment("trousers").piece("front"), "side")
    assert traces["trouser front", "side"].length == pytest.approx(2 * side, abs=1e-3)
    jacket = {(t.piece, t.line): t for t in plan("jacket").traces}
    assert jacket["Back", "centre"].why == "centre line, on the fold"
    assert jacket["Back", "centre"].length == pytest.approx(
        measured(garment("jacket").piece("back"), "centre"), abs=1e-3
    )
    assert jacket["Front", "centre front"].why == "centre line"
    assert jacket["Front", "hip"].why == "level line"
    assert jacket["Front", "neck"].why == "net line; collar set on later"


def test_a_reserve_that_is_left_out_is_not_traced() -> None:
    g = settled_garment(garment("trousers"), Kept({"side_seam": 0.0}, {}))
    lines = {(t.piece, t.line) for t in basting_plan(g).traces}
    assert ("trouser front", "side") not in lines
    assert ("trouser back", "seat") in lines


def test_a_plan_after_a_correction_has_its_lengths() -> None:
    g = garment("trousers")
    fitted = fit(g, (correction("hem", "trouser_hem", 3.0),))
    before, after = basting_plan(g), basting_plan(g, fitted.right.pieces)
    side = measured(fitted.right.piece("front"), "side")
    assert step(after, "side").length == pytest.approx(2 * side, abs=1e-3)
    assert abs(step(after, "side").length - step(before, "side").length) > 5.0


def test_a_plan_as_data_and_in_words() -> None:
    for name in ("trousers", "jacket"):
        data = json.loads(json.dumps(plan(name).as_data()))
        assert data["steps"][0]["what"] == "dart"
        assert data["length"] == pytest.approx(plan(name).length)
        said = words(plan(name))
        assert sum(line.split(".")[0].isdigit() for line in said) == len(plan(name).steps)
        assert any(f"the {plan(name).pins} pins left in" in line for line in said)
        assert any("iron off" in line for line in said)
        inches = "\n".join(words(plan(name), "in"))
        assert " cm" not in inches
        assert " in" in inches
    bare = basting_plan(skirt())
    assert bare.pins == 0
    assert "Count the needles before the fitting and after it" in bare.cautions[0]


def test_nothing_is_said_twice() -> None:
    said = [*words(plan("trousers")), *words(plan("jacket"))]
    for line in (
        "- trouser front: line of the hem, ",
        "- trouser front: crease, ",
        "- trouser front: pocket opening (not cut yet), ",
        "- trouser front: waist (net line; waistband set on later), ",
        "- trouser front: hip (level line), ",
        "- back: centre line, on the fold, ",
    ):
        assert any(s.startswith(line) for s in said), line
    dart = next(s for s in said if "dart" in s)
    assert dart.endswith("folded towards the centre.")
    assert any(s.endswith(" pins.") and "Fly closed with pins" in s for s in said)
    hem = next(s for s in said if "Hem, turned up" in s)
    assert hem.count("turned up") == hem.count("trouser front") == 1
    # the sewer's word first, the class of the stitch only in brackets (ISO 4915, from memory)
    (all_in,) = [s for s in words(plan("jacket")) if s.startswith("Basting in all")]
    assert all_in.endswith(
        ": running stitch by hand (ISO 4915 class 200), or single-thread chainstitch by machine "
        "(ISO 4915 type 101)."
    )
    # how often a piece is cut, in its title, is not said in a list of pieces
    later = next(s for s in said if s.startswith("Cut after it") and "fly" in s)
    assert "(" not in later
