"""The demo's order and what the demo makes of it."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from pinwright.workshop import demo, drape
from pinwright.workshop.order import load
from tests.drape.pictures.tube import hung as tube
from tests.web.pages import demo_job


def status(text: str) -> str:
    return next(n.status for n in demo_job().notes if text in n.text)


def test_the_order_is_a_full_one() -> None:
    data = tomllib.loads(demo.demo_order())
    assert len(data["measures"]) >= 25
    assert {g["style"] for g in data["garments"]} == {"trousers", "jacket"}
    assert sum(len(f["notes"]) for f in data["fittings"]) >= 10
    assert demo_job().body.estimated, "some measures are missing, so that estimates show"
    assert demo_job().warnings == ()


def test_the_fitting_shows_every_kind_of_note() -> None:
    found = [n.status for n in demo_job().notes]
    assert found.count("made") >= 8
    assert {"made", "short", "asked", "kept", "seen"} == set(found)
    one_sided = [n for n in demo_job().notes if {c.side for c in n.corrections} & {"right", "left"}]
    assert one_sided
    assert status("side seams pinned") == "made"
    assert status("waist measured") == "made"


def test_what_the_cloth_cannot_give_comes_with_options_computed_on_the_cloth() -> None:
    (short,) = [n for n in demo_job().notes if n.status == "short"]
    worst = max(x.missing for _, _, x in short.shortfalls)
    assert worst > 0.5
    assert any(r.feasible for r in short.remedies)
    for r in short.remedies:
        assert r.amount == pytest.approx(worst, abs=1e-6) if r.feasible else r.amount < worst


def test_no_check_is_wrong_before_or_after() -> None:
    for g in demo_job().garments:
        assert [c.name for c in (*g.checks_before, *g.checks_after) if c.verdict == "wrong"] == []


def test_the_demo_writes_everything(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    # how garments really hang takes its time, and is tested for itself
    monkeypatch.setattr(drape, "draped", lambda garb, figure, pose, tell, edge, settle: tube())
    out = tmp_path / "demo-out"
    assert demo.main(["--out", str(out)]) == 0
    order = load(out / "order.toml")
    assert order.client.name == demo_job().order.client.name
    pieces = json.loads((out / "pieces.json").read_text(encoding="utf-8"))
    assert [g["style"] for g in pieces["garments"]] == ["trousers", "jacket"]
    html = (out / "index.html").read_text(encoding="utf-8")
    for href in re.findall(r'href="([^"#]+)"', html):
        assert (out / href).is_file(), href
    assert len(list((out / "recut").glob("*.pdf"))) >= 2
    assert len(list((out / "sheets").glob("*.pdf"))) >= 2
    said = " ".join(capsys.readouterr().out.split())
    for n in demo_job().notes:
        assert n.text in said
    assert "How it hangs Trousers: " in said
    assert f"how it hangs {out / 'drape' / 'drape-sheet.pdf'}, " in said
    assert 'id="drape-title"' in html
    assert "open" in said
    assert "index.html" in said


def test_a_folder_that_cannot_be_written_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    assert demo.main(["--out", str(blocked / "demo-out")]) == 2
    err = capsys.readouterr().err
    assert "pinwright:" in err
    assert "Traceback" not in err
    assert blocked.read_text(encoding="utf-8") == "in the way"
