"""Whether a lay can be cut: every condition looked at afresh, on the true outlines.

Nothing here asks how the lay was made. Computed with shapely alone.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import shapely

from pinwright.cutting.lay.placing import Lay, Placement, Template, between, covered, lying

TOLERANCE = 0.005
"""How far (cm) a piece may be out of place: a twentieth of a millimetre."""

PHASE = 0.01
"""How far (cm) a point may lie from its place in the repeat."""


def faults(lay: Lay) -> tuple[str, ...]:
    """What is wrong with a lay, one sentence each; nothing when it can be cut as it is.

    Looked at: every piece is there once, lies as it may, on the cloth (or remnant), clear of
    the other pieces, of flaws and of what is taken by the gap; pieces on the fold stand on it;
    points fall on their place in the repeat; the lay is no longer than it says.
    """
    found = _counted(lay)
    known = {t.key: t for t in lay.templates}
    here = [(known[p.key], p) for p in lay.placements if p.key in known]
    taken = [covered(t, p) for t, p in here]
    for (t, p), area in zip(here, taken, strict=True):
        found += _rotated(t, p) + _contained(lay, t, area) + _stands(t, p) + _in_phase(lay, t, p)
        found += _clear_of_flaws(lay, t, area)
    return tuple(found + _apart(lay, [t for t, _ in here], taken))


def _name(t: Template) -> str:
    return f"{t.title or t.piece} ({t.key})"


def _counted(lay: Lay) -> list[str]:
    wanted, there = {t.key for t in lay.templates}, Counter(p.key for p in lay.placements)
    found = [f"The piece {k} is not laid." for k in sorted(wanted - set(there))]
    found += [f"The piece {k} is laid, though not asked for." for k in sorted(set(there) - wanted)]
    found += [f"The piece {k} is laid {n} times." for k, n in sorted(there.items()) if n > 1]
    return found


def _rotated(t: Template, p: Placement) -> list[str]:
    off = min(between(p.rotation, r) for r in t.rotations)
    if off <= 1e-6:
        return []
    allowed = ", ".join(f"{r:g}" for r in t.rotations)
    return [f"{_name(t)} lies turned by {p.rotation:g} degrees; it may lie at {allowed}."]


def _contained(lay: Lay, t: Template, area: shapely.Geometry) -> list[str]:
    field = lay.field
    x0, y0, x1, y1 = area.bounds
    over = {"past the length of the lay": x1 - lay.length}
    if field.outline is not None:
        out = area.difference(shapely.Polygon(field.outline).buffer(TOLERANCE))
        if not out.is_empty:
            return [f"{_name(t)} lies past the remnant's outline, by {out.area:.2f} cm2."]
    else:
        over |= {
            "below the edge": -y0,
            "past the width": y1 - field.width,
            "before the cut end": -x0,
        }
    if field.length is not None:
        over["past the end of the cloth"] = x1 - field.length
    return [f"{_name(t)} lies {v:.3f} cm {k}." for k, v in over.items() if v > TOLERANCE]


def _stands(t: Template, p: Placement) -> list[str]:
    if not t.on_fold or abs(p.y) <= TOLERANCE:
        return []
    return [f"{_name(t)} must stand on the fold, and lies {p.y:.3f} cm from it."]


def _in_phase(lay: Lay, t: Template, p: Placement) -> list[str]:
    found = []
    for phase in t.phases:
        k = 0 if phase.axis == "along" else 1
        repeat = lay.field.repeat[k]
        if repeat <= 0.0:
            continue
        at = float(lying(t, np.array(phase.at), p)[k])
        off = (at - phase.residue + repeat / 2.0) % repeat - repeat / 2.0
        if abs(off) > PHASE:
            found.append(f"{_name(t)} lies {off:+.3f} cm off its place in the repeat {phase.axis}.")
    if t.phases and p.rotation % 360.0 != 0.0 and not lay.field.turns:
        found.append(f"{_name(t)} is turned, on a repeat that is not the same both ways.")
    return found


def _clear_of_flaws(lay: Lay, t: Template, area: shapely.Geometry) -> list[str]:
    field = lay.field
    kept_off = [("a flaw", shapely.box(*f)) for f in field.flaws]
    kept_off += [("what is already cut there", shapely.Polygon(o)) for o in field.taken]
    return [
        f"{_name(t)} {_meets(area, other, field.gap)} {what}."
        for what, other in kept_off
        if not _clear(area, other, field.gap)
    ]


def _apart(lay: Lay, templates: list[Template], taken: list[shapely.Geometry]) -> list[str]:
    gap = lay.field.gap
    tree = shapely.STRtree(taken)
    found = []
    for i, area in enumerate(taken):
        near = tree.query(area.buffer(gap + TOLERANCE))
        for j in sorted(int(n) for n in near if n > i):
            if not _clear(area, taken[j], gap):
                how = _meets(area, taken[j], gap)
                found.append(f"{_name(templates[i])} {how} {_name(templates[j])}.")
    return found


def _clear(a: shapely.Geometry, b: shapely.Geometry, gap: float) -> bool:
    if gap > TOLERANCE:
        return bool(a.distance(b) >= gap - TOLERANCE)
    # Touching is allowed: only what is more than a touch deep counts.
    return not shapely.intersects(a.buffer(-TOLERANCE / 2.0), b.buffer(-TOLERANCE / 2.0))


def _meets(a: shapely.Geometry, b: shapely.Geometry, gap: float) -> str:
    shared = float(a.intersection(b).area)
    if shared > 0.0:
        return f"overlaps, by {shared:.3f} cm2,"
    return f"is {a.distance(b):.3f} cm (must be {gap:g}) from"
