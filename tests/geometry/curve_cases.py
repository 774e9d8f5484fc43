"""Curves of garment size for the tests, and hypothesis strategies that make more of them."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import strategies as st
from numpy.typing import NDArray

from pinwright.geometry.motion import Motion
from pinwright.geometry.path import Path

Array = NDArray[np.float64]

coordinate = st.floats(-60.0, 60.0, allow_nan=False)
small = st.floats(-4.0, 4.0, allow_nan=False)


@st.composite
def cubics(draw: st.DrawFn) -> Array:
    """Any cubic (4, 2) whose control points lie within 60 cm, chord at least 1 cm."""
    ctrl = np.array([[draw(coordinate), draw(coordinate)] for _ in range(4)])
    if np.hypot(*(ctrl[3] - ctrl[0])) < 1.0:
        ctrl[3] = ctrl[0] + (7.0, 3.0)
    return ctrl


@st.composite
def gentle_paths(draw: st.DrawFn) -> Path:
    """A spline of 3 to 6 points that wanders by up to 4 cm over steps of 8 cm, turned anyhow."""
    k = draw(st.integers(3, 6))
    pts = np.array([[8.0 * i + draw(small) * 0.5, draw(small)] for i in range(k)])
    return Path.through(pts).transformed(draw(motions()))


@st.composite
def motions(draw: st.DrawFn) -> Motion:
    angle = draw(st.floats(-360.0, 360.0, allow_nan=False))
    return Motion(angle, (draw(coordinate), draw(coordinate)), draw(st.booleans()))


def hip_curve() -> Path:
    """A side seam from waist to 20 cm below."""
    return Path.through([(0.0, 0.0), (1.5, -6.0), (2.2, -12.0), (2.0, -20.0)], None, (0.0, -1.0))


def armhole() -> Path:
    """A deep curve: down from the shoulder, round to the side."""
    return Path.hermite((0.0, 0.0), (-0.1, -1.0), (9.0, -18.0), (1.0, 0.1), 0.55, 0.5)


def dense(path: Path, each: int = 4000) -> shapely.LineString:
    """Polyline through points computed here by plain Bernstein sums, not by the code under test."""
    u = np.linspace(0.0, 1.0, each + 1)[:, None]
    v = 1.0 - u
    runs = [
        v**3 * p[0] + 3 * u * v**2 * p[1] + 3 * u**2 * v * p[2] + u**3 * p[3] for p in path.ctrl
    ]
    return shapely.LineString(np.concatenate(runs))
