"""Waist line with darts, drawn as it is sewn: one curve with the darts closed, then opened.

Common practice: fold the darts, redraw the waist across them, open them again. So the legs of
each dart are equal and the sewn waist runs without a corner, by construction. All in cm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import asin, degrees, radians

import numpy as np

from pinwright.errors import DraftError
from pinwright.geometry.cubic import lengths
from pinwright.geometry.curves import hermite
from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Dart, Mouth


@dataclass(frozen=True, slots=True, eq=False)
class WaistDart:
    """A dart wanted in a waist: its point ``apex`` (2,), the ``axis`` (2,) from there to the
    waist, and about how wide (``intake``) and long it is, cm."""

    name: str
    apex: Array
    axis: Array
    intake: float
    length: float
    place: str


@dataclass(frozen=True, slots=True, eq=False)
class Waist:
    """A drawn waist: parts for :func:`pattern.piece.edge` from side to centre, and its darts."""

    parts: tuple[Path | Mouth, ...]
    darts: tuple[Dart, ...]
    length: float


def _closed(
    side: Array, leave: Array, centre: Array, arrive: Array, motion: Motion | None = None
) -> Array:
    """The sewn waist (1, 4, 2) from the side, which ``motion`` has carried as the darts close."""
    if motion is not None:
        side, leave = motion.apply(side), motion.direction(leave)
    return hermite(side, leave, centre, arrive)


def plain_waist(side: Array, leave: Array, centre: Array, arrive: Array) -> Path:
    """A waist without darts, square to side and centre line when the directions are."""
    return Path(_closed(side, leave, centre, arrive))


def waist_with_darts(
    side: Array,
    leave: Array,
    centre: Array,
    arrive: Array,
    darts: Sequence[WaistDart],
    sewn: float,
) -> Waist:
    """A waist whose sewn length is ``sewn`` cm, the darts taking up the rest in their proportion.

    Args:
        side, centre: the ends (2,).
        leave, arrive: unit directions of the waist there, from side to centre.
        darts: from the side to the centre.
        sewn: sewn length, cm.

    Raises:
        DraftError: no darts take that up, or a dart would run past the end of the waist.
    """
    weights = [2.0 * degrees(asin(min(0.5, d.intake / 2.0 / d.length))) for d in darts]

    def miss(scale: float) -> float:
        motion = _closing(darts, [scale * w for w in weights])[-1]
        return float(lengths(_closed(side, leave, centre, arrive, motion))[0]) - sewn

    scale = _solve(miss)
    angles = [scale * w for w in weights]
    frames = _closing(darts, angles)
    closed = _closed(side, leave, centre, arrive, frames[-1])
    # Frames run from the centre outwards, the edge from the side to the centre.
    cuts: list[float] = []
    inner = list(reversed(darts))
    for i, dart in enumerate(inner):
        half = Motion.rotation(angles[len(darts) - 1 - i] / 2.0)
        ray = frames[i].direction(half.apply(dart.axis))
        cuts.append(_where(closed[0], frames[i].apply(dart.apex), ray, dart.name))
    whole = Path(closed)
    parts: list[Path | Mouth] = []
    rest = whole
    found: list[Dart] = []
    start = 0.0
    for k in range(len(darts) - 1, -1, -1):
        s = whole.distance_at(0, cuts[k])
        if not s > start + 0.5:
            raise DraftError(
                f"trousers: the {inner[k].name} leaves no waist beside it; check waist and hip "
                "girths and arcs."
            )
        run, rest = rest.split(s - start)
        start = s
        parts += [run.transformed(frames[k + 1].inverse()), Mouth(inner[k].name)]
        found.append(Dart(inner[k].name, "waist", inner[k].apex, inner[k].place))
    parts.append(rest)
    return Waist(tuple(parts), tuple(found), whole.length)


def _closing(darts: Sequence[WaistDart], angles: Sequence[float]) -> list[Motion]:
    """How the cloth beyond 0, 1, ... darts, counted from the centre, moves as they close."""
    frames = [Motion.identity()]
    for dart, angle in zip(reversed(darts), reversed(angles), strict=True):
        frames.append(frames[-1] @ Motion.rotation(angle, dart.apex))
    return frames


def _solve(miss: Callable[[float], float]) -> float:
    """Scale of the dart angles at which the waist has its length (secant)."""
    a, b = 0.7, 1.0
    fa, fb = miss(a), miss(b)
    for _ in range(40):
        if abs(fb) < 1e-10:
            break
        if fb == fa:
            break
        a, b, fa = b, b - fb * (b - a) / (fb - fa), fb
        fb = miss(b)
    if not (abs(fb) < 1e-6 and 0.0 < b < 6.0):
        raise DraftError("trousers: no darts take up the waist; check waist and hip girths.")
    return b


def _where(cubic: Array, origin: Array, ray: Array, name: str) -> float:
    """Parameter at which a cubic (4, 2) crosses a ray."""
    across = np.array([-ray[1], ray[0]])
    d0, d1, d2, d3 = ((cubic - origin) @ across).tolist()
    roots = np.roots([d3 - 3 * d2 + 3 * d1 - d0, 3 * (d2 - 2 * d1 + d0), 3 * (d1 - d0), d0])
    real = [float(r.real) for r in roots if abs(r.imag) < 1e-9 and 0.02 < r.real < 0.98]
    if len(real) != 1:
        raise DraftError(f"trousers: the {name} runs past the end of the waist.")
    return real[0]


def intake(angle_deg: float, leg: float) -> float:
    """Width of a dart's mouth from its angle and leg length: 2 leg sin(angle / 2)."""
    return float(2.0 * leg * np.sin(radians(angle_deg) / 2.0))
