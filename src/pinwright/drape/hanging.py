"""What of a garment hangs: which of its pieces, on which side, and what is left out."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from pinwright.drape.centre_front import Buttoned, buttoned
from pinwright.drape.data import Side
from pinwright.errors import GeometryError
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Ref, Seam

Key = tuple[str, Side]
"""A piece of one side."""

SIDES: tuple[Side, Side] = ("right", "left")


@dataclass(frozen=True, slots=True, eq=False)
class Hanging:
    """The pieces that hang, as they hang, by name and side; a buttoned front by its centre line.

    ``fronts`` are those that were cut off there; ``bands`` the pieces that hang as bands;
    ``left_out`` what does not hang, in words.
    """

    pieces: Mapping[Key, Piece]
    fronts: Mapping[Key, Buttoned]
    bands: frozenset[str]
    left_out: tuple[str, ...]

    def has(self, name: str) -> bool:
        """Whether a piece of that name hangs."""
        return (name, "right") in self.pieces


def hanging(garment: Garment, right: Mapping[str, Piece], left: Mapping[str, Piece]) -> Hanging:
    """The pieces of a garment that hang, right and left.

    They are the shell's pieces that the seams join to its largest piece. A piece that is worn
    turned over (a collar) would have to be folded, and is left out with its seam; so is a piece
    that is cut once and whole, since the seams of one half do not say where its other half goes.

    Raises:
        GeometryError: no piece of the shell, or a piece that one side lacks.
    """
    sewn = _sewn(garment)
    if not sewn:
        raise GeometryError(f"{garment.title}: it has no piece of the shell, so nothing can hang.")
    pieces: dict[Key, Piece] = {}
    fronts: dict[Key, Buttoned] = {}
    for name in sewn:
        done: dict[int, Buttoned | None] = {}
        for side, now in zip(SIDES, (right, left), strict=True):
            if name not in now:
                raise GeometryError(f"{garment.title}: the {side} side has no piece {name}.")
            piece = now[name]
            if id(piece) not in done:
                done[id(piece)] = buttoned(piece)
            front = done[id(piece)]
            pieces[name, side] = piece if front is None else front.piece
            if front is not None:
                fronts[name, side] = front
    bands = frozenset(band[0].piece for band, _ in banded(garment, sewn))
    left_out = _left_out(garment, sewn, bool(fronts), bool(bands))
    return Hanging(pieces, fronts, bands, left_out)


def banded(
    garment: Garment, names: Collection[str]
) -> Iterator[tuple[tuple[Ref, ...], tuple[Ref, ...]]]:
    """Of pieces by name each band's run, and that of what it is sewn to.

    A band is sewn to the garment by the seam of a band and by no other.
    """
    for seam in garment.seams:
        if seam.kind != "band" or not all(r.piece in names for r in (*seam.a, *seam.b)):
            continue
        for band, body in ((seam.a, seam.b), (seam.b, seam.a)):
            if len({r.piece for r in band}) == 1 and not _holds(garment, seam, band[0].piece):
                yield band, body
                break


def _holds(garment: Garment, seam: Seam, piece: str) -> bool:
    """Whether a piece is sewn to others besides, so that it is no band but what one goes on."""
    return any(
        s is not seam
        and any(r.piece == piece for r in (*s.a, *s.b))
        and any(r.piece != piece for r in (*s.a, *s.b))
        for s in garment.seams
    )


def _sewn(garment: Garment) -> tuple[str, ...]:
    """The pieces of the shell that are sewn together with the largest of them."""
    free = {p.name: p for p in garment.pieces if _hangs(p)}
    if not free:
        return ()
    joined: dict[str, set[str]] = {name: {name} for name in free}
    for seam in garment.seams:
        names = {r.piece for r in (*seam.a, *seam.b)}
        if names <= set(free):
            for name in names:
                joined[name] |= names
    seen: set[str] = set()
    todo = [max(free, key=lambda name: _size(free[name]))]
    while todo:
        name = todo.pop()
        if name not in seen:
            seen.add(name)
            todo += sorted(joined[name] - seen)
    return tuple(name for name in free if name in seen)


def _hangs(piece: Piece) -> bool:
    return piece.layer == "shell" and piece.cut != "single" and not piece.fall


def _size(piece: Piece) -> float:
    """Height times width of the piece, cm²: enough to tell a leg from a tab."""
    boxes = [run.bounds for e in piece.edges for run in e.runs]
    wide = max(b[2] for b in boxes) - min(b[0] for b in boxes)
    high = max(b[3] for b in boxes) - min(b[1] for b in boxes)
    return wide * high


def _left_out(garment: Garment, sewn: tuple[str, ...], stand: bool, band: bool) -> tuple[str, ...]:
    found = [p.title.lower() for p in garment.pieces if p.name not in sewn]
    if stand:
        found.append("button stand")
    hung = [garment.piece(name) for name in sewn]
    if any(x.name.startswith("turn-up") for p in hung for x in p.lines):
        found.append("turn-up: the leg ends at the hem")
    found.append("allowances, reserves and what is turned up inside")
    found.append("facings, pockets and lining")
    found.append("interfacing but that of the band" if band else "interfacing")
    if any(x.kind == "opening" for p in hung for x in p.lines):
        found.append("pocket openings: they are taken as sewn shut")
    if "fly_length" in garment.facts:
        found.append("fly: the front is taken as sewn shut, without facing and shield")
    return tuple(found)
