"""A hung garment, read: everything a cutter would look at, in one go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Hung, Pose, Rest
from pinwright.drape.reading.darts import Dart, darts
from pinwright.drape.reading.doubts import doubts
from pinwright.drape.reading.fold import Fold
from pinwright.drape.reading.folds import folds
from pinwright.drape.reading.gap import Girth, gaps, girths
from pinwright.drape.reading.levels import Grain, Level, Levels, Plumb, levels
from pinwright.drape.reading.named import named
from pinwright.drape.reading.places import Place, places
from pinwright.drape.reading.pressure import pressure
from pinwright.drape.reading.strain import Strain, at_vertices, strain
from pinwright.measures.units import LengthUnit

Json = dict[str, object]

FIGURE_LEVELS: Mapping[str, tuple[str, ...]] = {
    "bust": ("bust_point_left", "bust_point_right"),
    "waist": ("front_waist", "back_waist"),
    "hip": ("side_hip_left", "side_hip_right"),
    "knee": ("knee_left", "knee_right"),
}
"""Level -> the landmarks it is the mean height of."""

THIGH = 3.0
"""So far under the fork (cm) the thigh is taped, as the figure's is."""


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """All that is read of a garment at rest.

    strain: of each triangle. across, along: (n,) strain at the vertices; gap: (n,) cm from skin to
    cloth; pressure: (n,) kPa. figure_levels: heights of the figure's levels, cm.
    doubts: why it cannot be trusted, in words. unit: of the lengths in its sentences; numbers are
    in cm.
    """

    strain: Strain
    along: Array
    across: Array
    gap: Array
    pressure: Array
    places: tuple[Place, ...]
    girths: tuple[Girth, ...]
    levels: Levels
    folds: tuple[Fold, ...]
    figure_levels: Mapping[str, float]
    rest: Rest
    darts: tuple[Dart, ...] = ()
    doubts: tuple[str, ...] = ()
    unit: LengthUnit = "cm"
    pose: Pose = "standing"

    def at(self, name: str, side: str) -> Place:
        """A place by its name and side; KeyError where the garment has none such."""
        for p in self.places:
            if p.name == name and p.side == side:
                return p
        raise KeyError(f"no place {name} {side}")

    def as_json(self) -> Json:
        """The reading as plain data, without the values at vertices."""
        return {
            "places": [_place(p) for p in self.places],
            "girths": [_girth(g) for g in self.girths],
            "levels": {
                "hems": [_level(x) for x in self.levels.hems],
                "lines": [_level(x) for x in self.levels.lines],
                "seams": [_plumb(x) for x in self.levels.seams],
                "creases": [_plumb(x) for x in self.levels.creases],
                "grain": [_grain(x) for x in self.levels.grain],
            },
            "folds": [_fold(x, self.unit) for x in self.folds],
            "darts": [_dart(x) for x in self.darts],
            "doubts": list(self.doubts),
            "rest": {
                "residual": self.rest.residual,
                "seconds": self.rest.seconds,
                "steps": self.rest.steps,
                "stopped": self.rest.stopped,
                "card": self.rest.card,
            },
        }


def figure_levels(landmarks: Mapping[str, Array]) -> dict[str, float]:
    """The figure's levels that its landmarks (3,) tell, cm over the floor."""
    found = {
        level: float(sum(landmarks[k][2] for k in names)) / len(names)
        for level, names in FIGURE_LEVELS.items()
        if all(k in landmarks for k in names)
    }
    if "fork" in landmarks:
        found["thigh"] = float(landmarks["fork"][2]) - THIGH
    return found


def read(hung: Hung, landmarks: Mapping[str, Array], unit: LengthUnit = "cm") -> Reading:
    """Read a hung garment; landmarks: the figure's by name, (3,) cm, as in its ``marks.points``;
    unit: what its sentences are told in."""
    shell = hung.shell
    stretch = strain(hung)
    near = gaps(hung)
    press = pressure(hung)
    at = figure_levels(landmarks)
    along = at_vertices(stretch.along, shell.triangles, stretch.area, shell.n)
    across = at_vertices(stretch.across, shell.triangles, stretch.area, shell.n)
    return Reading(
        strain=stretch,
        along=along,
        across=across,
        gap=near.distance,
        pressure=press,
        places=places(hung, stretch, near.distance, press),
        girths=girths(hung, at),
        levels=levels(hung, stretch),
        folds=folds(hung, near, named(hung, landmarks), np.maximum(along, across)),
        figure_levels=at,
        rest=hung.rest,
        darts=darts(hung, landmarks),
        doubts=doubts(hung, stretch, near.distance, unit),
        unit=unit,
        pose=hung.pose,
    )


def _place(p: Place) -> Json:
    return {
        "place": p.title,
        "name": p.name,
        "side": p.side,
        "area": p.area,
        "strain_along": p.strain_along,
        "strain_along_peak": p.strain_along_peak,
        "strain_across": p.strain_across,
        "strain_across_peak": p.strain_across_peak,
        "shear": p.shear,
        "gap": p.gap,
        "gap_least": p.gap_least,
        "gap_most": p.gap_most,
        "pressure": p.pressure,
        "touched": p.touched,
    }


def _girth(g: Girth) -> Json:
    return {
        "place": g.place,
        "side": g.side,
        "level": g.level,
        "cloth": g.cloth,
        "taut": g.taut,
        "flat": g.flat,
        "body": g.body,
        "ease": g.ease,
        "open": g.open,
    }


def _level(x: Level) -> Json:
    return {
        "line": x.title,
        "name": x.name,
        "side": x.side,
        "heights": dict(x.heights),
        "lowest": x.lowest,
        "highest": x.highest,
        "within": x.within,
        "off_planned": dict(x.off),
    }


def _plumb(x: Plumb) -> Json:
    return {
        "line": x.title,
        "name": x.what,
        "side": x.side,
        "from": x.top,
        "off": dict(x.at),
        "says": {k: x.words[0] if v > 0.0 else x.words[1] for k, v in x.at.items()},
        "off_knee_middle": x.knee,
        "off_foot_middle": x.foot,
        "behind_leg_middle": x.beside,
        "room_forwards": x.forwards,
        "room_backwards": x.backwards,
    }


def _grain(x: Grain) -> Json:
    return {"line": x.what, "side": x.side, "sideways": x.sideways, "away": x.away}


def _dart(x: Dart) -> Json:
    return {"dart": x.name, "side": x.side, "beside_bust_point": x.beside, "short_of_it": x.short}


def _fold(x: Fold, unit: LengthUnit) -> Json:
    return {
        "says": x.says(unit),
        "kind": x.kind,
        "on": x.home,
        "view": x.view,
        "side": x.side,
        "way": x.way,
        "angle": x.angle,
        "length": x.length,
        "depth": x.depth,
        "from": x.ends[0].told(unit),
        "to": x.ends[1].told(unit),
        "points_to": list(x.aims),
        "line": x.line.tolist(),
    }
