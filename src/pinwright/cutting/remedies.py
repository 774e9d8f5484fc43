"""What a cutter does where cloth is missing, each way computed on the cloth that is there.

Common practice throughout; the limits a house keeps are arguments.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.cutting.cloth import edge_cloth, probe
from pinwright.cutting.cutline import is_hem
from pinwright.cutting.remedy import (
    IRON,
    IRON_SLACK,
    JOIN,
    LAP,
    OTHER,
    UPRIGHT,
    Remedy,
    RemedyKind,
    has,
    word,
)
from pinwright.cutting.reserve import SLIGHT, Shortfall, spare
from pinwright.cutting.sharing import opposite, share
from pinwright.cutting.turn_up import turn_up_folds
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Edge, Piece
from pinwright.pattern.seam import Seam, Target

__all__ = ["Remedy", "RemedyKind", "options", "passed_up"]

Array = NDArray[np.float64]


def options(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    seams: tuple[Seam, ...] = (),
    targets: Sequence[Target] = (),
    *,
    iron: float = IRON,
    unit: LengthUnit = "cm",
    both: bool = False,
) -> tuple[Remedy, ...]:
    """The ways to make good a shortfall, those that suffice first, in the trade's order.

    ``pieces`` are the corrected pieces, ``cloths`` the cloth of each that is cut already (a piece
    not yet cut is simply cut larger, so it has no entry). A seam between right and left finds the
    same edge on the other side under "<piece>:other" in both mappings, else the same piece's own.
    ``targets`` tell which edges make up a girth together. ``both`` says that right and left lack
    alike, the right being looked at: what a piece gives at its other end is then told of each.
    """
    ways = [
        opposite(short, pieces, cloths, seams, unit),
        share(short, pieces, cloths, targets, unit),
        _pass_up(short, pieces, cloths, unit, both),
        _face_hem(short, pieces[short.piece], cloths[short.piece], unit),
        _iron(short, iron, unit),
        _piece_on(short, pieces[short.piece], cloths[short.piece], unit),
    ]
    found = [w for w in ways if w is not None]
    return tuple(sorted(found, key=lambda w: not w.feasible))


def _pass_up(
    short: Shortfall,
    pieces: Mapping[str, Piece],
    cloths: Mapping[str, shapely.Polygon],
    unit: LengthUnit,
    both: bool,
) -> Remedy | None:
    """Pass the cloth of the whole piece along its grain, taking the length from its other end.

    Of both sides the one that has less there decides.
    """
    piece = pieces[short.piece]
    grain = _grain(piece)
    p = probe(piece.edge(short.edge))
    out = float(p.out[int(np.argmin(np.hypot(*(p.at - short.where).T)))] @ grain)
    if abs(out) < UPRIGHT:
        return None
    ends = _other_ends(piece, cloths[short.piece], short.edge, out)
    if not ends:
        return None
    room, edge = min(ends)
    held = f"the {word(edge)} {has(room, unit)} beyond its least allowance"
    other = short.piece + OTHER
    if both and other in cloths and other in pieces:
        there, _ = min(
            _other_ends(pieces[other], cloths[other], short.edge, out), default=(room, edge)
        )
        if abs(there - room) >= TOLD:
            held += f" on the right, {said(there, unit) if there >= SLIGHT else 'none'} on the left"
        room = min(room, there)
    need = short.missing / abs(out)
    enough = room >= need - SLIGHT
    way = "up" if out > 0 else "down"
    text = (
        f"Pass the {piece.title.lower()} {way} by {said(need, unit)}: {held}."
        if enough
        else f"Passing the {piece.title.lower()} {way} gives {_at_most(room, unit)}: {held}."
    )
    shift = np.sign(out) * need
    given = min(room * abs(out), short.missing)
    return Remedy("pass_up", text, given, enough, shift=float(shift) if enough else 0.0)


def _other_ends(
    piece: Piece, cloth: shapely.Polygon, edge: str, out: float
) -> list[tuple[float, str]]:
    """What each edge that faces the other way along the grain than ``edge`` can give, cm."""
    grain = _grain(piece)
    found = []
    for e in piece.edges:
        facing = float(np.mean(probe(e).out @ grain))
        if e.name != edge and facing * out < 0 and abs(facing) > UPRIGHT:
            # its corners belong to its neighbours, which may themselves have moved
            inset = min(LAP, e.length / 3)
            room = spare(piece, e.name, cloth, inset, e.length - inset)
            found.append((room / abs(facing), e.name))
    return found


TOLD = 0.05
"""What right and left have is told of each where it differs by so much, cm."""


def _at_most(room: float, unit: LengthUnit) -> str:
    return f"{said(room, unit)} at most" if room >= SLIGHT else "nothing"


def _grain(piece: Piece) -> Array:
    """The direction of a piece's grain, (2,), upwards."""
    way = piece.grain[1] - piece.grain[0]
    up = way if way[1] >= 0 else -way
    return np.asarray(up / float(np.hypot(*up)), dtype=np.float64)


