"""From words to clauses: one clause says one thing (one amount), and carries what it inherits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from pinwright.fitting.reader.phrases import Word

ClauseSort = Literal["change", "keep", "observed", "trimming"]
# An adjective after its noun is "too long"; alone, without an amount, it is something seen.
TOO = {
    "too_long": "shorter", "too_short": "longer", "too_big": "in", "too_small": "out",
    "too_low": "up", "too_high": "down",
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
    return tuple(clauses)


def _segments(words: Iterable[Word]) -> Iterable[tuple[tuple[Word, ...], str]]:
    """Cut at separators, and before a word that opens a negation ("… leave the waist")."""
    segment: list[Word] = []
    for word in words:
        if word.tag == "sep":
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
    for left, right in zip(at, at[1:], strict=False):
        cuts.append(left + 1 + _cut(words[left + 1 : right], before, after))
    cuts.append(len(words))
    return [
        Clause("change", words[a:b], mark_after=mark if b == len(words) else "same")
        for a, b in zip(cuts, cuts[1:], strict=False)
    ]


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


def link(clauses: tuple[Clause, ...]) -> tuple[tuple[Clause, ...], tuple[Clause, ...]]:
    """Give every clause with an amount what it inherits; also the clauses left without amount.

    - Words said before the first amount they can belong to are handed on ("R sleeve: …").
    - A clause that only qualifies (a side, a meaning, levels, pins) goes to the one before it,
      unless a colon follows it.
    - A clause with an amount but no noun takes noun, garment, side, levels (and action, meaning,
      where it has none) from the clause before it.
    """
    done: list[Clause] = []
    loose: list[Clause] = []
    pending: Clause | None = None
    used = True
    for index, clause in enumerate(clauses):
        if clause.sort != "change":
            done.append(clause)
            continue
        last = _last_change(done)
        if not clause.has_amount:
            final = not any(c.has_amount for c in clauses[index + 1 :] if c.sort == "change")
            if (
                last is not None
                and clause.mark_after != ":"
                and _completes(clause, done[last], final)
            ):
                done[last] = replace(done[last], words=done[last].words + clause.words)
                continue
            if pending is not None and not used:
                clause = replace(clause, words=pending.words + clause.words)
            pending, used = clause, False
            continue
        given: tuple[Word, ...] = ()
        if pending is not None and not used:
            if _belong_together(pending, clause):
                clause = replace(clause, words=pending.words + clause.words)
                used = True
            else:
                loose.append(pending)
                pending = None
        elif pending is not None:
            carried = {"act", "side", "garment"} if pending.mark_after == ":" else {"act"}
            if clause.own("act"):
                carried -= {"act"}
            given = tuple(w for w in pending.words if w.tag in carried)
        if last is not None and not clause.own("subject"):
            given = _inherit(done[last], clause, given)
        elif last is not None:
            given = _inherit_act(done[last], clause, given)
        done.append(replace(clause, given=given, garment_so_far=_garment_so_far(done)))
    if pending is not None and not used:
        loose.append(pending)
    return tuple(done), tuple(loose)


def _last_change(done: list[Clause]) -> int | None:
    for i in range(len(done) - 1, -1, -1):
        if done[i].sort == "change":
            return i
    return None


def _completes(clause: Clause, last: Clause, final: bool) -> bool:
    """Whether a clause without amount says more about the one before it."""
    tags = {w.tag for w in clause.words}
    whole = (*last.words, *last.given)
    if "unknown" in tags:
        return False
    nouns = {"subject", "act"}
    if not tags & nouns:
        if tags == {"garment"}:
            return final and not any(w.tag == "garment" for w in whole)
        if tags <= {"side"} and any(w.tag == "side" for w in last.words):
            return final
        bare = [w for w in clause.words if w.tag == "level" and w.prep is None]
        return not bare or any(w.tag == "subject" for w in whole)
    if "subject" in tags and not any(w.tag == "subject" for w in whole):
        return "act" not in tags or not any(w.tag == "act" for w in whole)
    return "subject" not in tags and not any(w.tag == "act" for w in whole)


def _inherit(last: Clause, clause: Clause, given: tuple[Word, ...]) -> tuple[Word, ...]:
    """Everything the clause before said and this one does not say for itself."""
    has = {w.tag for w in (*clause.words, *given)}
    amount_signed = any(w.amount is not None and w.amount.sign for w in clause.words)
    out = list(given)
    for tag in ("subject", "garment", "side", "level", "act", "mean", "part"):
        if tag in has or (tag == "act" and amount_signed):
            continue
        if tag == "mean" and "act" in has:
            continue
        out.extend(w for w in last.all(tag))
    return tuple(out)


def _inherit_act(last: Clause, clause: Clause, given: tuple[Word, ...]) -> tuple[Word, ...]:
    """A verb that stood first ("take in CB … and SS …") holds for the next noun too."""
    if any(w.tag == "act" for w in (*clause.words, *given)):
        return given
    if any(w.amount is not None and w.amount.sign for w in clause.words):
        return given
    first = next(
        (w for w in (*last.given, *last.words) if w.tag in {"act", "subject", "amount"}), None
    )
    if first is None or first.tag != "act":
        return given
    return (*given, *last.all("act"))


def _belong_together(head: Clause, clause: Clause) -> bool:
    """Whether a head without amount ("let out side seams, …") is about the clause behind it."""
    signed = any(w.amount is not None and w.amount.sign for w in clause.words)
    if head.own("subject") and clause.own("subject"):
        return bool(head.own("act")) and not clause.own("act") and not signed
    return not (head.own("act") and clause.own("act"))


def _garment_so_far(done: list[Clause]) -> str | None:
    """The garment of the line so far: it holds until another is named."""
    for clause in reversed(done):
        if clause.sort == "change" and clause.all("garment"):
            return clause.all("garment")[-1].value
    return None
