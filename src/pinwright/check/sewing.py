"""Will it sew together: seams stretch by stretch, darts, run-throughs, the two halves."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from pinwright.check.result import Check, judged
from pinwright.fitting.ledger import Half, gathered, response
from pinwright.fitting.plan import SeamPlan, plan
from pinwright.fitting.truing import kinks

SEAM = 0.1
"""Each stretch of a seam may be off its planned difference by this, cm (design 8)."""
DART_LEGS = 0.05
RUN_THROUGH = 2.0
"""Degrees by which an edge may break where it crosses a seam (design 8)."""


def seam_checks(half: Half) -> list[Check]:
    """Each part of each seam between its anchor and its ends, against its planned difference.

    As drafted the planned difference is the target; after a correction ease may have moved within
    its limits, and the nearest allowed difference is.
    """
    found = []
    for sp in plan(half.garment).seams:
        if sp.seam.mirror:
            continue
        for name, diff, planned, low, high in seam_parts(half, sp):
            target = min(max(diff, low), high) if half.sums else planned
            found.append(
                judged(
                    f"{sp.seam.title}: {name}",
                    "seams",
                    sp.seam.name,
                    diff,
                    target,
                    SEAM,
                    says="sewn length of one side less the other, after the planned difference",
                )
            )
    return found


def seam_parts(half: Half, sp: SeamPlan) -> list[tuple[str, float, float, float, float]]:
    """(name, length a - length b, planned, least, most) of each part that must agree, cm."""
    names = [s.name for s in sp.seam.stations]
    eased = gathered(half.garment, half.facts)
    if sp.seam.kind == "cap":
        cuts = [0, names.index("shoulder"), len(names) - 1]
    elif sp.seam.kind == "band":
        cuts = [0, names.index("side"), len(names) - 1]
    elif sp.seam.kind == "neck":
        cuts = [0, len(names) - 1]
    else:
        at = names.index(sp.seam.anchor)
        cuts = sorted({0, at, len(names) - 1})
    out = []
    for lo, hi in pairwise(cuts):
        a = half.lengths[sp.a[sp.bounds_a[lo] : sp.bounds_a[hi]]].sum()
        b = half.lengths[sp.b[sp.bounds_b[lo] : sp.bounds_b[hi]]].sum()
        stretches = sp.seam.stretches[lo:hi]
        low = sum(min(s.low, s.planned) for s in stretches)
        high = sum(max(s.high, s.planned) for s in stretches)
        label = f"{names[lo]} to {names[hi]}".replace("_", " ")
        if sp.seam.kind == "band":
            more = eased["front" if lo == 0 else "back"]
            low, high = low + more, high + more
        out.append((label, float(a - b), sum(s.planned for s in stretches), low, high))
    return out


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


def run_through_checks(half: Half) -> list[Check]:
    """Every edge that crosses a closed seam or dart, or meets a fold, runs through."""
    return [
        judged(
            f"{name.replace('_', ' ')}: runs through",
            "run-through",
            name,
            angle,
            0.0,
            RUN_THROUGH,
            unit="deg",
            says="break of the edge where it crosses the closed seam",
        )
        for name, angle in kinks(plan(half.garment), half.ctrl, half.aux).items()
    ]


def balance_checks(half: Half) -> list[Check]:
    """Balance lines lie where the corrections put them; truing has not moved them."""
    if half.trued is None:
        return []
    aux = half.garment.layout.aux.copy()
    for key, amount in half.sums:
        aux += amount * response(half.garment, key).aux
    found = []
    for p in half.garment.pieces:
        for line in p.lines:
            if line.kind not in ("balance", "crease", "plumb"):
                continue
            rows = half.garment.layout.aux_index[p.name, "line", line.name]
            off = float(np.abs(half.aux[rows] - aux[rows]).max())
            found.append(
                judged(
                    f"{line.name} line of the {p.title.lower()}: held by truing",
                    "balance",
                    p.name,
                    off,
                    0.0,
                    0.0,
                    says="truing moves no balance line",
                )
            )
    return found


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
