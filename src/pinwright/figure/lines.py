"""The lines of the figure in space: where it is taped, level by level and over the surface, and
the plumb lines that hang beside it.

A line of kind ``level`` is the skin itself where a girth is taken, one of kind ``tape`` the taut
tape that is read (it bridges hollows), one of kind ``plumb`` hangs straight down and ends on the
floor. A tape goes by the name of its measure, with its side where it has one, and is exactly as
long as the figure measures there; see :mod:`pinwright.figure.tape`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from pinwright.figure.figure import Figure
from pinwright.figure.landmarks import MIDDLE, OFF_MIDDLE, SIDES, Landmarks
from pinwright.figure.tape.girths import (
    SIDE_LINES,
    arm_planes,
    leg_levels,
    neck_plane,
    neck_root,
    trunk_arcs,
    trunk_hulls,
)
from pinwright.figure.tape.lengths import (
    BACK,
    UP,
    bodice_tapes,
    crotch_tapes,
    shoulder_tapes,
    side_tapes,
)
from pinwright.figure.tape.parts import Skin, arm, leg, trunk
from pinwright.figure.tape.section import Array, Plane, Whole
from pinwright.figure.tape.taut import hull, nearest
from pinwright.measures.record import split_side

Kind = Literal["level", "tape", "plumb"]

ON = 1e-6
"""A point that is so near a section, cm, lies on it."""


ENDS: Mapping[str, tuple[str, ...]] = {
    "bust_girth": ("bust_point_left", "bust_point_right"),
    "under_bust_girth": ("under_bust_left", "under_bust_right"),
    "waist_girth": ("front_waist", "back_waist", "side_waist_left", "side_waist_right"),
    "neck_girth": ("larynx",),
    "neck_base_girth": (
        "back_neck_point",
        "front_neck_point",
        "side_neck_point_left",
        "side_neck_point_right",
    ),
    "elbow_girth": ("elbow",),
    "wrist_girth": ("wrist_bone",),
    "knee_girth": ("knee",),
    "cervical_height": ("back_neck_point",),
    "back_waist_length": ("back_neck_point", "back_waist"),
    "scye_depth": ("back_neck_point",),
    "front_neck_to_waist": ("front_neck_point", "front_waist"),
    "bust_point_width": ("bust_point_left", "bust_point_right"),
    "across_back_width": ("back_arm_break_left", "back_arm_break_right"),
    "across_front_width": ("front_arm_break_left", "front_arm_break_right"),
    "across_back_shoulder_width": (
        "shoulder_point_left",
        "back_neck_point",
        "shoulder_point_right",
    ),
    "side_neck_to_bust_point": ("side_neck_point", "bust_point"),
    "front_waist_length": ("side_neck_point", "bust_point"),
    "shoulder_length": ("side_neck_point", "shoulder_point"),
    "arm_length": ("shoulder_point", "elbow", "wrist_bone"),
    "back_neck_to_wrist": ("back_neck_point", "shoulder_point", "elbow", "wrist_bone"),
    "total_crotch_length": ("front_waist", "fork", "back_waist"),
    "front_crotch_length": ("front_waist", "fork"),
    "back_crotch_length": ("fork", "back_waist"),
    "inside_leg": ("fork",),
    "outside_leg": ("side_waist",),
    "waist_to_hip": ("side_waist",),
    "waist_to_knee": ("side_waist",),
}
"""Measure -> the landmarks its tape runs between or over; one of a side takes its side."""


@dataclass(frozen=True, slots=True, eq=False)
class Line3:
    """A line of the figure.

    points: (k, 3) cm; of a closed line the last is joined to the first. term: the measure it
    belongs to, without its side; empty for a plumb. ends: the landmarks it runs between or lies
    on, by their names in :class:`Landmarks`.
    """

    kind: Kind
    term: str
    closed: bool
    points: Array
    ends: tuple[str, ...] = ()

    @property
    def length(self) -> float:
        """How long it is, cm."""
        p = np.concatenate([self.points, self.points[:1]]) if self.closed else self.points
        return float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum())


def lines_of(figure: Figure) -> Mapping[str, Line3]:
    """The lines of a figure by name; see :func:`lines`."""
    return lines(figure.points, figure.faces, figure.marks, figure.worn_waist_drop)


def lines(
    points: Array, faces: Whole, marks: Landmarks, worn_waist_drop: float = 0.0
) -> Mapping[str, Line3]:
    """The lines of a closed surface (n, 3) with quads (f, 4) by name.

    Levels: ``bust, under_bust, upper_chest, waist, worn_waist, top_hip, hip, neck, neck_base``
    and, by side, ``thigh, mid_thigh, knee, calf, ankle, upper_arm, elbow, wrist``; those of an arm
    and of the neck are square to it. A level of the trunk that lies under the fork is two lines,
    ``_left`` and ``_right``. Where an arm or the other leg is joined to what is taped, the level
    is closed by a chord there.

    Tapes: by measure; ``_left`` and ``_right`` where there are two. ``shoulder_slope``,
    ``weight``, ``body_rise`` (taken seated), ``worn_waist_drop`` and ``heel_height`` have none.

    Plumbs, all hanging free of trunk and legs, from the top down: ``plumb_front`` from the front
    neck point, ``plumb_back`` from the back neck point; beside her, ``plumb_ankle`` past the outer
    ankle bone from the height of her crown, and ``plumb_waist`` from the waist, half way from its
    front to its back (common practice). Their last point is where they meet the floor.

    Raises:
        GeometryError: the surface is open, or a section is not what it should be.
    """
    skin = Skin.of(points, faces)
    hulls = trunk_hulls(skin, marks, worn_waist_drop)
    top = points[int(np.argmax(points[:, 2]))]
    fork = marks["fork"]
    tapes = {
        "height": np.stack([top, top * [1.0, 1.0, 0.0]]),
        **_arcs(marks, hulls),
        **bodice_tapes(skin, marks, hulls["waist"]),
        **crotch_tapes(skin, marks, hulls["waist"]),
    }
    halves = {}
    for side in SIDES:
        of_side = {**shoulder_tapes(skin, marks, side), **side_tapes(skin, marks, side)}
        halves[side] = of_side.pop("half_across_shoulders")
        of_side["inside_leg"] = np.stack([fork, fork * [1.0, 1.0, 0.0]])
        tapes |= {f"{term}_{side}": tape for term, tape in of_side.items()}
    tapes["across_back_shoulder_width"] = np.concatenate([halves["left"][::-1], halves["right"]])
    found = {name: _tape(name, tape) for name, tape in tapes.items()}
    for name, tape in hulls.items():
        z = marks.levels["waist"] - worn_waist_drop if name == "worn_waist" else marks.levels[name]
        plane = Plane.level(z)
        found.update(_level(name, skin, plane, trunk(skin, marks, z)))
        found[f"{name}_girth"] = _tape(f"{name}_girth", plane.space(tape), closed=True)
    plane = neck_plane(marks)
    found.update(_taken("neck", skin, plane, nearest(skin.limbs(plane), marks["larynx"]).flat))
    found["neck_base_girth"] = base = _tape("neck_base_girth", neck_root(skin), closed=True)
    found["neck_base"] = replace(base, kind="level")
    for side in SIDES:
        for name, plane in arm_planes(marks, side).items():
            found.update(_taken(name, skin, plane, arm(skin, marks, side, plane), side))
        for name, z in leg_levels(skin, marks, side).items():
            found.update(_taken(name, skin, Plane.level(z), leg(skin, marks, side, z), side))
    found.update(_plumbs(skin, marks, found))
    return found


def _tape(name: str, points: Array, closed: bool = False) -> Line3:
    """A tape (k, 3) under its name, each of its points once where they follow each other."""
    new = np.ones(len(points), dtype=bool)
    new[1:] = np.abs(np.diff(points, axis=0)).max(axis=1) > 0.0
    term, side = split_side(name)
    line = SIDE_LINES.get(term.split("_")[0], "") if term.endswith("_arc") else ""
    ends = (f"{line}_left", f"{line}_right") if line else ENDS.get(term, ())
    if side is not None:
        ends = tuple(e if e in MIDDLE else f"{e}_{side}" for e in ends)
    return Line3("tape", term, closed, points[new], ends)


def _arcs(marks: Landmarks, hulls: dict[str, Array]) -> dict[str, Array]:
    return {
        term: Plane.level(marks.levels[term.split("_")[0]]).space(arc)
        for term, arc in trunk_arcs(hulls, marks).items()
    }


def _taken(
    name: str, skin: Skin, plane: Plane, taken: Array, side: str = ""
) -> Iterator[tuple[str, Line3]]:
    """The level, and the tape round it, of what is taped in a plane."""
    tail = f"_{side}" if side else ""
    yield from _level(f"{name}{tail}", skin, plane, taken)
    tape = f"{name}_girth{tail}"
    yield tape, _tape(tape, plane.space(hull(taken)), closed=True)


def _level(name: str, skin: Skin, plane: Plane, taken: Array) -> Iterator[tuple[str, Line3]]:
    """The skin that a girth is taken of, points (k, 2) of the plane, as lines along its loops."""
    stretches = []
    points = shapely.points(taken)
    for loop in skin.cut(plane):
        ring = shapely.LinearRing(loop.flat)
        on = shapely.distance(ring, points) < ON
        if on.sum() > 2:
            order = np.argsort(shapely.line_locate_point(ring, points[on]), kind="stable")
            stretches.append(plane.space(taken[on][order]))
    term = f"{split_side(name)[0]}_girth"
    if len(stretches) == 1:
        yield name, Line3("level", term, True, stretches[0])
        return
    for stretch in stretches:
        side = "left" if stretch[:, 0].mean() > 0.0 else "right"
        yield f"{name}_{side}", Line3("level", term, True, stretch)


def _plumbs(
    skin: Skin, marks: Landmarks, found: Mapping[str, Line3]
) -> Iterator[tuple[str, Line3]]:
    waist = found["waist_girth"].points
    for part, sign in (("front", -1.0), ("back", 1.0)):
        start = marks[f"{part}_neck_point"]
        x = float(start[0])
        plane = Plane(np.array([x + OFF_MIDDLE, 0.0, 0.0]), BACK, UP)
        middle = nearest(skin.cut(plane), start).flat
        trunk_y = sign * middle[(middle[:, 1] <= start[2]) & (middle[:, 1] >= marks["fork"][2]), 0]
        y = sign * max(float(trunk_y.max()), sign * float(start[1]))
        yield f"plumb_{part}", _plumb(x, y, float(start[2]), (f"{part}_neck_point",))
    y = float(waist[:, 1].min() + waist[:, 1].max()) / 2.0
    shanks = skin.points[skin.points[:, 2] < marks.levels["fork"] / 2.0, 0]
    for side, sign in SIDES.items():
        bone = f"ankle_bone_{side}"
        outside = found[f"outside_leg_{side}"].points[:, 0]
        widest = (outside, waist[:, 0], found["hip_girth"].points[:, 0], shanks)
        x = sign * max(float((sign * part).max()) for part in widest)
        yield f"plumb_ankle_{side}", _plumb(x, float(marks[bone][1]), marks.levels["top"], (bone,))
        yield f"plumb_waist_{side}", _plumb(x, y, marks.levels["waist"], (f"side_waist_{side}",))


def _plumb(x: float, y: float, z: float, ends: tuple[str, ...]) -> Line3:
    return Line3("plumb", "", False, np.array([[x, y, z], [x, y, 0.0]]), ends)
