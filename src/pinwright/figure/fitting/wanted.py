"""What the figure is to measure: the taped values, and the record's own estimates of the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinwright.measures import TERMS
from pinwright.measures.estimate import Body

TAPED = 0.4
"""How near the fit comes to a taped value, cm (degrees; kg ten times that); what is left the
correction takes away."""

LIMBS = (
    "neck_girth",
    "thigh_girth",
    "mid_thigh_girth",
    "knee_girth",
    "calf_girth",
    "ankle_girth",
    "upper_arm_girth",
    "elbow_girth",
    "wrist_girth",
)
"""Girths that are taken from the record's estimates, never left to the open body's own."""

NOT_STANDING = ("body_rise", "heel_height", "worn_waist_drop")
"""Measures that the standing figure has not: taken seated, or none of the body."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A value the figure is to have: cm, degrees or kg.

    key: the term, with its side. error: how far off is as good as right. given: it was taped.
    least: the value is the least it may be; more is as right. doubtful: it may be quite wrong, and
    weighs less the further off it is.
    """

    key: str
    value: float
    error: float
    given: bool
    least: bool = False
    doubtful: bool = False


def wanted(body: Body, sided: Mapping[str, tuple[str, ...]]) -> tuple[Wanted, ...]:
    """Everything the figure is to measure.

    sided: by term, the keys under which the figure has it (both sides, or the term itself).
    """
    found: list[Wanted] = []
    for term, keys in sided.items():
        if term in NOT_STANDING:
            continue
        given = not body.is_estimated(term)
        error = TAPED if given else max(body.standard_error(term), 0.3)
        if term == "weight":
            error = 0.5 if given else max(error, 3.0)
        if not given and term in LIMBS:
            error = 0.4
        if not given and term == "worn_waist_girth":
            continue
        for key in keys:
            side = key.removeprefix(term).removeprefix("_")
            value = body.side(term, "left" if side == "left" else "right") if side else body[term]
            if term == "waist_to_hip" and side:
                value += (1.0 if side == "left" else -1.0) * _tipped(body)
            found.append(Wanted(key, value, error, given))
    return tuple(found)


def _tipped(body: Body) -> float:
    """Half of how much higher the left side of the waist is told to stand by the outside legs, cm.

    The hip line is level: a waist to hip that was taken on one side only is for the mean of both.
    """
    hips, legs = (
        body.side(term, "left") - body.side(term, "right")
        for term in ("waist_to_hip", "outside_leg")
    )
    return legs / 2.0 if hips == 0.0 else 0.0


def keys_of(readings: Mapping[str, object]) -> dict[str, tuple[str, ...]]:
    """By term, the keys under which readings have it."""
    found: dict[str, tuple[str, ...]] = {}
    for term in TERMS:
        pair = tuple(k for k in (f"{term}_left", f"{term}_right") if k in readings)
        if TERMS[term].sided and pair:
            found[term] = pair
        elif term in readings:
            found[term] = (term,)
        elif pair:
            found[term] = pair
    return found
