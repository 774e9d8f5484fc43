"""Sliding the end of a run along its own curve, exactly, and dart mouths along theirs."""

from __future__ import annotations

from math import hypot

import numpy as np

from pinwright.geometry.arclength import length, param_past_end
from pinwright.pattern.piece import Array

TRIM = 0.9
"""At most so much of a span may be trimmed away."""


def slide_end(span: Array, amount: float, last: bool) -> Array:
    """A span (4, 2) with one end moved along its curve by ``amount`` cm (+ lengthens).

    The curve is the polynomial's own: trimming is exact, lengthening continues it smoothly.
    """
    c = span if last else span[::-1]
    new = _head(c, param_past_end(c, amount))
    return new if last else new[::-1].copy()


def _head(c: Array, u: float) -> Array:
    """The part of a cubic from 0 to ``u`` (de Casteljau); in plain floats, which is faster here."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = c.tolist()
    v = 1.0 - u
    abx, aby = v * ax + u * bx, v * ay + u * by
    bcx, bcy = v * bx + u * cx, v * by + u * cy
    cdx, cdy = v * cx + u * dx, v * cy + u * dy
    abcx, abcy = v * abx + u * bcx, v * aby + u * bcy
    bcdx, bcdy = v * bcx + u * cdx, v * bcy + u * cdy
    return np.array(
        [[ax, ay], [abx, aby], [abcx, abcy], [v * abcx + u * bcdx, v * abcy + u * bcdy]]
    )


def open_mouth(
    before: Array,
    after: Array,
    apex: Array,
    amount: float,
    sizes: tuple[float, float] | None = None,
    unequal: float | None = None,
) -> tuple[Array, Array, float, float] | None:
    """The spans on both sides of a dart's mouth with its intake changed by ``amount`` cm.

    Both mouth points move the same way along their own edges, and are then shifted along their
    legs, one in and one out, so that the legs are as equal as they were: a dart that meets its
    seam at a slant could not have equal legs otherwise. The point stays, and the two spans
    together are exactly ``amount`` shorter. Newton's method with the Jacobian of the start (two
    unknowns, it is well conditioned unless a leg lies along the seam).

    Args:
        before: (4, 2) last span of the run before the mouth.
        after: (4, 2) first span of the run after it.
        apex: (2,) dart point.
        amount: change of the seam length taken by the dart, cm (+ deepens).
        sizes: lengths of the two spans, where they are known.
        unequal: wanted difference of the legs, first less second, cm; None keeps it.

    Returns:
        The two spans and their lengths, or None when a run beside the mouth is too short for it.
    """
    one, two = sizes if sizes is not None else (length(before), length(after))
    px, py = float(apex[0]), float(apex[1])

    def legs(a: Array, b: Array) -> float:
        return hypot(a[3, 0] - px, a[3, 1] - py) - hypot(b[0, 0] - px, b[0, 1] - py)

    want = legs(before, after) if unequal is None else unequal
    leg1, leg2 = before[3] - apex, after[0] - apex
    leg1, leg2 = leg1 / hypot(*leg1), leg2 / hypot(*leg2)
    out1, in2 = before[2] - before[3], after[1] - after[0]
    slant = float(out1 @ leg1) / hypot(*out1) - float(in2 @ leg2) / hypot(*in2)
    det = 4.0 - slant * slant
    x, shift = amount / 2, 0.0
    # the small amounts of late sweeps need not be hit better than they matter
    close = max(1e-11, 1e-7 * abs(amount))
    for _ in range(20):
        if x > TRIM * min(one, two):
            return None
        a = slide_end(before, -x, True)
        b = slide_end(after, -x, False)
        a[2:] += shift * leg1
        b[:2] -= shift * leg2
        size_a, size_b = length(a), length(b)
        off = legs(a, b) - want
        miss = size_a + size_b - (one + two - amount)
        if abs(off) < close and abs(miss) < close:
            return a, b, size_a, size_b
        # off = slant x + 2 shift, miss = -2 x - slant shift, to first order
        x += (slant * off + 2.0 * miss) / det
        shift -= (2.0 * off + slant * miss) / det
    return None
