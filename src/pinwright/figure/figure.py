"""The client's figure: the surface that measures what her record says, and what it cannot.

The open body is fitted to the record, what is left is taken away by a small smooth field, and the
result is measured with a tape of its own (:mod:`pinwright.figure.tape`). What the tape then says is
what is told: where it and the record differ, the measures that cannot hold together are named
(:mod:`pinwright.figure.remarks`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import radians, tan

import numpy as np

from pinwright.errors import FigureError
from pinwright.figure.body.model import Array, Whole, body
from pinwright.figure.crossing import Crossing, crossing, parts
from pinwright.figure.fitting import shape
from pinwright.figure.fitting.correction import corrected
from pinwright.figure.fitting.reader import Surface
from pinwright.figure.fitting.readings import by_tape, readings
from pinwright.figure.fitting.solve import fitted
from pinwright.figure.fitting.wanted import LIMBS, Wanted, keys_of, wanted
from pinwright.figure.landmarks import Landmarks, landmarks
from pinwright.figure.photographs.marks import Photograph, all_spots, cautions
from pinwright.figure.photographs.rows import asked, misplaced
from pinwright.figure.photographs.rows import readings as read_spots
from pinwright.figure.photographs.silhouette import Agreement, agreement
from pinwright.figure.posture import Posture
from pinwright.figure.remarks import (
    at_the_end,
    contradictions,
    drawn_far,
    settled_against,
    wrong_marks,
)
from pinwright.figure.tape.tape import taped
from pinwright.measures import TERMS
from pinwright.measures.estimate import Body
from pinwright.measures.record import split_side
from pinwright.measures.units import LengthUnit

UNUSUAL = 4.0
"""So many times less is an estimate trusted once a posture was settled by eye or photographed."""

TELLING = 8
"""So many values must photographs tell, before the estimates give way to them."""

SLIP = 2.4
"""So far (cm) at most a quick reading of a taped measure is taken to lie beside the tape; of one
that was not taped a quarter of it: it is not worth bending the surface for."""

SETTLED: Mapping[str, float] = {"knee_left": 0.0, "knee_right": 0.0}
"""What no measure tells stays as it is on the mean body."""

ENOUGH = 0.05
"""Where every taped measure is off by less (cm), by tape, no more is done."""

Tell = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Measured:
    """One measure: the record's value and the figure's, by tape, in the term's unit.

    residual: figure less record, mm; of an angle the rise it makes over the shoulder's length; None
    of weight. given: it was taped; else the record estimated it, give or take ``error``.
    """

    name: str
    record: float
    figure: float
    residual: float | None
    given: bool
    error: float

    @property
    def label(self) -> str:
        """The measure as a person reads it, with its side."""
        term, side = split_side(self.name)
        return f"{TERMS[term].label} {side}" if side else TERMS[term].label


@dataclass(frozen=True, slots=True, eq=False)
class Figure:
    """The client's body in three dimensions.

    points: (n, 3) cm, x to her left, y to her back, z up from the floor. faces: (f, 4) vertices.
    posture: what was fitted or chosen. moved: how far the surface lies beyond what the open body
    reaches, at the most, cm. worn_waist_drop: how far under the waist the trousers are worn, cm.
    agreements: with the outlines marked on photographs; doubts: of these, in words. crossed: where
    the surface passes through itself, where that was looked for.
    """

    points: Array
    faces: Whole
    marks: Landmarks
    measured: tuple[Measured, ...]
    posture: Posture
    moved: float
    worn_waist_drop: float = 0.0
    agreements: tuple[Agreement, ...] = ()
    doubts: tuple[str, ...] = ()
    crossed: Crossing | None = None

    def value(self, name: str) -> float:
        """A measure of the figure by tape, in the term's unit."""
        return next(m.figure for m in self.measured if m.name == name)

    def remarks(self, unit: LengthUnit = "cm") -> tuple[str, ...]:
        """What does not hold, in a cutter's words."""
        told = (*contradictions(self.measured, unit), *drawn_far(self.moved, unit))
        through = self.crossed.remark(unit) if self.crossed is not None else None
        return (*told, *((through,) if through else ()), *self.doubts)


