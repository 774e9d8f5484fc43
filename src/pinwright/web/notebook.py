"""The fitting's notes as HTML: what was said, what became of it, what it moved."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.correction import Correction
from pinwright.measures.amounts import amount
from pinwright.sheets.moved import Move, where
from pinwright.workshop.job import Job
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.told import answer_words

STATUS = {
    "made": "Made",
    "short": "Short of cloth",
    "asked": "Asks",
    "kept": "Kept as text",
    "seen": "Seen",
    "refused": "Refused",
    "withdrawn": "Withdrawn",
}

MEANT = {
    "fold": "the depth of a fold",
    "removed": "cloth in all at the seam",
    "girth": "change of girth",
}

WAITING = ("short", "asked", "refused")
"""These wait for the cutter."""

SHOWN = 5
"""So many movements are listed at once; the rest is folded away."""


def correction_words(c: Correction, job: Job) -> str:
    """A correction as the catalogue names it: "Bust dart intake, both sides: 1.0 deeper"."""
    e = entry(c.kind)
    unit = job.order.client.units
    sides = "both sides" if c.side == "both" else f"{c.side} only"
    where = c.place.replace("_", " ")
    title = e.title if where in e.title.lower() else f"{e.title}, {where}"
    if not e.one_sided:
        sides = ""
    said = []
    for name, value in c.amounts.items():
        sign = "+" if value >= 0 else "−"
        which = "" if name == "amount" else f"{name.replace('_', ' ')} "
        size = f"{abs(value):g}°" if e.unit == "deg" else amount(value, unit)
        said.append(f"{which}{sign}{size}{e.unit.removeprefix('cm').removeprefix('deg')}")
    told = "; ".join(said)
    if c.meant_as in ("fold", "removed", "girth"):
        told += f" (pinned amount meant as {MEANT[c.meant_as]})"
    return ", ".join(filter(None, (title, sides))) + ": " + told


def note_card(number: int, note: NoteResult, moved: Sequence[Move], job: Job) -> str:
    """One note as a list item; its button picks it out on the drawing."""
    keys = " ".join(
        escape(f"{side}|{m.key}".replace(" ", "~"))
        for m in moved
        for side in (("both", "right", "left") if m.side == "both" else ("both", m.side))
    )
    meta = STATUS[note.status] + (f" · {note.garment}" if note.garment else "")
    parts = [
        f'<li class="note {note.status}" id="note-{number}" data-note="{number}" '
        f'data-garment="{escape(note.garment)}" data-moves="{keys}">',
        f'<h3><button type="button" class="pick" aria-pressed="false" '
        f'aria-describedby="note-{number}-what">'
        f'<span class="head" aria-hidden="true">{number}</span> '
        f'<span class="said">{escape(note.text)}</span></button></h3>',
        f'<div class="what" id="note-{number}-what"><p class="status">{escape(meta)}</p>',
    ]
    parts.append(_how(note, job))
    if note.says != "Made.":
        parts.append(_says(note))
    if moved:
        lead = "" if note.status == "made" else '<p class="lead">It would move:</p>'
        parts.append(lead + _moves(moved))
    if note.steps and note.status == "made":
        items = "".join(f"<li>{escape(s)}</li>" for s in note.steps)
        parts.append(f"<details><summary>What truing gave</summary><ul>{items}</ul></details>")
    if note.remedies and note.status == "short":
        parts.append(_options(note))
    parts.append("</div></li>")
    return "".join(parts)


def _how(note: NoteResult, job: Job) -> str:
    if not note.corrections:
        return ""
    try:
        lines = [correction_words(c, job) for c in note.corrections]
    except CorrectionError:
        return ""
    return "".join(f'<p class="how">{escape(x)}</p>' for x in lines)


def _says(note: NoteResult) -> str:
    if note.status == "asked" and note.reading is not None and note.reading.questions:
        q = note.reading.questions[0]
        ways = "".join(
            f"<li><b>{escape(c.key.replace('_', ' '))}</b> {escape(c.sentence)}</li>"
            for c in q.choices
        )
        return f'<p>{escape(q.text)}</p><ul class="ways">{ways}</ul>'
    return f"<p>{escape(answer_words(note))}</p>"


def _moves(moved: Sequence[Move]) -> str:
    def rows(part: Sequence[Move]) -> str:
        return "".join(
            f'<li><span class="where">{escape(where(m))}</span> '
            f'<span class="did">{escape(m.did)}</span></li>'
            for m in part
        )

    out = f'<ul class="moves">{rows(moved[:SHOWN])}</ul>'
    if len(moved) > SHOWN:
        rest = len(moved) - SHOWN
        out += (
            f"<details><summary>and {rest} more</summary>"
            f'<ul class="moves">{rows(moved[SHOWN:])}</ul></details>'
        )
    return out


def _options(note: NoteResult) -> str:
    items = "".join(
        f'<li class="{"can" if r.feasible else "cannot"}">'
        f'<b aria-hidden="true">{"✓" if r.feasible else "✗"}</b> {escape(r.text)}'
        f"{'' if r.feasible else ' <i>(not enough)</i>'}</li>"
        for r in note.remedies
    )
    return f'<p class="lead">What the cloth allows:</p><ul class="options">{items}</ul>'
