"""Photographs of the client, marked by hand, checked; and where the marks lie on her, in cm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from math import hypot

import numpy as np

from pinwright.errors import FigureError
from pinwright.figure.body.model import Array
from pinwright.figure.photographs.camera import Camera, Scale, rolled, scale, tipped
from pinwright.figure.photographs.faults import crossed, faults
from pinwright.figure.photographs.places import ARMS, NEEDED, PLUMB, PROFILE, View, label, paired
from pinwright.measures.amounts import said, size
from pinwright.measures.units import LengthUnit

Px = tuple[float, float]

TIPPED = 3.0
"""From here on it is told that the camera was tipped, degrees."""

BY_TIP = 0.3
"""So much less sure are heights for each degree that the camera was tipped, cm: on a client 350 cm
away crown and floor are drawn larger and smaller than her middle (reckoned with a tipped pinhole:
0.28 cm, root mean square of all landmarks; across 0.05)."""

STOOD = 3.0
"""Her height in a photograph may differ from the measured one, or that of another, by this, cm."""

ALIKE = 5.0
"""A landmark is found at the same height in two photographs, give or take this, cm; more is a
wrong scale or a mark in the wrong place."""


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """A marked photograph; what does not hold together is refused.

    size: width and height, px. marks, outline: px from the picture's top left. distance: from the
    lens to the client's middle; lens: its height over the floor; height: from floor to crown as she
    stood, None where it is the measured one; all cm. number: which of the order's it is, from 1.

    Raises:
        FigureError: one sentence that names photograph, mark, value and what is allowed.
    """

    view: View
    size: tuple[int, int]
    marks: Mapping[str, Px]
    outline: tuple[Px, ...] = ()
    distance: float = 350.0
    lens: float = 100.0
    height: float | None = None
    number: int = 1
    roll: float = field(init=False)

    def __post_init__(self) -> None:
        for fault in faults(self):
            raise FigureError(f"{self.name}: {fault}")
        object.__setattr__(self, "roll", _roll(self))
        for fault in crossed(self):
            raise FigureError(f"{self.name}: {fault}")

    @property
    def name(self) -> str:
        """How it is named to a person: "Photograph 2 (back)"."""
        return f"Photograph {self.number} ({self.view})"

    def scale(self, height: float) -> Scale:
        """Its scale, for a client of this measured height, cm."""
        crown, floor = (np.array(self.marks[k]) for k in NEEDED)
        return scale(self.view, crown, floor, self.height or height, self.roll)


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """A mark on the client: where it lies across and up, cm, and how near it tells each.

    across: from the middle of the marked ankle bones, or from the floor's mark where ``origin`` is
    ``floor``; up: from the floor's mark. Both in the upright plane through her middle, as if the
    floor and the crown lay in it too. photograph: its number. camera: from where it is seen.
    """

    view: View
    name: str
    across: float
    up: float
    error: float
    error_up: float
    photograph: int
    origin: tuple[str, ...]
    camera: Camera

    def key(self, way: str) -> str:
        """How its ``across`` or ``up`` is named among readings."""
        return f"photo:{self.photograph}:{self.name}:{way}"


def spots(photo: Photograph, height: float, unit: LengthUnit = "cm") -> tuple[Spot, ...]:
    """Where the marks of a photograph lie on a client of this measured height, cm.

    unit: in which it is told.

    Raises:
        FigureError: her height in the photograph is far from the measured one.
    """
    _stood(photo, height, unit)
    rule = photo.scale(height)
    origin, across = _origin(photo, rule)
    camera = camera_of(photo, height)
    error_up = hypot(rule.error, BY_TIP * _tip(photo, height))
    found = []
    for name, px in photo.marks.items():
        if name in NEEDED or name in PLUMB:
            continue
        at = rule.placed(np.array([px]))[0]
        found.append(
            Spot(
                photo.view,
                name,
                float(at[0]) - across,
                float(at[1]),
                rule.error,
                error_up,
                photo.number,
                origin,
                camera,
            )
        )
    return tuple(found)


def all_spots(
    photos: Sequence[Photograph], height: float, unit: LengthUnit = "cm"
) -> tuple[Spot, ...]:
    """The spots of all photographs of one client; unit: in which it is told.

    Raises:
        FigureError: their scales contradict each other or the measured height.
    """
    _same_height(photos)
    found = [spots(photo, height, unit) for photo in photos]
    for one, other in combinations(range(len(photos)), 2):
        there = {s.name: s for s in found[other]}
        for s in found[one]:
            far = there.get(s.name)
            if far is not None and _same_depth(s, far) and abs(far.up - s.up) > ALIKE:
                raise FigureError(
                    f"{photos[other].name}: the {label(s.name)} is {said(far.up, unit)} over the "
                    f"floor, but {said(s.up, unit)} in photograph {photos[one].number} "
                    f"({s.view}); allowed is {size(ALIKE, unit)} apart: look at crown, floor and "
                    "height of both."
                )
    return tuple(s for some in found for s in some)


def checked(photos: Sequence[Photograph]) -> None:
    """Whether photographs go together as far as that can be told without the client's measures.

    Raises:
        FigureError: their heights give scales that contradict each other.
    """
    _same_height(photos)


def outline_of(photo: Photograph, height: float) -> Array:
    """The marked outline (m, 2), cm, across and up as those of :class:`Spot`."""
    rule = photo.scale(height)
    _, across = _origin(photo, rule)
    if not photo.outline:
        return np.zeros((0, 2))
    found: Array = rule.placed(np.array(photo.outline)) - [across, 0.0]
    return found


def camera_of(photo: Photograph, height: float) -> Camera:
    """From where a photograph was taken of a client of this measured height, cm."""
    rule = photo.scale(height)
    _, across = _origin(photo, rule)
    middle = rule.placed(np.array([photo.size]) / 2.0)[0]
    return Camera(photo.view, photo.distance, photo.lens, float(middle[0]) - across)


def origin_of(photo: Photograph) -> tuple[str, ...]:
    """The marks from whose middle ``across`` is measured."""
    sides = ("left", "right") if photo.view in ("front", "back") else (photo.view,)
    ankles = tuple(f"ankle_bone_{side}" for side in sides)
    return ankles if all(k in photo.marks for k in ankles) else ("floor",)


def cautions(photos: Sequence[Photograph], height: float) -> tuple[str, ...]:
    """What is doubtful and yet allowed, in a cutter's words; height: the measured one, cm."""
    said = []
    for photo in photos:
        tip = _tip(photo, height)
        if abs(tip) > TIPPED:
            way = "down" if tip > 0.0 else "up"
            said.append(
                f"{photo.name}: the camera looked {abs(tip):.0f} degrees {way}, or it was not "
                f"{photo.lens:g} cm high, or the picture was cut; widths near head and feet are "
                "less sure. Hold the camera level and do not cut the picture."
            )
        missing = [k for k in PLUMB if k not in photo.marks]
        if missing:
            said.append(
                f"{photo.name}: no plumb line is marked, so the camera is taken to have stood "
                "straight."
            )
    return tuple(said)


