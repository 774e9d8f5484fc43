"""A lay is kept in the order: reopened as it was, laid anew only when something changed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import pinwright.workshop.laying as lays_module
import pinwright.workshop.second_cut as second_cut_module
from pinwright.cutting.lay.placing import Field, Lay, Placement, Template, placed, turned
from pinwright.cutting.lay.verify import faults
from pinwright.errors import LayError, OrderError
from pinwright.workshop.freezing import frozen_text
from pinwright.workshop.job import Job, run
from pinwright.workshop.lay_files import write_lays
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.lays import kept_lays, kept_rows, kept_text, lays_of
from pinwright.workshop.order import KeptPlace, Order, edited, parse
from pinwright.workshop.second_cut import second_cut
from pinwright.workshop.stock import pieces_of, stocks
from tests.lay.shapes import box, template
from tests.workshop.flannel import ORDER as FLANNEL

ORDER = (
    FLANNEL
    + """\
[[cloth]]
layer = "pocketing"
name = "cotton"
width = 90.0
"""
)


def _run(text: str) -> Job:
    return run(parse(text, Path("order.toml")))


def _kept(text: str, found: tuple[ClothLay, ...]) -> str:
    return edited(text, Path("order.toml"), {"lays": kept_rows(found)})


@pytest.fixture(scope="module")
def laid() -> tuple[str, tuple[ClothLay, ...]]:
    found = lays_of(_run(ORDER), seconds=4.0)
    return _kept(ORDER, found), found


def _never(*_: object, **__: object) -> None:
    raise AssertionError("a kept lay was laid anew")


def test_every_piece_of_the_garment_lies_on_a_cloth_once(
    laid: tuple[str, tuple[ClothLay, ...]],
) -> None:
    job = _run(ORDER)
    _, found = laid
    want: list[str] = []
    for p in pieces_of(job.garments[0], "cut")[0].values():
        want += [p.name] * (2 * p.count if p.cut == "pair" else p.count)
    there = [t.piece for c in found for lay in c.lays for t in lay.templates]
    assert sorted(there) == sorted(want)
    for c in found:
        for lay in c.lays:
            assert faults(lay) == ()
            outlines = [shapely.Polygon(placed(lay.template(p.key), p)) for p in lay.placements]
            whole = shapely.union_all(outlines)
            assert whole.area == pytest.approx(sum(o.area for o in outlines), rel=1e-9)
            x0, y0, _, y1 = whole.bounds
            # the length reaches to what is held back for the second cut
            x1 = max(
                float(turned(np.array(t.taken.exterior.coords), p.rotation)[:, 0].max()) + p.x
                for p in lay.placements
                for t in (lay.template(p.key),)
            )
            assert x0 >= -1e-6
            assert y0 >= -1e-6
            assert y1 <= c.material.usable + 1e-6
            assert x1 == pytest.approx(lay.length, abs=0.01)


def test_a_kept_lay_is_reopened_exactly_and_nothing_is_laid(
    laid: tuple[str, tuple[ClothLay, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, found = laid
    monkeypatch.setattr(lays_module, "solve", _never)
    again = lays_of(_run(text))
    for was, now in zip(found, again, strict=True):
        assert now.kept
        assert now.first == was.first
        for a, b in zip(was.lays, now.lays, strict=True):
            assert b.length == pytest.approx(a.length, abs=0.006)
            for p, q in zip(a.placements, b.placements, strict=True):
                assert np.allclose([p.x, p.y], [q.x, q.y], atol=5.1e-5)
                assert p.rotation == q.rotation


def test_the_orders_text_keeps_its_comments_and_reads_back(
    laid: tuple[str, tuple[ClothLay, ...]],
) -> None:
    text, found = laid
    assert "# a comment that must survive" in text
    order = parse(text, Path("order.toml"))
    assert len(order.lays) == len(found)
    again = edited(text, Path("order.toml"), {"lays": kept_rows(found)})
    assert again.count("[[lays]]") == len(found)
    plain = json.dumps(order.model_dump(mode="json", exclude={"lays"}))
    as_json = edited(plain, Path("order.json"), {"lays": kept_rows(found)})
    assert parse(as_json, Path("order.json")).lays == order.lays


def test_another_width_is_laid_anew_and_said(laid: tuple[str, tuple[ClothLay, ...]]) -> None:
    text, _ = laid
    changed = text.replace("width = 150.0", "width = 140.0")
    cloth = lays_of(_run(changed), seconds=2.0)
    assert not cloth[0].kept
    assert any("not what it was" in r for r in cloth[0].remarks)
    assert cloth[1].kept


def test_other_choices_are_laid_anew_and_said(laid: tuple[str, tuple[ClothLay, ...]]) -> None:
    text, _ = laid
    changed = text.replace('style = "trousers"', 'style = "trousers"\nchoices = { fit = "loose" }')
    cloth = lays_of(_run(changed), seconds=2.0)
    assert not cloth[0].kept
    assert any("changed since" in r for r in cloth[0].remarks)


def _fitted(text: str, *notes: str) -> str:
    lines = "".join(f'[[fittings.notes]]\ntext = "{n}"\n' for n in notes)
    return f"{text}\n[[fittings]]\ndate = 2027-02-01\n{lines}"


def test_the_fitting_leaves_the_first_cut_where_it_lies(
    laid: tuple[str, tuple[ClothLay, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, found = laid
    monkeypatch.setattr(lays_module, "solve", _never)
    job = _run(_fitted(text, "waistband: waist measured 77"))
    assert job.notes[0].status == "made"
    now = lays_of(job)
    shell = now[0]
    assert shell.kept
    was = {p.key: p for p in found[0].lays[0].placements}
    lay = shell.lays[0]
    assert faults(lay) == ()
    band = pieces_of(job.garments[0])[0]["band"]
    for t in lay.templates:
        if t.stage == "fitting":
            p = next(p for p in lay.placements if p.key == t.key)
            assert np.allclose([p.x, p.y], [was[t.key].x, was[t.key].y], atol=5.1e-5)
        if t.piece == "band":
            # the band lies there as the fitting left it
            width = float(np.ptp(t.outline[:, 0]))
            edge = band.edge("upper") if band.name == "upper" else band.edges[0]
            assert width > edge.length


BAND = "waistband: waist measured 80"
PATH = Path("order.toml")


def test_a_second_cut_laid_anew_is_kept_and_not_laid_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # The halves of the band's interfacing lie in a row, 2.3 cm apart: one is held back round each,
    # and the gap. Each gains 3 cm.
    text = ORDER + '[[cloth]]\nlayer = "interfacing"\nname = "tape"\nwidth = 7.0\nselvedge = 0.0\n'
    text = _fitted(kept_text(text, PATH, lays_of(_run(text), seconds=2.0)), BAND)
    monkeypatch.setattr(second_cut_module, "SECOND_SECONDS", 0.3)
    monkeypatch.setattr(lays_module, "solve", _never)
    found = lays_of(_run(text))
    tape = next(c for c in found if c.stock.key == "tape")
    assert len(tape.second) == 2
    assert any("laid anew round the first cut" in r for r in tape.remarks)
    assert all(not faults(x) for c in found for x in c.lays)
    text = kept_text(text, PATH, found)
    monkeypatch.setattr(second_cut_module, "filled", _never)
    for again in (lays_of(_run(text)), kept_lays(_run(text))[0]):
        assert kept_text(text, PATH, again) == text
        for was, now in zip(found, again, strict=True):
            there = {p.key: p for x in now.lays for p in x.placements}
            for p in (p for x in was.lays for p in x.placements):
                assert np.allclose([p.x, p.y], [there[p.key].x, there[p.key].y], atol=5.1e-5)


def _rectangle(key: str, along: float, across: float, **more: Any) -> Template:
    outline = np.array([[0.0, 0.0], [along, 0.0], [along, across], [0.0, across]])
    return Template(key, "skirt", key, "both", outline, **more)


def test_a_second_cut_that_a_remnant_cannot_hold_goes_on_the_cloth(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # the band grows from 18 to 25 cm; the remnant is 20 cm long, beside the front are 30 by 20 free
    front = _rectangle("front", 50.0, 80.0)
    pocket, band = (_rectangle(k, 18.0, 4.0, stage="after") for k in ("pocket", "band"))
    corners = np.array([[0.0, 0.0], [20.0, 0.0], [20.0, 10.0], [0.0, 10.0]])
    lays = (
        Lay(Field(100.0), (front,), (Placement("front", 0.0, 0.0),), 50.0),
        Lay(
            Field(10.0, 20.0, outline=corners, name="offcut"),
            (pocket, band),
            (Placement("pocket", 0.0, 0.0), Placement("band", 0.0, 5.0)),
            18.0,
        ),
    )
    now = (front, pocket, _rectangle("band", 25.0, 4.0, stage="after"))
    shown, second, remarks = second_cut(lays, now)
    assert [faults(x) for x in shown] == [(), ()]
    assert {p.piece: p.field for p in second} == {"pocket": 1, "band": 0}
    assert shown[0].placements[0] == Placement("front", 0.0, 0.0)
    assert shown[0].length == 50.0
    assert len(remarks) == 1
    monkeypatch.setattr(second_cut_module, "filled", _never)
    again, kept, said = second_cut(lays, now, second)
    assert kept == second
    assert said == ()
    for a, b in zip(shown, again, strict=True):
        assert {p.key for p in a.placements} == {p.key for p in b.placements}


def test_a_second_place_of_what_is_cut_already_is_not_heeded() -> None:
    front = _rectangle("front", 50.0, 80.0)
    band = _rectangle("band", 18.0, 4.0, stage="after")
    lay = Lay(
        Field(100.0),
        (front, band),
        (Placement("front", 0.0, 0.0), Placement("band", 0.0, 90.0)),
        50.0,
    )
    moved = KeptPlace(piece="front", x=0.0, y=5.0)
    now = (front, _rectangle("band", 20.0, 4.0, stage="after"))
    shown, _, _ = second_cut((lay,), now, (moved,))
    assert Placement("front", 0.0, 0.0) in shown[0].placements


def test_what_is_all_cut_from_a_remnant_takes_no_cloth_and_is_reopened() -> None:
    text = ORDER.replace(
        "width = 90.0", "width = 90.0\nremnants = [{ length = 60.0, width = 80.0 }]"
    )
    found = lays_of(_run(text), seconds=2.0)
    cotton = next(c for c in found if c.stock.key == "cotton")
    assert cotton.length == 0.0
    assert len(cotton.lays[1].placements) == len(cotton.first) == 4
    kept = kept_text(text, PATH, found)
    assert all(c.kept for c in lays_of(_run(kept), seconds=2.0))
    # a place on a remnant that the order does not have is not passed over
    lost = kept.replace("field = 1", "field = 7")
    cotton = next(c for c in lays_of(_run(lost), seconds=2.0) if c.stock.key == "cotton")
    assert not cotton.kept
    assert any("on a remnant that is not there" in r for r in cotton.remarks)


def test_a_lay_is_reopened_whatever_the_last_digits_of_its_length(
    laid: tuple[str, tuple[ClothLay, ...]],
) -> None:
    text, found = laid
    lay = found[0].lays[0]
    # as if everything lay further along: to 0.01 cm the length would be rounded down by the most
    by = 0.00497 - lay.length % 0.01 + 0.01
    moved = replace(
        lay,
        length=lay.length + by,
        placements=tuple(replace(p, x=p.x + by) for p in lay.placements),
    )
    assert not faults(moved)
    first = tuple(
        p.model_copy(update={"x": q.x + 4.5e-5})
        for p, q in zip(found[0].first, moved.placements, strict=True)
    )
    there = (replace(found[0], lays=(moved,), first=first), *found[1:])
    assert lays_of(_run(kept_text(text, PATH, there)))[0].kept


def test_cloth_reckoned_with_is_not_taken_for_one_of_the_order() -> None:
    text = ORDER + '[[garments]]\nstyle = "jacket"\n[[cloth]]\nlayer = "interfacing"\n'
    job = _run(
        text.replace("hip_girth", "bust_girth = 90.0\nhip_girth")
        + 'garments = ["jacket"]\nwidth = 90.0\n'
    )
    there = stocks(job)
    keys = [s.key for s in there]
    assert len(set(keys)) == len(keys)
    assert "interfacing" in keys
    assert "interfacing for the trousers" in keys


def test_cloths_whose_names_come_out_alike_have_files_of_their_own(
    laid: tuple[str, tuple[ClothLay, ...]], tmp_path: Path
) -> None:
    text, found = laid
    lays = [
        replace(c, stock=replace(c.stock, key=k)) for c, k in zip(found, "呢布里", strict=False)
    ]
    lays = [
        replace(c, stock=replace(c.stock, material=replace(c.material, layer="shell")))
        for c in lays
    ]
    files = write_lays(_run(text), lays, tmp_path, forms=("svg",))
    assert len(files) == len(set(files)) == len(lays) > 1


def test_habits_that_come_after_the_draft_was_frozen_are_told() -> None:
    text = frozen_text(ORDER, PATH, parse(ORDER, PATH), _run(ORDER).body)
    habits = "[habits]\nreserve = { side_seam = 3.0 }\n"
    late = _run(text + habits)
    assert late.garments[0].draft.piece("front").edge("side").reserve != 3.0
    assert any("frozen with other habits" in r and "--redo" in r for r in late.remarks)
    early = frozen_text(ORDER + habits, PATH, parse(ORDER + habits, PATH), _run(ORDER).body)
    job = _run(early)
    assert job.garments[0].draft.piece("front").edge("side").reserve == 3.0
    assert not any("frozen" in r for r in job.remarks)


@pytest.mark.parametrize("value", ["nan", "inf"])
def test_a_repeat_that_begins_nowhere_is_one_sentence(value: str) -> None:
    text = ORDER.replace(
        "width = 150.0", f"width = 150.0\nrepeat = {{ along = 5.0, from_start = {value} }}"
    )
    with pytest.raises(LayError, match=f"repeat lies {value} cm from the start"):
        lays_of(_run(text), seconds=2.0)


def test_a_cloth_for_a_garment_that_is_not_there_is_one_sentence() -> None:
    with pytest.raises(OrderError, match="cloth 'grey flannel' is for 'jacket'"):
        stocks(
            _run(
                ORDER.replace(
                    'name = "grey flannel"', 'name = "grey flannel"\ngarments = ["jacket"]'
                )
            )
        )


def test_a_cloth_narrower_than_a_piece_names_both() -> None:
    narrow = ORDER.replace("width = 150.0", "width = 30.0")
    with pytest.raises(LayError, match=r"(?i)trouser (front|back).*cm"):
        lays_of(_run(narrow), seconds=2.0)


def test_too_little_cloth_says_how_much_is_missing() -> None:
    short = ORDER.replace("width = 150.0", "width = 150.0\nlength = 90.0")
    with pytest.raises(LayError, match=r"\d+ cm"):
        lays_of(_run(short), seconds=2.0)


def test_orders_without_lays_are_as_before() -> None:
    order = parse(ORDER, Path("order.toml"))
    assert isinstance(order, Order)
    assert order.lays == ()


def test_cloth_that_is_cut_is_not_laid_anew_even_when_asked(
    laid: tuple[str, tuple[ClothLay, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, found = laid
    monkeypatch.setattr(lays_module, "solve", _never)
    job = _run(_fitted(text, "waistband: waist measured 77"))
    again = lays_of(job, again=True)
    assert again[0].first == found[0].first
    for c in again:
        anew = any("was laid anew round the first cut" in r for r in c.remarks)
        what = "only what is cut after the fitting was" if anew else "nothing was"
        assert c.remarks[0] == f"It is cut by its kept lay, which stays: {what} laid anew."
    # the pockets are as they were
    assert "nothing was" in next(c for c in again if c.stock.key == "cotton").remarks[0]
    assert not any("kept lay" in r for c in lays_of(job) for r in c.remarks)
    changed = _fitted(text.replace("width = 150.0", "width = 140.0"), "looks well")
    with pytest.raises(LayError, match="it is cut by its kept lay"):
        lays_of(_run(changed))


def test_what_the_fitting_did_not_change_stays_where_cloth_was_held_for_it() -> None:
    front = template("front", box(30.0, 50.0))
    collar, flap = (template(k, box(8.0, 8.0), stage="after", kept=1.0) for k in ("collar", "flap"))
    places = (
        Placement("front", 0.0, 0.0),
        Placement("collar", 35.0, 22.0),
        Placement("flap", 35.0, 33.0),
    )
    was = Lay(Field(50.0), (front, collar, flap), places, 50.0)
    assert faults(was) == ()
    # 14 across from 22 reaches 36, past the flap's 33; below it 24 are free
    longer = template("collar", box(8.0, 14.0), stage="after")
    now = [longer, template("flap", box(8.0, 8.0), stage="after")]
    (lay,), kept, told = second_cut((was,), now)
    assert faults(lay) == ()
    assert lay.length == pytest.approx(50.0)
    at = {p.key: p for p in lay.placements}
    assert (at["front"], at["flap"]) == (places[0], places[2])
    assert at["collar"] != places[1]
    assert len(told) == 1
    # kept, it opens again where it was put, and nothing more is told
    (again,), _, silent = second_cut((was,), now, kept)
    assert silent == ()
    assert {p.key for p in again.placements} == set(at)
    for p in again.placements:
        assert np.allclose([p.x, p.y], [at[p.key].x, at[p.key].y], atol=5.1e-5), p.key
