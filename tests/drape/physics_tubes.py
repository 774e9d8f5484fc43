"""Tubes too tight for what they are on: pressure, strain, energy; and a strip on a slope."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from pinwright.drape.data import Array, Whole
from pinwright.drape.field import field_of
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.settling import settled
from tests.drape.physics_bodies import field_from, tube, turned_body, wrapped
from tests.drape.physics_cloth import POISSON, SHEAR, WARP, WEFT, cloth, grained, membrane, sheet


@dataclass(frozen=True)
class Tight:
    """A tube drawn over a cylinder: what presses as it was found, and by Laplace's p = T / r.

    total: all that presses, over what Laplace says for the stretch as it is; by_tape: over what he
    says for the stretch by the girths of body and cloth. low, middle, high: pressure over that of
    Laplace, the 5th, 50th and 95th hundredth of the places, each a square of some 3 cm. deepest:
    how far the cloth is in the cylinder, cm; kpa.
    """

    total: float
    by_tape: float
    low: float
    middle: float
    high: float
    deepest: float
    kpa: float
    residual: float


@cache
def tight_tube(
    edge: float = 1.0, strain: float = 0.05, weft: float = WEFT, kind: str = "even"
) -> Tight:
    """A tube with its weft round a cylinder of 20 cm, without weight and free along.

    Laplace (any handbook): pressure = tension / radius; tension = Young's modulus x Green's strain
    x stretch for each cm of height at rest, as the ends are free.
    """
    radius, half, tall = 10.0, 0.04, 24.0
    body = field_of(turned_body(lambda z: np.full_like(z, radius), -20.0, 40.0), step=0.5)
    girth = 2.0 * np.pi * (radius + half) / (1.0 + strain)
    round_ = round(girth / edge)
    step = girth / round_
    flat, triangles, rest = tube(round_, round(tall / (step * np.sqrt(0.75))) + 1, step)
    if kind == "random":
        flat, triangles, rest = uneven(flat, girth, triangles)
    s = cloth(
        len(flat),
        triangles,
        rest,
        stiff=membrane(WARP, weft, POISSON, SHEAR),
        bend=(137.0, 60.0),
        body=body,
        half=half,
        gravity=np.zeros(3),
    )
    x = wrapped(flat, girth, radius + half)
    state, found = settled(s, x, enough=1e-3, steps=200, h=0.05, longest=20.0)
    from_axis = np.hypot(state.x[:, 0], state.x[:, 1])
    height = float(np.ptp(flat[:, 1]))
    inner = np.abs(flat[:, 1] - height / 2.0) < height / 2.0 - 3.0
    f = np.einsum("tci,tcj->tij", s.stencils.slopes, state.x[triangles])
    stretch = np.linalg.norm(f, axis=2)[inner[triangles].all(axis=1)]
    q, narrow = np.average(
        stretch, axis=0, weights=s.stencils.area[inner[triangles].all(axis=1)]
    ).tolist()

    def pull(by: float) -> float:
        return weft * 0.5 * (by**2 - 1.0) * by

    # of each square as it lies now: its cloth, wider by q and shorter by what it narrowed
    said = pull(q) / narrow / float(from_axis[inner].mean())
    squares = np.floor(flat[inner] / [girth / 20.0, 3.0]).astype(int) @ [1, 100]
    _, place = np.unique(squares, return_inverse=True)
    pressed = np.bincount(place, state.touch[inner])
    load = np.bincount(place, s.stencils.load[inner]) * q * narrow
    whole = np.bincount(place) > 0.6 * np.median(np.bincount(place))
    low, middle, high = np.percentile((pressed / load)[whole] / said, [5.0, 50.0, 95.0])
    total = float(state.touch.sum()) / (2.0 * np.pi * height)
    return Tight(
        total / pull(q),
        total / pull((radius + half) / (girth / 2.0 / np.pi)),
        float(low),
        float(middle),
        float(high),
        float((radius + half - from_axis).max()),
        float(said) * 1e-4,
        found.residual,
    )


def uneven(
    flat: Array, girth: float, triangles: Whole, seed: int = 3
) -> tuple[Array, Whole, Array]:
    """A tube with its inner points moved at random by up to a fifth of a side."""
    rng = np.random.default_rng(seed)
    ends = (flat[:, 1] < 1e-9) | (flat[:, 1] > flat[:, 1].max() - 1e-9)
    side = float(np.linalg.norm(flat[triangles[0, 0]] - flat[triangles[0, 1]]))
    moved = flat + np.where(ends[:, None], 0.0, rng.uniform(-0.2, 0.2, flat.shape) * side)
    corner = moved[triangles]
    # corners beyond the seam are brought round to the first one
    corner[..., 0] -= girth * np.round((corner[..., 0] - corner[:, :1, 0]) / girth)
    return moved, triangles, corner


def on_hip(edge: float, friction: float = 0.0) -> tuple[Setting, Array, Array]:
    """A skirt tube 4 cm too tight at the hip, hung by its waist: setting, start, flat points."""
    girth = 70.0
    body = field_of(
        turned_body(
            lambda z: (68.0 + 6.0 * np.exp(-(((z - 35.0) / 8.0) ** 2))) / 2.0 / np.pi, -10.0, 85.0
        )
    )
    round_ = round(girth / edge)
    step = girth / round_
    flat, triangles, rest = tube(round_, round(60.0 / (step * np.sqrt(0.75))) + 1, step)
    top = np.flatnonzero(flat[:, 1] > flat[:, 1].max() - 1e-9)
    s = cloth(
        len(flat),
        triangles,
        rest,
        bend=(137.0, 60.0),
        body=body,
        half=0.04,
        friction=friction,
        pinned=top,
    )
    radius = np.full(len(flat), girth / 2.0 / np.pi + 2.0)
    radius[top] = girth / 2.0 / np.pi
    return s, wrapped(flat, girth, radius), flat


@cache
def hip_tube(edge: float) -> tuple[float, float, float, float]:
    """What refining must not change of that tube at rest.

    Returns mean strain round the fullest level, length as it hangs over its length, energy for a cm
    of length (erg), residual. Friction is left out, for where it holds depends on the way there.
    """
    s, x, flat = on_hip(edge)
    triangles = s.stencils.triangles
    state, found = settled(s, x, enough=1e-3, steps=300, h=0.05, longest=10.0)
    f = np.einsum("tci,tcj->tij", s.stencils.slopes, state.x[triangles])
    level = np.abs(state.x[triangles][:, :, 2].mean(axis=1) - 35.0) < 2.5
    stretch = np.linalg.norm(f[:, 0], axis=1)[level]
    strain = float(np.average(stretch - 1.0, weights=s.stencils.area[level]))
    hem = float(state.x[flat[:, 1] < 1e-9, 2].mean())
    height = float(np.ptp(flat[:, 1]))
    return strain, (height - hem) / height, state.energy / height, found.residual


def energies(s: Setting, x: Array, steps: int) -> list[float]:
    """The energy after each of so many single steps, erg; steps grow as they do in `settled`."""
    found: list[float] = []
    anchor, h = x, 0.02
    for _ in range(steps):
        state, rest = settled(s, x, enough=1e-6, steps=1, h=h, longest=h, anchor=anchor)
        found.append(state.energy)
        if rest.steps == 0:
            break
        x, anchor, h = state.x, state.anchor, min(1.4 * h, 2.0)
    return found


def slope(friction: float, part: float) -> tuple[float, float]:
    """(how far a strip went down a plane, cm, and its residual); tan(slope) = part x friction.

    The plane is the top of a big box, turned.
    """
    angle = np.arctan(part * friction)
    out = np.array([np.sin(angle), 0.0, np.cos(angle)])
    steep = np.array([np.cos(angle), 0.0, -np.sin(angle)])
    low, high = np.array([-14.0, -6.0, -10.0]), np.array([14.0, 10.0, 10.0])
    body = field_from(lambda p: p @ out, low, high, 0.6)
    points, triangles = sheet(10.0, 4.0, 0.7, "random")
    s = cloth(
        len(points),
        triangles,
        grained(points, 0.0)[triangles],
        bend=(137.0, 60.0),
        body=body,
        half=0.04,
        friction=friction,
    )
    x = (points[:, :1] - 7.0) * steep + points[:, 1:] * np.array([0.0, 1.0, 0.0]) + 0.04 * out
    state, rest = settled(s, x, enough=1e-4, steps=60, h=0.02, longest=1.0)
    return float(((state.x - x) @ steep).mean()), rest.residual
