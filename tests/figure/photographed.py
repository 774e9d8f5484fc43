"""Photographs of known bodies, made by a pinhole camera written here by similar triangles.

It shares nothing with pinwright.figure.photographs.camera: it works in px with a focal length, the
lens stands anywhere, and the whole picture is turned for the roll.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import cos, radians, sin
from typing import Any

import numpy as np

from pinwright.figure.body.model import Array, body
from pinwright.figure.fitting import shape
from pinwright.figure.landmarks import vertices
from pinwright.figure.photographs.marks import Photograph
from pinwright.figure.photographs.places import View, names

SIZE = (1200, 1600)
FOCAL = 2800.0


def standing(**numbers: float) -> Array:
    """The mean body with some numbers of the fit set, by the names of shape.PARAMETERS."""
    found = shape.start()
    for name, value in numbers.items():
        found[shape.PARAMETERS.index(name)] = value
    return shape.surface(found)


class Lens:
    """A camera ``distance`` from the middle between the ankles, ``aside`` cm to the picture's right
    of her, its picture turned by ``roll`` degrees and its line of sight by ``pitch`` (down)."""

    def __init__(
        self,
        points: Array,
        view: View,
        distance: float = 350.0,
        lens: float = 100.0,
        aside: float = 0.0,
        roll: float = 0.0,
        pitch: float = 0.0,
        focal: float = FOCAL,
    ) -> None:
        at = vertices()
        ankles = (points[at["ankle_bone_left"]] + points[at["ankle_bone_right"]]) / 2.0
        x0, y0 = float(ankles[0]), float(ankles[1])
        self.view, self.distance, self.lens, self.roll, self.focal = (
            view,
            distance,
            lens,
            roll,
            focal,
        )
        self.floor = float(points[:, 2].min())
        self.pitch = pitch
        # where the lens stands, which way is right in the picture, and which way it looks
        self.at, self.right, self.ahead = {
            "front": ((x0 + aside, y0 - distance), (1.0, 0.0), (0.0, 1.0)),
            "back": ((x0 - aside, y0 + distance), (-1.0, 0.0), (0.0, -1.0)),
            "left": ((x0 + distance, y0 + aside), (0.0, 1.0), (-1.0, 0.0)),
            "right": ((x0 - distance, y0 - aside), (0.0, -1.0), (1.0, 0.0)),
        }[view]

    def px(self, points: Array) -> Array:
        """(n, 3) cm to (n, 2) px from the top left."""
        points = np.atleast_2d(points)
        from_lens = points[:, :2] - self.at
        right, deep = from_lens @ self.right, from_lens @ self.ahead
        high = points[:, 2] - self.floor - self.lens
        p = radians(self.pitch)
        deep, high = deep * cos(p) - high * sin(p), high * cos(p) + deep * sin(p)
        x, y = self.focal * right / deep, -self.focal * high / deep
        r = radians(self.roll)
        return np.stack(
            [
                SIZE[0] / 2.0 + x * cos(r) + y * sin(r),
                SIZE[1] / 2.0 - x * sin(r) + y * cos(r),
            ],
            axis=1,
        )


def heels(points: Array) -> Array:
    """The point of the floor half way between the heels' back edges."""
    low = points[points[:, 2] < points[:, 2].min() + 0.7]
    middle = float(points[:, 0].mean())
    both = [
        foot[np.argmax(foot[:, 1])] for foot in (low[low[:, 0] > middle], low[low[:, 0] < middle])
    ]
    x, y, _ = np.mean(both, axis=0)
    return np.array([x, y, points[:, 2].min()])


def trunk(points: Array) -> Array:
    """Vertices that are neither arm nor head."""
    b = body()
    keep = (b.arm("left") + b.arm("right") < 0.3) & (b.share("head") < 0.5)
    return points[keep]


