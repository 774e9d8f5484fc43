"""The lines of the notebook: what each proposes, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import cast, get_args

from pinwright.cutting.remedies import Remedy, RemedyKind
from pinwright.cutting.reserve import Shortfall
from pinwright.errors import CorrectionError, OrderError
from pinwright.fitting.catalogue import entry, reasons_against
from pinwright.fitting.changes import Moved
from pinwright.fitting.correction import Correction, Form
from pinwright.fitting.proposal import MeantAs, Proposal, as_options
from pinwright.fitting.propose import correction_from
from pinwright.fitting.reader import Brought, Reading, answer, read_line
from pinwright.fitting.reader.amounts import Unit
from pinwright.fitting.reader.brought import NAME as BROUGHT
from pinwright.pattern.codec import unpack
from pinwright.pattern.garment import Garment
from pinwright.workshop.order import CorrectionText, Note, Order


@dataclass(frozen=True, eq=False)
class NoteResult:
    """What became of one line of the notebook.

    ``status``: made, seen (an observation), kept (not understood, kept as text), asked (a
    question is open), refused (cannot be made), short (the cloth does not reach; see remedies),
    withdrawn.
    """

    on: date
    text: str
    status: str
    says: str
    garment: str = ""
    reading: Reading | None = None
    corrections: tuple[Correction, ...] = ()
    changes: tuple[tuple[str, Moved], ...] = ()
    steps: tuple[str, ...] = ()
    remedy: str = ""
    pins: str = ""
    fitting: int = 0
    shortfalls: tuple[tuple[str, str, Shortfall], ...] = ()
    remedies: tuple[Remedy, ...] = ()


PINS = ("in", "before")
"""Whether a hem was read with the pins of the fitting in, or before them."""


def _sound(note: Note, garments: tuple[str, ...]) -> None:
    """Refuse a note that names a garment or an option there is none of.

    Raises:
        OrderError: in one sentence, with what there is.
    """
    if note.garment and note.garment not in garments:
        raise OrderError(
            f"The note {note.text!r} is for the garment {note.garment!r}; this order has "
            f"{', '.join(garments)}."
        )
    kinds = get_args(RemedyKind)
    if note.remedy and note.remedy not in kinds:
        raise OrderError(
            f"The note {note.text!r} takes the option {note.remedy!r}; it may be "
            f"{', '.join(kinds)}."
        )


def _brought(order: Order) -> Brought | None:
    """The order's brought-in pattern as the reader needs it, if it has one and lines to read."""
    kept = order.frozen.get(BROUGHT)
    if kept is None or not any(f.notes for f in order.fittings):
        return None
    garment = unpack(kept.draft)
    cut = any(g.style == BROUGHT and g.cut for g in order.garments)
    return Brought(garment.title, reasons_against(garment, "cut" if cut else "next"))


def read_notes(order: Order) -> list[NoteResult]:
    """Read every line of every fitting; those with proposals carry the status "proposed"."""
    names = tuple(g.style for g in order.garments)
    brought = _brought(order)
    found = []
    for number, fitting in enumerate(order.fittings):
        for note in fitting.notes:
            if note.withdrawn:
                found.append(
                    NoteResult(fitting.date, note.text, "withdrawn", "Withdrawn.", fitting=number)
                )
                continue
            _sound(note, names)
            garments = (note.garment,) if note.garment else names
            unit: Unit = "inch" if order.client.units == "in" else "cm"
            reading = read_line(note.text, garments, unit, brought)
            pins = ""
            for choice in filter(None, (w.strip() for w in note.meant.split(","))):
                if reading.questions:
                    reading = answer(reading, choice)
                elif choice in PINS and not pins:
                    pins = choice
                else:
                    raise OrderError(
                        f"The note {note.text!r} is said to mean {choice!r}, but it asks nothing "
                        "more; leave `meant` out."
                    )
            base = NoteResult(
                fitting.date,
                note.text,
                "proposed",
                "",
                garment=note.garment,
                reading=reading,
                remedy=note.remedy,
                pins=pins,
                fitting=number,
            )
            if reading.status == "question":
                ways = "; ".join(f"{k}: {s}" for k, s in reading.meanings)
                found.append(replace(base, status="asked", says=f"{reading.question} ({ways})"))
            elif reading.status == "observation":
                found.append(replace(base, status="seen", says="Seen; nothing is changed by it."))
            elif reading.status == "kept" or not reading.proposals:
                found.append(
                    replace(
                        base, status="kept", says=reading.why or "Not understood; kept as text."
                    )
                )
            else:
                found.append(base)
    return found


def written(text: CorrectionText, form: Form, garment: Garment) -> Correction:
    """A correction written out in the order.

    Its amount is the entry's own unless ``meant_as`` says otherwise ("girth", "fold", ...).

    Raises:
        CorrectionError: unknown kind, neither amount nor amounts, or a meaning it cannot have.
    """
    e = entry(text.kind)
    amounts = dict(text.amounts)
    if text.amount is not None:
        amounts.setdefault(e.components[0], text.amount)
    if not amounts:
        raise CorrectionError(f"{e.title}: no amount is given; give amount or amounts.")
    if text.meant_as:
        if text.meant_as not in e.meanings and text.meant_as != "measure":
            raise CorrectionError(
                f"{e.title}: an amount cannot be meant as {text.meant_as!r}; it may be "
                f"{', '.join(e.meanings)}."
            )
        proposal = Proposal(
            text.kind,
            text.place,
            text.side,
            amounts[e.components[0]],
            cast(MeantAs, text.meant_as),
            as_options(text.options),
        )
        return replace(correction_from(proposal, garment, form), said=text.said)
    return Correction(
        kind=text.kind,
        place=text.place,
        side=text.side,
        amounts=amounts,
        options=text.options,
        form=form,
        said=text.said,
        belongs_to=text.belongs_to or e.belongs_to,
    )
