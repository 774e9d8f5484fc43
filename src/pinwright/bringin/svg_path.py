"""The path data of SVG as cubics.

Grammar and arc arithmetic after the published recommendation (SVG 1.1, W3C, sections 8.3 and F.6;
from memory). Quadratics are raised to cubics exactly; arcs become cubics of at most 15 degrees.
"""

from __future__ import annotations

import re
from math import acos, ceil, cos, degrees, hypot, pi, radians, sin, sqrt, tan

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import GeometryError
from pinwright.geometry import cubic as cb

Array = NDArray[np.float64]

_TOKEN = re.compile(
    r"([MmZzLlHhVvCcSsQqTtAa])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)|([,\s]+)|(.)"
)
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_STEP = 15.0


def subpaths(data: str) -> list[tuple[Array, bool]]:
    """The subpaths of path data: cubics (n, 4, 2) in user units, and whether each was closed.

    Raises:
        GeometryError: the data break off or hold what is no path command.
    """
    reader = _Reader(data)
    reader.read()
    return reader.done


class _Reader:
    """Follows the commands; keeps the pen, the start of the subpath and the last handle."""

    def __init__(self, data: str) -> None:
        self.data = data
        self.done: list[tuple[Array, bool]] = []
        self.spans: list[Array] = []
        self.at = self.start = np.zeros(2)
        self.handle: tuple[str, Array] | None = None

    def read(self) -> None:
        """Read all commands."""
        for command, numbers in self._commands():
            self._do(command, numbers)
        self._end(False)

    def _commands(self) -> list[tuple[str, list[float]]]:
        found: list[tuple[str, list[float]]] = []
        rest = self.data.strip()
        at = 0
        command = ""
        numbers: list[float] = []
        while at < len(rest):
            if command.upper() == "A" and len(numbers) % 7 in (3, 4) and rest[at] in "01":
                # the two flags of an arc may be written without a space after them
                numbers.append(float(rest[at]))
                at += 1
                continue
            m = _TOKEN.match(rest, at)
            if m is None or m.group(4):
                raise GeometryError(
                    f"The path data hold {rest[at]!r} at place {at + 1}, which is no path command."
                )
            at = m.end()
            if m.group(1):
                if command:
                    found += self._split(command, numbers)
                command, numbers = m.group(1), []
            elif m.group(2):
                if not command:
                    raise GeometryError("Path data must begin with M.")
                numbers.append(float(m.group(2)))
        if command:
            found += self._split(command, numbers)
        if found and found[0][0] not in "Mm":
            raise GeometryError("Path data must begin with M.")
        return found

    def _split(self, command: str, numbers: list[float]) -> list[tuple[str, list[float]]]:
        takes = _TAKES[command.upper()]
        if takes == 0:
            if numbers:
                raise GeometryError(f"In path data {command} takes no numbers.")
            return [(command, [])]
        if not numbers or len(numbers) % takes:
            raise GeometryError(
                f"In path data {command} takes {takes} numbers at a time, not {len(numbers)}."
            )
        rows = [numbers[i : i + takes] for i in range(0, len(numbers), takes)]
        then = {"M": "L", "m": "l"}.get(command, command)
        return [(command, rows[0]), *((then, r) for r in rows[1:])]

    def _end(self, closed: bool) -> None:
        if self.spans:
            if closed and float(np.hypot(*(self.at - self.start))) > 1e-9:
                self.spans.append(cb.line(self.at, self.start))
            self.done.append((np.stack(self.spans), closed))
        self.spans = []

    def _to(self, *points: Array) -> None:
        if len(points) == 1:
            self.spans.append(cb.line(self.at, points[0]))
        else:
            self.spans.append(np.stack([self.at, *points]))
        self.at = points[-1]

    def _do(self, command: str, n: list[float]) -> None:
        kind = command.upper()
        base = self.at if command.islower() else np.zeros(2)
        pts = [base + np.array(n[i : i + 2]) for i in range(0, len(n) - 1, 2)]
        handle, self.handle = self.handle, None
        if kind == "M":
            self._end(False)
            self.at = self.start = pts[0]
        elif kind == "Z":
            self._end(True)
            self.at = self.start
        elif kind == "L":
            self._to(pts[0])
        elif kind == "H":
            self._to(np.array([base[0] + n[0], self.at[1]]))
        elif kind == "V":
            self._to(np.array([self.at[0], base[1] + n[0]]))
        elif kind in "CS":
            first = pts[0] if kind == "C" else self._mirrored(handle, "C")
            self.handle = ("C", pts[-2])
            self._to(first, pts[-2], pts[-1])
        elif kind in "QT":
            q = pts[0] if kind == "Q" else self._mirrored(handle, "Q")
            self.handle = ("Q", q)
            end = pts[-1]
            self._to(self.at + 2 / 3 * (q - self.at), end + 2 / 3 * (q - end), end)
        else:
            end = base + np.array(n[5:7])
            for span in arc(self.at, n[0], n[1], n[2], bool(n[3]), bool(n[4]), end):
                self._to(span[1], span[2], span[3])

    def _mirrored(self, handle: tuple[str, Array] | None, kind: str) -> Array:
        if handle is None or handle[0] != kind:
            return self.at
        return 2 * self.at - handle[1]


