"""By how much the cloth is too short for a lay, in words."""

from __future__ import annotations

from pinwright.cutting.lay.measure import lower_bound
from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.lay.verify import TOLERANCE
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit


def shortage_words(lay: Lay, unit: LengthUnit = "cm") -> str:
    """What is missing of the cloth; nothing when it is long enough, or laid on a remnant."""
    field = lay.field
    if field.length is None or field.outline is not None:
        return ""
    if lay.length <= field.length + TOLERANCE:
        return ""
    least = lower_bound(lay.templates, field)
    name = f"The cloth {field.name}" if field.name else "The cloth"
    sentence = (
        f"{name} has {said(field.length, unit)}; the best lay found takes "
        f"{said(lay.length, unit)}: {said(lay.length - field.length, unit)} are missing."
    )
    if least > field.length:
        sentence += f" No lay of these pieces is shorter than {said(least, unit)}."
    return sentence
