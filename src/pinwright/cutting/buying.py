"""How much cloth to buy for a finished lay, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isfinite

from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.material import Material
from pinwright.cutting.shrinking import to_buy
from pinwright.errors import LayError

STEP = 10.0
"""Shops sell by so many cm (common practice; some by 5)."""

END = 5.0
"""Cloth for squaring the cut end, cm (common practice)."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy of one cloth. Lengths in cm.

    ``used`` is the length of the lay, ``shrinks`` what the cloth loses before it is cut, ``end``
    what squaring its end takes; ``length`` their sum rounded up to what shops sell. ``cost`` is
    none without a price. ``short`` is what is missing of the cloth that is there, ``left`` what
    stays of it; both 0 when it is yet to be bought.
    """

    used: float
    shrinks: float
    end: float
    length: float
    cost: float | None = None
    short: float = 0.0
    left: float = 0.0


def rounded_up(length: float, step: float = STEP) -> float:
    """A length (cm) rounded up to whole steps; what a thousandth of a cm is over is not bought.

    Raises:
        LayError: the step is not above 0.
    """
    if not (isfinite(step) and step > 0.0):
        raise LayError(f"Cloth is sold by {step:g} cm; the step must be above 0.")
    return ceil(length / step - 1e-3 / step) * step


def price_of(length: float, price: float | None) -> float | None:
    """Cost of a length (cm) at a price a metre, to the hundredth; none without a price."""
    return None if price is None else round(length / 100.0 * price, 2)


def purchase(
    lays: Sequence[Lay], material: Material, step: float = STEP, end: float = END
) -> Purchase:
    """What to buy for these lays of one cloth; a lay on a remnant needs nothing bought.

    Cloth that is shrunk first must be so much longer; where the pieces are scaled instead, or the
    cloth is shrunk already, nothing is added.

    Raises:
        LayError: the step is not above 0, or a shrinkage that leaves nothing.
    """
    used = sum(lay.length for lay in lays if lay.field.outline is None)
    if used == 0.0:
        return Purchase(0.0, 0.0, 0.0, 0.0, price_of(0.0, material.price))
    wanted = to_buy(material, used + end)
    length = rounded_up(wanted, step)
    short = left = 0.0
    if material.length is not None:
        short, left = max(0.0, wanted - material.length), max(0.0, material.length - wanted)
    return Purchase(
        used,
        wanted - used - end,
        end,
        length,
        price_of(length, material.price),
        short,
        left,
    )
