"""One clause to proposals and questions: unit, place and direction, then the proposal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from pinwright.fitting.proposal import GarmentName, Side
from pinwright.fitting.reader import meanings
from pinwright.fitting.reader.amounts import Unit
from pinwright.fitting.reader.clauses import Clause
from pinwright.fitting.reader.places import NOUNS, Noun, Rule
from pinwright.fitting.reader.proposing import LEAST_BAND, Branch, branching, with_garment
from pinwright.fitting.reader.reading import Item
from pinwright.fitting.reader.said import Told, told_by
from pinwright.fitting.reader.subject import NotReadError, Subject, find

LEAST_MEASURE = 20.0  # cm; unsigned and with no action, an amount from here on is a measure
_KEYS = {"plus": "more", "minus": "less", "down": "lower", "up": "higher"}


def resolve(
    clause: Clause, line: str, garments: tuple[GarmentName, ...], unit: Unit, side: Side | None
) -> tuple[Item, ...]:
    """Proposals and questions of a clause; ``side`` overrides what it says ("not the left").

    Raises NotReadError with the reason.
    """
    told = told_by(clause, line, garments, unit, side)
    return _with_unit(told)


def _noun_behind(clause: Clause) -> bool:
    """Whether the amount is followed by a noun: "pinned 1 in each side seam"."""
    for word, after in pairwise(clause.words):
        if word.tag == "amount":
            return after.tag in {"subject", "side", "level"}
    return False


def _with_unit(told: Told) -> tuple[Item, ...]:
    """Decide whether "in" behind the number is the unit; ask where it can be either."""
    if not told.amount.maybe_inch:
        return _with_subject(told)
    inch = replace(told, amount=replace(told.amount, unit="inch", maybe_inch=False))
    as_said = replace(told.amount, maybe_inch=False)
    particle = replace(told, amount=as_said, acts=(told.acts - {"pin"}) | {"in"})
    own = {w.value for w in told.clause.all("act")}
    inches = f"{float(told.amount.value):g} in = {meanings.show(inch.cm)} cm"
    said = told.line[told.amount.start : told.amount.end]
    if told.amount.in_each and own:
        placed = replace(told, amount=as_said)
        if told.unit == "inch":
            return _with_subject(placed)
        return branching(
            "unit",
            f"“{said} …”: centimetres there, or inches?",
            (
                ("cm", f"{meanings.show(placed.cm)} cm", lambda: _with_subject(placed)),
                ("inch", inches, lambda: _with_subject(inch)),
            ),
        )
    if own & {"take", "gather"} or (own == {"pin"} and _noun_behind(told.clause)):
        return _with_subject(replace(told, amount=as_said))
    if own - {"nip", "pin"}:
        return _with_subject(inch)
    taken_in = f"{meanings.show(particle.cm)} cm taken in"
    return branching(
        "unit",
        f"“{said}”: taken in, or inches?",
        (
            ("taken_in", taken_in, lambda: _with_subject(particle)),
            ("inch", inches, lambda: _with_subject(inch)),
        ),
    )


def _with_subject(told: Told) -> tuple[Item, ...]:
    hints = told.acts | ({"fold"} if told.meant == "fold" else frozenset())
    subject = find(told.clause, hints, told.line)
    if len(subject.names) == 1:
        return _with_act(told, subject, subject.names[0])

    single = tuple(n for n in subject.names if n != "both")

    def one(name: str) -> Callable[[], tuple[Item, ...]]:
        return lambda: _with_act(told, subject, name)

    def all_of_them() -> tuple[Item, ...]:
        return tuple(item for n in single for item in _with_act(told, subject, n))

    branches: list[Branch] = [(_place_key(n), f"at the {NOUNS[n].label}", one(n)) for n in single]
    if "both" in subject.names:
        branches.append(("both", "both of them", all_of_them))
    names = [NOUNS[n].label for n in single]
    listed = f"{', '.join(names[:-1])} or {names[-1]}"
    return branching("place", f"{subject.said} {meanings.show(told.cm)}: {listed}?", branches)


def _place_key(name: str) -> str:
    """The place a noun stands for: the vocabulary's word."""
    return {"front_rise": "front_waist", "back_rise": "seat"}.get(name, name)


def _with_act(told: Told, subject: Subject, name: str) -> tuple[Item, ...]:
    noun = NOUNS[name]
    acts = set(told.acts)
    part = subject.part
    acts -= {"pass"}
    if (
        name in {"sleeve", "sleeve_pitch"}
        and part in {"front", "back"}
        and not acts - {"plus", "swing"}
    ):
        acts = (acts - {"swing"}) | {"forward" if part == "front" else "backward"}
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
    rules = _rules(noun, acts)
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


def _rules(noun: Noun, acts: set[str]) -> dict[str, Rule]:
    rules: dict[str, Rule] = {}
    for act in sorted(acts):
        rule = noun.acts.get(act)
        if rule is None:
            others = [noun.acts[a] for a in acts if a in noun.acts and a not in {"plus", "minus"}]
            if act in {"plus", "minus"} and others:
                # A sign beside a word the noun knows: its own reading is "that much more".
                rules[act] = replace(others[0], sign=1 if act == "plus" else -1)
                continue
            words = act.replace("_word", "").replace("_", " ")
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
