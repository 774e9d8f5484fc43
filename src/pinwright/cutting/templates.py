"""The templates of a garment for one cloth, with the places its repeat wants them in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pinwright.cutting.cuts import Halves, cuts
from pinwright.cutting.lay.placing import Template
from pinwright.cutting.matching import Matched, matched
from pinwright.cutting.material import Material
from pinwright.cutting.rules import Marks
from pinwright.measures.units import LengthUnit
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import Seam


def prepared(
    right: Mapping[str, Piece],
    left: Mapping[str, Piece],
    garment: str,
    material: Material,
    seams: Iterable[Seam] = (),
    unit: LengthUnit = "cm",
    as_cut: Halves = ({}, {}),
    marks: Marks | None = None,
) -> Matched:
    """Templates of all pieces given, what to verify once they lie, and what is to be told.

    See :func:`pinwright.cutting.cuts.cuts` for the arguments and
    :func:`pinwright.cutting.matching.matched` for what is matched, by ``seams``. What is to be
    told is in ``unit``. With ``marks`` what is verified is where seams are sewn; where the cloth's
    lines lie on a piece they do not move.

    Raises:
        LayError: a grain line without length, a fold that is not straight, a rule of matching
            that is unknown or contradicts another that was asked for.
        GeometryError: a piece whose net line crosses itself.
    """
    made = cuts(right, left, garment, material, unit, as_cut)
    found = matched(made, seams, material, unit)
    sewn = matched(made, seams, material, unit, marks) if marks else found
    remarks = tuple(c.remark for c in made if c.remark)
    return Matched(found.templates, sewn.matches, (*dict.fromkeys(remarks), *found.told))


def templates(
    right: Mapping[str, Piece],
    left: Mapping[str, Piece],
    garment: str,
    material: Material,
    seams: Iterable[Seam] = (),
    unit: LengthUnit = "cm",
) -> tuple[Template, ...]:
    """The templates of :func:`prepared` alone; raises as it does."""
    return prepared(right, left, garment, material, seams, unit).templates
