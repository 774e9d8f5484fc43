"""What is cut after the fitting, matched to what is cut already and where that lies.

The fitting moves the places that must meet: a pocket set lower lies on other stripes of the front
than the pocket cut with it in mind shows. The front is cut; the pocket is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from pinwright.cutting.in_repeat import AXES, wrapped
from pinwright.cutting.lay.placing import Axis, Lay, Phase, Placement, Template, lying
from pinwright.workshop.stock import Wanted

NONE = 1e-3
"""Lines that meet within this (cm) need no moving."""


def matched_to(lay: Lay, now: Wanted) -> tuple[Template, ...]:
    """What is cut now, each piece of the second cut with the places that the first cut wants.

    ``lay`` is that of the cloth itself: the first cut lies there as it was cut, and its points are
    where the fitting left them. A piece that is linked to the first cut through others moves with
    them. One whose lines must move lies unturned.
    """
    templates = {t.key: t for t in now.templates}
    laid = {p.key: p for p in lay.placements}
    found = dict(templates)
    for k, axis in enumerate(AXES):
        repeat = lay.field.repeat[k]
        if repeat > 0.0:
            off = _shown(templates, laid, axis, repeat)
            _linked(off, now, axis)
            for key, by in off.items():
                if templates[key].stage == "after" and abs(by) > NONE:
                    found[key] = _moved(found[key], axis, by)
    return tuple(found[t.key] for t in now.templates)


def _shown(
    templates: Mapping[str, Template], laid: Mapping[str, Placement], axis: Axis, repeat: float
) -> dict[str, float]:
    """How far past its place in the repeat each piece of the first cut shows its point, cm."""
    k = AXES.index(axis)
    off: dict[str, float] = {}
    for key, t in templates.items():
        phase = next((p for p in t.phases if p.axis == axis), None)
        if t.stage == "after" or phase is None or key not in laid:
            continue
        at = float(lying(t, np.array(phase.at), laid[key])[k])
        # a turned piece shows the repeat the other way round
        by = phase.residue - at if 90.0 < laid[key].rotation % 360.0 < 270.0 else at - phase.residue
        off[key] = wrapped(by, repeat)
    return off


def _linked(off: dict[str, float], now: Wanted, axis: Axis) -> None:
    """Give pieces without a figure that of a piece they must match, and so on along the links."""
    links = [(m.a, m.b) for m in now.matches if m.axis == axis and m.b]
    more = True
    while more:
        more = False
        for a, b in (*links, *((b, a) for a, b in links)):
            if a in off and b not in off:
                off[b], more = off[a], True


def _moved(t: Template, axis: Axis, by: float) -> Template:
    phases = tuple(Phase(p.axis, p.at, p.residue + by) if p.axis == axis else p for p in t.phases)
    return replace(t, phases=phases, rotations=(0.0,))
