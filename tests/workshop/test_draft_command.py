"""What the draft command tells: the finished measures, and what the record says since."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from pinwright.errors import DraftError
from pinwright.pattern.seam import Target
from pinwright.workshop.freezing import stale
from pinwright.workshop.job import Job, run
from pinwright.workshop.order import validate
from tests.workshop.test_order import command

BODY = {
    "height": 168.0,
    "bust_girth": 92.0,
    "waist_girth": 74.5,
    "hip_girth": 99.0,
    "worn_waist_girth": 77.0,
    "worn_waist_drop": 2.0,
}
SHAPED = {"style": "trousers", "choices": {"band": "shaped"}}


def job(**more: Any) -> Job:
    data = {
        "format": 1,
        "client": {"name": "Test"},
        "measures": BODY,
        "garments": [SHAPED, {"style": "jacket"}],
        **more,
    }
    return run(validate(data, Path("order.toml")))


def test_finished_measures_are_those_of_the_check_lapped_and_with_what_is_carried(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The fronts lap over by their stands, and the side seam carried in takes 2 off each girth."""
    carried = [{"kind": "let_out", "place": "side_seam", "side": "both", "amount": -0.5}]
    path = tmp_path / "order.json"
    path.write_text(
        json.dumps(
            {
                "format": 1,
                "client": {"name": "Test"},
                "measures": BODY,
                "garments": [SHAPED, {"style": "jacket"}],
                "carried": carried,
            }
        )
    )
    plain, taken_in = job(), job(carried=carried)
    assert command("draft", path, "--json") == 0
    told = json.loads(capsys.readouterr().out)["garments"]
    for row, was, now in zip(told, plain.garments, taken_in.garments, strict=True):
        for name in ("waist", "hip"):
            checked, before = (
                next(
                    c.value
                    for c in g.checks_before
                    if c.group == "finished measures" and c.name == name
                )
                for g in (now, was)
            )
            assert row["targets"][name] == pytest.approx(checked, abs=0.006)
            assert checked == pytest.approx(before - 2.0, abs=0.1)


def test_a_shaped_band_that_was_drafted_for_the_record_is_not_called_stale() -> None:
    """Its upper edge goes by the worn waist as taped, the top of the trousers hangs below it."""
    g = job().garments[0]
    worn: list[Target] = [t for t in g.draft.targets if t.measure == "worn_waist_girth"]
    assert len({t.body for t in worn}) == 2
    assert stale(g.draft, job().body) == ()
    (said,) = stale(g.draft, job(measures={**BODY, "worn_waist_girth": 79.0}).body)
    assert said.startswith(
        "The trousers were drafted for worn waist girth 77.0; the record now says 79.0."
    )


def test_a_measure_corrected_after_freezing_names_the_way_out_and_it_helps(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "order.json"

    def write() -> None:
        data = json.loads(path.read_text()) if path.exists() else {}
        measures = {**BODY, "hip_girth": 112.0} if data else BODY
        order = {"client": {"name": "T"}, "garments": [{"style": "trousers"}]}
        path.write_text(json.dumps({"format": 1, **order, **data, "measures": measures}))

    write()
    assert command("sheets", path, "--out", tmp_path / "s") == 0
    frozen = json.loads(path.read_text())["frozen"]["trousers"]
    write()
    capsys.readouterr()
    assert command("need", path) == 0
    told = " ".join(capsys.readouterr().err.split())
    # taped measures before those that are estimated from them
    assert re.search(r"drafted for (waist|hip) girth [\d.]+; the record now says", told)
    for said in ("hip girth", "99.0", "112.0", "Changed too: ", "thigh girth ("):
        assert said in told
    way_out = re.findall(r"if they are not cut, draft anew with `pinwright (.*?)`", told)
    assert way_out == ["draft ORDER --redo"]
    assert command(*way_out[0].replace("ORDER", str(path)).split()) == 0
    assert json.loads(path.read_text())["frozen"]["trousers"] != frozen
    capsys.readouterr()
    assert command("need", path) == 0
    assert "drafted for" not in capsys.readouterr().err


def test_trousers_are_many_and_a_jacket_is_one() -> None:
    trousers, jacket = (g.draft for g in job().garments)
    assert (trousers.owns, jacket.owns) == ("trousers have", "jacket has")


def test_a_blank_note_is_refused_and_the_order_stays(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "order.json"
    data = {"format": 1, "client": {"name": "T"}, "measures": BODY, "garments": [SHAPED]}
    path.write_text(json.dumps(data))
    before = path.read_text()
    for text in ("", "  "):
        assert command("note", path, text) == 2
        assert "The note is empty" in capsys.readouterr().err
    assert path.read_text() == before


def test_a_waist_no_dart_fits_names_its_measures() -> None:
    odd = {**BODY, "waist_girth": 166.0, "waist_front_arc": 34.5, "waist_back_arc": 31.5}
    with pytest.raises(DraftError, match="check waist and hip girths and arcs"):
        job(measures=odd)
