"""Walking a seam: where its stations stand on both sides when they are sewn to each other."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pinwright.fitting.ledger import Half
from pinwright.fitting.plan import SeamPlan

PITCH = "sleeve_pitch"
"""The garment's fact that says how far a sleeve is turned, cuff forward, cm along the cap."""


@dataclass(frozen=True, slots=True)
class Stations:
    """Distances of a seam's stations along its sides a and b, from its start, cm."""

    a: tuple[float, ...]
    b: tuple[float, ...]


def planned_differences(half: Half, sp: SeamPlan) -> tuple[float, ...]:
    """Planned length of a less b for each stretch, cm: as drafted, and what truing let ease take.

    Ease and gathers may take up a difference within the limits of their stretch; truing records
    how much, and where.
    """
    taken = half.trued.taken.get(sp.seam.name, ()) if half.trued else ()
    drafted = tuple(s.planned for s in sp.seam.stretches)
    return tuple(d + t for d, t in zip(drafted, taken, strict=True)) if taken else drafted


def stations(half: Half, sp: SeamPlan) -> Stations:
    """Where the stations of a seam stand on each side.

    Side a's stations stand where they were drafted; side b's are walked from the anchor by the
    sewn length of a less the difference planned for each stretch. On a sleeve the marks below the
    notches are walked from both ends of the armhole, the shoulder's stands where drafted, and all
    move along the cap with a turned sleeve. A collar's marks are walked to meet the neck's.
    """
    a = np.concatenate([[0.0], np.cumsum(half.lengths[sp.a])])
    b = np.concatenate([[0.0], np.cumsum(half.lengths[sp.b])])
    at_a, at_b = a[list(sp.bounds_a)], b[list(sp.bounds_b)]
    planned = np.array(planned_differences(half, sp))
    if sp.seam.mirror:
        return Stations(tuple(at_a.tolist()), tuple(at_b.tolist()))
    if sp.seam.kind == "cap":
        walked = at_a.copy()
        if len(walked) > 3:
            walked[1] = walked[0] + (at_b[1] - at_b[0]) + planned[0]
            walked[-2] = walked[-1] - (at_b[-1] - at_b[-2]) - planned[-1]
        # turned so that the cuff hangs forward the crown goes back and the underarm forward: each
        # mark of the armhole is met that much nearer the front underarm (see fitting/pitch.py)
        walked -= half.facts.get(PITCH, 0.0)
        return Stations(tuple(walked.tolist()), tuple(at_b.tolist()))
    i = [s.name for s in sp.seam.stations].index(sp.seam.anchor)
    if sp.seam.kind == "neck":
        # the neck's own stations are where its pieces join; the collar is marked to meet them
        steps = np.diff(at_b) + planned
        walked = at_a[i] + np.cumsum(np.concatenate([[0.0], steps]))
        walked[0], walked[-1] = at_a[0], at_a[-1]
        return Stations(tuple(walked.tolist()), tuple(at_b.tolist()))
    steps = np.diff(at_a) - planned
    walked = np.empty(len(at_a))
    walked[i] = at_b[i]
    walked[i + 1 :] = at_b[i] + np.cumsum(steps[i:])
    walked[:i] = at_b[i] - np.cumsum(steps[:i][::-1])[::-1]
    # the ends of a side are its ends, whatever the walk says: the checks tell the difference
    walked[0], walked[-1] = (at_b[0], at_b[-1])
    walked[1:-1] = np.clip(walked[1:-1], at_b[0], at_b[-1])
    return Stations(tuple(at_a.tolist()), tuple(walked.tolist()))
