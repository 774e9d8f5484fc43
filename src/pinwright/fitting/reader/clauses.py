"""From words to clauses: one clause says one thing (one amount), and carries what it inherits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from pinwright.fitting.reader.phrases import Word

ClauseSort = Literal["change", "keep", "observed", "trimming"]
# An adjective after its noun is "too long"; alone, without an amount, it is something seen.
TOO = {
    "too_long": "shorter", "too_short": "longer", "too_big": "in", "too_small": "out",
    "too_low": "up", "too_high": "down", "too_square": "sloping", "too_sloping": "square",
}  # fmt: skip


@dataclass(frozen=True)
class Clause:
    """The words of one thing said, own and inherited.

    ``words`` are its own words in order; ``given`` are words it inherits from what was said
    before in the line (a noun, a side, a garment, an action).
    """

    sort: ClauseSort
    words: tuple[Word, ...]
    given: tuple[Word, ...] = ()
    mark_after: str = ""  # the separator behind it
    garment_so_far: str | None = None  # named earlier in the line, for another thing
    side_so_far: str | None = None  # opened the clause before, and may hold for this one too

    def all(self, tag: str) -> tuple[Word, ...]:
        """Words with this tag: its own, or, where it has none, the inherited ones."""
        own = tuple(w for w in self.words if w.tag == tag)
        return own or tuple(w for w in self.given if w.tag == tag)

    def own(self, tag: str) -> tuple[Word, ...]:
        """Its own words with this tag."""
        return tuple(w for w in self.words if w.tag == tag)

    @property
    def has_amount(self) -> bool:
        """Whether it has an amount of its own."""
        return any(w.tag == "amount" for w in self.words)


def split(words: tuple[Word, ...]) -> tuple[Clause, ...]:
    """Clauses of a line, in order, before anything is inherited or merged."""
    clauses: list[Clause] = []
    trimming = False
    for segment, mark in _segments(words):
        real = tuple(w for w in segment if w.tag not in {"fill"})
        if not real:
            continue
        tags = {w.tag for w in real}
        acting = bool(tags & {"subject", "act"})
        if "trim" in tags and not acting and "symptom" not in tags:
            trimming = True
        elif acting or "symptom" in tags or "neg" in tags:
            trimming = False
        sort: ClauseSort
        if trimming:
            sort = "trimming"
        elif "neg" in tags:
            sort = "keep"
        elif "symptom" in tags or (any(w.value in TOO for w in real) and "amount" not in tags):
            sort = "observed"
        else:
            clauses.extend(_groups(real, mark))
            continue
        clauses.append(Clause(sort, real, mark_after=mark))
    return tuple(_headed(clauses))


def _headed(clauses: list[Clause]) -> list[Clause]:
    """Join "R sleeve:" or "both sides" to the observation it belongs to."""
    out: list[Clause] = []
    for i, clause in enumerate(clauses):
        last = out[-1] if out else None
        if last is None or not {last.sort, clause.sort} <= {"change", "observed", "keep"}:
            out.append(clause)
        elif clause.sort != "change" and _only_names(last) and not _changes(out[:-1]):
            out[-1] = replace(clause, words=last.words + clause.words)
        elif last.sort == "observed" and _only_names(clause) and i == len(clauses) - 1:
            out[-1] = replace(last, words=last.words + clause.words)
        else:
            out.append(clause)
    return out


def _only_names(clause: Clause) -> bool:
    names = {"subject", "garment", "side", "part", "level"}
    return clause.sort == "change" and all(w.tag in names for w in clause.words)


def _changes(clauses: list[Clause]) -> bool:
    return bool(clauses) and clauses[-1].sort == "change"


def _segments(words: Iterable[Word]) -> Iterable[tuple[tuple[Word, ...], str]]:
    """Cut at separators, and before a word that opens a negation ("… leave the waist")."""
    segment: list[Word] = []
    for word in words:
        if word.tag == "neg" and word.value == "after" and _names_after_amount(segment):
            yield tuple(segment[:-1]), "neg"
            segment = [segment[-1], word]
        elif word.tag == "sep":
            yield tuple(segment), word.value
            segment = []
        elif word.tag == "neg" and word.value == "before" and _has_real(segment):
            if any(w.tag == "neg" for w in segment):
                segment.append(word)
            else:
                yield tuple(segment), "neg"
                segment = [word]
        else:
            segment.append(word)
    yield tuple(segment), ""


def _names_after_amount(segment: list[Word]) -> bool:
    """ "bust dart +1 both waist stays": the noun before "stays" begins another clause."""
    if len(segment) < 2 or segment[-1].tag not in {"subject", "level", "side", "part"}:
        return False
    return any(w.tag == "amount" for w in segment[:-1])


def _has_real(segment: list[Word]) -> bool:
    return any(w.tag != "fill" for w in segment)


def _groups(words: tuple[Word, ...], mark: str) -> list[Clause]:
    """One clause per amount. Between two amounts the words go with the one they belong to.

    Each kind of word is written either before its amount throughout ("R up 1.5 L up 1") or after
    it throughout ("up 1.5 R 1 L"); which, shows at the ends of the segment.
    """
    at = [i for i, w in enumerate(words) if w.tag == "amount"]
    if len(at) < 2:
        return [Clause("change", words, mark_after=mark)]
    before = {_style(w) for w in words[: at[0]]}
    after = {_style(w) for w in words[at[-1] + 1 :]}
    cuts = [0]
    for left, right in pairwise(at):
        cuts.append(left + 1 + _cut(words[left + 1 : right], before, after))
    cuts.append(len(words))
    groups = [words[a:b] for a, b in pairwise(cuts)]
    noun = _closing_noun(groups)
    return [
        Clause("change", group + (noun if i < len(at) - 1 else ()),
               mark_after=mark if i == len(at) - 1 else "same")
        for i, group in enumerate(groups)
    ]  # fmt: skip


def _closing_noun(groups: list[tuple[Word, ...]]) -> tuple[Word, ...]:
    """The noun at the end of "R up 2 L up 1 hem", where no other is named: it is that of all."""
    if any(w.tag == "subject" for group in groups[:-1] for w in group):
        return ()
    amount = next(i for i, w in enumerate(groups[-1]) if w.tag == "amount")
    if any(w.tag == "subject" for w in groups[-1][:amount]):
        return ()
    return tuple(w for w in groups[-1][amount:] if w.tag in {"subject", "garment"})


def _style(word: Word) -> tuple[str, bool]:
    return word.tag, word.prep is not None


def _cut(
    between: tuple[Word, ...], before: set[tuple[str, bool]], after: set[tuple[str, bool]]
) -> int:
    """How many of the words between two amounts belong to the first."""

    def belongs_to_first(word: Word) -> bool:
        style = _style(word)
        if style in after and style not in before:
            return True
        return word.tag in {"mean", "pins"} and style not in before

    count = 0
    for i, word in enumerate(between):
        if belongs_to_first(word):
            count = i + 1
    return count
