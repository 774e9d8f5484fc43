"""Which folds are drag lines, and what the trade reads from them; the others are the cloth's own.

Folds that hang free are flare: the ease of a loose garment falls in them below its fullest place,
and a hem's flutes and the folds along a sleeve are its shape. A drag line runs from a place of
strain, or points to one where there is too little or too much length (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from pinwright.drape.reading.cloth import SLEEVE
from pinwright.drape.reading.fold import Fold, Way
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.sign import Cause, Sign, causes
from pinwright.drape.reading.words import both
from pinwright.measures.units import LengthUnit

DEEP = 0.5
"""A shallower drag line, cm, is pressed or steamed away (common practice)."""

PULLED = 0.02
"""Cloth is strained where it is stretched by more."""

CLOSE = 0.06
"""A garment is drafted close where its ease is under this part of the girth: 6 at a hip of 100."""

ABOVE = 3.0
"""Flare begins at most so far over the fullest place, cm, where the cloth leaves the body."""

NEAR = 8.0
"""So near to where the other's are mirrored, cm, the ends of a fold like it lie."""

MIRRORED = np.array([-1.0, 1.0, 1.0])

LEGS, TRUNK = True, False


@dataclass(frozen=True, slots=True)
class Rule:
    """What a drag line is for: the first rule that fits it says.

    place: what it is told of; homes, views, ways: those it is for; words: one of which the places
    that it speaks of name, see :func:`_spoken_of`; said: (kind, how the sign begins) of its causes;
    legs: for a garment with legs, without, or (None) either; pulled: likewise for a fold from
    strained cloth; over: levels of the figure, over the mean height of which most of it lies, where
    they are known: a fold is told of where it lies, not of what it only ends at.
    """

    place: str
    homes: tuple[str, ...]
    views: tuple[str, ...]
    ways: tuple[Way, ...]
    words: tuple[str, ...]
    said: tuple[tuple[str, str], ...]
    legs: bool | None = None
    pulled: bool | None = None
    over: tuple[str, ...] = ()

    def fits(self, fold: Fold, legs: bool, levels: Mapping[str, float]) -> bool:
        """Whether it is for a fold; levels: heights of the figure's, cm."""
        known = all(k in levels for k in self.over)
        least = float(np.mean([levels[k] for k in self.over])) if self.over and known else -np.inf
        return (
            float(np.median(fold.line[:, 2])) > least
            and (not self.homes or fold.home in self.homes)
            and (not self.views or fold.view in self.views)
            and fold.way in self.ways
            and self.legs in (None, legs)
            and self.pulled in (None, max(fold.pulled) > PULLED)
            and (not self.words or any(w in s for s in _spoken_of(fold) for w in self.words))
        )


LEVEL: tuple[Way, ...] = ("horizontal",)
SLANT: tuple[Way, ...] = ("diagonal",)
PLUMB: tuple[Way, ...] = ("vertical",)

ARMHOLE = ("armhole", "left underarm", "right underarm", "side seam at the underarm")
"""How places at the armhole are named; the middle of the back at its level is none."""

BUST = ("bust",)
"""What is told of neck, shoulder and armhole lies over it."""

AT_WAIST = ("waist", "hip")
"""What is told of the waist lies nearer to it than to the hip."""

