"""Closed outlines out of loose chains of curves, and the corners they have."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pinwright.bringin.fit import TOLERANCE, bend, deviation, fitted, resampled
from pinwright.errors import GeometryError
from pinwright.geometry import curves
from pinwright.geometry.outline import self_crossing, signed_area
from pinwright.geometry.path import Path

Array = NDArray[np.float64]

CORNER = 20.0
"""Drawn lines that turn by more degrees than this make a corner."""

MEET = 0.02
"""Ends of lines nearer than this, cm, are one point."""

BRIDGED = 0.2
"""A gap up to this, cm, in an outline is drawn shut, and said."""

FINEST = 0.001
"""No outline is fitted again more nearly than this, cm."""

LEAST_AREA = 1.0
"""Closed lines round less than this, cm², are no pieces."""


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """A run of cubics (n, 4, 2), cm, as found in a file.

    ``label`` is its layer or class, ``group`` the block or group it is in, ``name`` its own.
    """

    ctrl: Array
    label: str = ""
    group: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A closed outline, anticlockwise, as paths from corner to corner, cm, y up.

    ``fit`` is how far the curves pass from what was sampled (0 where they were given as curves).
    ``label`` the layer or class it was drawn with, ``group`` its block, ``name`` its own; ``said``
    what stood written beside it ("key": "value"), ``grain`` (2, 2) and ``notches`` (k, 2).
    """

    paths: tuple[Path, ...]
    label: str = ""
    group: str = ""
    name: str = ""
    fit: float = 0.0
    said: dict[str, str] = field(default_factory=dict)
    grain: Array | None = None
    notches: Array | None = None

    @property
    def corners(self) -> Array:
        """The corners (k, 2) in order; corner i is where path i starts."""
        return np.stack([p.start for p in self.paths])

    @property
    def length(self) -> float:
        """All round, cm."""
        return float(sum(p.length for p in self.paths))

    @property
    def area(self) -> float:
        """Inside, cm²."""
        return signed_area(self.paths)


def closed_loops(chains: Sequence[Chain]) -> tuple[list[Chain], list[Chain], list[float]]:
    """Chains joined end to end within a group and label: (closed, still open, gaps bridged)."""
    closed: list[Chain] = []
    open_: list[Chain] = []
    bridged: list[float] = []
    groups: dict[tuple[str, str], list[Chain]] = {}
    for c in chains:
        ctrl = c.ctrl[np.abs(c.ctrl - c.ctrl[:, :1]).max(axis=(1, 2)) > 1e-9]
        if len(ctrl):
            groups.setdefault((c.group, c.label), []).append(replace(c, ctrl=ctrl))
    for loose in groups.values():
        for chain in _joined(loose):
            ctrl = chain.ctrl
            gap = float(np.hypot(*(ctrl[-1, 3] - ctrl[0, 0])))
            size = float(np.hypot(*np.diff(ctrl[:, 0], axis=0).T).sum()) if len(ctrl) > 1 else 0.0
            if gap > BRIDGED or (len(ctrl) < 2 and gap > 1e-9) or size < 5 * gap:
                open_.append(chain)
                continue
            if gap > MEET:
                bridged.append(gap)
                link = curves.polyline(np.stack([ctrl[-1, 3], ctrl[0, 0]]))
                ctrl = np.concatenate([ctrl, link])
            else:
                ctrl = ctrl.copy()
                ctrl[-1, 3] = ctrl[0, 0]
            closed.append(replace(chain, ctrl=ctrl))
    return closed, open_, bridged


def _joined(loose: list[Chain]) -> list[Chain]:
    """Chains strung together wherever an end meets another's end."""
    left = list(loose)
    done: list[Chain] = []
    while left:
        first = left.pop(0)
        ctrl, name = first.ctrl, first.name
        while not _near(ctrl[-1, 3], ctrl[0, 0]):
            for i, other in enumerate(left):
                more = _continued(ctrl, other.ctrl)
                if more is not None:
                    ctrl, name = more, name or other.name
                    left.pop(i)
                    break
            else:
                break
        done.append(replace(first, ctrl=ctrl, name=name))
    return done


