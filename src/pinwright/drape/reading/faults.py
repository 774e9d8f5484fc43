"""Signs of too little and too much cloth at a place: strained, short, gaping, a dart beside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pinwright.drape.reading.darts import Dart
from pinwright.drape.reading.gap import Girth
from pinwright.drape.reading.places import Place
from pinwright.drape.reading.reading import Reading
from pinwright.drape.reading.sign import Cause, Sign, causes
from pinwright.drape.reading.words import both
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

TOLD, STRAINED = 0.01, 0.02
"""Mean strain of a place: told from the one, wrong from the other in a loose garment."""

SHORT = 0.5
"""A girth is short where the pieces are so much shorter than the body, cm."""

STANDS_OFF: Mapping[str, float] = {"neck edge": 1.0, "armhole": 1.0, "waist edge": 0.7}
"""Edge -> by how much over the planned gap it stands away in the mean, cm. 0.7 off along half a
waist is 2 of band too much (0.7 pi)."""

PLANNED: Mapping[str, float] = {"neck edge": 0.5, "armhole": 1.0, "waist edge": 0.5}
"""Edge -> the gap planned there where the draft says nothing else, cm: 2 to 3 of ease round a neck
or a waist stand off by that over 2 pi; an armhole hangs clear of the arm (common practice)."""

BESIDE = 1.5
"""So far beside the bust point, cm, a dart points past it (common practice)."""

ZONES: tuple[tuple[str, str], ...] = (
    ("neck edge", "neck"),
    ("shoulder", "shoulders"),
    ("yoke seam", "shoulders"),
    ("armhole", "armhole"),
    ("sleeve cap", "armhole"),
    ("upper arm", "sleeve"),
    ("elbow", "sleeve"),
    ("sleeve seam", "sleeve"),
    ("bust level", "bust"),
    ("underarm level", "bust"),
    ("side seam above the waist", "bust"),
    ("waist", "waist"),
    ("band", "waist"),
    ("hip level", "hip"),
    ("side seam from waist", "hip"),
    ("side seam above the hip", "hip"),
    ("seat seam", "hip"),
    ("crotch level", "thigh"),
    ("side seam from hip", "thigh"),
    ("inseam above", "thigh"),
    ("knee level", "knee"),
    ("hem", "hem"),
)
"""How a place begins -> where a cutter lets out or takes in for it. Whole panels and lines that run
through several are left out: what is tight there is tight at one of these."""

GAPING: Mapping[str, tuple[tuple[str, str], ...]] = {
    "neck edge, front": (("neck_point", "the neck gapes"),),
    "neck edge, back": (("round_back", "the coat swings off"), ("pass_back", "collar stands away")),
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
"""Edge -> what makes it stand away (common practice)."""


def zone_of(place: str) -> str:
    """The zone of a place; "" where it has none."""
    return next((zone for begins, zone in ZONES if place.startswith(begins)), "")


def tight(reading: Reading, legs: bool) -> Iterator[Sign]:
    """Where cloth is stretched or a girth is short, zone by zone, the tightest place named."""
    zones: dict[str, list[Place]] = {}
    for p in reading.places:
        if zone_of(p.name) and _most(p) > TOLD:
            zones.setdefault(zone_of(p.name), []).append(p)
    short = {g.place: g for g in sorted(_short(reading.girths, legs), key=lambda g: -g.ease)}
    for zone, some in zones.items():
        yield _strained(some, legs, short.pop(zone, None), reading.unit)
    for g in short.values():
        yield Sign(
            "short",
            g.place,
            g.side,
            -g.ease,
            SHORT,
            "cm",
            _lacks(g, reading.unit),
            causes((("let_out", "tight horizontal folds"),)),
        )


def _most(p: Place) -> float:
    """How much it is stretched; gathered cloth is crumpled along, which pulls nothing."""
    return p.strain_across if p.gathered else max(p.strain_across, p.strain_along)


def _short(girths: tuple[Girth, ...], legs: bool) -> Iterator[Girth]:
    """Girths that the pieces do not reach round; of one that is open only where it is one line, no
    armhole parts it, and it has a front that opens: a level of trousers that does not close runs
    out over a waist edge that dips."""
    for g in girths:
        alone = sum(o.place == g.place for o in girths) == 1
        whole = not g.open or (alone and g.place != "bust" and not legs)
        if g.body > 0.0 and whole and g.ease < -SHORT:
            yield g


def _lacks(g: Girth, unit: LengthUnit) -> str:
    return f"the pieces are {said(-g.ease, unit)} shorter round than the body"


def _strained(some: list[Place], legs: bool, short: Girth | None, unit: LengthUnit) -> Sign:
    """The tightest place of a zone, a level before a seam; on which sides, and where else."""
    worst = max(some, key=lambda p: (round(_most(p), 3), "seam" not in p.name))
    wrong = _most(worst) > STRAINED
    sides = both(p.side for p in some if p.name == worst.name and (_most(p) > STRAINED) == wrong)
    across = worst.strain_across >= worst.strain_along
    peak = worst.strain_across_peak if across else worst.strain_along_peak
    others = dict.fromkeys(
        p.name for p in some if p.name != worst.name and (_most(p) > STRAINED) == wrong
    )
    also = f"; also {', '.join(others)}" if others else ""
    lacks = f"; {_lacks(short, unit)}" if short else ""
    return Sign(
        "strained",
        worst.name,
        sides,
        _most(worst),
        STRAINED if wrong else TOLD,
        "",
        f"stretched {_most(worst):.1%} "
        f"{'across' if across else 'along'} in the mean, {peak:.1%} at its tightest{also}{lacks}",
        _loosens(worst.name, across, legs),
        wrong=wrong,
    )


def _loosens(place: str, across: bool, legs: bool) -> tuple[Cause, ...]:
    """What makes a tight place looser."""
    if not across:
        longer = ("crotch_depth", "trousers cut") if legs else ("body_length", "waist, pockets")
        return causes((longer,))
    if place.startswith(("waist edge", "band")):
        return causes((("waistband_length", "band cuts in"),))
    if place.startswith("neck edge"):
        return causes((("neck_point", "the collar stands up"),))
    found = (("let_out", "tight horizontal folds"),)
    if place.startswith(("hip level, back", "upper arm", "shoulder blades")):
        return causes((("fullness", "tight horizontal folds"), *found))
    return causes(found)


def gapes(reading: Reading, planned: Mapping[str, float]) -> Iterator[Sign]:
    """Where an edge stands away from the body; not a gathered one, from which gathers stand off."""
    found: dict[str, list[Place]] = {}
    for p in reading.places:
        edge = p.name.split(",")[0]
        if edge in planned and not p.gathered and p.gap - planned[edge] > STANDS_OFF[edge]:
            found.setdefault(p.name, []).append(p)
    for name, some in found.items():
        edge = name.split(",")[0]
        worst = max(some, key=lambda p: p.gap)
        sides = both(p.side for p in some)
        off, most, plan = (
            said(v, reading.unit) for v in (worst.gap, worst.gap_most, planned[edge])
        )
        yield Sign(
            "gapes",
            name,
            sides,
            worst.gap - planned[edge],
            STANDS_OFF[edge],
            "cm",
            f"stands {off} off in the mean ({most} at most), {plan} planned",
            causes(GAPING.get(name, ())),
        )


def beside(reading: Reading) -> Iterator[Sign]:
    """Darts that point past the bust, those to the same side of it together."""
    found: dict[tuple[str, str], list[Dart]] = {}
    for d in reading.darts:
        if abs(d.beside) > BESIDE:
            where = "under" if d.beside > 0.0 else "over"
            found.setdefault((d.name, where), []).append(d)
    for (name, where), some in found.items():
        worst = max(some, key=lambda d: abs(d.beside))
        sides = both(d.side for d in some)
        yield Sign(
            "dart",
            name,
            sides,
            abs(worst.beside),
            BESIDE,
            "cm",
            f"points {said(abs(worst.beside), reading.unit)} {where} the bust point",
            causes((("bust_dart_direction", "the dart points"),)),
        )


def too_little_or_much(
    reading: Reading, planned: Mapping[str, float], legs: bool
) -> Iterable[Sign]:
    """All signs of this module."""
    return (*tight(reading, legs), *gapes(reading, planned), *beside(reading))
