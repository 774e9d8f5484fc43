"""Cloth taken from other edges: the other edge of a seam, or all edges of a girth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely

from pinwright.cutting.cloth import probe
from pinwright.cutting.girths import mates
from pinwright.cutting.remedy import LAP, OTHER, Remedy, Take, has, who, word
from pinwright.cutting.reserve import SLIGHT, Shortfall, spare
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Ref, Seam, Target


def opposite(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    seams: tuple[Seam, ...],
    unit: LengthUnit,
) -> Remedy | None:
    """Let the other edge of the same seam out instead."""
    best: tuple[float, str, tuple[Take, ...]] | None = None
    for seam in seams:
        if seam.kind not in ("plain", "centre", "yoke"):
            continue
        for near, far in ((seam.a, seam.b), (seam.b, seam.a)):
            at = _stretch(short, near, pieces)
            if at is None:
                continue
            there = _spare_on(far, at, pieces, cloths, seam.mirror)
            if there is not None and (best is None or there[0] > best[0]):
                best = there
    if best is None:
        return None
    amount, whom, on = best
    enough = amount >= short.missing - SLIGHT
    given = min(amount, short.missing)
    text = (
        f"Let out {whom} {said(short.missing, unit)} instead: {said(amount, unit)} more than the "
        "least allowance is there."
        if enough
        else f"{who(whom)} {has(amount, unit, 'only ')} beyond its least allowance, "
        f"{said(short.missing - amount, unit)} too little."
    )
    takes = tuple(replace(t, amount=short.missing) for t in on) if enough else ()
    return Remedy("opposite", text, given, enough, takes=takes)


def _stretch(
    short: Shortfall, refs: tuple[Ref, ...], pieces: Mapping[str, Piece]
) -> tuple[float, float] | None:
    """The shortfall's stretch as fractions of a run of edges, None when it is not on the run."""
    total = sum(pieces[r.piece].edge(r.edge).length for r in refs)
    before = 0.0
    for r in refs:
        length = pieces[r.piece].edge(r.edge).length
        if (r.piece, r.edge) == (short.piece, short.edge):
            lo, hi = short.from_s, short.to_s
            if r.reverse:
                lo, hi = length - hi, length - lo
            return (before + lo) / total, (before + hi) / total
        before += length
    return None


def _spare_on(
    refs: tuple[Ref, ...],
    at: tuple[float, float],
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    mirror: bool,
) -> tuple[float, str, tuple[Take, ...]] | None:
    """Least spare cloth over a stretch of a run, and on which edges it was measured."""
    names = [r.piece + OTHER if mirror and r.piece + OTHER in pieces else r.piece for r in refs]
    sizes = [pieces[n].edge(r.edge).length for n, r in zip(names, refs, strict=True)]
    total, before = sum(sizes), 0.0
    amounts: list[float] = []
    titles: list[str] = []
    takes: list[Take] = []
    for name, r, size in zip(names, refs, sizes, strict=True):
        lo, hi = max(at[0] * total - before, 0.0), min(at[1] * total - before, size)
        before += size
        if hi < lo or name not in cloths:
            continue
        if r.reverse:
            lo, hi = size - hi, size - lo
        amounts.append(spare(pieces[name], r.edge, cloths[name], lo, hi))
        side = " of the other side" if name != r.piece else ""
        titles.append(f"the {pieces[name].title.lower()} {word(r.edge)}{side}")
        takes.append(Take(r.piece, r.edge, name != r.piece, amounts[-1]))
    return (min(amounts), " and ".join(titles), tuple(takes)) if amounts else None


def share(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    targets: Sequence[Target],
    unit: LengthUnit,
) -> Remedy | None:
    """Share it among the other edges that make up the same girth on the same side, by their spare.

    An edge that is not cut yet has no reserve to speak of and is left out.
    """
    own = {name: p for name, p in pieces.items() if not name.endswith(OTHER)}
    p = probe(own[short.piece].edge(short.edge))
    on = (p.s >= short.from_s - 1e-6) & (p.s <= short.to_s + 1e-6)
    levels = p.at[on if on.any() else [int(np.argmin(np.abs(p.s - short.from_s)))], 1]
    shares: list[Take] = []
    for name, edge in mates(short, own, targets):
        piece = own[name]
        if name not in cloths or (piece.cut == "fold" and edge == piece.fold):
            continue
        q = probe(piece.edge(edge))
        same = (q.at[:, 1] >= levels.min() - LAP) & (q.at[:, 1] <= levels.max() + LAP)
        if same.any():
            s = q.s[same]
            amount = spare(piece, edge, cloths[name], float(s.min()), float(s.max()))
            if amount >= SLIGHT:
                shares.append(Take(name, edge, False, amount))
    total = sum(t.amount for t in shares)
    part = min(1.0, short.missing / total) if total else 0.0
    takes = tuple(replace(t, amount=t.amount * part) for t in shares if t.amount * part >= SLIGHT)
    if len(takes) < 2:
        return None
    enough = total >= short.missing - SLIGHT
    listed = ", ".join(
        f"{said(t.amount, unit)} at the {own[t.piece].title.lower()}'s {word(t.edge)}"
        for t in takes
    )
    lead = "Share it" if enough else f"Shared, only {said(total, unit)} can be won"
    return Remedy("share", f"{lead}: {listed}.", min(total, short.missing), enough, takes=takes)
