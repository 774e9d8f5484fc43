"""A garment out of pieces brought in: seams between their edges, and places on the figure.

A seam keeps the difference that its two sides have on the old pattern, as ease: an old pattern is
followed, not mended. What differs by more than a millimetre is said.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from pinwright.bringin.names import Names, SeamNames
from pinwright.draft.brought import NAME
from pinwright.errors import CorrectionError, GeometryError, OrderError, meant
from pinwright.fitting.catalogue import all_entries
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Edge, Piece
from pinwright.pattern.seam import Give, Ref, Seam, Station, Stretch

SAID = 0.1
"""A difference between the two sides of a seam beyond this, cm, is told."""


def garment_from(pieces: Sequence[Piece], names: Names) -> tuple[Garment, list[str]]:
    """The garment, of the style "brought", and what should be looked at.

    Raises:
        OrderError: a seam or place that names what is not there, in one sentence.
    """
    by_name = {p.name: p for p in pieces}
    if len(by_name) != len(pieces):
        twice = next(p.name for p in pieces if [q.name for q in pieces].count(p.name) > 1)
        raise OrderError(f"Two pieces are called {twice!r}.")
    remarks: list[str] = []
    seams = tuple(_seam(s, by_name, remarks) for s in names.seams)
    called = [s.name for s in seams]
    if len(set(called)) != len(called):
        raise OrderError("Two seams have the same name.")
    garment = Garment(
        style=NAME,
        title=names.garment,
        pieces=tuple(pieces),
        seams=seams,
        places=_places(names.places, by_name),
    )
    _tried(garment)
    return garment, remarks


def _tried(garment: Garment) -> None:
    """Try every correction at the places named, so that none breaks off at the fitting.

    What these pieces plainly cannot have is refused then, in its own sentence; an edge that is not
    what its place says (a side seam called a hem) is refused now.
    """
    for e in all_entries().values():
        for place in e.places:
            if place not in garment.places:
                continue
            for component in e.components:
                try:
                    e.respond(garment, place, component, {}, "cut")
                except CorrectionError:
                    continue
                except (GeometryError, ArithmeticError, LookupError, ValueError) as err:
                    edges = ", ".join(f"{x.piece}.{x.edge}" for x in garment.places[place])
                    raise OrderError(
                        f"places: {place} is on {edges}, where {e.title.lower()} cannot be done; "
                        "name the edges that lie there, with their stations, or leave it out."
                    ) from err


def _edge(said: str, pieces: Mapping[str, Piece], what: str) -> tuple[Piece, Edge]:
    piece_name, _, edge_name = said.partition(".")
    if piece_name not in pieces:
        raise OrderError(
            f"{what} names {said!r}; there is no piece {piece_name!r}."
            f"{meant(piece_name, pieces)} It must be piece.edge."
        )
    piece = pieces[piece_name]
    for e in piece.edges:
        if e.name == edge_name:
            return piece, e
    raise OrderError(
        f"{what} names {said!r}; the {piece_name} has the edges "
        f"{', '.join(e.name for e in piece.edges)}."
    )


def _places(
    given: Mapping[str, Sequence[str]], pieces: Mapping[str, Piece]
) -> dict[str, tuple[PlaceEdge, ...]]:
    known = sorted({place for e in all_entries().values() for place in e.places})
    found: dict[str, tuple[PlaceEdge, ...]] = {}
    for said, edges in given.items():
        place = said.replace(" ", "_")
        if place not in known:
            raise OrderError(
                f"places: {said!r} is no place that corrections know.{meant(place, known)} "
                f"It may be {', '.join(known)}."
            )
        rows = []
        for where in edges:
            piece, e = _edge(where, pieces, f"places, {said},")
            rows.append(PlaceEdge(_part(piece), piece.name, e.name))
        found[place] = tuple(rows)
    for piece in pieces.values():
        for d in piece.darts:
            # a dart can be corrected at its own place without being named twice
            if d.place and d.place not in known:
                raise OrderError(
                    f"The dart {d.name} is at {d.place!r}, no place that corrections know."
                    f"{meant(d.place, known)}"
                )
            if d.place and d.place not in found:
                found[d.place] = (PlaceEdge(_part(piece), piece.name, d.edge),)
    return found


def _part(piece: Piece) -> str:
    return next((p for p in ("front", "back", "sleeve") if piece.home.startswith(p)), piece.home)


def _refs(said: Sequence[str] | str, pieces: Mapping[str, Piece], what: str) -> list[Ref]:
    rows = [said] if isinstance(said, str) else list(said)
    found = []
    for row in rows:
        piece, e = _edge(row.removeprefix("-"), pieces, what)
        found.append(Ref(piece.name, e.name, row.startswith("-")))
    return found


def _seam(s: SeamNames, pieces: Mapping[str, Piece], remarks: list[str]) -> Seam:
    what = f"The seam {s.name}"
    a = _refs(s.a, pieces, what)
    if not a:
        raise OrderError(f"{what} has no edge on its side a.")
    mirror = not s.b
    b = list(a) if mirror else _refs(s.b, pieces, what)
    if not mirror:
        b = _way(a, b, s, pieces, what)
    stations = _stations(a, b, s, pieces, what)
    stretches = []
    for (one, two), (p, q) in zip(
        pairwise(stations), pairwise(_lengths(a, b, stations, pieces)), strict=True
    ):
        more = (q[0] - p[0]) - (q[1] - p[1])
        if q[0] - p[0] < 0.05 or q[1] - p[1] < 0.05:
            raise OrderError(
                f"{what}: its stations {one.name} and {two.name} do not follow one another on both "
                "sides; put a minus before an edge that runs the other way."
            )
        if abs(more) > SAID:
            longer, other = (s.a, s.b) if more > 0 else (s.b, s.a)
            remarks.append(
                f"{s.title or s.name}, {one.name} to {two.name}: {_told(longer)} is "
                f"{abs(more):.2f} cm longer than {_told(other)}; it is kept as ease, so look "
                "whether the old pattern means it."
            )
        stretches.append(Stretch(more, min(more, 0.0), max(more, 0.0)))
    hold = s.hold or stations[len(stations) // 2 if len(stations) > 2 else 0].name
    if hold not in {x.name for x in stations}:
        raise OrderError(f"{what} holds at {hold!r}; it has {', '.join(x.name for x in stations)}.")
    return Seam(
        s.name,
        "centre" if mirror else "plain",
        tuple(a),
        tuple(b),
        tuple(stations),
        tuple(stretches),
        hold,
        (Give("b", "end"), Give("b", "start")),
        mirror=mirror,
        title=s.title,
    )


def _told(said: Sequence[str] | str) -> str:
    return said if isinstance(said, str) else " and ".join(said)


def _ends(refs: Sequence[Ref], pieces: Mapping[str, Piece]) -> tuple[str, str]:
    first, last = refs[0], refs[-1]
    e, f = pieces[first.piece].edge(first.edge), pieces[last.piece].edge(last.edge)
    return (e.end if first.reverse else e.start, f.start if last.reverse else f.end)


def _way(
    a: list[Ref], b: list[Ref], s: SeamNames, pieces: Mapping[str, Piece], what: str
) -> list[Ref]:
    """Side b the way its ends are called, unless the user has said a way."""
    rows = [s.b] if isinstance(s.b, str) else list(s.b)
    if len(b) > 1:
        return b
    (a0, a1), (b0, b1) = _ends(a, pieces), _ends(b, pieces)
    if any(r.startswith("-") for r in rows):
        if a0 == b1 and a1 == b0:
            raise OrderError(
                f"{what}: with its minus {b[0].piece}.{b[0].edge} runs from {b0} to {b1}, against "
                f"{a0} to {a1} of the other side; take the minus out."
            )
        return b
    if (a0 == b1 or a1 == b0) and not (a0 == b0 or a1 == b1):
        return [Ref(b[0].piece, b[0].edge, not b[0].reverse)]
    return b


def _stations(
    a: list[Ref], b: list[Ref], s: SeamNames, pieces: Mapping[str, Piece], what: str
) -> list[Station]:
    (a0, a1), (b0, b1) = _ends(a, pieces), _ends(b, pieces)
    for name in s.stations:
        for refs in (a, b):
            if not any(name in pieces[r.piece].edge(r.edge).stations for r in refs):
                sides = ", ".join(f"{r.piece}.{r.edge}" for r in refs)
                raise OrderError(f"{what}: there is no station {name!r} on {sides}.")
    return [
        Station(a0, _owned(a[0], a0), _owned(b[0], b0)),
        *(Station(n, _on(a, n, pieces), _on(b, n, pieces), 1) for n in s.stations),
        Station(a1 if a1 != a0 else f"{a1}, far", _owned(a[-1], a1), _owned(b[-1], b1)),
    ]


def _owned(ref: Ref, point: str) -> str:
    return f"{ref.piece}.{ref.edge}:{point}"


def _on(refs: Sequence[Ref], name: str, pieces: Mapping[str, Piece]) -> str:
    ref = next(r for r in refs if name in pieces[r.piece].edge(r.edge).stations)
    return _owned(ref, name)


def _lengths(
    a: list[Ref], b: list[Ref], stations: Sequence[Station], pieces: Mapping[str, Piece]
) -> list[tuple[float, float]]:
    """Distances of each station along a and along b, cm."""
    return [(_distance(a, x.a, pieces), _distance(b, x.b, pieces)) for x in stations]


def _distance(refs: Sequence[Ref], said: str, pieces: Mapping[str, Piece]) -> float:
    before = 0.0
    for r in refs:
        e = pieces[r.piece].edge(r.edge)
        owner, _, point = said.rpartition(":")
        if owner == f"{r.piece}.{r.edge}":
            s = e.distance(point)
            return before + (e.length - s if r.reverse else s)
        before += e.length
    raise OrderError(f"The station {said} lies on no edge of its seam.")
