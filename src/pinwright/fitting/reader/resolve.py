"""One clause to proposals and questions."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from pinwright.fitting.proposal import GarmentName, MeantAs, OptionValue, Pins, Proposal, Side, as_options
from pinwright.fitting.reader import meanings
from pinwright.fitting.reader.amounts import Amount, Unit
from pinwright.fitting.reader.clauses import TOO, Clause
from pinwright.fitting.reader.places import (
    IN_GARMENT,
    LEVEL_GARMENT,
    NOUNS,
    PLACE_GARMENTS,
    Noun,
    Rule,
)
from pinwright.fitting.reader.reading import Choice, Item, Question
from pinwright.fitting.reader.subject import SEAMS, NotReadError, Subject, find

LEAST_BAND = 40.0  # cm; an unsigned amount from here on is a measured waist, not a change
_KEYS = {"plus": "more", "minus": "less", "down": "lower", "up": "higher"}
_BRANCH_WORDS = {
    "front_waist": "the front rise", "seat": "the back rise (seat)", "crotch": "the crotch depth",
}  # fmt: skip


@dataclass(frozen=True)
class Told:
    """Everything a clause told, before its rule is chosen."""

    clause: Clause
    line: str
    garments: tuple[GarmentName, ...]
    unit: Unit
    side: Side
    amount: Amount
    acts: frozenset[str]
    meant: str | None
    pins: Pins | None

    @property
    def cm(self) -> float:
        """The size in cm, without sign."""
        return self.amount.cm(self.unit)


def resolve(
    clause: Clause, line: str, garments: tuple[GarmentName, ...], unit: Unit, side: Side | None
) -> tuple[Item, ...]:
    """Proposals and questions of a clause; ``side`` overrides what it says ("not the left").

    Raises NotReadError with the reason.
    """
    told = _told(clause, line, garments, unit, side)
    return _with_unit(told)


def side_of(clause: Clause) -> Side | None:
    """The side a clause speaks of, None when it names none. Raises NotReadError on a muddle."""
    said = [w.value for w in clause.all("side")]
    right, left, both = said.count("right"), said.count("left"), said.count("both")
    if right and left:
        if right > 1 or left > 1:
            raise NotReadError("it names right and left more than once for one amount")
        return "both"
    if both and (right or left):
        raise NotReadError("it names one side and both sides for one amount")
    if right:
        return "right"
    if left:
        return "left"
    return "both" if both else None


def _told(
    clause: Clause, line: str, garments: tuple[GarmentName, ...], unit: Unit, side: Side | None
) -> Told:
    amounts = [w.amount for w in clause.words if w.amount is not None]
    if len(amounts) != 1:
        raise NotReadError("it has no amount" if not amounts else "it has two amounts for one thing")
    if any(w.tag == "unknown" and w.numeric for w in clause.words):
        raise NotReadError("it has a number the reader cannot use")
    meant = {w.value for w in clause.all("mean")}
    if "total" in meant and len(meant) > 1:
        meant.discard("total")
    if len(meant) > 1:
        raise NotReadError(f"it says {' and '.join(sorted(meant))} of one amount")
    pins = {w.value for w in clause.all("pins")}
    if len(pins) > 1:
        raise NotReadError("it says the pins were in and not in")
    return Told(
        clause,
        line,
        garments,
        unit,
        side or side_of(clause) or "both",
        amounts[0],
        _acts(clause, amounts[0]),
        next(iter(meant), None),
        "in" if pins == {"in"} else "before" if pins else None,
    )


def _acts(clause: Clause, amount: Amount) -> frozenset[str]:
    """The actions said, with verbs and their particles joined and mere strengthening dropped."""
    acts = {TOO.get(w.value, w.value) for w in clause.all("act")} - {"towards_point"}
    if "in_word" in acts and len(acts) > 1 and _before_noun(clause, "in_word"):
        acts.discard("in_word")  # "1 longer in the sleeve": a preposition
    for verb, particle, joined in (
        ("take", "in_word", "in"), ("take", "up", "take_up"), ("take", "outward", "take_out"),
        ("take", "take_out", "take_out"), ("take", "off", "off"), ("take", "more", "take"),
        ("let", "outward", "out"), ("let", "out", "out"), ("let", "down", "down"),
        ("pin", "in_word", "pin"), ("pin", "outward", "pin"), ("pin", "up", "pick_up"),
        ("gather", "in_word", "gather"), ("gather", "more", "gather"),
        ("gather", "less", "gather_less"), ("in", "in_word", "in"),
        ("shorter", "off", "shorter"), ("up", "off", "up"),
    ):  # fmt: skip
        if {verb, particle} <= acts:
            acts = (acts - {verb, particle}) | {joined}
    if "take" in acts and amount.maybe_inch:
        acts = (acts - {"take"}) | {"in"}
    if "pin" in acts and len(acts) > 1:
        acts.discard("pin")
    if acts - {"more"}:
        acts.discard("more")
    if acts - {"swing"}:
        acts.discard("swing")
    if "let" in acts:
        raise NotReadError("it does not say whether to let out or down")
    if amount.sign is not None:
        acts.add("plus" if amount.sign == "+" else "minus")
    return frozenset(acts)


def _before_noun(clause: Clause, act: str) -> bool:
    for word, after in zip(clause.words, clause.words[1:], strict=False):
        if word.tag == "act" and word.value == act:
            return after.tag in {"subject", "level", "part", "side"}
    return False


def _with_unit(told: Told) -> tuple[Item, ...]:
    """Decide whether "in" behind the number is the unit; ask where it can be either."""
    if not told.amount.maybe_inch:
        return _with_subject(told)
    inch = replace(told, amount=replace(told.amount, unit="inch", maybe_inch=False))
    as_said = replace(told.amount, maybe_inch=False)
    particle = replace(told, amount=as_said, acts=told.acts | {"in"})
    own = {TOO.get(w.value, w.value) for w in told.clause.all("act")}
    if own & {"take", "gather"} and "in" in told.acts | {"in"} and not own & {"in"}:
        return _with_subject(replace(told, amount=as_said))
    if own:
        return _with_subject(inch)
    if told.amount.sign is not None:
        return _with_subject(inch)
    taken_in = f"{meanings.show(particle.cm)} cm taken in"
    inches = f"{float(told.amount.value):g} in = {meanings.show(inch.cm)} cm"
    return _branches(
        "unit",
        f"“{told.line[told.amount.start : told.amount.end]}”: taken in, or inches?",
        (
            ("taken_in", taken_in, lambda: _with_subject(particle)),
            ("inch", inches, lambda: _with_subject(inch)),
        ),
    )


Branch = tuple[str, str, Callable[[], tuple[Item, ...]]]


def _branches(about: str, text: str, branches: Iterable[Branch], group: str = "") -> tuple[Item, ...]:
    """A question over the branches that can be read; no question where one is left.

    Raises NotReadError (the first reason) when none can.
    """
    choices: list[Choice] = []
    reason: NotReadError | None = None
    for key, sentence, read in branches:
        try:
            choices.append(Choice(key, sentence, read()))
        except NotReadError as error:
            reason = reason or error
    if not choices:
        raise reason or NotReadError("nothing in it can be read")
    if len(choices) == 1:
        return choices[0].items
    return (Question(about, text, tuple(choices), group),)


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
    return _branches("place", f"{subject.said} {meanings.show(told.cm)}: {listed}?", branches)


def _place_key(name: str) -> str:
    """The place a noun stands for: the vocabulary's word."""
    return {"front_rise": "front_waist", "back_rise": "seat"}.get(name, name)