def profile(points: Array, lens: Lens) -> dict[str, Array]:
    """Where the profile stands out, px, found in a picture that is not rolled."""
    at = {k: points[v] for k, v in vertices().items()}
    some = trunk(points)
    px = lens.px(some)
    back = 1.0 if lens.view == "left" else -1.0
    waist, fork = float(at["front_waist"][2]), float(at["fork"][2])
    out: dict[str, Array] = {}
    for name, low, high, way in (
        ("bust_front", at["under_bust_left"][2], at["armpit_left"][2], -1.0),
        ("abdomen_front", fork + 0.25 * (waist - fork), waist, -1.0),
        ("back_furthest", (waist + at["armpit_left"][2]) / 2, at["back_neck_point"][2] - 2, 1.0),
        ("seat_back", fork, waist, 1.0),
    ):
        inside = (some[:, 2] >= low) & (some[:, 2] <= high)
        out[name] = px[inside][np.argmax(way * back * px[inside, 0])]
    # the waist: both edges of the silhouette, row by row
    levels = float(at["back_waist"][2]) + np.arange(-8.0, 8.1, 0.5)
    rows = np.array(rim(points, lens, levels)).reshape(-1, 2, 2)
    behind = rows[:, 1] if back > 0.0 else rows[:, 0]
    out["waist_back"] = behind[np.argmin(back * behind[:, 0])]
    row = np.array(rim(points, lens, [waist]))
    out["waist_front"] = row[np.argmin(back * row[:, 0])]
    return out


def edges() -> Any:
    """Edges (e, 2) of all faces that are not of an arm."""
    b = body()
    arm = b.arm("left") + b.arm("right") >= 0.3
    f = b.faces[~arm[b.faces].any(axis=1)]
    return np.concatenate([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 3]], f[:, [3, 0]]])


def rim(points: Array, lens: Lens, heights: Iterable[float]) -> list[tuple[float, float]]:
    """Points on both sides of the silhouette, px, row by row of a picture that is not rolled.

    heights: about how high over the floor, cm, the rows lie.
    """
    px = lens.px(points)
    e = edges()
    a, c = px[e[:, 0]], px[e[:, 1]]
    found = []
    for z in heights:
        middle = points[:, :2].mean(axis=0)
        row = float(lens.px(np.array([[*middle, z]]))[0, 1])
        cut = (a[:, 1] < row) != (c[:, 1] < row)
        t = (row - a[cut, 1]) / (c[cut, 1] - a[cut, 1])
        x = a[cut, 0] + t * (c[cut, 0] - a[cut, 0])
        found += [(float(x.min()), row), (float(x.max()), row)]
    return found


def photographed(
    points: Array,
    view: View,
    *,
    noise: float = 0.0,
    whole: bool = True,
    seed: int = 0,
    number: int = 1,
    levels: Iterable[float] = (),
    left_out: Iterable[str] = (),
    height: float | None = None,
    floor_off: float = 0.0,
    **camera: Any,
) -> Photograph:
    """A photograph of a body (n, 3), marked to whole px, with noise (px, standard deviation)."""
    lens = Lens(points, view, **camera)
    px = lens.px(points)
    at = vertices()
    marks: dict[str, Array] = {name: px[at[name]] for name in names(view) if name in at}
    # upright in the picture is along the plumb line; the crown is what lies furthest up it
    plumb = lens.px(np.array([[*points[:, :2].mean(axis=0), z] for z in (180.0, 20.0)]))
    down = (plumb[1] - plumb[0]) / np.linalg.norm(plumb[1] - plumb[0])
    marks["crown"] = px[np.argmin(px @ down)]
    marks["floor"] = lens.px(heels(points))[0] + [0.0, floor_off]
    marks["plumb_top"], marks["plumb_bottom"] = plumb
    if view in ("left", "right") and lens.roll == 0.0:
        marks |= profile(points, lens)
    marks = {k: v for k, v in marks.items() if k not in tuple(left_out)}
    outline = rim(points, lens, levels)
    random = np.random.default_rng(seed)

    def put(p: Array | tuple[float, float]) -> tuple[float, float]:
        x, y = np.asarray(p) + (random.normal(0.0, noise, 2) if noise else 0.0)
        return (float(round(x)), float(round(y))) if whole else (float(x), float(y))

    return Photograph(
        view,
        SIZE,
        {k: put(p) for k, p in marks.items()},
        tuple(put(p) for p in outline),
        lens.distance,
        lens.lens,
        height,
        number,
    )


def height_of(points: Array) -> float:
    """From floor to crown, cm."""
    return float(np.ptp(points[:, 2]))


def changed(marks: Mapping[str, tuple[float, float]], **new: Any) -> dict[str, Any]:
    """Marks with some put elsewhere, or left out (None)."""
    found = {**marks, **new}
    return {k: v for k, v in found.items() if v is not None}
