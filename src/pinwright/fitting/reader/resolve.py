"""One clause to proposals and questions: unit, place and direction, then the proposal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from pinwright.fitting.proposal import GarmentName, Side
from pinwright.fitting.reader import meanings
from pinwright.fitting.reader.amounts import Unit
from pinwright.fitting.reader.brought import Brought
from pinwright.fitting.reader.clauses import TOO, Clause
from pinwright.fitting.reader.places import NOUNS, Noun, Rule
from pinwright.fitting.reader.proposing import (
    LEAST_BAND,
    LEAST_MEASURE,
    Branch,
    branching,
    with_garment,
)
from pinwright.fitting.reader.reading import Item, Question
from pinwright.fitting.reader.said import Told, told_by
from pinwright.fitting.reader.subject import NotReadError, Subject, find
from pinwright.fitting.reader.units import with_unit

_KEYS = {"plus": "more", "minus": "less", "down": "lower", "up": "higher"}


def resolve(
    clause: Clause,
    line: str,
    garments: tuple[GarmentName, ...],
    units: tuple[Unit, ...],
    side: Side | None,
    brought: Brought,
) -> tuple[Item, ...]:
    """Proposals and questions of a clause; ``side`` overrides what it says ("not the left").

    ``units``: what an amount without unit can be in, the order's unit first. Raises NotReadError
    with the reason.
    """
    return with_unit(told_by(clause, line, garments, units, side, brought), _with_subject)


def _with_subject(told: Told) -> tuple[Item, ...]:
    hints = told.acts | ({"fold"} if told.meant == "fold" else frozenset())
    subject = find(told.clause, hints, told.line)
    if len(subject.names) == 1:
        return _with_act(told, subject, subject.names[0])
    if "bust_dart_whole" in subject.names:
        return _moved_bust_dart(told, subject)

    single = tuple(n for n in subject.names if n != "both")

    def one(name: str) -> Callable[[], tuple[Item, ...]]:
        return lambda: _with_act(told, subject, name)

    def all_of_them() -> tuple[Item, ...]:
        return tuple(item for n in single for item in _with_act(told, subject, n))

    if subject.every:
        return all_of_them()
    branches: list[Branch] = [(_place_key(n), f"at the {NOUNS[n].label}", one(n)) for n in single]
    if "both" in subject.names:
        branches.append(("both", "both of them", all_of_them))
    items = branching("place", "", branches)
    if len(items) != 1 or not isinstance(items[0], Question) or items[0].text:
        return items  # only one of them can be read
    there = {choice.key for choice in items[0].choices}
    names = [NOUNS[n].label for n in single if _place_key(n) in there]
    names += ["both"] if "both" in there else []
    listed = f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else names[0]
    text = f"{subject.said} {meanings.show(told.cm)}: {listed}?"
    return (replace(items[0], text=text),)


def _moved_bust_dart(told: Told, subject: Subject) -> tuple[Item, ...]:
    """A bust dart up or down: its mouth, its point or all of it; only the mouth can be moved."""
    way = "up" if "up" in told.acts else "down"
    moved = f"{meanings.show(told.cm)} {way}"

    def of(name: str) -> Callable[[], tuple[Item, ...]]:
        return lambda: _with_act(told, subject, name)

    return branching(
        "place",
        f"{subject.said} {moved}: its mouth, its point, or the whole dart?",
        (
            ("mouth", f"the mouth {moved} along the side seam, the point stays",
             of("bust_dart_mouth")),
            ("point", f"the point {moved}", of("bust_dart_point")),
            ("dart", f"the whole dart {moved}", of("bust_dart_whole")),
        ),
        kept=told.words,
    )  # fmt: skip


def _place_key(name: str) -> str:
    """The place a noun stands for: the vocabulary's word."""
    return {"front_rise": "front_waist", "back_rise": "seat", "jacket_hem_back": "jacket_hem"}.get(
        name, name
    )


