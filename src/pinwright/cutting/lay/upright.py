"""Tilted pieces put back on the grain where the lay gets no longer by it."""

from __future__ import annotations

from dataclasses import replace

from pinwright.cutting.lay.placer import filled, left_out
from pinwright.cutting.lay.placing import Lay, Placement, Template


def upright(lay: Lay) -> Lay:
    """The lay with as many tilted pieces as can be lying straight, each where it finds room.

    A tilt is allowed to save cloth; where it saves none, the grain is worth more.
    """
    for p in lay.placements:
        t = lay.template(p.key)
        straight = tuple(r for r in t.rotations if r % 90.0 == 0.0)
        if p.rotation % 90.0 == 0.0 or not straight:
            continue
        others = replace(
            lay,
            templates=tuple(o for o in lay.templates if o.key != p.key),
            placements=tuple(q for q in lay.placements if q.key != p.key),
        )
        found = filled(others, (replace(t, rotations=straight),), 0.0)
        if not left_out(found) and found.length <= lay.length + 1e-6:
            lay = replace(lay, placements=_in_turn(lay, found, t))
    return lay


def _in_turn(lay: Lay, found: Lay, t: Template) -> tuple[Placement, ...]:
    """The placements in the order they had, the template's new one among them."""
    new = next(q for q in found.placements if q.key == t.key)
    return tuple(new if q.key == t.key else q for q in lay.placements)
