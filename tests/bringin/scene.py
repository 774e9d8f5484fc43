"""A photograph made up: paper and a known square on a table, seen through a known perspective."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]

SIZE = (1700, 2100)
LINES = 4


def camera(aslant: float = 0.0, per_cm: float = 26.0, turn: float = 4.0) -> Array:
    """The matrix (3, 3) from cm on the table (y up) to pixels of the picture (y down).

    ``aslant`` is the perspective: how much nearer the far side looks smaller, per metre.
    """
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    flat = np.array(
        [[per_cm * c, -per_cm * s, 130.0], [-per_cm * s, -per_cm * c, 1930.0], [0, 0, 1]]
    )
    tilt = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [aslant / 200.0, aslant / 100.0, 1.0]])
    return np.asarray(flat @ tilt, dtype=np.float64)


def seen(matrix: Array, points: Array) -> Array:
    """Points (k, 2) cm as pixels."""
    p = np.concatenate([points, np.ones((len(points), 1))], axis=1) @ matrix.T
    return np.asarray(p[:, :2] / p[:, 2:])


def square(at: tuple[float, float], side: float = 10.0, turn: float = 0.0) -> Array:
    """The corners (4, 2) of a square lying at a place, cm."""
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    ring = np.array([[0, 0], [side, 0], [side, side], [0, side]]) @ np.array([[c, s], [-s, c]])
    return np.asarray(ring + np.array(at))


def photograph(
    path: Path,
    matrix: Array,
    shapes: list[tuple[Array, int]],
    ground: int = 60,
    grain: float = 3.0,
    seed: int = 5,
) -> Path:
    """Draw shapes (points in cm, level of grey) one over another, with the grain of a camera.

    A pixel is the mean of what covers it: exact along rows, of four lines down the pixel.
    """
    w, h = SIZE
    image = np.full((h, w), float(ground))
    left = np.arange(w) - 0.5
    for points, grey in shapes:
        ring = seen(matrix, points)
        x0, y0 = ring.T
        x1, y1 = np.roll(ring, -1, axis=0).T
        cover = np.zeros((h, w))
        for row in range(max(0, int(y0.min())), min(h, int(y0.max()) + 2)):
            for k in range(LINES):
                y = row - 0.5 + (k + 0.5) / LINES
                hit = (y0 <= y) != (y1 <= y)
                at = np.sort(x0[hit] + (y - y0[hit]) / (y1[hit] - y0[hit]) * (x1 - x0)[hit])
                for a, b in zip(at[::2], at[1::2], strict=True):
                    cover[row] += (np.clip(b - left, 0, 1) - np.clip(a - left, 0, 1)) / LINES
        image = image * (1.0 - cover) + grey * cover
    noise = np.random.default_rng(seed).normal(0.0, grain, image.shape)
    Image.fromarray(np.clip(image + noise, 0, 255).astype(np.uint8)).save(path)
    return path


def skirt_outline() -> Array:
    """A piece of which every edge is known, (k, 2) cm, anticlockwise.

    Hem 30 cm straight, side 40 cm straight up, waist a quarter arc of radius 8 hollowed out of
    the corner at (0, 40), centre 32 cm; the top between them 22 cm.
    """
    a = np.linspace(0.0, -np.pi / 2, 200)
    arc = np.stack([8.0 * np.cos(a), 40.0 + 8.0 * np.sin(a)], axis=1)
    return np.concatenate([[[0.0, 0.0], [30.0, 0.0], [30.0, 40.0]], arc])
