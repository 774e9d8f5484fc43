"""Cloth at close rest that the gradients are held against, and how it is hung anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from pinwright.drape.cloth import Cgs
from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.field import Field, field_of
from pinwright.drape.gradients.gradient import Gradient, gradient
from pinwright.drape.gradients.resting import rested
from pinwright.drape.gradients.scores import Score, gap, height, strain_across
from pinwright.drape.gradients.standing import standing
from pinwright.drape.solver.acting import GRAVITY, Setting
from pinwright.drape.solver.settling import settled
from tests.drape.physics_bodies import tube, turned_body, wrapped
from tests.drape.physics_cloth import MASS, POISSON, SHEAR, WARP, WEFT, cloth, membrane, sheet

CLOTH = Cgs(MASS, WARP, WEFT, POISSON, SHEAR, 137.0, 60.0, 0.08, 0.0)


@dataclass(frozen=True)
class Hanging:
    """What hangs: its mesh, where it starts, what else the setting has, what is read of it."""

    n: int
    triangles: Whole
    rest: Array
    start: Array
    read: Callable[[Setting, Array], dict[str, Score]]
    more: dict[str, Any] = field(default_factory=dict)
    made_of: Cgs = CLOTH

    @property
    def bend(self) -> tuple[float, float]:
        return self.made_of.bend_along, self.made_of.bend_across

    def setting(
        self, flat: Array | float = 0.0, kept_at: Array | float = 0.0, **constants: float
    ) -> Setting:
        """Its setting: flat corners and the waist moved by so much, other constants."""
        more = dict(self.more)
        if "kept_at" in more:
            more["kept_at"] = more["kept_at"] + kept_at
        c = replace(self.made_of, **constants)
        stiff = membrane(c.stretch_along, c.stretch_across, c.poisson, c.shear)
        bend = (c.bend_along, c.bend_across)
        return cloth(self.n, self.triangles, self.rest + flat, stiff, bend, c.mass, **more)

    def hung(self, s: Setting, x: Array) -> Array:
        """At rest from x, by the forces left over: by the solver to 1e-2, then by Newton's method
        until what is left does not drown differences."""
        state, found = settled(s, x, enough=1e-2, steps=600, h=0.5, longest=1e4)
        assert found.residual <= 1e-2, found
        at = rested(s, state.x, 1e-9)
        assert at.residual <= 1e-9
        return at.x

    def at_rest(self) -> tuple[Setting, Array]:
        s = self.setting()
        state, _ = settled(s, self.start, enough=0.05, steps=300, h=0.02, longest=5.0)
        return s, self.hung(s, state.x)


def touching(s: Setting, x: Array) -> set[tuple[int, ...]]:
    """What touches the body, and what presses on which corners of the cloth.

    A place on a side or corner is one place, whichever of its triangles is told.
    """
    at = standing(s, x)
    found: set[tuple[int, ...]] = {(i,) for i in at.touching.tolist()}
    if at.layers is not None:
        places = at.layers.places
        for p in at.pressing().tolist():
            on = np.sort(places.corners[p][at.layers.weight[p] > 0.0])
            found.add((int(places.vertex[p]), *on.tolist()))
    return found


def both_ways(
    hanging: Hanging, x: Array, step: float, what: str, change: Callable[[float], dict[str, Any]]
) -> float:
    """A score's change by central difference of two rests, hung anew."""
    at_rest = touching(hanging.setting(), x)
    found = []
    for way in (step, -step):
        s = hanging.setting(**change(way))
        now = hanging.hung(s, x)
        assert touching(s, now) == at_rest, "other places touch: a smaller step is needed"
        found.append(hanging.read(s, now)[what].value)
    return (found[0] - found[1]) / (2.0 * step)


@cache
def at_rest(which: str) -> tuple[Hanging, Setting, Array, dict[str, Gradient]]:
    """One of the below at rest, and the gradients of what is read of it."""
    made: dict[str, Callable[[], Hanging]] = {
        "strip": strip,
        "tube": tube_on_oval,
        "kept tube": lambda: tube_on_oval(kept=True),
        "flaps": flaps,
    }
    hanging = made[which]()
    s, x = hanging.at_rest()
    return (
        hanging,
        s,
        x,
        {k: gradient(s, x, v, hanging.bend) for k, v in hanging.read(s, x).items()},
    )