def _with_act(told: Told, subject: Subject, name: str) -> tuple[Item, ...]:
    noun = NOUNS[name]
    acts = set(told.acts)
    part = subject.part
    acts -= {"pass"}
    if "taper" in acts:  # a leg is tapered inwards unless it is said to get wider
        acts = (acts - {"taper"}) or {"in"}
    if noun.part is not None:
        if part not in {None, noun.part}:
            raise NotReadError(f"“{part}” does not go with the {noun.label}")
        part = noun.part
    if (
        name in {"sleeve", "sleeve_pitch"}
        and part in {"front", "back"}
        and not acts - {"plus", "swing", "take"}
    ):
        acts = (acts - {"swing", "take"}) | {"forward" if part == "front" else "backward"}
        part = None
    if name == "waistband" and not acts and told.cm >= LEAST_BAND:
        acts = {"measured"}
    if not acts and told.meant == "fold" and "pin" in noun.acts:
        acts = {"pin"}
    if not acts and noun.alone is not None:
        acts = {noun.alone}
    two_ways = acts in ({"outward"}, {"more"}) and not acts & noun.acts.keys()
    if two_ways and {"in", "plus"} <= noun.acts.keys():
        return _ask_direction(told, subject, name, part, ("plus", "minus"))
    signs_only = acts <= {"plus", "minus"} and not acts & noun.acts.keys()
    if not acts or (signs_only and noun.ask):
        return _ask_direction(told, subject, name, part, noun.ask)
    rules = _rules(told, noun, acts)
    if len({(r.kind, r.place, r.sign) for r in rules.values()}) == 1:
        act, rule = next(iter(rules.items()))
        return with_garment(told, subject, name, part, rule, "pin" in acts or act == "pin")
    signs = {a: r for a, r in rules.items() if a in {"plus", "minus"}}
    words = {a: r for a, r in rules.items() if a not in signs}
    if signs and len({(r.kind, r.place, r.sign) for r in words.values()}) == 1:
        word_rule = next(iter(words.values()))
        if "minus" in signs and word_rule.sign < 0:
            return with_garment(told, subject, name, part, word_rule, False)
        opposite = replace(word_rule, sign=-word_rule.sign)
        rising = {r.sign: r for r in (word_rule, opposite)}
        said = told.line[told.amount.start : told.amount.end]
        return branching(
            "direction",
            f"{noun.label} “{said}” with “{'/'.join(words)}”: which way?",
            (
                ("more", _direction(rising[1], told),
                 lambda: with_garment(told, subject, name, part, rising[1], False)),
                ("less", _direction(rising[-1], told),
                 lambda: with_garment(told, subject, name, part, rising[-1], False)),
            ),
        )  # fmt: skip
    raise NotReadError(f"it says {' and '.join(sorted(a.replace('_', ' ') for a in acts))} at once")


def _rules(told: Told, noun: Noun, acts: set[str]) -> dict[str, Rule]:
    rules: dict[str, Rule] = {}
    for act in sorted(acts):
        rule = noun.acts.get(act)
        if rule is None and act in noun.refuses:
            raise NotReadError(noun.refuses[act])
        if rule is None:
            others = [noun.acts[a] for a in acts if a in noun.acts and a not in {"plus", "minus"}]
            if act in {"plus", "minus"} and others:
                # A sign beside a word the noun knows: its own reading is "that much more".
                rules[act] = replace(others[0], sign=1 if act == "plus" else -1)
                continue
            words = next(
                (
                    told.line[w.start : w.end]
                    for w in told.clause.all("act")
                    if act in {w.value, TOO.get(w.value)}
                ),
                act.replace("_word", "").replace("_", " "),
            )
            raise NotReadError(f"“{words}” is nothing the reader knows to do at the {noun.label}")
        rules[act] = rule
    if "plus" in rules or "minus" in rules:
        words_said = [r for a, r in rules.items() if a not in {"plus", "minus"}]
        if words_said:  # "+0.5 longer" of a dart: the sign goes with the word's kind
            for sign in ("plus", "minus"):
                if sign in rules:
                    rules[sign] = replace(words_said[0], sign=1 if sign == "plus" else -1)
    return rules


def _direction(rule: Rule, told: Told) -> str:
    words = {
        "let_out": ("let out", "taken in"), "neckline": ("lower", "higher"),
        "pocket_move": ("lower", "higher"), "hem": ("longer", "shorter"),
        "shoulder_slope": ("more sloping", "squarer"), "sleeve_pitch": ("forward", "backward"),
        "bust_dart_direction": ("up", "down"), "pass_back": ("up", "down"),
        "fullness": ("more room", "less room"), "neck_point": ("out", "in"),
    }  # fmt: skip
    deep = ("deeper", "shallower") if "dart_intake" in rule.kind or "depth" in rule.kind else None
    pair = words.get(rule.kind) or deep or ("longer", "shorter")
    return f"{meanings.show(told.cm)} {pair[0] if rule.sign > 0 else pair[1]}"


def _ask_direction(
    told: Told, subject: Subject, name: str, part: str | None, acts: tuple[str, ...]
) -> tuple[Item, ...]:
    noun = NOUNS[name]
    if not acts:
        raise NotReadError(f"it does not say what to do at the {noun.label}")

    def read(rule: Rule) -> Callable[[], tuple[Item, ...]]:
        return lambda: with_garment(told, subject, name, part, rule, False)

    if told.cm == 0:  # nothing, whichever way
        return read(noun.acts[acts[0]])()
    if told.cm >= LEAST_MEASURE:
        raise NotReadError(f"{meanings.show(told.cm)} cm is a measure, not a change")
    branches = [(_KEYS.get(a, a), _direction(noun.acts[a], told), read(noun.acts[a])) for a in acts]
    listed = " or ".join(sentence for _, sentence, _ in branches)
    return branching("direction", f"{noun.label}: {listed}?", branches)