RULES: tuple[Rule, ...] = (
    Rule(
        "sleeve, front", (SLEEVE,), ("front",), SLANT, (),
        (("sleeve_pitch", "folds at the front"),),
    ),
    Rule(
        "sleeve, back", (SLEEVE,), ("back",), SLANT, (),
        (("sleeve_pitch", "folds at the back"),),
    ),
    Rule(
        "bust", ("front",), (), SLANT, ("bust point",),
        (("bust_dart_intake", "lines from the side"), ("bust_dart_direction", "the dart points")),
        TRUNK,
    ),
    Rule(
        "back waist", ("back",), ("back",), LEVEL, ("waist",),
        (("hollow_back", "cross folds"), ("body_length", "folds round the back waist")), TRUNK,
    ),
    Rule(
        "armhole, front", ("front",), (), PLUMB, (*ARMHOLE, "shoulder"),
        (("bust_dart_intake", "lines from the side"),
         ("shoulder_slope", "folds from the shoulder")), TRUNK, over=BUST,
    ),
    Rule(
        "front", ("front",), (), PLUMB, (*ARMHOLE, "shoulder"),
        (("let_out", "loose vertical"),), TRUNK,
    ),
    Rule(
        "armhole, back", ("back",), (), PLUMB, (*ARMHOLE, "shoulder"),
        (("shoulder_dart_intake", "cloth stands off"), ("fullness", "loose vertical")), TRUNK,
        over=BUST,
    ),
    Rule(
        "back", ("back",), (), PLUMB, (*ARMHOLE, "shoulder", "centre back", "nape"),
        (("fullness", "loose vertical"),), TRUNK,
    ),
    Rule(
        "shoulder", ("front", "back"), (), SLANT, ARMHOLE,
        (("shoulder_slope", "drag lines from the armpit"),), TRUNK, over=BUST,
    ),
    Rule(
        "shoulder", ("front", "back"), (), SLANT, ("shoulder point",),
        (("shoulder_slope", "folds from the shoulder end"),), TRUNK, over=BUST,
    ),
    Rule(
        "neck edge, back", ("back",), ("back",), LEVEL, ("nape", "neck"),
        (("neckline", "creases under the collar"), ("pass_back", "creases under the collar")),
        TRUNK,
    ),
    Rule(
        "neck edge, front", ("front",), ("front",), (*LEVEL, *SLANT, *PLUMB), ("neck",),
        (("neckline", "presses on the throat"),), TRUNK, over=BUST,
    ),
    Rule(
        "fork", (), ("front",), (*LEVEL, *SLANT, *PLUMB), ("fork", "crotch"),
        (("fork_extension", "front: whiskers"),), LEGS, True,
    ),
    Rule(
        "fork", (), ("front",), (*LEVEL, *SLANT, *PLUMB), ("fork", "crotch"),
        (("front_rise", "frown at the front"),), LEGS, False,
    ),
    Rule(
        "fork", (), ("inside",), (*LEVEL, *SLANT), ("fork", "crotch", "hip"),
        (("fork_extension", "loose cloth"),), LEGS,
    ),
    Rule(
        "waist edge, back", (), ("back",), LEVEL, ("waist",),
        (("waist_dart_intake", "loose waist"), ("waistband_length", "band stands off")), LEGS,
    ),
    Rule(
        "seat", (), ("back",), LEVEL, ("fork", "crotch", "hip"),
        (("seat_wedge", "loose folds under the seat"), ("fork_extension", "loose cloth")), LEGS,
    ),
    Rule(
        "seat", (), ("back",), SLANT, ("fork", "crotch", "hip"),
        (("fork_extension", "back: smile lines"), ("seat_wedge", "waist pulled down")), LEGS,
    ),
    Rule(
        "waist, front", ("front",), (), SLANT, ("waist",),
        (("waist_dart_intake", "drag lines"),), over=AT_WAIST,
    ),
    Rule(
        "waist, back", ("back",), (), SLANT, ("waist",),
        (("waist_dart_intake", "drag lines"),), over=AT_WAIST,
    ),
)  # fmt: skip
"""What the trade reads from a drag line (common practice); causes are a catalogue's own signs."""

TIGHT, WIDE = (("let_out", "tight horizontal folds"),), (("let_out", "loose vertical folds"),)


def _spoken_of(fold: Fold) -> tuple[str, ...]:
    """The places a fold speaks of, as a cutter reads it: a level one of where it lies, a slanting
    one of where it comes from and points to, an upright one of what it ends at."""
    a, b = fold.ends
    if fold.way == "horizontal":
        return (fold.middle.name,)
    if fold.way == "vertical":
        return tuple(s.name for s in (a, b) if s.lies in ("at", "near"))
    return (a.name, b.name, *fold.aims)


def fullest(reading: Reading) -> float:
    """The height of the body's fullest place that the garment hangs from, cm: the bust, or the hip
    of one that begins below; higher than all where neither is known."""
    top = any(p.name.startswith(("armhole", "shoulder seam")) for p in reading.places)
    level = "bust" if top else "hip"
    if level in reading.figure_levels:
        return reading.figure_levels[level]
    lines = [x for x in reading.levels.lines if x.name == f"{level} level"]
    return float(np.mean([list(x.heights.values()) for x in lines])) if lines else np.inf


def close_at(fold: Fold, reading: Reading) -> str:
    """The level at which a fold crosses cloth that was drafted close to the body; "" nowhere.

    It crosses there with its middle half: what only begins at the hip is the width of the leg.
    """
    low, high = np.quantile(fold.line[:, 2], (0.25, 0.75))
    for g in reading.girths:
        mine = g.side in ("", fold.side) and float(low) <= g.level <= float(high)
        if mine and not g.open and g.body > 0.0 and g.ease < CLOSE * g.body:
            return g.place
    return ""