def _continued(ctrl: Array, other: Array) -> Array | None:
    """A chain with another at its end or its start, whichever meets; None when neither does."""
    for more in (other, other[::-1, ::-1]):
        if _near(ctrl[-1, 3], more[0, 0]):
            return np.concatenate([ctrl, more])
        if _near(ctrl[0, 0], more[-1, 3]):
            return np.concatenate([more, ctrl])
    return None


def _near(a: Array, b: Array) -> bool:
    return float(np.hypot(*(a - b))) <= MEET


def from_curves(
    chain: Chain, tolerance: float = TOLERANCE, corner: float = CORNER, where: str = "The outline"
) -> Outline:
    """The outline of a closed chain of curves, its corners found where its direction breaks.

    Curves are kept as they are; runs of short straight lines are fitted within ``tolerance`` cm,
    and nearer where the fitted curves would cross though the lines do not.

    Raises:
        GeometryError: it crosses itself.
    """
    ctrl = _anticlockwise(chain.ctrl)
    breaks = _breaks(ctrl, corner)
    if not breaks:
        breaks = [0]
    ctrl = np.concatenate([ctrl[breaks[0] :], ctrl[: breaks[0]]])
    cuts = [b - breaks[0] for b in breaks] + [len(ctrl)]
    paths, worst = [], 0.0
    for a, b in pairwise(cuts):
        section = ctrl[a:b]
        if len(section) > 1 and _all_straight(section):
            points = np.concatenate([section[:, 0], section[-1:, 3]])
            path = fitted(points, tolerance)
            worst = max(worst, deviation(path, resampled(points, 0.5)))
        else:
            path = Path(_healed(section))
        paths.append(path)
    outline = Outline(tuple(paths), chain.label, chain.group, chain.name, worst)
    if tolerance > FINEST and self_crossing(paths) and not self_crossing([Path(ctrl)]):
        # two fitted curves crossed where the drawn lines do not, in a thin tip: fitted nearer
        return from_curves(chain, tolerance / 2.0, corner, where)
    return sound(_numbered(outline), where)


def sound(outline: Outline, where: str) -> Outline:
    """The outline itself, if it does not cross itself.

    Raises:
        GeometryError: with the place.
    """
    found = self_crossing(outline.paths)
    if found:
        x, y = found[0].tolist()
        raise GeometryError(
            f"{where} crosses itself at ({x:.1f}, {y:.1f}) cm, so it is no piece; mend it there."
        )
    return outline


def _healed(section: Array) -> Array:
    """A chain whose ends within it meet exactly."""
    out = section.copy()
    out[1:, 0] = out[:-1, 3]
    return out


def _anticlockwise(ctrl: Array) -> Array:
    ctrl = _healed(ctrl)
    ctrl[-1, 3] = ctrl[0, 0]
    return ctrl if signed_area([Path(ctrl)]) > 0 else ctrl[::-1, ::-1].copy()


def _breaks(ctrl: Array, corner: float) -> list[int]:
    """Spans before which the direction of travel turns by more than ``corner`` degrees."""
    found = []
    for i in range(len(ctrl)):
        t0, t1 = curves.direction(ctrl[i - 1], 1.0), curves.direction(ctrl[i], 0.0)
        turn = np.degrees(np.arctan2(t0[0] * t1[1] - t0[1] * t1[0], t0 @ t1))
        if abs(turn) > corner:
            found.append(i)
    return found


def _all_straight(section: Array) -> bool:
    chord = section[:, 3] - section[:, 0]
    thirds = section[:, :1] + chord[:, None] * np.array([1 / 3, 2 / 3])[None, :, None]
    return bool(np.abs(section[:, 1:3] - thirds).max() < 1e-6)


def _numbered(outline: Outline) -> Outline:
    """The corner nearest to the lower left of the box comes first."""
    at = outline.corners
    low = at.min(axis=0)
    first = int(np.argmin(((at - low) ** 2).sum(axis=1)))
    return replace(outline, paths=outline.paths[first:] + outline.paths[:first])


