"""docs/measures.md says what the program does."""

from __future__ import annotations

from pathlib import Path

from pinwright.measures.tables import PRINTED_BLOCK, filled, printed_block_body
from pinwright.measures.terms import TERMS

DOCUMENT = Path(__file__).parents[2] / "docs" / "measures.md"


def test_the_tables_are_up_to_date() -> None:
    """Else run: python -m pinwright.measures.tables --write docs/measures.md."""
    text = DOCUMENT.read_text(encoding="utf-8")
    assert filled(text) == text
    for name in TERMS:
        assert f"| `{name}`" in text


def test_the_printed_block_is_within_two_standard_errors() -> None:
    body = printed_block_body()
    for term, printed in PRINTED_BLOCK.items():
        assert abs(body[term] - printed) < 2 * body.standard_error(term), term
    for term in ("waist_to_hip", "outside_leg", "waist_to_knee", "body_rise"):  # anchored on it
        assert abs(body[term] - PRINTED_BLOCK[term]) < 0.15
