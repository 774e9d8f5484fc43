"""The numbers of the body fitted: least squares with bounds, what is usual weighing less and less.

A step solves the linear problem within the bounds (Levenberg 1944, Marquardt 1963, with the
prior as rows of their own). The prior begins strong and ends weak, so that the search comes to a
body of usual build near the measures, not to any body that has them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting import shape
from pinwright.figure.fitting.gaps import gaps, wanted_gaps
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.readings import body_weight, by_tape
from pinwright.figure.fitting.rows import Reading
from pinwright.figure.fitting.wanted import Wanted

PRIOR = (6.0, 3.0, 1.5, 1.0)
"""How much the prior weighs, step after step; the last goes on."""

TRUST = (24.0, 12.0, 6.0, 3.0)
"""Off by so many of its errors a doubtful value begins to weigh less, step after step: at first the
body is far from all of them."""

STEPS = 14
STRIDE = 1.0
"""No step goes further than this, in expected distances."""

DIGITS = 5
"""Steps are rounded, in expected distances: so what machines reckon otherwise in the last figure
does not grow from step to step, and the same record makes the same figure everywhere."""

SOON = 0.5
"""What may not be less counts for a step once it is no more than this above, cm."""

ENOUGH = 0.03
"""A step that makes the sum of squares less by no more than this part is the last."""

Tell = Callable[[float], None]
Also = Callable[[Array], Mapping[str, Reading]]


def residuals(found: Mapping[str, Reading], wants: Sequence[Wanted]) -> Array:
    """How far each measure is over what is wanted, in its own errors (m,)."""
    off = [(found[w.key].value - w.value) / w.error for w in wants]
    return np.array([min(o, 0.0) if w.least else o for o, w in zip(off, wants, strict=True)])


def doubted(off: Array, wants: Sequence[Wanted], trust: float) -> tuple[Array, Array]:
    """What is doubtful drawn in (m,), and how that grows (m,): off by much it hardly grows on.

    The square of what is left is Cauchy's, trust² log(1 + (off / trust)²) (Huber & Ronchetti 2009,
    "Robust Statistics"; from memory).
    """
    who = np.array([w.doubtful for w in wants])
    part = off / trust
    bent = np.sign(part) * trust * np.sqrt(np.log1p(part**2))
    slope = np.divide(off, bent * (1.0 + part**2), out=np.ones_like(off), where=np.abs(bent) > 1e-9)
    return np.where(who, bent, off), np.where(who, slope, 1.0)


def fitted(
    wants: Sequence[Wanted],
    drop: float = 0.0,
    chosen: Mapping[str, float] | None = None,
    tell: Tell | None = None,
    also: Also | None = None,
) -> Array:
    """The numbers (p,) of the body that has what is wanted, as nearly as the open body can.

    drop: how far below the waist the trousers are worn, cm. chosen: numbers that are settled, by
    the names of shape.PARAMETERS. tell hears how far the work is, 0 to 1. also: what is read off
    the surface (n, 3) besides the measures, where something of it is wanted.
    """
    wants = (*wants, *wanted_gaps())
    p, spread = shape.start(), shape.spread()
    low, high = shape.limits()
    for name, value in (chosen or {}).items():
        k = shape.PARAMETERS.index(name)
        p[k] = low[k] = high[k] = value
    centre = p.copy()
    height = next((w.value for w in wants if w.key == "height"), 165.0)
    p[0] = np.clip(0.5 + (height - 176.5) / 75.0, low[0], high[0])
    waist = next((w.value for w in wants if w.key == "waist_girth"), 75.0)
    p[1] = np.clip(0.5 + (waist - 75.0) / 110.0, 0.15, 0.95)
    centre[:2] = p[:2]
    base = shape.upright(p)
    found = _read(shape.stood_up(base, p), drop, also)
    damping = 0.3
    for step in range(STEPS):
        weight = PRIOR[min(step, len(PRIOR) - 1)]
        trust = TRUST[min(step, len(TRUST) - 1)]
        r, slope = doubted(residuals(found, wants), wants, trust)
        jacobian = slope[:, None] * by_numbers(found, wants, p, base)
        cost = float(r @ r) + weight**2 * float((((p - centre) / spread) ** 2).sum())
        for _ in range(5):
            scaled = jacobian * spread
            square = scaled.T @ scaled + (weight**2 + damping) * np.eye(len(p))
            right = weight**2 * (centre - p) / spread - scaled.T @ r
            least, most = (
                np.maximum((low - p) / spread, -STRIDE),
                np.minimum((high - p) / spread, STRIDE),
            )
            step_by = np.round(bounded(square, right, least, most), DIGITS)
            new = np.clip(p + step_by * spread, low, high)
            up = shape.upright(new)
            there = _read(shape.stood_up(up, new), drop, also)
            rn, _ = doubted(residuals(there, wants), wants, trust)
            now = float(rn @ rn) + weight**2 * float((((new - centre) / spread) ** 2).sum())
            if now < cost:
                break
            damping = max(4.0 * damping, 0.05)
        else:
            break
        damping = max(damping / 4.0, 1e-4)
        gained = cost - now
        p, found, base = new, there, up
        if tell is not None:
            tell((step + 1) / STEPS)
        if gained < ENOUGH * now and step >= len(TRUST):
            break
    return p


def _read(points: Array, drop: float, also: Also | None) -> Mapping[str, Reading]:
    s = Surface(points, drop)
    more = also(points) if also is not None else {}
    return {**by_tape(s), "weight": body_weight(s), **gaps(s), **more}


def bounded(square: Array, right: Array, low: Array, high: Array) -> Array:
    """x within bounds for which square x = right, as nearly as the bounds let (least energy).

    Numbers that would leave their bounds are held there and the others solved again; one that is
    held against its gradient is let go (active set: Nocedal & Wright 2006, section 16.5).
    """
    x = np.zeros(len(right))
    held = np.zeros(len(right), dtype=bool)
    for _ in range(12):
        free = ~held
        part = right[free] - square[np.ix_(free, held)] @ x[held]
        x[free] = np.linalg.solve(square[np.ix_(free, free)], part)
        out = free & ((x < low - 1e-12) | (x > high + 1e-12))
        x = np.clip(x, low, high)
        pull = right - square @ x
        loose = held & (((x <= low) & (pull > 1e-9)) | ((x >= high) & (pull < -1e-9)))
        if not out.any() and not loose.any():
            break
        held = (held | out) & ~loose
    return x


def by_numbers(
    found: Mapping[str, Reading], wants: Sequence[Wanted], p: Array, base: Array
) -> Array:
    """How each measure grows with each number, in its own errors (m, p); base: shape.upright(p)."""
    lines = [w for w in wants if w.key != "weight"]
    at = np.unique(np.concatenate([found[w.key].at for w in lines]))
    growth = shape.growth(p, at, base)
    rows = np.empty((len(wants), len(p)))
    for i, w in enumerate(wants):
        r = found[w.key]
        if w.key == "weight":
            rows[i] = shape.growth_in_sum(p, r.by) / w.error
        elif w.least and r.value >= w.value + SOON:
            rows[i] = 0.0  # nearer than that it is in the way of a step, though nothing is off
        else:
            some = growth[:, np.searchsorted(at, r.at)]
            rows[i] = np.einsum("pkj,kj->p", some, r.by) / w.error
    return rows
