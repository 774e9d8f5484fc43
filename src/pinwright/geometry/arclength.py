"""Arc length of one cubic in plain floats: where on the curve is a given length reached?

Scalar code on purpose: truing asks one cubic at a time, and for that numpy's call overhead costs
more than the arithmetic.
"""

from __future__ import annotations

from math import isfinite, sqrt

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError

Array = NDArray[np.float64]
Rule = tuple[tuple[float, float], ...]
Hodograph = tuple[float, float, float, float, float, float]


def _unit_rule(nodes: int) -> Rule:
    x, w = np.polynomial.legendre.leggauss(nodes)
    return tuple(zip((0.5 * (x + 1.0)).tolist(), (0.5 * w).tolist(), strict=True))


_QUICK = _unit_rule(7)
_COARSE = _unit_rule(10)
_FINE = _unit_rule(16)
_SHORT = _unit_rule(5)
_AGREE = 1e-11
_NARROW = 0.05
_NOTHING = 1e-10
_MAX_HALVINGS = 40


def _hodograph(cubic: Array) -> Hodograph:
    """Power-basis coefficients (constant, linear, square) of x' and y'."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = cubic.tolist()
    ax, bx, cx = x1 - x0, x2 - x1, x3 - x2
    ay, by, cy = y1 - y0, y2 - y1, y3 - y2
    return (
        3.0 * ax,
        6.0 * (bx - ax),
        3.0 * (cx - 2.0 * bx + ax),
        3.0 * ay,
        6.0 * (by - ay),
        3.0 * (cy - 2.0 * by + ay),
    )


def _integral(h: Hodograph, a: float, b: float, rule: Rule) -> float:
    x0, x1, x2, y0, y1, y2 = h
    width = b - a
    total = 0.0
    for node, weight in rule:
        u = a + width * node
        dx = x0 + u * (x1 + u * x2)
        dy = y0 + u * (y1 + u * y2)
        total += weight * sqrt(dx * dx + dy * dy)
    return total * width


def _arc(h: Hodograph, a: float, b: float, depth: int = 0) -> float:
    """Signed length from a to b, halved until two Gauss–Legendre rules agree."""
    if -_NARROW < b - a < _NARROW:
        coarse, fine = _integral(h, a, b, _SHORT), _integral(h, a, b, _COARSE)
        if abs(fine - coarse) <= 1e-13 and not _hides_a_stop(h, a, b):
            return fine
    coarse = _integral(h, a, b, _COARSE)
    if abs(coarse - _integral(h, a, b, _QUICK)) <= _AGREE and not _hides_a_stop(h, a, b):
        return coarse
    fine = _integral(h, a, b, _FINE)
    agree = abs(fine - coarse) <= _AGREE + 1e-13 * abs(fine)
    if depth >= _MAX_HALVINGS or (agree and not _hides_a_stop(h, a, b)):
        return fine
    middle = 0.5 * (a + b)
    return _arc(h, a, middle, depth + 1) + _arc(h, middle, b, depth + 1)


def _hides_a_stop(h: Hodograph, a: float, b: float) -> bool:
    """Could the curve stop or double back between a and b, unseen between the nodes?

    Not when the control vectors of the hodograph lie within 90 degrees of each other: the speed
    is then no less than their least. A stretch of under 1e-10 cm no longer matters.
    """
    x0, x1, x2, y0, y1, y2 = h
    half, product = 0.5 * (a + b), a * b
    px, py = x0 + a * (x1 + a * x2), y0 + a * (y1 + a * y2)
    qx, qy = x0 + half * x1 + product * x2, y0 + half * y1 + product * y2
    rx, ry = x0 + b * (x1 + b * x2), y0 + b * (y1 + b * y2)
    if px * qx + py * qy >= 0.0 and qx * rx + qy * ry >= 0.0 and px * rx + py * ry >= 0.0:
        return False
    size = abs(px) + abs(py) + abs(qx) + abs(qy) + abs(rx) + abs(ry)
    return size * abs(b - a) > _NOTHING


def length(cubic: Array) -> float:
    """Arc length of one cubic (4, 2), cm; quicker than the batched kernel for a single one."""
    return _arc(_hodograph(cubic), 0.0, 1.0)


def _bracket(h: Hodograph, s: float, whole: float) -> tuple[float, float, float]:
    """An interval of u that holds the arc length s, and a first guess inside it."""
    if 0.0 < s < whole:
        return 0.0, 1.0, s / whole
    inner, outer, at_inner = (1.0, 2.0, whole) if s > 0.0 else (0.0, -1.0, 0.0)
    while abs(at_outer := _arc(h, 0.0, outer)) < abs(s):
        inner, at_inner, outer = outer, at_outer, 2.0 * outer
    guess = inner + (outer - inner) * (s - at_inner) / (at_outer - at_inner)
    return min(inner, outer), max(inner, outer), guess


def param_past_end(cubic: Array, s: float) -> float:
    """Parameter u at which the arc length measured from the END of ``cubic`` (4, 2) is ``s`` cm.

    Negative ``s`` lies inside the curve. The same answer as :func:`param_at_length` for the length
    of the curve plus ``s``, to 1e-12 cm, but quicker for a short way.
    """
    if s == 0.0:
        return 1.0
    h = _hodograph(cubic)
    x0, x1, x2, y0, y1, y2 = h
    speed = sqrt((x0 + x1 + x2) ** 2 + (y0 + y1 + y2) ** 2)
    if not speed > 1e-6:
        return param_at_length(cubic, length(cubic) + s)
    u = 1.0 + s / speed
    for _ in range(30):
        if not 0.0 < u < 2.0:
            break
        miss = _arc(h, 1.0, u) - s
        if abs(miss) <= 1e-12:
            return u
        dx, dy = x0 + u * (x1 + u * x2), y0 + u * (y1 + u * y2)
        speed = sqrt(dx * dx + dy * dy)
        if not speed > 1e-6:
            break
        following = u - miss / speed
        if following == u:
            return u
        u = following
    return param_at_length(cubic, length(cubic) + s)


def param_at_length(cubic: Array, s: float) -> float:
    """Parameter u at which the arc length from the start of ``cubic`` (4, 2) is ``s`` cm.

    ``s`` may be negative or beyond the end: the polynomial is then extrapolated. Newton on the arc
    length (its derivative is the speed), kept inside a bracket, to 1e-12 cm.

    Raises GeometryError when ``s`` is not finite or the cubic has no length.
    """
    if not isfinite(s):
        raise GeometryError(f"param_at_length: the length must be a finite number, not {s}.")
    if s == 0.0:
        return 0.0
    h = _hodograph(cubic)
    whole = _arc(h, 0.0, 1.0)
    tolerance = 1e-12 + 4e-16 * abs(s)
    if abs(s - whole) <= tolerance:
        return 1.0
    if not whole > 0.0:
        raise GeometryError(f"param_at_length: a cubic without length cannot reach {s:.6g} cm.")
    low, high, u = _bracket(h, s, whole)
    here = _arc(h, 0.0, u)
    for _ in range(200):
        miss = here - s
        if abs(miss) <= tolerance:
            break
        low, high = (low, u) if miss > 0.0 else (u, high)
        dx = h[0] + u * (h[1] + u * h[2])
        dy = h[3] + u * (h[4] + u * h[5])
        speed = sqrt(dx * dx + dy * dy)
        following = u - miss / speed if speed > 0.0 else low
        if not low < following < high:
            following = 0.5 * (low + high)
        if following == u:
            break
        here += _arc(h, u, following)
        u = following
    return u
