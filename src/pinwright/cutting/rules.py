"""The rules of matching stripes and checks: which places of which pieces must agree.

Common practice, found from the seams and from what the pieces say of themselves, so that a style
need not name them: the fronts at centre front, what joins at the side level at the hip, the
pocket with the front it lies on, the sleeve with the front at the front notch, collar and yoke
with the back at centre back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from pinwright.cutting.cuts import Hand, worn_outside
from pinwright.cutting.framing import up
from pinwright.cutting.lay.placing import Axis
from pinwright.geometry.path import Array
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Ref, Seam

RULES: Mapping[str, str] = {
    "centre_front": "the fronts mirror each other at centre front, on a line of the cloth",
    "centre_back": "the back's centre lies on a line of the cloth",
    "level": "right and left lie level",
    "side_seam": "what is joined at the side seam lies level at the hip",
    "yoke": "the yoke goes on from the back at centre back",
    "collar": "the collar goes on from the back at centre back",
    "pocket": "the pocket goes on from the front at its corner",
    "sleeve": "the sleeve goes on from the front at the front notch",
}
"""Every rule with what it does, in the order in which they are kept."""

PLACES: Mapping[str, str] = {
    "centre_front": "centre front",
    "centre_back": "centre back",
    "level": "level",
    "side_seam": "side seam",
    "yoke": "yoke seam",
    "collar": "collar",
    "pocket": "pocket",
    "sleeve": "front notch of the sleeve",
}
"""What a cutter calls the place of a rule."""

HANDS: tuple[Hand, ...] = ("right", "left")

SAME = 0.05
"""A pocket's corner and the line it is stitched along agree to this, cm."""

Pieces = Mapping[tuple[str, Hand], Piece]
"""(piece, right or left) -> the piece, for all that the cloth's templates are made of."""

Marks = Mapping[tuple[str, Hand], Mapping[tuple[str, str], Array]]
"""(piece, right or left) -> (edge, station) -> where it is marked to be sewn, (2,) cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A point of a piece: ``name`` for sentences, ``at`` (2,) in its drawing, cm."""

    piece: str
    hand: Hand
    name: str
    at: Array


@dataclass(frozen=True, slots=True, eq=False)
class Link:
    """Two places that must show the same of the repeat; without ``b``, a line of the cloth."""

    rule: str
    axis: Axis
    a: Spot
    b: Spot | None = None


def links(
    pieces: Pieces, seams: Iterable[Seam], marks: Marks = MappingProxyType({})
) -> tuple[Link, ...]:
    """All links that the pieces and seams allow, in the order of :data:`RULES`.

    Seams meet at their ``marks``, and where there are none at their stations as drafted.
    Pairs that do not reach the hip are made level last. Only pieces that are seen when the garment
    is worn are matched.
    """
    shown = {k: p for k, p in pieces.items() if worn_outside(p)}
    own = tuple(seams)
    hip = {k: p for k, p in shown.items() if _hip(p) is not None}
    rest = {k: p for k, p in shown.items() if _hip(p) is None}
    finders: dict[str, Callable[[Pieces, tuple[Seam, ...]], list[Link]]] = {
        "centre_front": lambda p, s: _centre(p, s, "centre_front", "front"),
        "centre_back": lambda p, s: _centre(p, s, "centre_back", "back"),
        "level": lambda p, s: _level(hip),
        "side_seam": lambda p, s: _side(p, s, marks),
        "yoke": lambda p, s: _yoke(p, s, marks),
        "collar": lambda p, s: _collar(p, s, marks),
        "pocket": _pocket,
        "sleeve": lambda p, s: _sleeve(p, s, marks),
    }
    ordered = [link for name in RULES for link in finders[name](shown, own)]
    # a sleeve or a pocket first goes with what it is sewn to
    return (*ordered, *_level(rest))


def _names(pieces: Pieces) -> list[str]:
    return list(dict.fromkeys(name for name, _ in pieces))


