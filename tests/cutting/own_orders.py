"""The demo order's garments as they are cut, for tests of the cloth: computed once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Seam
from pinwright.workshop.demo import demo_order
from pinwright.workshop.job import run
from pinwright.workshop.order import parse

Half = dict[str, Piece]


@cache
def garments() -> dict[str, tuple[Half, Half, tuple[Seam, ...]]]:
    """Style -> pieces of the right half, of the left half (pieces by rule included), seams."""
    found = {}
    for g in run(parse(demo_order(), Path("demo.toml"))).garments:
        halves = [
            dict(h.by_name)
            | {p.name: p for p in g.style.derive(h.by_name, replace(h.garment, facts=h.facts))}
            for h in (g.after.right, g.after.left)
        ]
        found[g.spec.style] = (halves[0], halves[1], g.draft.seams)
    return found


def layer(half: Half, *layers: str) -> Half:
    """The pieces of some layers."""
    return {n: p for n, p in half.items() if p.layer in layers}
