"""The workshop's habits put on the pieces: allowance and reserve by place or seam, per order.

Without habits every piece stays the object it was. cm throughout.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Protocol

import shapely

from pinwright.cutting.allowances import RULES, Fray, Kind, allowance_of, kinds
from pinwright.cutting.cutline import cut_line
from pinwright.cutting.habit_words import falsified, narrow
from pinwright.cutting.keys import (
    ALLOWANCE_WORDS,
    RESERVE_WORDS,
    Spot,
    allowance_spots,
    forks,
    plainly,
    reserve_spots,
)
from pinwright.errors import OrderError, meant
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece

MOST = 25.0
"""The most a habit may keep at an edge, cm: a deep turn-up and its reserve."""

FORK = "fork"
"""The key of what a reserve that ends at the fork leaves there."""


class Habits(Protocol):
    """What a workshop keeps: reserve and allowance, cm by key."""

    @property
    def reserve(self) -> Mapping[str, float]:
        """Reserve by place or "piece.edge"."""

    @property
    def allowance(self) -> Mapping[str, float]:
        """Allowance by kind of seam, place, seam or "piece.edge"."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Habits as plain data."""

    reserve: Mapping[str, float]
    allowance: Mapping[str, float]


NONE = Kept({}, {})


@dataclass(frozen=True, eq=False)
class Settled:
    """Pieces with their allowance and reserve settled, in the order given.

    ``warnings`` are sentences for the cutter; ``unused`` the keys (as "reserve.shoulder") that
    this garment has nothing for.
    """

    pieces: tuple[Piece, ...]
    warnings: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()


def known_keys(garment: Garment, pieces: Sequence[Piece] = ()) -> frozenset[str]:
    """Every key a habit may use of this garment and the pieces derived from it."""
    return frozenset((*reserve_spots(garment, pieces), *allowance_spots(garment, pieces)))


def settled(
    garment: Garment,
    habits: Habits = NONE,
    fray: Fray = "firm",
    pieces: Sequence[Piece] | None = None,
    elsewhere: Collection[str] = (),
) -> Settled:
    """Pieces of a garment with the order's habits: the same objects where nothing changes.

    ``pieces`` are the garment's own unless others are given (derived ones too). ``elsewhere`` are
    the keys of the order's other garments (:func:`known_keys`): they are passed over here, as is a
    word of :data:`RESERVE_WORDS` or :data:`ALLOWANCE_WORDS` that this garment has no edge for.

    A key of one edge goes before a place, a place before a kind of seam. A reserve changes what
    the style keeps: on the edges of the place that have a reserve, or on all where none has. At a
    fork it runs out to nothing, or to what the key "fork" leaves there. Loosely woven cloth widens
    plain, yoke and overlocked seams to what
    :func:`~pinwright.cutting.allowances.allowance_of` says, unless a habit names them.

    Settle a fresh draft, not one that is cut: what a reserve was before it was taken away is gone.

    Raises:
        OrderError: a key that is not known, or a width that cannot be kept.
    """
    todo = tuple(garment.pieces if pieces is None else pieces)
    widths, at_edge = allowance_spots(garment, todo), reserve_spots(garment, todo)
    more = {plainly(k) for k in elsewhere}
    _known("allowance", habits.allowance, widths, ALLOWANCE_WORDS, more)
    _known("reserve", habits.reserve, at_edge, RESERVE_WORDS, more)
    every = {p.name: p for p in (*garment.pieces, *todo)}
    wide, unused = _chosen(habits.allowance, widths)
    keeps, idle = _chosen(
        {k: v for k, v in habits.reserve.items() if plainly(k) != FORK},
        at_edge,
        lambda s: _keeping(s, every),
    )
    left = next((v for k, v in habits.reserve.items() if plainly(k) == FORK), None)
    ends = forks(garment)
    if left is not None and not ends:
        idle.append(FORK)
    out = tuple(_piece(p, garment, wide, keeps, fray, ends, left) for p in todo)
    return Settled(
        out,
        (*narrow(out, garment, wide), *falsified(out, garment, keeps, ends)),
        (*(f"allowance.{k}" for k in unused), *(f"reserve.{k}" for k in idle)),
    )


def settled_garment(
    garment: Garment, habits: Habits = NONE, fray: Fray = "firm", elsewhere: Collection[str] = ()
) -> Garment:
    """The garment with the order's habits on its own pieces; the same garment without a change.

    Raises:
        OrderError: see :func:`settled`.
    """
    pieces = settled(garment, habits, fray, None, elsewhere).pieces
    if all(a is b for a, b in zip(pieces, garment.pieces, strict=True)):
        return garment
    return replace(garment, pieces=pieces)


def _known(
    what: str,
    given: Mapping[str, float],
    here: Mapping[str, object],
    words: Collection[str],
    more: Collection[str],
) -> None:
    for key, cm in given.items():
        if not isfinite(cm) or not 0.0 <= cm <= MOST:
            raise OrderError(f"habits.{what}.{key}: {cm:g} cm; it may be from 0 to {MOST:g} cm.")
        known = {*here, *words, *more}
        if plainly(key) not in known:
            raise OrderError(
                f"habits.{what}.{key} is not known.{meant(plainly(key), sorted(known))} It may be "
                f"{', '.join(sorted(words))}, another seam of the garment, or an edge such as "
                f'"{_example(here)}".'
            )


