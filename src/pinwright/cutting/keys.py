"""What a workshop's habit means by a word: which edges of a garment a place, seam or kind names.

Resolved through the garment's own places, seams and edge names, so that a style that comes later
is understood without a change here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from pinwright.cutting.allowances import kinds, root, sleeves
from pinwright.cutting.corners import is_hem
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

Spot = tuple[str, str]
"""(piece, edge)."""

RESERVE_WORDS = frozenset(
    {
        *("side_seam", "seat_seam", "hem", "centre_back", "inseam", "shoulder", "cuff"),
        *("band_centre_back", "lining_centre_back", "lining_side_seam", "lining_hem"),
        *("armhole", "neck", "waist", "sleeve_seam", "front_crotch_seam", "fork"),
    }
)
"""Places a habit of reserve may name of any garment, whether this one has them or not."""

ALLOWANCE_WORDS = frozenset(
    {
        *("plain", "armhole", "neck", "waist", "yoke", "hem", "cuff", "opening", "faced"),
        *("french", "lapped_over", "lapped_under", "bound", "overlocked", "interfacing"),
        *("side_seam", "seat_seam", "centre_back", "inseam", "shoulder", "sleeve_seam", "lining"),
        *("front_crotch_seam",),
    }
)
"""Kinds and places a habit of allowance may name of any garment."""


def plainly(key: str) -> str:
    """A key as it is compared: small letters, words joined by underscores."""
    return "_".join(key.strip().lower().replace("-", " ").split())


def reserve_spots(
    garment: Garment, pieces: Sequence[Piece] = ()
) -> Mapping[str, tuple[frozenset[Spot], ...]]:
    """Edges by key for reserve, cm kept there: by place, seam, and "piece.edge".

    ``pieces`` are those derived from the garment's own. A place goes before a seam of the same
    name. Derived pieces take their reserve from what they follow; only linings have their own.
    """
    found: dict[str, set[Spot]] = {}
    for name, spots in _seams(garment).items():
        found[name] = set(spots)
    found |= _places(garment)
    found |= _hems(garment, garment.pieces)
    if band := _band_centre(garment):
        found["band_centre_back"] = band
    for piece in pieces:
        if piece.layer == "lining" and not garment.has(piece.name):
            base = root(garment, piece)
            names = {e.name for e in piece.edges}
            for key, spots in list(found.items()):
                mine = {(piece.name, e) for p, e in spots if p == base and e in names}
                if mine:
                    found.setdefault(f"lining_{key}", set()).update(mine)
            for e in piece.edges:
                if is_hem(e):
                    found.setdefault("lining_hem", set()).add((piece.name, e.name))
    return _ranked({}, found, (*garment.pieces, *_others(garment, pieces)))


def allowance_spots(
    garment: Garment, pieces: Sequence[Piece] = ()
) -> Mapping[str, tuple[frozenset[Spot], ...]]:
    """Edges by key for allowances: by kind of seam, by place or seam, and "piece.edge".

    Both sides of a seam are meant, and so are the edges of derived pieces (but interfacings) that
    are caught in it.
    """
    every = (*garment.pieces, *_others(garment, pieces))
    by_kind: dict[str, set[Spot]] = {}
    for piece in every:
        for edge, kind in kinds(garment, piece).items():
            if kind != "fold":
                by_kind.setdefault(kind, set()).add((piece.name, edge))
                if piece.layer == "lining":
                    by_kind.setdefault("lining", set()).add((piece.name, edge))
    found: dict[str, set[Spot]] = {}
    for spots_by in (_seams(garment), _places(garment), _hems(garment, every)):
        for key, spots in spots_by.items():
            found.setdefault(key, set()).update(spots)
    for piece in every:
        if piece.layer == "interfacing" or garment.has(piece.name):
            continue
        base = root(garment, piece)
        names = {e.name for e in piece.edges}
        for spots in found.values():
            spots |= {(piece.name, e) for p, e in spots if p == base and e in names}
    for kind in ("armhole", "neck", "waist", "yoke", "hem", "cuff"):
        # a word that is both a kind and a place means all of both
        if kind in found and kind in by_kind:
            found[kind] |= by_kind[kind]
    return _ranked(by_kind, found, every)


def _ranked(
    by_kind: Mapping[str, set[Spot]], places: Mapping[str, set[Spot]], every: Sequence[Piece]
) -> dict[str, tuple[frozenset[Spot], ...]]:
    """Spots by key as (by kind, by place, by edge): a later one goes before an earlier."""
    none: frozenset[Spot] = frozenset()
    found: dict[str, tuple[frozenset[Spot], ...]] = {}
    for key, spots in by_kind.items():
        found[key] = (frozenset(spots), none, none)
    for key, spots in places.items():
        found[key] = (none, frozenset(spots), none)
    for piece in every:
        for e in piece.edges:
            found[f"{piece.name}.{e.name}"] = (none, none, frozenset({(piece.name, e.name)}))
    return found


def _others(garment: Garment, pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    return tuple(p for p in pieces if not garment.has(p.name))


def _seams(garment: Garment) -> dict[str, set[Spot]]:
    """Both sides of every seam, by its name and by its title, with and without "seam"."""
    found: dict[str, set[Spot]] = {}
    for seam in garment.seams:
        spots = {(r.piece, r.edge) for r in (*seam.a, *seam.b)}
        for name in {plainly(seam.name), plainly(seam.title)}:
            stem = name.removesuffix("_seam")
            for key in {name, stem, stem if stem.endswith("seam") else f"{stem}_seam"}:
                found.setdefault(key, set()).update(spots)
    return found


def _places(garment: Garment) -> dict[str, set[Spot]]:
    """The garment's places that are whole edges: not darts, and not the fork, which is a corner."""
    darts = {d.place for p in garment.pieces for d in p.darts}
    found: dict[str, set[Spot]] = {}
    for name, where in garment.places.items():
        if name in darts or "fork" in name:
            continue
        spots = {(w.piece, w.edge) for w in where}
        for key in {name, name.removesuffix("_seam")}:
            found.setdefault(key, set()).update(spots)
        if "neck" in name:
            found.setdefault("neck", set()).update(spots)
    return found


