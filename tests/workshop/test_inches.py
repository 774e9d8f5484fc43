"""The demo's order kept in inches: what is told of cloth and lay is in inches, what is data in cm.

Figures are worked out by hand from cm, the inch 2.54 cm (exact, 1959).
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from pinwright.cli import app, guarded
from pinwright.workshop.demo import demo_order

STAYS = (
    # the test square is a thing to be measured, with a line of 4 in below it
    "10 cm",
    "10.0 cm",
)


def inches(text: str) -> str:
    """The order in inches; lengths that are to stay as they are say that they are cm."""
    head, measures, rest = re.split(r"(?m)^(?=\[measures\]|\[\[garments\]\])", text, maxsplit=2)
    measures = re.sub(r"(?m)^(?!shoulder_slope)(\w+) = ([\d.]+)$", r'\1 = "\2 cm"', measures)
    rest = re.sub(r'(?m)^text = ".*"$', lambda m: re.sub(r"(\d+(\.\d+)?)", r"\1 cm", m[0]), rest)
    return head.replace("[client]", '[client]\nunits = "in"') + measures + rest


WITH = (
    (
        'name = "navy wool serge"\n',
        'name = "navy wool serge"\nlay = "folded"\nlength = 200.0\n'
        "repeat = { across = 3.0, from_selvedge = 0.5, turns = true }\n"
        "flaws = [{ along = [40, 50], across = [-75, 75] }]\n",
    ),
    (
        'name = "pewter cupro"\nwidth = 140.0\nprice = 18.0\nshrink_along = 1.0\nshrink = "first"',
        'name = "pewter cupro"\nwidth = 140.0\nprice = 18.0\nshrink_along = 1.0\n'
        'shrink = "scaled"\nlay = "folded"',
    ),
)
"""A striped cloth folded beside a stripe, flawed right across and too short; a lining that cannot
be shrunk first."""


@pytest.fixture(scope="module")
def order(tmp_path_factory: pytest.TempPathFactory) -> Path:
    text = inches(demo_order())
    for was, now in WITH:
        assert text.count(was) == 1
        text = text.replace(was, now)
    path = tmp_path_factory.mktemp("inches") / "order.toml"
    path.write_text(text)
    # the serge is too short: 1
    assert guarded(lambda: app(["lay", str(path), "--seconds", "2", "--json"])) == 1
    return path


def said(capsys: pytest.CaptureFixture[str], *args: str | Path, rc: int = 0) -> str:
    capsys.readouterr()
    assert guarded(lambda: app([str(a) for a in args], standalone_mode=True)) == rc
    return " ".join(capsys.readouterr().out.split())


def in_cm(text: str) -> list[str]:
    """What is told in cm or m, but for what may be."""
    text = " ".join(text.split())
    for phrase in STAYS:
        text = text.replace(phrase, "")
    return re.findall(r".{0,60}\d ?(?:cm|mm|m)\b.{0,20}", text)


def test_what_is_told_in_cm_is_found_out() -> None:
    assert in_cm("Off as laid on the jacket, bars 0.7 cm.")
    assert in_cm("buy 2.80 m, 112.00 at 40 a metre")
    assert not in_cm("buy 3 1/8 yd, 112.00 at 40 a metre; must measure 10.0 cm both ways")


def test_the_lay_is_told_in_inches(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = said(capsys, "lay", order, rc=1)
    assert not in_cm(told)
    for text in (
        # 150 less half a per cent is 149.25 cm, 58.76 in; 140 is 55.12
        "in of cloth 58 3/4 in wide, folded lengthwise",
        "in of cloth 55 1/8 in wide",
        # 200 less 1 per cent is 198 cm, 77.95 in; 200 are 78.74
        "The cloth navy wool serge has 78 in; the best lay found takes",
        "78 3/4 in become 78 in, and the width of 59 in becomes 58 3/4 in",
        # flaws are given on the cloth as bought: 10 less 1 per cent, 9.9 cm, are 3.90 in
        "3 7/8 in of its length are lost to flaws right across it",
        # 0.5 less half a per cent is 0.4975 cm, 0.196 in
        "The cloth navy wool serge is folded 1/4 in beside a stripe",
        "in is of the cloth as bought",
        "more than there is",
    ):
        assert text in told, text
    # both plies 0.4975 beside a stripe are 0.995 apart, 0.392 in
    assert "right and left trouser front at centre front at the hip, stripes 3/8 in." in told
    # the sleeves' sides differ by half a cm after the fitting
    assert "lining: right and left differ by up to 1/4 in; it is cut once to the larger" in told
    assert "Not matched on the jacket: right and left sleeve at the underarm back, bars" in told
    # the right sleeve is turned by half a cm: its notch goes 0.29 cm, 0.115 in, from the front's
    notch = "right sleeve with right front at the front notch, bars 1/8 in."
    assert f"Off since the fitting on the jacket: {notch}" in told


def test_the_need_and_the_basting_are_told_in_inches(
    order: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    need = said(capsys, "need", order)
    assert "yd, in 95 of 100 cases" in need
    assert not in_cm(need)
    baste = said(capsys, "baste", order)
    assert "in in stitches of" in baste
    assert not in_cm(baste)


def test_the_sheets_are_written_in_inches(
    order: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said(capsys, "sheets", order, "--out", tmp_path)
    papers = sorted(tmp_path.glob("*.pdf"))
    assert {"jacket-large.pdf", "trousers-large.pdf", "lay-a4.pdf"} <= {p.name for p in papers}
    for path in papers:
        text = " ".join(page.extract_text() for page in PdfReader(path).pages)
        assert not in_cm(text), path.name
        if path.name.endswith("large.pdf"):
            assert "notch, cut 1/8 in deep at most" in " ".join(text.split())
    said(capsys, "sheets", order, "--paper", "letter", "--out", tmp_path)
    tiled = PdfReader(tmp_path / "trousers-letter.pdf").pages[0].extract_text()
    assert not in_cm(tiled)
    assert "over its neighbours by 3/8 in so that" in " ".join(tiled.split())
    pages = PdfReader(tmp_path / "lay-a4.pdf").pages
    lay = " ".join(" ".join(page.extract_text() for page in pages).split())
    # a check of 4.5 by 4 cm, a bar 2 from the cut end: 1.77, 1.57 and 0.79 in
    assert "a bar every 1 3/4 in along, one 3/4 in from the cut end" in lay
    assert "a stripe every 1 5/8 in across" in lay


def test_data_stays_in_cm(order: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read = json.loads(said(capsys, "lay", order, "--json", rc=1))
    serge, check, lining = read["lays"][:3]
    assert (serge["cloth"], check["cloth"]) == ("navy wool serge", "ink and chalk check wool")
    assert check["width"] == 148.0  # 150 less selvedges of 1
    assert lining["width"] == 69.0  # folded, less one selvedge
    assert check["length"] > 120.0
    assert read["need"][1]["width"] == 150.0
    assert read["need"][1]["bought"]["used"] == pytest.approx(check["length"], abs=0.001)
    text = order.read_text()
    assert "150 wide, selvedge 1, " in text  # what of a cloth decides its lay
