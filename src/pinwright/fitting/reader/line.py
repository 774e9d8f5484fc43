"""A whole line of the notebook: its clauses, what is to stay, and what could not be used."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from pinwright.fitting.proposal import Side
from pinwright.fitting.reader.amounts import Unit
from pinwright.fitting.reader.brought import NAME, Brought, with_title
from pinwright.fitting.reader.clauses import Clause, split
from pinwright.fitting.reader.joining import ask_pins, clash, with_option
from pinwright.fitting.reader.linking import link
from pinwright.fitting.reader.phrases import Word, read_words
from pinwright.fitting.reader.places import BOTH_GARMENTS
from pinwright.fitting.reader.reading import (
    About,
    Choice,
    Item,
    Observation,
    Question,
    Reading,
    merge_levels,
)
from pinwright.fitting.reader.resolve import resolve
from pinwright.fitting.reader.said import side_of
from pinwright.fitting.reader.subject import NotReadError
from pinwright.fitting.reader.units import doubtful_units

_OTHER: dict[str, Side] = {"right": "left", "left": "right"}
# "don't take in the centre back" keeps it; "leave the hem longer" does not.
_FORBIDDING = frozenset(
    {"not", "don't", "dont", "don’t", "do", "without", "never", "no", "nothing", "except"}
)
_SIGNIFICANT = frozenset({"amount", "side", "subject", "level", "part", "neg", "garment", "unknown",
                          "act", "mean", "pins"})  # fmt: skip


@dataclass
class _Page:
    """What has been gathered from a line while it is read."""

    line: str
    title: str  # of a brought-in pattern
    read: list[tuple[Clause, tuple[Item, ...]]] = field(default_factory=list)
    observations: list[Observation] = field(default_factory=list)
    unread: list[tuple[int, int]] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)

    def refuse(self, words: Iterable[Word], reason: str) -> None:
        self.unread.extend((w.start, w.end) for w in words if w.tag != "fill")
        self.reasons.append(reason)

    def observe(self, words: tuple[Word, ...], about: About) -> None:
        start, end = min(w.start for w in words), max(w.end for w in words)
        self.observations.append(Observation(self.line[start:end].strip(), about))
        self.unread.extend((w.start, w.end) for w in words if w.tag == "amount" or w.numeric)


def read_line(
    text: str,
    garments: tuple[str, ...] = ("trousers", "jacket"),
    unit: Unit = "cm",
    brought: Brought | None = None,
) -> Reading:
    """Read one line of the notebook.

    ``garments`` are those of the order; ``unit`` is the unit of an amount that names none;
    ``brought`` tells of the garment "brought", if there is one. Never raises on any text. Every
    number, side, place and negation of an understood line is used; what is not used is listed in
    ``unread``, and the line is then a question or kept as text.
    """
    there = tuple(g for g in (*BOTH_GARMENTS, NAME) if g in garments)
    pattern = brought or Brought()
    page = _Page(text, pattern.title)
    clauses, loose = link(split(with_title(read_words(text), there, pattern)))
    changes = [c for c in clauses if c.sort == "change"]
    limits, kept_names = _keeps(clauses, page)
    for clause in changes:
        unknown = tuple(w for w in clause.words if w.tag in {"unknown", "trim"})
        try:
            units = doubtful_units(clause, changes, unit)
            items = resolve(clause, text, there, units, limits.get(id(clause)), pattern)
        except NotReadError as error:
            page.refuse(clause.words, str(error))
            continue
        page.read.append((clause, items))
        page.unread.extend((w.start, w.end) for w in unknown)
    for clause in loose:
        said = any(w.tag == "act" for w in clause.words)
        known = any(w.tag in {"subject", "side", "level", "garment"} for w in clause.words)
        reason = "it does not say how much" if said else "it does not say what to do"
        page.refuse(clause.words, reason if said or known else "the words are not known")
    _observe(clauses, page)
    return _reading(page, kept_names)


@dataclass(frozen=True)
class _Kept:
    """One thing that is to stay: its name, side and the nouns it was said with."""

    name: str
    side: Side | None
    nouns: frozenset[str]
    garment: str | None


def _keeps(clauses: tuple[Clause, ...], page: _Page) -> tuple[dict[int, Side], list[_Kept]]:
    """Sides that clauses are limited to, and the named things that stay."""
    limits: dict[int, Side] = {}
    kept: list[_Kept] = []
    for index, clause in enumerate(clauses):
        if clause.sort != "keep":
            continue
        unknown = [w for w in clause.words if w.tag == "unknown"]
        if any(w.tag == "amount" or w.numeric for w in clause.words):
            page.refuse(clause.words, "it says what is not to be done, with an amount")
            continue
        first = next(w for w in clause.words if w.tag == "neg")
        forbids = page.line[first.start : first.end].lower().split()[0] in _FORBIDDING
        if any(w.tag == "act" for w in clause.words) and not forbids:
            page.refuse(clause.words, "it says both to leave something and to change it")
            continue
        try:
            side = side_of(clause)
        except NotReadError as error:
            page.refuse(clause.words, str(error))
            continue
        page.unread.extend((w.start, w.end) for w in unknown)
        nouns = [w.value for w in clause.words if w.tag in {"subject", "level", "part"}]
        garment = next((w.value for w in clause.words if w.tag == "garment"), None)
        about = _neighbour(clauses, index)
        if not nouns and garment is None and side in _OTHER and about is not None:
            said = _said_side(about)
            if said is None:
                limits[id(about)] = _OTHER[side or "both"]
                continue
            if said == side or said == "both":
                page.refuse(clause.words, f"it changes the {side} and leaves it")
            continue  # "L up 1, R stays": said already by the side of the change
        called = page.title if garment == NAME else garment
        name = " ".join(x for x in (called, *dict.fromkeys(nouns)) if x)
        name = f"{side} {name}".strip() if side in _OTHER else name
        if name and about is not None:
            kept.append(_Kept(name, side, frozenset(nouns), garment))
        elif about is not None:
            page.refuse(clause.words, "it does not say what is to stay")
        else:
            page.observe(clause.words, "keep")
    return limits, kept


def _neighbour(clauses: tuple[Clause, ...], index: int) -> Clause | None:
    """The change a "not the left" is about: the one before it, else the one after."""
    before = [c for c in clauses[:index] if c.sort == "change"]
    after = [c for c in clauses[index:] if c.sort == "change"]
    return before[-1] if before else after[0] if after else None


def _said_side(clause: Clause) -> Side | None:
    try:
        return side_of(clause)
    except NotReadError:
        return None


def _observe(clauses: tuple[Clause, ...], page: _Page) -> None:
    trimming: tuple[Word, ...] = ()
    for clause in clauses:
        if clause.sort == "trimming":
            trimming += clause.words
        elif clause.sort == "observed":
            tags = {w.tag for w in clause.words}
            if {"amount", "act"} <= tags:
                page.refuse(clause.words, "it tells what is seen and what to do in one breath")
            else:
                page.observe(clause.words, "fit")
    if trimming:
        page.observe(trimming, "trimming")


def _reading(page: _Page, kept_names: list[_Kept]) -> Reading:
    reason = clash([items for _, items in page.read]) or _keeps_what_it_changes(page, kept_names)
    if reason is not None:
        words = [w for w in read_words(page.line) if w.tag in _SIGNIFICANT]
        unread = _pieces(page.line, [(w.start, w.end) for w in words])
        return Reading(page.line, (), tuple(page.observations), unread, _sentence([reason]), True)
    items = merge_levels(tuple(item for _, group in page.read for item in group))
    items = ask_pins(items)
    if kept_names:
        items = with_option(items, "keep", ", ".join(k.name for k in kept_names))
    unread = _pieces(page.line, page.unread)
    why = _sentence(page.reasons, "Not used" if items else "Kept as text") if page.reasons else None
    if items and unread:
        rest = ", ".join(f"“{u}”" for u in unread)
        text = f"Not used of this note: {rest}. Go on with what is read, or keep it all as text?"
        choices = (
            Choice("go_on", "go on with what is read", items),
            Choice("keep_text", "change nothing, keep the note as text", ()),
        )
        items = (Question("rest", text, choices),)
    kept = not items and (bool(page.reasons) or not page.observations)
    if kept and why is None:
        why = "Kept as text: the line says nothing."
    return Reading(page.line, items, tuple(page.observations), unread, why, kept)


def _keeps_what_it_changes(page: _Page, kept_names: list[_Kept]) -> str | None:
    for kept in kept_names:
        for clause, _ in page.read:
            nouns = {w.value for w in clause.all("subject")}
            sides = {_said_side(clause) or "both", kept.side or "both"}
            garments = {w.value for w in clause.all("garment")} | {kept.garment} - {None}
            apart = sides == {"right", "left"} or len(garments) > 1
            if kept.nouns & nouns and not apart:
                return f"it changes the {kept.name.replace('_', ' ')} and leaves it"
    return None


def _pieces(line: str, spans: list[tuple[int, int]]) -> tuple[str, ...]:
    return tuple(line[a:b] for a, b in sorted(set(spans)))


def _sentence(reasons: list[str], done: str = "Kept as text") -> str:
    return f"{done}: {'; '.join(dict.fromkeys(reasons))}."
