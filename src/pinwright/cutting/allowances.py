"""What each kind of seam needs beyond the net line: rules with their source, and an edge's kind.

A style draws its own allowances; these rules say what they are judged by, what loosely woven cloth
needs, and what a piece gets that comes without any. cm throughout.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from pinwright.cutting.corners import is_hem
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Edge, Piece

Fray = Literal["firm", "loose"]
Kind = Literal[
    "plain",
    "armhole",
    "neck",
    "waist",
    "yoke",
    "hem",
    "cuff",
    "opening",
    "faced",
    "french",
    "lapped_over",
    "lapped_under",
    "bound",
    "overlocked",
    "fold",
    "interfacing",
]

LOOSE = 0.5
"""What loosely woven cloth adds to a seam that is pressed open or overlocked (common practice)."""


@dataclass(frozen=True, slots=True)
class Rule:
    """The allowance of a kind of seam: usual ``low`` to ``high``, ``given`` where none is drawn.

    ``least`` is what the seam can still be sewn with; ``frays`` whether loosely woven cloth needs
    :data:`LOOSE` more.
    """

    kind: Kind
    title: str
    given: float
    low: float
    high: float
    least: float
    source: str = "common practice"
    frays: bool = False


_NOW = "common practice (sources 3.5, last row)"
_ISO = "common practice; seam type ISO 4916 {} (number from memory)"

RULES: Mapping[Kind, Rule] = {
    r.kind: r
    for r in (
        Rule("plain", "plain seam, pressed open", 1.0, 1.0, 1.5, 0.6, _NOW, frays=True),
        Rule("armhole", "armhole and cap", 1.0, 1.0, 1.2, 0.6, _NOW),
        Rule("neck", "neck", 1.0, 0.7, 1.0, 0.6, _NOW),
        Rule("waist", "waist and what is sewn to it", 1.0, 1.0, 1.0, 0.6, _NOW),
        Rule("yoke", "yoke", 1.0, 1.0, 1.0, 0.6, frays=True),
        Rule("hem", "hem", 4.0, 4.0, 6.0, 1.0, _NOW),
        Rule("cuff", "hem of a sleeve", 4.0, 3.8, 4.0, 1.0, "Vincent's Systems (sources 3.5): 3.8"),
        Rule("opening", "turned opening of a pocket", 3.0, 2.0, 4.0, 0.6),
        Rule("faced", "faced or enclosed edge", 1.0, 0.7, 1.0, 0.6),
        Rule("french", "enclosed seam, sewn twice", 1.5, 1.2, 1.5, 1.2, _ISO.format("1.06")),
        Rule("lapped_over", "lapped seam, the side that is folded over", 1.6, 1.4, 2.0, 1.2,
             _ISO.format("2.04")),
        Rule("lapped_under", "lapped seam, the side that lies inside", 0.7, 0.5, 0.8, 0.5,
             _ISO.format("2.04")),
        Rule("bound", "bound edge", 0.0, 0.0, 0.0, 0.0, _ISO.format("3.03, 3.05")),
        Rule("overlocked", "overlocked seam", 1.0, 0.7, 1.0, 0.5, "common practice; ISO 4915 504, "
             "514", frays=True),
        Rule("fold", "fold", 0.0, 0.0, 0.0, 0.0),
        Rule("interfacing", "edge of an interfacing", 0.0, 0.0, 0.0, 0.0),
    )
}  # fmt: skip
"""The rules by kind. A hem's width is allowance and reserve together where both are turned up."""

_OVERLOCK = ("504", "505", "512", "514", "515", "516")


def allowance_of(kind: Kind, fray: Fray = "firm") -> float:
    """What an edge of a kind is given where the style draws nothing, cm."""
    rule = RULES[kind]
    return rule.given + (LOOSE if fray == "loose" and rule.frays else 0.0)


def kinds(garment: Garment, piece: Piece) -> Mapping[str, Kind]:
    """The kind of every edge of a piece of a garment, its own or one derived from its pieces.

    From the seams: their kind, seam type and stitch; an edge no seam names is faced or enclosed.
    An edge of a derived piece that has the name of an edge of the piece it follows is of its kind.
    """
    return {e.name: _kind(garment, piece, e) for e in piece.edges}


def _kind(garment: Garment, piece: Piece, edge: Edge) -> Kind:
    if piece.cut == "fold" and edge.name == piece.fold:
        return "fold"
    if piece.layer == "interfacing":
        return "interfacing"
    if edge.name == "opening":
        return "opening"
    base = root(garment, piece)
    if is_hem(edge):
        return "cuff" if base in sleeves(garment) else "hem"
    for seam in garment.seams:
        on = [
            side
            for side, refs in (("a", seam.a), ("b", seam.b))
            if any((r.piece, r.edge) == (base, edge.name) for r in refs)
        ]
        if on:
            return _of_seam(seam.kind, seam.seam_type, seam.stitch, on[0])
    # a centre that is not on the fold is joined to its other half
    return "plain" if edge.name in ("centre", "centre_back") else "faced"


def _of_seam(kind: str, seam_type: str, stitch: str, side: str) -> Kind:
    if seam_type.startswith("2."):
        return "lapped_under" if side == "a" else "lapped_over"
    if seam_type.startswith("3."):
        return "bound"
    if seam_type == "1.06":
        return "french"
    named: dict[str, Kind] = {
        "cap": "armhole",
        "neck": "neck",
        "band": "waist",
        "yoke": "yoke",
    }
    if kind in named:
        return named[kind]
    return "overlocked" if stitch in _OVERLOCK else "plain"


def root(garment: Garment, piece: Piece) -> str:
    """The piece of the garment whose edges a piece shares by name: itself, or what it follows.

    A piece that follows another derived piece, which is not of the garment, stands for itself.
    """
    if garment.has(piece.name) or piece.follows is None or not garment.has(piece.follows):
        return piece.name
    return piece.follows


def sleeves(garment: Garment) -> frozenset[str]:
    """The pieces whose edge is the cap of a sleeve: side a of a "cap" seam."""
    return frozenset(r.piece for s in garment.seams if s.kind == "cap" for r in s.a)
