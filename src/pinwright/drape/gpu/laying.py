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
    cloth = Cloth()
    slopes = np.stack([s.stencils.slopes for s in settings])
    cloth.slopes = real(slopes, wp.types.matrix(shape=(3, 2), dtype=wp.float64))
    cloth.area = real(np.stack([s.stencils.area for s in settings]))
    cloth.load = real(np.stack([s.stencils.load for s in settings]))
    kinds = {"stiff": wp.vec4d, "gravity": wp.vec3d}
    for name, a in _numbers(settings).items():
        setattr(cloth, name, real(a, kinds.get(name, wp.float64)))
    cloth.pinned = wp.array(_pinned(settings), dtype=wp.int32)
    cloth.kept_axis = whole(np.array([s.kept_axis for s in settings]))
    return cloth


def laid_over(cloth: Any, settings: Sequence[Setting]) -> None:
    """Puts variants of the same shell where others are."""
    for name, a in _numbers(settings).items():
        getattr(cloth, name).assign(a)
    cloth.pinned.assign(_pinned(settings))
    cloth.kept_axis.assign(np.array([s.kept_axis for s in settings], np.int32))


def _numbers(settings: Sequence[Setting]) -> dict[str, NDArray[np.float64]]:
    """What may be otherwise for one shell, by the name it has on the device."""
    none = np.zeros(settings[0].stencils.n)
    kept = [(none if s.kept is None or s.kept_at is None else s.kept) for s in settings]
    at = [(none if s.kept is None or s.kept_at is None else s.kept_at) for s in settings]
    found = {
        "stiff": np.stack([s.stiff for s in settings]),
        "bend": np.stack([s.bend_pairs for s in settings]),
        "mass": np.stack([s.mass for s in settings]),
        "gravity": np.stack([s.gravity for s in settings]),
        "kept": np.stack(kept),
        "kept_at": np.stack(at),
    }
    for name in ("half", "friction", "hard", "hold"):
        found[name] = np.array([getattr(s, name) for s in settings], np.float64)
    return found


def _pinned(settings: Sequence[Setting]) -> NDArray[np.int32]:
    pinned = np.zeros((len(settings), settings[0].stencils.n), np.int32)
    for k, s in enumerate(settings):
        pinned[k, s.pinned] = 1
    return pinned


def laid_bodies(settings: Sequence[Setting]) -> Any:
    """The bodies that the variants lie on, each once."""
    which, fields = _bodies(settings)
    bodies = Bodies()
    bodies.which = whole(np.array(which))
    if fields:
        bodies.origin = real(np.stack([f.origin for f in fields]), wp.vec3d)
        bodies.step = real([f.step for f in fields])
        bodies.shape = wp.array(_shapes(fields), dtype=wp.vec3i)
        bodies.start = long(_starts(fields))
        bodies.knots = real(_knots(fields))
    return bodies


def fits_over(bodies: Any, settings: Sequence[Setting]) -> bool:
    """Whether the bodies of variants have room where others are."""
    _, fields = _bodies(settings)
    if not fields or bodies.origin is None:
        return not fields and bodies.origin is None
    enough = sum(f.knots.size for f in fields) <= len(bodies.knots)
    return len(fields) == len(bodies.origin) and enough


def bodies_over(bodies: Any, settings: Sequence[Setting]) -> None:
    """Puts the bodies of variants where others are, for which there is room."""
    which, fields = _bodies(settings)
    bodies.which.assign(np.array(which, np.int32))
    if fields:
        bodies.origin.assign(np.stack([f.origin for f in fields]))
        bodies.step.assign(np.array([f.step for f in fields]))
        bodies.shape.assign(_shapes(fields))
        bodies.start.assign(_starts(fields))
        knots = _knots(fields)
        wp.copy(bodies.knots, wp.array(knots, dtype=wp.float64, device="cpu"), count=len(knots))


def _bodies(settings: Sequence[Setting]) -> tuple[list[int], list[Field]]:
    """Which body each variant lies on, -1 for none, and the bodies, each once."""
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
    return which, fields


def _shapes(fields: Sequence[Field]) -> NDArray[np.int32]:
    return np.array([f.knots.shape for f in fields], np.int32)


def _starts(fields: Sequence[Field]) -> Whole:
    return np.concatenate([[0], np.cumsum([f.knots.size for f in fields])[:-1]]).astype(np.int64)


def _knots(fields: Sequence[Field]) -> NDArray[np.float64]:
    """The coefficients of all, one after another."""
    if len(fields) == 1:
        return fields[0].knots.ravel()
    return np.concatenate([f.knots.ravel() for f in fields])
