"""Jackets to try corrections on, and the claims every jacket correction must hold to."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import as_drafted
from pinwright.pattern.garment import Garment
from tests.fitting.corrections.claims_trousers import (
    at,
    correction,
    draft,
    holds_together,
    length,
    made,
    moves_exactly,
    right_or_refused,
    step,
)
from tests.fitting.drafts import ordinary

__all__ = [
    "at",
    "correction",
    "good_on_jackets",
    "holds_together",
    "length",
    "made",
    "moves_exactly",
    "ordinary",
    "right_or_refused",
    "stays",
    "step",
]

JACKETS: tuple[tuple[int, tuple[tuple[str, object], ...]], ...] = (
    (0, (("back", "shoulder_dart"),)),
    (43, (("back", "yoke"),)),
    (129, (("back", "shoulder_dart"), ("bust_dart", "side_seam_high"), ("ease", "regular"))),
    (215, (("back", "yoke"), ("ease", "slim"))),
)
"""(row of the open data's women, choices)."""


@lru_cache(maxsize=1)
def jackets() -> tuple[Garment, ...]:
    return tuple(draft("jacket", row, choices) for row, choices in JACKETS)


def good_on_jackets(c: Correction, least: int = len(JACKETS)) -> None:
    """Every check passes at half and full usual amounts, on ``least`` jackets or more."""
    answered = sum(right_or_refused(g, c) for g in jackets())
    assert answered >= least


def stays(garment: Garment, c: Correction, edges: Mapping[str, set[str]]) -> None:
    """The named edges are the drafted ones bit for bit."""
    half = made(garment, c)
    base = as_drafted(garment)
    for piece, names in edges.items():
        for name in names:
            rows = garment.layout.span_ids((piece, name))
            assert (half.ctrl[rows] == base.ctrl[rows]).all(), (piece, name)
