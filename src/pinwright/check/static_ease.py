"""How far a garment is round at each level: its net lines as they are sewn, front and back apart.

Levels are those that the draft names in its finished measures (hip, waist, thigh ...), and any
others by their height. What is measured is the garment as it is now, after its ledger.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

import numpy as np

from pinwright.check.rings import Cut, Ends, Ring, Spot, across, crossings, mating, named, ring
from pinwright.fitting.ledger import Fitted, Half
from pinwright.pattern.garment import Garment
from pinwright.pattern.seam import Sewn, Target, Width

Side = Literal["both", "right", "left"]

UP = np.array([0.0, 1.0])


@dataclass(frozen=True, slots=True, eq=False)
class Girth:
    """A garment's girth at a level, cm, as sewn and buttoned.

    ``measure`` is the body measure that it goes over. Round the body (``side`` "both") ``front``
    and ``back`` are those of right and left together; round one leg they are that leg's, round a
    sleeve, which is neither, None. ``height`` over the natural waist (below it negative; None
    where the draft does not tell it), ``overlap`` what laps over in front of all this, ``cuts``
    where each piece is crossed: the right half's, or the leg's or sleeve's own.
    """

    level: str
    measure: str
    side: Side
    whole: float
    front: float | None
    back: float | None
    height: float | None
    overlap: float = 0.0
    cuts: tuple[Cut, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """One half: its width, what of it lies in front (None: it is neither front nor back)."""

    whole: float
    front: float | None
    closed: bool
    height: float | None
    overlap: float = 0.0
    cuts: tuple[Cut, ...] = ()


def garment_girths(fitted: Fitted, heights: Mapping[str, float] | None = None) -> tuple[Girth, ...]:
    """The girths of a garment at its levels, from the top down, sleeves last.

    Args:
        fitted: the garment after its ledger.
        heights: further levels by name, cm over the natural waist; one that the draft names too is
            taken at this height instead. The body measure of ``top_hip`` is ``top_hip_girth``.
            Left out are those at which the garment does not go round: above the underarm, beyond
            its ends. Between hip and crotch the forks are in the width, though they lie between
            the legs.

    Darts sewn closed at a level are not in it, nor allowances; fronts that lap over count to the
    centre front; a leg or a sleeve is a tube. Cloth eased or gathered into a band is not in the
    waist, which is the band's; the pattern knows no other pleats or tucks. Only a single piece of
    its own (cut neither as a pair nor on the fold) is not provided for, since no style has one
    that goes round.
    """
    targets = {t.name: t for t in _girth_targets(fitted.garment)}
    asked = dict(heights or {})
    found: list[list[Girth]] = []
    for name in dict.fromkeys((*targets, *asked)):
        target = targets.get(name)
        measure = f"{name}_girth" if target is None else target.measure
        halves = (fitted.right,) if fitted.right is fitted.left else (fitted.right, fitted.left)
        parts = [
            _at_height(half, asked[name])
            if name in asked or target is None
            else _drafted(half, target)
            for half in halves
        ]
        found.append(_girths(name, measure, parts[0], parts[-1]))
    told = [g for g in found if g]
    told.sort(key=lambda g: inf if g[0].height is None else -g[0].height)
    return tuple(x for g in told for x in g)


def _girth_targets(garment: Garment) -> list[Target]:
    """The finished measures that go round, one for each body measure: the first is the worn one."""
    kept: dict[str, Target] = {}
    for t in garment.targets:
        if t.measure.endswith("_girth"):
            kept.setdefault(t.measure, t)
    return list(kept.values())


def _girths(level: str, measure: str, right: _Part | None, left: _Part | None) -> list[Girth]:
    """Right and left as girths: one round the body, or one for each limb; none where none is."""
    if right is None or left is None:
        return []
    if right.closed:
        return [_one(level, measure, "right", right), _one(level, measure, "left", left)]
    shared = right.front is not None and left.front is not None
    together = replace(
        right,
        whole=right.whole + left.whole,
        front=(right.front or 0.0) + (left.front or 0.0) if shared else None,
        overlap=max(right.overlap, left.overlap),
    )
    return [_one(level, measure, "both", together)]


def _one(level: str, measure: str, side: Side, p: _Part) -> Girth:
    back = None if p.front is None else p.whole - p.front
    return Girth(level, measure, side, p.whole, p.front, back, p.height, p.overlap, p.cuts)


def _drafted(half: Half, target: Target) -> _Part | None:
    """A level that the draft names, on one half."""
    widths = [p for p in target.parts if isinstance(p, Width)]
    if len(widths) == len(target.parts):
        return _ringed(half, _named_ring(half, widths))
    edges = [p for p in target.parts if isinstance(p, Sewn)]
    if widths or not edges:
        return None
    whole = front = 0.0
    for part in edges:
        size = half.piece(part.piece).edge(part.edge).length
        whole += size
        front += size * _front_of(half, part.piece)
    return _Part(whole, front, False, _sewn_height(half, edges[0]))


def _named_ring(half: Half, widths: list[Width]) -> Ring | None:
    ends = {
        w.piece: (named(half.piece(w.piece), w.start), named(half.piece(w.piece), w.end))
        for w in widths
    }
    return ring(half, widths[0].piece, ends, {})


def _at_height(half: Half, height: float) -> _Part | None:
    """A level by its height over the natural waist: parallel, on each piece, to the next one."""
    waist = _waist(half)
    if waist is None:
        return None
    y = waist + height
    near: tuple[float, Ring] | None = None
    for target in _girth_targets(half.garment):
        widths = [p for p in target.parts if isinstance(p, Width)]
        # sleeves have heights of their own
        if not widths or not all(_shares(half, w.piece) for w in widths):
            continue
        found = _named_ring(half, widths)
        if found is not None:
            away = abs(found.cuts[0].height - y)
            near = min(near or (away, found), (away, found), key=lambda item: item[0])
    if near is None:
        return None
    ways = {c.piece: c.way for c in near[1].cuts}
    first = near[1].cuts[0]
    through = (first.start + first.end) / 2.0 + (y - first.height) * UP
    met = crossings(half.piece(first.piece), through, first.way)
    if len(met) < 2:
        return None
    ends: Ends = {first.piece: (met[0], met[-1])}
    part = _ringed(half, ring(half, first.piece, ends, ways))
    # beyond a side dart the drawing stands higher than it is worn
    return None if part is None else replace(part, height=height)


def _ringed(half: Half, found: Ring | None) -> _Part | None:
    """A ring as a half's share of a girth."""
    if found is None:
        return None
    whole = sum(c.width for c in found.cuts)
    shares = any(_shares(half, c.piece) for c in found.cuts)
    front = sum(c.width * _front_of(half, c.piece) for c in found.cuts) if shares else None
    waist = _waist(half)
    height = found.cuts[0].height - waist if shares and waist is not None else None
    return _Part(
        whole,
        front,
        found.closed,
        height,
        sum(c.overlap for c in found.cuts),
        found.cuts,
    )