def figure_of(
    record: Body,
    posture: Mapping[str, float] | None = None,
    tell: Tell | None = None,
    photographs: Sequence[Photograph] = (),
    unit: LengthUnit = "cm",
) -> Figure:
    """The figure of a completed record.

    posture: amounts chosen by eye, by the names of :class:`Posture`; they are settled, the rest is
    found from the measures and from marked photographs. tell hears how far the work is, 0 to 1.
    unit: in which refusals are told.

    Raises:
        FigureError: a posture that there is not, or amounts beyond what is allowed; photographs of
            which the scales contradict each other or her height.
    """
    chosen = _checked(posture or {})
    drop = record["worn_waist_drop"]
    wants = wanted(record, _keys())
    spots = all_spots(photographs, record["height"], unit) if photographs else ()
    seen = asked(spots)
    if chosen or len(seen) >= TELLING:
        # an estimate is of a usual posture: hers is known to be another
        wants = tuple(
            replace(w, error=UNUSUAL * w.error)
            if not w.given and split_side(w.key)[0] not in LIMBS and w.key != "weight"
            else w
            for w in wants
        )
    told = {w.key.split(":")[2] for w in seen if w.key.endswith(":bow")}
    settled = {**{k: v for k, v in SETTLED.items() if k not in told}, **chosen}
    numbers = fitted(
        (*wants, *seen),
        drop,
        settled,
        tell,
        (lambda points: read_spots(points, spots)) if seen else None,
    )
    stance = shape.posture_of(numbers)
    base = shape.surface(numbers)
    hard = [w for w in wants if w.given or split_side(w.key)[0] in LIMBS]
    points, taken = _brought(base, hard, drop)
    measured = tuple(_measured(w, taken, record) for w in wants)
    moved = float(np.linalg.norm(points - base, axis=1).max())
    if tell is not None:
        tell(1.0)
    return Figure(
        points,
        body().faces,
        landmarks(points),
        measured,
        stance,
        moved,
        drop,
        tuple(a for p in photographs if (a := agreement(points, p, record["height"])) is not None),
        (
            *cautions(photographs, record["height"]),
            *wrong_marks(misplaced(points, spots), unit),
            *settled_against(chosen, measured),
            *at_the_end(stance, chosen, shape.LIMITS),
        ),
        crossing(points, body().faces, parts()),
    )


@lru_cache(maxsize=1)
def _keys() -> Mapping[str, tuple[str, ...]]:
    """By term, the keys under which the figure has it: the same for every body."""
    return keys_of(readings(shape.surface(shape.start())))


def _checked(posture: Mapping[str, float]) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, value in posture.items():
        if name not in Posture.__slots__:
            allowed = ", ".join(Posture.__slots__)
            raise FigureError(f"posture: {name!r} is not one; it may name {allowed}.")
        low, high = shape.LIMITS[name]
        if not low <= value <= high:
            raise FigureError(
                f"posture: {name} {value:g} is not possible; allowed is {low:g} to {high:g}."
            )
        found[name] = float(value)
    return found


def _brought(base: Array, hard: Sequence[Wanted], drop: float) -> tuple[Array, Mapping[str, float]]:
    """The surface corrected until the tape agrees, and what the tape says."""
    aims = list(hard)
    faces = body().faces
    best: tuple[float, Array, Mapping[str, float]] | None = None
    field: Array | None = None
    for _ in range(3):
        points, field = corrected(base, aims, drop, field)
        found = taped(points, faces, landmarks(points), drop)
        off = {w.key: found[w.key] - w.value for w in hard if w.given and w.key != "weight"}
        worst = max((abs(v) for v in off.values()), default=0.0)
        last = best[0] if best is not None else np.inf
        if worst < last:  # never where a measure is no number
            best = (worst, points, found)
        if worst < ENOUGH or worst > 0.9 * last:
            break
        # the quick reading and the tape differ a little: aim where the tape will be right
        quick = by_tape(Surface(points, drop), {w.key for w in hard})
        slips = {w.key: quick[w.key].value - found[w.key] for w in hard if w.key != "weight"}
        if max(map(abs, slips.values()), default=0.0) < 0.02:
            break
        aims = [replace(w, value=w.value + _slip(w, slips)) for w in hard]
    if best is None:
        raise FigureError(
            "No figure can be made of these measures: look for a number that is not possible."
        )
    return best[1], best[2]


def _slip(want: Wanted, slips: Mapping[str, float]) -> float:
    most = SLIP if want.given else SLIP / 4.0
    return min(max(slips.get(want.key, 0.0), -most), most)


def _measured(want: Wanted, taken: Mapping[str, float], record: Body) -> Measured:
    value = taken[want.key]
    term, side = split_side(want.key)
    residual: float | None = 10.0 * (value - want.value)
    if TERMS[term].unit == "deg":
        over = record.side("shoulder_length", side) if side else record["shoulder_length"]
        residual = 10.0 * over * (tan(radians(value)) - tan(radians(want.value)))
    elif TERMS[term].unit == "kg":
        residual = None
    error = 0.0 if want.given else record.standard_error(term)
    return Measured(want.key, want.value, value, residual, want.given, error)
