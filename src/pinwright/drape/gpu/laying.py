"""Lays shells, cloth and bodies of variants on the device."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Whole
from pinwright.drape.field import Field
from pinwright.drape.gpu.cloth import Bodies, Cloth, Shell
from pinwright.drape.gpu.kinds import wp
from pinwright.drape.gpu.meeting import Meets
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.stencils import Stencils


def whole(a: Whole | NDArray[np.int32]) -> Any:
    """Numbers of vertices and the like on the device."""
    return wp.array(np.ascontiguousarray(a, dtype=np.int32), dtype=wp.int32)


def long(a: Whole) -> Any:
    """Whole numbers that may be large on the device."""
    return wp.array(np.ascontiguousarray(a, dtype=np.int64), dtype=wp.int64)


def real(a: object, dtype: Any = wp.float64) -> Any:
    """Numbers on the device, or vectors and matrices of them."""
    return wp.array(np.ascontiguousarray(a, dtype=np.float64), dtype=dtype)


def laid_shell(s: Stencils, meets: Meets) -> Any:
    """The triangles and pairs of a shell."""
    shell = Shell()
    shell.triangles = wp.array(s.triangles.astype(np.int32), dtype=wp.vec3i)
    for name in (
        "ends",
        "triangle",
        "corner_a",
        "corner_b",
        "around",
        "around_triangle",
        "around_corner",
    ):
        setattr(shell, name, whole(getattr(s, name)))
    shell.near_ends, shell.near, shell.near_pair = (whole(a) for a in meets)
    return shell


def laid_cloth(settings: Sequence[Setting]) -> Any:
    """The cloth of each variant, and what holds it."""
    n = settings[0].stencils.n
    none = np.zeros(n)
    cloth = Cloth()
    slopes = np.stack([s.stencils.slopes for s in settings])
    cloth.slopes = real(slopes, wp.types.matrix(shape=(3, 2), dtype=wp.float64))
    cloth.area = real(np.stack([s.stencils.area for s in settings]))
    cloth.stiff = real(np.stack([s.stiff for s in settings]), wp.vec4d)
    cloth.bend = real(np.stack([s.bend_pairs for s in settings]))
    cloth.mass = real(np.stack([s.mass for s in settings]))
    cloth.load = real(np.stack([s.stencils.load for s in settings]))
    cloth.gravity = real(np.stack([s.gravity for s in settings]), wp.vec3d)
    cloth.half = real([s.half for s in settings])
    cloth.friction = real([s.friction for s in settings])
    cloth.hard = real([s.hard for s in settings])
    cloth.hold = real([s.hold for s in settings])
    pinned = np.zeros((len(settings), n), np.int32)
    for k, s in enumerate(settings):
        pinned[k, s.pinned] = 1
    cloth.pinned = wp.array(pinned, dtype=wp.int32)
    kept = [(s.kept, s.kept_at) for s in settings]
    cloth.kept = real(np.stack([none if a is None or b is None else a for a, b in kept]))
    cloth.kept_at = real(np.stack([none if a is None or b is None else b for a, b in kept]))
    cloth.kept_axis = whole(np.array([s.kept_axis for s in settings]))
    return cloth


def laid_bodies(settings: Sequence[Setting]) -> Any:
    """The bodies that the variants lie on, each once."""
    known: dict[int, int] = {}
    fields: list[Field] = []
    which: list[int] = []
    for s in settings:
        if s.body is None:
            which.append(-1)
            continue
        if id(s.body) not in known:
            known[id(s.body)] = len(fields)
            fields.append(s.body)
        which.append(known[id(s.body)])
    bodies = Bodies()
    bodies.which = whole(np.array(which))
    if fields:
        bodies.origin = real(np.stack([f.origin for f in fields]), wp.vec3d)
        bodies.step = real([f.step for f in fields])
        shapes = np.array([f.knots.shape for f in fields], np.int32)
        bodies.shape = wp.array(shapes, dtype=wp.vec3i)
        bodies.start = long(np.concatenate([[0], np.cumsum([f.knots.size for f in fields])[:-1]]))
        bodies.knots = real(np.concatenate([f.knots.ravel() for f in fields]))
    return bodies
