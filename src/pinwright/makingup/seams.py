"""How what follows by rule is sewn: seams between lining, facing, pocketing and their shell.

They tell where the made-up pieces are notched. Only stations that are to meet matter here: the
pieces are drawn from the shell, so nothing of these seams gives. All in cm, common practice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pinwright.makingup.lining import HEM_ABOVE
from pinwright.makingup.lining_edges import SNAP, draught, inked
from pinwright.makingup.pocket import opening_on_back, opening_on_front
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece
from pinwright.pattern.seam import Give, Ref, Seam, SeamKind, Station, Stretch

Planned = Mapping[str, Sequence[float]]
"""By seam of the shell, the planned length of a less b of each of its stretches as it is sewn."""


def made_up(garment: Garment, made: Sequence[Piece], planned: Planned) -> Garment:
    """Made-up pieces and the shell pieces they meet as a garment of its own, with its seams.

    ``garment`` has one side's solved pieces, ``made`` are those that follow them by rule. Edges
    carry a station more wherever one of these seams needs it; no line is changed.
    """
    pieces = {p.name: p for p in (*garment.pieces, *made)}
    seams = _jacket(garment, pieces, planned) + _trousers(garment, pieces)
    if "lining_back" in pieces:
        pieces["front_facing"] = _with_waist(pieces["front_facing"], pieces["front"])
    if "pocket_bag" in pieces:
        front, back = pieces["front"], pieces["back"]
        pieces["front"] = _marked(front, "side", _ends(opening_on_front(front)))
        pieces["back"] = _marked(back, "side", _ends(opening_on_back(back, front)))
    sewn = {r.piece for s in seams for r in (*s.a, *s.b)} | {p.name for p in made}
    return Garment(
        garment.style,
        garment.title,
        tuple(p for n, p in pieces.items() if n in sewn),
        tuple(seams),
        facts=garment.facts,
    )


def _jacket(garment: Garment, pieces: Mapping[str, Piece], planned: Planned) -> list[Seam]:
    found: list[Seam] = []
    if "front_facing" in pieces:
        found.append(
            _seam(
                "facing at the front edge",
                (Ref("front", "front_edge"),),
                (Ref("front_facing", "front_edge"),),
                (_end("front_top"), _notched("waist"), _end("hem_front")),
            )
        )
    if "undercollar" in pieces:
        neck = garment.seam("neck")
        found.append(replace(neck, name="undercollar", a=(Ref("undercollar", "neck"),)))
    if "lining_back" in pieces:
        for seam in garment.seams:
            if seam.name == "shoulder":
                found.append(_shoulder(seam, pieces, sum(planned[seam.name])))
            elif all(f"lining_{r.piece}" in pieces for r in (*seam.a, *seam.b)):
                found.append(_lined(seam, pieces, planned[seam.name]))
        found += [_facing_to_lining(), *_pleat(pieces["lining_back"])]
    return found


def _trousers(garment: Garment, pieces: Mapping[str, Piece]) -> list[Seam]:
    found: list[Seam] = []
    if "lining_front" in pieces and "lining_back" not in pieces:
        for seam, end in (("side", "waist_side"), ("inseam", "fork"), ("front_centre", "fork")):
            (at,) = garment.seam(seam).a
            stations = garment.seam(seam).stations
            found.append(_caught(pieces["front"].edge(at.edge), "front", pieces["lining_front"],
                                 stations, end))  # fmt: skip
    if "pocket_bag" in pieces:
        front, back = pieces["front"], pieces["back"]
        for shell, made, opening in (
            (front, "pocket_bag", opening_on_front(front)),
            (back, "pocket_bearer", opening_on_back(back, front)),
        ):
            edge = _marked(shell, "side", _ends(opening)).edge("side")
            ends = [_notched(name) for name in _ends(opening)]
            found.append(
                _caught(edge, shell.name, pieces[made], (_notched("hip"), *ends), "waist_side")
            )
    for made in ("fly_facing", "fly_shield"):
        if made in pieces:
            centre = pieces["front"].edge("centre")
            stations = (_notched("hip"), _notched("fly_end"))
            found.append(_caught(centre, "front", pieces[made], stations, "waist_centre"))
    return found


def _seam(
    name: str,
    a: tuple[Ref, ...],
    b: tuple[Ref, ...],
    stations: Sequence[Station],
    planned: Sequence[float] = (),
    anchor: str = "",
    kind: SeamKind = "plain",
) -> Seam:
    stretches = tuple(Stretch(p) for p in planned) or (Stretch(),) * (len(stations) - 1)
    first = stations[0].name
    gives = (Give("b", "end"),)
    mirror = a == b
    return Seam(name, kind, a, b, tuple(stations), stretches, anchor or first, gives, mirror=mirror)


def _end(name: str) -> Station:
    return Station(name, name, name)


def _notched(name: str) -> Station:
    return Station(name, name, name, 1)


def _lined(seam: Seam, pieces: Mapping[str, Piece], planned: Sequence[float]) -> Seam:
    """A seam of the shell as the lining has it, less the stations its shorter edges have not."""
    a, b = (tuple(Ref(f"lining_{r.piece}", r.edge, r.reverse) for r in run) for run in
            (seam.a, seam.b))  # fmt: skip
    kept: list[Station] = []
    sums: list[float] = []
    since = 0.0
    for i, s in enumerate(seam.stations):
        since += planned[i - 1] if i else 0.0
        one, two = _renamed(s.a), _renamed(s.b)
        if _has(pieces, a, one) and _has(pieces, b, two):
            kept.append(replace(s, a=one, b=two))
            sums.append(since)
            since = 0.0
    anchor = seam.anchor if seam.anchor in {s.name for s in kept} else kept[-1].name
    return _seam(f"lining, {seam.title}", a, b, kept, sums[1:], anchor, seam.kind)


def _renamed(station: str) -> str:
    """A station of the shell on the lining: "front.underarm" is "lining_front.underarm"."""
    return f"lining_{station}" if "." in station else station


def _has(pieces: Mapping[str, Piece], run: tuple[Ref, ...], station: str) -> bool:
    name = station.rpartition(".")[2].rpartition(":")[2]
    edges = [pieces[r.piece].edge(r.edge) for r in run]
    return any(name in (e.start, e.end) or name in e.stations for e in edges)


def _shoulder(seam: Seam, pieces: Mapping[str, Piece], planned: float) -> Seam:
    """Facing and front lining to the back's lining, which is notched where those two meet.

    What the back has more is shared by length.
    """
    upper = f"lining_{seam.b[0].piece}"
    facing, front = (pieces[n].edge("shoulder").length for n in ("front_facing", "lining_front"))
    share = facing / (facing + front)
    return _seam(
        "lining, shoulder seam",
        (Ref("front_facing", "shoulder", True), Ref("lining_front", "shoulder", True)),
        (Ref(upper, "shoulder", True),),
        (
            Station("neck_point", "neck_point", "neck_point"),
            Station("facing", "front_facing.facing_shoulder", "neck_point", 1),
            Station("shoulder_tip", "shoulder_tip", "shoulder_tip"),
        ),
        (share * planned, (1.0 - share) * planned),
    )


def _facing_to_lining() -> Seam:
    return _seam(
        "lining to the facing",
        (Ref("front_facing", "inner", True),),
        (Ref("lining_front", "inner"),),
        (
            _end("facing_shoulder"),
            Station("waist", "waist", "facing_shoulder", 1),
            _end("facing_hem"),
        ),
        (0.0, HEM_ABOVE),
    )


def _pleat(back: Piece) -> tuple[Seam, Seam]:
    """Where right and left of the ease pleat at the centre back are laid on each other."""
    top, hem = (Ref("lining_back", "pleat"),), (Ref("lining_back", "hem"),)
    start, end = back.edge("pleat").start, back.edge("pleat").end
    return (
        _seam(
            "pleat at the top",
            top,
            top,
            (Station("pleat", start, start, 1), _end(end)),
            kind="centre",
        ),
        _seam(
            "pleat at the hem",
            hem,
            hem,
            (
                _end("fold_hem"),
                Station("pleat", "hem_centre", "hem_centre", 1),
                _end("hem_side"),
            ),
            kind="centre",
        ),
    )


def _caught(shell: Edge, owner: str, made: Piece, stations: Sequence[Station], shared: str) -> Seam:
    """A piece caught in a seam of the shell along a part of its edge, from the end they share.

    Both have one line there, so each station lies as far from that end on the one as on the other.
    """
    edge = made.edge(shell.name)
    ahead = shell.start == shared
    reach = edge.length
    inner = []
    for s in stations:
        name = s.a.rpartition(":")[2]
        if name in (shell.start, shell.end):
            continue
        at = shell.distance(name)
        if SNAP < (at if ahead else shell.length - at) < reach - SNAP:
            # where it lies on the made-up edge the walk says: it needs no station of its own
            inner.append((at, replace(s, b=edge.start)))
    return _seam(
        f"{made.name}, {shell.name}",
        (Ref(owner, shell.name),),
        (Ref(made.name, edge.name),),
        (
            Station(shell.start, shell.start, edge.start),
            *(s for _, s in sorted(inner, key=lambda found: found[0])),
            Station(shell.end, shell.end, edge.end),
        ),
        anchor=shared,
    )


def _marked(piece: Piece, name: str, at: Mapping[str, float]) -> Piece:
    """A piece with more stations on an edge, by sewn distance from its start, cm."""
    e = piece.edge(name)
    d = draught(e)
    more = {}
    for station, s in at.items():
        run = 0
        while run < len(e.runs) - 1 and s > e.runs[run].length:
            s -= e.runs[run].length
            run += 1
        more[station] = (run, s)
    new = inked(e.name, e.start, replace(d, stations={**d.stations, **more}), e.end)
    drawn = replace(e, runs=new.runs, stations=new.stations)
    return piece.with_edges(tuple(drawn if x is e else x for x in piece.edges))


def _ends(opening: tuple[float, float]) -> dict[str, float]:
    return {"opening_foot": opening[0], "opening_top": opening[1]}


def _with_waist(facing: Piece, front: Piece) -> Piece:
    """The facing with the height of the front edge's waist on its inner edge."""
    height = float(front.point("front_edge:waist")[1])
    inner = facing.edge("inner").runs[0]
    low, high = 0.0, inner.length
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if float(inner.at(middle)[1]) < height else (low, middle)
    return _marked(facing, "inner", {"waist": low})
