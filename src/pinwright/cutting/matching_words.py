"""What matching has to say, in a cutter's words: what meets, what cannot and why, what is off.

A repeat along the cloth makes bars, which lie across it; a repeat across makes stripes, which run
along it; both make a check. Lengths are given in cm and told in ``unit``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from pinwright.cutting.in_repeat import Match, Missed
from pinwright.cutting.lay.placing import Axis, Template
from pinwright.cutting.material import Material
from pinwright.cutting.rules import PLACES, RULES, Link, Pieces
from pinwright.cutting.sentences import listed
from pinwright.cutting.shrinking import named
from pinwright.errors import meant
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

LINES: Mapping[Axis, str] = {"along": "bar", "across": "stripe"}
"""What a line of the repeat is called, by the axis on which it comes again."""


def unknown_words(material: Material, name: str) -> str:
    """A rule in the order's ``match`` that there is not."""
    return (
        f"{named(material)}: match has no rule {name!r}.{meant(name, RULES)} It may name "
        f"{', '.join(RULES)}."
    )


def refusal_words(material: Material, missed: Missed, unit: LengthUnit = "cm") -> str:
    """Rules the order asks for that contradict each other on one piece."""
    return (
        f"{named(material)}: match cannot keep {missed.link.rule} besides "
        f"{listed(missed.first)} on the {missed.garment}: {_who(missed)} {_where(missed.link)}, "
        f"{_offs([missed], unit)}. Leave one of them out of match."
    )


def matched_words(
    garment: str, kept: Sequence[Link], missed: Sequence[Missed], pieces: Pieces
) -> list[str]:
    """Which pieces are matched where, in one sentence; none where no rule holds.

    What is off on either axis or hand is left out: it has its own sentence.
    """
    off = {(m.link.rule, _pair(m.link)) for m in missed}
    found: dict[str, list[tuple[str, str]]] = {}
    for link in kept:
        pair = _pair(link)
        if (link.rule, pair) not in off and pair not in found.setdefault(link.rule, []):
            found[link.rule].append(pair)
    parts = [
        f"{PLACES[rule]} ({_pieces(found[rule], pieces)})"
        for rule in RULES
        if found.get(rule) and rule != "level"
    ]
    places = [f"at {listed(parts)}"] if parts else []
    if found.get("level"):
        level = listed([_called(a, pieces) for a, _ in found["level"]])
        places.append(f"right level with left ({level})")
    if not places:
        return []
    axes = {link.axis for link in kept}
    cloth = "Check" if len(axes) > 1 else f"{LINES[axes.pop()].capitalize()}s"
    return [f"{cloth} matched on the {garment} {'; '.join(places)}."]


def missed_words(missed: Sequence[Missed], unit: LengthUnit = "cm") -> list[str]:
    """What cannot be matched, by how much it is off, and why; what is alike in one sentence."""
    # one place may be off on both axes, one line may be missed by several pieces
    places: dict[tuple[str, ...], list[Missed]] = {}
    for m in missed:
        key = (m.garment, m.a, m.b, _where(m.link), _because(m))
        places.setdefault(key, []).append(m)
    alike: dict[tuple[str, ...], list[Missed]] = {}
    for (garment, _, b, where, why), ms in places.items():
        alike.setdefault((garment, b, where, why, _offs(ms, unit)), []).append(ms[0])
    return [
        f"Not matched on the {garment}: {_who(*ms)} {where}, {offs}, because {why}."
        for (garment, _, where, why, offs), ms in alike.items()
    ]


def off_words(
    match: Match,
    off: float,
    templates: Iterable[Template],
    since: bool = False,
    unit: LengthUnit = "cm",
) -> str:
    """A match that is ``off`` so many cm as the pieces lie (see :func:`matching.mismatches`).

    ``since``: the pieces did match as they were cut, before the fitting.
    """
    by_key = {t.key: t for t in templates}
    a, b = by_key[match.a], by_key.get(match.b)
    first = _title(a)
    if b is None:
        who = f"{first} with a {LINES[match.axis]}"
    elif b is a:
        who = f"right and left {first}"
    else:
        who = _both(first, _title(b))
    lines = f"{LINES[match.axis]}s " if match.b else ""
    when = "since the fitting" if since else "as laid"
    apart = f"{lines}{said(off, unit)}"
    return f"Off {when} on the {a.garment}: {who} {_at(match.point_a)}, {apart}."


