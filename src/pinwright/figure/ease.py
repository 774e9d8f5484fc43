"""Static ease: what a garment has round at each level over the body there, front and back apart.

The body's numbers come by the names of their terms, taped, estimated or read off the figure.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from pinwright.check.measuring import LEAST_ROOM
from pinwright.check.static_ease import Girth, Side
from pinwright.measures.amounts import SLIGHT, to_step
from pinwright.measures.units import LengthUnit, format_length

Part = Literal["whole", "front", "back"]

SLIPS = 0.5
"""A front or back that is small by less, cm, is helped by the other: a seam at each side that lies
a quarter of a centimetre off is not seen (common practice)."""


@dataclass(frozen=True, slots=True)
class Ease:
    """What the garment has over the body at a level, cm.

    ``part`` is the whole girth, or its front or back, side to side. ``estimated`` says that the
    body's number was not taped, ``again`` that it is as taped at the fitting, not the figure's.
    """

    level: str
    part: Part
    garment: float
    body: float
    estimated: bool = False
    side: Side = "both"
    again: bool = False

    @property
    def ease(self) -> float:
        """Garment less body, cm: below 0 where the garment is the smaller."""
        return self.garment - self.body

    def told(self, unit: LengthUnit) -> float:
        """The ease, cm, as garment and body are told in that unit: the numbers beside it add up."""
        return to_step(self.garment, unit) - to_step(self.body, unit)


def eases(
    girths: Sequence[Girth],
    body: Mapping[str, float],
    estimated: Collection[str] = (),
    again: Collection[str] = (),
) -> tuple[Ease, ...]:
    """The garment's girths less the body's, level by level in the order of ``girths``.

    Args:
        girths: of the garment (:func:`pinwright.check.static_ease.garment_girths`).
        body: term -> cm: ``bust_girth, bust_front_arc, bust_back_arc, waist_girth ..``; a limb's
            may be given by side (``thigh_girth_left``). Levels whose girth is not given are left
            out; so are front and back where no arc is.
        estimated: terms that were not taped.
        again: terms of girths that are as taped at a fitting.

    A level between waist and hip of which no arc is given shares its girth between front and back
    as the waist and the hip do, by its height between them, as the trouser draft does; such an
    arc is estimated.
    """
    found: list[Ease] = []
    for g in girths:
        whole = _term(body, g.measure, g.side)
        if whole is None:
            continue
        guessed = not {whole, g.measure}.isdisjoint(estimated)
        girth = body[whole]
        later = whole in again
        found.append(Ease(g.level, "whole", g.whole, girth, guessed and not later, g.side, later))
        arcs = _arcs(body, g, girth)
        if g.front is None or g.back is None or arcs is None:
            continue
        front, back, terms = arcs
        guessed = not terms or not terms.isdisjoint(estimated)
        found.append(Ease(g.level, "front", g.front, front, guessed, g.side))
        found.append(Ease(g.level, "back", g.back, back, guessed, g.side))
    return tuple(found)


def _term(body: Mapping[str, float], term: str, side: Side) -> str | None:
    """The term as it is given for a side; None where it is not given."""
    return next((t for t in (f"{term}_{side}", term) if t in body), None)


def _arcs(
    body: Mapping[str, float], g: Girth, girth: float
) -> tuple[float, float, frozenset[str]] | None:
    """Front and back arc of a level, cm, and the terms they come from (none: they are shared)."""
    front, back = (
        _term(body, g.measure.replace("_girth", f"_{part}_arc"), g.side)
        for part in ("front", "back")
    )
    if front is not None and back is not None:
        return body[front], body[back], frozenset((front, back))
    if front is not None:
        return body[front], girth - body[front], frozenset((front,))
    if back is not None:
        return girth - body[back], body[back], frozenset((back,))
    share = _front_share(body, g)
    return None if share is None else (share * girth, (1.0 - share) * girth, frozenset())


def _front_share(body: Mapping[str, float], g: Girth) -> float | None:
    """Which part of the girth lies in front at a level between waist and hip; None elsewhere."""
    needed = ("waist_girth", "waist_front_arc", "hip_girth", "hip_front_arc", "waist_to_hip")
    if g.side != "both" or g.height is None or not all(t in body for t in needed):
        return None
    part = -g.height / body["waist_to_hip"]
    if not 0.0 <= part <= 1.0:
        return None
    waist = body["waist_front_arc"] / body["waist_girth"]
    hip = body["hip_front_arc"] / body["hip_girth"]
    return waist + (hip - waist) * part


def ease_words(found: Sequence[Ease], unit: LengthUnit = "cm") -> tuple[str, ...]:
    """One sentence a level: the girth, the room in it, and how front and back share it."""
    told = []
    for level in _levels(found):
        whole = level["whole"]
        more = "more" if whole.ease >= 0.0 else "less"
        words = (
            f"{_name(whole)}: {format_length(whole.garment, unit)} round, "
            f"{format_length(abs(whole.told(unit)), unit)} {more} than the body"
        )
        if "front" in level and "back" in level:
            front, back = (format_length(level[p].told(unit), unit) for p in ("front", "back"))
            words += f" (front {front}, back {back})"
        guessed = [p for p in level if level[p].estimated]
        if "whole" in guessed:
            words += "; the body is estimated here"
        elif guessed:
            words += "; front and back of the body are estimated here"
        told.append(f"{words}.")
    return tuple(told)


def again_words(found: Sequence[Ease]) -> str:
    """At which levels the body is as taped at the fitting, in a sentence; "" at none."""
    names = [_name(e).lower() for e in found if e.again]
    return f"At the {' and '.join(names)} the body is as taped at the fitting." if names else ""


def ease_warnings(found: Sequence[Ease], unit: LengthUnit = "cm") -> tuple[str, ...]:
    """What a cutter must hear: smaller than the body, too little to move in, or badly shared."""
    told = []
    for level in _levels(found):
        whole = level["whole"]
        least = LEAST_ROOM.get(whole.level, 0.0)
        name = _name(whole)
        if whole.told(unit) < -SLIGHT[unit]:
            words = (
                f"{name}: {format_length(-whole.told(unit), unit)} smaller than the body: "
                f"{format_length(whole.garment, unit)} over {format_length(whole.body, unit)}"
            )
        elif whole.told(unit) < least - SLIGHT[unit]:
            words = (
                f"{name}: only {format_length(whole.told(unit), unit)} of room; "
                f"at least {format_length(least, unit)} is wanted"
            )
        else:
            short = [level[p] for p in ("front", "back") if p in level and level[p].ease < -SLIPS]
            told += [_badly_shared(name, whole, e, unit) for e in short]
            continue
        told.append(f"{words}{_guessed(whole)}.")
    return tuple(told)


def _badly_shared(name: str, whole: Ease, e: Ease, unit: LengthUnit) -> str:
    other = "back" if e.part == "front" else "front"
    short, room, each = (
        format_length(x, unit) for x in (-e.told(unit), whole.told(unit), -e.told(unit) / 2.0)
    )
    return (
        f"{name}: the {e.part} is {short} smaller than the body's, though the whole has {room} of "
        f"room; pass {each} from the {other} to it at each side seam{_guessed(e)}."
    )


def _guessed(e: Ease) -> str:
    return " (the body is estimated here)" if e.estimated else ""


def _levels(found: Sequence[Ease]) -> list[dict[Part, Ease]]:
    """The eases of each level and side together; those without a whole are not told."""
    levels: dict[tuple[str, Side], dict[Part, Ease]] = {}
    for e in found:
        levels.setdefault((e.level, e.side), {})[e.part] = e
    return [level for level in levels.values() if "whole" in level]


def _name(e: Ease) -> str:
    words = e.level.replace("_", " ")
    return (words if e.side == "both" else f"{e.side} {words}").capitalize()
