"""The cloth of an order: what was cut, and where a correction leaves it."""

from __future__ import annotations

from collections.abc import Mapping

import shapely

from pinwright.cutting.cloth import cloth_as_cut, trim
from pinwright.cutting.remedies import Remedy, options
from pinwright.cutting.reserve import Shortfall, shortfalls
from pinwright.errors import OrderError
from pinwright.fitting.ledger import Fitted
from pinwright.measures.units import LengthUnit
from pinwright.workshop.order import GarmentOrder

MISSING = 0.05
"""Cloth missing by less than this (cm) is within what scissors can do."""

Cloths = Mapping[tuple[str, str], shapely.Polygon]
"""(side, piece) -> the cloth as it now lies, for pieces that are cut."""

Short = tuple[str, str, Shortfall]
"""(side, piece, shortfall)."""


def cut_cloth(fitted: Fitted, spec: GarmentOrder) -> dict[tuple[str, str], shapely.Polygon]:
    """The cloth as cut, piece by piece; nothing where the garment is not yet cut.

    Pieces cut only after the fitting (collar, facings, band) are not in it. ``spec.trimmed``
    ("back.side": 1.0) takes off what was trimmed since.

    Raises:
        OrderError: a trimmed edge that the garment does not have.
    """
    if not spec.cut:
        return {}
    for where in spec.trimmed:
        piece, _, edge = where.partition(".")
        if not fitted.garment.has(piece) or edge not in {
            e.name for e in fitted.garment.piece(piece).edges
        }:
            raise OrderError(
                f"garments.trimmed names {where!r}; it must be piece.edge of the {spec.style}, "
                "such as back.side."
            )
    cloth: dict[tuple[str, str], shapely.Polygon] = {}
    for side in ("right", "left"):
        half = fitted.right if side == "right" else fitted.left
        for p in half.pieces:
            if p.stage != "fitting":
                continue
            if side == "left" and half is fitted.right:
                cloth[side, p.name] = cloth["right", p.name]
                continue
            poly = cloth_as_cut(p)
            for where, left in spec.trimmed.items():
                piece, _, edge = where.partition(".")
                if piece == p.name:
                    poly = trim(poly, p, edge, left)
            cloth[side, p.name] = poly
    return cloth


def short_of_cloth(fitted: Fitted, cloth: Cloths) -> list[Short]:
    """Where the new net lines and their least allowances leave the cloth."""
    found: list[Short] = []
    for side, half in fitted.halves:
        for p in half.pieces:
            poly = cloth.get(("right" if side == "both" else side, p.name))
            if poly is None or p is fitted.garment.piece(p.name):
                continue
            found += [(side, p.name, s) for s in shortfalls(p, poly) if s.missing > MISSING]
    return found


def remedies(
    short: Shortfall, side: str, fitted: Fitted, cloth: Cloths, unit: LengthUnit
) -> tuple[Remedy, ...]:
    """What a cutter would do about a shortfall, each way computed."""
    here, there = ("left", "right") if side == "left" else ("right", "left")
    pieces = {p.name: p for p in fitted.half("left" if here == "left" else "right").pieces}
    pieces |= {
        f"{p.name}:other": p for p in fitted.half("left" if there == "left" else "right").pieces
    }
    cloths = {name: poly for (s, name), poly in cloth.items() if s == here}
    cloths |= {f"{name}:other": poly for (s, name), poly in cloth.items() if s == there}
    return options(short, pieces, cloths, fitted.garment.seams, unit=unit)
