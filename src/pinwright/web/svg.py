"""SVG by plain functions: where a piece lies on a drawing, and its lines as path data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinwright.geometry.path import Path
from pinwright.pattern.piece import Array, Piece
from pinwright.sheets.moved import short_title
from pinwright.sheets.notches import NotchMark


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A piece as it is shown: as it is now, as it was, and its cloth.

    ``side`` is "both" while right and left are alike. ``before`` is None when nothing moved.
    ``cut`` is the edge of the cloth, closed (m, 2) cm: as cut, or as it will be cut. ``mirror``
    draws it as the other hand.
    """

    piece: Piece
    side: str
    count: str
    cut: Array
    is_cut: bool
    notches: tuple[NotchMark, ...] = ()
    before: Piece | None = None
    mirror: bool = False

    @property
    def key(self) -> str:
        """Side and piece, unique in a garment."""
        return f"{self.side}-{self.piece.name}"

    @property
    def title(self) -> str:
        """The piece's name, with its side when the sides differ."""
        name = short_title(self.piece.title)
        name = name[:1].upper() + name[1:]
        return name if self.side == "both" else f"{name}, {self.side}"


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a piece lies on the drawing: drawn x = x + (−) piece x, drawn y = y − piece y."""

    x: float = 0.0
    y: float = 0.0
    mirror: bool = False

    def apply(self, points: Array) -> Array:
        """Points (..., 2) of the piece on the drawing."""
        flip = -1.0 if self.mirror else 1.0
        return np.stack([self.x + flip * points[..., 0], self.y - points[..., 1]], axis=-1)


def number(value: float, places: int = 4) -> str:
    """A number as short as it can be at ``places`` decimals."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _pair(p: Array, places: int) -> str:
    return f"{number(float(p[0]), places)} {number(float(p[1]), places)}"


def _is_line(c: Array) -> bool:
    chord = c[3] - c[0]
    return bool(np.abs(c[1:3] - (c[0] + np.outer([1 / 3, 2 / 3], chord))).max() < 1e-9)


def path_data(paths: Path | Sequence[Path], placing: Placing, places: int = 4) -> str:
    """SVG path data of one path or a chain of them: M, then C for curves and L for straights.

    Paths that follow on from each other are drawn in one stroke.
    """
    out: list[str] = []
    last: Array | None = None
    for path in [paths] if isinstance(paths, Path) else paths:
        drawn = placing.apply(path.ctrl)
        if last is None or float(np.abs(last - path.start).max()) > 1e-6:
            out.append("M" + _pair(drawn[0, 0], places))
        for raw, c in zip(path.ctrl, drawn, strict=True):
            if _is_line(raw):
                out.append("L" + _pair(c[3], places))
            else:
                out.append("C" + " ".join(_pair(p, places) for p in c[1:]))
        last = path.end
    return "".join(out)


def points_data(points: Array, placing: Placing, closed: bool = False, places: int = 2) -> str:
    """SVG path data of a polyline (m, 2)."""
    drawn = placing.apply(points)
    return "M" + "L".join(_pair(p, places) for p in drawn) + ("Z" if closed else "")


def bounds(piece: Piece, cut: Array) -> tuple[float, float, float, float]:
    """(x min, y min, x max, y max) of a piece with its cloth, cm."""
    runs = [run.bounds for e in piece.edges for run in e.runs]
    low = np.minimum(cut.min(axis=0), np.min([b[:2] for b in runs], axis=0))
    high = np.maximum(cut.max(axis=0), np.max([b[2:] for b in runs], axis=0))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
