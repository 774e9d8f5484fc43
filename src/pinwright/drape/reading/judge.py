"""What a cutter would say of a hung garment: signs, where, how much, and what causes them.

A sign is told when it is over its tolerance; the tolerances are common practice and stand here by
name. Causes are entries of the catalogue of corrections, each with the sign it declares, so that
the same words mean the same at a fitting and here. They are what the trade reads first from such a
sign, no finding that the correction helps.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from pinwright.drape.reading.folds import Fold
from pinwright.drape.reading.levels import Level, Plumb
from pinwright.drape.reading.places import Place
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.words import sided
from pinwright.fitting.catalogue import entry

Kind = Literal["strained", "gapes", "fold", "swings", "leans", "not level"]

PRACTICE = "common practice"

TOLD, STRAINED = 0.01, 0.02
"""Mean strain across of a place: told from the one, wrong from the other in a loose garment."""

STANDS_OFF = 1.0
"""An edge stands away where its gap is over the planned one by more, cm."""

SWINGS, LEANS, UNEVEN = 1.0, 0.7, 0.7
"""Cm: a side seam off plumb at the hem, a crease off plumb, a hem off its level."""

DEEP = 0.25
"""A shallower fold is no sign, cm."""

PLANNED: Mapping[str, float] = {"neck edge": 0.5, "armhole": 1.0, "waist edge": 0.5}
"""Edge -> the gap planned there where the draft says nothing else, cm: 2 to 3 of ease round a neck
or a waist stand off by that over 2 pi; an armhole hangs clear of the arm (common practice)."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause: the kind of the catalogue's entry, and the sign it declares."""

    kind: str
    sign: str

    @property
    def title(self) -> str:
        """The entry's title."""
        return entry(self.kind).title


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign.

    amount and tolerance in unit ("cm", or "" for a fraction); source: where the tolerance comes
    from; wrong: over the tolerance of a fault, else only told.
    """

    kind: Kind
    place: str
    side: str
    amount: float
    tolerance: float
    unit: str
    says: str
    causes: tuple[Cause, ...] = ()
    source: str = PRACTICE
    wrong: bool = True

    @property
    def title(self) -> str:
        """The place with its side."""
        return sided(self.place, self.side)


@dataclass(frozen=True, slots=True)
class Rule:
    """A fold's causes: those of the first rule that fits it.

    view, way: those it is for ("" any); words: one of which its ends or its aim name ((): any);
    causes: (kind, how the sign begins); legs: for a garment with legs, without, or either.
    """

    view: str
    way: str
    words: tuple[str, ...]
    causes: tuple[tuple[str, str], ...]
    legs: bool | None = field(default=None)


RULES: tuple[Rule, ...] = (
    Rule(
        "", "diagonal", ("bust point",),
        (("bust_dart_intake", "lines from the side"), ("bust_dart_direction", "the dart points")),
        False,
    ),
    Rule(
        "back", "horizontal", ("waist",),
        (("hollow_back", "cross folds"), ("body_length", "folds round the back waist")), False,
    ),
    Rule(
        "", "diagonal", ("shoulder point", "armpit", "underarm", "armhole"),
        (("shoulder_slope", "drag lines from the armpit"),
         ("shoulder_slope", "folds from the shoulder end")), False,
    ),
    Rule(
        "back", "horizontal", ("nape", "neck"),
        (("neckline", "creases under the collar"), ("pass_back", "creases under the collar")),
        False,
    ),
    Rule("front", "", ("neck",), (("neckline", "presses on the throat"),), False),
    Rule(
        "front", "", ("fork", "crotch"),
        (("fork_extension", "front: whiskers"), ("front_rise", "frown at the front")), True,
    ),
    Rule(
        "back", "horizontal", ("fork", "crotch", "hip"),
        (("seat_wedge", "loose folds under the seat"), ("fork_extension", "loose cloth")), True,
    ),
    Rule(
        "back", "diagonal", ("fork", "crotch", "hip", "knee"),
        (("fork_extension", "back: smile lines"), ("seat_wedge", "waist pulled down")), True,
    ),
    Rule("", "diagonal", ("waist",), (("waist_dart_intake", "drag lines"),)),
    Rule("", "horizontal", (), (("let_out", "tight horizontal folds"),)),
    Rule("", "vertical", (), (("let_out", "loose vertical folds"),)),
)  # fmt: skip
"""What the trade reads from a fold (common practice); each cause is a catalogue's own sign."""


def cause(kind: str, begins: str) -> Cause:
    """A cause by its entry and how its sign begins; KeyError where the entry declares none such."""
    for sign in entry(kind).signs:
        if sign.startswith(begins):
            return Cause(kind, sign)
    raise KeyError(f"{kind} declares no sign that begins {begins!r}")


def judge(reading: Reading, planned: Mapping[str, float] = PLANNED) -> tuple[Sign, ...]:
    """The signs of a garment read, faults first and by how far they are over their tolerance.

    planned: edge -> the gap planned there, cm.
    """
    legs = bool(reading.levels.creases) or any(h.side for h in reading.levels.hems[:1])
    found = [
        *_strained(reading.places),
        *_gapes(reading.places, planned),
        *(s for f in reading.folds for s in _fold(f, legs)),
        *(s for p in reading.levels.seams for s in _swings(p, legs)),
        *(s for p in reading.levels.creases for s in _leans(p)),
        *(s for h in reading.levels.hems for s in _hem(h)),
    ]
    return tuple(sorted(found, key=lambda s: (not s.wrong, -s.amount / s.tolerance)))