def arc(
    start: Array, rx: float, ry: float, turn: float, large: bool, sweep: bool, end: Array
) -> list[Array]:
    """Cubics (4, 2) of an elliptical arc between two points; radii too small are enlarged.

    ``turn`` in degrees turns the ellipse; ``large`` and ``sweep`` choose one of the four arcs.
    """
    rx, ry = abs(rx), abs(ry)
    if float(np.hypot(*(end - start))) < 1e-12:
        return []
    if rx < 1e-12 or ry < 1e-12:
        return [cb.line(start, end)]
    c, s = cos(radians(turn)), sin(radians(turn))
    half = (start - end) / 2
    x, y = c * half[0] + s * half[1], -s * half[0] + c * half[1]
    size = (x / rx) ** 2 + (y / ry) ** 2
    if size > 1.0:
        rx, ry = rx * sqrt(size), ry * sqrt(size)
    under = (rx * ry) ** 2 - (rx * y) ** 2 - (ry * x) ** 2
    root = sqrt(max(under, 0.0) / ((rx * y) ** 2 + (ry * x) ** 2))
    root = -root if large == sweep else root
    cx, cy = root * rx * y / ry, -root * ry * x / rx
    middle = (start + end) / 2 + np.array([c * cx - s * cy, s * cx + c * cy])
    a0 = _angle((x - cx) / rx, (y - cy) / ry)
    sweep_by = _angle((-x - cx) / rx, (-y - cy) / ry) - a0
    if sweep and sweep_by < 0:
        sweep_by += 2 * pi
    elif not sweep and sweep_by > 0:
        sweep_by -= 2 * pi
    n = max(1, ceil(abs(degrees(sweep_by)) / _STEP - 1e-9))
    pull = 4 / 3 * tan(sweep_by / n / 4)
    axes = np.array([[c * rx, s * rx], [-s * ry, c * ry]])

    def on(a: float) -> tuple[Array, Array]:
        return middle + np.array([cos(a), sin(a)]) @ axes, np.array([-sin(a), cos(a)]) @ axes

    spans = []
    for i in range(n):
        p, d = on(a0 + sweep_by * i / n)
        q, e = on(a0 + sweep_by * (i + 1) / n)
        spans.append(np.stack([p, p + pull * d, q - pull * e, q]))
    spans[0][0], spans[-1][3] = start, end
    return spans


def _angle(x: float, y: float) -> float:
    a = acos(max(-1.0, min(1.0, x / hypot(x, y))))
    return a if y >= 0 else -a
