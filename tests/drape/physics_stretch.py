"""Strips that are pulled and hung, and a limp one between two pins: how long they come to be."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from scipy.optimize import brentq

from pinwright.drape.data import Array
from pinwright.drape.solver.acting import GRAVITY
from pinwright.drape.solver.settling import settled
from tests.drape.physics_cloth import (
    MASS,
    POISSON,
    SHEAR,
    WARP,
    WEFT,
    cloth,
    grained,
    membrane,
    sheet,
)


def young(angle: float, warp: float, weft: float, poisson: float, shear: float) -> float:
    """Of a strip cut at so many degrees from the warp, dyn/cm.

    Source: Lekhnitskii 1968, "Anisotropic plates"; Jones 1999, "Mechanics of composite
    materials", 2.6: the compliance turned with the axes.
    """
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    both = poisson / np.sqrt(warp * weft)
    given = c**4 / warp + s**4 / weft + (1.0 / shear - 2.0 * both) * (s * c) ** 2
    return float(1.0 / given)


def stretch_under(pull: Array, modulus: float) -> Array:
    """Length over rest length under a pull, dyn for a cm of width at rest.

    A St Venant-Kirchhoff strip: pull = modulus x Green's strain x stretch, (q^3 - q) / 2 = pull /
    modulus, solved in closed form (the one real root above 1).
    """
    p = 2.0 * pull / modulus
    # q^3 - q - p = 0, with three real roots for any pull that cloth bears
    if float(p.max()) > 2.0 / np.sqrt(27.0):
        raise ValueError("the pull is beyond what cloth is pulled with")
    found: Array = 2.0 / np.sqrt(3.0) * np.cos(np.arccos(p * np.sqrt(27.0) / 2.0) / 3.0)
    return found


def shares(points: Array, at: float) -> Array:
    """(n,) cm of width that each point of a strip carries where it ends at x = at."""
    found = np.zeros(len(points))
    end = np.flatnonzero(np.abs(points[:, 0] - at) < 1e-9)
    end = end[np.argsort(points[end, 1])]
    gaps = np.diff(points[end, 1])
    found[end] = 0.5 * (np.concatenate([[0.0], gaps]) + np.concatenate([gaps, [0.0]]))
    return found


def pulled(angle: float, pull: float, edge: float = 0.7) -> tuple[float, float]:
    """(stretch of a strip in the middle, as the compliance says it), free to narrow everywhere.

    angle: of the strip to the warp, degrees. pull: dyn for a cm of width, on both ends.
    """
    length, width = 20.0, 5.0
    points, triangles = sheet(length, width, edge, "random")
    rest = grained(points, angle)[triangles]
    push = np.zeros((len(points), 3))
    push[:, 2] = pull * (shares(points, 0.0) - shares(points, length))
    middle = int(np.argmin(np.hypot(*(points - [length / 2, width / 2]).T)))
    s = cloth(len(points), triangles, rest, pinned=np.array([middle]))
    # "gravity" of each vertex for itself, so that only the ends are pulled
    pushed = replace(s, gravity=push / s.mass[:, None])
    x = np.stack([points[:, 1], np.zeros(len(points)), -points[:, 0]], axis=1)
    state, rest_found = settled(pushed, x, enough=1e-7, steps=300, h=1.0, longest=1e3, reach=2.0)
    assert rest_found.residual < 1e-6, rest_found
    # stretch of the material line along the strip: the mean over triangles of |F e|
    a = np.radians(angle)
    f = np.einsum("tci,tcj->tij", pushed.stencils.slopes, state.x[triangles])
    along = np.sin(a) * f[:, 0] + np.cos(a) * f[:, 1]
    inner = np.abs(points[triangles].mean(axis=1)[:, 0] - length / 2) < 5.0
    found = np.average(np.linalg.norm(along, axis=1)[inner], weights=pushed.stencils.area[inner])
    modulus = young(angle, WARP, WEFT, POISSON, SHEAR)
    return float(found), float(stretch_under(np.array([pull]), modulus)[0])


def hung(angle: float, end: float, clamped: bool = False, edge: float = 0.7) -> tuple[float, float]:
    """(how much longer a strip of 50 x 5 cm hangs, as the sum says it), cm.

    end: weight at its lower end, g for a cm of width. clamped: its top cannot narrow, as in a real
    clamp, of which the sum knows nothing; otherwise it is held up evenly all over its width.
    """
    length, width = 50.0, 5.0
    points, triangles = sheet(length, width, edge, "random")
    s = cloth(len(points), triangles, grained(points, angle)[triangles])
    lower, upper = shares(points, length), shares(points, 0.0)
    s.mass[:] += lower * end
    force = np.zeros((len(points), 3))
    force[:, 2] = -GRAVITY * s.mass
    pinned: Any = np.flatnonzero(upper)
    if not clamped:
        force[:, 2] += GRAVITY * s.mass.sum() * upper / width
        pinned = pinned[[int(np.argmin(np.abs(points[pinned, 1] - width / 2)))]]
    held = replace(s, pinned=pinned, gravity=force / s.mass[:, None])
    x = np.stack([points[:, 1], np.zeros(len(points)), -points[:, 0]], axis=1)
    state, found = settled(held, x, enough=1e-6, steps=300, h=1.0, longest=1e3, reach=2.0)
    assert found.residual < 1e-5, found
    longer = float((upper - lower) @ state.x[:, 2]) / width - length
    below = np.linspace(0.0, length, 2001)
    q = stretch_under(
        GRAVITY * (MASS * (length - below) + end), young(angle, WARP, WEFT, POISSON, SHEAR)
    )
    return longer, float(np.trapezoid(q - 1.0, below))


def catenary(edge: float = 0.5, length: float = 60.0, span: float = 40.0) -> tuple[float, float]:
    """(how far the sag is off, how far any place is off the curve), as parts of the sag.

    A limp strip, 2 cm wide and hardly to be stretched, pinned at both ends at one height. Source:
    y = a cosh(x / a) with 2 a sinh(span / 2 a) = length (any handbook of mechanics).
    """
    points, triangles = sheet(length, 2.0, edge, "random")
    ends = (points[:, 0] < 1e-9) | (points[:, 0] > length - 1e-9)
    a = float(brentq(lambda q: 2.0 * q * np.sinh(span / 2.0 / q) - length, 1.0, 1e3))

    def down(out: Array) -> Array:
        return np.asarray(a * (np.cosh(span / 2.0 / a) - np.cosh(out / a)))

    s = cloth(
        len(points),
        triangles,
        grained(points, 0.0)[triangles],
        stiff=membrane(5e7, 5e7, 0.0, 2e7),
        bend=(0.02, 0.02),
        pinned=np.flatnonzero(ends),
    )
    # begun as a shallow V of the right length
    half = np.abs(points[:, 0] / length - 0.5) * 2.0
    deep = np.sqrt(length**2 - span**2) / 2.0
    x = np.stack([(points[:, 0] / length - 0.5) * span, points[:, 1], deep * (half - 1.0)], axis=1)
    state, rest = settled(s, x, enough=1e-4, steps=400, h=0.02, longest=50.0, reach=1.0)
    assert rest.residual < 1e-3, rest
    off = -state.x[:, 2] - down(state.x[:, 0])
    sag = float(down(np.zeros(1))[0])
    lowest = float(-state.x[:, 2].min())
    return lowest / sag - 1.0, float(np.abs(off).max()) / sag