FORK = 3.0
"""The level of the thigh lies so far under the fork, cm."""


def free(fold: Fold, reading: Reading) -> bool:
    """Whether a fold hangs as the cloth does of itself, and is no sign."""
    if fold.kind == "hem flare" or _gathers(fold, reading):
        return True
    top = float(fold.line[:, 2].max())
    thigh = reading.figure_levels.get("thigh")
    if thigh is not None and fold.way != "horizontal" and fold.home != SLEEVE:
        # width of a leg that hangs from the seat falls in slanting folds on its inside
        legs = bool(reading.levels.creases)
        if legs and top < thigh + FORK and max(fold.pulled) <= PULLED:
            return True
    if fold.way != "vertical":
        return False
    return fold.home == SLEEVE or top < fullest(reading) + ABOVE


def _gathers(fold: Fold, reading: Reading) -> bool:
    """Whether a fold falls from a waist to which the cloth is gathered."""
    home = f"waist edge, {fold.home}"
    return (
        fold.way != "horizontal"
        and any(s.name.endswith("waist") for s in fold.ends)
        and any(p.gathered for p in reading.places if p.name == home)
    )


def drag_lines(reading: Reading, legs: bool) -> Iterator[Sign]:
    """The signs that folds are, those of one place together, the deepest named."""
    found: dict[str, list[tuple[int, Fold, tuple[Cause, ...]]]] = {}
    for number, fold in enumerate(reading.folds, 1):
        told = _told(fold, reading, legs) if fold.depth > DEEP else None
        if told is not None:
            found.setdefault(told[0], []).append((number, fold, told[1]))
    for place, some in found.items():
        some.sort(key=lambda s: -s[1].depth)
        deepest = some[0][1]
        yield Sign(
            "fold",
            place,
            both(_side(f) for _, f, _ in some),
            deepest.depth,
            DEEP,
            "cm",
            _sentence([f for _, f, _ in some], reading.unit),
            tuple(dict.fromkeys(c for _, _, why in some for c in why)),
            tuple(sorted(n for n, _, _ in some)),
        )


def _told(fold: Fold, reading: Reading, legs: bool) -> tuple[str, tuple[Cause, ...]] | None:
    """Which place a fold is told of, and its causes; None of one that is no sign."""
    if free(fold, reading):
        place = close_at(fold, reading) if fold.kind == "fold" and fold.home != SLEEVE else ""
        return (place, causes(WIDE)) if place else None
    for rule in RULES:
        if rule.fits(fold, legs, reading.figure_levels):
            return rule.place, causes(rule.said)
    if fold.way != "vertical" and max(fold.pulled) > PULLED:
        end = fold.ends[int(np.argmax(fold.pulled))]
        return end.name.removeprefix("the ") or fold.home, causes(TIGHT)
    return None


def _side(fold: Fold) -> str:
    """The side of the figure that a fold is on; "" of the middle."""
    return fold.view if fold.view in ("right", "left") and not fold.side else fold.side


def like(one: Fold, other: Fold) -> bool:
    """Whether a fold is the other's mirror: on the same piece of the other side, to the same way,
    its ends near where that one's are mirrored."""
    if (one.home, one.way, one.kind) != (other.home, other.way, other.kind):
        return False
    if {_side(one), _side(other)} != {"right", "left"}:
        return False
    if one.view != other.view and {one.view, other.view} != {"right", "left"}:
        return False
    there = [p * MIRRORED for p in (other.start, other.end)]
    return any(
        all(
            float(np.linalg.norm(p - q)) < NEAR
            for p, q in zip((one.start, one.end), to, strict=True)
        )
        for to in (there, there[::-1])
    )


def _sentence(some: list[Fold], unit: LengthUnit) -> str:
    """The deepest of folds at one place, how long and deep, and how many more there are."""
    first, *others = some
    rest = f"; {len(others)} more there" if others else ""
    if len(others) == 1:
        (other,) = others
        if like(first, other):
            rest = f"; one like it on the {_side(other)}"
        else:
            rest = "; one more there" if other.on == first.on else f"; another on the {other.on}"
    pull = max(first.pulled)
    tight = f", from cloth stretched by {pull:.1%}" if pull > PULLED else ""
    return f"{first.where(unit)}, {first.size(unit)}{tight}{rest}"
