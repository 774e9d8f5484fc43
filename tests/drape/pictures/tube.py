"""Cloth whose every value is known: a tube round an upright cylinder, cut narrower on one side.

The body is a cylinder of radius 10 cm, 160 cm high, round the axis; the cloth one of radius 12 from
40 to 100 cm, welded along its back. It hangs as it was cut but for her left half, which was cut so
much narrower that it is stretched by 6 %.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Array, Hung, Panel, Rest, Shell, Surface, Whole
from pinwright.drape.pictures.shown import FoldLine, Shown, Spot

AROUND, UP = 96, 61
BODY, CLOTH = 10.0, 12.0
LOW, HIGH = 40.0, 100.0
TIGHT = 0.06


def grid(around: int, up: int, closed: bool) -> Whole:
    """Triangles of a tube, anticlockwise from outside; columns to her left, rows upwards."""
    columns = around if closed else around + 1
    at = np.arange(columns * up).reshape(up, columns)
    right = np.roll(at, -1, axis=1)
    last = columns if closed else columns - 1
    a, b, c, d = at[:-1, :last], right[:-1, :last], at[1:, :last], right[1:, :last]
    both = [np.stack(x, axis=-1).reshape(-1, 3) for x in ((a, b, d), (a, d, c))]
    return np.concatenate(both)


def round_(radius: float, heights: Array, around: int) -> Array:
    """Points of a tube from the back round her right, her front and her left."""
    t = np.linspace(-np.pi, np.pi, around, endpoint=False)
    t, z = np.broadcast_arrays(t[None], heights[:, None])
    points: Array = np.stack([radius * np.sin(t), -radius * np.cos(t), z], axis=-1).reshape(-1, 3)
    return points


def body() -> Surface:
    """The cylinder with its lids."""
    heights = np.linspace(0.0, 160.0, 41)
    points = round_(BODY, heights, AROUND)
    n = len(points)
    lids = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 160.0]])
    low = np.arange(AROUND)
    high = n - AROUND + low
    bottom = np.stack([np.roll(low, -1), low, np.full(AROUND, n)], axis=1)
    top = np.stack([high, np.roll(high, -1), np.full(AROUND, n + 1)], axis=1)
    return Surface(
        np.concatenate([points, lids]),
        np.concatenate([grid(AROUND, 41, True), bottom, top]),
    )


@cache
def hung(touch: float = 0.0) -> Hung:
    """The tube at rest; touch: dyn on every vertex."""
    heights = np.linspace(LOW, HIGH, UP)
    t = np.linspace(-np.pi, np.pi, AROUND + 1)
    # straight from vertex to vertex the tube is a little less round
    step = 2.0 * CLOTH * np.sin(np.pi / AROUND)
    wide = np.where(t[:-1] >= -1e-9, step / (1.0 + TIGHT), step)
    x = np.concatenate([[0.0], np.cumsum(wide)])
    flat = np.stack(np.broadcast_arrays(x[None], heights[:, None] - LOW), axis=-1).reshape(-1, 2)
    triangles = grid(AROUND, UP, False)
    columns = np.arange(AROUND + 1)
    vertices = (np.arange(UP)[:, None] * AROUND + columns % AROUND).ravel()
    panel = Panel(
        "front",
        "right",
        "front",
        flat,
        triangles,
        {"hem": (columns,)},
        {},
        {},
        {"hip": np.arange(AROUND + 1) + 40 * (AROUND + 1)},
        np.array([0.0, 1.0]),
    )
    shell = Shell(
        AROUND * UP,
        (panel,),
        (vertices,),
        vertices[triangles],
        flat[triangles],
        np.zeros(len(triangles), dtype=np.int64),
        {"back": np.arange(UP) * AROUND},
        ("the waistband's facing", "the zip"),
    )
    return Hung(
        shell,
        round_(CLOTH, heights, AROUND),
        body(),
        "standing",
        np.full(AROUND * UP, touch),
        0.1,
        Rest(0.0042, 210, 3.2),
        "test cloth",
        ("The hem was not folded.",),
    )


def vertex(degrees: float, z: float) -> int:
    """The vertex that lies so far round to her left from the front, so high."""
    column = round((degrees + 180.0) / 360.0 * AROUND) % AROUND
    return round((z - LOW) / (HIGH - LOW) * (UP - 1)) * AROUND + column


def line(degrees: float, low: float, high: float) -> Array:
    """A straight line up the cloth."""
    z = np.linspace(low, high, 21)
    t = np.radians(degrees)
    return np.stack([np.full(21, CLOTH * np.sin(t)), np.full(21, -CLOTH * np.cos(t)), z], axis=1)


def fields() -> dict[str, Array]:
    """Strain across at her left and a little at the hem in front, none along, the gap rising from
    0 at the hem to 6 cm, pressure 0."""
    points = hung().points
    n = len(points)
    across = np.where(points[:, 0] > 1e-9, TIGHT, 0.0)
    across[vertex(0.0, 40.0)] = 0.012
    return {
        "strain across": across,
        "strain along": np.zeros(n),
        "gap": (points[:, 2] - LOW) / (HIGH - LOW) * 6.0,
        "pressure": np.zeros(n),
    }


def shown(**changed: Array) -> Shown:
    """The tube with places, two folds, levels and plumbs."""
    left = np.array([vertex(90.0, z) for z in (60.0, 70.0, 80.0)])
    right = np.array([vertex(-90.0, z) for z in (60.0, 70.0, 80.0)])
    spots = (
        Spot("side, right", right, 0.0, 0.002, 3.0, 0.0),
        Spot("side, left", left, TIGHT, -0.001, 3.0, 0.42),
        Spot("hem, centre front", np.array([vertex(0.0, 40.0)]), 0.012, 0.0, 0.0, 0.0),
    )
    folds = (
        FoldLine(line(0.0, 50.0, 70.0), 20.0, 1.6, "vertical fold on the front"),
        FoldLine(line(180.0, 90.0, 60.0), 30.0, 0.8, "vertical fold on the back"),
    )
    some = {**fields(), **{k.replace("_", " "): v for k, v in changed.items()}}
    return Shown(
        "skirt",
        hung(),
        some,  # type: ignore[arg-type]
        spots,
        folds,
        (("hem, over the floor", "40.0 cm"), ("side seam, left", "plumb")),
        (("waist", 105.0), ("hip", 85.0)),
        {"front": (0.0, 160.0), "left": (1.0, 140.0)},
    )


def luminance(colours: NDArray[np.uint8]) -> Array:
    """Relative luminance of sRGB (n, 3): IEC 61966-2-1, and the weights of Rec. ITU-R BT.709."""
    part = colours / 255.0
    light = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    found: Array = light @ np.array([0.2126, 0.7152, 0.0722])
    return found
