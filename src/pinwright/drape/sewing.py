"""What is sewn to what, from the seam graph alone: runs of edges that become one line.

Besides the seams that the garment names there are three kinds of join that a cutter takes for
granted: a piece on the fold goes on in its other half; a band closes where the body that it goes
round does; a buttoned front meets its other half at the buttons. All in cm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pinwright.drape.data import Side
from pinwright.drape.hanging import SIDES, Hanging, Key, banded
from pinwright.errors import GeometryError
from pinwright.fitting.walking import PITCH
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge
from pinwright.pattern.seam import Ref, Seam


@dataclass(frozen=True, slots=True)
class Stretch:
    """Between two stations: from ``a0`` to ``a1`` along the run a, ``b0`` to ``b1`` along b, cm."""

    a0: float
    a1: float
    b0: float
    b1: float


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """An edge of a panel in a run: it takes up ``at`` to ``at + edge.length`` of the run, cm."""

    key: Key
    edge: Edge
    reverse: bool
    at: float

    def along(self, s: float) -> float:
        """Sewn distance on the edge, from its start, at a place of the run, cm."""
        here = s - self.at
        return self.edge.length - here if self.reverse else here


TURNED = 0.3
"""A sleeve turned by less than this part of a triangle's side keeps its seam at the side seam: the
rest of the cap turns, and no side is that short."""

Run = tuple[Part, ...]

Facts = Mapping[Side, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Join:
    """Two runs that have as many vertices as each other between stations.

    ``whole``: sewn along; otherwise they are held at the stations within only, as by buttons.
    ``named``: it is a seam to be told of, not the fold of a piece.
    """

    name: str
    a: Run
    b: Run
    stretches: tuple[Stretch, ...]
    whole: bool = True
    named: bool = True


def joins(
    garment: Garment, hung: Hanging, edge: float, facts: Facts | None = None
) -> tuple[Join, ...]:
    """Every join between the panels that hang.

    Args:
        garment: its seams.
        hung: its pieces that hang.
        edge: wanted side of the triangles, cm.
        facts: the garment's own for each side where corrections changed them (how far a sleeve
            is turned); the draft's where it is not given.

    Raises:
        GeometryError: an edge that is in two joins.
    """
    known = facts or dict.fromkeys(SIDES, garment.facts)
    found = [
        *_seams(garment, hung, edge, known),
        *_folds(hung),
        *_bands(garment, hung),
        *_fronts(hung),
    ]
    seen: dict[tuple[Key, str], str] = {}
    for join in found:
        for part in (*join.a, *join.b):
            where = (part.key, part.edge.name)
            if seen.setdefault(where, join.name) != join.name:
                raise GeometryError(
                    f"{garment.title}: edge {part.edge.name} of the {part.key[0]} is sewn twice, "
                    f"in {seen[where]} and in {join.name}."
                )
    return tuple(found)


def length(run: Run) -> float:
    """Sewn length of a run, cm."""
    return run[-1].at + run[-1].edge.length


def run_of(hung: Hanging, refs: Sequence[Ref], side: Side) -> Run:
    """The edges of one side that a run names, each where it lies along the run."""
    parts: list[Part] = []
    at = 0.0
    for r in refs:
        e = hung.pieces[r.piece, side].edge(r.edge)
        parts.append(Part((r.piece, side), e, r.reverse, at))
        at += e.length
    return tuple(parts)


def place(run: Run, name: str) -> float:
    """Where along a run a station stands, cm; its name as in the garment's seams.

    Raises:
        KeyError: no edge of the run has it.
    """
    piece, _, rest = name.rpartition(".")
    named_edge, _, point = rest.rpartition(":")
    for part in run:
        if piece in ("", part.key[0]) and named_edge in ("", part.edge.name):
            try:
                s = part.edge.distance(point)
            except KeyError:
                continue
            return part.at + (part.edge.length - s if part.reverse else s)
    raise KeyError(f"no station {name} on {', '.join(p.edge.name for p in run)}")


def _seams(garment: Garment, hung: Hanging, edge: float, facts: Facts) -> Iterator[Join]:
    for seam in garment.seams:
        if not all(hung.has(r.piece) for r in (*seam.a, *seam.b)):
            continue
        if seam.mirror:
            a, b = (run_of(hung, seam.a, side) for side in SIDES)
            yield Join(seam.name, a, b, _stretches(seam, a, b))
            continue
        for side in SIDES:
            a, b = run_of(hung, seam.a, side), run_of(hung, seam.b, side)
            turned = facts[side].get(PITCH, 0.0) if seam.kind == "cap" else 0.0
            yield Join(f"{seam.name} {side}", a, b, _stretches(seam, a, b, turned, edge))


def _stretches(
    seam: Seam, a: Run, b: Run, turned: float = 0.0, edge: float = 1.0
) -> tuple[Stretch, ...]:
    """Between each two stations where they are sewn to each other, as in ``fitting.walking``."""
    at_a = [place(a, s.a) for s in seam.stations]
    at_b = [place(b, s.b) for s in seam.stations]
    if seam.kind == "cap" and len(at_a) > 3:
        # the armhole's notches are where they are cut; the sleeve's are walked to from its seam
        at_a[1] = at_a[0] + (at_b[1] - at_b[0]) + seam.stretches[0].planned
        at_a[-2] = at_a[-1] - (at_b[-1] - at_b[-2]) - seam.stretches[-1].planned
    # a sleeve turned so that the cuff hangs forward: each mark of the armhole meets the cap that
    # much nearer the front underarm, and the ring of the cap goes on past its own seam
    at_a = [x - turned for x in at_a]
    if abs(turned) < TURNED * edge:
        at_a[0], at_a[-1] = at_a[0] + turned, at_a[-1] + turned
    return tuple(
        piece
        for (a0, a1), (b0, b1) in zip(pairwise(at_a), pairwise(at_b), strict=True)
        for piece in _within(Stretch(a0, a1, b0, b1), length(a))
    )


def _within(s: Stretch, whole: float) -> Iterator[Stretch]:
    """A stretch of a ring that is ``whole`` round on side a, cut where it passes its seam."""
    for low in (-whole, 0.0, whole):
        a0, a1 = max(s.a0, low), min(s.a1, low + whole)
        if a1 - a0 > 1e-6:
            per = (s.b1 - s.b0) / (s.a1 - s.a0)
            yield Stretch(a0 - low, a1 - low, s.b0 + per * (a0 - s.a0), s.b1 - per * (s.a1 - a1))


def _folds(hung: Hanging) -> Iterator[Join]:
    for (name, side), piece in hung.pieces.items():
        if side == "right" and piece.cut == "fold" and piece.fold is not None:
            yield _mirrored(hung, name, piece.fold, f"{name} fold", named=False)


def _mirrored(hung: Hanging, piece: str, edge: str, name: str, named: bool = True) -> Join:
    a, b = (run_of(hung, (Ref(piece, edge),), side) for side in SIDES)
    whole = Stretch(0.0, length(a), 0.0, length(b))
    return Join(name, a, b, (whole,), named=named)


def _bands(garment: Garment, hung: Hanging) -> Iterator[Join]:
    """The ends of bands: each closes as the cloth does that it is sewn to.

    Where a band's seam ends at a centre seam, a fold or a buttoned front the band meets its other
    half (there it is hooked, buttoned or seamed); where it begins and ends at the two sides of
    one seam, as a cuff does, its ends meet each other.
    """
    sewn = {(r.piece, r.edge): s for s in garment.seams for r in (*s.a, *s.b)}
    for band, body in banded(garment, {name for name, _ in hung.pieces}):
        ends = [
            (end[1], beyond)
            for end, beyond in zip(_beyond(hung, band), _beyond(hung, body), strict=True)
            if end not in sewn and hung.pieces[end[0], "right"].fold != end[1]
        ]
        yield from _closed(hung, sewn, band[0].piece, ends)


def _beyond(hung: Hanging, refs: Sequence[Ref]) -> list[tuple[str, str]]:
    """Piece and edge that the net line goes on in before and beyond a run."""
    found = []
    for r, on in ((refs[0], refs[0].reverse), (refs[-1], not refs[-1].reverse)):
        edges = [e.name for e in hung.pieces[r.piece, "right"].edges]
        found.append((r.piece, edges[(edges.index(r.edge) + (1 if on else -1)) % len(edges)]))
    return found


def _closed(
    hung: Hanging,
    sewn: Mapping[tuple[str, str], Seam],
    band: str,
    ends: Sequence[tuple[str, tuple[str, str]]],
) -> Iterator[Join]:
    """Joins of a band's ends, each given with the edge of the body beyond it."""
    seams = [sewn.get(beyond) for _, beyond in ends]
    if len(ends) == 2 and seams[0] is not None and seams[0] is seams[1] and not seams[0].mirror:
        for side in SIDES:
            a = run_of(hung, (Ref(band, ends[0][0]),), side)
            b = run_of(hung, (Ref(band, ends[1][0], reverse=True),), side)
            yield Join(f"{band} ends {side}", a, b, (Stretch(0.0, length(a), 0.0, length(b)),))
        return
    for (name, beyond), seam in zip(ends, seams, strict=True):
        folded = hung.pieces[beyond[0], "right"].fold == beyond[1]
        front = hung.fronts.get((beyond[0], "right"))
        if folded or (front and front.edge == beyond[1]) or (seam and seam.mirror):
            yield _mirrored(hung, band, name, f"{band} {name}")


def _fronts(hung: Hanging) -> Iterator[Join]:
    for (name, side), front in hung.fronts.items():
        if side == "left" or (name, "left") not in hung.fronts:
            continue
        a, b = (run_of(hung, (Ref(name, front.edge),), s) for s in SIDES)
        other = hung.fronts[name, "left"].buttons
        both = [x for x in front.buttons if x in other]
        at_a = [0.0, *(place(a, x) for x in both), length(a)]
        at_b = [0.0, *(place(b, x) for x in both), length(b)]
        steps = zip(pairwise(at_a), pairwise(at_b), strict=True)
        yield Join(
            f"{name} buttons",
            a,
            b,
            tuple(Stretch(a0, a1, b0, b1) for (a0, a1), (b0, b1) in steps),
            whole=False,
            named=False,
        )