def _spot(
    pieces: Pieces, marks: Marks, hand: Hand, refs: tuple[Ref, ...], name: str, point: str
) -> Spot | None:
    """A station of one side of a seam: "point", "edge:point" or "piece.point"."""
    want, _, rest = point.rpartition(".")
    for r in refs:
        piece = pieces.get((r.piece, hand))
        if piece is None or (want and r.piece != want):
            continue
        try:
            at = piece.point(rest if ":" in rest else f"{r.edge}:{rest}")
        except KeyError:
            continue
        at = marks.get((r.piece, hand), {}).get((r.edge, name), at)
        return Spot(r.piece, hand, rest.rpartition(":")[2], at)
    return None


def _station(
    seam: Seam, pieces: Pieces, marks: Marks, hand: Hand, index: int
) -> tuple[Spot, Spot] | None:
    s = seam.stations[index]
    a = _spot(pieces, marks, hand, seam.a, s.name, s.a)
    b = _spot(pieces, marks, hand, seam.b, s.name, s.b)
    return (a, b) if a is not None and b is not None else None


def _called(seam: Seam, *names: str) -> int:
    """The first station of one of the names in turn; the first station when there is none."""
    own = [s.name for s in seam.stations]
    return next((own.index(n) for n in names if n in own), 0)


def _centre(pieces: Pieces, seams: tuple[Seam, ...], rule: str, home: str) -> list[Link]:
    """Centre lines: a line of that name, an edge on the fold, or a seam between the halves."""
    mirrored = {s.a[0].piece: s for s in seams if s.mirror}
    out: list[Link] = []
    for name in _names(pieces):
        spots: list[Spot] = []
        for hand in HANDS:
            piece = pieces.get((name, hand))
            if piece is None or not piece.home.startswith(home):
                continue
            at = _centre_point(piece, rule, mirrored.get(name))
            if at is not None:
                spots.append(Spot(name, hand, *at))
        out += [Link(rule, "across", s) for s in spots]
        if len(spots) == 2:
            out.append(Link(rule, "across", spots[0], spots[1]))
    return out


def _centre_point(piece: Piece, rule: str, seam: Seam | None) -> tuple[str, Array] | None:
    words = rule.replace("_", " ")
    for line in piece.lines:
        if line.name == rule:
            return words, line.path.start
    if piece.cut == "fold" and piece.fold is not None:
        return words, piece.edge(piece.fold).first
    if seam is not None:
        point = seam.stations[_called(seam, "hip")].a.rpartition(".")[2]
        return f"{words} at the {point}", piece.point(f"{seam.a[0].edge}:{point}")
    return None


def _level(pieces: Pieces) -> list[Link]:
    """The two of a pair, at the hip where they have one; not a band, which lies round the body."""
    out: list[Link] = []
    for name in _names(pieces):
        right, left = pieces.get((name, "right")), pieces.get((name, "left"))
        if right is None or left is None or right.cut != "pair":
            continue
        if abs(float(up(right)[1])) < abs(float(up(right)[0])):
            continue
        point = _hip(right) or right.edges[0].start
        a, b = (Spot(name, h, point, pieces[name, h].point(point)) for h in HANDS)
        out.append(Link("level", "along", a, b))
    return out


def _hip(piece: Piece) -> str | None:
    """The hip on a piece's side seam, or on any edge that crosses it."""
    found = [e.name for e in piece.edges if "hip" in e.stations]
    side = [n for n in found if n.startswith("side")]
    return f"{(side or found)[0]}:hip" if found else None


def _side(pieces: Pieces, seams: tuple[Seam, ...], marks: Marks) -> list[Link]:
    """Plain seams down the figure that pass the hip, or are called side."""
    out: list[Link] = []
    for seam in seams:
        down = seam.name.startswith("side") or any(s.name == "hip" for s in seam.stations)
        if seam.kind != "plain" or seam.mirror or not down:
            continue
        for hand in HANDS:
            pair = _station(seam, pieces, marks, hand, _called(seam, "hip", "hem"))
            if pair is not None and pair[0].piece != pair[1].piece:
                out.append(Link("side_seam", "along", *pair))
    return out


