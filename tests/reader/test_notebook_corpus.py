"""The corpus: every line is read as a cutter means it."""

from __future__ import annotations

import pytest

from .notebook_corpus import FIRST, LATER, SECOND, THIRD, TRAPS, Line
from .notebook_corpus_held import HELD
from .notebook_corpus_mended import MENDED
from .notebook_expected import differences


def test_the_corpus_is_large_and_of_every_kind() -> None:
    assert len(FIRST) >= 180
    assert {line.status for line in FIRST} == {"understood", "question", "kept", "observation"}


@pytest.mark.parametrize(
    "line",
    [*FIRST, *LATER, *SECOND, *THIRD, *TRAPS, *MENDED, *HELD],
    ids=lambda line: f"{line.text} [{line.g} {line.unit}]",
)
def test_line(line: Line) -> None:
    assert differences(line) == []
