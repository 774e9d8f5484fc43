"""What a cutter does where cloth is missing, each way computed on the cloth that is there.

Common practice throughout; the limits a house keeps are arguments.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from pinwright.cutting.cloth import edge_cloth, probe
from pinwright.cutting.cutline import is_hem
from pinwright.cutting.reserve import Shortfall, spare
from pinwright.measures.units import LengthUnit, format_length
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Ref, Seam

RemedyKind = Literal["opposite", "share", "piece_on", "face_hem", "pass_up", "iron"]

JOIN = 0.6
"""Allowance kept on each side of a join when a strip is pieced on, cm (common practice)."""

LAP = 2.0
"""How far a pieced strip runs on past each end of what is missing, cm (common practice)."""

IRON = 0.5
"""What iron work may win along an edge of wool, cm (common practice; nothing on most else)."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to answer a shortfall: ``amount`` cm it gives, ``feasible`` if that is enough."""

    kind: RemedyKind
    text: str
    amount: float
    feasible: bool


def options(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    seams: tuple[Seam, ...] = (),
    *,
    iron: float = IRON,
    unit: LengthUnit = "cm",
) -> tuple[Remedy, ...]:
    """The ways to make good a shortfall, those that suffice first, in the trade's order.

    ``pieces`` are the corrected pieces, ``cloths`` the cloth of each that is cut already (a piece
    not yet cut is simply cut larger, so it has no entry). A seam between right and left finds the
    same edge on the other side under "<piece>:other" in both mappings, else the same piece's own.
    """
    ways = [
        _opposite(short, pieces, cloths, seams, unit),
        _share(short, pieces, cloths, seams, unit),
        _pass_up(short, pieces, cloths, unit),
        _face_hem(short, pieces[short.piece], cloths[short.piece], unit),
        _iron(short, iron, unit),
        _piece_on(short, pieces[short.piece], cloths[short.piece], unit),
    ]
    found = [w for w in ways if w is not None]
    return tuple(sorted(found, key=lambda w: not w.feasible))


def _opposite(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    seams: tuple[Seam, ...],
    unit: LengthUnit,
) -> Remedy | None:
    """Let the other edge of the same seam out instead."""
    best: tuple[float, str] | None = None
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
    amount, who = best
    enough = amount >= short.missing - 1e-9
    given = min(amount, short.missing)
    text = (
        f"Let out {who} {_cm(short.missing, unit)} instead: {_cm(amount, unit)} more than the "
        "least allowance is there."
        if enough
        else f"{_who(who)} has only {_cm(amount, unit)} beyond its least allowance, "
        f"{_cm(short.missing - amount, unit)} too little."
    )
    return Remedy("opposite", text, given, enough)


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
) -> tuple[float, str] | None:
    """Least spare cloth over a stretch of a run, and on which edge it was measured."""
    names = [
        f"{r.piece}:other" if mirror and f"{r.piece}:other" in pieces else r.piece for r in refs
    ]
    sizes = [pieces[n].edge(r.edge).length for n, r in zip(names, refs, strict=True)]
    total, before = sum(sizes), 0.0
    amounts: list[float] = []
    titles: list[str] = []
    for name, r, size in zip(names, refs, sizes, strict=True):
        lo, hi = max(at[0] * total - before, 0.0), min(at[1] * total - before, size)
        before += size
        if hi < lo or name not in cloths:
            continue
        if r.reverse:
            lo, hi = size - hi, size - lo
        amounts.append(spare(pieces[name], r.edge, cloths[name], lo, hi))
        side = " of the other side" if name != r.piece else ""
        titles.append(f"the {pieces[name].title.lower()} {_word(r.edge)}{side}")
    return (min(amounts), " and ".join(titles)) if amounts else None


def _share(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    seams: tuple[Seam, ...],
    unit: LengthUnit,
) -> Remedy | None:
    """Share it among all edges of the garment that run the same way at the same level."""
    e = pieces[short.piece].edge(short.edge)
    p = probe(e)
    out = p.out[int(np.argmin(np.hypot(*(p.at - short.where).T)))]
    axis = 0 if abs(out[0]) >= abs(out[1]) else 1
    sewn = {(r.piece, r.edge) for s in seams for r in (*s.a, *s.b)}
    shares: list[tuple[float, str]] = []
    for name, piece in pieces.items():
        if name not in cloths or (axis == 1 and name != short.piece):
            continue
        for other in piece.edges:
            here = (name.removesuffix(":other"), other.name)
            if (name, other.name) == (short.piece, short.edge) or (sewn and here not in sewn):
                continue
            q = probe(other)
            level = 1 - axis
            gap = np.abs(q.at[:, level] - short.where[level])
            same = (gap < 4.0) & (np.abs(q.out[:, axis]) > 0.7)
            if not same.any():
                continue
            s = q.s[same]
            amount = spare(piece, other.name, cloths[name], float(s.min()), float(s.max()))
            if amount > 0.05:
                far = "other " if name.endswith(":other") else ""
                shares.append((amount, f"{far}{piece.title.lower()}'s {_word(other.name)}"))
    if len(shares) < 2:
        return None
    total = sum(a for a, _ in shares)
    enough = total >= short.missing - 1e-9
    part = min(1.0, short.missing / total)
    listed = ", ".join(
        f"{_cm(a * part, unit)} at the {who}" for a, who in shares if a * part >= 0.05
    )
    lead = "Share it" if enough else f"Shared, only {_cm(total, unit)} can be won"
    return Remedy("share", f"{lead}: {listed}.", min(total, short.missing), enough)