def _strained(places: tuple[Place, ...]) -> Iterator[Sign]:
    """Where the cloth is stretched across."""
    for p in places:
        if p.strain_across > TOLD:
            wrong = p.strain_across > STRAINED
            yield Sign(
                "strained",
                p.name,
                p.side,
                p.strain_across,
                STRAINED if wrong else TOLD,
                "",
                f"{p.title}: stretched {p.strain_across:.1%} across in the mean, "
                f"{p.strain_across_peak:.1%} at its tightest",
                _tight(p.name),
                wrong=wrong,
            )


def _tight(place: str) -> tuple[Cause, ...]:
    """What makes a place tight."""
    if place.startswith("waist edge"):
        return (cause("waistband_length", "band cuts in"),)
    found = (cause("let_out", "tight horizontal folds"),)
    wide = ("hip level, back", "upper arm", "shoulder blades")
    if place.startswith(wide):
        return (cause("fullness", "tight horizontal folds"), *found)
    return found


def _gapes(places: tuple[Place, ...], planned: Mapping[str, float]) -> Iterator[Sign]:
    """Where an edge stands away from the body."""
    why = {
        "neck edge, front": (("neck_point", "the neck gapes"),),
        "neck edge, back": (
            ("round_back", "the coat swings off"),
            ("pass_back", "collar stands away"),
        ),
        "waist edge, back": (
            ("waist_dart_intake", "loose waist"),
            ("waistband_length", "band stands off"),
        ),
        "waist edge, front": (("waistband_length", "band stands off"),),
        "armhole, front": (
            ("bust_dart_intake", "lines from the side"),
            ("shoulder_slope", "folds from the shoulder"),
        ),
        "armhole, back": (("shoulder_dart_intake", "cloth stands off"),),
    }
    for p in places:
        plan = planned.get(p.name.split(",")[0])
        if plan is None or p.gap - plan <= STANDS_OFF:
            continue
        yield Sign(
            "gapes",
            p.name,
            p.side,
            p.gap - plan,
            STANDS_OFF,
            "cm",
            f"{p.title}: stands {p.gap:.1f} cm off in the mean ({p.gap_most:.1f} at most), "
            f"{plan:.1f} planned",
            tuple(cause(*c) for c in why.get(p.name, ())),
        )


def _fold(fold: Fold, legs: bool) -> Iterator[Sign]:
    """A fold, with the causes of the first rule that fits it; a hem's flares are none of them."""
    if fold.depth < DEEP:
        return
    told = " ".join((*fold.at, *fold.towards))
    causes: tuple[Cause, ...] = ()
    if fold.kind == "fold":
        for rule in RULES:
            if (
                rule.view in ("", fold.view)
                and rule.way in ("", fold.way)
                and rule.legs in (None, legs)
                and (not rule.words or any(w in told for w in rule.words))
            ):
                causes = tuple(cause(*c) for c in rule.causes)
                break
    yield Sign(
        "fold",
        fold.at[0] or fold.view,
        fold.side,
        fold.depth,
        DEEP,
        "cm",
        fold.says,
        causes,
        wrong=fold.kind == "fold",
    )


SWINGING: Mapping[tuple[bool, bool], tuple[tuple[str, str], ...]] = {
    (False, True): (("pass_back", "collar stands away"), ("round_back", "the coat swings off")),
    (False, False): (("bust_dart_intake", "lines from the side"),),
    (True, True): (("front_rise", "front waist pulled down"),),
    (True, False): (("seat_wedge", "waist pulled down"),),
}
"""(legs, to the back) -> what makes a side seam swing so: the part that is too short from its upper
end pulls the hem to its own side's other (common practice)."""


def _swings(plumb: Plumb, legs: bool) -> Iterator[Sign]:
    """A side seam that is off plumb at the hem."""
    causes = SWINGING[legs, plumb.at.get("hem", 0.0) > 0.0]
    return _off_plumb(plumb, "swings", SWINGS, tuple(cause(*c) for c in causes))


def _leans(plumb: Plumb) -> Iterator[Sign]:
    """A crease that is off plumb at the hem."""
    return _off_plumb(plumb, "leans", LEANS)


def _off_plumb(
    plumb: Plumb, kind: Kind, most: float, causes: tuple[Cause, ...] = ()
) -> Iterator[Sign]:
    off = plumb.at.get("hem", 0.0)
    if abs(off) > most:
        word = plumb.words[0] if off > 0.0 else plumb.words[1]
        yield Sign(
            kind,
            plumb.what,
            plumb.side,
            abs(off),
            most,
            "cm",
            f"{plumb.title}: {word}, {abs(off):.1f} cm off plumb at the hem",
            causes,
        )


def _hem(level: Level) -> Iterator[Sign]:
    """A hem whose parts hang otherwise to each other than planned."""
    # an arm does not hang plumb, and its hem need not be level
    if level.uneven <= UNEVEN or level.name != "hem":
        return
    low = min(level.off, key=lambda k: level.off[k])
    high = max(level.off, key=lambda k: level.off[k])
    yield Sign(
        "not level",
        level.name,
        level.side,
        level.uneven,
        UNEVEN,
        "cm",
        f"{level.title}: hangs {level.uneven:.1f} cm lower at the {low} than at the {high}, "
        "against what was planned",
        (cause("hem_level", "hem lifts or drops"),),
    )
