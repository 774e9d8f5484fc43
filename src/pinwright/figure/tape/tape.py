"""Every measure of the figure as a tape would take it.

The definitions are in ``docs/figure/measuring.md``; terms and clauses (ISO 8559-1:2017) in
:mod:`pinwright.measures.terms`. Nothing here knows how the figure was made: it is handed a surface
and its landmarks, cuts it with planes and draws the tape taut.
"""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.figure.landmarks import LITRES_PER_KG, SIDES, Landmarks
from pinwright.figure.tape.girths import (
    arm_girths,
    leg_girths,
    neck_girths,
    trunk_girths,
    trunk_hulls,
)
from pinwright.figure.tape.lengths import (
    bodice_tapes,
    crotch_tapes,
    shoulder_slope,
    shoulder_tapes,
    side_tapes,
)
from pinwright.figure.tape.parts import Skin
from pinwright.figure.tape.section import Array, Whole, volume
from pinwright.figure.tape.taut import length


def taped(
    points: Array, faces: Whole, marks: Landmarks, worn_waist_drop: float = 0.0
) -> Mapping[str, float]:
    """Every measure of the figure under its term: cm, kg, degrees.

    points (n, 3) cm, z = 0 the floor; faces (f, 4), anticlockwise seen from outside, closed.
    worn_waist_drop: how far under the waist the trousers are worn, cm. A measure taken on both
    sides has ``_left`` and ``_right``, and its plain term is the mean of these; so have
    ``side_neck_to_bust_point`` and ``front_waist_length``. ``body_rise`` is taken seated and is
    not among them; ``waist_above_fork``, which is no term, is how far the waist stands above the
    fork. Above the fold of the armpit the trunk is cut off at the vertical plane through the
    armpit landmark; legs that are one loop are split at x of the fork (see ``parts``).

    Raises GeometryError where the surface is open or a section is not what it should be.
    """
    skin = Skin.of(points, faces)
    tapes = trunk_hulls(skin, marks, worn_waist_drop)
    waist, levels = tapes["waist"], marks.levels
    sides: dict[str, dict[str, float]] = {}
    for side in SIDES:
        sides[side] = {
            **arm_girths(skin, marks, side),
            **leg_girths(skin, marks, side),
            **lengths(shoulder_tapes(skin, marks, side)),
            "shoulder_slope": shoulder_slope(marks, side),
            **lengths(side_tapes(skin, marks, side)),
            "inside_leg": float(marks["fork"][2]),
        }
    bodice = lengths(bodice_tapes(skin, marks, waist))
    for term in ("side_neck_to_bust_point", "front_waist_length"):
        for side in SIDES:
            sides[side][term] = bodice.pop(f"{term}_{side}")
    left, right = sides["left"], sides["right"]
    halves = [sides[side].pop("half_across_shoulders") for side in SIDES]
    knees = [sides[side].pop("waist_to_knee") for side in SIDES]
    return {
        "height": levels["top"],
        "weight": volume(points, skin.corners) / 1000.0 / LITRES_PER_KG,
        **trunk_girths(tapes, marks),
        **neck_girths(skin, marks),
        **bodice,
        "across_back_shoulder_width": sum(halves),
        **lengths(crotch_tapes(skin, marks, waist)),
        "waist_above_fork": levels["waist"] - levels["fork"],
        "waist_to_knee": sum(knees) / 2.0,
        **{term: (left[term] + right[term]) / 2.0 for term in left},
        **{f"{term}_{side}": value for side in SIDES for term, value in sides[side].items()},
    }


def lengths(tapes: Mapping[str, Array]) -> dict[str, float]:
    """How long each tape is, cm."""
    return {term: length(tape) for term, tape in tapes.items()}