def _pass_up(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    unit: LengthUnit,
) -> Remedy | None:
    """Move the whole piece on its cloth, up or down, and take the length from its other end."""
    piece = pieces[short.piece]
    p = probe(piece.edge(short.edge))
    out = p.out[int(np.argmin(np.hypot(*(p.at - short.where).T)))]
    if abs(out[1]) < 0.7:
        return None
    ends: list[tuple[float, str]] = []
    for other in piece.edges:
        q = probe(other)
        facing = float(np.mean(q.out[:, 1]))
        if other.name != short.edge and facing * out[1] < 0 and abs(facing) > 0.7:
            room = spare(piece, other.name, cloths[short.piece], 0.0, other.length)
            ends.append((room / abs(facing), other.name))
    if not ends:
        return None
    room, edge = min(ends)
    need = short.missing / abs(float(out[1]))
    enough = room >= need - 1e-9
    way = "up" if out[1] > 0 else "down"
    held = f"the {_word(edge)} has {_cm(room, unit)} beyond its least allowance"
    text = (
        f"Pass the {piece.title.lower()} {way} by {_cm(need, unit)}: {held}."
        if enough
        else f"Passing the {piece.title.lower()} {way} gives {_cm(room, unit)} at most: {held}."
    )
    return Remedy("pass_up", text, min(room * abs(float(out[1])), short.missing), enough)


def _face_hem(
    short: Shortfall, piece: Piece, cloth: shapely.Polygon, unit: LengthUnit
) -> Remedy | None:
    """Face the hem with another cloth: a seam at the fold and a facing as deep as the hem was."""
    edge = piece.edge(short.edge)
    if not is_hem(edge):
        return None
    p, there = edge_cloth(piece, short.edge, cloth)
    worst = float(there.min())
    enough = worst >= JOIN - 1e-9
    depth = edge.allowance + 2 * JOIN
    text = (
        f"Face the {_word(edge.name)} with another cloth: {_cm(worst, unit)} is left for the "
        f"join; facing {_cm(float(p.s[-1]) + 2 * JOIN, unit)} long, {_cm(depth, unit)} deep with "
        "its allowances."
        if enough
        else f"The {_word(edge.name)} cannot be faced: {_cm(JOIN, unit)} is needed for the join, "
        f"{_cm(max(worst, 0.0), unit)} is there."
    )
    # what is lacking is turning, and the facing supplies all of it once it can be joined
    return Remedy("face_hem", text, short.missing if enough else 0.0, enough)


def _iron(short: Shortfall, limit: float, unit: LengthUnit) -> Remedy:
    enough = short.missing <= limit + 1e-9
    text = (
        f"Draw the edge out {_cm(short.missing, unit)} with the iron (within {_cm(limit, unit)}, "
        "common practice for wool; try it on a scrap)."
        if enough
        else f"Iron work gives {_cm(limit, unit)} at most (common practice for wool), "
        f"{_cm(short.missing - limit, unit)} too little."
    )
    return Remedy("iron", text, min(limit, short.missing), enough)


def _piece_on(short: Shortfall, piece: Piece, cloth: shapely.Polygon, unit: LengthUnit) -> Remedy:
    """A strip pieced on along the cut edge, wide enough for the full allowance again."""
    edge = piece.edge(short.edge)
    p, there = edge_cloth(piece, short.edge, cloth)
    on = (p.s >= short.from_s - 1e-6) & (p.s <= short.to_s + 1e-6)
    worst = float((there[on] if on.any() else there).min())
    width = edge.allowance - worst + 2 * JOIN
    length = min(short.to_s + LAP, edge.length) - max(short.from_s - LAP, 0.0)
    shows = JOIN - worst
    seen = (
        f"the join shows, up to {_cm(shows, unit)} inside the seam"
        if shows > 0.05
        else "the join lies in the allowance and is not seen"
    )
    size = f"{_cm(width, unit)} wide and {_cm(length, unit)} long"
    text = f"Piece on a strip {size}, same grain; {seen}."
    return Remedy("piece_on", text, short.missing, True)


def _word(name: str) -> str:
    return name.replace("_", " ")


def _who(text: str) -> str:
    return text[:1].upper() + text[1:]


def _cm(value: float, unit: LengthUnit) -> str:
    return format_length(value, unit)
