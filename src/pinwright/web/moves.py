"""What each note of the fitting moved: edges, darts and what is drawn inside the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pinwright.fitting.changes import Moved
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, Half, fit
from pinwright.measures.units import LengthUnit, format_length
from pinwright.pattern.piece import Dart, Piece
from pinwright.web.svg import short_title
from pinwright.workshop.job import Job
from pinwright.workshop.notes import NoteResult

WORTH = 0.05
"""Smaller movements, cm, are not told."""


@dataclass(frozen=True, slots=True)
class Move:
    """One thing a note moved: ``what`` on ``title`` (piece name), ``did`` in words.

    ``key`` is the drawing's "piece|edge", ``most`` the greatest movement, cm.
    """

    side: str
    piece: str
    title: str
    what: str
    key: str
    did: str
    most: float


def amount(value: float, unit: LengthUnit) -> str:
    """A length without sign as a person reads it: "1.5" in cm orders, "5/8 in" in inch orders."""
    return f"{abs(value):.1f}" if unit == "cm" else format_length(abs(value), "in")


def moves(note: NoteResult, states: tuple[Fitted, Fitted] | None, job: Job) -> tuple[Move, ...]:
    """What a note moved (or, where the cloth is short, what it would move).

    What lies at the note's own place comes first, then the rest, greatest first.

    ``states`` are the garment before and after the note, None when it was not made.
    """
    unit = job.order.client.units
    found = [_edge(side, m, unit) for side, m in note.changes if m.kind == "edge"]
    found += [_fact(side, m, unit) for side, m in note.changes if m.kind == "fact"]
    if states is not None:
        found += _inside(*states, unit)
    merged = _merged([m for m in found if m.did])
    own = _own_keys(note, job)
    return tuple(sorted(merged, key=lambda m: (m.key not in own, -m.most)))


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


WAYS = {"hem": ("down", "up"), "waist": ("up", "down"), "shoulder": ("up", "down")}
"""How a cutter says outward and inward of an edge that lies level."""


def _edge(side: str, m: Moved, unit: LengthUnit) -> Move:
    at = station_words(m.edge, m.at)
    out, into = WAYS.get(m.edge, ("out", "in"))
    parts = []
    if abs(m.out) >= WORTH:
        parts.append(f"{amount(m.out, unit)} {out if m.out > 0 else into} at the {at}")
    elif abs(m.along) >= WORTH:
        parts.append(f"slides {amount(m.along, unit)} at the {at}")
    if abs(m.longer) >= WORTH:
        parts.append(f"{amount(m.longer, unit)} {'longer' if m.longer > 0 else 'shorter'}")
    title = m.title.partition(" (")[0].removeprefix("trouser ")
    what = m.edge.replace("_", " ")
    return Move(side, m.piece, title, what, f"{m.piece}|{m.edge}", ", ".join(parts), m.most)


def station_words(edge: str, at: str) -> str:
    """A station as it is said on its own edge: "hem_side" is "side" on the hem, "hem" on the side.

    The names of points that two edges share are made of both edges' names.
    """
    own = {*edge.split("_"), *({"in"} if edge == "inseam" else ())}
    words = [w for w in at.split(":")[-1].split("_") if w not in own]
    said = " ".join(words) or at.split(":")[-1].replace("_", " ")
    return "inseam" if said == "in" else said


TOLD_BY_LINES = ("pocket_length", "pocket_top", "pocket_top_above_hip")
"""Facts that the line drawn for them tells better."""


def _fact(side: str, m: Moved, unit: LengthUnit) -> Move:
    if m.edge == "sleeve_pitch":
        did = f"{amount(m.longer, unit)} {'forward' if m.longer > 0 else 'backward'} in the armhole"
        return Move(side, "sleeve", "Sleeve", "marks", "sleeve|cap", did, m.most)
    did = "" if m.edge in TOLD_BY_LINES else f"{m.longer:+.1f}".replace("-", "−")
    return Move(side, "", m.title, m.edge.replace("_", " "), "", did, m.most)


def _inside(before: Fitted, after: Fitted, unit: LengthUnit) -> list[Move]:
    if after.right is after.left and before.right is before.left:
        return _half("both", before.right, after.right, unit)
    return [
        *_half("right", before.right, after.right, unit),
        *_half("left", before.left, after.left, unit),
    ]


def _half(side: str, before: Half, after: Half, unit: LengthUnit) -> list[Move]:
    found = []
    for was, now in zip(before.pieces, after.pieces, strict=True):
        if was is now:
            continue
        title = short_title(now)
        for a, b in zip(was.darts, now.darts, strict=True):
            did, most = _dart(was, a, now, b, unit)
            key = f"{now.name}|dart:{b.name}"
            found.append(Move(side, now.name, title, b.name, key, did, most))
        for x, y in zip(was.lines, now.lines, strict=True):
            if x.kind not in ("opening", "stitch", "fold"):
                continue
            step = ((y.path.start - x.path.start) + (y.path.end - x.path.end)) / 2
            did = _step(step, y.path.length - x.path.length if x.kind == "opening" else 0.0, unit)
            what = y.name.replace("_", " ")
            key = f"{now.name}|line:{y.name}"
            found.append(Move(side, now.name, title, what, key, did, float(np.hypot(*step))))
    return found


def _dart(was: Piece, a: Dart, now: Piece, b: Dart, unit: LengthUnit) -> tuple[str, float]:
    old, new = (np.hypot(*np.subtract(*p.mouth(d.name))) for p, d in ((was, a), (now, b)))
    deeper = float(new - old)
    depth = [np.hypot(*(np.add(*p.mouth(d.name)) / 2 - d.apex)) for p, d in ((was, a), (now, b))]
    longer = float(depth[1] - depth[0])
    parts = []
    if abs(deeper) >= WORTH:
        parts.append(f"mouth {amount(deeper, unit)} {'wider' if deeper > 0 else 'narrower'}")
    if abs(longer) >= WORTH:
        parts.append(f"point {amount(longer, unit)} {'further' if longer > 0 else 'nearer'}")
    return ", ".join(parts), max(abs(deeper), abs(longer))


def _step(
    step: np.ndarray[tuple[int], np.dtype[np.float64]], longer: float, unit: LengthUnit
) -> str:
    parts = []
    if abs(step[1]) >= WORTH:
        parts.append(f"{amount(step[1], unit)} {'higher' if step[1] > 0 else 'lower'}")
    if abs(step[0]) >= WORTH:
        way = "towards the side" if step[0] > 0 else "towards the centre"
        parts.append(f"{amount(step[0], unit)} {way}")
    if abs(longer) >= WORTH:
        parts.append(f"{amount(longer, unit)} {'longer' if longer > 0 else 'shorter'}")
    return ", ".join(parts)


def _merged(found: Sequence[Move]) -> list[Move]:
    """Right and left told once where they did the same."""
    out: list[Move] = []
    for m in found:
        twin = next(
            (
                i
                for i, o in enumerate(out)
                if {o.side, m.side} == {"right", "left"} and (o.key, o.did) == (m.key, m.did)
            ),
            None,
        )
        if twin is None:
            out.append(m)
        else:
            out[twin] = replace(out[twin], side="both")
    return out
