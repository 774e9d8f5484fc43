"""Published relations between single measures that are not straight lines."""

from __future__ import annotations

BUST_SCATTER = 3.0
"""Standard error, cm, of bust girth from upper chest girth: cup size, one cup being about 2.5 cm
of girth (common practice, from memory)."""

_CHEST_0 = 91.1  # the smallest of the three rows read
_LEAD_0 = 0.95  # bust less upper chest there
_SLOPE = 0.176  # growth of that difference over the rows


def bust_from_upper_chest(upper_chest: float) -> float:
    """Bust girth (cm) of an average cup from upper chest girth (cm).

    Source: ASTM D5585-11e1 Table 1, sizes 8, 10, 12: upper chest 91.1, 93.3, 96.5 and bust 92.1,
    94.6, 98.4. Below the rows the smallest difference is held, above them the line goes on.
    """
    return upper_chest + _LEAD_0 + _SLOPE * max(0.0, upper_chest - _CHEST_0)


def upper_chest_from_bust(bust: float) -> float:
    """Upper chest girth (cm) from bust girth (cm): the inverse of bust_from_upper_chest."""
    below = bust - _LEAD_0
    return below if below <= _CHEST_0 else _CHEST_0 + (below - _CHEST_0) / (1.0 + _SLOPE)


def girth_below_waist(waist: float, hip: float, part: float) -> float:
    """Girth (cm) at a level between waist (part 0) and hip (part 1) level.

    A parabola with a level tangent at the hip, which is the fullest place by definition; at half
    way it lies three quarters of the way from waist to hip. Common practice, from memory.
    """
    return waist + (hip - waist) * part * (2.0 - part)


def part_below_waist(waist: float, hip: float, girth: float) -> float:
    """The inverse of girth_below_waist: the level, 0 to 1, at which the body has this girth (cm).

    Girths at or inside the waist give 0, at or beyond the hip 1.
    """
    if hip <= waist or girth <= waist:
        return 0.0
    share = min(1.0, (girth - waist) / (hip - waist))
    return float(1.0 - (1.0 - share) ** 0.5)