def _hems(garment: Garment, pieces: Sequence[Piece]) -> dict[str, set[Spot]]:
    """Hems, and apart from them the cuffs: the hems of sleeves."""
    arms = sleeves(garment)
    found: dict[str, set[Spot]] = {}
    for piece in pieces:
        if piece.layer in ("interfacing", "lining"):
            continue
        for e in piece.edges:
            if is_hem(e) and e.name != "opening":
                key = "cuff" if root(garment, piece) in arms else "hem"
                found.setdefault(key, set()).add((piece.name, e.name))
    return found


def _band_centre(garment: Garment) -> set[Spot]:
    """The end of the band at the centre back: the edge it has there besides the sewn one."""
    found: set[Spot] = set()
    for seam in garment.seams:
        if seam.kind != "band":
            continue
        for station in (seam.stations[0], seam.stations[-1]):
            if station.name != "centre_back":
                continue
            for ref in seam.b:
                piece = garment.piece(ref.piece)
                found |= {
                    (piece.name, e.name)
                    for e in piece.edges
                    if e.name != ref.edge and station.b in (e.start, e.end)
                }
    return found


def forks(garment: Garment) -> Mapping[Spot, str]:
    """The end that lies at the fork, of every edge that has one.

    The fork is where the two edges of a piece meet that a place called "..._fork" names.
    """
    found: dict[Spot, str] = {}
    for name, where in garment.places.items():
        if "fork" not in name:
            continue
        for w in where:
            e = garment.piece(w.piece).edge(w.edge)
            for x in where:
                o = garment.piece(x.piece).edge(x.edge)
                if x.piece == w.piece and x.edge != w.edge:
                    for end in {e.start, e.end} & {o.start, o.end}:
                        found[(w.piece, w.edge)] = end
    return found
