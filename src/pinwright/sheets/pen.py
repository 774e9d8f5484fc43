"""One small drawing protocol between everything that has outlines and everything that draws them.

A pen is told to move, to draw a line or a cubic, and to close. PDF, SVG and the polyline are pens;
a new writer is a new pen.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pinwright.geometry import curves

Array = NDArray[np.float64]


class Pen(Protocol):
    """What draws an outline; coordinates in the pen's own units."""

    def move(self, x: float, y: float) -> None:
        """Lift the pen and set it down at (x, y)."""

    def line(self, x: float, y: float) -> None:
        """Draw straight to (x, y)."""

    def curve(self, ax: float, ay: float, bx: float, by: float, x: float, y: float) -> None:
        """Draw the cubic with handles a and b to (x, y)."""

    def close(self) -> None:
        """Draw straight back to where the pen was last set down."""


def trace(chains: Iterable[Array], pen: Pen, closed: bool = False) -> None:
    """Draw chains of cubics (n, 4, 2) or polylines (m, 2); chains that meet are drawn as one.

    With ``closed`` the whole is closed at its end.
    """
    at: Array | None = None
    for chain in chains:
        start = chain[0, 0] if chain.ndim == 3 else chain[0]
        if at is None or float(np.abs(start - at).max()) > 1e-6:
            if at is not None and closed:
                pen.close()
            pen.move(float(start[0]), float(start[1]))
        if chain.ndim == 3:
            legs = np.diff(chain, axis=1)
            straight = np.abs(np.diff(legs, axis=1)).max(axis=(1, 2)) < 1e-7
            for span, flat in zip(chain.tolist(), straight.tolist(), strict=True):
                _, a, b, p = span
                if flat:
                    pen.line(p[0], p[1])
                else:
                    pen.curve(a[0], a[1], b[0], b[1], p[0], p[1])
            at = chain[-1, 3]
        else:
            for x, y in chain[1:].tolist():
                pen.line(x, y)
            at = chain[-1]
    if closed and at is not None:
        pen.close()


class PolylinePen:
    """Collects polylines (m, 2) whose chords lie within ``tolerance`` of the curves."""

    def __init__(self, tolerance: float = 0.01) -> None:
        self.tolerance = tolerance
        self.lines: list[list[tuple[float, float]]] = []

    def move(self, x: float, y: float) -> None:
        """Start a new polyline."""
        self.lines.append([(x, y)])

    def line(self, x: float, y: float) -> None:
        """Add a point."""
        self.lines[-1].append((x, y))

    def curve(self, ax: float, ay: float, bx: float, by: float, x: float, y: float) -> None:
        """Add points along a cubic."""
        span = np.array([[self.lines[-1][-1], (ax, ay), (bx, by), (x, y)]])
        for p in curves.flatten(span, self.tolerance)[1:].tolist():
            self.lines[-1].append((p[0], p[1]))

    def close(self) -> None:
        """End where the polyline started."""
        if self.lines[-1][-1] != self.lines[-1][0]:
            self.lines[-1].append(self.lines[-1][0])


class SvgPen:
    """Writes the path data of SVG, coordinates to 1e-4, y as given."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    @property
    def data(self) -> str:
        """The ``d`` attribute."""
        return " ".join(self.parts)

    def move(self, x: float, y: float) -> None:
        """Write M."""
        self.parts.append(f"M{_n(x)} {_n(y)}")

    def line(self, x: float, y: float) -> None:
        """Write L."""
        self.parts.append(f"L{_n(x)} {_n(y)}")

    def curve(self, ax: float, ay: float, bx: float, by: float, x: float, y: float) -> None:
        """Write C."""
        self.parts.append(f"C{_n(ax)} {_n(ay)} {_n(bx)} {_n(by)} {_n(x)} {_n(y)}")

    def close(self) -> None:
        """Write Z."""
        self.parts.append("Z")


def _n(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
