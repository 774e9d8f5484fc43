"""Signs of how a garment hangs against level and plumb: seams, creases, hems, balance lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pinwright.cutting.sentences import listed
from pinwright.drape.reading.levels import Level, Plumb, Where
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.sign import Cause, Kind, Sign, causes
from pinwright.drape.reading.words import both
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

SWINGS, ASIDE = 1.0, 1.5
"""Cm: a side seam off plumb at the hem, a crease off the middle of the knee or the foot."""

SITTING = 1.0
"""So much lower, cm, the back of trousers hangs in standing because it has room to sit."""

UNEVEN, SLOPES = 0.7, 1.0
"""Cm: a hem off its level, and a balance line, which nobody sees but the cutter who basted it."""

ALIKE = 0.3
"""Two sides that hang as high but for so much, cm, are told as one."""

SWINGING: Mapping[tuple[bool, bool], tuple[tuple[str, str], ...]] = {
    (False, True): (("pass_back", "collar stands away"), ("round_back", "the coat swings off")),
    (False, False): (("bust_dart_intake", "lines from the side"),),
    (True, True): (("seat_wedge", "waist pulled down"), ("front_rise", "frown at the front")),
    (True, False): (("front_rise", "front waist pulled down"),),
}
"""(legs, to the back) -> what makes a side seam swing so: the hem swings to the part that is too
short from its upper end, or away from one too long (docs/sources.md, symptoms: common practice).
The drape of trousers says the same: with a front rise 1.5 cm shorter the demo's seam swung to the
back by 1.0 instead of 2.1, and with 0.8 more in front loose ones swing by 0.6 less to the front."""

DROPPING: Mapping[tuple[bool, str], tuple[tuple[str, str], ...]] = {
    (False, "back"): (("pass_back", "creases under the collar"),),
    (False, "front"): (("pass_back", "collar stands away"),),
    (False, "right"): (("shoulder_slope", "drag lines"),),
    (False, "left"): (("shoulder_slope", "drag lines"),),
    (True, "back"): (("seat_wedge", "loose folds under the seat"),),
    (True, "front"): (("front_rise", "frown at the front"),),
}
"""(legs, where balance lines lie lowest) -> what lets them down: that part is too long above them,
or its shoulder lies lower than drafted (common practice)."""


def balance(reading: Reading, legs: bool) -> Iterator[Sign]:
    """All signs of this module; of sleeves only how high they end: an arm does not hang plumb."""
    unit = reading.unit
    swings = [_swing(p, unit, legs) for p in reading.levels.seams]
    yield from _one_way("swings", SWINGS, swings, unit)
    yield from _one_way("leans", ASIDE, [_beside(p, unit) for p in reading.levels.creases], unit)
    yield from _not_level(reading, legs)
    yield from _sleeves_apart(reading)


@dataclass(frozen=True, slots=True)
class _Off:
    """By how much a line is off, cm, to the plus or the minus, what to say of it, and why."""

    line: Plumb
    off: float
    says: str
    why: tuple[Cause, ...] = ()


def _swing(p: Plumb, unit: LengthUnit, legs: bool) -> _Off:
    """A side seam off plumb at the hem; where the leg holds the cloth there, off its middle.

    A leg of cloth that hangs free is judged by the plumb line. One that would have to go through
    the leg to hang plumb is not: legs slope back from hip to ankle, and what lies on the calf goes
    with them. There the seam should divide the leg of cloth as it is seen from the side, square to
    the foot; and by as much as it could come nearer to plumb it is off all the same (common
    practice).
    """
    off = p.at.get("hem", 0.0)
    says = f"{p.words[0 if off > 0.0 else 1]}, {said(abs(off), unit)} off plumb at the hem"
    room = p.forwards if off > 0.0 else p.backwards
    if room is not None and p.beside is not None and abs(off) > room:
        if abs(p.beside) > room:
            way = "behind" if p.beside > 0.0 else "before"
            return _Off(
                p,
                p.beside,
                f"runs {said(abs(p.beside), unit)} {way} the middle of the leg at the hem",
            )
        off = room if off > 0.0 else -room
        says += f", where the leg lets it hang {said(room, unit)} nearer"
    return _Off(p, off, says, causes(SWINGING[legs, off > 0.0]))


def _beside(p: Plumb, unit: LengthUnit) -> _Off:
    """A crease that does not run over the middle of knee and foot.

    That is how creases are judged (common practice): whether they are plumb hangs on how far apart
    the feet stand, and over the thigh a back crease leads to the fullness of the seat.
    """
    seen = [(v, k) for v, k in ((p.knee, "knee"), (p.foot, "foot")) if v is not None]
    off, where = max(seen, key=lambda s: abs(s[0]), default=(0.0, ""))
    way = "outside" if off > 0.0 else "inside"
    return _Off(p, off, f"runs {said(abs(off), unit)} {way} the middle of the {where}")


def _one_way(kind: Kind, most: float, lines: Sequence[_Off], unit: LengthUnit) -> Iterator[Sign]:
    """Lines that are off by more than most, those to the same way together."""
    for way in (True, False):
        some = [x for x in lines if abs(x.off) > most and (x.off > 0.0) == way]
        if not some:
            continue
        some.sort(key=lambda x: -abs(x.off))
        worst = some[0]
        what = worst.line.what
        others = {x.line.what: x for x in reversed(some) if x.line.what != what}
        also = "".join(f"; the {k} {said(abs(x.off), unit)}" for k, x in others.items())
        yield Sign(
            kind,
            what,
            both(x.line.side for x in some if x.line.what == what),
            abs(worst.off),
            most,
            "cm",
            f"{worst.says}{also}",
            worst.why,
        )


def _not_level(reading: Reading, legs: bool) -> Iterator[Sign]:
    """Hems and balance lines whose parts hang otherwise to each other than planned, those that
    tip the same way together."""
    found: dict[tuple[str, str], list[Level]] = {}
    for x in (*reading.levels.hems, *reading.levels.lines):
        # a waist edge hangs as it is worn; a line of the front or the back alone has no other part
        if x.name in ("sleeve hem", "waist edge") or not {"front", "back"} <= set(x.off):
            continue
        if x.uneven > _level_within(x, legs):
            found.setdefault(_tips(x), []).append(x)
    for (low, high), some in found.items():
        worst = max(some, key=lambda x: x.uneven)
        tolerance = _level_within(worst, legs)
        names = dict.fromkeys(x.name for x in some)
        sides = both(x.side for x in some if x.name == worst.name)
        others = [f"the {n}" for n in names if n != worst.name]
        also = f"; so {'does' if len(others) == 1 else 'do'} {listed(others)}" if others else ""
        why = [*DROPPING.get((legs, low), ())] if set(names) != {"hem"} else []
        why += [("hem_level", "hem lifts or drops")] if "hem" in names else []
        yield Sign(
            "not level",
            worst.name,
            sides,
            worst.uneven,
            tolerance,
            "cm",
            f"hangs {said(worst.uneven, reading.unit)} lower at the "
            f"{low} than at the {high}, against what was planned{also}",
            causes(why),
        )


def _sleeves_apart(reading: Reading) -> Iterator[Sign]:
    """Sleeves of which one ends higher than the other, against what was planned."""
    ends = sorted((x for x in reading.levels.hems if x.name == "sleeve hem"), key=lambda x: x.lift)
    if len(ends) != 2:
        return
    low, high = ends
    apart = high.lift - low.lift
    if apart > UNEVEN:
        yield Sign(
            "not level",
            low.name,
            "",
            apart,
            UNEVEN,
            "cm",
            f"hangs {said(apart, reading.unit)} lower at the {low.side} than at the {high.side}, "
            f"against what was planned: see what holds the {high.side} sleeve up",
        )


def _level_within(x: Level, legs: bool) -> float:
    """By how much the parts of a line may hang otherwise than planned, cm."""
    if x.name == "hem":
        return UNEVEN
    seat = legs and x.name in ("hip level", "crotch level") and _tips(x)[0] == "back"
    return SLOPES + (SITTING if seat else 0.0)


def _tips(x: Level) -> tuple[str, str]:
    """Where a line hangs lowest and where highest, against what was planned."""
    low = min(x.off, key=lambda k: x.off[k])
    high = max(x.off, key=lambda k: x.off[k])
    return _part(x, low), _part(x, high)


def _part(x: Level, where: Where) -> str:
    """A part of a line in words: of a leg its outside and inside, of the trunk both sides where
    they hang alike."""
    if where in ("front", "back"):
        return where
    if x.side:
        return "outside" if where == x.side else "inside"
    one, other = x.off.get("right"), x.off.get("left")
    alike = one is not None and other is not None and abs(one - other) < ALIKE
    return "sides" if alike else where
