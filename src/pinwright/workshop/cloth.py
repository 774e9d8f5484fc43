"""The cloth of an order: what was cut, and where a correction leaves it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import shapely

from pinwright.cutting.cloth import cloth_as_cut, trim
from pinwright.cutting.reserve import Shortfall, shortfalls
from pinwright.errors import OrderError
from pinwright.fitting.ledger import Fitted
from pinwright.pattern.piece import Piece
from pinwright.workshop.order import GarmentOrder

MISSING = 0.05
"""Cloth missing by less than this (cm) is within what scissors can do."""

Cloths = Mapping[tuple[str, str], shapely.Polygon]
"""(side, piece) -> the cloth as it now lies, for pieces that are cut."""

Short = tuple[str, str, Shortfall]
"""(side, piece, shortfall)."""

SIDES = ("right", "left")


def cut_cloth(fitted: Fitted, spec: GarmentOrder) -> dict[tuple[str, str], shapely.Polygon]:
    """The cloth as cut, piece by piece; nothing where the garment is not yet cut.

    Pieces cut only after the fitting (collar, facings, band) are not in it. ``spec.trimmed``
    ("back.side": 1.0, or "right:back.side" for one side) takes off what was trimmed since.

    Raises:
        OrderError: a trimmed edge that the garment does not have.
    """
    if not spec.cut:
        return {}
    trims = [_trimmed(where, left, fitted, spec) for where, left in spec.trimmed.items()]
    cloth: dict[tuple[str, str], shapely.Polygon] = {}
    for side in SIDES:
        half = fitted.right if side == "right" else fitted.left
        for p in half.pieces:
            if p.stage != "fitting":
                continue
            one_sided = any(s and name == p.name for s, name, _, _ in trims)
            if side == "left" and half is fitted.right and not one_sided:
                cloth[side, p.name] = cloth["right", p.name]
                continue
            poly = cloth_as_cut(p)
            for on, name, edge, left in trims:
                if name == p.name and on in ("", side):
                    poly = trim(poly, p, edge, left)
            cloth[side, p.name] = poly
    return cloth


def _trimmed(
    where: str, left: float, fitted: Fitted, spec: GarmentOrder
) -> tuple[str, str, str, float]:
    """(side or "", piece, edge, cm left) of an entry of ``trimmed``."""
    side, _, rest = where.rpartition(":")
    piece, _, edge = rest.partition(".")
    garment = fitted.garment
    if (
        side not in ("", *SIDES)
        or not garment.has(piece)
        or not _has_edge(garment.piece(piece), edge)
    ):
        raise OrderError(
            f"garments.trimmed names {where!r}; it must be piece.edge of the {spec.style}, "
            "such as back.side, or right:back.side for one side only."
        )
    return side, piece, edge, left


def _has_edge(piece: Piece, edge: str) -> bool:
    return edge in {e.name for e in piece.edges}


def short_of_cloth(fitted: Fitted, cloth: Cloths) -> list[Short]:
    """Where the net lines and their least allowances leave the cloth.

    Every piece is held against its own cloth, also one that is as drafted: it may have been cut
    with carried corrections, trimmed since, or moved on its cloth.
    """
    found: list[Short] = []
    for side, half in fitted.halves:
        for p in half.pieces:
            right, left = cloth.get(("right", p.name)), cloth.get(("left", p.name))
            if side == "both" and right is left:
                on = [("both", right)]
            else:
                on = [(s, c) for s, c in (("right", right), ("left", left)) if side in ("both", s)]
            for name, poly in on:
                if poly is not None:
                    found += [(name, p.name, s) for s in _missing(p, poly)]
    return found


@lru_cache(maxsize=512)
def _missing(piece: Piece, cloth: shapely.Polygon) -> tuple[Shortfall, ...]:
    """A piece's shortages worth telling, kept: most pieces stay as they are from note to note."""
    return tuple(s for s in shortfalls(piece, cloth) if s.missing > MISSING)


Lacks = Mapping[tuple[str, str, str], float]
"""(right or left, piece, edge) -> cloth missing at its worst place, cm."""


def lacks(short: list[Short]) -> dict[tuple[str, str, str], float]:
    """The worst shortage of each edge, right and left apart."""
    found: dict[tuple[str, str, str], float] = {}
    for side, piece, x in short:
        for s in sides(side):
            key = (s, piece, x.edge)
            found[key] = max(found.get(key, 0.0), x.missing)
    return found


def sides(side: str) -> tuple[str, ...]:
    """The sides a word stands for: "both" is right and left."""
    return SIDES if side == "both" else (side,)
