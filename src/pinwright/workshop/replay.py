"""Taking the notes into the ledger one after the other, as pieces and cloth allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from pinwright.check.drawing import crosses_itself
from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import entry
from pinwright.fitting.changes import SEEN, told
from pinwright.fitting.correction import Correction, Form
from pinwright.fitting.ledger import Fitted, Half, fit
from pinwright.fitting.pins import hem_with_pins, lift
from pinwright.fitting.proposal import Proposal
from pinwright.fitting.propose import correction_from
from pinwright.fitting.truing import Step
from pinwright.measures.units import LengthUnit
from pinwright.pattern.garment import Garment
from pinwright.workshop.cloth import Cloths, Short, lacks, short_of_cloth, sides
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.offers import offers, together
from pinwright.workshop.wanted import Offer, Wanted, newly_short, shortage, worst_of


@dataclass(frozen=True, eq=False)
class Present:
    """The state between two notes: the garment, its ledger, its cloth."""

    garment: Garment
    fitted: Fitted
    ledger: tuple[Correction, ...]
    cloth: Cloths
    style: str
    cut: bool
    unit: LengthUnit


def take(
    note: NoteResult, proposals: Sequence[Proposal], present: Present
) -> tuple[Present, NoteResult]:
    """Make what a note proposes, if the pieces and the cloth can take it."""
    form: Form = "cut" if present.cut else "next"
    effects = present.fitted.effects
    made: list[Correction] = []
    try:
        for p in proposals:
            correction = correction_from(p, present.garment, form, note.text, effects)
            read = _as_read(correction, p.pins or note.pins, [*present.ledger, *made])
            if read is None:
                return present, _ask_pins(note, correction, [*present.ledger, *made], present.style)
            made.append(read)
    except CorrectionError as err:
        return present, replace(note, status="refused", says=str(err), garment=present.style)
    present_after, result = make(note, made, present)
    return present_after, replace(result, says=result.says + _kept(proposals, result))


def _lifted(correction: Correction, ledger: Sequence[Correction]) -> float:
    """How far the pins before it carry a jacket hem up on the side it is read on, cm."""
    side = "right" if correction.side == "both" else correction.side
    pinned = [c for c in ledger if c.form == "cut" and c.side in ("both", side)]
    return lift(pinned) if (correction.kind, correction.place) == HANGS else 0.0


HANGS = ("hem", "jacket_hem")
"""The hem that a fold pinned above it carries up."""


def _as_read(
    correction: Correction, pins: str | None, ledger: Sequence[Correction]
) -> Correction | None:
    """A hem as it was read, with the pins in or before them; None when that must be asked."""
    lifted = _lifted(correction, ledger)
    if abs(lifted) < SEEN:
        return correction
    if not pins:
        return None
    return replace(correction, amounts={"amount": hem_with_pins(correction.amount, pins, lifted)})


def _ask_pins(
    note: NoteResult, correction: Correction, ledger: Sequence[Correction], style: str
) -> NoteResult:
    marked, lifted = correction.amount, _lifted(correction, ledger)
    ways = [
        f"{pins}: the hem edge moves {hem_with_pins(marked, pins, lifted):+.1f}"
        for pins in ("in", "before")
    ]
    return replace(
        note,
        status="asked",
        garment=style,
        says=f"The pins above carry the hem {lifted:.1f} up: was it read with the pins in or "
        f"before them? ({'; '.join(ways)})",
    )


def _kept(proposals: Sequence[Proposal], result: NoteResult) -> str:
    """What the note said should stay, and whether it does."""
    out = []
    for word in dict.fromkeys(str(p.option("keep")) for p in proposals if p.option("keep")):
        name = word.replace("_", " ")
        most = max(
            (m.out for _, m in result.changes if m.kind == "edge" and m.edge == word),
            key=abs,
            default=0.0,
        )
        out.append(
            f" The {name} stays."
            if abs(most) < SEEN
            else f" The {name} was to stay; it moves {abs(most):.1f}."
        )
    return "".join(out) if result.status == "made" else ""


def take_written(on: date, correction: Correction, present: Present) -> tuple[Present, NoteResult]:
    """Make a correction that the order writes out."""
    e = entry(correction.kind)
    amounts = ", ".join(f"{v:+g}" for v in correction.amounts.values())
    text = f"{e.title.lower()}, {correction.place.replace('_', ' ')}, {correction.side}: {amounts}"
    return make(NoteResult(on, text, "proposed", ""), [correction], present)


def make(
    note: NoteResult, made: Sequence[Correction], present: Present
) -> tuple[Present, NoteResult]:
    """Add corrections to the ledger and say what they changed.

    A correction that the pieces cannot take is refused with its reason; one that the cloth cannot
    give waits with its computed options, unless the note names the option to take.
    """
    note = replace(note, garment=present.style, corrections=tuple(made))
    after = fit(present.garment, [*present.ledger, *made])
    if after.refused:
        return present, replace(note, status="refused", says=after.refused[0].reason)
    crossed = next((p for _, half in after.halves for p in half.pieces if crosses_itself(p)), None)
    if crossed is not None:
        return present, replace(
            note,
            status="refused",
            says=f"The {crossed.title.lower()} is too small for so much: its line would cross "
            "itself.",
        )
    note = replace(note, changes=told(present.fitted, after), steps=steps(present.fitted, after))
    wanted = Wanted(
        present.garment,
        (*present.ledger, *made),
        tuple(made),
        after,
        present.cloth,
        lacks(short_of_cloth(present.fitted, present.cloth)),
        present.unit,
    )
    short = newly_short(wanted)
    if not short:
        kept = replace(present, fitted=after, ledger=wanted.ledger)
        return kept, replace(note, status="made", says="Made.")
    return _remedied(replace(note, shortfalls=tuple(short)), wanted, present)


def _remedied(note: NoteResult, wanted: Wanted, present: Present) -> tuple[Present, NoteResult]:
    """Take the option a note names at every shortage it answers, or wait with all of them."""
    short = worst_of(note.shortfalls)
    ways = [offers(s, wanted) for s in short]
    lack = "; ".join(shortage(s, wanted.garment, wanted.unit) for s in short)
    waiting = replace(
        note, status="short", remedies=tuple(o.remedy for found in ways for o in found)
    )
    if not note.remedy:
        wait = "nothing is changed until one of the options is taken."
        return present, replace(waiting, says=f"Cloth is missing: {lack}; {wait}")
    chosen = [
        next((o for o in found if o.remedy.kind == note.remedy and o.remedy.feasible), None)
        for found in ways
    ]
    answers = [o for o in chosen if o is not None]
    try:
        done = together(answers, wanted)
    except CorrectionError as err:
        return present, replace(waiting, says=f"Cloth is missing: {lack}. {err}")
    left = _open(short, chosen, done)
    if left:
        still = "; ".join(shortage(s, wanted.garment, wanted.unit) for s in left)
        return present, replace(
            waiting,
            says=f"Cloth is missing: {lack}. The option {note.remedy.replace('_', ' ')} leaves "
            f"open: {still}; nothing is changed until another is taken.",
        )
    texts = " ".join(o.remedy.text for o in answers)
    result = replace(
        note,
        status="made",
        corrections=done.made,
        changes=told(present.fitted, done.fitted),
        steps=steps(present.fitted, done.fitted),
        shortfalls=tuple(newly_short(done)),
        remedies=tuple(o.remedy for o in answers),
        says=f"Made; cloth was missing: {lack}. {texts}",
    )
    return replace(present, fitted=done.fitted, ledger=done.ledger, cloth=done.cloth), result


def _open(short: Sequence[Short], chosen: Sequence[Offer | None], done: Wanted) -> list[Short]:
    """Shortages that the options taken do not answer, as they then are.

    Where a strip is pieced on, a hem faced, an edge drawn out, or the cutter moves a seam by hand,
    the lines stay as they are and the shortage is answered by that work.
    """
    by_work = {
        (s, p, x.edge)
        for (s, p, x), o in zip(short, chosen, strict=True)
        if o is not None and not o.corrections and o.cloth is None
    }
    return [item for item in worst_of(newly_short(done)) if not _in(item, by_work)]


def _in(item: Short, keys: set[tuple[str, str, str]]) -> bool:
    side, piece, x = item
    return ("both", piece, x.edge) in keys or all((s, piece, x.edge) in keys for s in sides(side))


def steps(before: Fitted, after: Fitted) -> tuple[str, ...]:
    """What truing gave between two states, in words."""
    out = []
    for side, half in after.halves:
        was = before.left if side == "left" else before.right
        old = {(s.seam, s.piece, s.where): s.amount for s in _trace(was)}
        for s in _trace(half):
            step = s.amount - old.get((s.seam, s.piece, s.where), 0.0)
            if abs(step) >= SEEN:
                who = s.piece if side == "both" else f"{side} {s.piece}"
                out.append(
                    f"{who} gives {step:+.1f} at {s.where.replace('_', ' ')} so that the "
                    f"{s.seam.replace('_', ' ')} seam agrees"
                )
    return tuple(out)


def _trace(half: Half) -> tuple[Step, ...]:
    return half.trued.steps if half.trued else ()