def nothing_words(garment: str, material: Material) -> str:
    """A cloth with a repeat from which nothing is cut that shows."""
    return f"{named(material)}: nothing on the {garment} is matched."


def idle_words(
    garment: str, idle: Sequence[str], links: Iterable[Link], material: Material
) -> list[str]:
    """Rules the order names that find nothing to hold on a garment, and why."""
    elsewhere = {link.rule: link.axis for link in links}
    out = []
    nowhere = [r for r in idle if r not in elsewhere]
    if nowhere:
        out.append(
            f"{named(material)}: match names {listed(nowhere)}, but there is no such place "
            f"on the {garment}."
        )
    for axis, line in LINES.items():
        rules = [r for r in idle if elsewhere.get(r) == axis]
        if rules:
            out.append(
                f"{named(material)}: match names {listed(rules)}, but the cloth has no {line}s "
                "to match there."
            )
    return out


def fold_words(material: Material, off: float, unit: LengthUnit = "cm") -> str:
    """A cloth folded ``off`` cm beside a stripe and beside the middle between two."""
    return (
        f"{named(material)} is folded {said(off, unit)} beside a stripe: fold it on a stripe or "
        "half way between two, and pin both layers stripe on stripe."
    )


def one_way_fold_words(material: Material) -> str:
    """A folded cloth whose stripes do not mirror."""
    return (
        f"{named(material)} is folded, but its stripes are not the same from right and left, so "
        'both layers cannot match: lay it open (lay = "open").'
    )


def _title(t: Template) -> str:
    title = (t.title or t.piece).removesuffix(f", {t.side}").lower()
    return title if t.side == "both" else f"{t.side} {title}"


def _pair(link: Link) -> tuple[str, str]:
    return link.a.piece, (link.b or link.a).piece


def _called(name: str, pieces: Pieces) -> str:
    piece = next(p for (n, _), p in pieces.items() if n == name)
    return piece.title.partition(" (")[0].lower()


def _pieces(pairs: Sequence[tuple[str, str]], pieces: Pieces) -> str:
    """Pieces by name: pairs of right and left, whole ones, and those joined to another."""
    cut = {name: p.cut for (name, _), p in pieces.items()}
    same = [a for a, b in pairs if a == b]
    both = [_called(a, pieces) for a in same if cut[a] == "pair"]
    whole = [_called(a, pieces) for a in same if cut[a] != "pair"]
    joined = [f"{_called(a, pieces)} with {_called(b, pieces)}" for a, b in pairs if a != b]
    return listed([*([f"right and left {listed(both)}"] if both else []), *whole, *joined])


def _who(*missed: Missed) -> str:
    one = missed[0]
    if one.link.b is None:
        return f"{listed([m.a for m in missed])} with a {LINES[one.link.axis]}"
    if len(missed) == 1:
        return _both(one.a, one.b)
    return f"{listed([m.a for m in missed])} with {one.b}"


def _both(a: str, b: str) -> str:
    """ "right and left sleeve", or one piece with another."""
    (hand_a, _, piece_a), (hand_b, _, piece_b) = a.partition(" "), b.partition(" ")
    if piece_a == piece_b and {hand_a, hand_b} == {"right", "left"}:
        return f"right and left {piece_a}"
    return f"{a} with {b}"


def _where(link: Link) -> str:
    return _at(link.a.name)


def _at(point: str) -> str:
    """A point of a piece as a place: "side:hip" is at the hip."""
    place = point.rpartition(":")[2].replace("_", " ")
    return f"at {place}" if place.startswith("centre ") else f"at the {place}"


def _offs(missed: Sequence[Missed], unit: LengthUnit) -> str:
    if missed[0].link.b is None:
        return f"{said(missed[0].off, unit)} off"
    parts = [f"{LINES[m.link.axis]}s {said(m.off, unit)}" for m in missed]
    return f"{' and '.join(parts)} off"


def _because(missed: Missed) -> str:
    if missed.why == "fold":
        return "the cloth is folded beside a stripe"
    if missed.why == "together":
        return "right and left are cut together and differ"
    if missed.why == "sides":
        return "right and left differ"
    verb = "is" if len(missed.first) == 1 else "are"
    places = [PLACES[r] if r.startswith("centre") else f"the {PLACES[r]}" for r in missed.first]
    return f"{listed(places)} {verb} matched first"
