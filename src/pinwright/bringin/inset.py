"""The net line inside a cut line: each edge moved in by its own allowance, corners met again."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from pinwright.bringin.fit import fitted
from pinwright.errors import GeometryError
from pinwright.geometry.path import Path

Array = NDArray[np.float64]

SMOOTH = 1.0
"""Neighbours that turn by less than this, degrees, run into each other."""

FITTED = 0.02
"""Parallels that are drawn by points are fitted within this, cm."""


def inset(paths: Sequence[Path], distances: Sequence[float], where: str) -> list[Path]:
    """The paths of a closed anticlockwise outline, each moved in by its distance (cm, 0 or more).

    Neighbours are cut where they cross, or run on straight until they do; parallels are within
    0.005 cm, or 0.02 cm where an edge has a kink. The cut line's own corners are taken as plainly
    mitred: what a hem's mirrored corner adds must lie inside an edge.

    Raises:
        GeometryError: a negative distance, or two neighbours that no longer meet.
    """
    if not all(np.isfinite(d) and d >= 0.0 for d in distances):
        raise GeometryError(f"{where}: allowances must be 0 cm or more, not {list(distances)}.")
    moved = [_parallel(p, d, where) for p, d in zip(paths, distances, strict=True)]
    n = len(moved)
    if n == 1:
        return moved
    cuts: list[tuple[float, float]] = []
    reach = 4.0 * max(distances) + 1.0
    longer = [p.extended(reach, reach) for p in moved]
    for i in range(n):
        j = (i + 1) % n
        turn = _turn(paths[i], paths[j])
        if abs(turn) < SMOOTH and abs(distances[i] - distances[j]) < 1e-9:
            cuts.append((longer[i].length - reach, reach))
            continue
        at = _corner(longer[i], longer[j], paths[i].end, distances[i] + distances[j])
        if at is None:
            raise GeometryError(
                f"{where}: moved in by {distances[i]:g} and {distances[j]:g} cm, two edges no "
                "longer meet at their corner; give smaller allowances."
            )
        cuts.append(at)
    found = []
    for i, path in enumerate(longer):
        start, end = cuts[i - 1][1], cuts[i][0]
        if end - start < 0.05:
            raise GeometryError(
                f"{where}: nothing is left of an edge that was {paths[i].length:.1f} cm long once "
                f"the allowances are taken off."
            )
        found.append(path.between(max(start, 0.0), min(end, path.length)))
    out = []
    for i, path in enumerate(found):
        ctrl = path.ctrl.copy()
        ctrl[0, 0] = found[i - 1].end
        out.append(Path(ctrl))
    return out


def _parallel(path: Path, d: float, where: str) -> Path:
    """A path moved to its left; where it bends too sharply for that, by its points."""
    if d == 0.0:
        return path
    try:
        return path.offset(d, "mitre", 0.005)
    except GeometryError:
        # a kink near the end of a cut line, as a hem's mirrored corner makes
        line = shapely.LineString(path.flatten(0.002))
        moved = line.offset_curve(d, join_style="mitre", mitre_limit=2.0)
        parts = [g for g in getattr(moved, "geoms", [moved]) if g.length > 0.1]
        if not parts:
            raise GeometryError(
                f"{where}: an edge bends so sharply that no line lies {d:g} cm inside it."
            ) from None
        return fitted(np.array(max(parts, key=lambda g: g.length).coords), FITTED)


def _corner(a: Path, b: Path, corner: Array, near: float) -> tuple[float, float] | None:
    """Distances along two lengthened paths where they meet nearest to the old corner."""
    found = []
    for s, t in a.intersections(b):
        away = float(np.hypot(*(a.at(s) - corner)))
        found.append((away, s, t))
    if not found:
        return None
    away, s, t = min(found)
    return (s, t) if away <= max(10.0 * near, 1e-4) else None


def _turn(a: Path, b: Path) -> float:
    t, u = a.end_tangent, b.start_tangent
    return float(np.degrees(np.arctan2(t[0] * u[1] - t[1] * u[0], t @ u)))
