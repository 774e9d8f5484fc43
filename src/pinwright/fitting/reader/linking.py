"""What a clause takes over from the clauses around it."""

from __future__ import annotations

from dataclasses import replace

from pinwright.fitting.reader.clauses import TOO, Clause
from pinwright.fitting.reader.phrases import Word
from pinwright.fitting.reader.subject import SEAMS

_SHARED = frozenset({"level", "mean", "pins"})
_TIGHT = frozenset(
    {"tight", "too_small", "strains", "strain", "straining", "binds", "binding", "cuts in",
     "digs in", "not enough", "cutting in", "rubs"}
)  # fmt: skip
_HEDGES = frozenset({"?", "maybe", "perhaps", "possibly", "if"})  # cannot be the noun


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
                _complete(done, last, clause)
                continue
            if pending is not None and not used:
                clause = replace(clause, words=pending.words + clause.words)
            pending, used = clause, False
            continue
        given: tuple[Word, ...] = ()
        if pending is not None and not used:
            if _share_amount(pending, clause):
                rest = tuple(w for w in clause.words if w.tag not in {"subject", "part"})
                done.append(replace(clause, words=pending.words + rest, mark_after="and"))
                given = tuple(w for w in pending.words if w.tag == "act")
                used = True
            elif _belong_together(pending, clause):
                head = pending.words
                if clause.own("side") and pending.own("side"):  # "L nil, R 1": not both sides
                    lost = tuple(w for w in head if w.tag in {"side", "unknown"})
                    loose.append(replace(pending, words=lost))
                    head = tuple(w for w in head if w not in lost)
                clause = replace(clause, words=head + clause.words)
                used = True
            elif _tells_how_it_is(pending, clause):
                done.append(replace(pending, sort="observed"))
                given = tuple(w for w in pending.words if w.tag in {"subject", "side", "garment"})
                pending = None
            else:
                loose.append(pending)
                if pending.own("subject") and not clause.own("subject"):
                    handed = {"subject", "side", "garment"}
                    given = tuple(w for w in pending.words if w.tag in handed)
                pending = None
        elif pending is not None:
            carried = {"act", "side", "garment"} if pending.mark_after == ":" else {"act"}
            if clause.own("act"):
                carried -= {"act"}
            given = tuple(w for w in pending.words if w.tag in carried)
        before = clauses[index - 1] if index else None
        seen = _of_what_was_seen(before) if before is not None and not given else ()
        if before is not None and _gives_room(before, clause):
            clause = replace(clause, words=tuple(_as_room(w) for w in clause.words))
        if seen and not clause.own("subject"):
            given, last = seen, None
        unknown = any(
            w.value not in _HEDGES for w in clause.own("unknown")
        )  # the noun may be what is not known
        bare = any(w.prep is None for w in clause.own("level"))
        if last is not None and bare and not done[last].all("level"):
            unknown = True  # "CB 1, waist 0.5": another place, perhaps
        if last is not None and not clause.own("subject") and not unknown:
            given = _inherit(done[last], clause, given)
        elif last is not None and not unknown:
            given = _inherit_act(done[last], clause, given)
        side = _opening_side(done[last]) if last is not None else None
        if before is not None and before.sort == "observed" and clause.own("subject"):
            side = _one_side(before) or side  # "R thigh tight, give 1 at the inseam"
        done.append(
            replace(clause, given=given, garment_so_far=_garment_so_far(done), side_so_far=side)
        )
    if pending is not None and not used:
        loose.append(pending)
    return tuple(_with_last_pins(done)), tuple(loose)


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
        if "side" in tags and any(w.tag == "side" for w in last.words):
            return False  # "R up 1, L" does not say what L does
        bare = [w for w in clause.words if w.tag == "level" and w.prep is None]
        return not bare or any(w.tag == "subject" for w in whole)
    if "subject" in tags and not any(w.tag == "subject" for w in whole):
        return "act" not in tags or not any(w.tag == "act" for w in whole)
    if tags <= {"act"}:
        return final or not any(w.tag == "act" for w in whole)
    return "subject" not in tags and not any(w.tag == "act" for w in whole)


def _complete(done: list[Clause], last: int, clause: Clause) -> None:
    """Add what is said behind: to the last clause, and to those of one list that lack it.

    "Side seams: 1 fold R, half fold L, waist to hip": the stretch is that of both.
    """
    done[last] = replace(done[last], words=done[last].words + clause.words)
    i = last
    while i > 0 and done[i - 1].sort == "change" and not done[i].own("subject"):
        i -= 1
        told = {w.tag for w in (*done[i].words, *done[i].given)}
        more = tuple(w for w in clause.words if w.tag in _SHARED - told)
        done[i] = replace(done[i], words=done[i].words + more)


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


