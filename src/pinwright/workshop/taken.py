"""The remedies a fitting took where cloth was missing: told, and heeded by the recut sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from pinwright.cutting.remedies import Remedy, passed_up
from pinwright.measures.amounts import said
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.moved import short_title
from pinwright.workshop.cloth import sides
from pinwright.workshop.job import GarmentJob, Job


def taken(job: Job, g: GarmentJob) -> tuple[Remedy, ...]:
    """The remedies that the notes made on a garment took, in order."""
    return tuple(
        r for n in job.notes if n.status == "made" and n.garment == g.style.name for r in n.remedies
    )


def taken_words(job: Job, g: GarmentJob) -> tuple[tuple[str, str], ...]:
    """Rows of (piece, what is done there) for the fitting in words: one a remedy taken."""
    unit = job.order.client.units
    rows = []
    for r in taken(job, g):
        name = short_title(g.draft.piece(r.piece).title)
        who = name if r.side == "both" else f"{r.side} {name}"
        # the row already says whose edge it is
        text = f"{r.edge.replace('_', ' ')}: {r.text.partition(': ')[2]}"
        if r.shift:
            way = "lower" if r.shift > 0 else "higher"
            text += (
                f" All its lines then lie {said(abs(r.shift), unit)} {way} on the cloth than its "
                "threads: thread them anew. The sheet draws the old net line as if the threads had "
                "gone with it, and does not trim what the other edges have over from it."
            )
        rows.append((f"{who[:1].upper()}{who[1:]}, cloth was missing", text))
    return tuple(rows)


def as_passed(pieces: Sequence[Drawn], job: Job, g: GarmentJob) -> tuple[Drawn, ...]:
    """The pieces for the recut sheet, with the cloth that passing them left over not cut off.

    A piece passed along its grain has as much cloth more on one side of every slanting edge, a
    seat above the fork say, as it has less on the other; nothing was asked of those edges.
    """
    passed: dict[tuple[str, str], float] = {}
    for r in taken(job, g):
        for s in sides(r.side) if r.shift else ():
            passed[s, r.piece] = passed.get((s, r.piece), 0.0) + r.shift
    found = []
    for d in pieces:
        shift = passed.get(("left" if d.side == "left" else "right", d.piece.name), 0.0)
        if shift:
            cut = shapely.Polygon(d.cut_line)
            kept = shapely.union(cut, passed_up(d.piece, cut, shift))
            d = replace(d, cut_line=np.asarray(kept.exterior.coords))
        found.append(d)
    return tuple(found)