def _origin(photo: Photograph, rule: Scale) -> tuple[tuple[str, ...], float]:
    """The marks of :func:`origin_of`, and how far across from the floor's their middle lies, cm."""
    origin = origin_of(photo)
    at = rule.placed(np.array([photo.marks[k] for k in origin]))
    return origin, float(at[:, 0].mean())


def _roll(photo: Photograph) -> float:
    """How far the camera was rolled, radians; 0 where no plumb line is marked."""
    if not all(k in photo.marks for k in PLUMB):
        return 0.0
    top, bottom = (np.array(photo.marks[k], dtype=np.float64) for k in PLUMB)
    return rolled(top, bottom)


def _tip(photo: Photograph, height: float) -> float:
    """How far down the camera seems to have looked, degrees."""
    middle = photo.scale(height).placed(np.array([photo.size]) / 2.0)[0]
    return tipped(photo.distance, photo.lens, float(middle[1]))


def _same_depth(one: Spot, other: Spot) -> bool:
    """Whether a landmark is about as deep in the picture in both, so that it is as high in both."""
    name, side = paired(one.name)
    if name in ARMS or name in PROFILE:
        return False
    sides = ("left", "right")
    return not side or (one.view in sides) == (other.view in sides)


def _stood(photo: Photograph, height: float, unit: LengthUnit) -> None:
    if photo.height is not None and abs(photo.height - height) > STOOD:
        raise FigureError(
            f"{photo.name}: height {size(photo.height, unit)}, but the measured height is "
            f"{size(height, unit)}; allowed is {size(STOOD, unit)} apart: photograph her barefoot, "
            "or put the height right."
        )


def _same_height(photos: Sequence[Photograph]) -> None:
    given = [(p, p.height) for p in photos if p.height is not None]
    for (one, a), (other, b) in combinations(given, 2):
        if abs(a - b) > STOOD:
            raise FigureError(
                f"{other.name}: height {b:g} cm, but photograph {one.number} ({one.view}) has "
                f"{a:g} cm; allowed is {STOOD:g} cm apart: it is the scale of both."
            )
