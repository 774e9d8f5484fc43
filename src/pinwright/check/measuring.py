"""Will it go round the client: finished girths and lengths against their targets."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pinwright.check.result import Check, judged
from pinwright.check.rings import centres, to_centre
from pinwright.fitting.ledger import Half
from pinwright.pattern.seam import Target, Width


def measure(half: Half, target: Target) -> float:
    """The finished measure of one half of the garment doubled as the target says, cm.

    Widths reach from edge to edge, so what fronts lap over (:func:`lapped`) is in them.
    """
    layout = half.garment.layout
    total = 0.0
    for part in target.parts:
        if isinstance(part, Width):
            r0, c0 = layout.station_row(part.piece, part.start)
            r1, c1 = layout.station_row(part.piece, part.end)
            total += float(np.hypot(*(half.ctrl[r1, c1] - half.ctrl[r0, c0])))
        else:
            total += float(half.lengths[layout.span_ids((part.piece, part.edge))].sum())
    return total * target.factor


def lapped(half: Half, target: Target) -> float:
    """What of a finished measure lies beyond the centre line and goes round nobody, cm.

    Buttoned fronts meet on their centre lines: the stands of both lie in :func:`measure` and have
    to come off before it is compared with a body. Doubled as the target says.
    """
    layout = half.garment.layout
    total = 0.0
    for part in target.parts:
        if not isinstance(part, Width):
            continue
        lines = [
            half.aux[layout.aux_index[part.piece, "line", name]]
            for name in centres(half.garment.piece(part.piece))
        ]
        start, end = (
            half.ctrl[layout.station_row(part.piece, at)] for at in (part.start, part.end)
        )
        inner_start, inner_end = to_centre(lines, start, end)
        total += float(np.hypot(*(end - start)) - np.hypot(*(inner_end - inner_start)))
    return total * target.factor


def _worn(right: Half, left: Half, half: Half, target: Target) -> tuple[float, float]:
    """A finished measure as worn and buttoned, and what laps over beside it, cm.

    Girths (factor 2) are the mean of right and left doubled, others the half's own.
    """
    both = target.factor == 2.0 and right is not left
    halves = (right, left) if both else (half,)
    lap = sum(lapped(h, target) for h in halves) / len(halves)
    return sum(measure(h, target) for h in halves) / len(halves) - lap, lap


def finished(right: Half, left: Half, target: Target) -> tuple[float, ...]:
    """A finished measure as worn and buttoned, cm: one number, or right and left where they differ.

    As :func:`girth_checks` finds it.
    """
    halves = (right,) if right is left or target.factor == 2.0 else (right, left)
    return tuple(_worn(right, left, half, target)[0] for half in halves)


def girth_checks(right: Half, left: Half) -> list[Check]:
    """Each finished measure against body plus ease plus the declared effects of corrections.

    Girths (factor 2) add both halves; measures of one leg, sleeve or seam are checked each side.
    What laps over beyond the centre front is in the drafted ease and is left out on both sides.
    """
    found = []
    for target in right.garment.targets:
        halves = (right,) if right is left or target.factor == 2.0 else (right, left)
        for half in halves:
            value, lap = _worn(right, left, half, target)
            effect = half.effects.get(target.name, 0.0)
            if target.factor == 2.0 and right is not left:
                effect = (effect + left.effects.get(target.name, 0.0)) / 2
            measured = judged(
                target.name.replace("_", " "),
                "finished measures",
                target.name,
                value,
                target.value - lap + effect,
                target.tolerance,
                says=_says(target, lap, effect, target.measure in right.garment.estimated),
            )
            found.append(replace(measured, side=_side(half, halves)))
    return found


def _side(half: Half, halves: tuple[Half, ...]) -> str:
    """Which side's a measure of a half is, of those that are measured one by one."""
    if len(halves) == 1:
        return "both"
    return "right" if half is halves[0] else "left"


def _says(target: Target, lap: float, effect: float, estimated: bool) -> str:
    words = f"{target.measure.replace('_', ' ')} {target.body:.1f}"
    words += " (estimated)" if estimated else ""
    words += f" + ease {target.ease - lap:.1f}"
    if effect:
        words += f" {'+' if effect > 0 else '-'} {abs(effect):.1f} corrected"
    return words


LEAST_ROOM = {
    "waist": 0.0,
    "hip": 1.5,
    "bust": 4.0,
    "upper_arm": 2.0,
    "thigh": 1.0,
    "knee": 1.0,
}
"""Least ease over the body at each girth before one should look, cm (sources 2.5: costume text and
NMSU C-209, rounded down; the waist may be worn as tight as the client likes)."""


def room_checks(right: Half, left: Half) -> list[Check]:
    """Finished girths against the body itself, whatever was declared: will it still go round?

    Buttoned: what the fronts lap over is no room.
    """
    found = []
    for target in right.garment.targets:
        least = LEAST_ROOM.get(target.name)
        if least is None:
            continue
        halves = (right,) if right is left or target.factor == 2.0 else (right, left)
        for half in halves:
            room = _worn(right, left, half, target)[0] - target.body
            enough = room >= least - 0.05
            found.append(
                Check(
                    f"{target.name.replace('_', ' ')}: room over the body",
                    "room",
                    target.name,
                    room,
                    least,
                    0.0,
                    "good" if enough else "look",
                    says=f"at least {least:g} over {target.body:.1f}",
                    side=_side(half, halves),
                    bound="least",
                )
            )
    return found
