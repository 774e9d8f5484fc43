"""What the next order carries of this one: what was learnt of the figure, and what waits."""

from __future__ import annotations

from typing import Any

from pinwright.draft import all_styles
from pinwright.fitting.carry import inherited
from pinwright.fitting.correction import Correction
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import CorrectionText

Row = dict[str, Any]


def carried_rows(job: Job) -> list[Row]:
    """The ``[[carried]]`` rows of the next order, as plain data.

    Corrections of the figure made in this order come with the measures they were made against.
    Those carried into it come as they were used; but where a girth was taped anew and only part of
    them could be taken back, they keep their first form and their first measures, so that the next
    order reckons again what the tape already contains. Rows that no garment of this order could
    use wait on unchanged. What was only drawn from the record is never carried: it is in the
    measures.
    """
    rows = []
    for g in job.garments:
        before = g.before.ledger
        fresh = [c for c in g.after.ledger if not any(c is b for b in before)]
        if any(_taped_anew(c) for c in before):
            used = [t for t in job.order.carried if _for(t, g) and t.place in g.draft.places]
            rows += [_kept(t, g.style.name) for t in used]
        else:
            rows += [_row(c, g, job) for c in inherited(before) if not _of_record(c)]
        rows += [_row(c, g, job) for c in inherited(fresh) if not _of_record(c)]
    return rows + [row for t in job.order.carried for row in _waiting(t, job)]


def _taped_anew(c: Correction) -> bool:
    return c.said.startswith("the ") and "was taped anew" in c.said


def _of_record(c: Correction) -> bool:
    return c.said.startswith("taped:") or _taped_anew(c)


def _for(text: CorrectionText, g: GarmentJob) -> bool:
    return text.garment in ("", g.style.name)


def _waiting(text: CorrectionText, job: Job) -> list[Row]:
    """A row, for the garments that could not use it here."""
    used = {g.style.name for g in job.garments if _for(text, g) and _used(text, g, job)}
    if not used:
        return [_kept(text, text.garment)]
    here = {g.style.name for g in job.garments}
    return [_kept(text, s) for s in all_styles() if not text.garment and s not in here]


def _used(text: CorrectionText, g: GarmentJob, job: Job) -> bool:
    """Whether a garment's draft was cut with a row; a frozen draft tells by what it holds."""
    if g.style.name not in job.order.frozen:
        return text.place in g.draft.places
    return any(
        (c.kind, c.place, c.side) == (text.kind, text.place, text.side) for c in g.before.ledger
    )


def _kept(text: CorrectionText, garment: str) -> Row:
    row = text.model_dump(exclude_defaults=True)
    row["garment"] = garment
    return {k: v for k, v in row.items() if v not in ("", None, {})}


def _row(c: Correction, g: GarmentJob, job: Job) -> Row:
    measures = sorted({t.measure for t in g.draft.targets if t.measure})
    row: Row = {
        "kind": c.kind,
        "place": c.place,
        "garment": g.style.name,
        "side": c.side,
        "said": c.said,
        "amounts": {k: round(v, 4) for k, v in c.amounts.items()},
        "options": dict(c.options),
        "measures": {m: round(job.body[m], 2) for m in measures},
    }
    return {k: v for k, v in row.items() if v not in ("", {})}
