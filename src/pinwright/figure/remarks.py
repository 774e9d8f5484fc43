"""What does not hold of a figure, in a cutter's words and the client's unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

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


def off_by(mm: float, unit: LengthUnit, sign: str = "") -> str:
    """How far a measure is off: "1.2 mm", "0.05 in"; sign "+" puts one before every amount."""
    if unit == "in":
        return f"{mm / 10.0 / CM_PER_INCH:{sign}.2f} in"
    return f"{mm:{sign}.1f} mm"


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
    return f"{m.record:.1f}"


def drawn_far(moved: float, unit: LengthUnit) -> tuple[str, ...]:
    """That the surface had to be drawn far, cm; nothing where it had not."""
    if moved <= FAR:
        return ()
    return (
        f"The figure had to be drawn up to {said(moved, unit)} beyond what the open body reaches: "
        "look at its picture before you trust its shape.",
    )
