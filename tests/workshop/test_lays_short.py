"""Lays where something lacks: cloth, a search that failed, a garment that came later."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
import shapely

import pinwright.workshop.laying as laying_module
import pinwright.workshop.lays as lays_module
from pinwright.cli import app, guarded
from pinwright.cutting.lay.placing import placed
from pinwright.cutting.lay.verify import faults
from pinwright.cutting.rules import HANDS
from pinwright.errors import LayError
from pinwright.fitting.ledger import Fitted
from pinwright.sheets.lay_svg import lay_svg
from pinwright.sheets.notches import notches
from pinwright.workshop.freezing import frozen_text
from pinwright.workshop.job import Job, run
from pinwright.workshop.lays import SomeLaidError, kept_text, lays_of
from pinwright.workshop.order import load, parse
from tests.workshop.flannel import ORDER

PATH = Path("order.toml")
SHORT = ORDER.replace("width = 150.0", "width = 150.0\nlength = 120.0")


def _run(text: str) -> Job:
    return run(parse(text, PATH))


def test_with_too_little_cloth_the_lay_is_kept_drawn_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "order.toml"
    path.write_text(SHORT)

    def lay() -> int:
        return guarded(lambda: app(["lay", str(path), "--seconds", "3"], standalone_mode=True))

    assert lay() == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "The cloth grey flannel has 120.0 cm; the best lay found takes" in said
    kept = load(path)
    flannel = next(k for k in kept.lays if k.cloth == "grey flannel")
    assert flannel.length > 120.0
    text = path.read_text()
    assert lay() == 1  # it is reopened, and told again
    assert path.read_text() == text
    found = lays_of(run(kept))[0]
    assert found.kept
    assert found.short in found.remarks
    assert f"{found.length - 120.0:.1f} cm are missing" in found.short
    # the drawing shows where the cloth ends, under pieces that lie beyond
    missing = "the cloth ends here"
    assert missing in lay_svg(found.lays[0], found.material)
    # enough cloth is found: the same lay, and nothing is missing
    longer = lays_of(_run(text.replace("length = 120.0", "length = 400.0")))[0]
    assert longer.kept
    assert longer.short == ""
    assert not faults(longer.lays[0])
    assert missing not in lay_svg(longer.lays[0], longer.material)


def test_a_search_that_fails_loses_no_other_lay(monkeypatch: pytest.MonkeyPatch) -> None:
    def made(stock: Any, *more: Any) -> Any:
        if stock.material.layer != "shell":
            raise LayError("The engine failed.")
        return real(stock, *more)

    real = laying_module.made
    monkeypatch.setattr(lays_module, "made", made)
    with pytest.raises(SomeLaidError, match="engine failed") as failed:
        lays_of(_run(ORDER), seconds=2.0)
    assert [c.stock.key for c in failed.value.lays] == ["grey flannel"]
    # said once, though it failed for every other cloth
    assert str(failed.value).count("failed") == 1


def test_what_no_lay_can_mend_is_said_before_anything_is_laid(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("time was spent")

    monkeypatch.setattr(lays_module, "made", never)
    text = ORDER + '[[cloth]]\nlayer = "pocketing"\nname = "cotton"\nwidth = 9.0\n'
    with pytest.raises(LayError, match="cotton has") as refused:
        lays_of(_run(text))
    assert not isinstance(refused.value, SomeLaidError)


def test_flaws_right_across_an_endless_cloth_are_told() -> None:
    flaw = "flaws = [{ along = [0.0, 500.0], across = [0.0, 150.0] }]"
    text = ORDER.replace("width = 150.0", f"width = 150.0\n{flaw}")
    found = lays_of(_run(text), seconds=2.0)[0]
    assert found.length > 600.0
    assert "500 cm of its length are lost to flaws right across it." in found.remarks


def test_a_garment_that_comes_to_a_cut_cloth_is_laid_in_what_is_left() -> None:
    trousers = kept_text(ORDER, PATH, lays_of(_run(ORDER), seconds=3.0))
    was = {p.piece: p for p in parse(trousers, PATH).lays[0].placed}
    text = (
        trousers.replace("waist_girth", "bust_girth = 90.0\nwaist_girth")
        .replace('style = "trousers"', 'style = "trousers"\ncut = true', 1)
        .replace("[[cloth]]", '[[garments]]\nstyle = "jacket"\ncut = false\n[[cloth]]', 1)
        + "\n[[fittings]]\ndate = 2027-02-01\n"
    )
    found = next(c for c in lays_of(_run(text), seconds=2.0) if c.stock.key == "grey flannel")
    assert not faults(found.lays[0])
    there = {p.piece: p for p in found.first}
    assert all(there[k] == p for k, p in was.items())
    garments = {t.garment for t in found.lays[0].templates}
    assert garments == {"trousers", "jacket"}
    assert any("was cut before; what the jacket needs" in r for r in found.remarks)
    # and then it is kept so
    again = lays_of(_run(kept_text(text, PATH, [found], others=True)), seconds=2.0)
    flannel = next(c for c in again if c.stock.key == "grey flannel")
    assert flannel.kept
    assert flannel.first == found.first


CHECK = """\
format = 1
[client]
name = "Invented for this test"
[measures]
height = 166.0
bust_girth = 90.0
waist_girth = 74.0
hip_girth = 99.0
[[garments]]
style = "jacket"
[garments.choices]
pockets = true
[[cloth]]
layer = "shell"
name = "check"
width = 150.0
repeat = { along = 5.0, across = 4.0, turns = true }
"""


def test_a_pocket_set_lower_at_the_fitting_is_cut_where_it_still_matches() -> None:
    kept = kept_text(CHECK, PATH, lays_of(_run(CHECK), seconds=4.0))
    fitted = kept + "\n[[fittings]]\ndate = 2027-02-01\n[[fittings.notes]]\n"
    fitted += 'text = "patch pocket 1.5 lower"\n'
    job = _run(fitted)
    assert job.notes[0].status == "made", job.notes[0].says
    was, now = (next(iter(lays_of(_run(t), seconds=4.0))) for t in (kept, fitted))
    assert not faults(now.lays[0])
    # measured on the outlines as laid: the bars the pocket shows moved by 1.5 against the front's
    key = "jacket.patch_pocket.right"
    before, after = (
        shapely.Polygon(placed(c.lays[0].template(key), p)).centroid
        for c in (was, now)
        for p in c.lays[0].placements
        if p.key == key
    )
    moved = (after.x - before.x) % 5.0
    assert min(abs(moved - 3.5), abs(moved - 1.5)) < 0.02
    assert not any("pocket" in r for r in now.remarks if r.startswith("Off"))
    # the first cut has not moved
    front = "jacket.front.right"
    assert [p for p in was.first if p.piece == front] == [p for p in now.first if p.piece == front]


def test_what_the_fitting_left_in_its_place_still_matches_and_what_moved_is_told() -> None:
    """The hem goes down and the right sleeve is turned; hip and yoke seam stay where they were."""
    check = CHECK.replace("pockets = true", 'back = "yoke"')
    kept = kept_text(check, PATH, lays_of(_run(check), seconds=3.0))
    fitted = kept + "\n[[fittings]]\ndate = 2027-02-01\n"
    for note in ("jacket hem 1 longer", "sleeve R half a cm forward"):
        fitted += f'[[fittings.notes]]\ntext = "{note}"\n'
    job = _run(fitted)
    assert [n.status for n in job.notes] == ["made", "made"]
    off = [r for r in lays_of(job)[0].remarks if r.startswith("Off")]
    assert not [r for r in off if "back" in r or "yoke" in r]
    # by the notches as they are printed: how far the sleeve's went down from the armhole's
    g = job.garments[0]

    def apart(f: Fitted, hand: Literal["right", "left"]) -> np.ndarray:
        own = notches(f.right if hand == "right" else f.left)
        at = {n: m.at for n in ("front", "sleeve") for m in own[n] if m.name == "front_notch"}
        found: np.ndarray = at["sleeve"] - at["front"]
        return found

    for hand in HANDS:
        across, along = np.abs(apart(g.after, hand) - apart(g.before, hand))
        told = f"{hand} sleeve with {hand} front at the front notch"
        for line, cm in (("bars", along), ("stripes", across)):
            assert any(f"{told}, {line} {cm:.1f} cm." in r for r in off) == (cm > 0.2)
    assert len(off) == 2


def test_what_is_done_for_an_order_is_not_dated_before_it_was_taken() -> None:
    taken = f"date = {dt.date.today() + dt.timedelta(days=40)}"
    text = CHECK.replace("format = 1", f"format = 1\n{taken}")
    order = parse(text, PATH)
    assert order.date is not None
    assert {c.on for c in lays_of(run(order), seconds=2.0)} == {order.date}
    frozen = parse(frozen_text(text, PATH, order, run(order).body), PATH).frozen
    assert {f.on for f in frozen.values()} == {order.date}
    # an order taken long ago, or without a date, has them of today
    assert parse(CHECK, PATH).today == dt.date.today()
    assert order.model_copy(update={"date": dt.date(2020, 1, 1)}).today == dt.date.today()