def _with_act(told: Told, subject: Subject, name: str) -> tuple[Item, ...]:
    noun = NOUNS[name]
    acts = set(told.acts)
    part = subject.part
    if name in {"sleeve", "sleeve_pitch"} and part in {"front", "back"} and not acts - {"plus", "swing"}:
        acts = (acts - {"swing"}) | {"forward" if part == "front" else "backward"}
        part = None
    if name == "waistband" and not acts and told.cm >= LEAST_BAND:
        acts = {"measured"}
    if not acts and told.meant == "fold" and "pin" in noun.acts:
        acts = {"pin"}
    if not acts and noun.alone is not None:
        acts = {noun.alone}
    if "outward" in acts and "outward" not in noun.acts and name in SEAMS and len(acts) == 1:
        return _ask_direction(told, subject, name, part, ("plus", "minus"))
    if not acts:
        return _ask_direction(told, subject, name, part, noun.ask)
    rules = _rules(noun, acts)
    if len({(r.kind, r.place, r.sign) for r in rules.values()}) == 1:
        act, rule = next(iter(rules.items()))
        return _with_garment(told, subject, name, part, rule, "pin" in acts or act == "pin")
    signs = {a: r for a, r in rules.items() if a in {"plus", "minus"}}
    words = {a: r for a, r in rules.items() if a not in signs}
    if signs and len({(r.kind, r.place, r.sign) for r in words.values()}) == 1:
        word_rule = next(iter(words.values()))
        if "minus" in signs and word_rule.sign < 0:
            return _with_garment(told, subject, name, part, word_rule, False)
        opposite = replace(word_rule, sign=-word_rule.sign)
        rising = {r.sign: r for r in (word_rule, opposite)}
        said = told.line[told.amount.start : told.amount.end]
        return _branches(
            "direction",
            f"{noun.label} “{said}” with “{'/'.join(words)}”: which way?",
            (
                ("more", _direction(rising[1], told),
                 lambda: _with_garment(told, subject, name, part, rising[1], False)),
                ("less", _direction(rising[-1], told),
                 lambda: _with_garment(told, subject, name, part, rising[-1], False)),
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
        return lambda: _with_garment(told, subject, name, part, rule, False)

    branches = [
        (_KEYS.get(a, a), _direction(noun.acts[a], told), read(noun.acts[a])) for a in acts
    ]
    listed = " or ".join(sentence for _, sentence, _ in branches)
    return _branches("direction", f"{noun.label}: {listed}?", branches)


def _with_garment(
    told: Told, subject: Subject, name: str, part: str | None, rule: Rule, pinned: bool
) -> tuple[Item, ...]:
    possible = PLACE_GARMENTS[rule.place]
    said = {w.value for w in told.clause.all("garment")}
    label = NOUNS[name].label
    if len(said) > 1:
        raise NotReadError("it names trousers and jacket for one amount")
    for garment in said:
        if garment not in told.garments:
            raise NotReadError(f"there is no {garment} in this order")
        if garment not in possible:
            raise NotReadError(f"{garment} {'have' if garment == 'trousers' else 'has'} no {label}")
    left = [g for g in possible if g in told.garments and (not said or g in said)]
    if not left:
        raise NotReadError(f"no garment in this order has a {label}")
    cues = {LEVEL_GARMENT[v] for _, v in subject.span if v in LEVEL_GARMENT}
    if cues:
        left = [g for g in left if {g} == cues]
        if not left:
            raise NotReadError(f"the levels named are not on the {label}")
    elif told.clause.garment_so_far in left and not said:
        left = [g for g in left if g == told.clause.garment_so_far]

    def read(garment: GarmentName) -> Callable[[], tuple[Item, ...]]:
        place = IN_GARMENT.get((rule.place, garment), rule.place)
        return lambda: _with_meaning(
            told, subject, label, part, replace(rule, place=place), garment, pinned
        )

    branches = [(g, f"the {label} of the {g}", read(g)) for g in left]
    return _branches(
        "garment", f"{label}: of the trousers or of the jacket?", branches, f"garment:{name}"
    )


def _with_meaning(
    told: Told,
    subject: Subject,
    label: str,
    part: str | None,
    rule: Rule,
    garment: GarmentName,
    pinned: bool,
) -> tuple[Item, ...]:
    options: dict[str, OptionValue] = dict(subject.span)
    size = told.cm
    if part is not None:
        if rule.kind == "let_out" and part in {"front", "back"}:
            options["part"] = part
        elif rule.kind == "waistband_gather" and part in {"front", "back"}:
            options["stretch"] = part
        elif rule.kind == "hem" and rule.place in {"trouser_hem", "jacket_hem"}:
            options[part] = rule.sign * size
            return (Proposal("hem_level", rule.place, told.side, 0.0, "level",
                             as_options(options), told.pins, garment),)  # fmt: skip
        else:
            raise NotReadError(f"“{part}” does not go with the {label} here")
    if rule.kind == "waistband_gather" and "stretch" not in options:
        pass
    if subject.via is not None and rule.kind == "fullness":
        options["via"] = subject.via

    def make(meant_as: MeantAs, amount: float) -> tuple[Item, ...]:
        return (Proposal(rule.kind, rule.place, told.side, amount, meant_as,
                         as_options(options), told.pins, garment),)  # fmt: skip

    signed = rule.sign * size
    if rule.kind == "let_out":
        return _seam(told, label, part, rule, size, make)
    if rule.kind == "fullness":
        return _fullness(told, subject, label, rule, signed, make)
    if rule.meant_as == "intake":
        if told.meant == "fold" and rule.sign > 0:
            return make("fold", signed)
        if told.meant is None and pinned:
            return meanings.ask_dart(label, size, make)
    if told.meant not in {None, "total"}:
        raise NotReadError(f"“{told.meant}” does not go with the {label} here")
    if rule.kind == "body_length" and subject.at is None:
        return _ask_at(told, rule, signed, garment)
    if subject.at is not None:
        options["at"] = subject.at
    if rule.meant_as is None:
        raise NotReadError(f"the {label} needs a meaning of its amount")
    return make(rule.meant_as, signed)


def _seam(
    told: Told, label: str, part: str | None, rule: Rule, size: float, make: meanings.Make
) -> tuple[Item, ...]:
    signed = rule.sign * size
    if told.meant in {"fold", "edge", "removed", "girth"}:
        if told.meant == "fold" and rule.sign > 0:
            raise NotReadError("a fold takes in; it cannot let out")
        known: dict[str, MeantAs] = {
            "fold": "fold", "edge": "edge", "removed": "removed", "girth": "girth",
        }  # fmt: skip
        return make(known[told.meant], signed)
    found = meanings.seam_meanings(rule.place, label, told.side, size, rule.sign < 0, part, told.meant)
    verb = "taken in" if rule.sign < 0 else "let out"

    def signed_make(meant_as: MeantAs, amount: float) -> tuple[Item, ...]:
        return make(meant_as, rule.sign * amount)

    return meanings.ask_seam(found, f"{label} {verb}", size, signed_make)


def _fullness(
    told: Told, subject: Subject, label: str, rule: Rule, signed: float, make: meanings.Make
) -> tuple[Item, ...]:
    if told.meant in {"total", "girth"} or "girth" in subject.said.lower():
        return make("girth", signed)
    if told.meant == "edge":
        return make("edge", signed)
    if told.meant is not None:
        raise NotReadError(f"“{told.meant}” does not go with room at the {label}")
    return meanings.ask_fullness(rule.place, label, told.side, signed, subject.via, make)


def _ask_at(told: Told, rule: Rule, signed: float, garment: GarmentName) -> tuple[Item, ...]:
    def at(level: str) -> tuple[Item, ...]:
        return (Proposal(rule.kind, rule.place, told.side, signed, "level",
                         as_options({"at": level}), told.pins, garment),)  # fmt: skip

    moved = meanings.show(abs(signed))
    verb = "lengthened" if signed > 0 else "shortened"
    choices = (
        Choice("waist", f"{verb} {moved} at the waist line: what lies below it moves", at("waist")),
        Choice("hem", f"{verb} {moved} at the hem: nothing else moves", at("hem")),
    )
    return (Question("at", f"jacket {verb} {moved}: at which line?", choices),)