def passed_up(piece: Piece, cloth: shapely.Polygon, shift: float) -> shapely.Polygon:
    """The cloth passed ``shift`` cm up along the grain of its piece (down when negative).

    The net line then lies so much lower on its cloth: more above it, less below.
    """
    way = shift * _grain(piece)
    return shapely.transform(cloth, lambda xy: xy + way)


def _face_hem(
    short: Shortfall, piece: Piece, cloth: shapely.Polygon, unit: LengthUnit
) -> Remedy | None:
    """Face the hem with another cloth: a seam at the fold and a facing as deep as the hem was.

    Of a turn-up the outside is seen: its join lies at the upper edge, where it is folded inwards.
    """
    edge = piece.edge(short.edge)
    if not is_hem(edge):
        return None
    p, there = edge_cloth(piece, short.edge, cloth)
    worst = float(there.min())
    seen = seen_beyond(piece, edge)
    needed = seen + JOIN
    enough = worst >= needed - 1e-9
    depth = edge.allowance - seen + 2 * JOIN
    what = f"inside of the {word(edge.name)}'s turn-up" if seen else word(edge.name)
    text = (
        f"Face the {what} with another cloth: {said(worst - seen, unit)} is left for the "
        f"join; facing {said(float(p.s[-1]) + 2 * JOIN, unit)} long, {said(depth, unit)} deep with "
        "its allowances."
        if enough
        else f"The {what} cannot be faced: {said(needed, unit)} is needed for "
        f"{'the part that is seen and ' if seen else ''}the join, "
        f"{said(worst, unit) if worst >= SLIGHT else 'nothing'} is there."
    )
    # what is lacking is turning, and the facing supplies all of it once it can be joined
    return Remedy("face_hem", text, short.missing if enough else 0.0, enough)


def seen_beyond(piece: Piece, edge: Edge) -> float:
    """How much of the cloth beyond a net line is seen on the garment, cm: that of a turn-up."""
    return next(iter(turn_up_folds(piece, edge)), 0.0)


def _iron(short: Shortfall, limit: float, unit: LengthUnit) -> Remedy:
    enough = short.missing <= limit + IRON_SLACK if limit > 0.0 else False
    text = (
        f"Draw the edge out {said(short.missing, unit)} with the iron (within {said(limit, unit)}, "
        "common practice for wool; try it on a scrap)."
        if enough
        else f"Iron work gives {said(limit, unit)} at most (common practice for wool), "
        f"{said(short.missing - limit, unit)} too little."
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
    shown = seen_beyond(piece, edge)
    shows = shown + JOIN - worst
    seen = (
        (
            f"the join shows on the turn-up, {said(shows, unit)} below its upper edge"
            if shown
            else f"the join shows, up to {said(shows, unit)} inside the seam"
        )
        if shows > 0.05
        else "the join lies in the allowance and is not seen"
    )
    size = f"{said(width, unit)} wide and {said(length, unit)} long"
    text = f"Piece on a strip {size}, same grain; {seen}."
    return Remedy("piece_on", text, short.missing, True)