def _example(here: Mapping[str, object]) -> str:
    return next((k for k in here if "." in k), "front.side")


def _chosen(
    given: Mapping[str, float],
    spots: Mapping[str, tuple[frozenset[Spot], ...]],
    narrowed: Callable[[frozenset[Spot]], frozenset[Spot]] | None = None,
) -> tuple[dict[Spot, float], list[str]]:
    """What each edge is to have, nearer keys before wider ones, and the keys without an edge."""
    found: dict[Spot, float] = {}
    for rank in range(3):
        for key, cm in given.items():
            if plainly(key) in spots:
                here = spots[plainly(key)][rank]
                if narrowed is not None and rank < 2:
                    here = narrowed(here)
                found |= dict.fromkeys(here, float(cm))
    return found, [k for k in given if plainly(k) not in spots]


def _keeping(spots: Iterable[Spot], pieces: Mapping[str, Piece]) -> frozenset[Spot]:
    """Of some edges those the style keeps a reserve on; all of them where it keeps none."""
    whole = frozenset(spots)
    some = frozenset(s for s in whole if pieces[s[0]].edge(s[1]).reserve > 0.0)
    return some or whole


def _piece(
    piece: Piece,
    garment: Garment,
    wide: Mapping[Spot, float],
    keeps: Mapping[Spot, float],
    fray: Fray,
    ends: Mapping[Spot, str],
    left: float | None,
) -> Piece:
    by_kind = kinds(garment, piece)
    edges = tuple(
        _edge(
            e,
            by_kind[e.name],
            wide.get((piece.name, e.name)),
            keeps.get((piece.name, e.name)),
            fray,
            ends.get((piece.name, e.name)),
            left,
        )
        for e in piece.edges
    )
    if all(a is b for a, b in zip(edges, piece.edges, strict=True)):
        return piece
    return piece.with_edges(edges)


def _edge(
    e: Edge,
    kind: Kind,
    wide: float | None,
    kept: float | None,
    fray: Fray,
    fork: str | None,
    left: float | None,
) -> Edge:
    if kind == "fold":
        return e
    allowance = e.allowance if wide is None else wide
    if wide is None and fray == "loose" and RULES[kind].frays and allowance > 0.0:
        allowance = max(allowance, allowance_of(kind, "loose"))
    reserve = e.reserve if kept is None else kept
    taper = e.reserve_to
    if kept is not None:
        if kept == 0.0:
            taper = None
        elif taper is not None:
            taper = (taper[0], taper[1], min(taper[2], kept))
        elif fork is not None:
            taper = (_from(e, fork), fork, 0.0)
    if left is not None and fork is not None and reserve > 0.0:
        taper = (taper[0] if taper else _from(e, fork), fork, min(left, reserve))
    if (allowance, reserve, taper) == (e.allowance, e.reserve, e.reserve_to):
        return e
    least = e.least if 0.0 < e.least <= allowance else min(RULES[kind].least, allowance)
    return replace(e, allowance=allowance, reserve=reserve, reserve_to=taper, least=least)


def _from(e: Edge, fork: str) -> str:
    """Where a reserve begins to run out towards the fork: at the station nearest to it."""
    other = e.start if fork == e.end else e.end
    at = e.distance(fork)
    return min((*e.stations, other), key=lambda n: abs(e.distance(n) - at))


@dataclass(frozen=True, slots=True)
class Cost:
    """Cloth a reserve takes: ``area`` cm2 in all, by piece, and ``length`` it makes at least, cm.

    ``length`` is the area over the width: what a lay without any waste would need more.
    """

    area: float
    by_piece: Mapping[str, float]
    length: float


def times_cut(piece: Piece) -> int:
    """How many times the drawn shape is cut: a pair twice, on the fold as its two halves."""
    return piece.count * (1 if piece.cut == "single" else 2)


def without_reserve(pieces: Iterable[Piece]) -> tuple[Piece, ...]:
    """The same pieces with nothing kept beyond the allowance."""
    return tuple(
        p.with_edges(tuple(replace(e, reserve=0.0, reserve_to=None) for e in p.edges))
        if any(e.reserve > 0.0 for e in p.edges)
        else p
        for p in pieces
    )


def cost(with_reserve: Sequence[Piece], without: Sequence[Piece], width: float) -> Cost:
    """What pieces take more than the same pieces without reserve, on cloth of a usable width, cm.

    Raises:
        OrderError: the width is not more than 0, or the pieces are not the same ones.
    """
    if not width > 0.0:
        raise OrderError(f"The cloth is {width:g} cm wide; it must be more than 0 cm.")
    if [p.name for p in with_reserve] != [p.name for p in without]:
        raise OrderError("Reserve is priced on the same pieces with and without it.")
    by_piece = {
        a.name: times_cut(a) * (_area(a) - _area(b)) if a is not b else 0.0
        for a, b in zip(with_reserve, without, strict=True)
    }
    total = sum(by_piece.values())
    return Cost(total, by_piece, total / width)


def _area(piece: Piece) -> float:
    return float(shapely.Polygon(cut_line(piece)).area)
