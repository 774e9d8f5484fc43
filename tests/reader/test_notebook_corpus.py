"""The corpus: every line is read as a cutter means it."""

from __future__ import annotations

import pytest

from .notebook_corpus import FIRST, LATER, SECOND, THIRD, TRAPS, Line
from .notebook_expected import differences


def test_the_corpus_is_large_and_of_every_kind() -> None:
    assert len(FIRST) >= 180
    assert {line.status for line in FIRST} == {"understood", "question", "kept", "observation"}


@pytest.mark.parametrize(
    "line", [*FIRST, *LATER, *SECOND, *THIRD, *TRAPS], ids=lambda line: f"{line.text} [{line.g}]"
)
def test_line(line: Line) -> None:
    assert differences(line) == []
