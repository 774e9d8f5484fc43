"""What one half of the body alone may not change: the seams that join it to the other half."""

from __future__ import annotations

import numpy as np

from pinwright.fitting.plan import plan
from pinwright.fitting.response import Response
from pinwright.geometry.cubic import lengths
from pinwright.pattern.garment import Garment

SEWN = 0.1
"""Right and left of one seam may differ by this before they do not sew together, cm (design 8)."""


def parts_the_halves(garment: Garment, response: Response, amount: float) -> str:
    """The title of a seam between right and left that ``amount`` on one side makes unequal.

    Seat and front crotch seam are one seam of both halves, fork to waist. A correction of one side
    that changes its length there would have to be undone at the waist's end, so it is not that
    side's alone. Empty when there is none.
    """
    p = plan(garment)
    for sp in p.seams:
        if sp.seam.mirror and response.ctrl[sp.a].any():
            base = p.layout.ctrl[sp.a]
            now = lengths(base + amount * response.ctrl[sp.a])
            if abs(float(np.sum(now - p.base_lengths[sp.a]))) > SEWN:
                return sp.seam.title or sp.seam.name.replace("_", " ")
    return ""
