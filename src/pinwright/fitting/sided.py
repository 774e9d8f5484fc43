"""Where the client was taped differently right and left, the draft differs too.

A draft is made for the mean of both sides; the difference is a correction of each side on the
draft not yet cut, so that right and left stay two readings of one draft.
"""

from __future__ import annotations

from math import radians, tan

from pinwright.fitting.correction import Correction
from pinwright.measures import Body
from pinwright.pattern.garment import Garment

LEAST = 0.1
"""Differences under a millimetre at the shoulder end are not drafted (cm)."""


def sided_corrections(garment: Garment, body: Body) -> tuple[Correction, ...]:
    """What the draft must differ right and left by, from the sided measures of the record.

    Shoulder slope: over a shoulder of length l a slope of a degrees drops the shoulder end by
    l tan a (geometry); each side gets its difference from the mean the draft was made for.
    """
    found = []
    if "shoulder_seam" in garment.places and "shoulder_slope" in body.sides:
        length, mean = body["shoulder_length"], body["shoulder_slope"]
        for side in ("right", "left"):
            lower = length * (tan(radians(body.side("shoulder_slope", side))) - tan(radians(mean)))
            if abs(lower) >= LEAST:
                found.append(
                    Correction(
                        "shoulder_slope",
                        "shoulder",
                        side,
                        {"amount": lower},
                        form="next",
                        meant_as="level",
                        belongs_to="record",
                        said=f"taped: the {side} shoulder",
                    )
                )
    return tuple(found)