def from_samples(
    ring: Array,
    tolerance: float = TOLERANCE,
    corner: float = 25.0,
    arm: float = 0.8,
    where: str = "The outline",
) -> Outline:
    """The outline of a closed run of sampled points (m, 2), as a photograph gives.

    Corners are where the directions over ``arm`` cm before and after differ by more than
    ``corner`` degrees; each is put where the runs beside it, prolonged, meet, since a photograph
    rounds it.

    Raises:
        GeometryError: it crosses itself, or has no area.
    """
    ring = ring[:-1] if np.allclose(ring[0], ring[-1]) else ring
    x, y = ring.T
    area = 0.5 * float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())
    if abs(area) < LEAST_AREA:
        raise GeometryError(f"{where} encloses {abs(area):.2f} cm²; that is no piece.")
    ring = ring if area > 0 else ring[::-1]
    step = 0.1
    pts = resampled(np.concatenate([ring, ring[:1]]), step)[:-1]
    at = _sampled_corners(pts, corner, round(arm / step))
    if not at:
        at = [int(np.argmin(((pts - pts.min(axis=0)) ** 2).sum(axis=1)))]
        tips = [pts[at[0]]]
    else:
        tips = [_tip(pts, i, step) for i in at]
    paths, worst = [], 0.0
    trim = round(0.3 / step) if len(at) > 1 else 0
    for k, i in enumerate(at):
        j = at[(k + 1) % len(at)]
        stop = j if j > i else j + len(pts)
        inner = _smoothed(pts[np.arange(i + trim, stop - trim + 1) % len(pts)])
        run = np.concatenate([tips[k][None], inner, tips[(k + 1) % len(at)][None]])
        path = fitted(run, tolerance)
        worst = max(worst, deviation(path, inner[::3]))
        paths.append(path)
    return sound(_numbered(Outline(tuple(paths), fit=worst)), where)


def _smoothed(run: Array) -> Array:
    """Each point the mean of itself and two at either side: the grain of the picture goes.

    A curve of radius 3 cm sampled at 0.1 cm moves by 0.003 cm.
    """
    if len(run) < 7:
        return run
    out = run.copy()
    out[2:-2] = (run[:-4] + run[1:-3] + run[2:-2] + run[3:-1] + run[4:]) / 5.0
    return out


def _sampled_corners(pts: Array, corner: float, arm: int) -> list[int]:
    ahead = np.roll(pts, -arm, axis=0) - pts
    behind = pts - np.roll(pts, arm, axis=0)
    cross = behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0]
    turn = np.abs(np.degrees(np.arctan2(cross, (behind * ahead).sum(axis=1))))
    found: list[int] = []
    for i in np.flatnonzero(turn > corner).tolist():
        window = turn[np.arange(i - arm, i + arm + 1) % len(pts)]
        if turn[i] >= window.max() and not any(
            min(abs(i - k), len(pts) - abs(i - k)) <= arm for k in found
        ):
            found.append(i)
    return found


def _tip(pts: Array, i: int, step: float) -> Array:
    """Where the runs before and after a corner meet when prolonged; (2,)."""
    found = []
    for way in (-1, 1):
        k = way * np.arange(round(0.3 / step), round(2.0 / step) + 1)
        run = pts[(i + k) % len(pts)]
        if bend(run)[0] < 0.02:
            run = run[: round(1.1 / step)]
            middle = run.mean(axis=0)
            found.append((middle, np.linalg.svd(run - middle, full_matrices=False)[2][0]))
        else:
            # a curved run is prolonged as the parabola it is near, by its tangent at the corner
            fits = [np.polyfit(k, run[:, axis], 2) for axis in (0, 1)]
            tangent = np.array([f[1] for f in fits])
            found.append((np.array([f[2] for f in fits]), tangent / float(np.hypot(*tangent))))
    (a, u), (b, v) = found
    cross = float(u[0] * v[1] - u[1] * v[0])
    if abs(cross) < 0.05:
        return np.asarray(pts[i])
    gap = b - a
    tip = a + float(gap[0] * v[1] - gap[1] * v[0]) / cross * u
    return np.asarray(tip if float(np.hypot(*(tip - pts[i]))) < 0.5 else pts[i])
