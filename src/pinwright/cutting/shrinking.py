"""Shrinkage: the cloth shrunk before it is laid, or the pieces cut so much larger.

A cloth is given as it is bought. Shrunk first, everything on it draws together: its width, its
length, the repeat, where flaws lie. Where it cannot be shrunk first the pieces grow instead, so
that what is sewn has its measures once the cloth has shrunk.
"""

from __future__ import annotations

from dataclasses import replace

from pinwright.cutting.material import Flaw, Material, Remnant
from pinwright.errors import LayError
from pinwright.measures.amounts import needed, size
from pinwright.measures.units import LengthUnit

EXAMPLE: dict[LengthUnit, float] = {"cm": 300.0, "in": 3 * 91.44}
"""What is told of a cloth whose length is not known, cm: three metres, or three yards."""


def _keeps(per_cent: float, where: str, material: Material) -> float:
    """What a centimetre becomes by shrinking."""
    if not -50.0 < per_cent < 100.0:
        raise LayError(
            f"{named(material)} shrinks by {per_cent:g} % {where}; it may be less than 100, and "
            "more than -50 for a cloth that grows."
        )
    return 1.0 - per_cent / 100.0


def named(material: Material) -> str:
    """The cloth in a sentence: its name, or its layer."""
    if material.name:
        return f"The cloth {material.name}"
    return "The cloth" if material.layer == "shell" else f"The {material.layer}"


def kept(material: Material) -> tuple[float, float]:
    """What one centimetre along and one across become when the cloth shrinks.

    Raises:
        LayError: a shrinkage that leaves nothing.
    """
    return (
        _keeps(material.shrink_along, "along", material),
        _keeps(material.shrink_across, "across", material),
    )


def scaled_for(material: Material) -> tuple[float, float]:
    """By how much pieces are cut longer along the cloth and wider across it: 1 / (1 - s / 100).

    (1, 1) unless the cloth cannot be shrunk first.

    Raises:
        LayError: a shrinkage that leaves nothing.
    """
    if material.shrink != "scaled":
        return 1.0, 1.0
    along, across = kept(material)
    return 1.0 / along, 1.0 / across


def on_table(material: Material) -> Material:
    """The cloth as it lies on the table: shrunk already where it is shrunk first.

    Width, length, repeat, flaws and remnants draw together; the selvedge is taken off as it is.
    The cloth that comes back is "done", so asking twice changes nothing.

    Raises:
        LayError: a shrinkage that leaves nothing.
    """
    along, across = kept(material)
    if material.shrink != "first":
        return material
    if along == across == 1.0:
        return replace(material, shrink="done")
    r = material.repeat
    return replace(
        material,
        shrink="done",
        width=material.width * across,
        length=None if material.length is None else material.length * along,
        repeat=replace(
            r,
            along=r.along * along,
            across=r.across * across,
            from_start=r.from_start * along,
            from_selvedge=r.from_selvedge * across,
        ),
        flaws=tuple(
            Flaw(
                (f.along[0] * along, f.along[1] * along),
                (f.across[0] * across, f.across[1] * across),
            )
            for f in material.flaws
        ),
        remnants=tuple(
            Remnant(m.name, tuple((x * along, y * across) for x, y in m.outline))
            for m in material.remnants
        ),
    )


def to_buy(material: Material, length: float) -> float:
    """Cloth to buy, cm, for a lay ``length`` cm long on the table.

    Only a cloth that is shrunk first needs more than the lay takes; pieces that are scaled are
    laid as large as they are cut.

    Raises:
        LayError: a shrinkage that leaves nothing.
    """
    return length / kept(material)[0] if material.shrink == "first" else length


def told(
    material: Material, length: float | None = None, unit: LengthUnit = "cm"
) -> tuple[str, ...]:
    """What is to be done about shrinkage, in sentences; none where there is none to speak of.

    ``length`` is that of the lay, cm, as it lies on the table. What is to be bought is told with
    the cloth need (workshop.need), so that it stands in one place.

    Raises:
        LayError: a shrinkage that leaves nothing.
    """
    along, across = kept(material)
    s, t = material.shrink_along, material.shrink_across
    if s == t == 0.0 or material.shrink == "done":
        return ()
    ways = [f"{_by(v)} {way}" for v, way in ((s, "along"), (t, "across")) if v]
    amount = " and ".join(ways)
    if material.shrink == "first":
        have = EXAMPLE[unit] if material.length is None else material.length
        parts = [f"{size(have, unit)} become {size(have * along, unit)}"] if s else []
        if t:
            wide, left = size(material.width, unit), size(material.width * across, unit)
            parts.append(f"the width of {wide} becomes {left}")
        first = f"{named(material)}: shrink it first ({amount}): {', and '.join(parts)}."
        return (first,)
    x, y = scaled_for(material)
    out = [
        f"{named(material)} cannot be shrunk first: the pieces are cut {_cut(x, 'longer')} along "
        f"and {_cut(y, 'wider')} across, and have their measures once it has shrunk ({amount})."
    ]
    if length is not None:
        out.append(
            f"The lay of {needed(length, unit)} is of the cloth as bought; "
            f"{size(abs(length - length * along), unit)} of it are there because of the shrinkage."
        )
    return tuple(out)


def _by(s: float) -> str:
    return f"{s:g} %" if s >= 0.0 else f"{-s:g} % growth"


def _cut(factor: float, word: str) -> str:
    other = {"longer": "shorter", "wider": "narrower"}[word]
    return f"{abs(factor - 1.0) * 100:.1f} % {word if factor >= 1.0 else other}"
