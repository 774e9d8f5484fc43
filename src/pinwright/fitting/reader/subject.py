"""Which noun of the table a clause speaks of, and where on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pinwright.fitting.proposal import GarmentName
from pinwright.fitting.reader.clauses import Clause
from pinwright.fitting.reader.phrases import Word
from pinwright.fitting.reader.places import EITHER, NOUNS, WITH_PART


class NotReadError(Exception):
    """Internal: a clause that cannot be read; the message is the reason, in words."""


REGIONS = frozenset(
    {"over_seat", "across_back", "across_front", "thigh", "upper_arm", "waist_back"}
)
SEAMS = frozenset(
    {"side_seam", "centre_back", "inseam", "seat_seam", "front_crotch_seam", "shoulder_seam",
     "sleeve_seam"}
)  # fmt: skip
AS_LEVEL = frozenset({"crotch", "thigh", "hem", "elbow"})
_PART_IS_SAID = {
    "bust_dart": "front", "bust_dart_mouth": "side", "bust_dart_moved": "front",
    "bust_dart_point": "front", "bust_dart_whole": "front", "cb_level": "back",
    "shoulder_dart": "back", "hollow_back": "back", "round_back": "back",
    "seat_wedge": "back", "over_seat": "back", "across_back": "back", "across_front": "front",
    "back_waist_dart": "back", "front_waist_dart": "front", "centre_back": "back",
    "back_pass": "back",
}  # fmt: skip
# Two nouns said of one thing, and the noun they come to.
_ONE_THING: dict[frozenset[str], str] = {
    frozenset({"bust_dart_mouth", "side_seam"}): "bust_dart_mouth",
    frozenset({"bust_dart_mouth", "bust_dart"}): "bust_dart_mouth",
    frozenset({"mouth", "bust_dart"}): "bust_dart_mouth",
    frozenset({"hem", "centre_back"}): "jacket_hem_back",
    frozenset({"sleeve", "elbow"}): "elbow",
    frozenset({"sleeve", "hem"}): "sleeve_hem",
    frozenset({"sleeve", "sleeve_hem"}): "sleeve_hem",
    frozenset({"sleeve", "sleeve_pitch"}): "sleeve_pitch",
    frozenset({"sleeve", "upper_arm"}): "upper_arm",
    frozenset({"hollow_back", "centre_back"}): "hollow_back",
    frozenset({"hollow_back", "wedge"}): "hollow_back",
    frozenset({"over_seat", "wedge"}): "seat_wedge",
    frozenset({"seat_wedge", "wedge"}): "seat_wedge",
    frozenset({"leg", "hem"}): "hem",
    frozenset({"shoulder", "shoulder_slope"}): "shoulder_slope",
    frozenset({"shoulder", "shoulder_seam"}): "shoulder_seam",
}
_ALONG = frozenset({"to", "above", "below", "taper", "toward"})  # go with a level
_HORIZONTAL = frozenset({"longer", "shorter", "up", "down", "take_up", "off"})
_SEAM_ACTS = frozenset(
    {"in", "out", "in_word", "take", "pin", "take_out", "outward", "tighter", "looser"}
)
_WIDTH_ACTS = frozenset(
    {"taper", "in", "in_word", "out", "outward", "narrower", "wider", "tighter", "looser"}
)
_LEG_LEVELS = frozenset({"crotch", "thigh", "knee", "hem"})


@dataclass(frozen=True)
class Subject:
    """The nouns a clause can be about (more than one: to be asked), with part, levels and via.

    ``every``: it is about all of them, not one to be chosen.
    """

    names: tuple[str, ...]
    said: str
    part: str | None = None
    via: str | None = None
    at: str | None = None
    span: tuple[tuple[str, str], ...] = ()  # from, to, shape
    every: bool = False
    only: GarmentName | None = None  # the garment its noun belongs to


def find(clause: Clause, acts: frozenset[str], line: str) -> Subject:
    """The subject of a clause whose actions are ``acts``.

    Raises NotReadError with the reason where none, or two that do not go together, are named.
    """
    subjects = list(clause.all("subject"))
    levels = list(clause.all("level"))
    names = list(dict.fromkeys(w.value for w in subjects))
    via: str | None = None
    at: str | None = None
    wide = acts & _WIDTH_ACTS and not acts & {"up", "down"}
    if wide and "leg" in names and set(names) <= {"leg", "hem", "thigh"}:
        levels += [w for w in subjects if w.value != "leg"]
        subjects = [replace(w, value="leg_width") for w in subjects if w.value == "leg"]
        names = ["leg_width"]
    if len(names) > 1 and any(n in SEAMS or n == "body" for n in names):
        as_levels = [w for w in subjects if w.value in AS_LEVEL and w.prep is not None]
        fork = [w for w in subjects if w.value == "fork" and w.prep in {"from", "to", "above"}]
        subjects = [w for w in subjects if w not in fork]
        names = [n for n in names if n != "fork" or not fork]
        as_levels += [replace(w, value="crotch") for w in fork]
        if as_levels and any(w not in as_levels for w in subjects):
            levels += as_levels
            names = [n for n in names if n not in {w.value for w in as_levels}]
    astray = [w for w in subjects if w.value in names and w.prep in _ALONG]
    astray += [w for w in clause.all("part") if w.prep in _ALONG]
    if astray:
        said = line[astray[0].start : astray[0].end]
        raise NotReadError(f"the reader cannot use “{astray[0].prep} {said}” here")
    names, via = _together(names, subjects, acts)
    part = _part(clause)
    if names == ["bust_dart_moved"] and part == "side":
        names = ["bust_dart_mouth"]
    if names == ["jacket_hem_back"] and part == "front" and not clause.own("subject"):
        names = ["jacket_hem"]  # "hem 1 lower CB, 0.5 lower CF"
    if names == ["centre_back"] and acts & _HORIZONTAL and not acts & _SEAM_ACTS:
        names, levels = _centre_back_level(acts, levels)
    if not names:
        names = _without_noun(clause, acts, levels, part)
        if names == ["side_seam"]:
            part = None
        if names in (["waist"], ["hip"]):
            levels = [w for w in levels if w.value in names] or levels
    if len(names) > 1:
        raise NotReadError(f"it names {' and '.join(_plain(n) for n in names)} for one amount")
    name = names[0]
    if name not in NOUNS and name not in EITHER:
        raise NotReadError(f"the reader knows no correction of the {_plain(name)}")
    named = next((w for w in subjects if w.value == name), None)
    named = named or next(iter(subjects), None)
    said = line[named.start : named.end] if named is not None else _plain(name)
    if part is not None and (name, part) in WITH_PART:
        name, part = WITH_PART[name, part], None
    if name == "waist_back":
        levels = [w for w in levels if w.value != "waist"]
    if _PART_IS_SAID.get(name) == part:
        part = None
    choices = EITHER.get(name, (name,))
    means = [line[w.start : w.end].lower() for w in clause.all("mean")]
    every = name == "leg_width" and any("each" in m or "every" in m for m in means)
    if name in {"body"}:
        at, levels = _at(levels)
    if name == "waistband" or (name in {"hollow_back"} and [w.value for w in levels] == ["waist"]):
        levels = [w for w in levels if w.value != "waist"]
    if name == "back_waist_dart" or name == "front_waist_dart" or name == "dart":
        levels = [w for w in levels if w.value != "waist"]
    if name.startswith("bust_dart"):
        levels = [w for w in levels if w.value != "bust"]
    span = _span(levels)
    if "taper" in acts:
        span = _tapered(span, name)
    seamlike = name in SEAMS or name in {"waist", "hip", "crotch_seam", "leg_width"}
    if span and not seamlike:
        raise NotReadError(f"a level does not go with the {_plain(name)} here")
    only: GarmentName | None = "trousers" if name == "leg_width" else None
    return Subject(choices, said, part, via, at, span, every, only)


def _plain(name: str) -> str:
    return name.replace("_", " ")


def _part(clause: Clause) -> str | None:
    parts = list(dict.fromkeys(w.value for w in clause.all("part")))
    if len(parts) > 1:
        raise NotReadError("it names front and back for one amount")
    return parts[0] if parts else None


def _together(
    names: list[str], subjects: list[Word], acts: frozenset[str]
) -> tuple[list[str], str | None]:
    """Pairs of nouns that name one thing."""
    have = set(names)
    if "pass" in acts:
        if have - {"side_seam"}:
            raise NotReadError(f"passing the back does not go with {', '.join(sorted(have))}")
        return ["back_pass"], None
    if have == {"bust_dart", "side_seam"} and acts & {"up", "down"}:
        return ["bust_dart_mouth"], None
    if have == {"bust_dart"} and acts & {"up", "down"}:
        return ["bust_dart_moved"], None
    if have == {"shoulder"} and acts & {"pin", "pick_up", "fold"}:
        return ["shoulder_seam"], None
    one = _ONE_THING.get(frozenset(have))
    if one is not None:
        return [one], None
    regions = [n for n in names if n in REGIONS]
    seams = [w.value for w in subjects if w.value in SEAMS]
    if len(regions) == 1 and len(set(seams)) == 1 and len(names) == 2:
        return regions, seams[0]
    return names, None


def _without_noun(
    clause: Clause, acts: frozenset[str], levels: list[Word], part: str | None
) -> list[str]:
    garment = clause.all("garment")
    if part == "side" and acts & _SEAM_ACTS:
        return ["side_seam"]
    on_leg = {w.value for w in levels} and {w.value for w in levels} <= _LEG_LEVELS
    if on_leg and acts & _WIDTH_ACTS and garment and garment[-1].value == "trousers":
        return ["leg_width"]
    if acts & {"measured"} and any(w.value == "waist" for w in levels):
        return ["waistband"]
    if garment and not levels and acts and acts <= _HORIZONTAL:
        if garment[-1].value == "brought":
            return ["hem"]
        if garment[-1].value == "trousers":
            return ["leg"]
        if acts <= {"longer", "shorter"}:
            return ["body"]
    if garment and garment[-1].value == "jacket" and levels and acts <= {"longer", "shorter"}:
        return ["body"]
    bare = [w for w in levels if w.value in {"waist", "hip"} and w.prep in {None, "at"}]
    if (
        len(bare) == 1
        and part == "back"
        and acts & {"more", "less", "room", "less_room", "wider", "narrower"}
    ):
        return ["waist"]
    if len(bare) == 1 and acts & _SEAM_ACTS:
        return [bare[0].value]
    if bare:
        at = bare[0].value
        raise NotReadError(f"it does not say which seam, dart or band at the {at} is to do it")
    raise NotReadError("it does not say where")


def _centre_back_level(acts: frozenset[str], levels: list[Word]) -> tuple[list[str], list[Word]]:
    """What of the centre back goes up or down: waist, hem or neck; and the levels left."""
    at = {w.value for w in levels}
    if at == {"hem"}:
        return ["jacket_hem_back"], []
    if at == {"waist"} and acts & {"up", "down"}:
        return ["back_rise"], []
    if not at and acts & {"up", "down"}:
        return ["cb_level"], []
    return ["centre_back"], levels


def _tapered(span: tuple[tuple[str, str], ...], name: str) -> tuple[tuple[str, str], ...]:
    """ "Taper the leg from knee to hem": nothing at the knee, the full amount at the hem."""
    levels = dict(span)
    down_a_leg = name in {"leg_width", "side_seam", "inseam"} and levels.get("to") == "hem"
    if not down_a_leg or levels.get("from") not in _LEG_LEVELS:
        raise NotReadError("“taper” does not say where it is full: write “… to nothing at …”")
    return (("from", "hem"), ("shape", "taper"), ("to", levels["from"]))


def _at(levels: list[Word]) -> tuple[str | None, list[Word]]:
    names = list(dict.fromkeys(w.value for w in levels))
    if len(names) > 1:
        raise NotReadError("it names two levels for one change of length")
    if names and names[0] not in {"waist", "bust", "hip", "hem"}:
        raise NotReadError(f"a body is not lengthened at the {names[0]}")
    return (names[0] if names else None), []


def _one_end(levels: list[Word]) -> None:
    """Raises NotReadError where a change runs to nothing at two levels."""
    ends: list[str] = []
    for word in levels:
        if word.prep == "taper" or (ends and word.prep in {None, "at"}):
            ends.append(word.value)
    two = list(dict.fromkeys(ends))
    if len(two) > 1:
        raise NotReadError(
            f"it runs to nothing at {' and '.join(two)}, and one change runs to nothing at one "
            "level; the level where it is full, named alone, runs out on both sides of it"
        )


def _span(levels: list[Word]) -> tuple[tuple[str, str], ...]:
    """from, to and shape of a change along a seam; one level alone is where it is full."""
    span: dict[str, str] = {}
    _one_end(levels)
    for word in levels:
        new: dict[str, str]
        if word.prep in {None, "at", "from"}:
            new = {"from": word.value}
        elif word.prep == "below":
            new = {"from": word.value, "to": "hem"}
        elif word.prep == "above":
            new = {"to": word.value} | ({"from": "underarm"} if word.value == "waist" else {})
        elif word.prep == "to":
            new = {"to": word.value}
        elif word.prep == "taper":
            new = {"to": word.value, "shape": "taper"}
        else:
            raise NotReadError(f"the reader cannot use “{word.prep} {word.value}”")
        if any(span.get(k, v) != v for k, v in new.items()):
            raise NotReadError("it names more levels than one change can have")
        span |= new
    return tuple(sorted(span.items()))
