"""What does not hold of a figure, in a cutter's words and the client's unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from pinwright.figure.photographs.marks import Spot
from pinwright.figure.photographs.places import label
from pinwright.figure.posture import Posture
from pinwright.measures import TERMS
from pinwright.measures.amounts import said
from pinwright.measures.record import split_side
from pinwright.measures.units import CM_PER_INCH, LengthUnit

if TYPE_CHECKING:
    from pinwright.figure.figure import Measured

AGREED = 2.0
"""Figure and record agree where the tape is off by no more than this, mm."""

FAR = 4.0
"""Where the surface had to go further than this (cm) beyond the open body, it is told."""

NAMED = 8
"""So many measures at most are named as contradicting each other."""


def off_by(mm: float, unit: LengthUnit, sign: Literal["", "+"] = "") -> str:
    """How far a measure is off: "1.2 mm", "3/16 in"; sign "+" puts one before what is more.

    To sixteenths of an inch; what is less than half of one is told so.
    """
    if unit == "cm":
        return f"{mm:{sign}.1f} mm"
    sixteenths = round(abs(mm) / 10.0 / CM_PER_INCH * 16)
    if not sixteenths:
        return "under 1/32 in"
    before = "-" if mm < 0.0 else sign
    whole, rest = divmod(sixteenths, 16)
    part = f"{Fraction(rest, 16)}" if rest else ""
    return f"{before}{' '.join(k for k in (str(whole) if whole else '', part) if k)} in"


def contradictions(measured: Sequence[Measured], unit: LengthUnit) -> tuple[str, ...]:
    """The taped measures that cannot hold together, in a sentence; none where all agree."""
    off = [(m, m.residual) for m in measured if m.given and m.residual is not None]
    worst = max((abs(r) for _, r in off), default=0.0)
    if worst <= AGREED:
        return ()
    # measures that pull against each other share what is left over between them
    group = [(m, r) for m, r in off if abs(r) > max(0.25 * worst, 0.5)]
    group.sort(key=lambda pair: -abs(pair[1]))
    told = [f"{m.label} {_value(m, unit)} ({off_by(r, unit, '+')})" for m, r in group[:NAMED]]
    if len(told) == 1:
        return (
            f"The figure does not come to this measure: {told[0]}. Tape it again; it may "
            "contradict the others.",
        )
    return (
        f"These measures cannot all hold on one body: {'; '.join(told)}. In brackets: how far the "
        "figure is off. Tape them again.",
    )


def _value(m: Measured, unit: LengthUnit) -> str:
    if TERMS[split_side(m.name)[0]].unit == "cm":
        return said(m.record, unit)
    return f"{m.record:.1f}°"


def wrong_marks(found: Sequence[tuple[Spot, float]], unit: LengthUnit) -> tuple[str, ...]:
    """That marks on photographs are likely at the wrong place; at most NAMED of them."""
    return tuple(
        f"Photograph {s.photograph} ({s.view}): the mark {label(s.name)} lies {said(far, unit)} "
        "from where the measures and the other marks put it; it hardly counts. Look at it again."
        for s, far in found[:NAMED]
    )


AGAINST: Mapping[str, str] = {"shoulder": "shoulder_slope", "hip": "outside_leg"}
"""What is settled by eye for one side, and the measure that tells the same."""


def settled_against(chosen: Mapping[str, float], measured: Sequence[Measured]) -> tuple[str, ...]:
    """That a posture was settled by eye which the tape tells too: the tape then stands."""
    found = []
    for place, term in AGAINST.items():
        eye = [k for k in (f"{place}_left", f"{place}_right") if k in chosen]
        by_tape = [m for m in measured if m.given and split_side(m.name)[0] == term]
        if eye and by_tape:
            found.append(
                f"{' and '.join(eye)} was settled by eye, but the {TERMS[term].label} was taped: "
                "the tape stands and the other side gives way. Leave one of the two out."
            )
    return tuple(found)


def at_the_end(
    stance: Posture, chosen: Mapping[str, float], limits: Mapping[str, tuple[float, float]]
) -> tuple[str, ...]:
    """That a posture that was found lies at the end of what is possible."""
    found = [
        f"{name} {getattr(stance, name):g}"
        for name, (low, high) in limits.items()
        if name in Posture.__slots__ and name not in chosen and name not in NEEDED
        if not low + 1e-9 < getattr(stance, name) < high - 1e-9
    ]
    if not found:
        return ()
    return (
        f"To come to these numbers the figure stands as far as it can go: {', '.join(found)}. "
        "Look for a wrong measure or mark.",
    )


def stance_words(stance: Posture, unit: LengthUnit) -> list[str]:
    """How she stands by what was found, in a sentence; degrees and lengths more than the mean."""
    told = []
    lower = stance.shoulder_right - stance.shoulder_left
    if abs(lower) >= SEEN_CM:
        side = "right" if lower > 0.0 else "left"
        told.append(f"the {side} shoulder falls {said(abs(lower), unit)} lower")
    higher = stance.hip_right - stance.hip_left
    if abs(higher) >= SEEN_CM:
        side = "right" if higher > 0.0 else "left"
        told.append(f"the {side} hip stands {said(abs(higher), unit)} higher")
    if abs(stance.shoulders_forward) >= SEEN_CM:
        way = "forward" if stance.shoulders_forward > 0.0 else "back"
        told.append(f"the shoulders stand {said(abs(stance.shoulders_forward), unit)} {way}")
    for side, by in (("left", stance.knee_left), ("right", stance.knee_right)):
        if abs(by) >= SEEN_CM:
            way = "in" if by > 0.0 else "out"
            told.append(f"the {side} knee stands {said(abs(by), unit)} further {way}")
    for name, more, less in (
        ("round_back", "the back is rounder", "the back is flatter"),
        ("hollow_back", "the loin is hollower", "the loin is straighter"),
        ("head_forward", "the head stands forward", "the head stands back"),
    ):
        by = getattr(stance, name)
        if abs(by) >= SEEN_DEGREES:
            told.append(f"{more if by > 0.0 else less} by {abs(by):.0f}°")
    if not told:
        return ["By measures and photographs she stands as the mean woman does."]
    return [f"By measures and photographs, beside the mean woman: {'; '.join(told)}."]


SEEN_CM, SEEN_DEGREES = 0.5, 3.0
"""What a posture has to be off the mean to be told: less is not sure."""

NEEDED = ("arms_out",)
"""Postures that are no finding: arms hang off as far as the body needs."""


def drawn_far(moved: float, unit: LengthUnit) -> tuple[str, ...]:
    """That the surface had to be drawn far, cm; nothing where it had not."""
    if moved <= FAR:
        return ()
    return (
        f"The figure had to be drawn up to {said(moved, unit)} beyond what the open body reaches: "
        "look at its picture before you trust its shape.",
    )
