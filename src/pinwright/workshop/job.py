"""The whole job of an order, computed in one direction: draft, fitting, making up, check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from pinwright.check import Check, all_checks
from pinwright.check.drawing import outline_check
from pinwright.check.lining import fitted_lining_checks
from pinwright.check.result import judged
from pinwright.cutting.habits import known_keys, settled
from pinwright.cutting.sentences import capital, listed, small
from pinwright.draft import style as find_style
from pinwright.draft.style import Style
from pinwright.fitting.changes import changed_pieces
from pinwright.fitting.correction import Form
from pinwright.fitting.ledger import Fitted
from pinwright.measures import Body, MeasureWarning, complete, read_record, warnings
from pinwright.pattern.garment import Derive, Garment
from pinwright.pattern.piece import Piece
from pinwright.workshop.cloth import MISSING, Cloths, cut_cloth, short_of_cloth
from pinwright.workshop.freezing import (
    as_cut,
    drafted,
    fray_of,
    kept_habits,
    keys_elsewhere,
    left_out,
    stale,
)
from pinwright.workshop.notes import NoteResult, read_notes, written
from pinwright.workshop.order import GarmentOrder, Order
from pinwright.workshop.replay import Present, take, take_written


@dataclass(frozen=True, eq=False)
class GarmentJob:
    """One garment of the order, before and after its fitting.

    ``derive`` gives the pieces that follow by rule, with the order's own allowances and reserves.
    """

    spec: GarmentOrder
    style: Style
    choices: Mapping[str, object]
    draft: Garment
    derive: Derive
    before: Fitted
    after: Fitted
    checks_before: tuple[Check, ...]
    checks_after: tuple[Check, ...]
    made_up: Mapping[str, tuple[Piece, ...]] = field(default_factory=dict)
    made_up_before: Mapping[str, tuple[Piece, ...]] = field(default_factory=dict)
    cloth: Cloths = field(default_factory=dict)

    @property
    def changed(self) -> Mapping[str, tuple[str, ...]]:
        """Names of the pieces that the fitting changed, by side."""
        return changed_pieces(self.before, self.after)


@dataclass(frozen=True, eq=False)
class Job:
    """Everything computed from an order."""

    order: Order
    body: Body
    warnings: tuple[MeasureWarning, ...]
    remarks: tuple[str, ...]
    garments: tuple[GarmentJob, ...]
    notes: tuple[NoteResult, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """All checks after the fitting."""
        return tuple(c for g in self.garments for c in g.checks_after)


def body_of(order: Order) -> tuple[Body, tuple[MeasureWarning, ...]]:
    """The client's body from the order's record, completed, and what looks odd in it.

    Raises:
        MeasureError: a measure is misspelt, impossible or missing.
    """
    record = read_record(order.measures, unit=order.client.units)
    kinds = [g.style for g in order.garments]
    if not order.measures and not any(find_style(k).measures for k in kinds):
        # pieces that were brought in need no body
        return Body({}, {}, {}, {}), ()
    return complete(record, kinds), warnings(record)


def figure_body_of(order: Order) -> tuple[Body, tuple[MeasureWarning, ...]]:
    """The same for her figure alone: without what only drafting a garment asks for.

    Raises:
        MeasureError: a measure is misspelt, impossible, or missing for any body at all.
    """
    record = read_record(order.measures, unit=order.client.units)
    if not order.measures:
        return Body({}, {}, {}, {}), ()
    return complete(record), warnings(record)


def run(order: Order) -> Job:
    """Do the whole job of an order.

    Raises:
        PinwrightError: the order cannot be drafted; corrections that cannot be made do not
            raise, they come back as refused notes.
    """
    body, odd = body_of(order)
    jobs, notes = [], []
    read = read_notes(order)
    for spec in order.garments:
        job, results = _garment(order, spec, body, read)
        jobs.append(job)
        notes += results
    notes += [n for n in read if not n.corrections and n.status != "proposed"]
    order_of = {id(n): i for i, n in enumerate(read)}
    notes.sort(key=lambda n: order_of.get(id(n), _position(read, n)))
    remarks = [x for j in jobs if j.spec.style in order.frozen for x in stale(j.draft, body)]
    remarks += [
        x
        for j in jobs
        if j.spec.style not in order.frozen
        for x in left_out(order, j.spec, j.draft)
    ]
    remarks += habit_remarks(order, jobs, body)
    return Job(order, body, odd, tuple(remarks), tuple(jobs), tuple(notes))


def _position(read: list[NoteResult], n: NoteResult) -> float:
    for i, r in enumerate(read):
        if r.text == n.text and r.on == n.on:
            return i + 0.5
    return len(read)


def _garment(
    order: Order, spec: GarmentOrder, body: Body, read: list[NoteResult]
) -> tuple[GarmentJob, list[NoteResult]]:
    found, choices, draft, corrections = drafted(order, spec, body)
    before = as_cut(draft, corrections)
    present = Present(
        draft,
        before,
        before.ledger,
        cut_cloth(before, spec),
        spec.style,
        spec.cut,
        order.client.units,
    )
    results: list[NoteResult] = []
    form: Form = "cut" if spec.cut else "next"
    for number, fitting in enumerate(order.fittings):
        for note in read:
            if note.fitting != number or note.reading is None or note.status != "proposed":
                continue
            mine = [p for p in note.reading.proposals if p.garment in (None, spec.style)]
            if mine:
                present, result = take(note, mine, present)
                results.append(result)
        for text in fitting.corrections:
            if text.garment in ("", spec.style):
                correction = written(text, form, draft)
                present, result = take_written(fitting.date, correction, present)
                results.append(replace(result, fitting=number))
    following = _following(order, spec, found, draft, body)
    made_up = _made_up(following, present.fitted)
    made_before = _made_up(following, before)
    job = GarmentJob(
        spec,
        found,
        choices,
        draft,
        following,
        before,
        present.fitted,
        (*all_checks(before), *fitted_lining_checks(before, made_before)),
        (
            *all_checks(present.fitted),
            *fitted_lining_checks(present.fitted, made_up),
            *_made_up_checks(made_up),
            *_cloth_checks(present),
        ),
        made_up,
        made_before,
        present.cloth,
    )
    return job, results


def _following(
    order: Order, spec: GarmentOrder, found: Style, draft: Garment, body: Body
) -> Derive:
    """How a garment's other pieces follow by rule, with the order's habits where it has any."""
    if not kept_habits(order):
        return found.derive
    own = {p.name: p for p in draft.pieces}
    plain = found.derive(own, draft)
    elsewhere = keys_elsewhere(order, spec, body) | known_keys(draft, (*draft.pieces, *plain))

    def derive(pieces: Mapping[str, Piece], garment: Garment) -> tuple[Piece, ...]:
        # each piece as its own cloth frays
        return tuple(
            x
            for p in found.derive(pieces, garment)
            for x in settled(
                garment, order.habits, fray_of(order, spec, p.layer), (p,), elsewhere
            ).pieces
        )

    return derive


def habit_remarks(order: Order, jobs: Sequence[GarmentJob], body: Body) -> list[str]:
    """What the order's habits do that a cutter should hear, and those that nothing heeds."""
    if not kept_habits(order):
        return []
    said: list[str] = []
    unused: list[set[str]] = []
    for j in jobs:
        elsewhere = keys_elsewhere(order, j.spec, body)
        derived = next(iter(j.made_up.values()), ())
        found = settled(
            j.draft, order.habits, fray_of(order, j.spec), (*j.draft.pieces, *derived), elsewhere
        )
        title = capital(j.draft.title)
        said += [f"{title}: {small(w)}" for w in found.warnings]
        unused.append(set(found.unused))
        own = zip(j.draft.pieces, found.pieces, strict=False)  # its own come first
        late = [a.title.lower() for a, b in own if a is not b]
        if late and j.spec.style in order.frozen:
            said.append(
                f"{title}: frozen with other habits, which stay on {listed(late)}. If it is not "
                "cut, draft it anew with `pinwright draft ORDER --redo`."
            )
    idle = set.intersection(*unused) if unused else set()
    said += [
        f"habits.{key} changes nothing: no garment of this order has such a place."
        for key in sorted(idle)
    ]
    return said


def _made_up(derive: Derive, fitted: Fitted) -> dict[str, tuple[Piece, ...]]:
    return {
        side: derive(half.by_name, replace(fitted.garment, facts=half.facts))
        for side, half in fitted.halves
    }


def _made_up_checks(made_up: Mapping[str, tuple[Piece, ...]]) -> list[Check]:
    """No piece that follows by rule crosses itself; linings are looked at with their checks."""
    return [
        outline_check(p, side)
        for side, pieces in made_up.items()
        for p in pieces
        if p.layer != "lining"
    ]


def _cloth_checks(present: Present) -> list[Check]:
    if not present.cloth:
        return []
    short = short_of_cloth(present.fitted, present.cloth)
    return [
        judged(
            "cloth as cut suffices",
            "cloth",
            present.style,
            max((x.missing for _, _, x in short), default=0.0),
            0.0,
            MISSING,
            says="the new net line and its least allowance lie on the cloth that was cut",
            soft=True,
        )
    ]
