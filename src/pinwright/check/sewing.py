"""Will it sew together: seams stretch by stretch, darts, ease, balance lines, the two halves.

These checks measure the curves anew; nothing of truing's own bookkeeping is believed but what
difference each stretch is planned to have.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pinwright.check.result import Check, Verdict, judged
from pinwright.fitting.ledger import Half, gathered
from pinwright.fitting.plan import SeamPlan, plan
from pinwright.fitting.walking import planned_differences, stations
from pinwright.pattern.piece import Array
from pinwright.pattern.seam import ease_limits

SEAM = 0.1
"""Each stretch of a seam may be off its planned difference by this, cm (design 8)."""
DART_LEGS = 0.05
MEETS = 0.3
"""A balance line may pass its mark on an edge by this before one should look, cm."""


def seam_checks(half: Half) -> list[Check]:
    """Each stretch of each seam between two stations, against its planned difference.

    ``half`` must carry lengths measured anew (:func:`check.remeasured`).
    """
    found = []
    for sp in plan(half.garment).seams:
        if sp.seam.mirror:
            continue
        where = stations(half, sp)
        planned = planned_differences(half, sp)
        names = [s.name.replace("_", " ") for s in sp.seam.stations]
        for (first, then), a, b, target in zip(
            pairwise(names), np.diff(where.a), np.diff(where.b), planned, strict=True
        ):
            found.append(
                judged(
                    f"{sp.seam.title}: {first} to {then}",
                    "seams",
                    sp.seam.name,
                    float(a - b),
                    target,
                    SEAM,
                    says="sewn length of one side less the other, against the planned difference",
                )
            )
    return found


def ease_checks(half: Half) -> list[Check]:
    """What truing let ease or gathers take up lies within the limits of each stretch."""
    found = []
    for sp in plan(half.garment).seams:
        if sp.seam.mirror:
            continue
        planned = planned_differences(half, sp)
        for k, (stretch, now) in enumerate(zip(sp.seam.stretches, planned, strict=True)):
            if now == stretch.planned:
                continue
            low, high = _limits(half, sp, k)
            good = low - 1e-6 <= now <= high + 1e-6
            names = [s.name.replace("_", " ") for s in sp.seam.stations]
            verdict: Verdict = "good" if good else "wrong"
            found.append(
                Check(
                    f"{sp.seam.title}: ease {names[k]} to {names[k + 1]}",
                    "ease",
                    sp.seam.name,
                    now,
                    stretch.planned,
                    max(high - stretch.planned, stretch.planned - low),
                    verdict,
                    says=f"planned {stretch.planned:.1f}, may be {low:.1f} to {high:.1f}",
                )
            )
    return found


def _limits(half: Half, sp: SeamPlan, k: int) -> tuple[float, float]:
    """Least and most that ease may be in a stretch; a half's ease may all lie in one of its."""
    names = [s.name for s in sp.seam.stations]
    stretches = sp.seam.stretches
    if sp.seam.kind == "cap":
        top = names.index("shoulder")
        group = stretches[:top] if k < top else stretches[top:]
    elif sp.seam.kind == "band":
        group = stretches[k : k + 1]
    elif sp.seam.kind == "neck":
        group = stretches
    else:
        at = names.index(sp.seam.anchor)
        group = stretches[:at] if k < at else stretches[at:]
    others = sum(s.planned for s in group) - stretches[k].planned
    more = 0.0
    if sp.seam.kind == "band":
        more = gathered(half.garment, half.facts)["front" if k == 0 else "back"]
    low, high = ease_limits(group)
    return low - others + more, high - others + more


def dart_checks(half: Half) -> list[Check]:
    """The two legs of each dart against each other."""
    found = []
    for d in plan(half.garment).darts:
        apex = half.aux[d.apex]
        a = float(np.hypot(*(half.ctrl[d.before, 3] - apex)))
        b = float(np.hypot(*(half.ctrl[d.after, 0] - apex)))
        found.append(
            judged(f"{d.dart}: legs", "darts", d.piece, a, b, DART_LEGS, says="the two legs agree")
        )
    return found


def balance_checks(half: Half) -> list[Check]:
    """Balance lines still pass through the marks on the edges that they were drafted through.

    A balance line moves only with the correction that moves its level; an edge taken in or let
    out, or trued, may carry its mark a little along. Beyond :data:`MEETS` the line and the seams'
    marks would tell two levels.
    """
    if not half.sums:
        return []
    layout = half.garment.layout
    found = []
    for piece in half.garment.pieces:
        for line in piece.lines:
            if line.kind != "balance":
                continue
            rows = layout.aux_index[piece.name, "line", line.name]
            marks = [
                layout.station_row(piece.name, f"{e.name}:{line.name}")
                for e in piece.edges
                if line.name in e.stations
            ]
            drafted = [
                at for at in marks if _beside(layout.aux[rows], layout.ctrl[at]) < ON_THE_LINE
            ]
            if drafted:
                found.append(
                    judged(
                        f"{piece.title}: {line.name.replace('_', ' ')} line meets its marks",
                        "balance",
                        piece.name,
                        max(_beside(half.aux[rows], half.ctrl[at]) for at in drafted),
                        0.0,
                        MEETS,
                        says="distance of the marks on the edges from the line",
                        soft=True,
                    )
                )
    return found


ON_THE_LINE = 0.05
"""A mark drafted this near a balance line is one of its own, cm."""


def _beside(line: Array, at: Array) -> float:
    """Distance of a point (2,) from the straight line through a line's ends, cm."""
    a, b = line[0], line[-1]
    size = float(np.hypot(*(b - a)))
    cross = (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])
    return abs(float(cross)) / size if size > 1e-9 else 0.0


def halves_checks(right: Half, left: Half) -> list[Check]:
    """Seams between the right and the left half have one length."""
    if right is left:
        return []
    found = []
    for sp in plan(right.garment).seams:
        if sp.seam.mirror:
            r, l = float(right.lengths[sp.a].sum()), float(left.lengths[sp.a].sum())
            found.append(
                judged(
                    f"{sp.seam.title}: right and left",
                    "seams",
                    sp.seam.name,
                    r,
                    l,
                    SEAM,
                    says="the two halves are sewn to each other",
                )
            )
    return found
