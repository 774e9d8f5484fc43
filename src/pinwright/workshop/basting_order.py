"""In which order a garment's seams are basted, read from its seam graph alone.

No seam or piece is known by its name here: what a seam is follows from its kind and from what its
edges meet at their ends, so a style that comes later is put in order as well.
"""

from __future__ import annotations

from typing import Literal, get_args

from pinwright.cutting.allowances import sleeves
from pinwright.cutting.corners import is_hem
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece
from pinwright.pattern.seam import Ref, Seam

Role = Literal[
    "panel",
    "yoke",
    "shoulder",
    "centre",
    "side",
    "inseam",
    "crotch",
    "sleeve seam",
    "sleeve",
    "neck",
    "band",
]
ORDER: tuple[Role, ...] = get_args(Role)
"""The order of basting (common practice): small parts first, then the body, then what is set in."""


def beside(piece: Piece, edge: str) -> tuple[Edge, Edge]:
    """The edges before and after an edge of a piece."""
    i = next(k for k, e in enumerate(piece.edges) if e.name == edge)
    return piece.edges[i - 1], piece.edges[(i + 1) % len(piece.edges)]


def in_order(garment: Garment) -> tuple[tuple[Role, Seam], ...]:
    """Every seam with its role, in the order of basting; those of one role in the style's own."""
    found = [(role_of(garment, s), s) for s in garment.seams]
    return tuple(sorted(found, key=lambda rs: ORDER.index(rs[0])))


def role_of(garment: Garment, seam: Seam) -> Role:
    """What a seam is on the figure.

    A centre seam that ends at a seam between pieces instead of at the hem is a crotch seam; a
    plain seam that ends at a crotch seam is an inseam, one that meets a neck seam a shoulder, one
    between the edges of a sleeve a sleeve seam, one from a hem upwards a side seam; any other
    joins panels.
    """
    if seam.kind in ("cap", "neck", "band", "yoke"):
        named: dict[str, Role] = {"cap": "sleeve", "neck": "neck", "band": "band", "yoke": "yoke"}
        return named[seam.kind]
    if seam.kind == "centre":
        return "crotch" if _is_crotch(garment, seam) else "centre"
    refs = (*seam.a, *seam.b)
    if {r.piece for r in refs} <= sleeves(garment):
        return "sleeve seam"
    next_to = [(r.piece, e.name) for r in refs for e in beside(garment.piece(r.piece), r.edge)]
    kinds = {s.kind for at in next_to for s in _sewn(garment, at)}
    if any(
        s.kind == "centre" and _is_crotch(garment, s) for at in next_to for s in _sewn(garment, at)
    ):
        return "inseam"
    if "neck" in kinds or any(name == "neck" for _, name in next_to):
        return "shoulder"
    if any(is_hem(garment.piece(p).edge(e)) for p, e in next_to):
        return "side"
    return "panel"


def _is_crotch(garment: Garment, seam: Seam) -> bool:
    def meets(ref: Ref) -> bool:
        near = beside(garment.piece(ref.piece), ref.edge)
        plain = any(s.kind == "plain" for e in near for s in _sewn(garment, (ref.piece, e.name)))
        return plain and not any(is_hem(e) for e in near)

    return any(meets(r) for r in seam.a)


def _sewn(garment: Garment, spot: tuple[str, str]) -> tuple[Seam, ...]:
    return tuple(s for s in garment.seams if any((r.piece, r.edge) == spot for r in (*s.a, *s.b)))