def _share_amount(head: Clause, clause: Clause) -> bool:
    """Whether two nouns joined by "and" have one amount: "SS and CB in 1 fold"."""
    nouns = head.own("subject") and clause.own("subject")
    if not nouns or head.mark_after not in {"and", "&", "+"}:
        return False
    if any(w.tag in {"unknown", "amount", "level"} for w in head.words):
        return False
    if clause.own("level") or (head.own("act") and clause.own("act")):
        return False
    return not clause.own("side")


def _belong_together(head: Clause, clause: Clause) -> bool:
    """Whether a head without amount ("let out side seams, …") is about the clause behind it."""
    signed = any(w.amount is not None and w.amount.sign for w in clause.words)
    if not head.own("subject"):
        return True  # two actions of one thing are judged together
    if clause.own("subject"):
        if head.mark_after == ":" and not head.own("act"):
            return True  # "hems: right leg up 1": the nouns are judged together
        source = any(w.prep == "from" for w in clause.own("subject"))
        return bool(head.own("act")) and not clause.own("act") and not signed and source
    return not (head.own("act") and clause.own("act"))


def _of_what_was_seen(clause: Clause) -> tuple[Word, ...]:
    """The noun of an observation just made: "upper arms tight, give 1 more"."""
    nouns = {w.value for w in clause.words if w.tag == "subject"}
    sides = [w for w in clause.words if w.tag == "side"]
    compares = any(w.value == "than" for w in clause.words)
    if clause.sort != "observed" or len(nouns) != 1 or len(sides) > 1 or compares:
        return ()
    handed = {"subject", "side", "garment", "part"}
    return tuple(w for w in clause.words if w.tag in handed or w.value in TOO)


def _opening_side(last: Clause) -> str | None:
    """ "R bust dart 1 deeper and shoulder dart …": the R may hold for both."""
    first = last.words[0]
    joined = last.mark_after in {"and", ",", "&", "+", "same"}
    one_side = first.tag == "side" and first.value != "both"
    return first.value if joined and one_side and len(last.own("side")) == 1 else None


def _one_side(seen: Clause) -> str | None:
    sides = {w.value for w in seen.own("side")} - {"both"}
    compares = any(w.value == "than" for w in seen.words)
    return next(iter(sides)) if len(sides) == 1 and not compares else None


def _tells_how_it_is(head: Clause, clause: Clause) -> bool:
    """ "Sleeves pitched back, bring forward 0.8": how they hang, then what to do."""
    acts = {w.value for w in head.own("act")}
    then = {w.value for w in clause.own("act")}
    pitches = then & {"forward", "backward", "swing"} or (then == {"take"} and clause.own("part"))
    hangs = "swung" in acts and acts <= {"swung", "forward", "backward"}
    return hangs and bool(head.own("subject")) and bool(pitches)


def _gives_room(seen: Clause, clause: Clause) -> bool:
    """ "Thighs tight, give 1 at inseam": at a seam, what is given to something tight is let out."""
    tight = any(w.value in _TIGHT for w in seen.words) and seen.sort == "observed"
    nouns = {w.value for w in clause.own("subject")}
    acts = {w.value for w in clause.own("act")}
    return tight and acts == {"more"} and bool(nouns) and nouns <= SEAMS


def _as_room(word: Word) -> Word:
    return replace(word, value="room") if word.tag == "act" else word


def _with_last_pins(done: list[Clause]) -> list[Clause]:
    """Pins named at the end of the line are those of the whole list they end.

    "Hem R up 1.5, L up 1, with the pins in": both sides were read with the pins in.
    """
    last = _last_change(done)
    if last is None:
        return done
    real = [w for w in done[last].words if w.tag != "fill"]
    if not real or real[-1].tag != "pins":
        return done
    pins = tuple(w for w in real if w.tag == "pins")
    for i in range(last - 1, -1, -1):
        if done[i].sort != "change" or not _same_thing(done[i], done[last]):
            break
        if not done[i].all("pins"):
            done[i] = replace(done[i], words=done[i].words + pins)
    return done


def _same_thing(one: Clause, other: Clause) -> bool:
    tags = ("subject", "garment", "part")
    return all({w.value for w in one.all(t)} == {w.value for w in other.all(t)} for t in tags)


def _garment_so_far(done: list[Clause]) -> str | None:
    """The garment of the line so far: it holds until another is named."""
    for clause in reversed(done):
        if clause.sort in {"change", "observed"} and clause.all("garment"):
            return clause.all("garment")[-1].value
    return None
