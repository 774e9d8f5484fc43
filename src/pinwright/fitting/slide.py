"""Sliding the end of a run along its own curve, exactly, and dart mouths along theirs."""

from __future__ import annotations

import numpy as np

from pinwright.geometry.cubic import lengths, param_at_length, subcurve
from pinwright.pattern.piece import Array

_REV = slice(None, None, -1)


def slide_end(span: Array, amount: float, last: bool) -> Array:
    """A span (4, 2) with one end moved along its curve by ``amount`` cm (+ lengthens).

    The curve is the polynomial's own: trimming is exact, lengthening continues it smoothly.
    """
    c = span if last else span[_REV]
    u = param_at_length(c, float(lengths(c[None])[0]) + amount)
    new = subcurve(c[None], np.array([0.0]), np.array([u]))[0]
    return np.asarray(new if last else new[_REV])


def open_mouth(before: Array, after: Array, apex: Array, amount: float) -> tuple[Array, Array]:
    """The spans on both sides of a dart's mouth with its intake changed by ``amount`` cm.

    Both mouth points move along their own edges by amounts that add to ``amount``, shared so that
    the legs are equal: the apex stays on the bisector. Legs that were unequal are left as unequal
    as they were.

    Args:
        before: (4, 2) last span of the run before the mouth.
        after: (4, 2) first span of the run after it.
        apex: (2,) dart point.
        amount: change of the seam length taken by the dart, cm (+ deepens).
    """

    def spans(x: float) -> tuple[Array, Array]:
        return slide_end(before, -x, True), slide_end(after, -(amount - x), False)

    def unequal(x: float) -> float:
        a, b = spans(x)
        return float(np.hypot(*(a[3] - apex)) - np.hypot(*(b[0] - apex)))

    start = float(np.hypot(*(before[3] - apex)) - np.hypot(*(after[0] - apex)))
    x0 = amount / 2
    f0 = unequal(x0) - start
    x1 = x0 + (0.01 * amount if amount else 1e-3)
    for _ in range(8):
        if abs(f0) < 1e-10:
            break
        f1 = unequal(x1) - start
        if abs(f1 - f0) < 1e-15:
            break
        x2 = x1 - f1 * (x1 - x0) / (f1 - f0)
        x0, f0, x1 = x1, f1, x2
    return spans(x1 if abs(f0) >= 1e-10 else x0)