def _yoke(pieces: Pieces, seams: tuple[Seam, ...], marks: Marks) -> list[Link]:
    out: list[Link] = []
    for seam in seams:
        if seam.kind != "yoke":
            continue
        middle = [i for i, s in enumerate(seam.stations) if "centre" in s.name]
        for hand in HANDS:
            pair = _station(seam, pieces, marks, hand, middle[0] if middle else 0)
            if pair is not None:
                out += [Link("yoke", "across", *pair), Link("yoke", "along", *pair)]
    return out


def _collar(pieces: Pieces, seams: tuple[Seam, ...], marks: Marks) -> list[Link]:
    """Across at the neck seam; along where the outer edge lies on the back."""
    out: list[Link] = []
    for seam in seams:
        if seam.kind != "neck":
            continue
        for hand in HANDS:
            pair = _station(seam, pieces, marks, hand, _called(seam, "centre_back"))
            if pair is None or pieces[pair[1].piece, hand].home != "back":
                continue
            out.append(Link("collar", "across", *pair))
            covered = _covered(pieces, *pair)
            if covered is not None:
                out.append(Link("collar", "along", *covered))
    return out


def _covered(pieces: Pieces, neck: Spot, back: Spot) -> tuple[Spot, Spot] | None:
    """The collar's outer edge at centre back, and the place of the back it falls on.

    The fall lies as far below the neck seam as it is deeper than the stand, by the roll line
    drawn on the collar; the turn of the cloth is not counted.
    """
    collar = pieces[neck.piece, neck.hand]
    below = pieces[back.piece, back.hand]
    roll = next((ln for ln in collar.lines if ln.kind == "fold"), None)
    if roll is None or collar.fold is None:
        return None
    edge = collar.edge(collar.fold)
    far = edge.last if np.allclose(edge.first, neck.at) else edge.first
    ends = (roll.path.start, roll.path.end)
    middle = min(ends, key=lambda p: abs(float(edge.runs[0].nearest(p)[1])))
    stand = float(np.hypot(*(middle - neck.at)))
    drop = float(np.hypot(*(far - neck.at))) - 2.0 * stand
    down = -up(below) / float(np.hypot(*up(below)))
    return (
        Spot(neck.piece, neck.hand, "outer edge at centre back", far),
        Spot(
            back.piece,
            back.hand,
            f"centre back {drop:.1f} cm below the neck",
            back.at + drop * down,
        ),
    )


def _pocket(pieces: Pieces, seams: tuple[Seam, ...]) -> list[Link]:
    """A piece stitched on another along a line drawn there: its opening's first corner."""
    out: list[Link] = []
    for (name, hand), piece in pieces.items():
        on = pieces.get((piece.follows or "", hand))
        if on is None:
            continue
        edge = piece.edge("stitched")
        for line in on.lines:
            if line.kind == "stitch" and float(np.hypot(*(line.path.start - edge.first))) <= SAME:
                a = Spot(name, hand, edge.start.replace("_", " "), edge.first)
                b = Spot(piece.follows or "", hand, "pocket corner", line.path.start)
                out += [Link("pocket", "across", a, b), Link("pocket", "along", a, b)]
    return out


def _sleeve(pieces: Pieces, seams: tuple[Seam, ...], marks: Marks) -> list[Link]:
    """The first notched station of the cap that lies on a front."""
    out: list[Link] = []
    for seam in seams:
        if seam.kind != "cap":
            continue
        for hand in HANDS:
            for i, s in enumerate(seam.stations):
                pair = _station(seam, pieces, marks, hand, i) if s.notch else None
                if pair is not None and pieces[pair[1].piece, hand].home.startswith("front"):
                    out += [Link("sleeve", "along", *pair), Link("sleeve", "across", *pair)]
                    break
    return out
