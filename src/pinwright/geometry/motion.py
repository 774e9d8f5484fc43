"""Rigid motions of the plane: turn, shift, mirror. They keep every length and every angle."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, isfinite, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pinwright.errors import GeometryError

Array = NDArray[np.float64]

# Quarter turns are exact, so that a mirrored or turned piece has no 1e-17 crumbs.
_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


def _cos_sin(angle_deg: float) -> tuple[float, float]:
    exact = _QUARTERS.get(angle_deg % 360.0)
    if exact is not None:
        return exact
    angle = radians(angle_deg)
    return cos(angle), sin(angle)


@dataclass(frozen=True, slots=True)
class Motion:
    """p → R(angle) F p + shift, where F flips y when ``mirrored``.

    ``angle_deg`` turns anticlockwise; ``shift`` is in cm. ``a @ b`` does b first, then a.
    """

    angle_deg: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    mirrored: bool = False

    def __post_init__(self) -> None:
        x, y = (float(value) for value in self.shift)
        if not (isfinite(self.angle_deg) and isfinite(x) and isfinite(y)):
            raise GeometryError(
                f"A motion needs a finite angle and shift, not {self.angle_deg} and {self.shift}."
            )
        object.__setattr__(self, "angle_deg", float(self.angle_deg))
        object.__setattr__(self, "shift", (x, y))

    @staticmethod
    def identity() -> Motion:
        """The motion that moves nothing."""
        return Motion()

    @staticmethod
    def translation(v: ArrayLike) -> Motion:
        """Shift by the vector ``v`` (2,), cm."""
        x, y = _vector(v)
        return Motion(0.0, (x, y))

    @staticmethod
    def rotation(angle_deg: float, about: ArrayLike = (0.0, 0.0)) -> Motion:
        """Turn by ``angle_deg`` anticlockwise about the point ``about`` (2,), cm."""
        return Motion(angle_deg)._holding(_vector(about))

    @staticmethod
    def mirror_x(x: float = 0.0) -> Motion:
        """Mirror in the upright line at ``x`` cm: left becomes right."""
        return Motion(180.0, (2.0 * x, 0.0), mirrored=True)

    @staticmethod
    def mirror_y(y: float = 0.0) -> Motion:
        """Mirror in the level line at height ``y`` cm."""
        return Motion(0.0, (0.0, 2.0 * y), mirrored=True)

    @staticmethod
    def mirror(p: ArrayLike, q: ArrayLike) -> Motion:
        """Mirror in the line through the points ``p`` and ``q`` (2,), cm, which must differ."""
        a, b = _vector(p), _vector(q)
        if a == b:
            raise GeometryError(f"A mirror line needs two different points; both are {a}.")
        angle = 2.0 * float(np.degrees(np.arctan2(b[1] - a[1], b[0] - a[0])))
        return Motion(angle, mirrored=True)._holding(a)

    def _holding(self, point: tuple[float, float]) -> Motion:
        """The same turn, shifted so that ``point`` stays where it is."""
        x, y = Motion(self.angle_deg, mirrored=self.mirrored).apply(point)
        shift = (point[0] - float(x), point[1] - float(y))
        return Motion(self.angle_deg, shift, self.mirrored)

    @property
    def matrix(self) -> Array:
        """The linear part (2, 2)."""
        c, s = _cos_sin(self.angle_deg)
        flip = -1.0 if self.mirrored else 1.0
        return np.array([[c, -s * flip], [s, c * flip]])

    @property
    def is_identity(self) -> bool:
        """True when nothing moves, exactly."""
        return not self.mirrored and self.angle_deg % 360.0 == 0.0 and self.shift == (0.0, 0.0)

    def apply(self, points: ArrayLike) -> Array:
        """The moved points, same shape (..., 2), cm."""
        p = np.asarray(points, dtype=np.float64)
        if p.shape[-1:] != (2,):
            raise GeometryError(f"A motion moves points of shape (..., 2), not {p.shape}.")
        if self.is_identity:
            return p.copy()
        c, s = _cos_sin(self.angle_deg)
        x, y = p[..., 0], (-p[..., 1] if self.mirrored else p[..., 1])
        out = np.empty_like(p)
        out[..., 0] = c * x - s * y + self.shift[0]
        out[..., 1] = s * x + c * y + self.shift[1]
        return out

    def direction(self, vectors: ArrayLike) -> Array:
        """The turned directions (..., 2), without the shift."""
        return Motion(self.angle_deg, mirrored=self.mirrored).apply(vectors)

    def __matmul__(self, other: Motion) -> Motion:
        x, y = self.apply(other.shift)
        turn = -other.angle_deg if self.mirrored else other.angle_deg
        mirrored = self.mirrored != other.mirrored
        return Motion(self.angle_deg + turn, (float(x), float(y)), mirrored)

    def inverse(self) -> Motion:
        """The motion that takes everything back."""
        angle = self.angle_deg if self.mirrored else -self.angle_deg
        back = Motion(angle, mirrored=self.mirrored)
        x, y = back.apply(self.shift)
        return Motion(angle, (0.0 - float(x), 0.0 - float(y)), self.mirrored)


def _vector(v: ArrayLike) -> tuple[float, float]:
    a = np.asarray(v, dtype=np.float64)
    if a.shape != (2,):
        raise GeometryError(f"A point needs two coordinates (x, y), not an array of {a.shape}.")
    return float(a[0]), float(a[1])
