"""What the next order carries of this one: what was learnt of the figure, and what waits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from pinwright.draft import all_styles
from pinwright.fitting.carry import inherited
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.notes import NoteResult
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
        rows += [_row(c, g, job) for n in job.notes for c in inherited(promised(n, g))]
    return rows + [row for t in job.order.carried for row in _waiting(t, job)]


def promised(note: NoteResult, g: GarmentJob) -> tuple[Correction, ...]:
    """What a note asked of a garment that its cut cloth cannot take, but the next draft can.

    Nothing where the same was done another way in this order, as at the hem instead of the waist:
    it would be carried twice.
    """
    asked = note.corrections
    if note.status != "refused" or note.garment != g.style.name or not asked:
        return ()
    done = {(c.kind, c.place) for c in g.after.ledger}
    if any((c.kind, c.place) in done for c in asked) or not any(
        fit(g.draft, [c]).refused for c in asked if c.form == "cut"
    ):
        return ()
    later = [replace(c, form="next") for c in asked]
    return () if fit(g.draft, [*g.before.ledger, *later]).refused else asked


def carried_words(job: Job, rows: Sequence[Row]) -> tuple[str, ...]:
    """What the next order carries and what not, a sentence each."""
    return (*(_carried(row) for row in rows), *_not_carried(job))


def _carried(row: Row) -> str:
    e = entry(row["kind"])
    amounts = ", ".join(
        f"{v:+g} {e.unit}" for v in row.get("amounts", {"amount": row.get("amount", 0.0)}).values()
    )
    side = "" if row.get("side", "both") == "both" else f", {row['side']}"
    said = f" (“{row['said']}”)" if row.get("said") else ""
    place = row["place"].replace("_", " ")
    on = f"{row['garment']}, " if row.get("garment") else ""
    return f"Carried: {on}{e.title.lower()}, {place}{side}: {amounts}{said}."


WHY = {
    "style": "it belongs to this garment, not to her figure",
    "cloth": "it belongs to this cloth, not to her figure",
    "record": "it is in her measures",
}
"""Why what was made is not carried, by what it belongs to."""

OPEN = {
    "short": "it waits for cloth and was not made",
    "asked": "its question is open",
    "kept": "it was kept as text",
}
"""Why what was not made is not carried, by what became of it."""


def _not_carried(job: Job) -> list[str]:
    found = []
    for n in job.notes:
        why = OPEN.get(n.status, "")
        if n.status == "refused":
            if any(promised(n, g) for g in job.garments):
                continue
            why = "it could not be made"
        elif n.status == "made" and not any(c.belongs_to == "figure" for c in n.corrections):
            why = next((WHY[c.belongs_to] for c in n.corrections), "")
        if why:
            found.append(f"Not carried: “{n.text}”: {why}.")
    return found


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
