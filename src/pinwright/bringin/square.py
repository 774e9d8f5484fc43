"""The known square in a photograph: found, its sides drawn to less than a pixel, and judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import contourpy
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from pinwright.bringin.homography import applied, homography
from pinwright.errors import OrderError

Array = NDArray[np.float64]

LEAST_SIDE = 40.0
"""A square whose sides are shorter than this in the picture, pixels, is too small to measure by."""

STRAIGHT = 1.5
"""A side may leave its straight line by this, pixels, or the shape is no square."""

FLAT = 1.35
"""Opposite sides whose lengths in the picture are in a greater ratio: taken too much aslant."""

CLICK = 1.0
"""How far a corner pointed at by hand may be off, pixels."""


@dataclass(frozen=True, slots=True, eq=False)
class Calibration:
    """How a picture is measured.

    ``corners`` (4, 2) pixels, anticlockwise as seen, from the lower left; ``matrix`` (3, 3) takes
    pixels to cm, y up. ``opposite`` the two ratios of opposite sides in the picture (1: taken
    straight from above). ``residual`` is how far the square's drawn sides lie from the sides it
    should have, cm (root mean square), and ``corner_error`` what a corner may be out by, pixels.
    """

    side: float
    corners: Array
    matrix: Array
    opposite: tuple[float, float]
    residual: float
    corner_error: float
    found: bool

    def to_cm(self, pixels: Array) -> Array:
        """Picture points (..., 2) in cm on the table."""
        return applied(self.matrix, pixels)

    @property
    def per_cm(self) -> float:
        """Pixels to the cm at the square."""
        sides = np.roll(self.corners, -1, axis=0) - self.corners
        return float(np.hypot(*sides.T).mean()) / self.side

    def uncertainty(self, pixels: Array) -> float:
        """How much the greatest length of what is drawn (k, 2) pixels may be out, cm.

        Each corner's coordinate is moved by its error in turn; the changes of that length are
        added as squares (first order).
        """
        now = self.to_cm(pixels)
        ends = _furthest(now)
        length = float(np.hypot(*(now[ends[0]] - now[ends[1]])))
        total = 0.0
        for i in range(4):
            for axis in (0, 1):
                moved = self.corners.copy()
                moved[i, axis] += self.corner_error
                there = applied(homography(moved, _plane(self.side)), pixels[list(ends)])
                total += (float(np.hypot(*(there[0] - there[1]))) - length) ** 2
        return float(total**0.5)

    def sentences(self) -> tuple[str, ...]:
        """What a cutter should know of the calibration."""
        told = [
            f"Square of {self.side:g} cm {'found' if self.found else 'as given'}: "
            f"{self.per_cm:.1f} pixels to the cm; its drawn sides lie within "
            f"{self.residual:.3f} cm (root mean square) of straight sides."
        ]
        worst = max(self.opposite)
        if worst > 1.1:
            told.append(
                f"Opposite sides of the square differ by {100 * (worst - 1):.0f} % in the picture: "
                "it was taken aslant, which is reckoned out but costs exactness."
            )
        if self.per_cm < 10.0:
            told.append("Fewer than 10 pixels to the cm: photograph it larger.")
        return tuple(told)


def _plane(side: float) -> Array:
    return np.array([[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]])


def _furthest(pts: Array) -> tuple[int, int]:
    """Indices of two points far apart: the furthest from the middle, and the furthest from it."""
    a = int(np.argmax(((pts - pts.mean(axis=0)) ** 2).sum(axis=1)))
    b = int(np.argmax(((pts - pts[a]) ** 2).sum(axis=1)))
    return a, b


def calibrated(
    grey: Array, side: float, corners: Sequence[tuple[float, float]] | None = None
) -> Calibration:
    """Measure a picture (rows, columns) by the square in it, whose side is ``side`` cm.

    ``corners`` are its four corners in pixels (column, row), in any order round it; without them
    a dark square that touches no border is sought.

    Raises:
        OrderError: none or several found, too small, not four corners, or no square.
    """
    if not side > 0.0:
        raise OrderError(f"The square's side is {side:g} cm; it must be more than 0.")
    if corners is not None:
        if len(corners) != 4:
            raise OrderError(f"A square has four corners; {len(corners)} were given.")
        given = _round(np.array(corners, dtype=float))
        return _judged(given, side, 0.0, CLICK, False)
    squares = _squares(grey)
    if not squares:
        raise OrderError(
            "No dark square was found in the picture; lay one on the paper, away from its edges, "
            "or give its four corners in pixels."
        )
    if len(squares) > 1:
        at = "; ".join(f"({c[:, 0].mean():.0f}, {c[:, 1].mean():.0f})" for c, _ in squares)
        raise OrderError(
            f"{len(squares)} dark squares were found in the picture, about {at}; give the four "
            "corners of the right one in pixels."
        )
    found, contour = squares[0]
    straight = np.concatenate([_off(contour, found, i) for i in range(4)])
    scatter = float(np.sqrt((straight**2).mean()))
    # a corner is where two lines meet, each through many points; never believed under 0.05 pixel
    return _judged(found, side, scatter, max(0.05, scatter / 3.0), True)


def _judged(
    corners: Array, side: float, scatter: float, corner_error: float, found: bool
) -> Calibration:
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    if sides.min() < LEAST_SIDE:
        raise OrderError(
            f"The square's shortest side is {sides.min():.0f} pixels; {LEAST_SIDE:.0f} are needed "
            "to measure by it."
        )
    opposite = tuple(float(max(a / b, b / a)) for a, b in zip(sides[:2], sides[2:], strict=True))
    turns = _turns(corners)
    if turns.min() <= 0.1 or max(opposite) > FLAT:
        raise OrderError(
            f"The square's opposite sides are in the ratio {max(opposite):.2f} in the picture; it "
            f"may be up to {FLAT}. Take the picture from straight above, or give its corners anew."
        )
    matrix = homography(corners, _plane(side))
    per_cm = float(sides.mean()) / side
    return Calibration(
        side, corners, matrix, (opposite[0], opposite[1]), scatter / per_cm, corner_error, found
    )


def _turns(corners: Array) -> Array:
    """Sines of the turns at the corners; all positive for a convex ring the right way round."""
    ahead = np.roll(corners, -1, axis=0) - corners
    behind = corners - np.roll(corners, 1, axis=0)
    # rows run downwards, so the sign is the other one
    cross = -(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0])
    return np.asarray(cross / (np.hypot(*ahead.T) * np.hypot(*behind.T)))


def _round(corners: Array) -> Array:
    """Corners anticlockwise as seen, the lower left one first."""
    middle = corners.mean(axis=0)
    angle = np.arctan2(-(corners[:, 1] - middle[1]), corners[:, 0] - middle[0])
    ring = corners[np.argsort(angle)]
    first = int(np.argmax(ring[:, 1] - ring[:, 0]))
    return np.roll(ring, -first, axis=0)


def _squares(grey: Array) -> list[tuple[Array, Array]]:
    """Dark squares that touch no border: corners (4, 2) and contour (k, 2), pixels."""
    found: list[tuple[Array, Array]] = []
    low, high = np.percentile(grey, [0.5, 99.5])
    for share in (0.5, 0.35, 0.65, 0.2):
        level = low + share * (high - low)
        labels, n = ndimage.label(grey < level)
        for i, window in enumerate(ndimage.find_objects(labels), start=1):
            rows, columns = window[0], window[1]
            if rows.start == 0 or columns.start == 0:
                continue
            if rows.stop == grey.shape[0] or columns.stop == grey.shape[1]:
                continue
            if min(rows.stop - rows.start, columns.stop - columns.start) < LEAST_SIDE:
                continue
            square = _square(grey, labels == i, (rows, columns))
            if square is not None and not any(_same(square[0], c) for c, _ in found):
                found.append(square)
        if n and found:
            break
    return found


def _same(a: Array, b: Array) -> bool:
    return float(np.hypot(*(a.mean(axis=0) - b.mean(axis=0)))) < LEAST_SIDE / 2


def _square(
    grey: Array, inside: NDArray[np.bool_], window: tuple[slice, slice]
) -> tuple[Array, Array] | None:
    """The corners of a dark region that is a quadrilateral, or None."""
    pad = 6
    rows = slice(max(window[0].start - pad, 0), window[0].stop + pad)
    columns = slice(max(window[1].start - pad, 0), window[1].stop + pad)
    mask = ndimage.binary_fill_holes(inside[rows, columns])
    part = grey[rows, columns]
    core = ndimage.binary_erosion(mask, iterations=4)
    rim = ndimage.binary_dilation(mask, iterations=5) & ~ndimage.binary_dilation(mask, iterations=3)
    if not core.any() or not rim.any():
        return None
    dark, light = float(np.median(part[core])), float(np.median(part[rim]))
    if light - dark < 20.0:
        return None
    # what lies inside or well outside is levelled, so that one contour is left
    level = np.where(core, dark, np.where(ndimage.binary_dilation(mask, iterations=5), part, light))
    found = contourpy.contour_generator(z=level).lines((dark + light) / 2)
    lines = [np.asarray(line, dtype=np.float64) for line in found]
    if not lines:
        return None
    contour = max(lines, key=len) + np.array([columns.start, rows.start], dtype=np.float64)
    corners = _quadrilateral(contour)
    if corners is None:
        return None
    return _round(corners), contour


def _quadrilateral(contour: Array) -> Array | None:
    """Corners (4, 2) of a closed contour (k, 2) of four straight sides, or None."""
    middle = contour.mean(axis=0)
    a = contour[int(np.argmax(((contour - middle) ** 2).sum(axis=1)))]
    b = contour[int(np.argmax(((contour - a) ** 2).sum(axis=1)))]
    across = np.array([-(b - a)[1], (b - a)[0]])
    off = (contour - a) @ across
    corners = _round(np.stack([a, contour[int(off.argmax())], b, contour[int(off.argmin())]]))
    for _ in range(3):
        lines = []
        for i in range(4):
            p, q = corners[i], corners[(i + 1) % 4]
            near = _beside(contour, p, q)
            if len(near) < 10:
                return None
            centre = near.mean(axis=0)
            lines.append((centre, np.linalg.svd(near - centre, full_matrices=False)[2][0]))
        met = [_meet(*lines[i - 1], *lines[i]) for i in range(4)]
        if any(m is None for m in met):
            return None
        corners = np.stack([m for m in met if m is not None])
    worst = max(float(np.abs(_off(contour, corners, i)).max()) for i in range(4))
    size = float(np.hypot(*(np.roll(corners, -1, axis=0) - corners).T).min())
    # corners of the picture are rounded over a pixel or two: the contour must still reach them
    reach = max(float(np.hypot(*(contour - c).T).min()) for c in corners)
    if worst > STRAIGHT or size < LEAST_SIDE or reach > max(3.0, 0.03 * size):
        return None
    return corners


def _beside(contour: Array, p: Array, q: Array) -> Array:
    """The contour's points along the side from p to q, its ends left out."""
    way = q - p
    size = float(way @ way)
    if size < 1.0:
        return contour[:0]
    along = (contour - p) @ way / size
    off = np.abs((contour - p) @ np.array([-way[1], way[0]])) / size**0.5
    near = (along > 0.08) & (along < 0.92) & (off < max(3.0, 0.1 * size**0.5))
    return np.asarray(contour[near], dtype=np.float64)


def _off(contour: Array, corners: Array, i: int) -> Array:
    p, q = corners[i], corners[(i + 1) % 4]
    way = (q - p) / float(np.hypot(*(q - p)))
    return np.asarray((_beside(contour, p, q) - p) @ np.array([-way[1], way[0]]), dtype=np.float64)


def _meet(a: Array, u: Array, b: Array, v: Array) -> Array | None:
    det = float(u[0] * v[1] - u[1] * v[0])
    if abs(det) < 0.2:
        return None
    gap = b - a
    along = float(gap[0] * v[1] - gap[1] * v[0]) / det
    return np.asarray(a + along * u, dtype=np.float64)
