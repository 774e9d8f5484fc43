"""Matching stripes and checks: where each piece must lie in the repeat, and whether it does.

Every template gets, on each axis that repeats, the place where a line of the cloth crosses it.
Links between pieces (see rules) settle these; what the links leave free starts on a line at its
first link, so that turned by 180 degrees a piece shows the same where the repeat turns.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pinwright.cutting.cuts import Cut, Hand
from pinwright.cutting.framing import Array
from pinwright.cutting.in_repeat import AGREE, AXES, InRepeat, Missed, wrapped
from pinwright.cutting.in_repeat import Match as Match
from pinwright.cutting.lay.placing import Axis, Lay, Template, lying
from pinwright.cutting.matching_words import (
    fold_words,
    idle_words,
    matched_words,
    missed_words,
    nothing_words,
    one_way_fold_words,
    refusal_words,
    unknown_words,
)
from pinwright.cutting.material import Material
from pinwright.cutting.rules import HANDS, RULES, Link, Marks, Pieces, links
from pinwright.cutting.shrinking import on_table
from pinwright.errors import LayError
from pinwright.measures.units import LengthUnit
from pinwright.pattern.seam import Seam


@dataclass(frozen=True, slots=True, eq=False)
class Matched:
    """Templates with their phases, what to verify once they lie, and what is to be told."""

    templates: tuple[Template, ...]
    matches: tuple[Match, ...] = ()
    told: tuple[str, ...] = ()


def matched(
    cuts: Sequence[Cut],
    seams: Iterable[Seam],
    material: Material,
    unit: LengthUnit = "cm",
    marks: Marks | None = None,
) -> Matched:
    """Templates of one garment with the phases that the rules of ``material.match`` ask for.

    Seams meet at their ``marks``, and where there are none at their stations as drafted.
    Without ``material.match`` all rules are kept that the pieces allow; what contradicts an
    earlier one is told instead. So is, always, what cannot be because right and left differ, and
    a rule that ``material.match`` names but that finds no place; all in ``unit``. A cloth without
    repeat changes nothing.

    Raises:
        LayError: an unknown rule, or two rules asked for that contradict each other on a piece.
    """
    cloth = on_table(material)
    repeats = {"along": cloth.repeat.along, "across": cloth.repeat.across}
    plain = tuple(c.template for c in cuts)
    rules = _asked(material)
    if not any(repeats.values()) or not rules:
        return Matched(plain)
    pieces: Pieces = {(p.piece.name, p.hand): p.piece for c in cuts for p in c.parts}
    every = links(pieces, seams, {} if marks is None else marks)
    found = [link for link in every if link.rule in rules and repeats[link.axis] > 0.0]
    kept: list[Link] = []
    missed: list[Missed] = []
    matches: list[Match] = []
    templates = list(plain)
    for axis in AXES:
        if repeats[axis] > 0.0:
            if material.match is not None:
                for hand in HANDS:
                    _one_sided(cuts, axis, cloth, found, hand, unit)
            solved = InRepeat(cuts, axis, cloth)
            for link in found:
                if link.axis == axis:
                    solved.add(link)
            templates = [
                replace(t, phases=(*t.phases, *solved.phases(i))) for i, t in enumerate(templates)
            ]
            matches += solved.matches
            kept += solved.kept
            missed += solved.missed
    told = [*_plies(cloth, unit)]
    if plain:
        garment = plain[0].garment
        if material.match is not None:
            placed = {link.rule for link in found}
            told += idle_words(garment, [r for r in rules if r not in placed], every, material)
        elif not found:
            told.append(nothing_words(garment, material))
        # on a badly folded cloth stripes cannot be said to meet
        firm = [link for link in kept if link.axis == "along" or not _plies(cloth, unit)]
        told += matched_words(garment, firm, missed, pieces)
        told += missed_words(missed, unit)
    return Matched(tuple(templates), tuple(matches), tuple(told))


def _one_sided(
    cuts: Sequence[Cut],
    axis: Axis,
    cloth: Material,
    found: Sequence[Link],
    hand: Hand,
    unit: LengthUnit,
) -> None:
    """Refuse rules that contradict each other on one side already, whatever the other is like.

    Raises:
        LayError: they do.
    """
    own = [replace(c, parts=tuple(p for p in c.parts if p.hand == hand)) for c in cuts]
    solved = InRepeat(own, axis, cloth)
    for link in found:
        if link.axis == axis and {link.a.hand, (link.b or link.a).hand} == {hand}:
            solved.add(link)
    for missed in solved.missed:
        if missed.first:
            raise LayError(refusal_words(cloth, missed, unit))


def _asked(material: Material) -> tuple[str, ...]:
    if material.match is None:
        return tuple(RULES)
    for name in material.match:
        if name not in RULES:
            raise LayError(unknown_words(material, name))
    return tuple(r for r in RULES if r in material.match)


def _plies(cloth: Material, unit: LengthUnit) -> list[str]:
    """What a folded cloth with stripes along it needs: its plies line on line."""
    across = cloth.repeat.across
    if cloth.lay != "folded" or across <= 0.0:
        return []
    if not cloth.repeat.turns:
        return [one_way_fold_words(cloth)]
    off = abs(wrapped(2.0 * cloth.repeat.from_selvedge, across)) / 2.0
    return [fold_words(cloth, off, unit)] if off > AGREE / 2.0 else []


def mismatches(lay: Lay, matches: Iterable[Match]) -> tuple[tuple[Match, float], ...]:
    """How far off, in cm, the two points of each match lie in the repeat once they are laid.

    Worked out from where the points came to lie, not from the phases. Matches of templates that
    are not in the lay are left out. A turned piece shows its repeat the other way round: half a
    repeat off where the repeat does not turn. On a field without repeat nothing can match: the
    distance is infinite.
    """
    at = {p.key: p for p in lay.placements}
    templates = {t.key: t for t in lay.templates}
    out: list[tuple[Match, float]] = []
    for m in matches:
        if m.a not in at or (m.b and m.b not in at):
            continue
        k = AXES.index(m.axis)
        repeat = lay.field.repeat[k]
        if repeat <= 0.0:
            out.append((m, float("inf")))
            continue

        def shown(key: str, point: Array, k: int = k, line: float = m.line) -> tuple[float, bool]:
            p = at[key]
            where = lying(templates[key], point, p)
            back = 90.0 < p.rotation % 360.0 < 270.0
            return (line - where[k] if back else where[k] - line), back

        a, back_a = shown(m.a, m.at_a)
        b, back_b = shown(m.b, m.at_b) if m.b else (0.0, False)
        if m.a == m.b and k == 1 and lay.field.folded:
            # the other ply lies as far below the fold
            b = -b + (2.0 if back_b else -2.0) * m.line
        if (back_a != back_b or (not m.b and back_a)) and not lay.field.turns:
            out.append((m, repeat / 2.0))
        else:
            off = abs(wrapped(float(a - b), repeat))
            # half way between two lines is as good as on one
            out.append((m, off if m.b else min(off, repeat / 2.0 - off)))
    return tuple(out)
