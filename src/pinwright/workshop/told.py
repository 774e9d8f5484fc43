"""The notes of a job in words: what each moved, what it answers, what a check found."""

from __future__ import annotations

from pinwright.check.result import Check, named_on
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, fit
from pinwright.sheets.moved import Move, moves_of, sentence, short_title
from pinwright.workshop.job import Job
from pinwright.workshop.notes import NoteResult


def states(job: Job) -> dict[int, tuple[Fitted, Fitted]]:
    """The garment before and after each note that was made, by the note's place in the job."""
    found: dict[int, tuple[Fitted, Fitted]] = {}
    for g in job.garments:
        ledger: list[Correction] = list(g.before.ledger)
        present = g.before
        for i, n in enumerate(job.notes):
            if n.garment != g.style.name or n.status != "made":
                continue
            ledger += n.corrections
            after = fit(g.draft, ledger)
            found[i] = (present, after)
            present = after
    return found


def moves(note: NoteResult, between: tuple[Fitted, Fitted] | None, job: Job) -> tuple[Move, ...]:
    """What a note moved (or, where the cloth is short, what it would move).

    What lies at the note's own place comes first, then the rest, greatest first. ``between`` are
    the garment before and after the note, None when it was not made.
    """
    found = moves_of(note.changes, between, job.order.client.units)
    own = _own_keys(note, job)
    return tuple(sorted(found, key=lambda m: (m.key not in own, -m.most)))


def _own_keys(note: NoteResult, job: Job) -> set[str]:
    """Where the note itself was made: the edges of its places, told before what followed."""
    found: set[str] = set()
    for g in job.garments:
        if g.style.name != note.garment:
            continue
        for c in note.corrections:
            for place in (c.place, f"{c.place}_seam"):
                found |= {f"{e.piece}|{e.edge}" for e in g.draft.places.get(place, ())}
            darts = [(p, d) for p in g.draft.pieces for d in p.darts if d.place == c.place]
            if darts:
                found = {f"{p.name}|dart:{d.name}" for p, d in darts}
    return found


def note_lines(job: Job, note: NoteResult) -> tuple[str, ...]:
    """What a note moved or would move, one line each, as the page tells it."""
    at = next((i for i, n in enumerate(job.notes) if n is note), -1)
    return tuple(sentence(m) for m in moves(note, states(job).get(at), job))


def answer_words(note: NoteResult) -> str:
    """What the note's result says, without repeating its status."""
    says = note.says
    for status in ("Kept as text: ", "Kept as text. ", "Made. ", "Made; ", "Seen; "):
        says = says.removeprefix(status)
    return says[:1].upper() + says[1:]


def ways(note: NoteResult) -> tuple[str, tuple[str, ...]]:
    """A question that is open and the ways to answer it; none where it has no choices."""
    if note.status == "asked" and note.reading is not None and note.reading.questions:
        q = note.reading.questions[0]
        return q.text, tuple(f"{c.key.replace('_', ' ')}: {c.sentence}" for c in q.choices)
    return answer_words(note), ()


def check_name(c: Check) -> str:
    """What a check looked at: "waves along the front side", else its own name."""
    if c.group != "curves":
        return c.name
    head, _, what = c.name.rpartition(": ")
    piece, _, edge = head.rpartition(", ")
    kind = "waves" if what == "changes of bend" else "break"
    return f"{kind} along the {named_on(short_title(piece), edge)}"


def check_words(c: Check) -> str:
    """A check that wants a look, in one line: what, its value, what was expected."""
    side = "" if c.side == "both" else f" ({c.side})"
    if c.group == "curves" and c.unit == "":
        return f"{check_name(c)}{side}: {c.value:.0f}, expected {c.target:.0f} or fewer"
    if c.group == "curves":
        return f"{check_name(c)}{side}: {c.value:.1f}°, expected {c.tolerance:g}° or less"
    if c.group == "cloth":
        return f"cloth is missing{side}: {c.value:.1f} cm, expected none"
    unit = {"deg": "°", "": ""}.get(c.unit, f" {c.unit}")
    should = f"should be {c.target:.2f} ± {c.tolerance:g}{unit}"
    if c.bound == "least":
        should = f"should be at least {c.target:.2f}{unit}"
    return f"{check_name(c)}{side}: {c.value:.2f}{unit}, {should}"
