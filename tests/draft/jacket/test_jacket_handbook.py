"""Ours beside the handbooks: the handbook code against its table, the document against both."""

from __future__ import annotations

from pathlib import Path

import pytest

from .comparison import Row, bodice_rows, sleeve_rows
from .handbook import BunkaBlock

DOCUMENT = Path(__file__).parents[3] / "docs" / "validation" / "jacket.md"
SIZES = ((83.0, 64.0), (88.0, 68.0), (96.0, 78.0))

# sources 2.3, results for bust 83, 88 and 96
TABLE = {
    "half_width": (47.5, 50.0, 54.0),
    "bust_line": (20.62, 21.03, 21.70),
    "back_width": (17.78, 18.40, 19.40),
    "front_width": (16.58, 17.20, 18.20),
    "front_rise": (24.90, 25.90, 27.50),
    "front_neck_width": (6.86, 7.07, 7.40),
    "front_neck_depth": (7.36, 7.57, 7.90),
    "back_neck_width": (7.06, 7.27, 7.60),
    "back_neck_rise": (2.35, 2.42, 2.53),
    "bust_dart": (18.25, 19.5, 21.5),
    "shoulder_dart": (1.79, 1.95, 2.20),
    "suppression": (12.5, 13.0, 12.0),
}


@pytest.mark.parametrize("name", TABLE)
def test_the_handbook_block_gives_the_numbers_of_its_table(name: str) -> None:
    for (bust, waist), want in zip(SIZES, TABLE[name], strict=True):
        assert getattr(BunkaBlock(bust, waist, 38.0), name) == pytest.approx(want, abs=0.0051)


# how far apart the two may lie, and so be explained by the document: cm, degrees for the dart
ALLOWED = {
    "half width at the bust line": 0.001,
    "bust line below the back neck point": 1.2,
    "back width": 0.3,
    "front width": 0.3,
    "side seam from the centre back": 0.75,
    "back neck width": 0.2,
    "back neck rise": 0.1,
    "front neck width": 0.2,
    "front neck depth": 0.2,
    "front neck point above the bust line": 0.6,
    "front shoulder length": 0.65,
    "front shoulder end above the bust line": 0.6,
    "back shoulder end above the bust line": 1.1,
    "back shoulder end from the centre": 0.7,
    "bust point from the centre": 0.4,
    "shoulder dart intake": 0.001,
    "bust dart about the bust point, degrees": 3.3,
    "front armhole depth, dart in the side": 0.15,
}


@pytest.mark.parametrize("size", SIZES)
def test_our_bodice_lies_where_the_handbooks_does(size: tuple[float, float]) -> None:
    rows = bodice_rows(*size)
    assert {name for name, _, _ in rows} == set(ALLOWED)
    for name, book, ours in rows:
        assert ours == pytest.approx(book, abs=ALLOWED[name]), name


def _documented(heading: str) -> dict[str, list[float]]:
    part = DOCUMENT.read_text(encoding="utf-8").split(heading)[1].split("\n## ")[0]
    lines = [line.strip("|").split("|") for line in part.splitlines() if line.startswith("| ")]
    return {row[0].strip(): [float(x) for x in row[1:]] for row in lines[1:]}


def _close(given: list[float], rows: list[Row]) -> None:
    for i, (name, book, ours) in enumerate(rows):
        shown = given[3 * i : 3 * i + 3]
        assert shown == pytest.approx([book, ours, ours - book], abs=0.0101), name


def test_the_document_shows_what_is_computed() -> None:
    bodice = _documented("## Bodice beside")
    sizes = [bodice_rows(*size) for size in SIZES]
    assert set(bodice) == {name for name, _, _ in sizes[0]}
    for rows in zip(*sizes, strict=True):
        _close(bodice[rows[0][0]], list(rows))
    sleeve = _documented("## Sleeve")
    assert set(sleeve) == {name for name, _, _ in sleeve_rows()}
    for row in sleeve_rows():
        _close(sleeve[row[0]], [row])