def _shares(half: Half, piece: str) -> bool:
    """Whether a piece is at home in the front or the back."""
    return half.piece(piece).home in ("front", "back")


def _front_of(half: Half, piece: str) -> float:
    """Which part of a piece's width lies in front: all, none, or as the pieces it is sewn to do.

    A piece of neither is shared as the edges are that it hangs from or carries (a band between
    front and back of the trousers), and evenly where it stands between front and back (a side
    panel: its middle is the body's side; common practice).
    """
    home = half.piece(piece).home
    if home in ("front", "back"):
        return 1.0 if home == "front" else 0.0
    carried = _carried(half, piece)
    return 0.5 if carried is None else carried.front


@dataclass(frozen=True, slots=True)
class _Carried:
    """How a piece lies along a seam to front and back: which part of it in front (0 to 1), its
    sewn edge, and the piece and the corner where front and back meet: the side."""

    front: float
    edge: str
    piece: str
    corner: str


def _carried(half: Half, piece: str) -> _Carried | None:
    for e in half.piece(piece).edges:
        sp = mating(half, piece, e.name)
        if sp is None:
            continue
        own, other = sp.seam.a, sp.seam.b
        if own[0].piece != piece:
            own, other = other, own
        homes = [half.piece(r.piece).home for r in other]
        if len(own) != 1 or set(homes) != {"front", "back"}:
            continue
        forwards = homes[0] == "front"
        # of the front edges the one at the side, and its end there
        ref = other[homes.index("back") - 1 if forwards else homes.index("front")]
        edge = half.piece(ref.piece).edge(ref.edge)
        last = forwards != ref.reverse
        met = across(half, sp, Spot(ref.piece, ref.edge, edge.length if last else 0.0))
        share = met.at / e.length
        return _Carried(
            share if forwards != own[0].reverse else 1.0 - share,
            e.name,
            ref.piece,
            edge.end if last else edge.start,
        )
    return None


def _waist(half: Half) -> float | None:
    """Height of the natural waist in the drawings, cm; None where the draft does not tell it."""
    level = half.facts.get("waist_level")
    if level is not None:
        return float(level)
    for target in half.garment.targets:
        first = target.parts[0] if target.parts else None
        if target.measure == "waist_girth" and isinstance(first, Width):
            return float(half.piece(first.piece).point(first.start)[1])
    return None


def _sewn_height(half: Half, part: Sewn) -> float | None:
    """Height over the natural waist, at the side, of an edge that lies round the body.

    As the draft lays it: straight up from its levels (sources 2.1).
    """
    waist, carried = _waist(half), _carried(half, part.piece)
    if waist is None or carried is None:
        return None
    piece = half.piece(carried.piece)
    height = float(piece.point(carried.corner)[1]) - waist
    if carried.edge == part.edge:
        return height
    # the upper edge of a band stands above the sewn one by the band's depth
    band = half.piece(part.piece)
    lower, upper = band.edge(carried.edge).runs[0], band.edge(part.edge).runs[0]
    return height + lower.nearest(upper.at(upper.length / 2.0))[1]
