"""Our draft beside the worked textbook block, point by point (see handbook.py for the source)."""

from __future__ import annotations

from pathlib import Path

import pytest

from .bodies import textbook_body, trousers
from .handbook import ROWS, Row, table

DRAFT = trousers(textbook_body(), hem_round=44.0, above_floor=0.0)
PAGE = Path(__file__).parents[3] / "docs" / "validation" / "trousers.md"


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r.what)
def test_point_by_point(row: Row) -> None:
    assert row.ours(DRAFT) == pytest.approx(row.handbook, abs=row.within)


def test_the_page_shows_this_very_comparison() -> None:
    assert table(DRAFT) in PAGE.read_text(encoding="utf-8")


def test_hip_ease_is_the_textbooks() -> None:
    # sources 2.1, sum checks: hip 98.0 = H + 4.0
    hip = next(t for t in DRAFT.targets if t.name == "hip")
    assert hip.value == pytest.approx(98.0)