def strip() -> Hanging:
    """A strip held level at one end, of which the rest hangs down: it bends and is stretched."""
    points, triangles = sheet(15.0, 5.0, 0.8, "random")
    clamped = np.flatnonzero(points[:, 0] < 1.0)
    tip = np.flatnonzero(points[:, 0] > 15.0 - 1e-9)
    middle = np.flatnonzero(np.abs(points[triangles].mean(axis=1)[:, 0] - 5.0) < 3.0)
    # its weft lies at 20 degrees to its length, so that all stiffnesses have a say
    turn = np.radians(20.0)
    grained = points @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    # the rest is begun bent downwards
    s = np.maximum(points[:, 0] - 1.0, 0.0)
    x = np.stack(
        [np.minimum(points[:, 0], 1.0) + 4.0 * np.sin(s / 4.0), points[:, 1], 0.0 * s], axis=1
    )
    x[:, 2] = -4.0 * (1.0 - np.cos(np.minimum(s, 2.0 * np.pi) / 4.0))
    far = s > 2.0 * np.pi
    x[far, 0], x[far, 2] = 5.0, -4.0 - (s[far] - 2.0 * np.pi)

    def read(s: Setting, x: Array) -> dict[str, Score]:
        st = s.stencils
        return {"height": height(st, x, tip), "strain": strain_across(st, x, middle)}

    return Hanging(len(points), triangles, grained[triangles], x, read, {"pinned": clamped}, CLOTH)


@cache
def oval(taper: float) -> Field:
    """A body of oval section, wider towards the floor."""
    round_ = turned_body(lambda z: 8.9 - taper * (z - 10.0), -30.0, 60.0)
    return field_of(Surface(round_.points * [1.1, 0.98, 1.0], round_.triangles))


def tube_on_oval(kept: bool = False) -> Hanging:
    """A tube that lies on an oval body; ``kept``: on one that is as wide below, so it is kept."""
    girth = 58.0
    flat, triangles, rest = tube(18, 9, girth / 18)
    body = oval(0.0 if kept else 0.04)
    x = wrapped(flat, girth, 9.3 + flat[:, 1] / flat[:, 1].max())
    low = np.flatnonzero(flat[:, 1] < 1e-9)
    middle = np.arange(60, 140)

    def read(s: Setting, x: Array) -> dict[str, Score]:
        st = s.stencils
        assert s.body is not None
        return {
            "height": height(st, x, low[:1]),
            "strain": strain_across(st, x, middle),
            "gap": gap(st, x, low, s.body, s.half),
        }

    more: dict[str, Any] = {"body": body, "half": 0.04}
    if kept:
        top = flat[:, 1] > flat[:, 1].max() - 1e-9
        more |= {"kept": np.where(top, 2e4, 0.0), "kept_at": np.where(top, x[:, 2], 0.0)}
        # else it may turn about the oval, and lies on the crest between two ways down
        more |= {"pinned": np.flatnonzero(top)[:1]}
    return Hanging(len(flat), triangles, rest, x, read, more)


def flaps() -> Hanging:
    """A strip held along two lines near its middle; its ends hang and are drawn together."""
    points, triangles = sheet(20.0, 4.0, 0.9, "random")
    off = points[:, 0] - 10.0
    held = np.flatnonzero(np.abs(off) < 0.6)
    near = 0.12
    x = np.stack([np.sign(off) * near, points[:, 1], near - np.abs(off)], axis=1)
    x[held, 0] = np.clip(off[held], -near, near)
    tip = np.flatnonzero(off > 10.0 - 1e-9)

    def read(s: Setting, x: Array) -> dict[str, Score]:
        by_x = np.zeros_like(x)
        by_x[tip, 0] = 1.0
        aside = Score(float(x[tip, 0].sum()), by_x, np.zeros((len(triangles), 3, 2)))
        return {"height": height(s.stencils, x, tip), "aside": aside}

    drawn = np.stack([-0.3 * np.sign(off), 0.0 * off, np.full(len(off), -1.0)], axis=1)
    more = {"pinned": held, "apart": 0.4, "gravity": GRAVITY * drawn}
    return Hanging(len(points), triangles, points[triangles], x, read, more)
