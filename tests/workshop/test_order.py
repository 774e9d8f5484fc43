"""Orders: bad input gets one sentence, exit code 2, and the file is untouched."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from pinwright.cli import app, guarded
from pinwright.errors import OrderError
from pinwright.workshop.order import load, write_atomically
from pinwright.workshop.report import styles_data

GOOD = """\
# a comment that must survive
format = 1

[client]
name = "Test Client"

[measures]
height = 168.0
bust_girth = 92.0
waist_girth = 74.5
hip_girth = 99.0

[[garments]]
style = "trousers"

[[garments]]
style = "jacket"
"""


def write(folder: Path, text: str, name: str = "order.toml") -> Path:
    path = folder / name
    path.write_text(text)
    return path


def command(*args: str | Path) -> int:
    return guarded(lambda: app([str(a) for a in args], standalone_mode=True))


BAD = {
    "negative measure": ("waist_girth = 74.5", "waist_girth = -74.5", "waist_girth"),
    "zero measure": ("waist_girth = 74.5", "waist_girth = 0", "waist_girth"),
    "absurd measure": ("waist_girth = 74.5", "waist_girth = 7450", "waist_girth"),
    "not a number": ("waist_girth = 74.5", 'waist_girth = "wide"', "waist"),
    "missing measure": ("waist_girth = 74.5\n", "", "waist_girth"),
    "misspelt measure": ("waist_girth = 74.5", "waist_grith = 74.5", "waist_girth"),
    "unknown style": ('style = "jacket"', 'style = "jackets"', "jacket"),
    "unknown option": ('style = "jacket"', 'style = "jacket"\nchoices = {colar = 3}', "collar"),
    "bad option": ('style = "jacket"', 'style = "jacket"\nchoices = {back = "wings"}', "yoke"),
    "option out of range": (
        'style = "jacket"',
        'style = "jacket"\nchoices = {collar_width = 60}',
        "collar_width",
    ),
    "unknown key": ('name = "Test Client"', 'nam = "Test Client"', "name"),
    "no client name": ('name = "Test Client"', 'name = ""', "client.name"),
    "newer format": ("format = 1", "format = 99", "newer"),
    "no format": ("format = 1", "", "format is missing; an order begins with format = 1."),
    "nothing in it": (GOOD, "", "format is missing"),
    "format of text": ("format = 1", 'format = "one"', "format"),
    "truncated": ('[[garments]]\nstyle = "jacket"\n', '[[garments]]\nstyle = "jac', "not a whole"),
    "damaged draft": (
        '[[garments]]\nstyle = "jacket"\n',
        '[[garments]]\nstyle = "jacket"\n\n[frozen.jacket]\non = 2027-01-01\ndraft = "xyz"\n',
        "frozen draft",
    ),
    "two of a style": ('style = "jacket"', 'style = "trousers"', "two garments"),
    "no garments": (
        '[[garments]]\nstyle = "trousers"\n\n[[garments]]\nstyle = "jacket"\n',
        "",
        "garments",
    ),
}


@pytest.mark.parametrize("name", sorted(BAD))
@pytest.mark.parametrize("verb", ["draft", "check", "note"])
def test_bad_input_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, verb: str
) -> None:
    old, new, said = BAD[name]
    assert old in GOOD
    path = write(tmp_path, GOOD.replace(old, new))
    before = path.read_bytes()
    args: list[str | Path] = [verb, path]
    args += ["hem up 1"] if verb == "note" else []
    assert command(*args) == 2
    text = capsys.readouterr().err.strip()
    assert text.startswith("pinwright: ")
    assert said in text
    assert "\n" not in text
    assert "Traceback" not in text
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["order.toml"]


def test_the_choices_of_a_style_can_be_copied(capsys: pytest.CaptureFixture[str]) -> None:
    """On a screen of 80 columns, as without a screen."""
    assert command("styles") == 0
    words = capsys.readouterr().out.split()
    for style in styles_data():
        for choice in style["choices"]:
            assert choice["name"] in words
            assert str(choice["default"]) in words


def test_no_such_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command("check", tmp_path / "none.toml") == 2
    assert "There is no order" in capsys.readouterr().err


def test_a_folder_or_binary_is_not_an_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert command("check", tmp_path) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert said == f"pinwright: {tmp_path} is a folder, not an order; name the file in it."
    binary = tmp_path / "order.toml"
    binary.write_bytes(bytes(range(256)))
    assert command("check", binary) == 2
    assert "cannot be read" in capsys.readouterr().err


def test_note_keeps_comments_and_adds_the_line(tmp_path: Path) -> None:
    path = write(tmp_path, GOOD)
    assert command("note", path, "trousers hem up 1", "--date", "2027-03-04") == 0
    text = path.read_text()
    assert text.startswith("# a comment that must survive")
    order = load(path)
    assert [n.text for n in order.fittings[0].notes] == ["trousers hem up 1"]
    assert command("note", path, "bust dart 1 deeper", "--date", "2027-03-04") == 0
    assert len(load(path).fittings) == 1
    assert len(load(path).fittings[0].notes) == 2


def test_json_orders_work_the_same(tmp_path: Path) -> None:
    data = {
        "format": 1,
        "client": {"name": "J"},
        "measures": {"height": 168, "bust_girth": 92, "waist_girth": 74.5, "hip_girth": 99},
        "garments": [{"style": "trousers"}],
    }
    path = write(tmp_path, json.dumps(data), "order.json")
    assert command("note", path, "hem up 1", "--date", "2027-03-04") == 0
    assert load(path).fittings[0].notes[0].text == "hem up 1"
    assert command("draft", path) == 0
    assert load(path).frozen


def test_drafting_freezes_the_draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(tmp_path, GOOD)
    assert command("draft", path) == 0
    first = path.read_text()
    assert first.count("draft = ") == 2
    capsys.readouterr()
    assert command("draft", path, "--json") == 0
    assert path.read_text() == first
    shown = json.loads(capsys.readouterr().out)
    assert all(g["frozen_before"] for g in shown["garments"])
    # other measures no longer change the cut garment
    path.write_text(first.replace("waist_girth = 74.5", "waist_girth = 80.0"))
    assert command("check", path, "--json") == 0
    targets = json.loads(capsys.readouterr().out)["garments"][0]["after"]
    waist = next(c for c in targets if c["name"] == "waist")
    assert "74.5" in waist["says"] or waist["value"] < 78


def test_writing_is_atomic(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, GOOD)

    def broken(a: object, b: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", broken)
    with pytest.raises(OrderError, match="unchanged"):
        write_atomically(path, "half")
    assert path.read_text() == GOOD
    assert [p.name for p in tmp_path.iterdir()] == ["order.toml"]


BAD_NOTES = {
    "beyond the limit": ("bust dart 43 deeper both", "refused"),
    "no such place": ("jacket inseam let out 1 per edge", None),
    "two things at once": ("hem up 1 and down 2", None),
    "nothing known": ("the blorf wants a snarkle", None),
    "a question": ("take in the side seams 1 on the jacket", "asked"),
}


@pytest.mark.parametrize("name", sorted(BAD_NOTES))
def test_notes_that_cannot_be_made_are_kept_and_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    """Nothing is lost: the line stays in the order, and nothing is changed silently."""
    text, status = BAD_NOTES[name]
    path = write(tmp_path, GOOD)
    assert command("note", path, text, "--date", "2027-03-04", "--json") == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    assert notes
    assert all(n["status"] != "made" for n in notes)
    assert all(n["says"] for n in notes)
    if status:
        assert {n["status"] for n in notes} == {status}
    assert text in path.read_text()


def test_inches_are_read_and_shown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = GOOD.replace('name = "Test Client"', 'name = "T"\nunits = "in"')
    for cm, inch in (
        ("168.0", '"66 1/8"'),
        ("92.0", '"36 1/4 in"'),
        ("74.5", '"29 3/8"'),
        ("99.0", '"39"'),
    ):
        text = text.replace(f"= {cm}", f"= {inch}")
    path = write(tmp_path, text)
    assert command("draft", path, "--json") == 0
    data = json.loads(capsys.readouterr().out)
    assert 70 < data["garments"][0]["targets"]["waist"] < 80
    assert command("note", path, "trousers hem up 1 1/2 in", "--date", "2027-03-04", "--json") == 0
    note = json.loads(capsys.readouterr().out)["notes"][0]
    assert note["corrections"][0]["amounts"]["amount"] == pytest.approx(-3.81)


def test_answering_and_withdrawing_amend_the_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path, GOOD)
    line: list[str | Path] = [
        "note",
        path,
        "trousers: take in side seams 1",
        "--date",
        "2027-03-04",
        "--json",
    ]
    assert command(*line) == 0
    assert json.loads(capsys.readouterr().out)["notes"][0]["status"] == "asked"
    assert command(*line, "--meant", "fold") == 0
    assert json.loads(capsys.readouterr().out)["notes"][0]["status"] == "made"
    assert len(load(path).fittings[0].notes) == 1
    assert command(*line, "--withdraw") == 0
    assert json.loads(capsys.readouterr().out)["notes"][0]["status"] == "withdrawn"
    assert len(load(path).fittings[0].notes) == 1
