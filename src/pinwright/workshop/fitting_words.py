"""The fitting of one garment in plain lines, for the first page of its recut sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from pinwright.check.result import Check
from pinwright.fitting.catalogue import entry
from pinwright.fitting.changes import SEEN
from pinwright.fitting.correction import Correction
from pinwright.fitting.proposal import Proposal
from pinwright.fitting.reader.reading import Item
from pinwright.pattern.garment import Garment
from pinwright.sheets.drawn import Drawn
from pinwright.sheets.moved import Move, between, short_title, who
from pinwright.sheets.recut import cut_anew
from pinwright.sheets.words import FittingWords, Undone
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.taken import taken_words
from pinwright.workshop.told import answer_words, check_words, ways

OPEN = ("refused", "short", "asked", "kept")
"""Notes that could not be done as asked."""


def fitting_words(job: Job, g: GarmentJob, pieces: Sequence[Drawn]) -> FittingWords:
    """What was pinned on a garment, what it changed in the end, and what is still open.

    ``pieces`` are the garment's pieces as drawn; those that follow by rule or are cut after the
    fitting, and changed, are named to be cut anew.
    """
    # numbered as on the page, so that both speak of the same note by the same number
    mine = {
        k: n for k, n in enumerate(job.notes, 1) if n.status != "withdrawn" and concerns(n, g, job)
    }
    made = [n for n in mine.values() if n.status == "made"]
    anew = list(dict.fromkeys(short_title(d.piece.title) for d in cut_anew(pieces)))
    return FittingWords(
        pinned=_pinned(mine),
        changed=(*resulting(g, job), *taken_words(job, g)),
        check_next=(*_to_look_at(g), *_companions(made, g, job, anew)),
        not_done=tuple(_undone(k, n) for k, n in mine.items() if n.status in OPEN),
        cut_anew=tuple(anew),
    )


def concerns(note: NoteResult, g: GarmentJob, job: Job) -> bool:
    """Whether a note is about a garment.

    One that names no garment is about that whose parts it names ("collar": the jacket), else about
    every garment of the order.
    """
    if note.garment:
        return note.garment == g.style.name
    named = _garments(note.reading.items) if note.reading is not None else set()
    if named - {None}:
        return None in named or g.style.name in named
    said = set(re.findall(r"[a-z]+", note.text.lower()))
    own = said & _parts(g)
    others = {w for o in job.garments if o is not g for w in said & _parts(o)}
    return bool(own - others) or not others - own


def _parts(g: GarmentJob) -> set[str]:
    """The words for a garment, its pieces and their edges."""
    names = [g.style.name, g.draft.title]
    for p in (*g.draft.pieces, *next(iter(g.made_up.values()), ())):
        names += [short_title(p.title), *(e.name.replace("_", " ") for e in p.edges)]
    return {w for name in names for w in re.findall(r"[a-z]+", name.lower())}


def _garments(items: Iterable[Item]) -> set[str | None]:
    found: set[str | None] = set()
    for item in items:
        if isinstance(item, Proposal):
            found.add(item.garment)
        else:
            found |= _garments(i for c in item.choices for i in c.items)
    return found


def _pinned(mine: Mapping[int, NoteResult]) -> tuple[tuple[int, str], ...]:
    """The lines as said, by their numbers; the day stands before each only when there was more than
    one."""
    days = {n.on for n in mine.values()}
    return tuple((k, n.text if len(days) < 2 else f"{n.on}: {n.text}") for k, n in mine.items())


def resulting(g: GarmentJob, job: Job) -> tuple[tuple[str, str], ...]:
    """For each piece what it differs by from how it was cut, all notes together."""
    order = {p.name: i for i, p in enumerate(g.draft.pieces)}
    rows: dict[str, list[Move]] = {}
    found = between(g.before, g.after, job.order.client.units)
    for m in sorted(found, key=lambda m: (order.get(m.piece, len(order)), m.side)):
        rows.setdefault(who(m), []).append(m)
    return tuple(
        (name[:1].upper() + name[1:], "; ".join(_told(m) for m in sorted(ms, key=_most)))
        for name, ms in rows.items()
    )


def _most(m: Move) -> float:
    return -m.most


def _told(m: Move) -> str:
    """What moved, without the piece that stands before the row: "side: 1.0 in at the waist"."""
    what = m.what.removeprefix(f"{m.title} ") if "dart" in m.what else m.what
    return f"{what}: {m.did}"


def _undone(number: int, n: NoteResult) -> Undone:
    said, choices = ways(n)
    text = f"{number}. “{n.text}”: {said}"
    if n.status == "kept":
        text = f"{number}. “{n.text}”: kept as text. {answer_words(n)}"
    if n.status == "short":
        choices = tuple(r.text + ("" if r.feasible else " (not enough)") for r in n.remedies)
    return Undone(text, choices)


def _to_look_at(g: GarmentJob) -> list[str]:
    """Checks that are not good and were not so, with the same value, before the fitting."""
    old = {(c.name, c.where, s): c.value for c in g.checks_before for s in _sides(c)}
    found = []
    for c in g.checks_after:
        same = all(
            abs(old.get((c.name, c.where, s), float("inf")) - c.value) < 1e-6 for s in _sides(c)
        )
        if c.verdict == "wrong" or (c.verdict == "look" and not same):
            said = check_words(c)
            found.append(said[:1].upper() + said[1:])
    return found


def _sides(c: Check) -> tuple[str, ...]:
    return ("right", "left") if c.side == "both" else (c.side,)


PARTS = (
    r"armhole", r"bag", r"band", r"bearer", r"collar", r"crease", r"dart", r"hem facing",
    r"(?<!hem )facing", r"fly", r"fork", r"inseam", r"lining", r"pad", r"pocket", r"sleeve",
    r"stay", r"turn-up", r"yoke",
)  # fmt: skip
"""Parts that may go along with a correction; one that this fitting left alone is not named."""

ONE_EDGE = "one edge only: "


def _companions(
    made: Sequence[NoteResult], g: GarmentJob, job: Job, anew: Sequence[str]
) -> list[str]:
    """What went along with the corrections made on this garment, each once, by correction."""
    moved = between(g.before, g.after, job.order.client.units)
    touched = " ".join([*anew, *(f"{m.title} {m.what}" for m in moved)])
    found: dict[str, dict[str, None]] = {}
    mine = [c for n in made if n.garment == g.style.name for c in n.corrections]
    off = _creases_off(mine, g.draft)
    for c in mine:
        e = entry(c.kind)
        for text in e.companions:
            if c.place in off if text.startswith(ONE_EDGE) else _goes_along(text, touched):
                title = e.title[:1].upper() + e.title[1:].lower()
                found.setdefault(title, {})[text.removeprefix(ONE_EDGE)] = None
    return [f"{title}: {'; '.join(texts)}" for title, texts in found.items()]


def _creases_off(made: Sequence[Correction], draft: Garment) -> set[str]:
    """Seams of which one edge in the end moved further than the other, on pieces with a crease."""
    creased = {p.name for p in draft.pieces for line in p.lines if line.kind == "crease"}
    found = set()
    for place in {c.place for c in made if c.options.get("part", "both") != "both"}:
        edges = draft.places.get(place, ())
        if len({e.part for e in edges if e.piece in creased}) < 2:
            continue
        for side in ("right", "left"):
            here = [c for c in made if c.place == place and c.side in ("both", side)]
            front, back = (
                sum(c.amount for c in here if c.options.get("part", "both") in ("both", part))
                for part in ("front", "back")
            )
            if abs(front - back) >= SEEN:
                found.add(place)
    return found


def _goes_along(text: str, touched: str) -> bool:
    named = [p for p in PARTS if re.search(rf"\b{p}s?\b", text)]
    return not named or any(re.search(rf"\b(?:waist)?{p}s?\b", touched) for p in named)
