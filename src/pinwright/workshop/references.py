"""Where the lines of a patterned cloth lie on a garment's pieces, for the sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pinwright.cutting.cuts import Hand, cuts
from pinwright.cutting.matching import matched
from pinwright.cutting.reference_lines import RepeatLine, reference_lines
from pinwright.pattern.hand import as_drawn
from pinwright.sheets.drawn import Drawn, cut_count
from pinwright.sheets.dxf import block_name
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.stock import pieces_of, stocks

Array = NDArray[np.float64]
Own = Mapping[Hand, tuple[RepeatLine, ...]]

HANDS: tuple[Hand, ...] = ("right", "left")


def with_references(
    job: Job, g: GarmentJob, pieces: Sequence[Drawn]
) -> tuple[tuple[Drawn, ...], dict[str, dict[str, Array]]]:
    """A garment's pieces, and by block name the lines of their cloth on them, (k, 2, 2) cm.

    The pieces lie in the repeat as they are drawn, after the fitting. "stripe" where the cloth
    repeats one way, "plaid" where it repeats both ways. A pair that is drawn once, but lies
    otherwise in the repeat on the right than on the left, comes back as its two sides.

    Raises:
        LayError: a rule of matching that is unknown or contradicts another that was asked for.
    """
    every = _lines(job, g)
    shown: list[Drawn] = []
    found: dict[str, dict[str, Array]] = {}
    for drawing in pieces:
        kind, own = every.get(drawing.piece.name, ("", {}))
        right, left = (own.get(h, ()) for h in HANDS)
        for d in as_laid(drawing, right, left):
            shown.append(d)
            lines = left if d.side == "left" or (d.side == "both" and not right) else right
            clipped = [line.within(d.cut_line) for line in lines]
            if any(len(c) for c in clipped):
                found[block_name(d)] = {kind: np.concatenate(clipped)}
    return tuple(shown), found


def _lines(job: Job, g: GarmentJob) -> dict[str, tuple[str, Own]]:
    """By piece what its cloth is, a "stripe" or a "plaid", and the cloth's lines on each side's."""
    found: dict[str, tuple[str, Own]] = {}
    for stock in stocks(job):
        repeat = stock.material.repeat
        layers = {layer for name, layer in stock.wanted if name == g.style.name}
        if not layers or not (repeat.along > 0.0 or repeat.across > 0.0):
            continue
        right, left = (
            {n: p for n, p in half.items() if p.layer in layers} for half in pieces_of(g)
        )
        made = cuts(right, left, g.style.name, stock.material)
        templates = matched(made, g.draft.seams, stock.material, stock.unit).templates
        kind = "plaid" if repeat.along > 0.0 and repeat.across > 0.0 else "stripe"
        for name, own in reference_lines(made, templates, stock.material).items():
            found[name] = (kind, own)
    return found


def as_laid(d: Drawn, right: Sequence[RepeatLine], left: Sequence[RepeatLine]) -> tuple[Drawn, ...]:
    """A piece as it is drawn, or its two sides where they lie otherwise in the repeat."""
    if d.side != "both" or not right or not left:
        return (d,)
    if len(right) == len(left) and all(
        a.agrees(b, d.cut_line) for a, b in zip(right, left, strict=True)
    ):
        return (d,)
    return tuple(
        replace(d, side=h, mirror=h != as_drawn(d.piece), count=cut_count(d.piece, h))
        for h in HANDS
    )
