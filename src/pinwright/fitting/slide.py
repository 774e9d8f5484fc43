"""Sliding the end of a run along its own curve, exactly, and dart mouths along theirs."""

from __future__ import annotations

from math import hypot

import numpy as np

from pinwright.geometry.cubic import lengths, param_at_length
from pinwright.pattern.piece import Array


def slide_end(span: Array, amount: float, last: bool, length: float | None = None) -> Array:
    """A span (4, 2) with one end moved along its curve by ``amount`` cm (+ lengthens).

    The curve is the polynomial's own: trimming is exact, lengthening continues it smoothly.
    ``length`` is the span's own, when it is known.
    """
    c = span if last else span[::-1]
    if length is None:
        length = float(lengths(c[None])[0])
    new = _head(c, param_at_length(c, length + amount))
    return new if last else new[::-1]


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


def open_mouth(before: Array, after: Array, apex: Array, amount: float) -> tuple[Array, Array]:
    """The spans on both sides of a dart's mouth with its intake changed by ``amount`` cm.

    Both mouth points slide along their own edges by the same amount. Where the legs do not stand
    square to the seam that alone makes one longer, so each point is then shifted along its leg,
    one in and one out by the same amount: what a cutter does who folds the dart and redraws the
    seam across it (facts 3.4). The point of the dart stays, the sewn length of the two spans
    changes by ``-amount`` exactly, and legs that were unequal are left as unequal as they were.

    Args:
        before: (4, 2) last span of the run before the mouth.
        after: (4, 2) first span of the run after it.
        apex: (2,) dart point.
        amount: change of the seam length taken by the dart, cm (+ deepens).
    """
    leg_a, leg_b = before[3] - apex, after[0] - apex
    size_a, size_b = float(np.hypot(*leg_a)), float(np.hypot(*leg_b))
    ua, ub = leg_a / size_a, leg_b / size_b
    ta, tb = before[3] - before[2], after[1] - after[0]
    lean = float(ua @ ta) / float(np.hypot(*ta)) + float(ub @ tb) / float(np.hypot(*tb))
    whole = 2.0 - lean * lean / 2.0
    sewn = float(lengths(np.stack([before, after])).sum()) - amount
    unequal = size_a - size_b
    x = shift = 0.0
    more, off = amount, 0.0
    a, b = before, after
    for _ in range(24):
        # to first order: 2 x + lean * shift = amount, and -lean * x - 2 * shift = 0
        dx = (more - lean * off / 2.0) / whole
        x += dx
        shift += (off - lean * dx) / 2.0
        a = slide_end(before, -x, True)
        b = slide_end(after, -x, False)
        a[2:] -= shift * ua
        b[:2] += shift * ub
        more = float(lengths(np.stack([a, b])).sum()) - sewn
        off = float(np.hypot(*(a[3] - apex)) - np.hypot(*(b[0] - apex))) - unequal
        if abs(more) < 1e-11 and abs(off) < 1e-11:
            break
    return a, b
