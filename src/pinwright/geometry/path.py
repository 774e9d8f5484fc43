"""Path: an unchanging chain of cubic Béziers, measured and cut by arc length.

Lengths, splits and motions are exact to rounding (1e-9 cm); circles (6e-9 of the radius), offsets
(their tolerance) and polylines (theirs) are approximations. Distances ``s`` run in cm along the
path from its start.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb
from pinwright.geometry import curves
from pinwright.geometry.intersect import crossings
from pinwright.geometry.motion import Motion
from pinwright.geometry.nearest import nearest
from pinwright.geometry.offset import offset_cubics

Array = NDArray[np.float64]

GAP = 1e-9
"""Widest gap, cm, between one cubic's end and the next one's start."""

SLACK = 1e-6
"""A distance this little outside [0, length], cm, is taken as the end itself."""


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """Cubics ``ctrl`` (n, 4, 2), cm, each starting where the one before ends.

    Raises GeometryError when the array has another shape, is not finite, or has a gap.
    """

    ctrl: Array
    _sums: list[float] | None = field(default=None, init=False, repr=False)

    def __post_init__(self) -> None:
        ctrl = np.array(self.ctrl, dtype=np.float64, order="C")
        if ctrl.ndim != 3 or ctrl.shape[1:] != (4, 2) or not len(ctrl):
            raise GeometryError(f"A path needs cubics of shape (n, 4, 2), not {ctrl.shape}.")
        if not np.isfinite(ctrl).all():
            raise GeometryError(
                f"Cubic {int(np.argwhere(~np.isfinite(ctrl))[0, 0])} of a path "
                "has a control point that is not finite."
            )
        if len(ctrl) > 1:
            gaps = np.abs(ctrl[1:, 0] - ctrl[:-1, 3])
            if gaps.max() >= GAP:
                i = int(gaps.max(axis=1).argmax())
                raise GeometryError(
                    f"A path must hang together: cubic {i} ends at {ctrl[i, 3].tolist()} but cubic "
                    f"{i + 1} starts at {ctrl[i + 1, 0].tolist()}."
                )
        ctrl.setflags(write=False)
        object.__setattr__(self, "ctrl", ctrl)

    # --- making ---------------------------------------------------------------------------
    @staticmethod
    def trusted(ctrl: Array) -> Path:
        """A path over an array known to be whole, (n, 4, 2) float64; nothing is checked or copied.

        For arrays computed from a path's own, where checking again would cost more than the work.
        """
        path = object.__new__(Path)
        ctrl.setflags(write=False)
        object.__setattr__(path, "ctrl", ctrl)
        object.__setattr__(path, "_sums", None)
        return path

    @staticmethod
    def line(p: ArrayLike, q: ArrayLike) -> Path:
        """The straight line from ``p`` to ``q``, cm."""
        return Path(curves.polyline([curves.point(p), curves.point(q)]))

    @staticmethod
    def polyline(pts: ArrayLike) -> Path:
        """Straight lines through the points (k, 2), cm."""
        return Path(curves.polyline(pts))

    @staticmethod
    def cubic(p0: ArrayLike, p1: ArrayLike, p2: ArrayLike, p3: ArrayLike) -> Path:
        """One cubic by its four control points, cm."""
        return Path(np.stack([curves.point(p) for p in (p0, p1, p2, p3)])[None])

    @staticmethod
    def arc(centre: ArrayLike, radius: float, start_deg: float, sweep_deg: float) -> Path:
        """Circular arc, radius right within 6e-9 of itself; a positive sweep turns left."""
        return Path(curves.arc(centre, radius, start_deg, sweep_deg))

    @staticmethod
    def through(
        points: ArrayLike,
        start_tangent: ArrayLike | None = None,
        end_tangent: ArrayLike | None = None,
    ) -> Path:
        """C2 spline through points (k, 2) by chord length; a free end has no curvature."""
        return Path(curves.through(points, start_tangent, end_tangent))

    @staticmethod
    def hermite(
        p0: ArrayLike,
        t0: ArrayLike,
        p1: ArrayLike,
        t1: ArrayLike,
        pull0: float = 1.0 / 3.0,
        pull1: float = 1.0 / 3.0,
    ) -> Path:
        """One cubic by end points and directions of travel; handle = pull × chord."""
        return Path(curves.hermite(p0, t0, p1, t1, pull0, pull1))

    # --- measuring ------------------------------------------------------------------------
    @property
    def spans(self) -> int:
        """Number of cubics."""
        return len(self.ctrl)

    @property
    def start(self) -> Array:
        """First point (2,), cm."""
        first: Array = self.ctrl[0, 0]
        return first

    @property
    def end(self) -> Array:
        """Last point (2,), cm."""
        last: Array = self.ctrl[-1, 3]
        return last

    @property
    def cumulative(self) -> list[float]:
        """Distances, cm, at which the cubics begin, and the whole length: n + 1 numbers."""
        if self._sums is None:
            sums = [0.0, *np.cumsum(cb.lengths(self.ctrl)).tolist()]
            object.__setattr__(self, "_sums", sums)
            return sums
        return self._sums

    @property
    def length(self) -> float:
        """Arc length, cm, by quadrature (1e-9)."""
        return self.cumulative[-1]

    @property
    def start_tangent(self) -> Array:
        """Unit direction of travel at the start."""
        return curves.direction(self.ctrl[0], 0.0)

    @property
    def end_tangent(self) -> Array:
        """Unit direction of travel at the end."""
        return curves.direction(self.ctrl[-1], 1.0)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x min, y min, x max, y max) of the curve itself, cm."""
        legs = self.ctrl[:, 1:] - self.ctrl[:, :-1]
        extremes = [self.ctrl[:, 0], self.ctrl[:, 3]]
        a, b = legs[:, 0] - 2.0 * legs[:, 1] + legs[:, 2], legs[:, 1] - legs[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            root = np.sqrt(b * b - a * legs[:, 0])
            # Both forms of the quadratic's roots, so that a nearly straight cubic loses none.
            for u in (
                (-b + root) / a,
                (-b - root) / a,
                legs[:, 0] / (-b + root),
                legs[:, 0] / (-b - root),
            ):
                inside = np.where((u > 0.0) & (u < 1.0), u, 0.0)
                at = cb.points(self.ctrl, inside)
                extremes.append(np.stack([at[:, 0, 0], at[:, 1, 1]], axis=1))
        low, high = np.min(extremes, axis=(0, 1)), np.max(extremes, axis=(0, 1))
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    def locate(self, s: float) -> tuple[int, float]:
        """(cubic, parameter) at ``s`` cm; an inner joint belongs to the cubic that follows it.

        Raises GeometryError when ``s`` lies more than 1e-6 cm outside the path.
        """
        sums = self.cumulative
        if not -SLACK <= s <= sums[-1] + SLACK:
            raise GeometryError(
                f"{s:.6g} cm lies outside the path, which is {sums[-1]:.6g} cm long; "
                "lengthen it with extended() first."
            )
        if s <= 0.0:
            return 0, 0.0
        if s >= sums[-1]:
            return self.spans - 1, 1.0
        i = bisect_right(sums, s) - 1
        return i, min(cb.param_at_length(self.ctrl[i], s - sums[i]), 1.0)

    def distance_at(self, span: int, u: float) -> float:
        """Distance ``s`` from the start, cm, of the parameter ``u`` on cubic ``span``."""
        if u == 0.0:
            return self.cumulative[span]
        if u == 1.0:
            return self.cumulative[span + 1]
        part = cb.lengths(cb.subcurve(self.ctrl[span : span + 1], 0.0, u))
        return self.cumulative[span] + float(part[0])

    def at(self, s: ArrayLike) -> Array:
        """Point (2,) at ``s`` cm; an array of distances (k,) gives (k, 2)."""
        return self._each(s, lambda i, u: cb.points(self.ctrl[i], u))

    def tangent(self, s: ArrayLike) -> Array:
        """Unit direction of travel at ``s`` cm; at an inner corner that of the part beyond it."""
        return self._each(s, lambda i, u: curves.direction(self.ctrl[i], u))

    def normal(self, s: ArrayLike) -> Array:
        """Unit normal to the left of the travel at ``s`` cm."""
        t = self.tangent(s)
        return np.stack([-t[..., 1], t[..., 0]], axis=-1)

    def curvature(self, s: float) -> float:
        """Signed curvature at ``s`` cm, 1/cm, positive turning left."""
        i, u = self.locate(s)
        return float(cb.curvature(self.ctrl[i : i + 1], np.array([u]))[0, 0])

    def nearest(self, p: ArrayLike) -> tuple[float, float]:
        """(s, distance), cm, of the place on the path nearest to the point ``p``."""
        span, u, distance = nearest(self.ctrl, curves.point(p, "nearest: the point"))
        return self.distance_at(span, u), distance

    def intersections(self, other: Path) -> list[tuple[float, float]]:
        """Distances (s here, s there), cm, of all common points, ascending in s.

        Crossings and touches to 1e-9 cm; where the two run along each other, the ends of each
        shared stretch.
        """
        found = sorted(
            (self.distance_at(i, u), other.distance_at(j, v))
            for i, u, j, v in crossings(self.ctrl, other.ctrl)
        )
        kept: list[tuple[float, float]] = []
        for s, t in found:
            if not any(abs(s - a) < SLACK and abs(t - b) < SLACK for a, b in kept):
                kept.append((s, t))
        return kept

    # --- cutting and joining --------------------------------------------------------------
    def split(self, s: float) -> tuple[Path, Path]:
        """The two parts before and after ``s`` cm, which must lie inside the path."""
        if not SLACK < s < self.length - SLACK:
            raise GeometryError(
                f"split: {s:.6g} cm must lie inside the path, between 0 and {self.length:.6g} cm."
            )
        i, u = self.locate(s)
        if u <= 1e-12:
            return Path(self.ctrl[:i]), Path(self.ctrl[i:])
        if u >= 1.0 - 1e-12:
            return Path(self.ctrl[: i + 1]), Path(self.ctrl[i + 1 :])
        halves = curves.cut_at(self.ctrl[i], [u])
        before = np.concatenate([self.ctrl[:i], halves[:1]])
        return Path(before), Path(np.concatenate([halves[1:], self.ctrl[i + 1 :]]))

    def between(self, s0: float, s1: float) -> Path:
        """The part from ``s0`` to ``s1`` cm, s0 < s1."""
        if not (s1 - s0 > SLACK and s0 >= -SLACK and s1 <= self.length + SLACK):
            raise GeometryError(
                f"between: needs 0 <= s0 < s1 <= {self.length:.6g} cm, not {s0:.6g} and {s1:.6g}."
            )
        part = self
        if s1 < self.length - SLACK:
            part = part.split(s1)[0]
        return part.split(s0)[1] if s0 > SLACK else part

    def reversed(self) -> Path:
        """The same curve travelled the other way."""
        return Path(self.ctrl[::-1, ::-1])

    def transformed(self, motion: Motion) -> Path:
        """The path moved; a mirror image keeps its direction of travel, so left becomes right."""
        return self if motion.is_identity else Path(motion.apply(self.ctrl))

    def joined(self, other: Path) -> Path:
        """This path and then ``other``, which must start where this one ends."""
        return Path(np.concatenate([self.ctrl, other.ctrl]))

    def __add__(self, other: Path) -> Path:
        return self.joined(other)

    def subdivided(self, max_length: float) -> Path:
        """The same curve in cubics of at most ``max_length`` cm, each cubic cut evenly."""
        return Path(curves.split_evenly(self.ctrl, max_length))

    def extended(self, start: float = 0.0, end: float = 0.0) -> Path:
        """Lengthened straight along the end tangents by ``start`` and ``end`` cm (0 or more)."""
        if not (start >= 0.0 and end >= 0.0):
            raise GeometryError(f"extended: lengths must be 0 or more, not {start} and {end} cm.")
        parts = [self.ctrl]
        if start > 0.0:
            parts.insert(0, cb.line(self.start - start * self.start_tangent, self.start)[None])
        if end > 0.0:
            parts.append(cb.line(self.end, self.end + end * self.end_tangent)[None])
        return self if len(parts) == 1 else Path(np.concatenate(parts))

    def with_ends(self, p: ArrayLike, q: ArrayLike) -> Path:
        """The same shape turned and scaled as one so that it runs from ``p`` to ``q``."""
        a, b = curves.point(p, "with_ends: p"), curves.point(q, "with_ends: q")
        if (a == self.start).all() and (b == self.end).all():
            return self
        chord = complex(*(self.end - self.start))
        if chord == 0.0:
            raise GeometryError("with_ends: a path that ends where it starts has no chord to turn.")
        turn = complex(*(b - a)) / chord
        rel = self.ctrl - self.start
        ctrl = np.stack(
            [
                a[0] + turn.real * rel[..., 0] - turn.imag * rel[..., 1],
                a[1] + turn.imag * rel[..., 0] + turn.real * rel[..., 1],
            ],
            axis=-1,
        )
        ctrl[0, 0], ctrl[-1, 3] = a, b
        return Path(ctrl)

    # --- approximating --------------------------------------------------------------------
    def offset(
        self,
        d: float,
        join: Literal["mitre", "round"] = "mitre",
        tolerance: float = 0.005,
        mitre_limit: float = 4.0,
    ) -> Path:
        """The parallel at ``d`` cm to the left (to the right when negative), within ``tolerance``.

        See :func:`pinwright.geometry.offset.offset_cubics`.
        """
        if d == 0.0:
            return self
        return Path(offset_cubics(self.ctrl, d, join, tolerance, mitre_limit))

    def flatten(self, tolerance: float = 0.01) -> Array:
        """Polyline (m, 2) within ``tolerance`` cm of the curve, ends included."""
        return curves.flatten(self.ctrl, tolerance)

    # --- inside ---------------------------------------------------------------------------
    def _each(self, s: ArrayLike, f: Callable[[int, float], Array]) -> Array:
        where = np.asarray(s, dtype=np.float64)
        if where.ndim == 0:
            return f(*self.locate(float(where)))
        return np.array([f(*self.locate(x)) for x in where.tolist()]).reshape(*where.shape, 2)
